package locus

import (
	"math"
	"slices"
)

// solution is what a network says of the scopes that were asked for.
type solution struct {
	possible bool
	weight   float64     // logarithm of the weight of the evidence; NaN where sampled
	shares   [][]float64 // by scope: the chance of each combination
	errors   [][]float64 // by scope: its standard error where sampled, else nil
	sampling Sampling
	scopes   [][]int
	failed   []int // the variables at which elimination found it impossible, if it did
}

// exact reports whether the solution has exact shares of all its scopes.
func (s *solution) exact() bool {
	return s.possible && !s.sampling.Sampled && !slices.ContainsFunc(s.shares, func(x []float64) bool { return x == nil })
}

// Sampling says how an answer that was too wide to be exact was sampled.
type Sampling struct {
	Sampled   bool
	Sweeps    int     // over all variables, in each chain
	Chains    int     // begun apart from each other
	Agreement float64 // the largest scale reduction between chains (Gelman & Rubin 1992), 1 where they agree
}

// exactOnly in place of a seed asks for no sampling.
const exactOnly = 0

// solve works out the chance of every combination of the variables of each
// scope, given the active evidence: exactly, by summing out one variable after
// the other and passing the sums back (Lauritzen & Spiegelhalter 1988), part by
// part where the network falls apart. A part that is too wide is sampled; with
// exactOnly it is only looked whether it is possible, and has no shares.
func (n *network) solve(active func(item int) bool, scopes [][]int, seed uint64) *solution {
	r := newReducer(n, n.bearing(active, scopes))
	if !r.run() {
		return &solution{failed: r.net.factors[r.failed].vars}
	}
	s := &solution{possible: true, scopes: scopes, shares: make([][]float64, len(scopes)), errors: make([][]float64, len(scopes))}
	less := n.reduced(r)
	s.weight = less.constant
	var wide []int
	for _, p := range less.parts(scopes) {
		clusters, ok := eliminate(p.vars, p.ties(less), less.card, less.limit)
		if !ok {
			if !less.sample(p, s, seed) {
				return &solution{}
			}
			wide = append(wide, p.scopes...)
			s.weight = math.NaN()
			continue
		}
		t := newTree(less, p, clusters)
		weight := t.collect()
		if weight == never {
			return &solution{}
		}
		s.weight += weight
		t.distribute()
		for _, i := range p.scopes {
			s.shares[i] = less.whole(scopes[i], t.marginal(less.open(scopes[i])))
		}
	}
	for i, scope := range scopes {
		if s.shares[i] == nil && !slices.Contains(wide, i) { // nothing of it is open
			s.shares[i] = less.whole(scope, []float64{1})
		}
	}
	return s
}

// bearing leaves out fish that bear on nothing: of which nothing is asked or
// seen, nor of any of their young. It returns which factors are left.
func (n *network) bearing(active func(item int) bool, scopes [][]int) func(i int) bool {
	by := make([][]int32, len(n.card)) // active factors
	others := make([]int32, len(n.card))
	out := make([]bool, len(n.factors))
	for i := range n.factors {
		f := &n.factors[i]
		if out[i] = !active(f.item); out[i] {
			continue
		}
		for _, v := range f.vars {
			by[v] = append(by[v], int32(i))
			if f.child != v {
				others[v]++
			}
		}
	}
	for _, scope := range scopes {
		for _, v := range scope {
			others[v]++
		}
	}
	var queue []int
	for v := range n.card {
		if others[v] == 0 {
			queue = append(queue, v)
		}
	}
	for len(queue) > 0 {
		v := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, i := range by[v] {
			if out[i] {
				continue
			}
			out[i] = true
			for _, w := range n.factors[i].vars {
				if w == v {
					continue
				}
				if others[w]--; others[w] == 0 {
					queue = append(queue, w)
				}
			}
		}
	}
	return func(i int) bool { return !out[i] }
}

// reduction is a network of what is left after reducing: variables keep their
// numbers, those with one value left stand in no factor.
type reduction struct {
	network
	values   [][]int // of the whole network, left of each variable
	full     []int   // how many there were
	constant float64
}

func (n *network) reduced(r *reducer) *reduction {
	less := &reduction{network: network{limit: n.limit, sweeps: n.sweeps}, full: n.card, values: make([][]int, len(n.card))}
	less.card = make([]int, len(n.card))
	for v, allowed := range r.allowed {
		for value, ok := range allowed {
			if ok {
				less.values[v] = append(less.values[v], value)
			}
		}
		less.card[v] = len(less.values[v])
	}
	for i := range n.factors {
		f := &n.factors[i]
		if !r.active(i) {
			continue
		}
		made := factor{vars: less.open(f.vars), item: f.item, child: none}
		made.table = less.cut(n, f)
		first := made.table[0]
		if !slices.ContainsFunc(made.table, func(x float64) bool { return x != first }) {
			less.constant += first
			continue
		}
		less.factors = append(less.factors, made)
	}
	return less
}

// open lists the variables with more than one value left.
func (less *reduction) open(vars []int) []int {
	var out []int
	for _, v := range vars {
		if less.card[v] > 1 {
			out = append(out, v)
		}
	}
	return out
}

// cut is the table of a factor over the values that are left.
func (less *reduction) cut(n *network, f *factor) []float64 {
	stride := strides(f.vars, f.vars, n.card)
	out := []float64{}
	var fill func(i, at int)
	fill = func(i, at int) {
		if i == len(f.vars) {
			out = append(out, f.table[at])
			return
		}
		for _, value := range less.values[f.vars[i]] {
			fill(i+1, at+stride[i]*value)
		}
	}
	fill(0, 0)
	return out
}

// whole spreads a table over the open variables of a scope to all of the scope.
func (less *reduction) whole(scope []int, table []float64) []float64 {
	out := make([]float64, size(cards(scope, less.full), math.MaxInt/2))
	stride := strides(scope, scope, less.full)
	at := 0
	var fill func(i, to int)
	fill = func(i, to int) {
		if i == len(scope) {
			out[to] = table[at]
			at++
			return
		}
		for _, value := range less.values[scope[i]] {
			fill(i+1, to+stride[i]*value)
		}
	}
	fill(0, 0)
	return out
}

func cards(vars, card []int) []int {
	out := make([]int, len(vars))
	for i, v := range vars {
		out[i] = card[v]
	}
	return out
}

// portion is variables that hang together, with their factors and scopes.
type portion struct {
	vars    []int
	factors []int
	scopes  []int
	open    [][]int // of the scopes
}

// parts divides what is open into portions that do not touch.
func (less *reduction) parts(scopes [][]int) []*portion {
	root := make([]int, len(less.card))
	for v := range root {
		root[v] = v
	}
	find := func(v int) int {
		for root[v] != v {
			root[v] = root[root[v]]
			v = root[v]
		}
		return v
	}
	join := func(vars []int) {
		for _, v := range vars {
			root[find(v)] = find(vars[0])
		}
	}
	open := make([][]int, len(scopes))
	for i, scope := range scopes {
		open[i] = less.open(scope)
		join(open[i])
	}
	for i := range less.factors {
		join(less.factors[i].vars)
	}
	byRoot := make(map[int]*portion)
	var list []*portion
	for v, card := range less.card {
		if card < 2 {
			continue
		}
		p := byRoot[find(v)]
		if p == nil {
			p = &portion{}
			byRoot[find(v)] = p
			list = append(list, p)
		}
		p.vars = append(p.vars, v)
	}
	for i := range less.factors {
		p := byRoot[find(less.factors[i].vars[0])]
		p.factors = append(p.factors, i)
	}
	for i := range scopes {
		if len(open[i]) > 0 {
			p := byRoot[find(open[i][0])]
			p.scopes = append(p.scopes, i)
			p.open = append(p.open, open[i])
		}
	}
	return list
}

func (p *portion) ties(less *reduction) [][]int {
	ties := slices.Clone(p.open)
	for _, f := range p.factors {
		ties = append(ties, less.factors[f].vars)
	}
	return ties
}

// tree is the clusters of a portion with their tables.
type tree struct {
	less     *reduction
	clusters []cluster
	tables   [][]float64
	messages [][]float64 // that each cluster sent to its parent
	place    map[int]int // the cluster in which a variable is summed out
}

func newTree(less *reduction, p *portion, clusters []cluster) *tree {
	t := &tree{less: less, clusters: clusters, tables: make([][]float64, len(clusters)), messages: make([][]float64, len(clusters)),
		place: make(map[int]int, len(clusters))}
	for i, c := range clusters {
		t.place[c.vars[0]] = i
		t.tables[i] = make([]float64, size(cards(c.vars, less.card), maxTables))
	}
	for _, i := range p.factors {
		f := &less.factors[i]
		at := t.home(f.vars)
		t.into(at, f.vars, f.table, 1)
	}
	return t
}

// home is the cluster that holds all the variables: that of the first of them
// that is summed out.
func (t *tree) home(vars []int) int {
	first := len(t.clusters)
	for _, v := range vars {
		first = min(first, t.place[v])
	}
	return first
}

func (t *tree) into(at int, vars []int, table []float64, sign float64) {
	c := t.clusters[at].vars
	multiply(t.tables[at], cards(c, t.less.card), strides(c, vars, t.less.card), table, sign)
}

// sum is a cluster's table summed to some of its variables.
func (t *tree) sum(at int, vars []int) []float64 {
	c := t.clusters[at].vars
	out := make([]float64, size(cards(vars, t.less.card), maxTables))
	sumTo(out, t.tables[at], cards(c, t.less.card), strides(c, vars, t.less.card))
	return out
}

// collect passes the sums up, and returns the logarithm of the whole weight.
func (t *tree) collect() float64 {
	weight := 0.0
	for i, c := range t.clusters {
		m := t.sum(i, c.vars[1:])
		most := level(m)
		weight += most
		if most == never {
			return never
		}
		t.messages[i] = m
		if c.parent >= 0 {
			t.into(c.parent, c.vars[1:], m, 1)
		}
	}
	return weight
}

// distribute passes down what the rest says: then every table is the weight of
// its combinations given all evidence.
func (t *tree) distribute() {
	for i := len(t.clusters) - 1; i >= 0; i-- {
		c := t.clusters[i]
		if c.parent < 0 {
			continue
		}
		back := t.sum(c.parent, c.vars[1:])
		level(back)
		t.into(i, c.vars[1:], t.messages[i], -1)
		t.into(i, c.vars[1:], back, 1)
	}
}

func (t *tree) marginal(vars []int) []float64 { return shares(t.sum(t.home(vars), vars)) }
