package genetics

import "math/bits"

// walker computes single covariances by walking the ancestry of two
// combinations at once, latest node first, until one of the two has no
// ancestors left. Nodes that wait are kept as bits, for parents always come
// before their offspring.
type walker struct {
	list    *nodeList
	x, y    []float64
	waiting []uint64
}

// grow makes room for all nodes of the list, and for as many as it has room for.
// Between two walks all is 0.
func (w *walker) grow() {
	if len(w.x) >= w.list.size() {
		return
	}
	n := cap(w.list.own)
	w.x, w.y, w.waiting = make([]float64, n), make([]float64, n), make([]uint64, (n+63)/64)
}

// covariance returns xᵀ A y. O(ancestors of both).
func (w *walker) covariance(x, y []Link) float64 {
	w.grow()
	top, left, right := -1, 0, 0
	put := func(values []float64, count *int, node int32, value float64) {
		if value == 0 {
			return
		}
		if values[node] == 0 {
			*count++
		}
		values[node] += value
		w.waiting[node>>6] |= 1 << (node & 63)
	}
	for _, link := range x {
		put(w.x, &left, int32(link.Node), link.Weight)
		top = max(top, link.Node>>6)
	}
	for _, link := range y {
		put(w.y, &right, int32(link.Node), link.Weight)
		top = max(top, link.Node>>6)
	}
	sum, l := 0.0, w.list
	for word := top; word >= 0; word-- {
		for w.waiting[word] != 0 {
			bit := 63 - bits.LeadingZeros64(w.waiting[word])
			w.waiting[word] &^= 1 << bit
			i := word<<6 | bit
			a, b := w.x[i], w.y[i]
			w.x[i], w.y[i] = 0, 0
			if a != 0 {
				left--
			}
			if b != 0 {
				right--
			}
			sum += a * b * l.own[i]
			if left == 0 && a == 0 || right == 0 && b == 0 {
				continue // nothing more can be shared: only clear what waits
			}
			for k := l.start[i]; k < l.start[i+1]; k++ {
				put(w.x, &left, l.parent[k], a*l.weight[k])
				put(w.y, &right, l.parent[k], b*l.weight[k])
			}
		}
	}
	return sum
}

// variance returns xᵀ A x. O(ancestors).
func (w *walker) variance(x []Link) float64 {
	if len(x) == 1 {
		return x[0].Weight * x[0].Weight * w.list.variance[x[0].Node]
	}
	return w.covariance(x, x)
}
