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

// Measures of an ancestor chart.
const (
	cardWidth  = 164.0
	cardText   = 41.0 // from the left edge of a card to its text
	cardLine   = 13.0
	portHeight = 15.0
	unionSize  = 12.0
)

// Ancestors draws the ancestors of a fish, a lot, or the young of a spawn, up to
// so many generations back (0: all), time running to the right. Every record
// stands there once: one that comes up several times has as many heavy lines
// leaving it, red where they reach the subject through both its parents. The id must be one of the book's. O(records shown · records) for
// the counts of what is not shown.
func Ancestors(state *genetics.State, id string, generations int) *Drawing {
	if generations <= 0 {
		generations = math.MaxInt
	}
	a := newAncestry(state, id, generations)
	p := a.plan()
	lines := []string{place(a.book.LineNamed(a.line())), a.factsLine()}
	d := begin(state.Date(), max(p.width+2*margin, 460), "Ancestors of "+a.cards[0].lines[0], lines...)
	p.draw(d)
	remark := ""
	if a.hidden > 0 {
		remark = fmt.Sprintf("Not shown: %s further back.", counted(a.hidden, "earlier record"))
	}
	d.Description = a.inWords()
	return d.close(a.keys(), remark, a.relatedFounders(), expectation)
}

// inWords tells the chart to those who do not see it.
func (a *ancestry) inWords() string {
	fish, lots := 0, 0
	var again [bothParents + 1][]string
	for i, c := range a.cards {
		switch {
		case i == 0 || c.stock == nil:
		case c.stock.Lot:
			lots++
		default:
			fish++
		}
		if c.again != once {
			again[c.again] = append(again[c.again], c.stock.ID)
		}
	}
	var parts []string
	if fish > 0 {
		parts = append(parts, counted(fish, "fish"))
	}
	if lots > 0 {
		parts = append(parts, counted(lots, "lot"))
	}
	if len(parts) == 0 {
		return "No ancestors are in the book."
	}
	words := strings.Join(parts, " and ") + " as ancestors, oldest on the left."
	if both := again[bothParents]; len(both) > 0 {
		words += " On the sire's side and on the dam's: " + strings.Join(both, ", ") + "."
	}
	if one := again[oneParent]; len(one) > 0 {
		words += " In more than one way, but through one parent only: " + strings.Join(one, ", ") + "."
	}
	return words
}

// ancestryPlan is where everything of an ancestor chart stands.
type ancestryPlan struct {
	*ancestry
	graph       layers
	card, union []int // nodes
	ways        [][]int
	x           []float64 // left edge of each column
	label       []float64 // room beside the cards of each column
	width       float64
}

// plan lays the chart out: cards in even columns, unions in odd ones.
func (a *ancestry) plan() *ancestryPlan {
	p := &ancestryPlan{ancestry: a}
	cards, unions := a.distances()
	last := 0
	for _, distance := range cards {
		last = max(last, distance)
	}
	p.graph.columns = make([][]int32, last+1)
	for i := range a.cards {
		p.card = append(p.card, p.graph.node(last-cards[i], a.cardSize(i)/2+5, a.cardSize(i)/2+5))
	}
	for i, u := range a.unions {
		size := unionSize
		for _, k := range u.out {
			if a.links[k].label != "" {
				size = 2 * portHeight
			}
		}
		p.union = append(p.union, p.graph.node(last-unions[i], size/2, size/2))
	}
	for _, l := range a.links {
		weight := 1.0
		if l.fromUnion {
			weight = 4 // young stand beside where their parents meet
		}
		p.ways = append(p.ways, p.graph.join(p.from(l), p.to(l), weight, 10))
	}
	p.graph.arrange()
	p.measure()
	return p
}

func (p *ancestryPlan) from(l link) int {
	if l.fromUnion {
		return p.union[l.from]
	}
	return p.card[l.from]
}

func (p *ancestryPlan) to(l link) int {
	if l.toUnion {
		return p.union[l.to]
	}
	return p.card[l.to]
}

// cardSize is the height of a card: its lines, and room for the lines that leave it.
func (a *ancestry) cardSize(i int) float64 {
	c := a.cards[i]
	lines := len(c.lines)
	if c.cut > 0 {
		lines++
	}
	return max(30, cardLine*float64(lines)+10, portHeight*float64(len(c.out))+6)
}

// distances are the columns back from the subject, the longest way, cards even
// and unions odd.
func (a *ancestry) distances() (cards, unions []int) {
	cards, unions = make([]int, len(a.cards)), make([]int, len(a.unions))
	done := make([]bool, len(a.cards))
	var ofCard func(i int) int
	ofUnion := func(u int) int {
		for _, k := range a.unions[u].out {
			unions[u] = max(unions[u], ofCard(a.links[k].to)+1)
		}
		return unions[u]
	}
	ofCard = func(i int) int {
		if done[i] {
			return cards[i]
		}
		done[i] = true
		if i == 0 {
			return 0
		}
		for _, k := range a.cards[i].out {
			if l := a.links[k]; l.toUnion {
				cards[i] = max(cards[i], ofUnion(l.to)+1)
			} else {
				cards[i] = max(cards[i], ofCard(l.to)+2)
			}
		}
		return cards[i]
	}
	for i := range cards {
		ofCard(i)
	}
	return cards, unions
}

// measure finds the columns' places: as wide as the labels on the way need.
func (p *ancestryPlan) measure() {
	n := len(p.graph.columns)
	label := make([]float64, n)
	for k, l := range p.links {
		column := int(p.graph.column[p.ways[k][0]])
		if !l.fromUnion && l.label != "" {
			label[column] = max(label[column], lettering.Width(l.label, smallSize, false)+6)
		}
		if l.fromUnion && l.label != "" {
			label[column] = max(label[column], lettering.Width(l.label, smallSize, false)+8)
		}
	}
	p.x = make([]float64, n)
	at := 0.0
	for column := range n {
		p.x[column] = at
		if (n-1-column)%2 == 0 {
			at += cardWidth + 32 + label[column]
		} else {
			at += 18 + label[column]
		}
	}
	p.label = label
	p.width = p.x[n-1] + cardWidth
}

// middle is where a line passes a node that is no card.
func (p *ancestryPlan) middle(d float64, n int) point {
	return point{margin + p.x[p.graph.column[n]] + 4, d + p.graph.y[n]}
}

func (p *ancestryPlan) draw(d *Drawing) {
	top := d.Height
	ports := p.ports()
	for again := once; again <= bothParents; again++ {
		for k, l := range p.links {
			if l.again == again {
				p.drawLink(d, top, k, ports[k])
			}
		}
	}
	for i := range p.unions {
		d.draw(circle(p.middle(top, p.union[i]), 3), look{fill: ink})
	}
	for i := range p.cards {
		p.drawCard(d, top, i)
	}
	for k, l := range p.links {
		p.drawLabel(d, top, l, p.ways[k], ports[k])
	}
	d.Height = top + p.graph.height()
}

// ports are the places, from the middle of its card, at which each line leaves.
func (p *ancestryPlan) ports() []float64 {
	ports := make([]float64, len(p.links))
	for i := range p.cards {
		out := slices.Clone(p.cards[i].out)
		slices.SortStableFunc(out, func(a, b int) int {
			return cmp.Compare(p.graph.y[p.ways[a][1]], p.graph.y[p.ways[b][1]])
		})
		for k, l := range out {
			ports[l] = (float64(k) - float64(len(out)-1)/2) * portHeight
		}
	}
	return ports
}

func (p *ancestryPlan) drawLink(d *Drawing, top float64, k int, port float64) {
	l, way := p.links[k], p.ways[k]
	var points []point
	for i, n := range way {
		at := p.middle(top, n)
		isCard := i == 0 && !l.fromUnion || i == len(way)-1 && !l.toUnion
		switch {
		case isCard && i == 0: // level as far as the label goes
			at.x += cardWidth - 4
			at.y += port
			points = append(points, at)
			at.x += max(1, p.label[p.graph.column[n]])
		case isCard:
			at.x -= 4
		case i == 0 && l.label != "":
			points = append(points, at)
			at.x += p.label[p.graph.column[n]]
		case (len(p.graph.columns)-1-int(p.graph.column[n]))%2 == 0: // through a column of cards
			points = append(points, at)
			at.x += cardWidth
		}
		points = append(points, at)
	}
	path := smooth(points)
	paint := look{stroke: line, width: 1.3}
	if l.share < 1 {
		paint.width = 0.6 + 1.2*l.share
	}
	if l.again != once {
		paint.stroke = l.again.colour()
		paint.width *= 1.6
	}
	if l.kin && l.toUnion {
		d.draw(path, look{stroke: paint.stroke, width: 2*paint.width + 1.6})
		d.draw(path, look{stroke: paper, width: 1.6})
		return
	}
	d.draw(path, paint)
}

func (p *ancestryPlan) drawLabel(d *Drawing, top float64, l link, way []int, port float64) {
	if l.label == "" {
		return
	}
	w := word{size: smallSize, colour: faint, halo: true}
	at := p.middle(top, way[0])
	if l.fromUnion {
		d.write(point{at.x + 6, at.y - 4}, l.label, w)
		return
	}
	d.write(point{at.x + cardWidth, at.y + port - 4}, l.label, w)
}

func (p *ancestryPlan) drawCard(d *Drawing, top float64, i int) {
	c := p.cards[i]
	n := p.card[i]
	h := p.cardSize(i)
	x, y := margin+p.x[p.graph.column[n]], top+p.graph.y[n]-h/2
	frame := look{fill: paper, stroke: rule, width: 1}
	switch {
	case i == 0:
		frame = look{fill: "#eef4f4", stroke: ink, width: 2}
	case c.again == bothParents:
		frame = look{fill: tint, stroke: accent, width: 2}
	case c.again == oneParent:
		frame = look{fill: paper, stroke: line, width: 2}
	}
	d.draw(rounded(x, y, cardWidth, h, 6), frame)
	d.symbol(point{x + 20, y + h/2}, 11, c.symbol)
	lines := len(c.lines)
	if c.cut > 0 {
		lines++
	}
	room := cardWidth - cardText - 6
	base := y + h/2 - cardLine*float64(lines)/2 + 10
	for k, text := range c.lines {
		w := word{size: smallSize, colour: faint, room: room}
		if k == 0 {
			w = word{size: textSize, bold: c.stock != nil || c.spawn != nil, room: room}
			if c.again != once && room > 80 {
				badge := fmt.Sprintf("%d ways", c.ways)
				if c.ways >= manyWays {
					badge = "many ways"
				}
				box := d.write(point{x + cardWidth - 6, base}, badge, word{size: smallSize, bold: true, colour: c.again.colour(), anchor: end})
				w.room = box.x0 - (x + cardText) - 4
				if lettering.Width(text, w.size, true) > w.room {
					text = c.stock.ID
				}
			}
		}
		if text != "" {
			d.write(point{x + cardText, base}, text, w)
			base += cardLine
		}
	}
	if c.cut > 0 {
		d.write(point{x + cardText, base}, "◂ "+fmt.Sprint(c.cut)+" not shown", word{size: smallSize, bold: true, colour: line, room: room})
	}
}
