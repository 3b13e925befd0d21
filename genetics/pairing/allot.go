package pairing

import "math"

// allotter finds the best numbers of fry for given pairs: every whole number is
// tried that a bound does not rule out, nearest to the best fraction first
// (Schnorr & Euchner 1994, Math. Program. 66:181).
type allotter struct {
	in    *instance
	pairs [][2]int
	root  [][]float64 // upper triangular: the cost rises by |root·(n − centre)|²
	line  []float64
	best  float64
	fry   []int
	found []int
	slack float64
	base  float64
	steps int
}

// mostAllotted is how many pairs are allotted exactly, and mostSteps how many
// numbers are tried before what was found is taken.
const (
	mostAllotted = 12
	mostSteps    = 200_000
)

// allot returns the best plan of just these pairs whose cost is below the limit;
// ok is false where there is none. exact is false where it gave up.
func (in *instance) allot(pairs [][2]int, limit float64) (plan []Choice, ok, exact bool) {
	k := len(pairs)
	if k == 0 || k*in.least > in.keep || k*in.most < in.keep || k > mostAllotted {
		return nil, false, k <= mostAllotted
	}
	a := &allotter{in: in, pairs: pairs, best: limit, fry: make([]int, k)}
	if k == 1 {
		a.fry[0] = in.keep
		a.leaf()
	} else if a.prepare() {
		a.try(k-2, 0, in.keep)
	}
	if a.found == nil {
		return nil, false, a.steps < mostSteps
	}
	for i, pair := range pairs {
		plan = append(plan, Choice{pair[0], pair[1], a.found[i]})
	}
	return plan, true, a.steps < mostSteps
}

// prepare writes the cost as a square around its centre, the last number being
// what the others leave. A small part is added to each square, for fish may give
// the same by several numbers, and taken off again as slack.
func (a *allotter) prepare() bool {
	in, k := a.in, len(a.pairs)
	q := make([][]float64, k)
	line := make([]float64, k)
	for s, x := range a.pairs {
		q[s] = make([]float64, k)
		for t, y := range a.pairs {
			q[s][t] = (in.kin(x[0], y[0]) + in.kin(x[0], y[1]) + in.kin(x[1], y[0]) + in.kin(x[1], y[1])) / 4
		}
		line[s] = in.c[x[0]] + in.c[x[1]]
	}
	keep, last := float64(in.keep), k-1
	mean := keep / float64(k)
	const extra = 1e-7
	a.slack = extra * keep * keep
	h := make([][]float64, last)
	a.line = make([]float64, last) // at the mean
	a.root = h
	a.base = 0
	for s := range k {
		for t := range k {
			a.base += mean * mean * q[s][t]
		}
		a.base += mean * line[s]
	}
	for s := range last {
		h[s] = make([]float64, last)
		a.line[s] = line[s] - line[last]
		for t := range k {
			a.line[s] += 2 * mean * (q[s][t] - q[last][t])
		}
		for t := range last {
			h[s][t] = q[s][t] - q[s][last] - q[last][t] + q[last][last] + extra
		}
		h[s][s] += extra
	}
	return a.factor()
}

// factor makes h = rootᵀ·root and finds the centre: line then holds it.
func (a *allotter) factor() bool {
	h, n := a.root, len(a.root)
	for i := range n {
		for j := range i {
			h[i][j] = 0
		}
		for m := range i {
			for j := i; j < n; j++ {
				h[i][j] -= h[m][i] * h[m][j]
			}
		}
		if h[i][i] <= 0 {
			return false
		}
		pivot := math.Sqrt(h[i][i])
		for j := i; j < n; j++ {
			h[i][j] /= pivot
		}
	}
	x := a.line
	for i := range n { // rootᵀ z = −line/2
		x[i] = -x[i] / 2
		for m := range i {
			x[i] -= h[m][i] * x[m]
		}
		x[i] /= h[i][i]
	}
	for _, z := range x {
		a.base -= z * z
	}
	for i := n - 1; i >= 0; i-- {
		for j := i + 1; j < n; j++ {
			x[i] -= h[i][j] * x[j]
		}
		x[i] /= h[i][i]
	}
	mean := float64(a.in.keep) / float64(len(a.pairs))
	for i := range x {
		x[i] += mean
	}
	return true
}

// try gives the pair at a place each number that may be best, those after it
// having theirs; left are the fry for it, for those before it and for the last.
func (a *allotter) try(at int, sum float64, left int) {
	in := a.in
	low := max(in.least, left-(at+1)*in.most)
	high := min(in.most, left-(at+1)*in.least)
	if low > high {
		return
	}
	row, centre := a.root[at], a.line[at]
	for j := at + 1; j < len(a.root); j++ {
		centre -= row[j] / row[at] * (float64(a.fry[j]) - a.line[j])
	}
	first := int(min(max(math.Round(centre), float64(low)), float64(high)))
	down, up := first, first+1
	for down >= low || up <= high {
		var fry int
		if up > high || down >= low && centre-float64(down) <= float64(up)-centre {
			fry = down
			down--
		} else {
			fry = up
			up++
		}
		off := row[at] * (float64(fry) - centre)
		next := sum + off*off
		if a.base+next-a.slack >= a.best || a.steps >= mostSteps {
			return // those that follow are farther off
		}
		a.steps++
		a.fry[at] = fry
		if at == 0 {
			a.fry[len(a.fry)-1] = left - fry
			a.leaf()
		} else {
			a.try(at-1, next, left-fry)
		}
	}
}

func (a *allotter) leaf() {
	plan := make([]Choice, len(a.pairs))
	for i, pair := range a.pairs {
		plan[i] = Choice{pair[0], pair[1], a.fry[i]}
	}
	if cost := a.in.cost(plan); cost < a.best {
		a.best = cost
		a.found = append(a.found[:0], a.fry...)
	}
}
