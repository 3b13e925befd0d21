package certificate

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"roebook/io/chart"
	"roebook/io/lettering"
)

// FactsFile is the name of the attachment that holds the facts in a PDF.
const FactsFile = "facts.json"

const (
	side         = 42.0  // the margin
	widestTag    = 220.0 // the field of the id
	leastLineage = 90.0  // the height that a chart of ancestors needs
)

// pdfSheet is the page of a sheet while it is laid out.
type pdfSheet struct {
	canvas
	*content
	left, right float64
}

func writePDF(f *Facts, drawing *chart.Drawing, paper Paper) ([]byte, error) {
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: paper.Width, Ht: paper.Height}})
	content := contentOf(f)
	describePDF(doc, f, content)
	doc.SetAttachments([]fpdf.Attachment{{Content: f.Canonical(), Filename: FactsFile, Description: "what the sheet says, for programs"}})
	doc.AddPage()
	s := &pdfSheet{canvas{doc, paper, map[string]bool{}}, content, side, paper.Width - side}
	y := s.head()
	y = s.figures(y)
	foot, err := s.foot()
	if err != nil {
		return nil, err
	}
	if len(s.Origins) > 0 {
		y = s.origins(y)
		y = s.columns(y)
	}
	switch {
	case f.Each > 0:
		y = s.tickets(y, foot)
	case len(s.Rows) > 0:
		y = s.table(y, foot)
	}
	switch {
	case s.Lineage && drawing != nil && y < foot-40:
		s.lineage(drawing, y, foot)
	case y > foot:
		return nil, fmt.Errorf("the sheet does not fit on one page: take fewer fish")
	}
	var out bytes.Buffer
	err = doc.Output(&out)
	return out.Bytes(), err
}

func describePDF(doc *fpdf.Fpdf, f *Facts, c *content) {
	day := strings.Split(f.On+"-01-01", "-")
	on, err := time.Parse(time.DateOnly, strings.Join(day[:3], "-"))
	if err != nil {
		on = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCatalogSort(true)
	doc.SetCreationDate(on)
	doc.SetModificationDate(on)
	doc.SetProducer(lettering.Clean(f.Program), true)
	doc.SetTitle(lettering.Clean(c.Title), true)
	doc.SetSubject(c.Code, true)
	doc.SetLang("en")
}

// head is what it is, and which one.
func (s *pdfSheet) head() float64 {
	s.write(s.left, 40, "Where this fish comes from", hand{size: 8.5, bold: true, colour: deep}, 0)
	day := "· " + s.On
	at := s.right - lettering.Width(day, 8.5, false) - 1
	s.write(s.right, 40, day, hand{size: 8.5, colour: faint, right: true}, 0)
	s.write(at, 40, s.House, hand{size: 8.5, colour: faint, right: true}, at-s.left-140)
	letters := 15.0 // of the id, which is not cut where that can be helped
	for letters > 7 && lettering.Width(s.ID, letters, true) > widestTag-26 {
		letters -= 0.5
	}
	tag := min(max(64, lettering.Width(s.ID, letters, true)+26), widestTag)
	s.pen(ink, 1.5)
	s.fill(white)
	s.RoundedRect(s.right-tag, 53, tag, 30, 15, "1234", "DF")
	s.write(s.right-tag+13, 68+letters*0.37, s.ID, hand{size: letters, bold: true, colour: ink}, tag-24)
	who := s.Who
	if s.Name != "" {
		who = "“" + s.Name + "”, " + who
	}
	s.write(s.right, 97, who, hand{size: 9, colour: ink, right: true}, 215)
	if s.Standing != "" {
		s.write(s.right, 109, s.Standing, hand{size: 9, bold: true, colour: alarm, right: true}, 215)
	}
	room := s.right - s.left - max(tag, 190) - 12
	y := s.species(50, room)
	if s.Common != "" {
		y = s.paragraph(s.left, y, room, s.Common, hand{size: 11, colour: ink}, 1)
	}
	y = s.paragraph(s.left, y, room, s.Locality, hand{size: 11, colour: faint}, 2)
	return max(y, 112) + 14
}

// species writes the name as large as it can stand there whole: on one line, on
// two, and small on more. Of one that is too long even so it says that it is cut.
func (s *pdfSheet) species(y, room float64) float64 {
	h := hand{size: 23, bold: true, colour: ink}
	for h.size > 14 && lettering.Width(s.Species, h.size, true) > room {
		h.size--
	}
	most := 2
	for !fits(s.Species, h, room, most) && h.size > 7 {
		h.size--
		most = 4
	}
	whole := fits(s.Species, h, room, most)
	y = s.paragraph(s.left, y, room, s.Species, h, most)
	if !whole {
		y = s.paragraph(s.left, y, room, "The name is longer than there is room for here; the facts inside this file have it whole.", lesser, 2)
	}
	return y
}

// fits reports whether a paragraph of so many lines has the whole text.
func fits(text string, h hand, room float64, most int) bool {
	shown := lettering.Wrap(text, h.size, h.bold, room, most)
	return strings.Join(shown, " ") == strings.Join(strings.Fields(lettering.Clean(text)), " ")
}

var (
	body    = hand{size: 8.6, colour: ink}
	lesser  = hand{size: 7.4, colour: faint}
	caption = hand{size: 8.6, bold: true, colour: deep}
)

// figures stand in the water: the generation, and the numbers beside it.
func (s *pdfSheet) figures(y float64) float64 {
	const numbers = 142.0
	big := hand{size: 32, bold: true, colour: deep}
	wide := 0.0
	if s.Label != "" {
		wide = max(70, lettering.Width(s.Label, big.size, true)+14)
	}
	words := s.right - s.left - wide - numbers - 20
	high := lines(s.Generation, body, words, 8) + lines(s.Treaty, lesser, words, 6) + 4
	right := 0.0
	for _, f := range s.Figures {
		right += 27 + lines(f.Words, lesser, numbers, 3) + 8
	}
	high = max(high, right, 48)
	s.water(y, y+high+22)
	y += 11
	if s.Label != "" {
		s.write(s.left-2, y+27, s.Label, big, 0)
	}
	at := y
	if s.Generation != "" {
		at = s.paragraph(s.left+wide, at, words, s.Generation, body, 8) + 4
	}
	s.paragraph(s.left+wide, at, words, s.Treaty, lesser, 6)
	at = y
	for _, f := range s.Figures {
		s.write(s.right-numbers, at+7, f.Name, hand{size: 7.4, bold: true, colour: deep}, numbers)
		s.write(s.right-numbers, at+23, f.Value, hand{size: 16, bold: true, colour: ink}, 0)
		at = s.paragraph(s.right-numbers, at+25, numbers, f.Words, lesser, 3) + 8
	}
	return y + high + 11
}

// origins is the bar of whose word it is.
func (s *pdfSheet) origins(y float64) float64 {
	y += 22
	x := s.write(s.left, y, "Whose word it is", caption, 0)
	s.write(x+10, y, s.Word, body, s.right-x-10)
	y += 7
	s.bar(s.left, y, s.right-s.left, 15)
	y += 15 + 12
	x = s.left
	for i, o := range s.Origins {
		if i == len(s.Origins)-1 {
			x = max(x, s.right-max(84, 18+lettering.Width(o.Percent, 9.5, true)+lettering.Width(o.Words, lesser.size, false)))
		}
		s.swatch(x, y-7.5, 8, o.Kind)
		x = s.write(x+13, y, o.Percent, hand{size: 9.5, bold: true, colour: ink}, 0)
		x = s.write(x+5, y, o.Words, lesser, 0) + 16
	}
	return y
}

// bar divides a strip by where the genes are from.
func (s *pdfSheet) bar(x, y, wide, high float64) {
	s.ClipRoundedRect(x, y, wide, high, high/2, false)
	at := x
	for _, o := range s.Origins {
		part := wide * float64(o.Units) / tenths
		s.patch(at, y, part, high, o.Kind)
		at += part
		if o.Units > 0 && at < x+wide-1 {
			s.fill(white)
			s.Rect(at-0.6, y, 1.2, high, "F")
		}
	}
	s.ClipEnd()
	s.pen(ink, 0.7)
	s.RoundedRect(x, y, wide, high, high/2, "1234", "D")
}

// patch fills a rectangle in the manner of a kind: dark, light, and hatched for
// what nobody knows.
func (s *pdfSheet) patch(x, y, w, h float64, kind string) {
	if w <= 0 {
		return
	}
	switch kind {
	case Wild:
		s.fill(deep)
	case Bought:
		s.fill(brass)
	default:
		s.fill(white)
	}
	s.Rect(x, y, w, h, "F")
	if kind != Wild && kind != Bought {
		s.ClipRect(x, y, w, h, false)
		s.pen(faint, 0.6)
		for at := x - h; at < x+w; at += 3.6 {
			s.Line(at, y+h, at+h, y)
		}
		s.ClipEnd()
	}
}

func (s *pdfSheet) swatch(x, y, size float64, kind string) {
	s.patch(x, y, size, size, kind)
	s.pen(ink, 0.5)
	s.Rect(x, y, size, size, "D")
}

// columns are the founders on the left, the rest of what is known on the right.
func (s *pdfSheet) columns(y float64) float64 {
	y += 22
	middle := s.left + (s.right-s.left)*0.56
	s.write(s.left, y, "Founders", caption, 0)
	s.write(middle, y, "What the book says", caption, 0)
	left, right := y+4, y+4
	for _, f := range s.Founders {
		s.write(s.left+39, left+10.5, f.Percent, hand{size: 8.6, bold: true, colour: ink, right: true}, 0)
		s.swatch(s.left+45, left+5, 6, f.Kind)
		x := s.write(s.left+56, left+10.5, f.ID, hand{size: 8.6, bold: true, colour: ink}, 70) + 6
		left = max(s.paragraph(x, left+0.8, middle-x-14, f.Words, hand{size: 8, colour: faint}, 2), left+10.5) + 1.5
	}
	if s.Rest != "" {
		left = s.paragraph(s.left+56, left, middle-s.left-70, s.Rest, lesser, 2)
	}
	if len(s.Founders) == 0 {
		left = s.paragraph(s.left, left, middle-s.left-20, "No founder is known.", body, 1)
	}
	for _, d := range s.Details {
		s.write(middle, right+8.9, d.Label, lesser, 58)
		right = s.paragraph(middle+60, right, s.right-middle-60, d.Words, hand{size: 8.2, colour: ink}, 3) + 0.5
	}
	return max(left, right)
}

// lineage is the chart, as large as there is room for.
func (s *pdfSheet) lineage(drawing *chart.Drawing, y, foot float64) {
	y += 20
	s.write(s.left, y, "The streams it comes from", caption, 0)
	y += 5
	if foot-y < leastLineage {
		s.paragraph(s.left, y, s.right-s.left, "There is no room for it beside so much else: the sheet as HTML has it.", body, 1)
		return
	}
	scale := min((s.right-s.left)/drawing.Width, (foot-y-6)/drawing.Height)
	wide := drawing.Width * scale
	drawing.On(s.Fpdf, s.left+(s.right-s.left-wide)/2, y, scale)
}

// foot is what the sheet is not, and what it can be checked by. It returns where
// it begins.
func (s *pdfSheet) foot() (top float64, err error) {
	const code = 86.0
	bottom := s.paper.Height - 28
	top = bottom - code
	s.rule(s.left, top-4, s.right)
	if err := s.code(s.Code, s.right-code, top, code); err != nil {
		return top, err
	}
	proof := s.right - code - 156
	room := proof - s.left - 18
	y := top + 2
	for i, words := range s.Not {
		h := hand{size: 7, colour: faint}
		if i == 0 {
			h.colour = ink
		}
		y = s.paragraph(s.left, y, room, words, h, 4) + 2.5
	}
	y = top + 10
	s.write(proof, y, "fingerprint of these facts", lesser, 0)
	s.write(proof, y+12.5, s.Groups, hand{size: 8.6, bold: true, colour: ink}, 146)
	y = s.paragraph(proof, y+17, 146, s.State, lesser, 2)
	if s.Signing != "" {
		y = s.paragraph(proof, y, 146, s.Signing, hand{size: 6.4, colour: faint}, 3)
	}
	s.paragraph(proof, y, 146, "To check it: roebook provenance --verify FILE. The code holds the whole fingerprint. "+s.Program+".", hand{size: 6.4, colour: faint}, 3)
	return top - 4, nil
}
