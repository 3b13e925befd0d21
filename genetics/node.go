package genetics

import "roebook/pedigree"

// Link is a node with a weight.
type Link struct {
	Node   int
	Weight float64
}

// Node is one variable of the linear model: the weighted sum of its parents
// plus an independent part of variance D. Parents come before it.
type Node struct {
	Parents []Link
	D       float64
}

// NodeKind says what a node stands for.
type NodeKind int8

// The kinds of node; design in words: what two fish of a lot share, a fish, the
// mean of several fish, one side of a spawn, the mean of its fry.
const (
	Common  NodeKind = iota // what two distinct fish of a lot share
	Fish                    // one fish
	HalfSex                 // the male or the female part of a fish never sexed
	Pool                    // the mean of some fish of a lot, themselves not in the book
	Mixture                 // a weighted mean of fish and pools, nothing of its own
	Unknown                 // unknown parents, unrelated to all others
	Parent                  // one side of a spawn: some of its candidates
	Family                  // the mean of a spawn's fry before Mendelian sampling
	Shared                  // what related founders share
)

// Owner says which record a node belongs to.
type Owner struct {
	Kind  NodeKind
	Stock *pedigree.Stock // nil for nodes of spawns and of related founders
	Spawn *pedigree.Spawn // nil for nodes of stock
	Sex   pedigree.Sex    // of a pool, a half or a side
	Fish  float64         // how many fish it stands for, 0 where it is no fish
}

// nodeList holds nodes in topological order, as flat arrays.
type nodeList struct {
	start    []int32 // parents of node i: links start[i] to start[i+1]
	parent   []int32
	weight   []float64
	own      []float64 // D
	variance []float64 // Var(u_i), that is A_ii
	owner    []Owner

	// Of a model of what came through one fish, see [Model.Stamp]; else nil.
	share []float64 // of the node's genes that came through it
	diag  []float64 // mean A_ii of the fish that the node is the mean of
}

// room makes room for about as many nodes as some records take.
func (l *nodeList) room(records int) {
	n, links := 4*records, 6*records
	l.start = make([]int32, 0, n+1)
	l.parent, l.weight = make([]int32, 0, links), make([]float64, 0, links)
	l.own, l.variance, l.owner = make([]float64, 0, n), make([]float64, 0, n), make([]Owner, 0, n)
}

func (l *nodeList) size() int { return len(l.own) }

// add appends a node whose variance is known, and returns its number.
func (l *nodeList) add(owner Owner, own, variance float64, parents ...Link) int {
	if len(l.start) == 0 {
		l.start = append(l.start, 0)
	}
	for _, p := range parents {
		l.parent = append(l.parent, int32(p.Node))
		l.weight = append(l.weight, p.Weight)
	}
	l.start = append(l.start, int32(len(l.parent)))
	l.own = append(l.own, own)
	l.variance = append(l.variance, variance)
	l.owner = append(l.owner, owner)
	if l.share != nil {
		share := 0.0
		for _, p := range parents {
			share += p.Weight * l.share[p.Node]
		}
		l.share, l.diag = append(l.share, share), append(l.diag, 0)
	}
	return len(l.own) - 1
}

// up returns y = Tᵀx: how much each node's own part weighs in the combination
// x. One pass, O(nodes + links).
func (l *nodeList) up(x []Link) []float64 {
	y := make([]float64, l.size())
	for _, link := range x {
		y[link.Node] += link.Weight
	}
	for i := len(y) - 1; i >= 0; i-- {
		if y[i] == 0 {
			continue
		}
		for k := l.start[i]; k < l.start[i+1]; k++ {
			y[l.parent[k]] += l.weight[k] * y[i]
		}
	}
	return y
}

// down returns z = T v for the given own parts v. One pass, O(nodes + links).
func (l *nodeList) down(v []float64) []float64 {
	z := make([]float64, len(v))
	for i := range z {
		sum := v[i]
		for k := l.start[i]; k < l.start[i+1]; k++ {
			sum += l.weight[k] * z[l.parent[k]]
		}
		z[i] = sum
	}
	return z
}

// times returns A x for every node: one pass up and one down (the indirect
// method of Colleau 2002, Genet. Sel. Evol. 34:409). O(nodes + links).
func (l *nodeList) times(x []Link) []float64 {
	y := l.up(x)
	for i := range y {
		y[i] *= l.own[i]
	}
	return l.down(y)
}

// quadratic returns xᵀ A x from y = Tᵀx.
func (l *nodeList) quadratic(y []float64) float64 {
	sum := 0.0
	for i, v := range y {
		sum += v * v * l.own[i]
	}
	return sum
}
