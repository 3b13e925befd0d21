package sheet

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// The words of the drop-downs. They stand on a worksheet of their own, for a
// list written into a rule breaks at commas and beyond 255 characters.
var (
	sexWords    = []string{"males", "females", "both", "unsexed"}
	remarkWords = []string{"all well", "count estimated", "fungus", "white eggs taken out", "eaten", "jumped out", "small or weak",
		"bent spine", "belly slider", "equipment", "power cut", "water change", "split over tanks", "treated, see notes", "vet asked"}
)

// spare is how many empty rows the list of remarks has for the keeper's own.
const spare = 15

// lists gathers the words of all drop-downs, one column a list.
type lists struct {
	name           string // of the worksheet
	columns        []listColumn
	tanks          map[string]string // the cells of a list of tanks, by its text
	sexes, remarks string            // the cells
}

type listColumn struct {
	head  string
	words []string
	spare int
}

const listTop = 4 // the first row of words

func newLists(name string) *lists {
	l := &lists{name: name, tanks: map[string]string{}}
	l.remarks = l.add("Remark (add your own)", remarkWords, spare)
	l.sexes = l.add("Sex", sexWords, 0)
	return l
}

// add returns the cells in which the words will stand.
func (l *lists) add(head string, words []string, spare int) string {
	l.columns = append(l.columns, listColumn{head, words, spare})
	col := len(l.columns)
	return fmt.Sprintf("%s!%s:%s", quoted(l.name), fixed(col, listTop), fixed(col, listTop+len(words)+spare-1))
}

// tanksOf returns the cells of a line's list of tanks, "" where it is empty.
// Equal lists stand there once.
func (l *lists) tanksOf(line string, tanks []string) string {
	var words []string
	seen := map[string]bool{}
	for _, tank := range tanks {
		if word := oneLine(tank, 200); word != "" && !seen[word] {
			seen[word] = true
			words = append(words, word)
		}
	}
	if len(words) == 0 {
		return ""
	}
	key := strings.Join(words, "\n")
	if l.tanks[key] == "" {
		l.tanks[key] = l.add(join(": ", "Tank", oneLine(line, 60)), words, 0)
	}
	return l.tanks[key]
}

// write makes the worksheet.
func (l *lists) write(file *excelize.File, look *look, o *Options) error {
	widths := make([]float64, len(l.columns))
	longest := 0
	for i, column := range l.columns {
		widths[i] = 24
		longest = max(longest, len(column.words)+column.spare)
	}
	p := newPage(file, l.name, look, widths, edge)
	p.freeze(0, listTop-1)
	p.line(24, cell{col: 1, to: max(3, len(l.columns)), value: "Words offered in the drop-down lists", style: look.title})
	p.line(15, cell{col: 1, value: "The litter sheets take their lists from here; empty boxes are for your own remarks.", style: look.mark})
	var heads []cell
	for i, column := range l.columns {
		heads = append(heads, cell{col: i + 1, value: column.head, style: look.listHeadLeft})
	}
	p.line(18, heads...)
	for i := range longest {
		var row []cell
		for col, column := range l.columns {
			switch {
			case i < len(column.words):
				row = append(row, cell{col: col + 1, value: column.words[i], style: look.textIn})
			case i < len(column.words)+column.spare:
				row = append(row, cell{col: col + 1, style: look.textIn})
			}
		}
		p.line(15, row...)
	}
	p.paper(o.Paper, "portrait", 0, excelizeMargins(0.5, 0.5, 0.65))
	p.protect()
	setFooter(p, join(", ", l.name, oneLine(o.BookName, 70)), "page &P of &N")
	// no print area: LibreOffice prints a hidden worksheet that has one
	p.define("_xlnm.Print_Titles", fmt.Sprintf("%s!$%d:$%d", quoted(p.name), listTop-1, listTop-1))
	return p.finish()
}
