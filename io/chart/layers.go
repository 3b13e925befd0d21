package chart

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// layers is a graph drawn in columns: every link joins a node with one of the
// next column, links over several columns run through nodes of their own (see
// [layers.join]). The way is that of Sugiyama, Tagawa & Toda 1981 (IEEE Trans.
// Syst. Man Cybern. 11:109): nodes are put into an order within their columns
// that keeps crossings few, by sweeps of weighted medians (Gansner, Koutsofios,
// North & Vo 1993, IEEE Trans. Softw. Eng. 19:214); then every node is drawn
// towards those it is linked with as far as its neighbours leave room, each
// column solved exactly (isotonic regression by pooling adjacent violators:
// Barlow et al. 1972, Statistical Inference under Order Restrictions).
//
// It is our own because gonum has no layered layout, and because bands that
// keep level over many columns, which a descent by year needs, take a weight of
// their own that general programs do not give them.
type layers struct {
	columns [][]int32 // the nodes of each column, from top to bottom
	column  []int32   // of a node
	above   []float64 // the room that a node takes over its middle, gaps included
	below   []float64 // and under it
	next    [][]arc   // links to the next column
	prev    [][]arc
	y       []float64 // the middle of each node, once placed
}

// arc is a link as seen from one of its ends. Heavy links are kept level, and
// what crosses them counts more often.
type arc struct {
	node   int32
	cross  int32
	weight float64
}

// heavy is the weight from which on a link is a band: a link that crosses it
// counts as three crossings, another band as nine.
const heavy = 16

// node adds a node to a column, with the room it takes over and under its
// middle, and returns its number.
func (g *layers) node(column int, above, below float64) int {
	for len(g.columns) <= column {
		g.columns = append(g.columns, nil)
	}
	n := len(g.column)
	g.columns[column] = append(g.columns[column], int32(n))
	g.column = append(g.column, int32(column))
	g.above, g.below = append(g.above, above), append(g.below, below)
	g.next, g.prev = append(g.next, nil), append(g.prev, nil)
	return n
}

// link joins two nodes of neighbouring columns.
func (g *layers) link(a, b int, weight float64) {
	if g.column[a]+1 != g.column[b] {
		panic("a link that does not go to the next column")
	}
	cross := int32(1)
	if weight >= heavy {
		cross = 3
	}
	g.next[a] = append(g.next[a], arc{int32(b), cross, weight})
	g.prev[b] = append(g.prev[b], arc{int32(a), cross, weight})
}

// join links a node with one of any later column and returns the way: both ends
// and what was put into the columns between.
func (g *layers) join(a, b int, weight, room float64) []int {
	way := []int{a}
	for column := g.column[a] + 1; column < g.column[b]; column++ {
		n := g.node(int(column), room/2, room/2)
		g.link(way[len(way)-1], n, 4*weight)
		way = append(way, n)
	}
	g.link(way[len(way)-1], b, weight)
	return append(way, b)
}

// arrange orders the nodes of each column and places them; the topmost begins
// at 0. It returns the crossings that are left.
// O(sweeps · (nodes log nodes + links log links)).
func (g *layers) arrange() (crossings int) {
	g.begin()
	crossings = g.untangle()
	g.place()
	return crossings
}

// begin gives the first order: a walk in depth through each part of the graph,
// so that what belongs together stands together.
func (g *layers) begin() {
	rank := make([]int, len(g.column))
	seen := make([]bool, len(g.column))
	next := 0
	var stack []int32
	for _, column := range g.columns {
		for _, root := range column {
			stack = append(stack[:0], root)
			for len(stack) > 0 {
				n := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				if seen[n] {
					continue
				}
				seen[n], rank[n] = true, next
				next++
				for _, arcs := range [2][]arc{g.prev[n], g.next[n]} {
					for i := len(arcs) - 1; i >= 0; i-- {
						if !seen[arcs[i].node] {
							stack = append(stack, arcs[i].node)
						}
					}
				}
			}
		}
	}
	for _, column := range g.columns {
		slices.SortFunc(column, func(a, b int32) int { return cmp.Compare(rank[a], rank[b]) })
	}
}

const sweeps = 16

// untangle sweeps from the order there is, and for small graphs from others too,
// always the same ones, and keeps the best order met.
func (g *layers) untangle() int {
	first, least := g.snapshot(), g.sweep()
	best := g.columns
	r := rand.New(rand.NewPCG(1981, 1993))
	for range min(8, 12_000/max(1, len(g.column))) {
		if least == 0 {
			break
		}
		g.columns = make([][]int32, len(first))
		for i, column := range first {
			g.columns[i] = slices.Clone(column)
			r.Shuffle(len(column), func(a, b int) { g.columns[i][a], g.columns[i][b] = g.columns[i][b], g.columns[i][a] })
		}
		if n := g.sweep(); n < least {
			least, best = n, g.columns
		}
	}
	g.columns = best
	return least
}

// sweep sweeps forth and back and keeps the best order met.
func (g *layers) sweep() int {
	at := make([]float64, len(g.column))
	for _, column := range g.columns {
		g.number(column, at)
	}
	best := g.snapshot()
	least := g.crossings(at)
	for sweep := 0; sweep < sweeps && least > 0; sweep++ {
		for i := range g.columns {
			column, arcs := g.columns[i], g.prev
			if sweep%2 == 1 {
				column, arcs = g.columns[len(g.columns)-1-i], g.next
			}
			g.sortByMedian(column, arcs, at)
		}
		g.swapNeighbours(at)
		if n := g.crossings(at); n < least {
			least, best = n, g.snapshot()
		}
	}
	g.columns = best
	return least
}

func (g *layers) snapshot() [][]int32 {
	out := make([][]int32, len(g.columns))
	for i, column := range g.columns {
		out[i] = slices.Clone(column)
	}
	return out
}

func (g *layers) number(column []int32, at []float64) {
	for i, n := range column {
		at[n] = float64(i)
	}
}

// sortByMedian orders a column by the weighted medians of its links on one
// side; nodes without links there keep their places.
func (g *layers) sortByMedian(column []int32, arcs [][]arc, at []float64) {
	key := make([]float64, len(column))
	var moved []int32
	var free []int // places of those that may move
	for i, n := range column {
		key[i] = median(arcs[n], at)
		if key[i] >= 0 {
			moved, free = append(moved, n), append(free, i)
		}
	}
	keys := make(map[int32]float64, len(moved))
	for _, i := range free {
		keys[column[i]] = key[i]
	}
	slices.SortStableFunc(moved, func(a, b int32) int { return cmp.Compare(keys[a], keys[b]) })
	for k, i := range free {
		column[i] = moved[k]
	}
	g.number(column, at)
}

// median is the weighted median of the places of some links, between the two in
// the middle where there are two; -1 for none.
func median(arcs []arc, at []float64) float64 {
	switch len(arcs) {
	case 0:
		return -1
	case 1:
		return at[arcs[0].node]
	}
	sorted := slices.Clone(arcs)
	slices.SortFunc(sorted, func(a, b arc) int { return cmp.Compare(at[a.node], at[b.node]) })
	total := 0.0
	for _, a := range sorted {
		total += a.weight
	}
	below := 0.0
	for i, a := range sorted {
		below += a.weight
		switch {
		case below == total/2 && i+1 < len(sorted):
			return (at[a.node] + at[sorted[i+1].node]) / 2
		case below >= total/2:
			return at[a.node]
		}
	}
	return at[sorted[len(sorted)-1].node]
}

// swapNeighbours exchanges two nodes beside each other wherever that saves
// crossings.
func (g *layers) swapNeighbours(at []float64) {
	for _, column := range g.columns {
		for better, round := true, 0; better && round < 4; round++ {
			better = false
			for i := 0; i+1 < len(column); i++ {
				a, b := column[i], column[i+1]
				now := crossed(g.prev[a], g.prev[b], at) + crossed(g.next[a], g.next[b], at)
				then := crossed(g.prev[b], g.prev[a], at) + crossed(g.next[b], g.next[a], at)
				if then < now {
					column[i], column[i+1] = b, a
					at[a], at[b] = at[b], at[a]
					better = true
				}
			}
		}
	}
}

// crossed counts the crossings between the links of a node and those of one
// below it.
func crossed(upper, lower []arc, at []float64) int {
	n := 0
	for _, u := range upper {
		for _, l := range lower {
			if at[u.node] > at[l.node] {
				n += int(u.cross * l.cross)
			}
		}
	}
	return n
}

// crossings counts all crossings, those of bands several times: inversions by a tree of sums (Barth, Jünger &
// Mutzel 2002). O(links · log nodes).
func (g *layers) crossings(at []float64) int {
	total := 0
	for i, column := range g.columns {
		if i+1 == len(g.columns) {
			break
		}
		sums := make([]int, len(g.columns[i+1])+1)
		seen := 0
		for _, n := range column {
			for _, a := range g.next[n] { // those above it come first: what ends below is crossed
				through := 0
				for k := int(at[a.node]) + 1; k > 0; k -= k & -k {
					through += sums[k]
				}
				total += (seen - through) * int(a.cross)
			}
			for _, a := range g.next[n] {
				seen += int(a.cross)
				for k := int(at[a.node]) + 1; k < len(sums); k += k & -k {
					sums[k] += int(a.cross)
				}
			}
		}
	}
	return total
}

// rounds is how often the columns are gone through; small graphs are worth more.
func (g *layers) rounds() int { return min(150, max(30, 600_000/max(1, len(g.column)))) }

// place finds where each node stands: as near to those it is linked with as the
// order allows.
func (g *layers) place() {
	g.y = make([]float64, len(g.column))
	for _, column := range g.columns {
		below := 0.0
		for _, n := range column {
			g.y[n] = below + g.above[n]
			below = g.y[n] + g.below[n]
		}
	}
	for round := range g.rounds() {
		for i := range g.columns {
			if round%2 == 1 {
				i = len(g.columns) - 1 - i
			}
			g.level(g.columns[i])
		}
	}
	top := math.Inf(1)
	for n, y := range g.y {
		top = min(top, y-g.above[n])
	}
	for n := range g.y {
		g.y[n] -= top
	}
}

// level moves the nodes of a column towards those they are linked with: the
// least squares of what each wants, in the order they have and without overlap.
func (g *layers) level(column []int32) {
	type block struct {
		sum, weight float64
		from        int
	}
	var blocks []block
	offset := make([]float64, len(column))
	for i, n := range column {
		if i > 0 {
			offset[i] = offset[i-1] + g.below[column[i-1]] + g.above[n]
		}
		want, weight := g.y[n]*0.01, 0.01
		for _, arcs := range [2][]arc{g.prev[n], g.next[n]} {
			for _, a := range arcs {
				want += a.weight * g.y[a.node]
				weight += a.weight
			}
		}
		blocks = append(blocks, block{want - weight*offset[i], weight, i})
		for k := len(blocks) - 1; k > 0; k-- {
			if blocks[k-1].sum*blocks[k].weight <= blocks[k].sum*blocks[k-1].weight {
				break
			}
			blocks[k-1].sum += blocks[k].sum
			blocks[k-1].weight += blocks[k].weight
			blocks = blocks[:k]
		}
	}
	for k, b := range blocks {
		until := len(column)
		if k+1 < len(blocks) {
			until = blocks[k+1].from
		}
		for i := b.from; i < until; i++ {
			g.y[column[i]] = b.sum/b.weight + offset[i]
		}
	}
}

// height is how much room the placed graph takes.
func (g *layers) height() float64 {
	h := 0.0
	for n, y := range g.y {
		h = max(h, y+g.below[n])
	}
	return h
}
