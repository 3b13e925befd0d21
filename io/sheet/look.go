package sheet

import "github.com/xuri/excelize/v2"

// The colours: pond green ink, sand where the keeper writes, mist where the
// sheet works a number out. Printed in grey they are dark, near white in a
// box, and light grey without one.
const (
	ink   = "20443C"
	text  = "1E1E1E"
	quiet = "5C6664"
	sand  = "FFF8E3"
	mist  = "E9EEEC"
	edge  = "8C9895"
	alarm = "8A1C1C"
)

// Formats of numbers.
const (
	asText       = "@"
	asWhole      = "0"
	asShare      = `0.0\ %` // a space before the sign, as in the texts
	asInbreeding = `0.00\ %`
	asDate       = "yyyy-mm-dd"
)

// look is the set of cell styles of a workbook, by their numbers in it.
type look struct {
	title, link, species, subtitle, beware                                       int
	label, words, share, generation                                              int
	section, sectionNote, head, headLeft                                         int
	what, whatBold                                                               int
	dayIn, dateIn, numberIn, textIn, dayDateIn                                   int // for the keeper
	due, plan, last, shareOut, smallHead                                         int // worked out
	hint, notes, noteIn, caution, mark                                           int
	listID, listText, listMiddle, listInbreeding, listDate, listWhole, listShare int
	listBeware                                                                   int
	listHead, listHeadLeft, listHeadMiddle                                       int
	totalText, totalWhole, totalShare                                            int
	tooMuch                                                                      int // conditional
}

type maker struct {
	file *excelize.File
	err  error
}

func (m *maker) style(s excelize.Style) int {
	if m.err != nil {
		return 0
	}
	var id int
	id, m.err = m.file.NewStyle(&s)
	return id
}

// ways to build a style
func font(size float64, colour string, bold bool) *excelize.Font {
	return &excelize.Font{Family: "Arial", Size: size, Color: colour, Bold: bold}
}

func align(horizontal, vertical string, wrap bool) *excelize.Alignment {
	return &excelize.Alignment{Horizontal: horizontal, Vertical: vertical, WrapText: wrap}
}

func shrink(horizontal string) *excelize.Alignment {
	return &excelize.Alignment{Horizontal: horizontal, Vertical: "center", ShrinkToFit: true}
}

func fill(colour string) excelize.Fill {
	return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
}

func borders(colour string, kind int, sides ...string) []excelize.Border {
	var made []excelize.Border
	for _, side := range sides {
		made = append(made, excelize.Border{Type: side, Color: colour, Style: kind})
	}
	return made
}

func box() []excelize.Border { return borders(edge, 1, "left", "right", "top", "bottom") }

// input is the style of a cell to write in: boxed, sand, unlocked.
func input(format, horizontal string) excelize.Style {
	alignment := shrink(horizontal)
	if horizontal == "left" {
		alignment = align("left", "center", false)
		alignment.Indent = 1
	}
	return excelize.Style{Font: font(10, text, false), Fill: fill(sand), Border: box(), Alignment: alignment,
		CustomNumFmt: &format, Protection: &excelize.Protection{Locked: false}}
}

// output is the style of a cell that is worked out: mist, no box, slanted.
func output(format string) excelize.Style {
	f := font(9.5, quiet, false)
	f.Italic = true
	return excelize.Style{Font: f, Fill: fill(mist), Border: borders("FFFFFF", 1, "top", "bottom"),
		Alignment: shrink("center"), CustomNumFmt: &format}
}

// plain is the style of printed text.
func plain(f *excelize.Font, a *excelize.Alignment) excelize.Style {
	format := asText
	return excelize.Style{Font: f, Alignment: a, CustomNumFmt: &format}
}

func with(s excelize.Style, change func(*excelize.Style)) excelize.Style {
	change(&s)
	return s
}

func newLook(file *excelize.File) (*look, error) {
	m := &maker{file: file}
	l := &look{}
	l.sheetStyles(m)
	l.listStyles(m)
	if m.err == nil {
		bold := excelize.Style{Font: &excelize.Font{Bold: true, Color: "FFFFFF"}, Fill: fill(alarm)}
		l.tooMuch, m.err = file.NewConditionalStyle(&bold)
	}
	return l, m.err
}

func (l *look) sheetStyles(m *maker) {
	under := func(kind int, colour string) func(*excelize.Style) {
		return func(s *excelize.Style) { s.Border = append(s.Border, borders(colour, kind, "bottom")...) }
	}
	italic := font(11, text, false)
	italic.Italic = true
	linkFont := font(9, ink, false)
	linkFont.Underline = "single"

	l.title = m.style(plain(font(20, ink, true), shrink("left")))
	l.link = m.style(plain(linkFont, align("right", "center", false)))
	l.species = m.style(plain(italic, shrink("left")))
	l.subtitle = m.style(with(plain(font(9.5, quiet, false), shrink("left")), under(5, ink)))
	l.beware = m.style(with(plain(font(9.5, text, false), align("left", "center", true)), func(s *excelize.Style) {
		s.Alignment.Indent = 1
		s.Border = borders(alarm, 5, "left")
	}))
	l.label = m.style(plain(font(9.5, ink, true), align("left", "center", true)))
	l.words = m.style(with(plain(font(9.5, text, false), align("left", "center", true)), under(4, edge)))
	value := plain(font(11, text, true), shrink("left"))
	l.generation = m.style(with(value, under(4, edge)))
	l.share = m.style(with(value, func(s *excelize.Style) {
		format := asInbreeding
		s.CustomNumFmt = &format
		under(4, edge)(s)
	}))
	l.section = m.style(with(plain(font(11, ink, true), align("left", "bottom", false)), under(2, ink)))
	l.sectionNote = m.style(with(plain(font(8, quiet, false), align("right", "bottom", false)), under(2, ink)))
	l.head = m.style(plain(font(8.5, quiet, true), align("center", "center", true)))
	l.headLeft = m.style(plain(font(8.5, quiet, true), align("left", "center", true)))
	l.what = m.style(with(plain(font(9.5, text, false), shrink("left")), under(4, edge)))
	l.whatBold = m.style(with(plain(font(9.5, text, true), shrink("left")), under(4, edge)))

	l.dayIn = m.style(input(asWhole, "center"))
	l.dateIn = m.style(input(asDate, "center"))
	l.numberIn = m.style(with(input(asWhole, "center"), func(s *excelize.Style) { s.Font = font(11, text, true) }))
	l.textIn = m.style(input(asText, "left"))
	l.dayDateIn = m.style(with(input(asDate, "center"), func(s *excelize.Style) {
		s.Font = font(11, text, true)
		s.Border = borders(ink, 2, "left", "right", "top", "bottom")
	}))
	l.noteIn = m.style(with(input(asText, "left"), func(s *excelize.Style) { s.Border = borders(edge, 4, "bottom") }))

	l.due = m.style(output(asDate))
	l.plan = m.style(output(asDate))
	l.last = m.style(with(output(asWhole), func(s *excelize.Style) { s.Font = font(11, text, true) }))
	l.shareOut = m.style(with(output(asShare), func(s *excelize.Style) { s.Font = font(11, text, true) }))
	l.smallHead = m.style(plain(font(8.5, quiet, true), align("center", "bottom", true)))
	l.hint = m.style(plain(font(8, quiet, false), align("left", "center", true)))
	l.notes = m.style(plain(font(9.5, text, false), align("left", "top", true)))
	l.caution = m.style(with(plain(font(7.5, quiet, false), align("left", "top", true)), func(s *excelize.Style) {
		s.Border = borders(edge, 1, "top")
	}))
	l.mark = m.style(plain(font(8, quiet, false), align("left", "center", false)))
}

// listStyles are those of the first worksheet and of the lists.
func (l *look) listStyles(m *maker) {
	row := func(format, horizontal string) excelize.Style {
		a := shrink(horizontal)
		return excelize.Style{Font: font(9.5, text, false), Alignment: a, CustomNumFmt: &format, Border: borders(edge, 4, "bottom")}
	}
	total := func(format, horizontal string) excelize.Style {
		s := row(format, horizontal)
		s.Font = font(10, ink, true)
		s.Fill = fill(mist)
		s.Border = append(borders(ink, 2, "top"), borders(ink, 1, "bottom")...)
		return s
	}
	linkFont := font(10, ink, true)
	linkFont.Underline = "single"
	l.listID = m.style(with(row(asText, "left"), func(s *excelize.Style) { s.Font = linkFont }))
	l.listMiddle = m.style(row(asText, "center"))
	l.listBeware = m.style(with(row(asWhole, "center"), func(s *excelize.Style) { s.Font = font(9.5, alarm, true) }))
	l.listInbreeding = m.style(row(asInbreeding, "right"))
	l.listText = m.style(row(asText, "left"))
	l.listDate = m.style(row(asDate, "center"))
	l.listWhole = m.style(row(asWhole, "right"))
	l.listShare = m.style(row(asShare, "right"))
	head := plain(font(9, ink, true), align("right", "bottom", true))
	head.Border = borders(ink, 2, "bottom")
	head.Fill = fill(mist)
	l.listHead = m.style(head)
	l.listHeadLeft = m.style(with(head, func(s *excelize.Style) { s.Alignment = align("left", "bottom", true) }))
	l.listHeadMiddle = m.style(with(head, func(s *excelize.Style) { s.Alignment = align("center", "bottom", true) }))
	l.totalText = m.style(total(asText, "left"))
	l.totalWhole = m.style(total(asWhole, "right"))
	l.totalShare = m.style(total(asShare, "right"))
}
