package sheet

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"roebook/pedigree"
)

// Columns of a litter worksheet.
const (
	colWhat = iota + 1
	colDay
	colDue
	colDone
	colNumber
	colBy
	colRemark
	colKey  // hidden
	colHeld // hidden: what the book held when the sheet was written
)

// widths of the columns, in digits of the common font.
var litterWidths = []float64{33, 6.5, 11, 11.5, 9.5, 9, 17.5, 16, 24}

// rowDate holds the day it was spawned and the day it is planned for, on every
// litter worksheet.
const rowDate = 9

// moves is how many rows there are for fish moved or picked out.
const moves = 4

// placed says where the numbers of a litter stand, for the first worksheet.
type placed struct {
	litter *Litter
	name   string         // of its worksheet
	row    map[string]int // of a count, by key
	last   int            // row of the last count
}

// clipboard writes the worksheet of one litter.
type clipboard struct {
	*page
	litter  *Litter
	options *Options
	lists   *lists
	first   string // name of the first worksheet
	placed  placed
}

// write makes the worksheet; it prints on one page.
func (c *clipboard) write() (placed, error) {
	c.placed = placed{litter: c.litter, name: c.name, row: map[string]int{}}
	if c.err == nil {
		c.try(c.stream.SetColVisible(colKey, colHeld, false))
	}
	c.freeze(0, 1)
	c.head()
	c.counts()
	c.soFar()
	c.moved()
	c.notes()
	c.checks()
	c.page.paper(c.options.Paper, "portrait", 1, excelizeMargins(0.5, 0.4, 0.65))
	c.protect()
	c.footer()
	c.printArea(colRemark, c.row, "")
	return c.placed, c.finish()
}

func (c *clipboard) head() {
	l := c.litter
	id := orElse(oneLine(l.ID, 60), c.name)
	c.line(28, cell{col: 1, to: colNumber, value: id, style: c.look.title},
		cell{col: colBy, to: colRemark, value: c.first, style: c.look.link},
		c.mark(colKey, "format"), c.mark(colHeld, fmt.Sprintf("roebook-litter-sheet/%d", Format)))
	c.try(c.file.SetCellHyperLink(c.name, at(colBy, 1), quoted(c.first)+"!A1", "Location"))
	c.line(16, cell{col: 1, to: colRemark, value: oneLine(join(" · ", l.Species, l.CommonName, l.Locality), 105), style: c.look.species},
		c.mark(colKey, "id"), c.mark(colHeld, clean(l.ID)))
	c.line(16, cell{col: 1, to: colRemark, value: oneLine(join(" · ", capital(l.words().one)+" sheet", l.Line, l.standing(), c.options.Keeper), 115), style: c.look.subtitle},
		c.mark(colKey, "fingerprint"), c.mark(colHeld, oneLine(c.options.Fingerprint, 200)))
	c.beware()
	c.parent("Sire (father)", l.Sire)
	c.parent("Dam (mother)", l.Dam)
	c.expected()
	c.day()
	c.line(6)
}

func (c *clipboard) mark(col int, value string) cell {
	return cell{col: col, value: value, style: c.look.mark}
}

// bewareRoom is the width of three lines of cautions, less a little as lines
// break between words.
const bewareRoom = 280

// beware writes the cautions, or leaves a gap. What has no room is counted.
func (c *clipboard) beware() {
	said := ""
	for i, caution := range c.litter.cautions() {
		longer := join("; ", said, phrase(caution, bewareRoom))
		if columnsOf(longer) > bewareRoom {
			said += fmt.Sprintf("; and %d more", len(c.litter.cautions())-i)
			break
		}
		said = longer
	}
	if said == "" {
		c.line(5)
		return
	}
	c.line(5+12*float64(lines("Beware: "+said, 106)), cell{col: 1, to: colRemark, style: c.look.beware, value: []excelize.RichTextRun{
		{Text: "Beware: ", Font: font(9.5, alarm, true)}, {Text: said, Font: font(9.5, text, false)}}})
}

// identity returns who a parent is, in bold, and the rest of the words.
func (p *Parent) identity() (who, rest string) {
	who, rest = oneLine(p.ID, 60), phrase(p.Words, 130)
	if who != "" && !strings.EqualFold(who, "unknown") {
		if rest == who {
			rest = ""
		}
		return who, rest
	}
	if rest != "" && !strings.HasPrefix(strings.ToLower(rest), "unknown") {
		return "", rest // says more: how many unknown males there were
	}
	return "", "unknown (taken as related to no other fish)"
}

// parent writes one side: who, and beneath where it comes from.
func (c *clipboard) parent(label string, p Parent) {
	who, rest := p.identity()
	if p.Tank != "" {
		p.Tank = "tank " + p.Tank
	}
	beneath := phrase(join(" · ", p.Origin, p.Generation, p.Tank), 150)
	var runs []excelize.RichTextRun
	add := func(text string, f *excelize.Font) {
		if text != "" {
			runs = append(runs, excelize.RichTextRun{Text: text, Font: f})
		}
	}
	add(who, font(10, text, true))
	if who != "" && rest != "" {
		rest = ": " + rest
	}
	add(rest, font(9.5, text, false))
	high := lines(who+rest, 68)
	if beneath != "" {
		add("\n"+beneath, font(8.5, quiet, false))
		high += lines(beneath, 76)
	}
	c.line(4+12.5*float64(max(high, 2)), cell{col: 1, value: label, style: c.look.label},
		cell{col: colDay, to: colRemark, value: runs, style: c.look.words})
}

// expected writes inbreeding and generation of the young.
func (c *clipboard) expected() {
	l := c.litter
	value, style := any("not known"), c.look.words
	if l.Inbreeding != nil && !math.IsNaN(*l.Inbreeding) {
		value, style = *l.Inbreeding, c.look.share
	}
	said := join("\n", join(". ", capital(phrase(l.InbreedingWords, 110)), capital(phrase(l.Goal, 60))),
		"The chance that a fish's two copies of a gene are copies of the same one in a forebear.")
	c.line(4+12*float64(max(lines(said, 60), 2)), cell{col: 1, value: "Inbreeding expected in the young", style: c.look.label},
		cell{col: colDay, to: colDue, value: value, style: style},
		cell{col: colDone, to: colRemark, value: said, style: c.look.words})
	generation, style := oneLine(l.Generation, 24), c.look.generation
	if generation == "" {
		generation, style = "not known", c.look.words
	}
	said = phrase(l.GenerationWords, 120)
	if l.Declared && !strings.Contains(said, "seller's word") {
		said = join(" ", said, "(rests on a seller's word)")
	}
	said = capital(said)
	c.line(4+12*float64(max(lines(said, 60), 1)), cell{col: 1, value: "Generation from wild", style: c.look.label},
		cell{col: colDay, to: colDue, value: generation, style: style},
		cell{col: colDone, to: colRemark, value: said, style: c.look.words})
}

// day writes the cell that every due date follows, and the planned day.
func (c *clipboard) day() {
	l := c.litter
	var came, plan any = "", ""
	hint := "Type the day in the box: every due date below follows it."
	number, exact := dayNumber(l.Date)
	switch {
	case l.happened() && exact:
		came = number
		hint = "Every due date below follows this day."
	case l.happened() && l.Date.Known():
		plan = l.Date.String()
		hint = "is all that is recorded. Type the day, if you know it: every due date below follows it."
	case l.pairing() && l.Date.Known():
		plan = l.Date.String()
		if exact {
			plan = number
		}
		hint = "is about when the pair is to be put together. Due dates stay empty until the day of birth is typed in the box."
	case exact:
		plan = number
		hint = "is the planned day. Due dates count from it until the true day is typed in the box."
	case l.Date.Known():
		plan = l.Date.String()
		hint = "is what is planned. Type the true day in the box: every due date below follows it."
	}
	planStyle := c.look.plan
	if plan == "" {
		planStyle = c.look.hint
	}
	held := ""
	if came != "" {
		held = l.Date.String()
	}
	if c.row+1 != rowDate {
		panic("the head of a litter sheet has moved") // a mistake in the layout
	}
	c.line(24, cell{col: 1, value: l.words().cameOn, style: c.look.label},
		cell{col: colDay, to: colDue, value: came, style: c.look.dayDateIn},
		cell{col: colDone, value: plan, style: planStyle},
		cell{col: colNumber, to: colRemark, value: hint, style: c.look.hint},
		c.mark(colKey, "spawned planned"), c.mark(colHeld, held))
}

// counts writes what is to be counted and when.
func (c *clipboard) counts() {
	c.line(16, cell{col: 1, to: colDue, value: "What to count, and when", style: c.look.section},
		cell{col: colDone, to: colRemark, value: "Days are common practice and vary by species: change them.", style: c.look.sectionNote})
	c.line(15, cell{col: colWhat, value: "Count", style: c.look.headLeft}, cell{col: colDay, value: "Day", style: c.look.head},
		cell{col: colDue, value: "Due", style: c.look.head}, cell{col: colDone, value: "Done on", style: c.look.head},
		cell{col: colNumber, value: "Number", style: c.look.head}, cell{col: colBy, value: "Initials", style: c.look.head},
		cell{col: colRemark, value: "Remark", style: c.look.head})
	base, known := dayNumber(c.litter.Date)
	known = known && !c.litter.pairing()
	for _, count := range c.litter.counts() {
		row := c.row + 1
		c.placed.row[count.key] = row
		var day, due any = "", ""
		if count.day >= 0 {
			day = count.day
			if known {
				due = base + count.day
			}
		}
		style := c.look.what
		if count.kind == stage || count.kind == kept {
			style = c.look.whatBold
		}
		c.line(18, cell{col: colWhat, value: count.what, style: style}, cell{col: colDay, value: day, style: c.look.dayIn},
			cell{col: colDue, value: due, formula: c.dueFormula(row), style: c.look.due},
			cell{col: colDone, style: c.look.dateIn}, cell{col: colNumber, value: number(count.has), style: c.look.numberIn},
			cell{col: colBy, style: c.look.textIn}, cell{col: colRemark, style: c.look.textIn},
			c.mark(colKey, count.key), cell{col: colHeld, value: number(count.has), style: c.look.mark})
	}
}

// dueFormula counts from the day it came, else from the planned day; births
// are not counted from the day of putting the pair together.
func (c *clipboard) dueFormula(row int) string {
	came, plan, day := fixed(colDay, rowDate), fixed(colDone, rowDate), at(colDay, row)
	if c.litter.Livebearer {
		return fmt.Sprintf(`IF(AND(ISNUMBER(%[1]s),ISNUMBER(%[2]s)),%[2]s+%[1]s,"")`, day, came)
	}
	return fmt.Sprintf(`IF(ISNUMBER(%s),IF(ISNUMBER(%s),%s+%s,IF(ISNUMBER(%s),%s+%s,"")),"")`, day, came, came, day, plan, plan, day)
}

// soFar writes the shares that follow from the numbers.
func (c *clipboard) soFar() {
	l, row := c.litter, c.placed.row
	c.line(5)
	var heads []cell
	values := []cell{{col: colWhat, value: "So far (works itself out)", style: c.look.label}}
	add := func(col int, head string, value any, formula string, style int) {
		heads = append(heads, cell{col: col, value: head, style: c.look.smallHead})
		values = append(values, cell{col: col, value: value, formula: formula, style: style})
	}
	part := func(part, whole string) string {
		return shareFormula(at(colNumber, row[part]), at(colNumber, row[whole]))
	}
	start := "born"
	c.placed.last = c.row + 2
	if !l.Livebearer {
		start = "hatched"
		add(colDue, "Fertile", number(share(l.Fertile, l.Eggs)), part("fertile", "eggs"), c.look.shareOut)
		add(colDone, "Hatched", number(share(l.Hatched, l.Fertile)), part("hatched", "fertile"), c.look.shareOut)
	}
	add(colNumber, "Last count", number(l.Swimming), lastFormula(row["swimming"]), c.look.last)
	add(colBy, "Alive", number(share(l.Swimming, l.start())), shareFormula(at(colNumber, c.placed.last), at(colNumber, row[start])), c.look.shareOut)
	add(colRemark, "Deformed", number(share(l.Deformed, l.start())), part("deformed", start), c.look.shareOut)
	c.line(12, heads...)
	c.line(18, values...)
}

// shareFormula is part / whole, empty where either is missing or whole is 0.
func shareFormula(part, whole string) string {
	return fmt.Sprintf(`IF(AND(ISNUMBER(%[1]s),ISNUMBER(%[2]s)),IF(%[2]s>0,%[1]s/%[2]s,""),"")`, part, whole)
}

// lastFormula is the latest of the weekly counts, else the count of swimming
// young, in the row given; the weeks stand beneath it.
func lastFormula(swimming int) string {
	formula := `""`
	for row := swimming; row <= swimming+weeks; row++ {
		formula = fmt.Sprintf("IF(ISNUMBER(%[1]s),%[1]s,%[2]s)", at(colNumber, row), formula)
	}
	return formula
}

func (c *clipboard) moved() {
	c.line(18, cell{col: 1, to: colDue, value: "Moved, or picked out to know again", style: c.look.section},
		cell{col: colDone, to: colRemark, value: "Give every group its own row.", style: c.look.sectionNote})
	c.line(15, cell{col: colWhat, to: colDay, value: "Which fish (mark, size, new id)", style: c.look.headLeft},
		cell{col: colDue, value: "Sex", style: c.look.head}, cell{col: colDone, value: "Moved on", style: c.look.head},
		cell{col: colNumber, value: "Number", style: c.look.head}, cell{col: colBy, value: "To tank", style: c.look.head},
		cell{col: colRemark, value: "Remark", style: c.look.head})
	c.placed.row["moved"] = c.row + 1
	for range moves {
		c.line(18, cell{col: colWhat, to: colDay, style: c.look.textIn}, cell{col: colDue, style: c.look.textIn},
			cell{col: colDone, style: c.look.dateIn}, cell{col: colNumber, style: c.look.numberIn},
			cell{col: colBy, style: c.look.textIn}, cell{col: colRemark, style: c.look.textIn}, c.mark(colKey, "moved"))
	}
}

// caution stands at the foot of every litter sheet.
const caution = "Numbers ahead of time are expectations from the records, not DNA tests. Sick fish: ask a vet or another licensed fish-health professional. " +
	"Cull only where it must be, humanely, and as the welfare law of your place says. Collecting, moving and selling fish may need permits; local law decides. " +
	"Never release captive fish, eggs or plants, nor the water they came in."

func (c *clipboard) notes() {
	c.line(18, cell{col: 1, to: colRemark, value: "Notes", style: c.look.section})
	if said := clip(strings.TrimSpace(clean(c.litter.Notes)), 500); said != "" {
		if strings.Count(said, "\n") > 4 {
			said = oneLine(said, 500)
		}
		c.line(3+12*float64(lines(said, 105)), cell{col: 1, to: colRemark, value: said, style: c.look.notes})
	}
	for range 2 {
		c.line(18, cell{col: 1, to: colRemark, style: c.look.noteIn}, c.mark(colKey, "note"))
	}
	c.line(4)
	c.line(33, cell{col: 1, to: colRemark, value: caution, style: c.look.caution})
}

// footer: which litter, of which book, made when.
func (c *clipboard) footer() {
	made := ""
	if c.options.On.Known() {
		made = "made " + c.options.On.String()
	}
	setFooter(c.page, join("\n", orElse(oneLine(c.litter.ID, 80), c.name), oneLine(c.options.BookName, 70)), made)
}

// dayNumber returns the day in the 1900 date system, false where d is not one
// whole day after February 1900 (the system has a day too many before).
func dayNumber(d pedigree.Date) (int, bool) {
	if d%100 == 0 || d < 19000301 {
		return 0, false
	}
	from := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	return int(d.Time().Sub(from).Hours() / 24), true
}

func orElse(text, other string) string {
	if text == "" {
		return other
	}
	return text
}
