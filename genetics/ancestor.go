package genetics

// effectiveAncestors returns 1/Σp² over the marginal contributions of the
// ancestors, found one after the other, the greatest first:
//
//	p_i = q_i · (1 − a_i)
//
// with q_i what came to the living fish through i without passing through an
// ancestor already chosen above it, and a_i the part of i's own genes that
// chosen ancestors account for (Boichard, Maignel & Verrier 1997, Genet. Sel.
// Evol. 29:5). A node that stands for several fish counts as so many ancestors
// with equal parts. O(ancestors chosen · (nodes + links)).
func (m *Model) effectiveAncestors(living []Link) float64 {
	chosen := make([]bool, m.nodes.size())
	explained, squares := 0.0, 0.0
	for explained < 1-1e-12 {
		best, marginal := m.nextAncestor(living, chosen)
		if best < 0 {
			break
		}
		chosen[best] = true
		explained += marginal
		squares += marginal * marginal / m.nodes.owner[best].Fish
	}
	return 1 / squares
}

// nextAncestor finds the node with the greatest marginal contribution for each
// fish of it; -1 where none is left.
func (m *Model) nextAncestor(living []Link, chosen []bool) (best int, marginal float64) {
	l := &m.nodes
	n := l.size()
	q := make([]float64, n)
	for _, link := range living {
		q[link.Node] += link.Weight
	}
	for i := n - 1; i >= 0; i-- {
		if q[i] == 0 || chosen[i] {
			continue
		}
		for k := l.start[i]; k < l.start[i+1]; k++ {
			q[l.parent[k]] += l.weight[k] * q[i]
		}
	}
	a := make([]float64, n)
	best = -1
	greatest := 1e-13
	for i := range n {
		if chosen[i] {
			a[i] = 1
			continue
		}
		for k := l.start[i]; k < l.start[i+1]; k++ {
			a[i] += l.weight[k] * a[l.parent[k]]
		}
		fish := l.owner[i].Fish
		if fish == 0 {
			continue
		}
		if p := q[i] * (1 - a[i]); p/fish > greatest*(1+1e-12) {
			best, marginal, greatest = i, p, p/fish
		}
	}
	return best, marginal
}
