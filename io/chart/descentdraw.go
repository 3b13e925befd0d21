package chart

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"roebook/pedigree"
)

// at is where a node stands.
func (g *lineage) at(left, top float64, n int) point {
	return point{left + float64(g.graph.column[n])*g.columnWidth, top + g.graph.y[n]}
}

func (g *lineage) draw(d *Drawing, left float64) {
	top := d.Height + 24
	height := g.graph.height()
	g.drawYears(d, left, top, height)
	for _, l := range g.links {
		g.drawLink(d, left, top, l)
	}
	for i := range g.bands {
		g.drawBand(d, left, top, &g.bands[i])
	}
	for _, s := range g.spawns {
		g.drawSpawn(d, g.at(left, top, g.dots[s.ID]), s)
	}
	for i := range g.bands {
		g.drawLabel(d, left, top, &g.bands[i])
	}
	d.Height = top + height + 22
}

func (g *lineage) drawYears(d *Drawing, left, top, height float64) {
	c := g.calendar
	for column := 0; column < c.columns; {
		next := column + 1
		for next < c.columns && c.years[next] == c.years[column] {
			next++
		}
		x0 := left + (float64(column)-0.3)*g.columnWidth
		x1 := left + (float64(next)-0.3)*g.columnWidth
		name := strconv.Itoa(c.years[column])
		if c.years[column] == 0 {
			name = "undated"
		}
		if c.years[column]%2 == 0 {
			d.draw(rectangle(x0, top-6, x1-x0, height+12), look{fill: "#f4f7f7"})
		}
		for _, y := range []float64{top - 12, top + height + 18} {
			d.write(point{(x0 + x1) / 2, y}, name, word{size: textSize + 1, bold: true, anchor: middle, colour: faint, room: x1 - x0})
		}
		column = next
	}
}

func (g *lineage) drawLink(d *Drawing, left, top float64, l flowLink) {
	var points []point
	for _, n := range l.way {
		points = append(points, g.at(left, top, n))
	}
	path := smooth(points)
	paint := look{stroke: line, width: l.width}
	if l.pick {
		paint.dash = []float64{3, 2.2}
	}
	if l.kin {
		paint.width = 2*l.width + 1.1
		d.draw(path, paint)
		paint = look{stroke: paper, width: 1.1}
	}
	d.draw(path, paint)
}

// drawBand draws a lot as a band, a single fish as a line that begins with its
// symbol.
func (g *lineage) drawBand(d *Drawing, left, top float64, b *band) {
	var way []point
	for _, n := range b.nodes {
		way = append(way, g.at(left, top, n))
	}
	tail := 0.45 * g.columnWidth
	if b.living > 0 {
		tail = 0.7 * g.columnWidth
	}
	last := way[len(way)-1]
	way = append(way, point{last.x + tail, last.y})
	way, thick := straightened(way, append(slices.Clone(b.thick), b.thick[len(b.thick)-1]))
	if b.stock.Lot {
		d.add(shape{path: ribbon(way, thick), look: look{fill: b.symbol.origin.fill(), stroke: ink, width: 0.8}, tip: g.tip(b)})
	} else {
		d.add(shape{path: smooth(way), look: look{stroke: ink, width: 2.2}, tip: g.tip(b)})
	}
	g.drawEnd(d, way[len(way)-1], b)
	if !b.stock.Lot {
		d.symbol(way[0], 5, symbol{sex: b.symbol.sex, origin: b.symbol.origin})
	}
}

// straightened leaves out points of a band that lie on the way between those
// beside them.
func straightened(way []point, thick []float64) ([]point, []float64) {
	points, widths := way[:1:1], thick[:1:1]
	for i := 1; i < len(way)-1; i++ {
		a, b, c := points[len(points)-1], way[i], way[i+1]
		bends := math.Abs((c.y-a.y)*(b.x-a.x)-(b.y-a.y)*(c.x-a.x)) > 0.15*(c.x-a.x)
		if bends || math.Abs(thick[i]-widths[len(widths)-1])+math.Abs(thick[i+1]-thick[i]) > 0.05 {
			points, widths = append(points, b), append(widths, thick[i])
		}
	}
	return append(points, way[len(way)-1]), append(widths, thick[len(thick)-1])
}

// ribbon is the outline of a band along its middle.
func ribbon(way []point, thick []float64) []step {
	upper, lower := make([]point, len(way)), make([]point, len(way))
	for i, at := range way {
		upper[i] = point{at.x, at.y - thick[i]/2}
		lower[len(way)-1-i] = point{at.x, at.y + thick[i]/2}
	}
	path := append(smooth(upper), step{'l', [3]point{lower[0]}})
	path = append(path, smooth(lower)[1:]...)
	return append(path, step{op: 'z'})
}

// drawEnd marks why a record ends: a stroke for the dead, an arrow for those
// sold or given away.
func (g *lineage) drawEnd(d *Drawing, at point, b *band) {
	r := b.thick[len(b.thick)-1]/2 + 3
	paint := look{stroke: ink, width: 1.4}
	switch {
	case b.living > 0:
	case b.symbol.dead:
		d.draw(polyline(point{at.x - r*0.6, at.y + r}, point{at.x + r*0.6, at.y - r}), paint)
	case b.sold:
		d.draw(polyline(point{at.x, at.y}, point{at.x + 9, at.y}), paint)
		d.draw(polyline(point{at.x + 5, at.y - 3}, point{at.x + 9, at.y}, point{at.x + 5, at.y + 3}), paint)
	}
}

func (g *lineage) drawSpawn(d *Drawing, at point, s *pedigree.Spawn) {
	for i, sex := range sexes {
		if len(g.book.Contributors(s, sex)) > 0 {
			continue
		}
		from := point{at.x - 15, at.y - 10 + 20*float64(i)}
		d.draw(flow(from, at), look{stroke: line, width: 1})
		d.symbol(from, 5, symbol{sex: sex, origin: unknown})
	}
	words := s.ID + ", " + date(s.Date)
	if f, ok := g.state.Expected(s); ok {
		words += ", young " + percent(f) + " inbred"
	}
	d.add(shape{path: circle(at, 2.6), look: look{fill: ink}, tip: words})
}

func (g *lineage) drawLabel(d *Drawing, left, top float64, b *band) {
	at := g.at(left, top, b.nodes[0])
	lift := b.thick[0]/2 + 2.5
	if !b.stock.Lot {
		lift = 7.5
	}
	colour := ink
	if g.outside[b.stock.ID] {
		colour = accent
	}
	d.write(point{at.x - 5, at.y - lift}, b.stock.ID, word{size: labelSize, bold: true, room: g.columnWidth - 6, halo: true, colour: colour})
	if b.living > 0 {
		end := g.at(left, top, b.nodes[len(b.nodes)-1])
		name := d.write(point{end.x + 0.7*g.columnWidth + 6, end.y + 3.2}, b.stock.ID, word{size: labelSize, bold: true, room: rightName})
		d.write(point{name.x1 + 4, end.y + 3.2}, b.number(), word{size: labelSize, colour: faint})
	}
}

// tip says of a band what a viewer may show for it.
func (g *lineage) tip(b *band) string {
	words := b.stock.ID
	if b.stock.Lot {
		words += ": " + census(censusOf(g.state, b.stock))
	} else {
		words += ": " + b.stock.Sex.String()
	}
	if gen, ok := g.state.Generation(b.stock.ID); ok {
		words += ", " + gen.Label()
	}
	if f, ok := g.state.Inbreeding(b.stock.ID); ok {
		words += ", " + percent(f) + " inbred"
	}
	return words
}

// keys explains what the chart uses.
func (g *lineage) keys() []key {
	used := map[string]bool{}
	for _, b := range g.bands {
		used["lot"] = used["lot"] || b.stock.Lot
		if !b.stock.Lot {
			used[b.symbol.sex.String()] = true
		}
		used[[...]string{"bred", "wild", "bought", ""}[b.symbol.origin]] = true
		used["dead"] = used["dead"] || b.symbol.dead && b.living == 0
		used["sold"] = used["sold"] || b.sold && b.living == 0
		used["pick"] = used["pick"] || b.stock.Picked != ""
		used["outside"] = used["outside"] || g.outside[b.stock.ID]
	}
	for _, l := range g.links {
		used["kin"] = used["kin"] || l.kin
		used["odds"] = used["odds"] || l.width < 1.2
	}
	for _, s := range g.spawns {
		used["unknown"] = used["unknown"] || len(g.book.Contributors(s, pedigree.Male))*len(g.book.Contributors(s, pedigree.Female)) == 0
	}
	var keys []key
	for _, k := range []struct {
		name string
		key  key
	}{
		{"lot", key{sampleBand, "a lot, fish kept together: the thicker, the more fish"}},
		{"male", key{sampleSymbol(symbol{sex: pedigree.Male}), "a male"}},
		{"female", key{sampleSymbol(symbol{sex: pedigree.Female}), "a female"}},
		{"unsexed", key{sampleSymbol(symbol{}), "a fish of unknown sex"}},
		{"wild", key{sampleSwatch(wildFill), wildOr(g.book, "caught in the wild", aFounder)}},
		{"bought", key{sampleSwatch(boughtFill), "bought"}},
		{"bred", key{sampleSwatch(bredFill), wildOr(g.book, "bred in the book", "with a parent in the table")}},
		{"kin", key{sampleDouble, "the two parents are related"}},
		{"odds", key{sampleFan, "one of several candidates, or a part of all: the thinner the line, the less it counts"}},
		{"unknown", key{sampleSymbol(symbol{sex: pedigree.Male, origin: unknown}), "a parent that the book does not know"}},
		{"pick", key{samplePick, "picked out of a lot"}},
		{"dead", key{sampleEnd, "died"}},
		{"sold", key{sampleSold, "sold or given away"}},
		{"outside", key{sampleOutside, fmt.Sprintf("not a fish of %s", g.line)}},
	} {
		if used[k.name] {
			keys = append(keys, k.key)
		}
	}
	return keys
}

func sampleBand(d *Drawing, at point) {
	d.draw(rectangle(at.x-14, at.y-5, 28, 10), look{fill: bredFill, stroke: ink, width: 0.8})
}

func samplePick(d *Drawing, at point) {
	d.draw(flow(point{at.x - 14, at.y - 5}, point{at.x + 10, at.y + 4}), look{stroke: line, width: 1.4, dash: []float64{3, 2.2}})
	d.draw(rectangle(at.x+7, at.y, 8, 8), look{fill: bredFill, stroke: ink, width: 1.3})
}

func sampleEnd(d *Drawing, at point) {
	d.draw(polyline(point{at.x - 14, at.y}, point{at.x + 4, at.y}), look{stroke: ink, width: 2.2})
	d.draw(polyline(point{at.x + 1, at.y + 5}, point{at.x + 7, at.y - 5}), look{stroke: ink, width: 1.4})
}

func sampleSold(d *Drawing, at point) {
	d.draw(polyline(point{at.x - 14, at.y}, point{at.x + 9, at.y}), look{stroke: ink, width: 1.4})
	d.draw(polyline(point{at.x + 5, at.y - 3}, point{at.x + 9, at.y}, point{at.x + 5, at.y + 3}), look{stroke: ink, width: 1.4})
}

func sampleOutside(d *Drawing, at point) {
	d.write(point{at.x, at.y + 3.5}, "ID", word{size: labelSize, bold: true, colour: accent, anchor: middle})
}
