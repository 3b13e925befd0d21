package pairing

import (
	"cmp"
	"math"
	"slices"
)

// mixture is the best mixture of some atoms.
type mixture struct {
	atoms []*atom
	share []float64
	gram  [][]float64 // y_kᵀ R y_l
	slope []float64   // of the cost by each share
}

// add takes in an atom, with no share yet.
func (m *mixture) add(a *atom) {
	row := make([]float64, len(m.atoms)+1)
	for k, b := range append(m.atoms, a) {
		for i, y := range a.y {
			if y != 0 {
				row[k] += y * b.ry[i]
			}
		}
		if k < len(m.atoms) {
			m.gram[k] = append(m.gram[k], row[k])
		}
	}
	share := 0.0
	if len(m.atoms) == 0 {
		share = 1
	}
	m.atoms, m.gram, m.share = append(m.atoms, a), append(m.gram, row), append(m.share, share)
	m.slope = append(m.slope, 0)
}

// settle finds the shares of least cost ¼·sᵀGs + Σ s·own: again and again some is
// moved from the atom that costs the most to the one that costs the least.
// It returns that cost, and how much work that was.
func (m *mixture) settle(tiny float64) (cost float64, work int) {
	for k := range m.atoms {
		m.slope[k] = m.atoms[k].own
		for l, share := range m.share {
			m.slope[k] += m.gram[k][l] * share / 2
		}
	}
	for range 400 * len(m.atoms) {
		work += 8 * len(m.atoms)
		low, high := 0, -1
		for k, slope := range m.slope {
			if slope < m.slope[low] {
				low = k
			}
			if m.share[k] > 0 && (high < 0 || slope > m.slope[high]) {
				high = k
			}
		}
		gain := m.slope[high] - m.slope[low]
		if gain <= tiny {
			break
		}
		move := m.share[high]
		if curve := (m.gram[low][low] + m.gram[high][high] - 2*m.gram[low][high]) / 2; curve*move > gain {
			move = gain / curve
		}
		m.share[low] += move
		m.share[high] -= move
		if m.share[high] < 1e-15 {
			m.share[high] = 0
		}
		for k := range m.slope {
			m.slope[k] += (m.gram[k][low] - m.gram[k][high]) * move / 2
		}
	}
	for k, share := range m.share {
		cost += share * (m.slope[k] + m.atoms[k].own) / 2
	}
	return cost, work
}

// tangent returns the prices on the fish at the mixture, ½·R y, and ¼·yᵀRy.
func (m *mixture) tangent(prices []float64) (square float64) {
	clear(prices)
	for k, share := range m.share {
		if share == 0 {
			continue
		}
		for i, v := range m.atoms[k].ry {
			prices[i] += share * v / 2
		}
		for l, other := range m.share {
			square += share * other * m.gram[k][l] / 4
		}
	}
	return square
}

// thin forgets the atoms without a share, once there are many.
func (m *mixture) thin(most int) {
	if len(m.atoms) <= most {
		return
	}
	var keep []int
	for k, share := range m.share {
		if share > 0 {
			keep = append(keep, k)
		}
	}
	t := &mixture{}
	for _, k := range keep {
		t.atoms, t.share, t.slope = append(t.atoms, m.atoms[k]), append(t.share, m.share[k]), append(t.slope, 0)
		row := make([]float64, len(keep))
		for l, other := range keep {
			row[l] = m.gram[k][other]
		}
		t.gram = append(t.gram, row)
	}
	*m = *t
}

// portions adds up how much of the mixture has each fish, or each pair.
func (m *mixture) portions(of func(*atom) []portion) []portion {
	sum := map[int]float64{}
	for k, share := range m.share {
		if share == 0 {
			continue
		}
		for _, p := range of(m.atoms[k]) {
			sum[p.at] += share * p.share
		}
	}
	list := make([]portion, 0, len(sum))
	for at, share := range sum {
		list = append(list, portion{at, share})
	}
	slices.SortFunc(list, func(a, b portion) int { return cmp.Compare(a.at, b.at) })
	return list
}

// sortPortions puts the smallest share first, ties by number.
func sortPortions(list []portion) {
	slices.SortFunc(list, func(a, b portion) int { return cmp.Or(cmp.Compare(a.share, b.share), cmp.Compare(a.at, b.at)) })
}

// bound solves the relaxation of a view, by pairs or by fish. Its value is never
// above the cost of any plan that keeps to the view. It ends early once that is at
// least the limit, or once it is plain that it will not be. from is where to begin
// if the mixture is still empty.
func (r *relaxation) bound(v *view, m *mixture, byPairs bool, from []float64, limit float64, stop func() bool) (value float64) {
	tiny := 1e-15 * r.in.scale
	prices, square := make([]float64, r.in.n), 0.0
	value = math.Inf(-1)
	upper := math.Inf(1)
	fine := func(part float64) float64 { // what is good enough, so far from the end
		if gap := upper - value; !math.IsInf(gap, 1) {
			return max(tiny, part*gap)
		}
		return tiny
	}
	settle := func() {
		cost, work := m.settle(fine(0.02))
		r.work += work
		upper = min(upper, cost)
	}
	if len(m.atoms) > 0 {
		settle()
		square = m.tangent(prices)
	} else {
		start := &atom{y: from}
		r.complete(start)
		for i := range prices {
			prices[i] = start.ry[i] / 2
			square += start.ry[i] * from[i] / 4
		}
	}
	for range 400 {
		a, least := r.ask(v, prices, byPairs, fine(0.01))
		if a == nil {
			return least
		}
		value = max(value, least-square-r.loss)
		m.add(a)
		r.work += 2 * len(m.atoms) * r.in.n
		settle()
		gap := upper - value
		if value >= limit || gap <= 4*tiny+r.loss || upper < limit && gap < r.hurry*(limit-value) || stop() {
			break
		}
		m.thin(150)
		square = m.tangent(prices)
	}
	return value
}

// point is the fry of each fish in the mixture.
func (m *mixture) point(n int) []float64 {
	y := make([]float64, n)
	for k, share := range m.share {
		if share == 0 {
			continue
		}
		for i, v := range m.atoms[k].y {
			y[i] += share * v
		}
	}
	return y
}
