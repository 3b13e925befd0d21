package genetics

import (
	"context"
	"math"
	"math/bits"
)

// effectiveAncestors returns 1/Σp² over the marginal contributions of the
// ancestors, found one after the other, the greatest first:
//
//	p_i = q_i · (1 − a_i)
//
// with q_i what came to the living fish through i without passing through an
// ancestor already chosen, and a_i the part of i's own genes that chosen
// ancestors account for (Boichard, Maignel & Verrier 1997, Genet. Sel. Evol.
// 29:5). A node that stands for several fish counts as so many ancestors with
// equal parts. Of equal contributions an ancestor's comes before those of its
// descendants.
func (m *Model) effectiveAncestors(living []Link) float64 {
	l := &m.nodes
	g := ancestry{start: l.start, parent: l.parent, weight: l.weight, fish: make([]float64, l.size())}
	for i := range g.fish {
		g.fish[i] = l.owner[i].Fish
	}
	total := 0.0
	for _, link := range living {
		total += link.Weight
	}
	for _, weight := range l.weight {
		if weight < 0 {
			return g.effectivePlainly(living, total)
		}
	}
	number, _ := g.effective(context.Background(), l.up(living), total, nil)
	return number
}

// ancestry is a graph of nodes with their parents first, in which ancestors are
// chosen.
//
// Choosing an ancestor closes ways for q and opens more for a, so that no
// contribution ever grows: a value worked out earlier is an upper bound. So the
// nodes wait in a heap by such bounds, and one whose value is found unchanged
// when it comes to the top is the greatest. q is kept exact by going up from the
// chosen node to its ancestors, a is worked out when a node comes to the top and
// a from older values of its parents would not lower its bound, both only
// through nodes not chosen. (This needs weights that are not negative.)
type ancestry struct {
	start  []int32
	parent []int32
	weight []float64
	fish   []float64 // that the node stands for; 0: not an ancestor
	// The living without offspring become nodes only if something is left to them
	// when their turn comes: mostly their ancestors account for all they have.
	childless []parentPair

	chosen  []bool
	q, a    []float64
	seen    []int32 // choice after which a was worked out
	choices int32
	walked  int // nodes since all were worked out
	delta   []float64
	waiting []uint64
	stack   []int32
}

// parentPair is the nodes of a fish's two parents.
type parentPair [2]int32

// add adds a node of as many fish.
func (g *ancestry) add(fish float64, parents ...int32) int32 {
	for _, p := range parents {
		g.parent, g.weight = append(g.parent, p), append(g.weight, 0.5)
	}
	g.start, g.fish = append(g.start, int32(len(g.parent))), append(g.fish, fish)
	return int32(len(g.fish) - 1)
}

// bound is a node with the greatest contribution, for each fish of it, that it
// can still have.
type bound struct {
	value float64
	node  int32
}

// boundHeap has the greatest bound first, of equal ones the lowest node.
type boundHeap []bound

func (h boundHeap) before(i, j int) bool {
	return h[i].value > h[j].value || h[i].value == h[j].value && h[i].node < h[j].node
}

// down moves a bound that may be too near the top to its place.
func (h boundHeap) down(i int) {
	for {
		child := 2*i + 1
		if child >= len(h) {
			return
		}
		if child+1 < len(h) && h.before(child+1, child) {
			child++
		}
		if !h.before(child, i) {
			return
		}
		h[i], h[child] = h[child], h[i]
		i = child
	}
}

// arrange makes a heap of a list in any order.
func (h boundHeap) arrange() {
	for i := len(h)/2 - 1; i >= 0; i-- {
		h.down(i)
	}
}

// pop takes the top away.
func (h *boundHeap) pop() {
	last := len(*h) - 1
	(*h)[0] = (*h)[last]
	*h = (*h)[:last]
	h.down(0)
}

// blur rounds to 40 bits, so that what is equal but for rounding counts as
// equal. It keeps the order of others.
func blur(x float64) float64 {
	return math.Float64frombits((math.Float64bits(x) + 1<<11) &^ (1<<12 - 1))
}

// effective returns 1/Σp², p as a share of total; q is what came through each
// node, and is used up.
func (g *ancestry) effective(ctx context.Context, q []float64, total float64, progress func(done, total int)) (float64, error) {
	n := len(g.fish)
	g.q, g.a, g.chosen, g.seen = q, make([]float64, n), make([]bool, n), make([]int32, n)
	g.delta, g.waiting = make([]float64, n), make([]uint64, n/64+1)
	var open boundHeap
	least := 1e-13 * total // what is less was left by rounding
	for i, fish := range g.fish {
		if fish > 0 && q[i] > 0 {
			open = append(open, bound{blur(q[i] / fish), int32(i)})
		}
	}
	open.arrange()
	explained, squares := 0.0, 0.0
	for explained < 1-1e-12 {
		if len(g.childless) > 0 && (len(open) == 0 || open[0].value <= 1) {
			open = g.addChildless(open, least)
		}
		if len(open) == 0 {
			break
		}
		top := open[0]
		i := top.node
		value := blur(g.q[i] * (1 - g.leastPartOf(i)) / g.fish[i])
		p := 0.0
		if value >= top.value {
			p = g.q[i] * (1 - g.partOf(i))
			value = blur(p / g.fish[i])
		}
		if value < top.value && value > least {
			open[0].value = value
			open.down(0)
			continue
		}
		open.pop()
		if p/g.fish[i] <= least {
			continue
		}
		p /= total
		explained += p
		squares += p * p / g.fish[i]
		g.choose(i)
		if g.choices%256 == 0 {
			if err := ctx.Err(); err != nil {
				return 0, err
			}
			if progress != nil {
				progress(int(explained*1000), 1000)
			}
		}
	}
	return 1 / squares, nil
}

// addChildless makes nodes of the childless to whom something is left.
func (g *ancestry) addChildless(open boundHeap, least float64) boundHeap {
	g.workOutAll()
	for _, p := range g.childless {
		part := g.a[p[0]]/2 + g.a[p[1]]/2
		if value := blur(1 - part); value > least {
			open = append(open, bound{value, g.add(1, p[:]...)})
			g.q, g.a, g.chosen, g.seen = append(g.q, 1), append(g.a, part), append(g.chosen, false), append(g.seen, g.choices+1)
		}
	}
	g.childless = nil
	open.arrange()
	return open
}

// workOutAll works out a of all nodes, in one pass.
func (g *ancestry) workOutAll() {
	for i := range g.delta {
		if !g.chosen[i] {
			g.a[i], g.seen[i] = g.fromParents(int32(i)), g.choices+1
		}
	}
	g.walked = 0
}

// fromParents is a of a node by what is known of its parents.
func (g *ancestry) fromParents(i int32) (sum float64) {
	for k := g.start[i]; k < g.start[i+1]; k++ {
		sum += g.weight[k] * g.a[g.parent[k]]
	}
	return sum
}

// leastPartOf returns a number below a of a node, or a itself: a only grows, and
// that of its parents may be old.
func (g *ancestry) leastPartOf(i int32) float64 {
	if g.seen[i] != g.choices+1 {
		g.a[i] = g.fromParents(i)
	}
	return g.a[i]
}

// partOf returns a of a node not chosen, going up as far as it has to. Where much
// has been walked, one pass over all nodes is faster than what is yet to come.
func (g *ancestry) partOf(i int32) float64 {
	if g.walked > len(g.delta)/4 {
		g.workOutAll()
	}
	known := func(p int32) bool { return g.chosen[p] || g.seen[p] == g.choices+1 }
	g.stack = append(g.stack[:0], i)
	for ; len(g.stack) > 0; g.walked++ {
		at := g.stack[len(g.stack)-1]
		if known(at) {
			g.stack = g.stack[:len(g.stack)-1]
			continue
		}
		before, sum := len(g.stack), 0.0
		for k := g.start[at]; k < g.start[at+1]; k++ {
			if p := g.parent[k]; known(p) {
				sum += g.weight[k] * g.a[p]
			} else {
				g.stack = append(g.stack, p)
			}
		}
		if len(g.stack) == before {
			g.a[at], g.seen[at] = sum, g.choices+1
			g.stack = g.stack[:before-1]
		}
	}
	return g.a[i]
}

// choose takes what came through the node away from its ancestors.
func (g *ancestry) choose(i int32) {
	g.chosen[i], g.a[i] = true, 1
	g.choices++
	top := g.pass(i, g.q[i], -1)
	for word := top; word >= 0; word-- {
		for g.waiting[word] != 0 {
			bit := 63 - bits.LeadingZeros64(g.waiting[word])
			g.waiting[word] &^= 1 << bit
			at := int32(word<<6 | bit)
			delta := g.delta[at]
			g.delta[at] = 0
			g.q[at] = max(g.q[at]-delta, 0)
			g.pass(at, delta, word)
		}
	}
}

// pass hands a part of q on to the parents not chosen, and returns the highest
// word in which one waits.
func (g *ancestry) pass(at int32, delta float64, top int) int {
	for k := g.start[at]; k < g.start[at+1]; k++ {
		if p := g.parent[k]; !g.chosen[p] {
			g.delta[p] += g.weight[k] * delta
			g.waiting[p>>6] |= 1 << (p & 63)
			top = max(top, int(p>>6))
		}
	}
	return top
}
