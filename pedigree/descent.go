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
	children links
	parents  links
	order    []int // see Order; nil where there are loops
}

// links lists the nodes that each node leads to, all in one list.
type links struct{ start, to []int32 }

func (l links) of(node int) []int32 { return l.to[l.start[node]:l.start[node+1]] }

func (l links) size() int { return len(l.start) - 1 }

// turned returns the links the other way.
func (l links) turned() links {
	n := l.size()
	out := links{make([]int32, n+2), make([]int32, len(l.to))}
	for _, to := range l.to {
		out.start[to+2]++
	}
	for i := range n {
		out.start[i+2] += out.start[i+1]
	}
	for from := range n {
		for _, to := range l.of(from) {
			out.to[out.start[to+1]] = int32(from)
			out.start[to+1]++
		}
	}
	out.start = out.start[:n+1]
	return out
}

type descentNode int64

func (n descentNode) ID() int64 { return int64(n) }

type descentEdge struct{ from, to descentNode }

func (e descentEdge) From() graph.Node         { return e.from }
func (e descentEdge) To() graph.Node           { return e.to }
func (e descentEdge) ReversedEdge() graph.Edge { return descentEdge{e.to, e.from} }

var _ graph.Directed = (*Descent)(nil)

// Descent returns the graph of an arranged book. References to records that do
// not exist are left out.
func (b *Book) Descent() *Descent {
	if b.descent == nil { // nothing is in it
		return newDescent(b)
	}
	return b.descent
}

// newDescent builds the graph. O(records + references).
func newDescent(b *Book) *Descent {
	n := len(b.Stock) + len(b.Spawns)
	d := &Descent{book: b, parents: links{make([]int32, 1, n+1), make([]int32, 0, n+n/2)}}
	linked := make([]int32, n) // the last child linked to a node, plus one
	link := func(parent int) {
		child := int32(len(d.parents.start))
		if parent >= 0 && linked[parent] != child {
			linked[parent] = child
			d.parents.to = append(d.parents.to, int32(parent))
		}
	}
	done := func() { d.parents.start = append(d.parents.start, int32(len(d.parents.to))) }
	for _, s := range b.Stock {
		if s.Picked != "" {
			link(b.node(s.Picked))
		}
		for _, from := range s.FromSpawns {
			link(b.node(from.Spawn))
		}
		for _, part := range s.Merged {
			link(b.node(part.ID))
		}
		done()
	}
	for _, s := range b.Spawns {
		for id := range s.parents {
			link(b.node(id))
		}
		if s.Repeat != "" {
			link(b.node(s.Repeat))
		}
		done()
	}
	d.children = d.parents.turned()
	d.order = d.findOrder()
	return d
}

// node returns the node of the record of that id, -1 where there is none.
func (b *Book) node(id string) int {
	if n := b.StockNumber(id); n >= 0 {
		return n
	}
	if n := b.SpawnNumber(id); n >= 0 {
		return len(b.Stock) + n
	}
	return -1
}

// ParentIDs lists the records named as possible parents, as written.
func (s *Spawn) ParentIDs() []string { return slices.Collect(s.parents) }

// parents calls yield for each of them.
func (s *Spawn) parents(yield func(id string) bool) {
	for _, id := range s.Group {
		if !yield(id) {
			return
		}
	}
	for _, side := range [...]*Side{&s.Sire, &s.Dam} {
		for _, c := range side.Candidates {
			if !yield(c.ID) {
				return
			}
		}
	}
}

// IDOf returns the record id of a node.
func (d *Descent) IDOf(node int) string {
	if n := len(d.book.Stock); node >= n {
		return d.book.Spawns[node-n].ID
	}
	return d.book.Stock[node].ID
}

// Order returns the nodes so that every record comes after all it came from,
// and otherwise in the order of the book; ok is false where there are loops. The
// list is not to be changed.
func (d *Descent) Order() (order []int, ok bool) { return d.order, d.order != nil }

// findOrder finds the order, nil where there are loops. O(records + references).
//
// It is the reverse of the order in which a walk in depth leaves the nodes, the
// last ones of the book first; a test holds it to gonum's topo.SortStabilized.
func (d *Descent) findOrder() []int {
	const left = -1
	n := d.children.size()
	order := make([]int, n)
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
				state[at] = int32(len(d.children.of(int(at)))) + 1
			}
			if state[at]--; state[at] == 0 {
				state[at] = left
				way = way[:len(way)-1]
				next--
				order[next] = int(at)
				continue
			}
			switch child := d.children.of(int(at))[state[at]-1]; state[child] {
			case 0:
				way = append(way, child)
			case left:
			default:
				return nil
			}
		}
	}
	return order
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
		if len(component) == 1 && !slices.Contains(d.children.of(first), int32(first)) {
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
		for _, next := range d.children.of(int(at)) {
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
	for i := range d.children.size() {
		if wanted[d.IDOf(i)] {
			marked[d.IDOf(i)] = true
			queue = append(queue, int32(i))
		}
	}
	for len(queue) > 0 {
		at := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, next := range d.children.of(int(at)) {
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
	if id < 0 || id >= int64(d.children.size()) {
		return nil
	}
	return descentNode(id)
}

// Nodes returns all nodes.
func (d *Descent) Nodes() graph.Nodes {
	nodes := make([]graph.Node, d.children.size())
	for i := range nodes {
		nodes[i] = descentNode(i)
	}
	return iterator.NewOrderedNodes(nodes)
}

// From returns the nodes that came of one.
func (d *Descent) From(id int64) graph.Nodes { return nodesOf(d.children.of(int(id))) }

// To returns the nodes that one came of.
func (d *Descent) To(id int64) graph.Nodes { return nodesOf(d.parents.of(int(id))) }

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
	return d.Node(u) != nil && d.Node(v) != nil && slices.Contains(d.children.of(int(u)), int32(v))
}

// Edge returns the edge from u to v, nil where there is none.
func (d *Descent) Edge(u, v int64) graph.Edge {
	if !d.HasEdgeFromTo(u, v) {
		return nil
	}
	return descentEdge{descentNode(u), descentNode(v)}
}
