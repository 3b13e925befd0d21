package chart

import (
	"math"

	"roebook/io/lettering"
	"roebook/pedigree"
)

// Drawing is a finished chart: shapes and texts on a sheet, y downwards, in
// pixels of 1/96 inch.
type Drawing struct {
	Width, Height float64
	Title         string // what it is, for those who do not see it too
	Description   string
	Day           pedigree.Date // that it is drawn for
	shapes        []shape
}

// shape is one thing drawn: a path, or a text where text is not "".
type shape struct {
	path []step
	look

	text   string // cleaned and cut already
	at     point
	size   float64
	bold   bool
	anchor anchor
	halo   bool // a white rim, where lines may pass behind
	turned bool // reading upwards

	tip string // what a viewer shows for it
}

type point struct{ x, y float64 }

// look is how a path is drawn; a colour of "" is none.
type look struct {
	fill, stroke string
	width        float64
	dash         []float64
}

// step is a part of a path: m and l take one point, c three, z none.
type step struct {
	op byte
	p  [3]point
}

type anchor int8

const (
	start anchor = iota
	middle
	end
)

func (d *Drawing) add(s shape) {
	if s.tip != "" {
		s.tip = lettering.Fit(s.tip, 1, false, longestTip)
	}
	d.shapes = append(d.shapes, s)
}

// longestTip is in ems.
const longestTip = 120

func (d *Drawing) draw(path []step, look look) { d.add(shape{path: path, look: look}) }

// word is a text to be written.
type word struct {
	size   float64
	bold   bool
	colour string
	anchor anchor
	room   float64 // cut to that width; 0: as it is
	halo   bool
	turned bool
	tip    string
}

// write puts a text with its baseline at a point and returns its box.
func (d *Drawing) write(at point, text string, w word) box {
	text = lettering.Clean(text)
	if w.room > 0 {
		text = lettering.Fit(text, w.size, w.bold, w.room)
	}
	if w.colour == "" {
		w.colour = ink
	}
	s := shape{text: text, at: at, size: w.size, bold: w.bold, anchor: w.anchor, halo: w.halo, turned: w.turned, look: look{fill: w.colour}, tip: w.tip}
	if text != "" {
		d.add(s)
	}
	return s.box()
}

// box is a rectangle.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) overlaps(o box) bool {
	return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1
}

// box is the room that a text takes.
func (s shape) box() box {
	w := lettering.Width(s.text, s.size, s.bold)
	x := s.at.x
	switch s.anchor {
	case middle:
		x -= w / 2
	case end:
		x -= w
	}
	if s.turned {
		y := s.at.y + s.at.x - x // as far up as it would be to the left
		return box{s.at.x - 0.78*s.size, y - w, s.at.x + 0.22*s.size, y}
	}
	return box{x, s.at.y - 0.78*s.size, x + w, s.at.y + 0.22*s.size}
}

func rectangle(x, y, w, h float64) []step {
	return polygon(point{x, y}, point{x + w, y}, point{x + w, y + h}, point{x, y + h})
}

func polygon(points ...point) []step {
	return append(polyline(points...), step{op: 'z'})
}

func polyline(points ...point) []step {
	steps := make([]step, 0, len(points)+1)
	for i, p := range points {
		op := byte('l')
		if i == 0 {
			op = 'm'
		}
		steps = append(steps, step{op, [3]point{p}})
	}
	return steps
}

// rounded is a rectangle with round corners.
func rounded(x, y, w, h, r float64) []step {
	r = min(r, w/2, h/2)
	k := r * (1 - 0.5522847498)
	x1, y1 := x+w, y+h
	return []step{
		{'m', [3]point{{x + r, y}}}, {'l', [3]point{{x1 - r, y}}},
		{'c', [3]point{{x1 - k, y}, {x1, y + k}, {x1, y + r}}}, {'l', [3]point{{x1, y1 - r}}},
		{'c', [3]point{{x1, y1 - k}, {x1 - k, y1}, {x1 - r, y1}}}, {'l', [3]point{{x + r, y1}}},
		{'c', [3]point{{x + k, y1}, {x, y1 - k}, {x, y1 - r}}}, {'l', [3]point{{x, y + r}}},
		{'c', [3]point{{x, y + k}, {x + k, y}, {x + r, y}}}, {op: 'z'},
	}
}

func circle(at point, r float64) []step { return rounded(at.x-r, at.y-r, 2*r, 2*r, r) }

// flow is a curve from one point to another that leaves and arrives level.
func flow(a, b point) []step {
	bend := (b.x - a.x) / 2
	return []step{{'m', [3]point{a}}, {'c', [3]point{{a.x + bend, a.y}, {b.x - bend, b.y}, b}}}
}

// smooth is a curve through points from left to right without bends that they do
// not ask for: cubics whose slopes are harmonic means (Fritsch & Butland 1984,
// SIAM J. Sci. Stat. Comput. 5:300). It begins and ends level.
func smooth(points []point) []step {
	path := []step{{'m', [3]point{points[0]}}}
	slope := func(i int) float64 {
		if i == 0 || i == len(points)-1 {
			return 0
		}
		a := (points[i].y - points[i-1].y) / (points[i].x - points[i-1].x)
		b := (points[i+1].y - points[i].y) / (points[i+1].x - points[i].x)
		if a*b <= 0 {
			return 0
		}
		return 2 * a * b / (a + b)
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		third := (b.x - a.x) / 3
		if len(points) == 2 {
			third = (b.x - a.x) / 2
		}
		path = append(path, step{'c', [3]point{{a.x + third, a.y + third*slope(i-1)}, {b.x - third, b.y - third*slope(i)}, b}})
	}
	return path
}

// hatched is slanting lines across a rectangle, for a fill that grey print keeps.
func hatched(x, y, w, h, gap float64) []step {
	var steps []step
	for c := gap / 2; c < w+h; c += gap {
		// the line x' + y' = c inside the rectangle
		a, b := point{x + max(0, c-h), y + min(c, h)}, point{x + min(c, w), y + max(0, c-w)}
		if math.Abs(a.x-b.x) > 0.5 {
			steps = append(steps, step{'m', [3]point{a}}, step{'l', [3]point{b}})
		}
	}
	return steps
}
