package genetics

import "roebook/pedigree"

// tableGraph is a table with parents before offspring. Only bred fish matter
// for their descendants, so that they have numbers of their own, again with
// parents first.
type tableGraph struct {
	table     *pedigree.Table
	row       []int32 // of each fish in this order; nil: the table's own order
	sire, dam []int32 // of each fish, -1 where unknown
	bred      []int32 // the bred fish
	number    []int32 // of each fish among the bred, -1 of the others
	// Parents as numbers among the bred.
	sireOf, damOf         []int32 // of each fish
	bredSireOf, bredDamOf []int32 // of each bred fish
}

// newTableGraph puts the table in order; loop is a row that is its own
// ancestor, -1 where there is none. O(rows).
func newTableGraph(t *pedigree.Table) (g *tableGraph, loop int) {
	g = &tableGraph{table: t, sire: t.Sire, dam: t.Dam}
	if !t.InOrder() {
		order, loop := t.Order()
		if loop >= 0 {
			return nil, loop
		}
		g.reorder(order)
	}
	g.findBred()
	return g, -1
}

func (g *tableGraph) reorder(order []int32) {
	n := len(order)
	g.row = order
	at := make([]int32, n)
	for i, row := range order {
		at[row] = int32(i)
	}
	g.sire, g.dam = make([]int32, n), make([]int32, n)
	for i, row := range order {
		g.sire[i], g.dam[i] = -1, -1
		if s := g.table.Sire[row]; s >= 0 {
			g.sire[i] = at[s]
		}
		if d := g.table.Dam[row]; d >= 0 {
			g.dam[i] = at[d]
		}
	}
}

func (g *tableGraph) size() int { return len(g.sire) }

// rowOf returns the row of the i-th fish in order.
func (g *tableGraph) rowOf(i int) int {
	if g.row == nil {
		return i
	}
	return int(g.row[i])
}

func (g *tableGraph) findBred() {
	n := g.size()
	g.number = make([]int32, n)
	for i := range g.number {
		g.number[i] = -1
	}
	count := 0
	for _, parents := range [2][]int32{g.sire, g.dam} {
		for _, p := range parents {
			if p >= 0 && g.number[p] < 0 {
				g.number[p] = 0
				count++
			}
		}
	}
	g.bred = make([]int32, 0, count)
	for i, number := range g.number {
		if number == 0 {
			g.number[i] = int32(len(g.bred))
			g.bred = append(g.bred, int32(i))
		}
	}
	g.sireOf, g.damOf = make([]int32, n), make([]int32, n)
	inParallel(n, 1<<16, func(_, from, to int) {
		for i := from; i < to; i++ {
			g.sireOf[i], g.damOf[i] = -1, -1
			if s := g.sire[i]; s >= 0 {
				g.sireOf[i] = g.number[s]
			}
			if d := g.dam[i]; d >= 0 {
				g.damOf[i] = g.number[d]
			}
		}
	})
	g.bredSireOf, g.bredDamOf = make([]int32, count), make([]int32, count)
	for b, i := range g.bred {
		g.bredSireOf[b], g.bredDamOf[b] = g.sireOf[i], g.damOf[i]
	}
}

// levels returns the longest way from a founder to each bred fish.
func (g *tableGraph) levels() (level []int32, highest int32) {
	level = make([]int32, len(g.bred))
	for b := range level {
		if s := g.bredSireOf[b]; s >= 0 {
			level[b] = level[s] + 1
		}
		if d := g.bredDamOf[b]; d >= 0 {
			level[b] = max(level[b], level[d]+1)
		}
		highest = max(highest, level[b])
	}
	return level, highest
}

// isFounder reports whether neither parent of a bred fish is known.
func (g *tableGraph) isFounder(b int) bool { return g.bredSireOf[b] < 0 && g.bredDamOf[b] < 0 }
