package certificate

import (
	"math"

	"codeberg.org/go-pdf/fpdf"

	"roebook/io/lettering"
)

// The colours: ink on white, one colour of deep water, one of brass; each keeps
// apart from the others in grey.
const (
	ink     = 0x17262b
	faint   = 0x566468
	hair    = 0xc9d1d3
	deep    = 0x1d5a66 // caught in the wild
	brass   = 0xd59a2b // bought
	shallow = 0xecf3f3 // the water of the figures
	white   = 0xffffff
	alarm   = 0xa3123a // dead, sold
)

// canvas is the page of a PDF, in points from its upper left corner.
type canvas struct {
	*fpdf.Fpdf
	paper Paper
	fonts map[string]bool
}

// hand is how a text is written.
type hand struct {
	size   float64
	bold   bool
	colour int
	right  bool // ends at the point given
}

// write puts a text with its baseline at (x, y), cut to a width where one is
// given, and returns where it ends.
func (c *canvas) write(x, y float64, text string, h hand, room float64) float64 {
	text = lettering.Clean(text)
	if room > 0 {
		text = lettering.Fit(text, h.size, h.bold, room)
	}
	runs := lettering.Runs(text, h.size, h.bold)
	wide := lettering.RunsWidth(runs)
	if h.right {
		x -= wide
	}
	c.SetTextColor(h.colour>>16, h.colour>>8&255, h.colour&255)
	for _, run := range runs {
		if !c.fonts[run.Font.Name] {
			c.fonts[run.Font.Name] = true
			c.AddUTF8FontFromBytes(run.Font.Name, "", run.Font.Data())
		}
		c.SetFont(run.Font.Name, "", h.size)
		c.Text(x+run.X, y, run.Text)
	}
	return x + wide
}

// leading is the distance of lines, in sizes of the letters.
const leading = 1.34

// paragraph writes at most so many lines under y, and returns where they end.
func (c *canvas) paragraph(x, y, room float64, text string, h hand, most int) float64 {
	for _, line := range lettering.Wrap(text, h.size, h.bold, room, most) {
		y += h.size * leading
		c.write(x, y-0.25*h.size, line, h, 0)
	}
	return y
}

// lines is how high a paragraph is.
func lines(text string, h hand, room float64, most int) float64 {
	if text == "" {
		return 0
	}
	return float64(len(lettering.Wrap(text, h.size, h.bold, room, most))) * h.size * leading
}

func (c *canvas) fill(colour int) { c.SetFillColor(colour>>16, colour>>8&255, colour&255) }
func (c *canvas) pen(colour int, width float64) {
	c.SetDrawColor(colour>>16, colour>>8&255, colour&255)
	c.SetLineWidth(width)
}

func (c *canvas) rule(x0, y, x1 float64) {
	c.pen(hair, 0.6)
	c.Line(x0, y, x1, y)
}

// water fills the page between two heights, its surface in low waves.
func (c *canvas) water(top, bottom float64) {
	const length, swell = 46.0, 2.2
	surface := func() {
		c.MoveTo(0, top)
		for x := 0.0; x < c.paper.Width; x += length {
			c.CurveBezierCubicTo(x+length*0.18, top-swell*1.8, x+length*0.32, top-swell*1.8, x+length/2, top)
			c.CurveBezierCubicTo(x+length*0.68, top+swell*1.8, x+length*0.82, top+swell*1.8, x+length, top)
		}
	}
	c.fill(shallow)
	surface()
	c.LineTo(math.Ceil(c.paper.Width/length)*length, bottom)
	c.LineTo(0, bottom)
	c.ClosePath()
	c.DrawPath("F")
	c.pen(deep, 1)
	surface()
	c.DrawPath("D")
}

// code draws a QR code with its rim into a square.
func (c *canvas) code(text string, x, y, size float64) error {
	rows, err := modules(text)
	if err != nil {
		return err
	}
	c.fill(white)
	c.Rect(x, y, size, size, "F")
	c.fill(0)
	module := size / float64(len(rows)+2*quiet)
	for i, row := range rows {
		for k := 0; k < len(row); k++ {
			from := k
			for k < len(row) && row[k] {
				k++
			}
			if k > from {
				c.Rect(x+module*float64(quiet+from), y+module*float64(quiet+i), module*float64(k-from), module, "F")
			}
		}
	}
	return nil
}
