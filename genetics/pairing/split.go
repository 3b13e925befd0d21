package pairing

import "gonum.org/v1/gonum/mat"

// ownPart splits kinships K = R + diag(d) so that Σ weight·d is near its greatest
// while R has no negative square, xᵀRx ≥ −slack·xᵀx: what is a fish's own, such as
// its Mendelian sampling, is in d. Only where K itself has a negative square, as
// parts of fish never sexed may, is d below 0.
//
// That is minimum trace factor analysis (Bentler 1972, Psychometrika 37:343), done
// by a barrier: Σ weight·d + μ·log det R is raised one d after the other, for which
// the best is known from the inverse of R, and μ is lowered. O(rounds · n³).
func ownPart(k []float64, n int, weight []float64) (d []float64, slack float64) {
	d = make([]float64, n)
	slack = 1e-13
	inverse, ok := inverseOfRest(k, d, slack)
	floor := 0.0
	for below := slack; !ok; below *= 10 {
		floor = -below
		for i := range d {
			d[i] = floor
		}
		inverse, ok = inverseOfRest(k, d, slack)
	}
	last := 1e-14 // the better, the more is proved of fish that are as good as each other
	if n > 100 {
		last = 2e-4
	}
	before := make([]float64, n)
	for mu := 0.1; mu > last; mu /= step(mu) {
		copy(before, d)
		raise(d, inverse, weight, floor, mu)
		if inverse, ok = inverseOfRest(k, d, slack); !ok {
			return before, slack // as far as rounding goes
		}
	}
	return d, slack
}

// step is by how much the barrier is lowered: at the end nothing turns any more.
func step(mu float64) float64 {
	if mu > 1e-3 {
		return 3
	}
	return 10
}

// raise goes once over all d, with the inverse of R kept up.
func raise(d []float64, inverse *mat.SymDense, weight []float64, floor, mu float64) {
	n := len(d)
	column := mat.NewVecDense(n, nil)
	for i := range d {
		target := mu
		if weight != nil {
			target = mu / max(weight[i], 1e-3)
		}
		at := inverse.At(i, i)
		by := max(1/at-target, floor-d[i])
		if 1-by*at < 1e-9 {
			continue
		}
		for j := range n {
			column.SetVec(j, inverse.At(j, i))
		}
		d[i] += by
		inverse.SymRankOne(inverse, by/(1-by*at), column)
	}
}

// inverseOfRest inverts K − diag(d) + slack; ok is false where that has a square
// not above 0.
func inverseOfRest(k, d []float64, slack float64) (inverse *mat.SymDense, ok bool) {
	n := len(d)
	rest := mat.NewSymDense(n, append([]float64(nil), k...))
	for i := range d {
		rest.SetSym(i, i, k[i*n+i]-d[i]+slack)
	}
	var factor mat.Cholesky
	if !factor.Factorize(rest) {
		return nil, false
	}
	inverse = mat.NewSymDense(n, nil)
	_ = factor.InverseTo(inverse) // nearly singular still serves
	return inverse, true
}
