package pedigree

import (
	"slices"
	"strings"

	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/iterator"
	"gonum.org/v1/gonum/graph/topo"
)

// Descent is the graph of who came from whom: every stock record and every
// spawn is a node, and an edge leads from what came first to what came of it
// (parent to spawn, spawn to fry, lot to fish picked out of it, part to merged
// lot, first spawn to its repeats). It implements gonum's graph.Directed.
//
// Node numbers are places in the book: stock first, then spawns.
type Descent struct {
	book     *Book
	children [][]int32
	parents  [][]int32
}

type descentNode int64

func (n descentNode) ID() int64 { return int64(n) }

type descentEdge struct{ from, to descentNode }

func (e descentEdge) From() graph.Node         { return e.from }
func (e descentEdge) To() graph.Node           { return e.to }
func (e descentEdge) ReversedEdge() graph.Edge { return descentEdge{e.to, e.from} }

var _ graph.Directed = (*Descent)(nil)

// Descent builds the graph of the book. References to records that do not
// exist are left out. O(records + references).
func (b *Book) Descent() *Descent {
	n := len(b.Stock) + len(b.Spawns)
	d := &Descent{book: b, children: make([][]int32, n), parents: make([][]int32, n)}
	index := make(map[string]int32, n)
	for i := n - 1; i >= 0; i-- {
		index[d.IDOf(i)] = int32(i)
	}
	linked := make([]int32, n) // the last child linked to a node, plus one
	link := func(parent string, child int) {
		p, ok := index[parent]
		if !ok || linked[p] == int32(child)+1 {
			return
		}
		linked[p] = int32(child) + 1
		d.parents[child] = append(d.parents[child], p)
		d.children[p] = append(d.children[p], int32(child))
	}
	for i, s := range b.Stock {
		if s.Picked != "" {
			link(s.Picked, i)
		}
		for _, from := range s.FromSpawns {
			link(from.Spawn, i)
		}
		for _, part := range s.Merged {
			link(part.ID, i)
		}
	}
	for i, s := range b.Spawns {
		for _, id := range s.ParentIDs() {
			link(id, len(b.Stock)+i)
		}
		if s.Repeat != "" {
			link(s.Repeat, len(b.Stock)+i)
		}
	}
	return d
}

// ParentIDs lists the records named as possible parents, as written.
func (s *Spawn) ParentIDs() []string {
	ids := slices.Clone(s.Group)
	for _, c := range s.Sire.Candidates {
		ids = append(ids, c.ID)
	}
	for _, c := range s.Dam.Candidates {
		ids = append(ids, c.ID)
	}
	return ids
}

// IDOf returns the record id of a node.
func (d *Descent) IDOf(node int) string {
	if n := len(d.book.Stock); node >= n {
		return d.book.Spawns[node-n].ID
	}
	return d.book.Stock[node].ID
}

// Order returns the nodes so that every record comes after all it came from,
// and otherwise in the order of the book; ok is false where there are loops.
// O(records + references).
//
// It is the reverse of the order in which a walk in depth leaves the nodes, the
// last ones of the book first; a test holds it to gonum's topo.SortStabilized.
func (d *Descent) Order() (order []int, ok bool) {
	const left = -1
	n := len(d.children)
	order = make([]int, n)
	next := n                 // order is filled from its end
	state := make([]int32, n) // of a node on the way: children still to visit, plus one
	var way []int32
	for root := n - 1; root >= 0; root-- {
		if state[root] == left {
			continue
		}
		way = append(way, int32(root))
		for len(way) > 0 {
			at := way[len(way)-1]
			if state[at] == 0 {
				state[at] = int32(len(d.children[at])) + 1
			}
			if state[at]--; state[at] == 0 {
				state[at] = left
				way = way[:len(way)-1]
				next--
				order[next] = int(at)
				continue
			}
			switch child := d.children[at][state[at]-1]; state[child] {
			case 0:
				way = append(way, child)
			case left:
			default:
				return nil, false
			}
		}
	}
	return order, true
}

// Loop is a set of records that all descend from each other, which cannot be.
type Loop struct {
	Members []string // every record on it, sorted
	Round   []string // one way round, from and back to its first record
}

// Loops returns every loop of descent. O(records + references).
func (d *Descent) Loops() []Loop {
	if _, ok := d.Order(); ok {
		return nil
	}
	var loops []Loop
	for _, component := range topo.TarjanSCC(d) {
		first := int(component[0].ID())
		if len(component) == 1 && !slices.Contains(d.children[first], int32(first)) {
			continue
		}
		inside := make(map[int32]bool, len(component))
		var members []string
		for _, n := range component {
			inside[int32(n.ID())] = true
			members = append(members, d.IDOf(int(n.ID())))
			first = min(first, int(n.ID()))
		}
		slices.Sort(members)
		loops = append(loops, Loop{Members: members, Round: d.roundTrip(int32(first), inside)})
	}
	slices.SortFunc(loops, func(a, b Loop) int { return strings.Compare(a.Members[0], b.Members[0]) })
	return loops
}

// roundTrip finds a shortest way from start back to itself inside a component.
func (d *Descent) roundTrip(start int32, inside map[int32]bool) []string {
	came := map[int32]int32{}
	queue := []int32{start}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, next := range d.children[at] {
			if next == start {
				round := []string{d.IDOf(int(start))}
				for n := at; n != start; n = came[n] {
					round = append(round, d.IDOf(int(n)))
				}
				round = append(round, d.IDOf(int(start)))
				slices.Reverse(round)
				return round
			}
			if _, seen := came[next]; !seen && inside[next] {
				came[next] = at
				queue = append(queue, next)
			}
		}
	}
	return nil
}

// Descendants marks the given records and all that came of them, by id.
func (d *Descent) Descendants(ids []string) map[string]bool {
	marked := make(map[string]bool)
	wanted := make(map[string]bool, len(ids))
	for _, id := range ids {
		wanted[id] = true
	}
	var queue []int32
	for i := range d.children {
		if wanted[d.IDOf(i)] {
			marked[d.IDOf(i)] = true
			queue = append(queue, int32(i))
		}
	}
	for len(queue) > 0 {
		at := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, next := range d.children[at] {
			if id := d.IDOf(int(next)); !marked[id] {
				marked[id] = true
				queue = append(queue, next)
			}
		}
	}
	return marked
}

// Node returns the node of that number, nil where there is none.
func (d *Descent) Node(id int64) graph.Node {
	if id < 0 || id >= int64(len(d.children)) {
		return nil
	}
	return descentNode(id)
}

// Nodes returns all nodes.
func (d *Descent) Nodes() graph.Nodes {
	nodes := make([]graph.Node, len(d.children))
	for i := range nodes {
		nodes[i] = descentNode(i)
	}
	return iterator.NewOrderedNodes(nodes)
}

// From returns the nodes that came of one.
func (d *Descent) From(id int64) graph.Nodes { return nodesOf(d.children[id]) }

// To returns the nodes that one came of.
func (d *Descent) To(id int64) graph.Nodes { return nodesOf(d.parents[id]) }

func nodesOf(list []int32) graph.Nodes {
	if len(list) == 0 {
		return graph.Empty
	}
	nodes := make([]graph.Node, len(list))
	for i, n := range list {
		nodes[i] = descentNode(n)
	}
	return iterator.NewOrderedNodes(nodes)
}

// HasEdgeBetween reports whether one of the two came of the other directly.
func (d *Descent) HasEdgeBetween(x, y int64) bool {
	return d.HasEdgeFromTo(x, y) || d.HasEdgeFromTo(y, x)
}

// HasEdgeFromTo reports whether v came directly of u.
func (d *Descent) HasEdgeFromTo(u, v int64) bool {
	return d.Node(u) != nil && d.Node(v) != nil && slices.Contains(d.children[u], int32(v))
}

// Edge returns the edge from u to v, nil where there is none.
func (d *Descent) Edge(u, v int64) graph.Edge {
	if !d.HasEdgeFromTo(u, v) {
		return nil
	}
	return descentEdge{descentNode(u), descentNode(v)}
}
