package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"roebook/genetics"
	"roebook/io/lettering"
)

// rows finds the top of every row; those of unions are thin.
func (s *streams) rows() {
	cards := 0.0
	for row := range s.wide {
		cards += s.tall(row)
	}
	n := len(s.wide)
	step := min(streamsStep, max(leastStep, (streamsHeight-cards)/float64(max(1, n-1))))
	y := 4.0
	for row := range n {
		s.rowTop = append(s.rowTop, y)
		if tall := s.tall(row); tall > 0 { // young stand close to where their parents meet
			y += tall + 1.4*step
		} else {
			y += 0.6 * step
		}
	}
}

// end is where a link meets a card or union: beside the others that do.
func (s *streams) ends() (top, bottom []point) {
	top, bottom = make([]point, len(s.links)), make([]point, len(s.links))
	spread := func(n int, links []int, y float64, other func(k int) int, at []point) {
		links = slices.Clone(links)
		slices.SortStableFunc(links, func(a, b int) int { return cmp.Compare(s.graph.y[other(a)], s.graph.y[other(b)]) })
		wide := 0.0
		for _, k := range links {
			wide += s.breadth(k)
		}
		x := s.graph.y[n] - wide/2
		for _, k := range links {
			at[k] = point{x + s.breadth(k)/2, y}
			x += s.breadth(k)
		}
	}
	next := func(k int) int { return s.ways[k][1] }
	before := func(k int) int { return s.ways[k][len(s.ways[k])-2] }
	for i, c := range s.ancestry.cards {
		n := s.card[i]
		row := int(s.graph.column[n])
		y := s.rowTop[row]
		spread(n, c.out, y+s.tall(row), next, top)
		spread(n, c.in, y, before, bottom)
	}
	for i, u := range s.ancestry.unions {
		n := s.union[i]
		y := s.rowTop[s.graph.column[n]]
		spread(n, u.out, y, next, top)
		spread(n, u.in, y, before, bottom)
	}
	return top, bottom
}

func (s *streams) breadth(k int) float64 { return max(1.2, broadest*s.through(k)) }

func (s *streams) drawStreams(d *Drawing) {
	top, bottom := s.ends()
	order := make([]int, len(s.links))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.breadth(b), s.breadth(a)) })
	for _, k := range order {
		points := []point{top[k]}
		way := s.ways[k]
		for _, n := range way[1 : len(way)-1] {
			row := int(s.graph.column[n])
			points = append(points, point{s.graph.y[n], s.rowTop[row]})
			if tall := s.tall(row); tall > 0 {
				points = append(points, point{s.graph.y[n], s.rowTop[row] + tall})
			}
		}
		points = append(points, bottom[k])
		path := downwards(points)
		d.draw(path, look{stroke: paper, width: s.breadth(k) + 1.6})
		paint := look{stroke: s.water(s.links[k]), width: s.breadth(k)}
		doubtful := s.links[k].toUnion && s.links[k].share < 1
		if doubtful && paint.width < 4 {
			paint.dash = []float64{5, 2.5}
		}
		d.draw(path, paint)
		if doubtful && paint.width >= 4 {
			d.draw(path, look{stroke: paper, width: 1.4, dash: []float64{5, 4}})
		}
	}
}

// downwards is a smooth curve that runs from the top down.
func downwards(points []point) []step {
	turned := make([]point, len(points))
	for i, p := range points {
		turned[i] = point{p.y, p.x}
	}
	path := smooth(turned)
	for i := range path {
		for k, p := range path[i].p {
			path[i].p[k] = point{p.y, p.x}
		}
	}
	return path
}

// water is the colour of the genes that come by a link: a mixture of those of
// the founders that they are from.
func (s *streams) water(l link) string {
	id := ""
	switch {
	case l.fromUnion:
		id = s.ancestry.unions[l.from].first.ID
	case s.ancestry.cards[l.from].stock != nil:
		id = s.ancestry.cards[l.from].stock.ID
	}
	from, ok := s.state.Ancestry(id)
	if !ok {
		from = s.earlier(id)
	}
	var mixed [3]float64
	for _, part := range []struct {
		share float64
		of    string
	}{{from.Wild, streamWild}, {from.Bought, streamBought}, {from.Unknown, streamUnknown}} {
		r, g, b := colour(part.of)
		for i, v := range []uint8{r, g, b} {
			mixed[i] += part.share * float64(v)
		}
	}
	return fmt.Sprintf("#%02x%02x%02x", int(math.Round(mixed[0])), int(math.Round(mixed[1])), int(math.Round(mixed[2])))
}

// earlier is where the genes of a lot came from that has no fish any more.
func (s *streams) earlier(id string) genetics.Ancestry {
	if stock := s.book.StockByID(id); stock != nil && stock.Lot {
		if from, ok := s.state.Model().On(s.book.Begins(stock)).Ancestry(id); ok {
			return from
		}
	}
	return genetics.Ancestry{Unknown: 1}
}

func (s *streams) drawStreamCard(d *Drawing, i int) {
	c := s.ancestry.cards[i]
	n := s.card[i]
	row := int(s.graph.column[n])
	wide, tall := s.wide[row], s.tall(row)
	x, y := s.graph.y[n]-wide/2, s.rowTop[row]
	frame := look{fill: paper, stroke: rule, width: 1}
	switch {
	case i == 0:
		frame = look{fill: paper, stroke: ink, width: 2}
	case c.again != once:
		frame = look{fill: paper, stroke: line, width: 1.6}
	}
	d.draw(rounded(x, y, wide, tall, tall/2), frame)
	id := c.lines[0]
	if c.stock != nil {
		id = c.stock.ID
	}
	if wide < slimFrom {
		d.slim(c.symbol, id, x, y, wide)
		return
	}
	d.symbol(point{x + 16, y + tall/2}, 7.6, c.symbol)
	left, room := x+29, wide-29-8
	if c.stock == nil && c.spawn == nil {
		d.write(point{left, y + 18}, id, word{size: smallSize, colour: faint, room: room})
		return
	}
	box := d.write(point{left, y + 12.5}, id, word{size: textSize, bold: true, room: room})
	if g, ok := s.state.Generation(id); ok {
		if rest := x + wide - 8 - box.x1 - 4; rest > 14 {
			d.write(point{box.x1 + 4, y + 12.5}, g.Label(), word{size: smallSize, colour: ink, room: rest})
		}
	}
	d.write(point{left, y + 23.3}, s.second(i), word{size: smallSize, colour: faint, room: room})
}

// slim draws what stands in a card of a full row: its sign, and under it its name
// as large as goes in.
func (d *Drawing) slim(sign symbol, id string, x, y, wide float64) {
	d.symbol(point{x + wide/2, y + 11}, 6.4, sign)
	w := word{size: smallSize, bold: true, anchor: middle, room: wide - 2}
	if sign.origin == unknown {
		w.bold, w.colour, id = false, faint, "unknown"
	}
	for w.size > 6 && lettering.Width(id, w.size, w.bold) > w.room {
		w.size -= 0.25
	}
	d.write(point{x + wide/2, y + 28.5}, id, w)
}

// second is the second line of a card: where a founder came from; of the others
// how inbred they are, or when they were born.
func (s *streams) second(i int) string {
	c := s.ancestry.cards[i]
	if c.stock == nil {
		return c.lines[len(c.lines)-1]
	}
	if c.symbol.origin == wild || c.symbol.origin == bought {
		lines := s.whence(c.stock)
		words := lines[0]
		if strings.HasPrefix(words, "out of ") {
			return words
		}
		words = strings.TrimSuffix(words, ",")
		if len(lines) > 1 && c.symbol.origin == wild {
			year, _, _ := strings.Cut(c.stock.Wild.Date.String(), "-")
			words = year + ", " + lines[1]
		}
		return words
	}
	f, ok := s.inbreeding(c.stock)
	born := s.book.BornOn(c.stock)
	switch {
	case ok && f > 0:
		return percent(f) + " inbred"
	case len(c.stock.Merged) > 0:
		return "lots put together"
	case born.Known():
		return fmt.Sprintf("born %d", born.Year())
	}
	return "not inbred"
}

// explain ends the chart with what its signs mean, in as few words as will do.
func (s *streams) explain(d *Drawing) {
	caption := streamsCaption
	for _, l := range s.links {
		if l.toUnion && l.share < 1 {
			caption += " Dashed: one of several possible parents."
			break
		}
	}
	if s.hidden > 0 {
		caption += fmt.Sprintf(" Not shown: %s further back.", counted(s.hidden, "earlier record"))
	}
	d.paragraph(caption, smallSize, faint, 3)
	d.Height += 4
	x := margin
	for _, k := range s.keys() {
		words, ok := shortKeys[k.means]
		if !ok {
			continue
		}
		wide := 34 + 5.2*float64(len(words))
		if x+wide > d.Width-margin {
			x = margin
			d.Height += 17
		}
		k.sample(d, point{x + 13, d.Height + 9})
		box := d.write(point{x + 30, d.Height + 12.5}, words, word{size: smallSize, colour: faint})
		x = box.x1 + 14
	}
	d.Height += 20
}

// shortKeys are the entries of the other charts' legends that are of use here.
var shortKeys = map[string]string{
	"male": "male", "female": "female", "sex not known": "sex not known",
	severalFish:                                     "a lot of so many fish",
	"a parent that the book does not know":          "not known to the book",
	"caught in the wild":                            "wild-caught",
	"bought: its own ancestors are not in the book": "bought",
	"bred in the book":                              "bred in the book", "dead": "dead",
}
