package sums_test

import (
	"math"
	"testing"

	"roebook/genetics/sums"
)

// must returns the value of an answer that is there.
func must[T any](t *testing.T) func(T, error) T {
	t.Helper()
	return func(value T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.10g, want %.10g", what, got, want)
	}
}

// 4·Nm·Nf/(Nm+Nf): 10+10, 10+250, 40+10, 20+80 from course texts; 99+1, 2+2,
// 25+25, 5+5 from the USFWS Inland Salmonid Broodstock Handbook p. 1-8 and
// Williamson & Wydoski 1994.
func TestSizeBySexes(t *testing.T) {
	for _, c := range []struct{ m, f, want, tolerance float64 }{
		{10, 10, 20, 0}, {10, 250, 38.5, .05}, {40, 10, 32, 0}, {20, 80, 64, 0},
		{99, 1, 3.96, 1e-12}, {2, 2, 4, 0}, {25, 25, 50, 0}, {5, 5, 10, 0},
	} {
		near(t, "size", sums.BySexes(c.m, c.f), c.want, c.tolerance)
	}
	// The same sources: 25+25 lose 1 % in a generation, 5+5 5 %, an effective
	// size of 4 keeps 7/8.
	near(t, "kept of 50", sums.DiversityKept(50, 1), .99, 1e-15)
	near(t, "kept of 10", sums.DiversityKept(10, 1), .95, 1e-15)
	near(t, "kept of 4", sums.DiversityKept(4, 1), 7./8, 1e-15)
	// Pedigreed mating, from memory: 10+10 count as 40, 10 males and 20 females as 45.7.
	near(t, "pedigreed", sums.Pedigreed(10, 10), 40, 0)
	near(t, "pedigreed", sums.Pedigreed(10, 20), 45.7, .05)
	near(t, "pedigreed", sums.Pedigreed(20, 10), 45.7, .05)
}

// Harmonic means: six sizes from a course text; the scarlet tiger moth, as printed
// in a textbook.
func TestSizeOverYears(t *testing.T) {
	near(t, "six years", must[float64](t)(sums.OverYears([]float64{10, 100, 50, 80, 20, 500})), 30.8, .05)
	near(t, "tiger moth", must[float64](t)(sums.OverYears([]float64{11000, 2000, 11000, 16000})), 5374, .5)
	for _, bad := range [][]float64{nil, {10, 0}, {-1}, {math.NaN()}, {math.Inf(1)}} {
		if _, err := sums.OverYears(bad); err == nil {
			t.Errorf("%v has a size", bad)
		}
	}
}

// 90 % over 100 years needs an effective size times the generation's length of
// 475 (from memory; 474.6 by calculation in continuous time).
func TestSizeToKeep(t *testing.T) {
	for _, years := range []float64{0.5, 1, 2, 4} {
		ne := must[float64](t)(sums.SizeToKeep(.9, 100/years))
		near(t, "size times years", ne*years, 475, 1.5)
		near(t, "kept", sums.DiversityKept(ne, 100/years), .9, 1e-12)
	}
	near(t, "in the limit", must[float64](t)(sums.SizeToKeep(.9, 1e6))*1e-4, 474.6, .05)
	near(t, "loss of 1 %", must[float64](t)(sums.SizeForLoss(.01)), 50, 1e-12)
}

// 1 − 1/(2N) (from memory): 5 founders hold .90, 10 .95, 20 .975. Full sibs
// without end hold 3/4 at most, as their mean kinship is 1/4.
func TestFounders(t *testing.T) {
	for n, want := range map[int]float64{5: .9, 10: .95, 20: .975} {
		near(t, "diversity", must[float64](t)(sums.FounderDiversity(n, 0)), want, 1e-15)
		if got := must[int](t)(sums.FoundersFor(want, 0)); got != n {
			t.Errorf("%v takes %d founders, want %d", want, got, n)
		}
	}
	// Mean kinship of two, three and four full sibs: 3/8, 1/3, 5/16 (definitions of
	// Lacy 1989, 1995; worked out by enumerating every transmission).
	for n, kinship := range map[int]float64{2: 3. / 8, 3: 1. / 3, 4: 5. / 16} {
		near(t, "sibs", must[float64](t)(sums.FounderDiversity(n, .25)), 1-kinship, 1e-15)
		if got := must[int](t)(sums.FoundersFor(1-kinship, .25)); got != n {
			t.Errorf("%v takes %d sibs, want %d", 1-kinship, got, n)
		}
	}
	if _, err := sums.FoundersFor(.75, .25); err == nil {
		t.Error("sibs hold 3/4")
	}
}

// Sirkkomaa 1983, Hereditas 99:11: 24 founders lose about 30 % of two alleles of
// .99 and .01, about 70 % of .99 and four of .0025 (as the abstract prints; .309
// and .709 by calculation).
// Marshall & Brown 1975 (from memory): 59 gametes for 95 % at .05, so 30 fish.
func TestLostAlleles(t *testing.T) {
	lost := func(frequencies ...float64) float64 {
		sum := 0.0
		for _, q := range frequencies {
			sum += must[float64](t)(sums.Missed(q, 24))
		}
		return sum / float64(len(frequencies))
	}
	near(t, "two alleles", lost(.99, .01), .309, .0005)
	near(t, "five alleles", lost(.99, .0025, .0025, .0025, .0025), .709, .0005)
	if got := must[int](t)(sums.FishForAllele(.05, .95)); got != 30 {
		t.Errorf("%d fish for 95 %% at .05, want 30", got)
	}
	if got := must[int](t)(sums.FishForAllele(1, .95)); got != 1 {
		t.Errorf("%d fish for what all have", got)
	}
}

// Tave 1999, FAO Fisheries Technical Paper 392 (from memory; reproduced).
func TestAlleleOverGenerations(t *testing.T) {
	for _, c := range []struct {
		sure        float64
		generations int
		want        int
	}{{.95, 10, 263}, {.99, 10, 344}, {.99, 50, 424}} {
		if got := must[int](t)(sums.SizeForAllele(.01, c.generations, c.sure)); got != c.want {
			t.Errorf("%v over %d: %d, want %d", c.sure, c.generations, got, c.want)
		}
	}
}

// Normal offspring that rule out a carrier at 5 %, 1 %, .1 %: a table of a course
// on animal breeding. The table rounds: where it prints 16 and 24 with a known
// carrier, (3/4)^16 = .010023 and (3/4)^24 = .001003 are not below the limit, and
// the strict rule gives 17 and 25.
func TestTestMatings(t *testing.T) {
	for _, c := range []struct {
		mate            sums.Mate
		printed, strict [3]int
	}{
		{sums.Recessive, [3]int{5, 7, 10}, [3]int{5, 7, 10}},
		{sums.Carrier, [3]int{11, 16, 24}, [3]int{11, 17, 25}},
		{sums.Offspring, [3]int{23, 35, 52}, [3]int{23, 35, 52}},
	} {
		test := sums.Test{Mate: c.mate, Each: 1}
		for i, doubt := range []float64{.05, .01, .001} {
			if got := must[int](t)(test.Young(doubt)); got != c.strict[i] {
				t.Errorf("mate %d at %v: %d, want %d", c.mate, doubt, got, c.strict[i])
			}
			left := must[float64](t)(test.Passed(c.printed[i]))
			if (left < doubt) != (c.printed[i] == c.strict[i]) || left > doubt*1.004 {
				t.Errorf("mate %d: the printed %d leave %v", c.mate, c.printed[i], left)
			}
		}
	}
	near(t, "16 with a carrier", must[float64](t)(sums.Test{Mate: sums.Carrier}.Passed(16)), .010023, 5e-7)
	near(t, "24 with a carrier", must[float64](t)(sums.Test{Mate: sums.Carrier}.Passed(24)), .001003, 5e-7)
	// Strictly below: five normal young leave exactly 1/32.
	if got := must[int](t)(sums.Test{Mate: sums.Recessive}.Young(1. / 32)); got != 6 {
		t.Errorf("at 1/32: %d, want 6", got)
	}
}

// Odds of a normal sib of an affected fish (2/3; read in a textbook) after n normal
// young, derived by Bayes' rule. With odds of one half before, as a daughter of a
// carrier X-linked, 1/(1 + 2ⁿ) (read in a textbook).
func TestCarrierOdds(t *testing.T) {
	odds := func(mate sums.Mate, before float64, n int) float64 {
		return must[float64](t)(sums.Test{Mate: mate}.CarrierOdds(before, n))
	}
	for n, want := range []float64{2. / 3, 1. / 2, 1. / 3, 1. / 5, 1. / 9} {
		near(t, "with a recessive", odds(sums.Recessive, 2./3, n), want, 1e-15)
	}
	for n, want := range []float64{2. / 3, 3. / 5, 9. / 17, 27. / 59, 81. / 209} {
		near(t, "with a carrier", odds(sums.Carrier, 2./3, n), want, 1e-15)
	}
	for n, want := range []float64{1. / 2, 1. / 3, 1. / 5, 1. / 9} {
		near(t, "from one half", odds(sums.Recessive, .5, n), want, 1e-15)
	}
	if got := must[int](t)(sums.Test{Mate: sums.Recessive}.YoungGiven(2./3, .2)); got != 4 {
		t.Errorf("%d young to come below 1/5, want 4", got)
	}
}

// One of each among n unsexed fish: 1 − 2·(½)ⁿ, six fish 31/32 (derived).
func TestSexes(t *testing.T) {
	one := sums.Sexes{Males: 1, Females: 1}
	for n := 2; n <= 40; n++ {
		want := 1 - 2*math.Pow(.5, float64(n))
		near(t, "one of each", must[float64](t)(sums.SexesAmong(n, one, .5)), want, 1e-14)
	}
	for sure, want := range map[float64]int{.95: 6, 31. / 32: 6, .97: 7, .5: 2, .51: 3, .99: 8} {
		if got := must[int](t)(sums.FishForSexes(one, .5, sure)); got != want {
			t.Errorf("%v: %d fish, want %d", sure, got, want)
		}
	}
	// By counting all 2ⁿ broods.
	for n := 1; n <= 12; n++ {
		for _, want := range []sums.Sexes{{Males: 2, Females: 3}, {Males: 0, Females: 2}, {Males: 3, Females: 0}, {Males: 1, Females: 4}} {
			chance := 0.0
			for brood := range 1 << n {
				p, males := 1.0, 0
				for fish := range n {
					if brood>>fish&1 == 1 {
						p, males = p*.3, males+1
					} else {
						p *= .7
					}
				}
				if males >= want.Males && n-males >= want.Females {
					chance += p
				}
			}
			near(t, "by counting", must[float64](t)(sums.SexesAmong(n, want, .3)), chance, 1e-13)
		}
	}
}

// Rotation of lines, derived from the definition of kinship: mean inbreeding of
// generations 2, 3, 5, 10 and 20 for three lines of 2 + 2 fish in a ring (Kincaid
// 1977's order), one group of 6 + 6, and one of 2 + 2.
func TestRing(t *testing.T) {
	for _, c := range []struct {
		ring sums.Ring
		want [5]float64
	}{
		{sums.Ring{Lines: 3, Males: 2, Females: 2}, [5]float64{0, .031, .092, .225, .436}},
		{sums.Ring{Lines: 1, Males: 6, Females: 6}, [5]float64{.042, .080, .152, .308, .540}},
		{sums.Ring{Lines: 1, Males: 2, Females: 2}, [5]float64{.125, .219, .381, .654, .892}},
	} {
		for i, generation := range []int{2, 3, 5, 10, 20} {
			near(t, "inbreeding", c.ring.Inbreeding(generation), c.want[i], .00052) // the last is .89149
		}
		before, after := 1-c.ring.Inbreeding(60), 1-c.ring.Inbreeding(61)
		near(t, "loss in the long run", 1/(2*c.ring.Size()), 1-after/before, 1e-9)
	}
	// Brother and sister lose 19.1 % in each generation: 1 − (1 + √5)/4.
	near(t, "full sibs", 1/(2*sums.Ring{Lines: 1, Males: 1, Females: 1}.Size()), 1-(1+math.Sqrt(5))/4, 1e-12)
	// A large closed group counts as 4·m·f/(m + f), but for the pair that cannot be
	// one fish: half a fish or so.
	near(t, "large", sums.Ring{Lines: 1, Males: 1000, Females: 3000}.Size(), 3000, 1)
}
