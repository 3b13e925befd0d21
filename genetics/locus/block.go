package locus

import (
	"container/heap"
	"math"
	"math/rand/v2"
	"slices"
)

// blockTable is the largest table of a block; where there are many genotypes, two
// fish and a little more.
const blockTable = 30

// block is a set of variables that are drawn together, given all others: those
// that can be summed out one after the other in small tables.
type block struct {
	steps []step
	work  int // entries of its tables
}

// step sums one variable out, and draws it on the way back.
type step struct {
	vars    []int // free; the first is summed out
	cards   []int
	factors []lookup // of the network
	from    []lookup // messages of earlier steps
	to      []int32  // the place in the message of every entry of its table
	size    int      // of the message
}

// lookup finds the entries of a table: for every entry of the step's own, with
// strides over its free variables, and strides over those that are given.
type lookup struct {
	index  int
	entry  []int32
	stride []int
	given  []int
	at     []int
}

// entries lists the places in a table with such strides, for every entry of one
// with such cards.
func entries(cards, stride []int) []int32 {
	out := make([]int32, size(cards, math.MaxInt32))
	step, last := stride[len(stride)-1], cards[len(cards)-1]
	eachRun(cards, stride, func(base, at int) {
		for k := range last {
			out[base+k] = int32(at + k*step)
		}
	})
	return out
}

// chain is one course of the sampler.
type chain struct {
	less   *reduction
	tables [][]float64 // of the factors, as weights
	value  []int
	rng    *rand.Rand
	sent   [][]float64
	table  []float64
	chance []float64
}

// makeBlocks makes n blocks that leave out as few variables as they can, others
// each time, and single ones for those that all leave out.
func makeBlocks(less *reduction, p *portion, n int, rng *rand.Rand) []block {
	fixed := make(map[int]int)
	var blocks []block
	for range n {
		order, given := freeOrder(less, p, fixed, rng)
		for v := range given {
			fixed[v]++
		}
		blocks = append(blocks, planBlock(less, p, order))
	}
	for _, v := range p.vars {
		if fixed[v] == n {
			blocks = append(blocks, planBlock(less, p, []int{v}))
		}
	}
	return blocks
}

// freeOrder sums out variable after variable; where a table would be too large, a
// variable of it with many ties is given instead.
func freeOrder(less *reduction, p *portion, fixed map[int]int, rng *rand.Rand) (order []int, given map[int]bool) {
	g := &fillGraph{card: less.card, ties: make(map[int][]int), version: make(map[int]int)}
	for _, v := range p.vars {
		g.ties[v] = nil
	}
	for _, f := range p.factors {
		vars := less.factors[f].vars
		for i, v := range vars {
			for _, w := range vars[:i] {
				g.tie(v, w)
			}
		}
	}
	for _, v := range p.vars {
		heap.Push(g, g.cost(v))
	}
	given = make(map[int]bool)
	for g.Len() > 0 {
		e := heap.Pop(g).(fillCost)
		near, here := g.ties[e.v]
		if !here || e.version != g.version[e.v] {
			continue
		}
		if e.table <= max(blockTable, 3*less.card[e.v]*less.card[e.v]) || len(near) == 0 {
			order = append(order, e.v)
			g.takeOut(e.v)
			continue
		}
		worst, most := e.v, -1.0
		for _, w := range append([]int{e.v}, near...) {
			if score := float64(len(g.ties[w])) * (1 + rng.Float64()) / float64(1+4*fixed[w]); score > most {
				worst, most = w, score
			}
		}
		given[worst] = true
		g.drop(worst)
	}
	return order, given
}

// drop takes a variable out without tying its neighbours.
func (g *fillGraph) drop(v int) {
	near := g.ties[v]
	delete(g.ties, v)
	again := make(map[int]bool)
	for _, w := range near {
		at, _ := slices.BinarySearch(g.ties[w], v)
		g.ties[w] = slices.Delete(g.ties[w], at, at+1)
		again[w] = true
		for _, x := range g.ties[w] {
			again[x] = true
		}
	}
	list := make([]int, 0, len(again))
	for w := range again {
		list = append(list, w)
	}
	slices.Sort(list)
	for _, w := range list {
		g.version[w]++
		heap.Push(g, g.cost(w))
	}
}

// planBlock lays out the steps for an order.
func planBlock(less *reduction, p *portion, order []int) block {
	place := make(map[int]int, len(order))
	for i, v := range order {
		place[v] = i
	}
	b := block{steps: make([]step, len(order))}
	mine := make([][]int, len(order)) // factors of each step
	for _, f := range p.factors {
		first := len(order)
		for _, v := range less.factors[f].vars {
			if at, free := place[v]; free {
				first = min(first, at)
			}
		}
		if first < len(order) {
			mine[first] = append(mine[first], f)
		}
	}
	inbox := make([][]int, len(order)) // messages to each step
	for i, v := range order {
		s := &b.steps[i]
		s.vars = []int{v}
		add := func(vars []int) {
			for _, w := range vars {
				if _, free := place[w]; free && !slices.Contains(s.vars, w) {
					s.vars = append(s.vars, w)
				}
			}
		}
		for _, f := range mine[i] {
			add(less.factors[f].vars)
		}
		for _, from := range inbox[i] {
			add(b.steps[from].vars[1:])
		}
		s.cards = cards(s.vars, less.card)
		for _, f := range mine[i] {
			vars := less.factors[f].vars
			l := lookup{index: f, stride: strides(s.vars, vars, less.card)}
			for _, w := range vars {
				if _, free := place[w]; !free {
					l.given = append(l.given, w)
				}
			}
			l.at, l.entry = strides(l.given, vars, less.card), entries(s.cards, l.stride)
			s.factors = append(s.factors, l)
		}
		for _, from := range inbox[i] {
			stride := strides(s.vars, b.steps[from].vars[1:], less.card)
			s.from = append(s.from, lookup{index: from, stride: stride, entry: entries(s.cards, stride)})
		}
		rest := s.vars[1:]
		s.to, s.size = entries(s.cards, strides(s.vars, rest, less.card)), size(cards(rest, less.card), maxTable)
		b.work += s.size * less.card[v] * (1 + len(s.factors) + len(s.from))
		if len(rest) > 0 {
			next := len(order)
			for _, w := range rest {
				next = min(next, place[w])
			}
			inbox[next] = append(inbox[next], i)
		}
	}
	return b
}

// draw draws the variables of a block together, given all others, and tells each
// variable's chances given those drawn before it. false where no value fits, which
// the start of the chain rules out.
func (c *chain) draw(b *block, tell func(v int, chance []float64)) bool {
	for len(c.sent) < len(b.steps) {
		c.sent = append(c.sent, nil)
	}
	for i := range b.steps {
		s := &b.steps[i]
		table := c.fill(s)
		if len(c.sent[i]) < s.size {
			c.sent[i] = make([]float64, s.size)
		}
		sent := c.sent[i][:s.size]
		clear(sent)
		for j, to := range s.to {
			sent[to] += table[j]
		}
		most := slices.Max(sent)
		if most == 0 {
			return false
		}
		for j := range sent {
			sent[j] /= most
		}
	}
	for i := len(b.steps) - 1; i >= 0; i-- {
		s := &b.steps[i]
		c.chances(s)
		sum := 0.0
		for _, p := range c.chance {
			sum += p
		}
		at, x := 0, c.rng.Float64()*sum
		for ; at < len(c.chance)-1 && (x >= c.chance[at] || c.chance[at] == 0); at++ {
			x -= c.chance[at]
		}
		for c.chance[at] == 0 { // rounding at the very end
			at--
		}
		c.value[s.vars[0]] = at
		for j := range c.chance {
			c.chance[j] /= sum
		}
		tell(s.vars[0], c.chance)
	}
	return true
}

// fill multiplies all that a step has into one table.
func (c *chain) fill(s *step) []float64 {
	total := len(s.to)
	if len(c.table) < total {
		c.table = make([]float64, total)
	}
	table := c.table[:total]
	for i := range table {
		table[i] = 1
	}
	for i := range s.factors {
		l := &s.factors[i]
		offset := 0
		for i, v := range l.given {
			offset += l.at[i] * c.value[v]
		}
		from := c.tables[l.index][offset:]
		for j, at := range l.entry {
			table[j] *= from[at]
		}
	}
	for i := range s.from {
		from := c.sent[s.from[i].index]
		for j, at := range s.from[i].entry {
			table[j] *= from[at]
		}
	}
	return table
}

// chances is the weight of each value of the step's own variable, given the
// others.
func (c *chain) chances(s *step) {
	n := s.cards[0]
	c.chance = c.chance[:0]
	for range n {
		c.chance = append(c.chance, 1)
	}
	times := func(l *lookup, from []float64) {
		at := 0
		for i, v := range l.given {
			at += l.at[i] * c.value[v]
		}
		for i, v := range s.vars[1:] {
			at += l.stride[i+1] * c.value[v]
		}
		for k := range n {
			c.chance[k] *= from[at+k*l.stride[0]]
		}
	}
	for i := range s.factors {
		times(&s.factors[i], c.tables[s.factors[i].index])
	}
	for i := range s.from {
		times(&s.from[i], c.sent[s.from[i].index])
	}
}

// weights turns the logarithms of a factor into weights of at most 1.
func weights(table []float64) []float64 {
	out := slices.Clone(table)
	level(out)
	for i, x := range out {
		out[i] = math.Exp(x)
	}
	return out
}
