package genetics

// effectivePlainly is [ancestry.effective] with q and a worked out anew for all
// nodes before each choice, which needs nothing of the weights. living adds up
// to total. O(ancestors chosen · (nodes + links)).
func (g *ancestry) effectivePlainly(living []Link, total float64) float64 {
	g.chosen = make([]bool, len(g.fish))
	explained, squares := 0.0, 0.0
	for explained < 1-1e-12 {
		best, marginal := g.next(living, total)
		if best < 0 {
			break
		}
		g.chosen[best] = true
		explained += marginal
		squares += marginal * marginal / g.fish[best]
	}
	return 1 / squares
}

// next finds the node with the greatest marginal contribution for each fish of
// it; -1 where none is left.
func (g *ancestry) next(living []Link, total float64) (best int, marginal float64) {
	n := len(g.fish)
	q := make([]float64, n)
	for _, link := range living {
		q[link.Node] += link.Weight / total
	}
	for i := n - 1; i >= 0; i-- {
		if q[i] == 0 || g.chosen[i] {
			continue
		}
		for k := g.start[i]; k < g.start[i+1]; k++ {
			q[g.parent[k]] += g.weight[k] * q[i]
		}
	}
	a := make([]float64, n)
	best = -1
	greatest := 1e-13
	for i := range n {
		if g.chosen[i] {
			a[i] = 1
			continue
		}
		for k := g.start[i]; k < g.start[i+1]; k++ {
			a[i] += g.weight[k] * a[g.parent[k]]
		}
		if g.fish[i] == 0 {
			continue
		}
		if p := q[i] * (1 - a[i]); p/g.fish[i] > greatest*(1+1e-12) {
			best, marginal, greatest = i, p, p/g.fish[i]
		}
	}
	return best, marginal
}
