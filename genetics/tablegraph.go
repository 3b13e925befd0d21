package genetics

import (
	"sync/atomic"

	"roebook/pedigree"
)

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
	isBred, inOrder := g.findBred()
	if !inOrder {
		order, loop := t.Order()
		if loop >= 0 {
			return nil, loop
		}
		g.reorder(order)
		isBred, _ = g.findBred()
	}
	g.numberBred(isBred)
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

// findBred marks the fish that are parents, and reports whether each stands
// before its offspring.
func (g *tableGraph) findBred() (isBred []bool, inOrder bool) {
	n := g.size()
	marks := make([][]bool, workers())
	var outOfOrder atomic.Bool
	inPieces(n, func(worker, _, from, to int) {
		if marks[worker] == nil {
			marks[worker] = make([]bool, n)
		}
		mark := marks[worker]
		for _, parents := range [2][]int32{g.sire[from:to], g.dam[from:to]} {
			for i, p := range parents {
				if p >= 0 {
					mark[p] = true
				}
				if int(p) >= from+i {
					outOfOrder.Store(true)
				}
			}
		}
	})
	for _, mark := range marks {
		if isBred == nil {
			isBred = mark
			continue
		}
		for i, bred := range mark {
			isBred[i] = isBred[i] || bred
		}
	}
	return isBred, !outOfOrder.Load()
}

// numberBred numbers the bred fish, and their parents and offspring by them.
func (g *tableGraph) numberBred(isBred []bool) {
	n := g.size()
	g.number = make([]int32, n)
	for i := range g.number {
		g.number[i] = -1
		if isBred[i] {
			g.number[i] = int32(len(g.bred))
			g.bred = append(g.bred, int32(i))
		}
	}
	count := len(g.bred)
	g.sireOf, g.damOf = make([]int32, n), make([]int32, n)
	inParallel(n, 1<<16, func(_, from, to int) {
		g.numbersOf(g.sire[from:to], g.sireOf[from:to])
		g.numbersOf(g.dam[from:to], g.damOf[from:to])
	})
	g.bredSireOf, g.bredDamOf = make([]int32, count), make([]int32, count)
	for b, i := range g.bred {
		g.bredSireOf[b], g.bredDamOf[b] = g.sireOf[i], g.damOf[i]
	}
}

// numbersOf sets numbers to those of some fish among the bred, -1 for unknown.
func (g *tableGraph) numbersOf(fish, numbers []int32) {
	number := g.number
	for i, p := range fish {
		if p >= 0 {
			p = number[p]
		}
		numbers[i] = p
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
