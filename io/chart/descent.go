package chart

import (
	"fmt"
	"math"

	"roebook/genetics"
	"roebook/io/lettering"
	"roebook/pedigree"
)

// lineage is what the chart of a line's descent shows.
type lineage struct {
	state    *genetics.State
	book     *pedigree.Book
	line     string
	stock    []*pedigree.Stock // in an order of descent
	spawns   []*pedigree.Spawn
	outside  map[string]bool // records of other lines that came in
	planned  int
	calendar *calendar

	graph   layers
	bands   []band
	byStock map[string]int
	dots    map[string]int // nodes of spawns
	links   []flowLink

	columnWidth float64
}

// band is a record through the columns in which it was there.
type band struct {
	stock  *pedigree.Stock
	symbol symbol
	first  int   // column
	nodes  []int // one a column
	thick  []float64
	living float64 // fish, on the day
	sold   bool
}

// flowLink is a curve from one node over others to another.
type flowLink struct {
	way   []int
	width float64
	kin   bool
	pick  bool
}

// Descent draws how a line descended, year by year, as far as the day of the
// state: lots as bands, single fish as lines, each spawn as a dot that its
// parents lead to and its young leave. The line must be one of the book's. For n
// records over c columns O(n · c) nodes at most, see [layers.arrange].
func Descent(state *genetics.State, line string) *Drawing {
	g := newLineage(state, line)
	if len(g.stock) == 0 {
		return begin(state.Date(), 460, "Descent of "+lineTitle(state, line), place(g.book.LineNamed(line)), "As of "+state.Date().String()+".").nothing(noFish)
	}
	g.graph.arrange()
	left := 14.0
	width := left + float64(g.calendar.columns)*g.columnWidth + g.rightRoom() + 2*margin
	d := begin(state.Date(), max(width, 560), "Descent of "+lineTitle(state, line), place(g.book.LineNamed(line)),
		fmt.Sprintf("As of %s: %s and %s.", state.Date(), counted(len(g.stock), "record"), counted(len(g.spawns), "spawn")))
	g.draw(d, margin+left)
	d.Description = fmt.Sprintf("%d fish and lots and %d spawns in the order of time, from left to right; %s living on %s.",
		len(g.stock), len(g.spawns), counted(g.livingRecords(), "record"), state.Date())
	remarks := []string{"Columns are years; within a year what came first stands to the left, without a scale."}
	if !g.calendar.byDate {
		remarks[0] = "Columns are years; within a year what came of something stands to the right of it, and else the place says nothing of the day."
	}
	if g.planned > 0 {
		remarks = append(remarks, counted(g.planned, "planned spawn")+" not shown.")
	}
	return d.close(g.keys(), append(remarks, expectation)...)
}

func newLineage(state *genetics.State, line string) *lineage {
	g := &lineage{state: state, book: state.Model().Book(), line: line, outside: map[string]bool{},
		byStock: map[string]int{}, dots: map[string]int{}}
	g.calendar = newCalendar(g.gather(), state.Date())
	widest := 0.0
	for _, s := range g.stock {
		widest = max(widest, lettering.Width(s.ID, labelSize, true))
	}
	g.columnWidth = min(max(widest+16, 52), 86)
	g.addBands()
	g.addSpawns()
	g.addOrigins()
	return g
}

// gather lists what there is to show in an order of descent.
func (g *lineage) gather() []happening {
	on := g.state.Date()
	ours := map[string]bool{}
	for _, s := range g.book.Stock {
		if s.Line == g.line && g.book.Begins(s) <= on {
			ours[s.ID] = true
		}
	}
	spawns := map[string]bool{}
	for _, s := range g.book.Spawns {
		switch {
		case s.Line == g.line && s.IsPlanned():
			g.planned++
		case s.Line == g.line && s.Date <= on:
			spawns[s.ID] = true
		}
	}
	shown := map[string]bool{}
	include := func(id string) {
		shown[id] = true
		if s := g.book.StockByID(id); s != nil && s.Line != g.line {
			g.outside[id] = true
		}
	}
	for _, s := range g.book.Stock {
		if !ours[s.ID] {
			continue
		}
		include(s.ID)
		if s.Picked != "" {
			include(s.Picked)
		}
		for _, part := range s.Merged {
			include(part.ID)
		}
		for _, from := range s.FromSpawns {
			spawns[from.Spawn] = true
		}
	}
	for _, s := range g.book.Spawns {
		if !spawns[s.ID] {
			continue
		}
		for _, sex := range sexes {
			for _, c := range g.book.Contributors(s, sex) {
				include(c.Stock.ID)
			}
		}
	}
	return g.inOrder(shown, spawns)
}

// inOrder lists what is shown so that everything comes after what it came from.
func (g *lineage) inOrder(stock, spawns map[string]bool) []happening {
	var list []happening
	descent := g.book.Descent()
	order, _ := descent.Order()
	for _, n := range order {
		id := descent.IDOf(n)
		h := happening{id: id}
		if n < len(g.book.Stock) {
			s := g.book.Stock[n]
			if !stock[id] {
				continue
			}
			g.stock = append(g.stock, s)
			h.date = g.book.Begins(s)
			if s.Picked != "" {
				h.after = append(h.after, s.Picked)
			}
			for _, from := range s.FromSpawns {
				h.after = append(h.after, from.Spawn)
			}
			for _, part := range s.Merged {
				h.after = append(h.after, part.ID)
			}
		} else {
			s := g.book.Spawns[n-len(g.book.Stock)]
			if !spawns[id] {
				continue
			}
			g.spawns = append(g.spawns, s)
			h.date = s.Date
			for _, sex := range sexes {
				for _, c := range g.book.Contributors(s, sex) {
					h.after = append(h.after, c.Stock.ID)
				}
			}
		}
		list = append(list, h)
	}
	return list
}

const (
	labelSize = 9.0
	bandGap   = 3.0
	level     = 24.0 // how much more than a link a band keeps level
)

// addBands makes a node for each record in each column in which it was there.
func (g *lineage) addBands() {
	until := g.lastUses()
	for _, s := range g.stock {
		b := band{stock: s, symbol: symbolOf(g.state, s, pedigree.Numbers{}), first: g.calendar.column[s.ID]}
		b.living = g.book.Heads(s, g.state.Date()).Total()
		last := max(b.first, until[s.ID])
		if b.living > 0 {
			last = g.calendar.columns - 1
		} else if ended, ok := g.ended(s); ok {
			last = max(last, g.calendar.on(ended))
		}
		b.sold = len(s.Sold) > 0 && !s.Died.Known()
		for column := b.first; column <= last; column++ {
			b.add(g, column)
		}
		g.byStock[s.ID] = len(g.bands)
		g.bands = append(g.bands, b)
	}
}

func (b *band) add(g *lineage, column int) {
	thick := 2.2
	if b.stock.Lot {
		n := g.book.LotHistory(b.stock.ID).At(g.calendar.day(column)).Stated.Total()
		if column == b.first || n == 0 {
			n = max(n, 1)
		}
		thick = 3 + 2.4*math.Sqrt(min(n, 60))
	}
	above, below := thick/2+bandGap, thick/2+bandGap
	if column == b.first {
		above += labelSize
		if !b.stock.Lot {
			above, below = above+4, below+4
		}
	}
	if b.living > 0 && column == g.calendar.columns-1 {
		above, below = max(above, 6), max(below, 6)
	}
	n := g.graph.node(column, above, below)
	if len(b.nodes) > 0 {
		g.graph.link(b.nodes[len(b.nodes)-1], n, level)
	}
	b.nodes, b.thick = append(b.nodes, n), append(b.thick, thick)
}

// lastUses are the columns up to which a record must reach for what came of it.
func (g *lineage) lastUses() map[string]int {
	until := map[string]int{}
	use := func(id string, column int) { until[id] = max(until[id], column-1) }
	for _, s := range g.stock {
		if s.Picked != "" {
			use(s.Picked, g.calendar.column[s.ID])
		}
		for _, part := range s.Merged {
			use(part.ID, g.calendar.column[s.ID])
		}
	}
	for _, s := range g.spawns {
		for _, sex := range sexes {
			for _, c := range g.book.Contributors(s, sex) {
				use(c.Stock.ID, g.calendar.column[s.ID])
			}
		}
	}
	return until
}

// ended returns the day after which no fish of a record was left; ok is false
// where the book does not say.
func (g *lineage) ended(s *pedigree.Stock) (day pedigree.Date, ok bool) {
	on := g.state.Date()
	if h := g.book.LotHistory(s.ID); h != nil {
		for i := len(h.States) - 1; i > 0 && h.States[i].Stated.Total() == 0; i-- {
			day = h.Events[i-1].Moment.Date
		}
		return min(day, on), day.Known()
	}
	for _, sale := range s.Sold {
		day = sale.Date
	}
	if s.Died.Known() && (!day.Known() || s.Died < day) {
		day = s.Died
	}
	if into := g.book.MergedInto(s.ID); into != nil && (!day.Known() || into.Date < day) {
		day = into.Date
	}
	return min(day, on), day.Known()
}

// addSpawns makes a dot for each spawn and leads its parents to it.
func (g *lineage) addSpawns() {
	for _, s := range g.spawns {
		above := 5.0
		f, ok := g.state.Expected(s)
		kin := ok && f > 1e-12
		for _, sex := range sexes {
			if len(g.book.Contributors(s, sex)) == 0 {
				above = 16
			}
		}
		column := g.calendar.column[s.ID]
		dot := g.graph.node(column, above, above)
		g.dots[s.ID] = dot
		for _, sex := range sexes {
			for _, c := range g.book.Contributors(s, sex) {
				width := 1.2
				if c.Share < 1 {
					width = 0.4 + 1.1*c.Share
				}
				g.lead(c.Stock.ID, dot, flowLink{width: width, kin: kin})
			}
		}
	}
}

// lead joins a band, where it stands before the column of a node, with the node.
func (g *lineage) lead(id string, to int, l flowLink) {
	b := g.bands[g.byStock[id]]
	at := int(g.graph.column[to]) - 1 - b.first
	if at < 0 || at >= len(b.nodes) {
		return // a record that begins after what came of it: the rules report it
	}
	l.way = []int{b.nodes[at], to}
	g.graph.link(b.nodes[at], to, 1)
	g.links = append(g.links, l)
}

// addOrigins leads spawns to their young, lots to what was picked out of them,
// and parts to what they were merged into.
func (g *lineage) addOrigins() {
	for _, b := range g.bands {
		for _, from := range b.stock.FromSpawns {
			if dot, ok := g.dots[from.Spawn]; ok && int(g.graph.column[dot]) < b.first {
				g.links = append(g.links, flowLink{way: g.graph.join(dot, b.nodes[0], 4, 8), width: 1.6})
			}
		}
		if b.stock.Picked != "" {
			g.lead(b.stock.Picked, b.nodes[0], flowLink{width: 1.4, pick: true})
		}
		for _, part := range b.stock.Merged {
			g.lead(part.ID, b.nodes[0], flowLink{width: 3})
		}
	}
}

func (g *lineage) livingRecords() int {
	n := 0
	for _, b := range g.bands {
		if b.living > 0 {
			n++
		}
	}
	return n
}

func (g *lineage) rightRoom() float64 {
	room := 10.0
	for _, b := range g.bands {
		if b.living > 0 {
			room = max(room, 10+min(rightName, lettering.Width(b.stock.ID, labelSize, true))+lettering.Width(b.number(), labelSize, false))
		}
	}
	return room
}

// rightName is the most room for the name of what is living, at the right edge.
const rightName = 110.0

// number is how many fish of a lot are living.
func (b *band) number() string {
	if b.stock.Lot {
		return "  " + trimmed(b.living) + " fish"
	}
	return ""
}
