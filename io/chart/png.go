package chart

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"roebook/io/lettering"
)

// Measures of a PNG: dots for a pixel of the drawing, and the most dots there
// may be, which a large drawing is made smaller for.
const (
	pngScale = 2.0
	mostDots = 40e6
)

// PNG writes the drawing as an image, at 192 dots an inch as far as it stays
// under 40 million dots.
func (d *Drawing) PNG(w io.Writer) error {
	scale := min(pngScale, math.Sqrt(mostDots/(d.Width*d.Height)))
	c := &canvas{image: image.NewRGBA(image.Rect(0, 0, int(math.Ceil(d.Width*scale)), int(math.Ceil(d.Height*scale)))), scale: scale}
	draw.Draw(c.image, c.image.Bounds(), image.White, image.Point{}, draw.Src)
	for _, s := range d.shapes {
		if s.text != "" {
			c.letters(s)
		} else {
			c.path(s.path, s.look)
		}
	}
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	return encoder.Encode(w, c.image)
}

// canvas paints paths on an image.
type canvas struct {
	image  *image.RGBA
	scale  float64
	raster vector.Rasterizer
}

func (c *canvas) path(path []step, look look) {
	pieces, closed := flat(c.scaled(path), 0.2)
	if look.fill != "" {
		c.fill(pieces, look.fill)
	}
	if look.stroke == "" {
		return
	}
	var outline [][]point
	for i, piece := range pieces {
		lines := [][]point{piece}
		if len(look.dash) > 0 {
			dash := make([]float64, len(look.dash))
			for k, v := range look.dash {
				dash[k] = v * c.scale
			}
			lines = dashed(piece, dash)
		}
		for _, l := range lines {
			outline = append(outline, stroked(l, look.width*c.scale/2, closed[i] && len(look.dash) == 0)...)
		}
	}
	c.fill(outline, look.stroke)
}

func (c *canvas) scaled(path []step) []step {
	out := make([]step, len(path))
	for i, s := range path {
		for k := range s.p {
			s.p[k] = point{s.p[k].x * c.scale, s.p[k].y * c.scale}
		}
		out[i] = s
	}
	return out
}

// stroked is the outline of a line of a half width: a box for each part, all
// turning the same way, and a round joint between two.
func stroked(line []point, r float64, closed bool) [][]point {
	var out [][]point
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		length := math.Hypot(b.x-a.x, b.y-a.y)
		if length == 0 {
			continue
		}
		nx, ny := -(b.y-a.y)/length*r, (b.x-a.x)/length*r
		out = append(out, []point{{a.x + nx, a.y + ny}, {a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}})
		if (i+1 < len(line) || closed) && r > 0.6 {
			out = append(out, joint(b, r))
		}
	}
	return out
}

// joint is a small circle, turning the same way as the boxes of [stroked].
func joint(at point, r float64) []point {
	n := 6
	if r > 2 {
		n = 10
	}
	list := make([]point, n)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		list[i] = point{at.x + r*cos, at.y + r*sin}
	}
	return list
}

// tile is about the size, in dots, of the parts in which large shapes are
// painted: a line across the sheet fills little of the rectangle around it.
const tile = 128

// fill paints polygons in one colour, as one shape.
func (c *canvas) fill(pieces [][]point, hex string) {
	r, g, b := colour(hex)
	c.fillPart(pieces, image.NewUniform(color.RGBA{r, g, b, 255}))
}

func (c *canvas) fillPart(pieces [][]point, paint *image.Uniform) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, piece := range pieces {
		for _, p := range piece {
			x0, y0, x1, y1 = min(x0, p.x), min(y0, p.y), max(x1, p.x), max(y1, p.y)
		}
	}
	switch {
	case len(pieces) == 0:
		return
	case x1-x0 > 2*tile && x1-x0 >= y1-y0:
		c.fillHalves(pieces, paint, func(p point, at float64) float64 { return p.x - at }, math.Round((x0+x1)/2))
		return
	case y1-y0 > 2*tile:
		c.fillHalves(pieces, paint, func(p point, at float64) float64 { return p.y - at }, math.Round((y0+y1)/2))
		return
	}
	box := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1))).Intersect(c.image.Bounds())
	if box.Empty() {
		return
	}
	c.raster.Reset(box.Dx(), box.Dy())
	for _, piece := range pieces {
		for i, p := range piece {
			x, y := float32(p.x-float64(box.Min.X)), float32(p.y-float64(box.Min.Y))
			if i == 0 {
				c.raster.MoveTo(x, y)
			} else {
				c.raster.LineTo(x, y)
			}
		}
		c.raster.ClosePath()
	}
	c.raster.Draw(c.image, box, paint, image.Point{})
}

// fillHalves paints what lies on either side of a line between dots.
func (c *canvas) fillHalves(pieces [][]point, paint *image.Uniform, off func(point, float64) float64, at float64) {
	for _, side := range [2]float64{-1, 1} {
		var half [][]point
		for _, piece := range pieces {
			if cut := beyond(piece, func(p point) float64 { return side * off(p, at) }); len(cut) > 2 {
				half = append(half, cut)
			}
		}
		c.fillPart(half, paint)
	}
}

// beyond is the part of a polygon where a distance is not negative (Sutherland &
// Hodgman 1974, Comm. ACM 17:32).
func beyond(piece []point, distance func(point) float64) []point {
	inside, outside := 0, 0
	for _, p := range piece {
		if distance(p) >= 0 {
			inside++
		} else {
			outside++
		}
	}
	switch {
	case inside == 0:
		return nil
	case outside == 0:
		return piece
	}
	out := make([]point, 0, len(piece)+2)
	a := piece[len(piece)-1]
	for _, b := range piece {
		da, db := distance(a), distance(b)
		if (da >= 0) != (db >= 0) {
			t := da / (da - db)
			out = append(out, point{a.x + (b.x-a.x)*t, a.y + (b.y-a.y)*t})
		}
		if db >= 0 {
			out = append(out, b)
		}
		a = b
	}
	return out
}

func (c *canvas) letters(s shape) {
	runs := lettering.Runs(s.text, s.size, s.bold)
	shift := s.shift(lettering.RunsWidth(runs))
	var glyphs []step
	for _, run := range runs {
		x := shift + run.X
		for _, r := range run.Text {
			for _, step := range outline(run.Font.Outline(r), s.size) {
				for k := range step.p {
					step.p[k] = s.turn(point{step.p[k].x + x, step.p[k].y})
				}
				glyphs = append(glyphs, step)
			}
			x += run.Font.Advance(r) * s.size
		}
	}
	if s.halo {
		c.path(glyphs, look{stroke: paper, width: 3})
	}
	c.path(glyphs, look{fill: s.fill})
}

// turn puts a point of a text, measured from its beginning, on the sheet.
func (s shape) turn(p point) point {
	if s.turned {
		return point{s.at.x + p.y, s.at.y - p.x}
	}
	return point{s.at.x + p.x, s.at.y + p.y}
}

// outline is a glyph as a path.
func outline(segments sfnt.Segments, size float64) []step {
	at := func(p fixed.Point26_6) point {
		k := size / 64 / lettering.Scale
		return point{float64(p.X) * k, float64(p.Y) * k}
	}
	var path []step
	last := point{}
	for i, s := range segments {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if i > 0 {
				path = append(path, step{op: 'z'})
			}
			path = append(path, step{'m', [3]point{at(s.Args[0])}})
			last = at(s.Args[0])
		case sfnt.SegmentOpLineTo:
			path = append(path, step{'l', [3]point{at(s.Args[0])}})
			last = at(s.Args[0])
		case sfnt.SegmentOpQuadTo: // as a cubic
			q, e := at(s.Args[0]), at(s.Args[1])
			path = append(path, step{'c', [3]point{
				{last.x + (q.x-last.x)*2/3, last.y + (q.y-last.y)*2/3}, {e.x + (q.x-e.x)*2/3, e.y + (q.y-e.y)*2/3}, e}})
			last = e
		case sfnt.SegmentOpCubeTo:
			path = append(path, step{'c', [3]point{at(s.Args[0]), at(s.Args[1]), at(s.Args[2])}})
			last = at(s.Args[2])
		}
	}
	if len(path) > 0 {
		path = append(path, step{op: 'z'})
	}
	return path
}
