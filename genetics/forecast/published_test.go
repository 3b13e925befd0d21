package forecast

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

var long = flag.Bool("long", false, "compare with the exact recurrences in 20 times as many runs")

// unrelated is a start of so many founders: one lot of males, one of females.
func unrelated(males, females int) *Start {
	return &Start{
		Records: []Record{
			{ID: "M", Males: float64(males), family: [2]int{0, 0}},
			{ID: "F", Females: float64(females), family: [2]int{1, 1}},
		},
		Kinship:  [][]float64{{0, 0}, {0, 0}},
		Self:     []float64{0.5, 0.5},
		Founders: []string{"M", "F"},
		Shares:   [][]float64{{1, 0}, {0, 1}},
	}
}

// play runs a forecast that must not fail.
func play(t testing.TB, start *Start, o Options) *Result {
	t.Helper()
	r, err := Run(context.Background(), start, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// exactly holds the mean inbreeding of each generation, which no chance enters,
// against values to 1e-12.
func exactly(t *testing.T, r *Result, want ...float64) {
	t.Helper()
	for i, f := range want {
		got := r.Generations[i].Inbreeding
		if math.Abs(got.Mean-f) > 1e-12 || got.High-got.Low > 1e-12 {
			t.Errorf("generation %d: inbreeding %.12g (%g to %g), want %.12g", i, got.Mean, got.Low, got.High, f)
		}
	}
}

// within holds mean inbreeding against the expectation: |z| of the runs' mean
// below 4.5. It returns the largest |z|.
func within(t *testing.T, r *Result, want map[int]float64) {
	t.Helper()
	worst := 0.0
	for g, f := range want {
		sum, squares, n := 0.0, 0.0, float64(len(r.runs))
		for _, run := range r.runs {
			sum += run[g].inbreeding
			squares += run[g].inbreeding * run[g].inbreeding
		}
		mean := sum / n
		z := (mean - f) / math.Sqrt((squares/n-mean*mean)/(n-1))
		if math.IsNaN(z) || math.Abs(z) > 4.5 {
			t.Errorf("generation %d: inbreeding %.5f, want %.5f: z = %.2f", g, mean, f, z)
		}
		if math.Abs(z) > math.Abs(worst) {
			worst = z
		}
	}
	t.Logf("largest z %.2f over %d generations, %d runs", worst, len(want), len(r.runs))
}

func runs(n int) int {
	if *long {
		return min(20*n, MostReplicates)
	}
	return n
}

// Inbreeding in generations 1, 2, 3 … of regular systems of mating (Falconer &
// Mackay, Introduction to Quantitative Genetics, Table 5.1; from memory, exact by
// recurrence). Unrelated founders stand two generations before the first young of
// sibs, three before those of double first cousins.

func TestFullSibs(t *testing.T) {
	r := play(t, unrelated(1, 1), Options{Scheme: Random, Pairs: 1, Keep: 2, Males: 0.5, BySex: true, Generations: 11, Replicates: 20})
	exactly(t, r, 0, 0, 1./4, 3./8, 1./2, 19./32, 43./64, 47./64, 201./256, 423./512)
	exactly(t, &Result{Generations: r.Generations[11:]}, 1815./2048)
}

func TestDoubleFirstCousins(t *testing.T) {
	r := play(t, unrelated(2, 2), Options{Scheme: AvoidSiblings, Pairs: 2, Keep: 4, Males: 0.5, BySex: true, Generations: 7, Replicates: 50})
	exactly(t, r, 0, 0, 0, 1./8, 3./16, 1./4, 5./16, 47./128)
}

// One male, and females each of another dam than his and than one another's: one
// dam fewer is left every generation.
func TestHalfSibs(t *testing.T) {
	b := newBreeder(unrelated(1, 9), Options{Scheme: Random, Pairs: 9, Keep: 40, Males: 0.5, BySex: true, Generations: 6})
	b.choose = func(b *breeder, spawns []spawn, _ int) []spawn {
		c, sire := b.now, b.chance.IntN(len(b.sides[male]))
		taken := map[int]bool{}
		for _, dam := range b.sides[female] {
			family := c.sex[female][dam].family
			if !c.first && (taken[family] || family == c.sex[male][sire].family) {
				continue
			}
			taken[family] = true
			spawns = append(spawns, spawn{sire: sire, dam: dam})
		}
		return spawns
	}
	b.chance = rand.New(rand.NewPCG(1, 0))
	run := b.play(nil)
	for i, want := range []float64{0, 0, 1. / 8, 7. / 32, 39. / 128, 195. / 512, 919. / 2048} {
		if math.Abs(run[i].inbreeding-want) > 1e-12 {
			t.Errorf("generation %d: inbreeding %.12g, want %.12g", i, run[i].inbreeding, want)
		}
	}
}

// ring is the exact expectation of the rotation of groups, and with one group of
// random mating: each fry of group i has a dam of it and a sire of group i − 1,
// drawn with replacement among so many males and females. Derived, no source.
type ring struct {
	males, females float64
	kinship        [][]float64 // of two different fish of groups i and j
	self           []float64
	inbreeding     float64
}

func newRing(groups, males, females int) *ring {
	r := &ring{males: float64(males), females: float64(females), self: make([]float64, groups)}
	for i := range groups {
		r.kinship = append(r.kinship, make([]float64, groups))
		r.self[i] = 0.5
	}
	return r
}

func (r *ring) breed() {
	n := len(r.self)
	// parents of one sex are the same fish with the chance 1/number of it
	same := func(i, j int, number float64) float64 {
		if i != j {
			return r.kinship[i][j]
		}
		return r.self[i]/number + r.kinship[i][i]*(1-1/number)
	}
	next := newRing(n, int(r.males), int(r.females))
	for i := range n {
		before := (i + n - 1) % n
		next.self[i] = (1 + r.kinship[before][i]) / 2
		next.inbreeding += r.kinship[before][i] / float64(n)
		for j := range n {
			beforeJ := (j + n - 1) % n
			next.kinship[i][j] = (same(before, beforeJ, r.males) + r.kinship[before][j] + r.kinship[i][beforeJ] + same(i, j, r.females)) / 4
		}
	}
	*r = *next
}

func (r *ring) expected(generations int) map[int]float64 {
	want := map[int]float64{}
	for t := 1; t <= generations; t++ {
		r.breed()
		if r.inbreeding > 0 { // before that chance has no part, and there is no error to weigh
			want[t] = r.inbreeding
		}
	}
	return want
}

// The whole group spawns together, sexes in a fixed number.
func together(keep, males, generations, replicates int) Options {
	return Options{Scheme: Random, Keep: keep, Males: float64(males) / float64(keep), BySex: true, Generations: generations, Replicates: replicates, Seed: 1}
}

// Mean inbreeding at generations 2, 3, 5, 10, 20 of 12 fish, half of them males:
// three groups in a ring, one random group, and three closed lines (Kincaid 1977,
// Prog. Fish-Cult. 39:179, for the ordering of the three, seen; values derived).
func TestTwelveFish(t *testing.T) {
	generations := []int{2, 3, 5, 10, 20}
	round := together(12, 6, 20, runs(1000))
	round.Scheme, round.Groups = Rotate, 3
	for _, test := range []struct {
		name string
		Options
		fish  int
		exact *ring
		want  []float64
	}{
		{"ring", round, 12, newRing(3, 2, 2), []float64{0, .031, .092, .225, .436}},
		{"one group", together(12, 6, 20, runs(1000)), 12, newRing(1, 6, 6), []float64{.042, .080, .152, .308, .540}},
		{"closed line", together(4, 2, 20, runs(1000)), 4, newRing(1, 2, 2), []float64{.125, .219, .381, .654, .891}},
	} {
		t.Run(test.name, func(t *testing.T) {
			want := test.exact.expected(20)
			for i, g := range generations {
				if math.Abs(want[g]-test.want[i]) > 0.0005 {
					t.Errorf("generation %d: exact %.6f, want %.3f", g, want[g], test.want[i])
				}
			}
			within(t, play(t, unrelated(test.fish/2, test.fish/2), test.Options), want)
		})
	}
}

// Rings of other numbers of groups and of unequal sexes, against the recurrence.
func TestRings(t *testing.T) {
	for _, test := range []struct{ groups, males, females int }{{2, 1, 2}, {4, 2, 2}, {5, 1, 3}} {
		t.Run(fmt.Sprint(test), func(t *testing.T) {
			n := test.groups * (test.males + test.females)
			o := together(n, test.groups*test.males, 12, runs(500))
			o.Scheme, o.Groups = Rotate, test.groups
			within(t, play(t, unrelated(test.groups*test.males, test.groups*test.females), o), newRing(test.groups, test.males, test.females).expected(12))
		})
	}
}

// Effective size 4·Nm·Nf/(Nm + Nf): 10 + 10 → 20, 40 + 10 → 32, 20 + 80 → 64
// (course texts; seen), 99 + 1 → 3.96, 2 + 2 → 4.00, 5 × 5 → 10 (USFWS Inland
// Salmonid Broodstock Handbook p. 1-8; seen). Random mating of the two sexes loses
// 1/(2Ne + 1) a generation to the first order (Wright 1931; from memory), half a
// fish more than the formula; Inbreeding is held against the exact recurrence.
func TestUnequalSexes(t *testing.T) {
	for _, test := range []struct {
		males, females int
		size           float64
	}{{10, 10, 20}, {40, 10, 32}, {20, 80, 64}, {1, 99, 3.96}, {2, 2, 4}, {5, 5, 10}} {
		t.Run(fmt.Sprintf("%d+%d", test.males, test.females), func(t *testing.T) {
			o := together(test.males+test.females, test.males, 10, runs(64))
			r := play(t, unrelated(test.males, test.females), o)
			within(t, r, newRing(1, test.males, test.females).expected(10))
			got := *r.Generations[10].EffectiveSize
			if math.Abs(got-test.size-0.5) > 0.1*test.size {
				t.Errorf("effective size %.2f, want about %.2f", got, test.size+0.5)
			}
			t.Logf("effective size %.2f", got)
		})
	}
}

// Pairs by chance, each keeping one male and one female: exact by a recurrence of
// the kinship within and between families. Derived, no source.
func TestEqualFamilies(t *testing.T) {
	const pairs = 5
	r := play(t, unrelated(pairs, pairs), Options{Scheme: Random, Pairs: pairs, Keep: 2 * pairs, Males: 0.5, BySex: true, Generations: 15, Replicates: runs(1000)})
	want := map[int]float64{}
	sibs, others, self := 0.25, 0., 0.5 // of generation 1
	for g := 2; g <= 15; g++ {
		inbreeding := sibs/pairs + others*(1-1./pairs)
		sibs, others = (self+inbreeding)/2, (others+inbreeding)/2
		self = (1 + inbreeding) / 2
		want[g] = inbreeding
	}
	within(t, r, want)
}
