package sums

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Boys among the first twelve children of 6,115 families of Saxony (Geissler 1889,
// as given in Lindsey & Altham 1998, Appl. Stat. 47:149). Maximum likelihood has
// α = 34.0956, β = 31.5715 (as printed in encyclopaedias; from memory).
func TestFitOfGeissler(t *testing.T) {
	var families []Count
	for boys, n := range []int{3, 24, 104, 286, 670, 1033, 1343, 1112, 829, 478, 181, 45, 7} {
		for range n {
			families = append(families, Count{12, boys})
		}
	}
	y, err := FitYield(families)
	if err != nil {
		t.Fatal(err)
	}
	a, b := y.shape()
	if math.Abs(a-34.0956) > .01 || math.Abs(b-31.5715) > .01 {
		t.Errorf("α = %v, β = %v", a, b)
	}
}

// The chances are those of binomial ones averaged over a Beta distribution, by the
// quadrature of gonum.
func TestChancesByQuadrature(t *testing.T) {
	for _, y := range []Yield{{.3, .1}, {.8, .05}, {.5, .3}, {.02, .01}} {
		a, b := y.shape()
		beta := distuv.Beta{Alpha: a, Beta: b}
		const n = 40
		sum := 0.0
		for k, got := range y.chances(n, n+1) {
			sum += got
			if a < 1 || b < 1 {
				continue // the density has no end at 0 or 1
			}
			want := quad.Fixed(func(p float64) float64 {
				return beta.Prob(p) * distuv.Binomial{N: n, P: p}.Prob(float64(k))
			}, 1e-9, 1-1e-9, 2000, nil, 0)
			if math.Abs(got-want) > 1e-8 { // of the quadrature, where the density is steep at 0 and 1
				t.Errorf("%v: chance of %d = %v, want %v", y, k, got, want)
			}
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("%v: the chances sum to %v", y, sum)
		}
	}
	// Large spawns start from the beta function: the same.
	y := Yield{.3, .1}
	if a, b := y.chances(999, 1000), y.chances(1001, 1000); math.Abs(a[300]/b[300]-1) > .01 {
		t.Errorf("%v and %v", a[300], b[300])
	}
}

// draw is one spawn, drawn the long way.
func draw(y Yield, n int, random *rand.Rand) int {
	a, b := y.shape()
	p := distuv.Beta{Alpha: a, Beta: b, Src: random}.Rand()
	return int(distuv.Binomial{N: float64(n), P: p, Src: random}.Rand())
}

// What is planned comes out as often as was said, in spawns drawn one by one, and
// one spawn or egg fewer would not have done.
func TestSpawningByDrawing(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	const runs = 8000
	for _, c := range []struct {
		yield Yield
		sizes []int
		fry   int
		sure  float64
	}{
		{Yield{.6, .05}, []int{20, 30, 25}, 40, .9},
		{Yield{.08, .1}, []int{200, 310, 90, 250}, 60, .9},
		{Yield{.5, .4}, []int{12, 0, 30}, 100, .95},
	} {
		plan, err := c.yield.SpawningFor(c.fry, c.sizes, c.sure)
		if err != nil {
			t.Fatal(err)
		}
		usual := usualSize(c.sizes)
		hits, fewer, ofEggs := 0, 0, 0
		for range runs {
			through := 0
			for spawn := range plan.Spawns {
				if spawn == plan.Spawns-1 && through >= c.fry {
					fewer++
				}
				through += draw(c.yield, c.sizes[random.IntN(len(c.sizes))], random)
			}
			if through >= c.fry {
				hits++
			}
			through = 0
			for left := plan.Eggs; left > 0; left -= usual {
				through += draw(c.yield, min(left, usual), random)
			}
			if through >= c.fry {
				ofEggs++
			}
		}
		const error3 = .0101 // three standard errors
		if got := float64(hits) / runs; got < c.sure-error3 {
			t.Errorf("%+v: %d spawns bring them with %v", c, plan.Spawns, got)
		}
		if got := float64(fewer) / runs; got > c.sure+error3 {
			t.Errorf("%+v: one spawn less than %d brings them with %v", c, plan.Spawns, got)
		}
		if got := float64(ofEggs) / runs; math.Abs(got-c.sure) > error3+.01 { // an egg is one of few
			t.Errorf("%+v: %d eggs bring them with %v", c, plan.Eggs, got)
		}
	}
}

// The fit finds again what spawns were drawn from.
func TestFitFindsWhatWasDrawn(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, want := range []Yield{{.7, .1}, {.1, .02}, {.5, .5}, {.9, 1e-4}} {
		var spawns []Count
		for range 1500 {
			n := 20 + random.IntN(200)
			spawns = append(spawns, Count{n, draw(want, n, random)})
		}
		got, err := FitYield(spawns)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Mean-want.Mean) > .03 || math.Abs(got.Spread-want.Spread) > .03 {
			t.Errorf("%+v found as %+v", want, got)
		}
	}
}

// Convolution by transform is that by hand.
func TestConvolved(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	a, b := make([]float64, 300), make([]float64, 150)
	for _, x := range [][]float64{a, b} {
		for i := range x {
			x[i] = random.Float64() / float64(len(x))
		}
	}
	for _, top := range []int{1, 200, 449, 1000} {
		got := convolved(a, b, top)
		if len(got) != min(449, top) {
			t.Fatalf("%d of %d", len(got), top)
		}
		for n := range got {
			want := 0.0
			for i := max(0, n-149); i <= min(n, 299); i++ {
				want += a[i] * b[n-i]
			}
			if math.Abs(got[n]-want) > 1e-15 {
				t.Fatalf("top %d: %d: %v, want %v", top, n, got[n], want)
			}
		}
	}
}

// Whatever is counted, there is a yield that can be reckoned with.
func TestAnyCounts(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var spawns []Count
		var sizes []int
		for range rapid.IntRange(LeastSpawns, 12).Draw(r, "spawns") {
			n := rapid.IntRange(1, 400).Draw(r, "eggs")
			spawns = append(spawns, Count{n, rapid.IntRange(0, n).Draw(r, "through")})
			sizes = append(sizes, n)
		}
		spawns[0].Through = max(1, spawns[0].Through)
		y, err := FitYield(spawns)
		if err != nil {
			r.Fatal(err)
		}
		low, high := y.Usual(.8)
		if !(y.Mean > 0 && y.Mean <= 1 && y.Spread > 0 && y.Spread < 1 && 0 <= low && low <= high && high <= 1) {
			r.Fatalf("%+v, usually %v to %v", y, low, high)
		}
		fry := rapid.IntRange(1, 200).Draw(r, "fry")
		plan, err := y.SpawningFor(fry, sizes, .9)
		if errors.Is(err, ErrTooMany) && y.Mean < 1e-3 {
			return
		}
		if err != nil || plan.Eggs < fry || plan.Spawns < 1 {
			r.Fatalf("%+v of %+v: %v", plan, y, err)
		}
		more, err := y.SpawningFor(fry, sizes, .95)
		if err != nil || more.Eggs < plan.Eggs || more.Spawns < plan.Spawns {
			r.Fatalf("surer takes less: %+v, %+v, %v", plan, more, err)
		}
	})
}
