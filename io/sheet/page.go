package sheet

import (
	"fmt"

	"github.com/xuri/excelize/v2"
)

// cell is one cell of a row, or several merged where to is beyond col.
type cell struct {
	col, to int
	value   any // text, whole number, share, day number; "" or nil: empty
	formula string
	style   int
}

// page is one worksheet being written, row by row from the top. The first
// error is kept and stops the rest.
type page struct {
	file   *excelize.File
	stream *excelize.StreamWriter
	name   string
	look   *look
	row    int // the last one written
	err    error
}

// newPage begins a worksheet; what is set on the whole sheet must be set
// before its first row.
func newPage(file *excelize.File, name string, l *look, widths []float64, tab string) *page {
	p := &page{file: file, name: name, look: l}
	yes := true
	p.try(file.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &yes, TabColorRGB: &tab}))
	if p.err == nil {
		p.stream, p.err = file.NewStreamWriter(name)
	}
	no := false
	p.try(file.SetSheetView(name, 0, &excelize.ViewOptions{ShowGridLines: &no}))
	for i, width := range widths {
		if p.err == nil {
			p.try(p.stream.SetColWidth(i+1, i+1, width))
		}
	}
	return p
}

func (p *page) try(err error) {
	if p.err == nil && err != nil {
		p.err = fmt.Errorf("worksheet %q: %w", p.name, err)
	}
}

// line writes the next row; cells from left to right.
func (p *page) line(height float64, cells ...cell) int {
	p.row++
	if p.err != nil {
		return p.row
	}
	var values []any
	for _, c := range cells {
		for len(values) < c.col-1 {
			values = append(values, nil)
		}
		values = append(values, excelize.Cell{StyleID: c.style, Formula: c.formula, Value: c.value})
		for len(values) < c.to {
			values = append(values, excelize.Cell{StyleID: c.style})
		}
		if c.to > c.col {
			p.try(p.stream.MergeCell(at(c.col, p.row), at(c.to, p.row)))
		}
	}
	p.try(p.stream.SetRow(at(1, p.row), values, excelize.RowOpts{Height: height}))
	return p.row
}

func (p *page) freeze(columns, rows int) {
	if p.err != nil {
		return
	}
	where := "bottomLeft"
	if columns > 0 {
		where = "bottomRight"
	}
	p.try(p.stream.SetPanes(&excelize.Panes{Freeze: true, XSplit: columns, YSplit: rows,
		TopLeftCell: at(columns+1, rows+1), ActivePane: where}))
}

// paper sets the size, way and margins (in inches) of the printed page; high
// is 1 for one page, 0 for as many as it takes.
func (p *page) paper(size, way string, high int, margins excelize.PageLayoutMarginsOptions) {
	code, wide := 9, 1
	if size == "letter" {
		code = 1
	}
	p.try(p.file.SetPageLayout(p.name, &excelize.PageLayoutOptions{Size: &code, Orientation: &way, FitToWidth: &wide, FitToHeight: &high}))
	p.try(p.file.SetPageMargins(p.name, &margins))
}

// protect keeps the formulas safe and lets the keeper type in the unlocked
// cells; there is no password.
func (p *page) protect() {
	p.try(p.file.ProtectSheet(p.name, &excelize.SheetProtectionOptions{SelectLockedCells: true, SelectUnlockedCells: true,
		FormatCells: true, FormatColumns: true, FormatRows: true, EditObjects: true, EditScenarios: true}))
}

func (p *page) printArea(lastColumn, lastRow int, repeat string) {
	p.define("_xlnm.Print_Area", fmt.Sprintf("%s!$A$1:%s", quoted(p.name), fixed(lastColumn, lastRow)))
	if repeat != "" {
		p.define("_xlnm.Print_Titles", quoted(p.name)+"!"+repeat)
	}
}

// define gives cells a name that belongs to this worksheet. SetDefinedName
// compares each name with all before it, which is half the time of a workbook
// of 500 litters; no worksheet gets a name twice here, so only the first goes
// that way and the others are put beside it.
func (p *page) define(name, refersTo string) {
	if p.err != nil {
		return
	}
	if p.file.WorkBook.DefinedNames == nil {
		p.try(p.file.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: refersTo, Scope: p.name}))
		return
	}
	index, err := p.file.GetSheetIndex(p.name)
	p.try(err)
	names := p.file.WorkBook.DefinedNames
	next := names.DefinedName[0]
	next.Name, next.Data, next.LocalSheetID = name, refersTo, &index
	names.DefinedName = append(names.DefinedName, next)
}

func (p *page) finish() error {
	if p.err == nil {
		p.try(p.stream.Flush())
	}
	return p.err
}

// at names a cell: at(2, 5) is B5.
func at(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(err) // a mistake in the layout
	}
	return name
}

// fixed names a cell with both parts held: $B$5.
func fixed(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row, true)
	if err != nil {
		panic(err)
	}
	return name
}
