package chart

import (
	"math"

	"roebook/io/lettering"
)

// Missing returns the characters of the drawing that the fonts for PNG and PDF
// do not have, sorted; a question mark stands for each. In SVG the viewer's own
// fonts are used, which may have them.
func (d *Drawing) Missing() []rune {
	var texts []string
	for _, s := range d.shapes {
		texts = append(texts, s.text)
	}
	return lettering.Missing(texts...)
}

// flat is a path as straight lines, each piece begun by a move.
func flat(path []step, tolerance float64) (pieces [][]point, closed []bool) {
	var at []point
	end := func(c bool) {
		if len(at) > 1 {
			pieces, closed = append(pieces, at), append(closed, c)
		}
		at = nil
	}
	for _, s := range path {
		switch s.op {
		case 'm':
			end(false)
			at = []point{s.p[0]}
		case 'l':
			at = append(at, s.p[0])
		case 'c':
			at = append(at, curve(at[len(at)-1], s.p, tolerance)...)
		case 'z':
			first := at[0]
			at = append(at, first)
			end(true)
		}
	}
	end(false)
	return pieces, closed
}

// curve is a cubic as straight lines, enough for a tolerance.
func curve(a point, p [3]point, tolerance float64) []point {
	bend := math.Hypot(a.x-2*p[0].x+p[1].x, a.y-2*p[0].y+p[1].y) + math.Hypot(p[0].x-2*p[1].x+p[2].x, p[0].y-2*p[1].y+p[2].y)
	n := min(64, 1+int(math.Ceil(math.Sqrt(bend/tolerance))))
	list := make([]point, 0, n)
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		k0, k1, k2, k3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		list = append(list, point{k0*a.x + k1*p[0].x + k2*p[1].x + k3*p[2].x, k0*a.y + k1*p[0].y + k2*p[1].y + k3*p[2].y})
	}
	return list
}

// dashed cuts a line into dashes.
func dashed(line []point, dash []float64) [][]point {
	var out [][]point
	at, left, on := 0, dash[0], true
	piece := []point{line[0]}
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		for {
			length := math.Hypot(b.x-a.x, b.y-a.y)
			if length <= left {
				left -= length
				piece = append(piece, b)
				break
			}
			cut := point{a.x + (b.x-a.x)*left/length, a.y + (b.y-a.y)*left/length}
			if on {
				out = append(out, append(piece, cut))
			}
			piece, a = []point{cut}, cut
			at = (at + 1) % len(dash)
			left, on = dash[at], !on
		}
	}
	if on && len(piece) > 1 {
		out = append(out, piece)
	}
	return out
}

// start of a text's runs, from its anchor.
func (s shape) shift(wide float64) float64 {
	switch s.anchor {
	case middle:
		return -wide / 2
	case end:
		return -wide
	}
	return 0
}

// colour reads one as it is written here, #rrggbb.
func colour(hex string) (r, g, b uint8) {
	var v [3]uint8
	for i := range v {
		v[i] = digit(hex[1+2*i])<<4 | digit(hex[2+2*i])
	}
	return v[0], v[1], v[2]
}

func digit(c byte) uint8 {
	if c >= 'a' {
		return c - 'a' + 10
	}
	return c - '0'
}
