package pairing

import (
	"gonum.org/v1/gonum/mat"
)

// ownPart splits kinships K = R + diag(d) with d as large as it can be had while R
// has no negative square, xᵀRx ≥ −slack·xᵀx: what is a fish's own, such as its
// Mendelian sampling, is in d. Only where K itself has a negative square, as parts
// of fish never sexed may, is d below 0. Its sum is near its greatest (minimum
// trace factor analysis; Bentler 1972, Psychometrika 37:343): each round gives
// every fish half of what it alone could still be given, or less where that is too
// much for all together. O(rounds · n³).
func ownPart(k []float64, n int) (d []float64, slack float64) {
	d = make([]float64, n)
	rest := mat.NewSymDense(n, nil)
	var factor mat.Cholesky
	fits := func(d []float64) bool {
		for i := range n {
			for j := i; j < n; j++ {
				rest.SetSym(i, j, k[i*n+j])
			}
			rest.SetSym(i, i, k[i*n+i]-d[i]+slack)
		}
		return factor.Factorize(rest)
	}
	slack = 1e-13
	for below := slack; !fits(d); below *= 10 {
		for i := range d {
			d[i] = -below
		}
	}
	var inverse mat.SymDense
	room := make([]float64, n)
	for round, step := 0, 0.5; round < ownRounds && step > 1e-3; round++ {
		if factor.InverseTo(&inverse) != nil {
			break // nearly singular: nothing is left to give
		}
		gain := 0.0
		for i := range room {
			room[i] = 1 / inverse.At(i, i)
			gain += room[i]
		}
		if gain < 1e-4*float64(n) {
			break
		}
		for step = 0.5; step > 1e-3; step /= 2 {
			next := make([]float64, n)
			for i := range next {
				next[i] = d[i] + step*room[i]
			}
			if fits(next) {
				d = next
				break
			}
		}
	}
	return d, slack
}

const ownRounds = 12
