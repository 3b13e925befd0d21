package locus

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// mostOutcomes is how many outcomes the exact test goes through at most.
const mostOutcomes = 3_000_000

// FitTest is counts held against a ratio.
type FitTest struct {
	P     float64 // chance of counts that are no more probable than those seen
	Exact bool    // false where there are too many outcomes and P is that of ChiSquare
	// ChiSquare is Pearson's statistic with its degrees of freedom and chance; it
	// may be used where ChiSquareHolds, that is, every expected count is 5 or more.
	ChiSquare, ChiSquareP float64
	Freedom               int
	ChiSquareHolds        bool
}

// TestRatio tests counts against the shares to be expected, which must sum to 1,
// by the exact multinomial test: the chance of all outcomes that are no more
// probable than that seen. Classes of share 0 must be empty, else P is 0.
// O(outcomes) up to 3,000,000 of them; beyond, the chi-square test alone.
func TestRatio(counts, shares []float64) FitTest {
	n, t := 0.0, FitTest{Exact: true, ChiSquareHolds: true, P: 1, ChiSquareP: 1}
	var seen, p []float64
	for i, share := range shares {
		n += counts[i]
		switch {
		case share > 0:
			seen, p = append(seen, counts[i]), append(p, share)
		case counts[i] > 0:
			return FitTest{Exact: true}
		}
	}
	for i := range seen {
		expected := n * p[i]
		t.ChiSquare += (seen[i] - expected) * (seen[i] - expected) / expected
		t.ChiSquareHolds = t.ChiSquareHolds && expected >= 5
	}
	if t.Freedom = len(seen) - 1; t.Freedom < 1 || n == 0 {
		t.ChiSquare, t.ChiSquareHolds = 0, false
		return t
	}
	t.ChiSquareP = distuv.ChiSquared{K: float64(t.Freedom)}.Survival(t.ChiSquare)
	if outcomes(n, len(seen)) > mostOutcomes {
		t.Exact, t.P = false, t.ChiSquareP
		return t
	}
	t.P = exact(seen, p, n)
	return t
}

// outcomes is the number of ways to divide n into k classes.
func outcomes(n float64, k int) float64 {
	ways := 1.0
	for i := 1; i < k; i++ {
		ways *= (n + float64(i)) / float64(i)
	}
	return ways
}

func exact(seen, p []float64, n float64) float64 {
	logFactorial := make([]float64, int(n)+1)
	for i := 1; i < len(logFactorial); i++ {
		logFactorial[i] = logFactorial[i-1] + math.Log(float64(i))
	}
	logP := logs(p)
	limit := logFactorial[int(n)]
	for i, c := range seen {
		limit += c*logP[i] - logFactorial[int(c)]
	}
	limit += 1e-7 // outcomes as probable as that seen count, whatever the rounding
	sum := 0.0
	var divide func(class, left int, weight float64)
	divide = func(class, left int, weight float64) {
		if class == len(p)-1 {
			if weight += float64(left)*logP[class] - logFactorial[left]; weight <= limit {
				sum += math.Exp(weight)
			}
			return
		}
		for c := range left + 1 {
			divide(class+1, left-c, weight+float64(c)*logP[class]-logFactorial[c])
		}
	}
	divide(0, int(n), logFactorial[int(n)])
	return min(sum, 1)
}
