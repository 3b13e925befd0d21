package sheet

import (
	"fmt"
	"math"

	"github.com/xuri/excelize/v2"
)

// Columns of the first worksheet.
const (
	ovLitter = iota + 1
	ovLine
	ovStatus
	ovBeware // how many cautions the sheet has
	ovDay
	ovInbreeding
	ovGeneration
	ovEggs
	ovFertile
	ovStart // hatched or born
	ovSwimming
	ovLast
	ovDeformed
	ovKept
	ovFertileShare
	ovHatchedShare
	ovAliveShare
	ovDeformedShare
)

var overviewHeads = []struct {
	words string
	width float64
}{
	{"Litter", 18}, {"Line", 17}, {"Status", 20}, {"To beware of (see sheet)", 11}, {"Day", 11}, {"Inbreeding expected", 11}, {"Generation from wild", 11},
	{"Eggs", 8}, {"Fertile", 8}, {"Hatched or born", 11}, {"Swimming", 9.5}, {"Last count", 8}, {"Deformed", 9}, {"Kept", 8},
	{"Fertile of eggs", 9}, {"Hatched of fertile", 10.5}, {"Alive of hatched or born", 11.5}, {"Deformed of hatched or born", 12.5},
}

const overviewTop = 6 // the first litter's row

// overviewWidths makes the column of the ids as wide as they need, up to 44.
func overviewWidths(litters []Litter) []float64 {
	var widths []float64
	for _, head := range overviewHeads {
		widths = append(widths, head.width)
	}
	for i := range litters {
		widths[0] = max(widths[0], min(44, 3+columnsOf(oneLine(litters[i].ID, 60))*1.1))
	}
	return widths
}

// overview writes the first worksheet: a row for every litter that follows the
// litter's own worksheet, and the totals.
type overview struct {
	*page
	word  string // "spawns"
	lists string // name of the hidden worksheet
}

func (v *overview) write(litters []placed, o *Options) error {
	v.freeze(ovLitter, overviewTop-1)
	on := ""
	if o.On.Known() {
		on = "as of " + o.On.String()
	}
	state := oneLine(o.Fingerprint, 40)
	if state != "" {
		state = "state of the book: " + state
	}
	v.line(28, cell{col: 1, to: ovGeneration, value: v.name, style: v.look.title})
	v.line(15, cell{col: 1, to: ovDeformedShare, value: join(" · ", oneLine(o.BookName, 80), oneLine(o.Keeper, 60), on, state), style: v.look.mark})
	v.line(15, cell{col: 1, to: ovDeformedShare, style: v.look.mark,
		value: "Follows the sheets as they are filled. A share stays empty until both its numbers are known; totals of shares count only " + v.word + " that have both. " +
			"The last count is the latest weekly count, else the swimming young."})
	v.line(15, cell{col: 1, to: ovDeformedShare, style: v.look.mark,
		value: "The day is the planned one until the true one is typed on the sheet. " +
			"To add remarks of your own to the drop-down lists, show the hidden worksheet \"" + v.lists + "\" and write in its empty boxes."})
	var heads []cell
	for i, head := range overviewHeads {
		style := v.look.listHead
		switch i + 1 {
		case ovLitter, ovLine, ovStatus:
			style = v.look.listHeadLeft
		case ovBeware, ovDay, ovGeneration:
			style = v.look.listHeadMiddle
		}
		heads = append(heads, cell{col: i + 1, value: head.words, style: style})
	}
	heads[0].value = capital(litters[0].litter.words().one)
	if v.word == "spawns" {
		heads[0].value = "Spawn"
	}
	v.line(40, heads...)
	for i := range litters {
		v.litter(&litters[i])
	}
	v.totals(litters)
	v.paper(o.Paper, "landscape", 0, excelizeMargins(0.45, 0.5, 0.65))
	v.protect()
	setFooter(v.page, join(", ", v.name, oneLine(o.BookName, 70)), "page &P of &N")
	v.printArea(ovDeformedShare, v.row, fmt.Sprintf("$%d:$%d", overviewTop-1, overviewTop-1))
	return v.finish()
}

// litter writes the row of one litter.
func (v *overview) litter(p *placed) {
	l, row := p.litter, v.row+1
	away := func(col, at int) string { return quoted(p.name) + "!" + fixed(col, at) }
	copied := func(col int, key string, has *int) cell {
		if p.row[key] == 0 {
			return cell{col: col, style: v.look.listWhole}
		}
		from := away(colNumber, p.row[key])
		return cell{col: col, value: number(has), formula: fmt.Sprintf(`IF(ISNUMBER(%[1]s),%[1]s,"")`, from), style: v.look.listWhole}
	}
	divided := func(col, part, whole int, value *float64) cell {
		return cell{col: col, value: number(value), formula: shareFormula(at(part, row), at(whole, row)), style: v.look.listShare}
	}
	start := "hatched"
	if l.Livebearer {
		start = "born"
	}
	var beware, inbreeding any = "", ""
	if cautions := len(l.cautions()); cautions > 0 {
		beware = cautions
	}
	if l.Inbreeding != nil && !math.IsNaN(*l.Inbreeding) {
		inbreeding = *l.Inbreeding
	}
	from := away(colNumber, p.last)
	cells := []cell{
		{col: ovLitter, value: orElse(oneLine(l.ID, 60), p.name), style: v.look.listID},
		{col: ovLine, value: oneLine(orElse(l.Line, l.Species), 34), style: v.look.listText},
		{col: ovStatus, value: oneLine(l.Status, 40), style: v.look.listText},
		{col: ovBeware, value: beware, style: v.look.listBeware},
		v.day(p),
		{col: ovInbreeding, value: inbreeding, style: v.look.listInbreeding},
		{col: ovGeneration, value: oneLine(l.Generation, 24), style: v.look.listMiddle},
		copied(ovEggs, "eggs", l.Eggs), copied(ovFertile, "fertile", l.Fertile), copied(ovStart, start, l.start()),
		copied(ovSwimming, "swimming", l.Swimming),
		{col: ovLast, value: number(l.Swimming), formula: fmt.Sprintf(`IF(ISNUMBER(%[1]s),%[1]s,"")`, from), style: v.look.listWhole},
		copied(ovDeformed, "deformed", l.Deformed), copied(ovKept, "kept", l.Kept),
	}
	if l.Livebearer {
		cells = append(cells, cell{col: ovFertileShare, style: v.look.listShare}, cell{col: ovHatchedShare, style: v.look.listShare})
	} else {
		cells = append(cells, divided(ovFertileShare, ovFertile, ovEggs, share(l.Fertile, l.Eggs)),
			divided(ovHatchedShare, ovStart, ovFertile, share(l.Hatched, l.Fertile)))
	}
	cells = append(cells, divided(ovAliveShare, ovLast, ovStart, share(l.Swimming, l.start())),
		divided(ovDeformedShare, ovDeformed, ovStart, share(l.Deformed, l.start())))
	v.line(16, cells...)
	v.try(v.file.SetCellHyperLink(v.name, at(ovLitter, row), quoted(p.name)+"!A1", "Location"))
}

// day follows the day typed on the litter's worksheet, else the planned one.
func (v *overview) day(p *placed) cell {
	came, plan := quoted(p.name)+"!"+fixed(colDay, rowDate), quoted(p.name)+"!"+fixed(colDone, rowDate)
	var value any = p.litter.Date.String()
	if number, exact := dayNumber(p.litter.Date); exact {
		value = number
	}
	return cell{col: ovDay, value: value, style: v.look.listDate,
		formula: fmt.Sprintf(`IF(ISNUMBER(%[1]s),%[1]s,IF(%[2]s="","",%[2]s))`, came, plan)}
}

// totals writes the sums, and shares over the litters that have both numbers.
func (v *overview) totals(litters []placed) {
	first, last := overviewTop, overviewTop+len(litters)-1
	counts := [][]*int{}
	for i := range litters {
		l := litters[i].litter
		line := make([]*int, ovKept+1)
		if !l.Livebearer {
			line[ovEggs], line[ovFertile] = l.Eggs, l.Fertile
		}
		line[ovStart], line[ovSwimming], line[ovLast], line[ovDeformed], line[ovKept] = l.start(), l.Swimming, l.Swimming, l.Deformed, l.Kept
		counts = append(counts, line)
	}
	cells := []cell{{col: ovLitter, value: fmt.Sprintf("%d in all", len(litters)), style: v.look.totalText}}
	for col := ovLine; col < ovEggs; col++ {
		cells = append(cells, cell{col: col, style: v.look.totalText})
	}
	for col := ovEggs; col <= ovKept; col++ {
		cells = append(cells, cell{col: col, value: number(sum(counts, col)), style: v.look.totalWhole,
			formula: fmt.Sprintf(`IF(COUNT(%[1]s)=0,"",SUM(%[1]s))`, span(col, first, last))})
	}
	for _, s := range [][3]int{{ovFertileShare, ovFertile, ovEggs}, {ovHatchedShare, ovStart, ovFertile},
		{ovAliveShare, ovLast, ovStart}, {ovDeformedShare, ovDeformed, ovStart}} {
		cells = append(cells, cell{col: s[0], value: number(pooled(counts, s[1], s[2])), style: v.look.totalShare,
			formula: pooledFormula(span(s[1], first, last), span(s[2], first, last))})
	}
	v.line(20, cells...)
}

// pooledFormula is the sum of part over the sum of whole, over the rows that
// have both: "at most" picks numbers only. (">=0" would too, but some programs
// take the empty text of a formula for more than any number.)
func pooledFormula(part, whole string) string {
	both := func(of string) string {
		return fmt.Sprintf(`SUMIFS(%s,%s,"<=999999999999",%s,"<=999999999999")`, of, part, whole)
	}
	return fmt.Sprintf(`IF(%[2]s>0,%[1]s/%[2]s,"")`, both(part), both(whole))
}

// pooled is what pooledFormula comes to.
func pooled(counts [][]*int, part, whole int) *float64 {
	var parts, wholes int
	for _, line := range counts {
		if p, w := line[part], line[whole]; p != nil && w != nil {
			parts, wholes = parts+*p, wholes+*w
		}
	}
	return share(&parts, &wholes)
}

// sum is nil where no litter has the number.
func sum(counts [][]*int, col int) *int {
	var total *int
	for _, line := range counts {
		if line[col] != nil {
			if total == nil {
				total = new(int)
			}
			*total += *line[col]
		}
	}
	return total
}

func excelizeMargins(side, top, bottom float64) excelize.PageLayoutMarginsOptions {
	foot, yes := 0.3, true
	return excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &top, Bottom: &bottom, Header: &foot, Footer: &foot, Horizontally: &yes}
}
