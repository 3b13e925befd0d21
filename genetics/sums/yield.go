package sums

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"
)

// LeastSpawns is how many spawns must be on record before anything is said from
// them: a choice of this program, no rule of statistics.
const LeastSpawns = 5

// Count is one spawn: of so many eggs (or fry), so many came through.
type Count struct{ Of, Through int }

// Yield is how a line's spawns come through: the share that does so differs from
// spawn to spawn, as a Beta distribution of that mean. Spread is the part of the
// variance that lies between spawns, from 0 (all have the same chance) to nearly
// 1 (a spawn comes through whole or not at all): 1/(α + β + 1) of that Beta.
type Yield struct{ Mean, Spread float64 }

// Between which spreads a yield is looked for.
const leastSpread, mostSpread = 1e-6, 1 - 1e-3

// FitYield fits a beta-binomial distribution to counted spawns by maximum
// likelihood (Skellam 1948, J. R. Stat. Soc. B 10:257; Griffiths 1973, Biometrics
// 29:637), with the Nelder-Mead simplex of gonum/optimize. Spawns of nothing are
// left out. An error says so where fewer than [LeastSpawns] are left, where
// nothing came through, or where a count is impossible.
//
// The Mean of spawns that all came through whole is 1. Cost: O(distinct counts)
// for each of some hundred steps.
func FitYield(spawns []Count) (Yield, error) {
	var counted []Count
	of, through := 0, 0
	for _, c := range spawns {
		if c.Of < 0 || c.Through < 0 || c.Through > c.Of || c.Of > Most {
			return Yield{}, fmt.Errorf("%d of %d cannot have come through", c.Through, c.Of)
		}
		if c.Of > 0 {
			counted = append(counted, c)
			of, through = of+c.Of, through+c.Through
		}
	}
	switch {
	case len(counted) < LeastSpawns:
		return Yield{}, fmt.Errorf("too few spawns are counted: %d, where %d are the least", len(counted), LeastSpawns)
	case through == 0:
		return Yield{}, errors.New("nothing came through in any of the spawns counted")
	case through == of:
		return Yield{1, leastSpread}, nil
	}
	return fit(weighted(counted), float64(through)/float64(of))
}

// weighted counts how often each count occurs, in order.
func weighted(counted []Count) map[Count]float64 {
	weight := make(map[Count]float64)
	for _, c := range counted {
		weight[c]++
	}
	return weight
}

func fit(weight map[Count]float64, mean float64) (Yield, error) {
	counts := make([]Count, 0, len(weight))
	for c := range weight {
		counts = append(counts, c)
	}
	slices.SortFunc(counts, func(a, b Count) int {
		if a.Of != b.Of {
			return a.Of - b.Of
		}
		return a.Through - b.Through
	})
	at := func(x []float64) Yield {
		squeezed := 1 / (1 + math.Exp(-x[1]))
		return Yield{1 / (1 + math.Exp(-x[0])), leastSpread + (mostSpread-leastSpread)*squeezed}
	}
	unlikely := func(x []float64) float64 {
		a, b := at(x).shape()
		sum := 0.0
		for _, c := range counts {
			sum -= weight[c] * (mathext.Lbeta(a+float64(c.Through), b+float64(c.Of-c.Through)) - mathext.Lbeta(a, b))
		}
		if math.IsNaN(sum) || math.Abs(x[0]) > 30 {
			return math.Inf(1)
		}
		return sum
	}
	start := []float64{math.Log(mean / (1 - mean)), -2}
	best, err := optimize.Minimize(optimize.Problem{Func: unlikely}, start,
		&optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-12, Iterations: 100}}, &optimize.NelderMead{})
	if err != nil {
		return Yield{}, fmt.Errorf("no yield fits the spawns counted: %w", err)
	}
	return at(best.X), nil
}

// shape returns α and β of the Beta distribution.
func (y Yield) shape() (a, b float64) {
	sum := 1/y.Spread - 1
	return y.Mean * sum, (1 - y.Mean) * sum
}

// Usual returns the shares between which a spawn comes through with the chance
// within, as many spawns lying below as above: for 0.8, what one spawn in ten falls
// short of, and what one in ten is above. 0 < within < 1.
func (y Yield) Usual(within float64) (low, high float64) {
	if y.Mean >= 1 {
		return 1, 1
	}
	a, b := y.shape()
	beta := distuv.Beta{Alpha: a, Beta: b}
	return beta.Quantile((1 - within) / 2), beta.Quantile((1 + within) / 2)
}

// chances returns the chances of 0, 1, 2 … coming through of n, those of fewer
// than top only.
func (y Yield) chances(n, top int) []float64 {
	out := make([]float64, min(n+1, top))
	if y.Mean >= 1 {
		if n < top {
			out[n] = 1
		}
		return out
	}
	a, b := y.shape()
	log := 0.0 // of the chance of none
	if n < 1000 {
		for i := range n {
			log += math.Log((b + float64(i)) / (a + b + float64(i)))
		}
	} else {
		log = mathext.Lbeta(a, b+float64(n)) - mathext.Lbeta(a, b)
	}
	for k := range out {
		out[k] = math.Exp(log)
		left := float64(n - k)
		log += math.Log(left * (a + float64(k)) / (float64(k+1) * (b + left - 1)))
	}
	return out
}
