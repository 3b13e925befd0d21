package locus

import (
	"container/heap"
	"slices"
)

// The exact answer is worked out where no table has more than maxTable entries
// and all together no more than maxTables; beyond it is sampled.
const (
	maxTable  = 1 << 19
	maxTables = 1 << 22
)

// cluster is a variable with those that it is tied to when it is summed out.
type cluster struct {
	vars   []int // the first is summed out here
	parent int   // the cluster that hears of the rest, -1 for none
}

// eliminate orders the variables so that summing them out one after the other
// makes few new ties (min-fill; of those alike the smallest table first), and
// returns a cluster for each. ok is false where a table has more entries than the limit.
// scopes are the sets of variables tied at the outset.
func eliminate(vars []int, scopes [][]int, card []int, limit int) (clusters []cluster, ok bool) {
	g := &fillGraph{card: card, ties: make(map[int][]int, len(vars)), version: make(map[int]int, len(vars))}
	for _, v := range vars {
		g.ties[v] = nil
	}
	for _, scope := range scopes {
		for i, v := range scope {
			for _, w := range scope[:i] {
				g.tie(v, w)
			}
		}
	}
	for _, v := range vars {
		heap.Push(g, g.cost(v))
	}
	place := make(map[int]int, len(vars))
	total := 0
	for g.Len() > 0 {
		e := heap.Pop(g).(fillCost)
		near, here := g.ties[e.v]
		if !here || e.version != g.version[e.v] {
			continue
		}
		c := cluster{vars: append([]int{e.v}, near...), parent: -1}
		entries := card[e.v]
		for _, w := range near {
			if entries *= card[w]; entries > limit {
				return nil, false
			}
		}
		if total += entries; total > maxTables {
			return nil, false
		}
		place[e.v] = len(clusters)
		clusters = append(clusters, c)
		g.takeOut(e.v)
	}
	for i := range clusters {
		first := len(clusters)
		for _, w := range clusters[i].vars[1:] {
			first = min(first, place[w])
		}
		if first < len(clusters) {
			clusters[i].parent = first
		}
	}
	return clusters, true
}

// fillGraph is the variables still there, with their ties in order, and a heap
// of what it costs to sum each out; entries of an older version are void.
type fillGraph struct {
	card    []int
	ties    map[int][]int
	version map[int]int
	list    []fillCost
}

type fillCost struct{ v, fill, table, version int }

func (g *fillGraph) Len() int { return len(g.list) }
func (g *fillGraph) Less(i, j int) bool {
	a, b := g.list[i], g.list[j]
	switch {
	case a.fill != b.fill:
		return a.fill < b.fill
	case a.table != b.table:
		return a.table < b.table
	}
	return a.v < b.v
}
func (g *fillGraph) Swap(i, j int) { g.list[i], g.list[j] = g.list[j], g.list[i] }
func (g *fillGraph) Push(x any)    { g.list = append(g.list, x.(fillCost)) }
func (g *fillGraph) Pop() any {
	last := g.list[len(g.list)-1]
	g.list = g.list[:len(g.list)-1]
	return last
}

func (g *fillGraph) tie(v, w int) bool {
	at, there := slices.BinarySearch(g.ties[v], w)
	if there {
		return false
	}
	g.ties[v] = slices.Insert(g.ties[v], at, w)
	at, _ = slices.BinarySearch(g.ties[w], v)
	g.ties[w] = slices.Insert(g.ties[w], at, v)
	return true
}

// cost counts the ties that summing v out would make.
func (g *fillGraph) cost(v int) fillCost {
	near := g.ties[v]
	e := fillCost{v: v, table: g.card[v], version: g.version[v]}
	for i, w := range near {
		e.table = min(e.table*g.card[w], 1<<40)
		theirs := g.ties[w]
		j := 0
		for _, x := range near[i+1:] {
			for j < len(theirs) && theirs[j] < x {
				j++
			}
			if j == len(theirs) || theirs[j] != x {
				e.fill++
			}
		}
	}
	return e
}

// takeOut ties the neighbours of v with each other and takes v out.
func (g *fillGraph) takeOut(v int) {
	near := g.ties[v]
	delete(g.ties, v)
	touched := make(map[int]bool, 2*len(near))
	for _, w := range near {
		at, _ := slices.BinarySearch(g.ties[w], v)
		g.ties[w] = slices.Delete(g.ties[w], at, at+1)
		touched[w] = true
	}
	for i, w := range near {
		for _, x := range near[:i] {
			if g.tie(w, x) { // those that have both need no such tie any more
				a, b := g.ties[w], g.ties[x]
				for j, k := 0, 0; j < len(a) && k < len(b); {
					switch {
					case a[j] < b[k]:
						j++
					case a[j] > b[k]:
						k++
					default:
						touched[a[j]] = true
						j++
						k++
					}
				}
			}
		}
	}
	var again []int
	for w := range touched {
		again = append(again, w)
	}
	slices.Sort(again)
	for _, w := range again {
		g.version[w]++
		heap.Push(g, g.cost(w))
	}
}
