package forecast

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// some draws fish of several families, with new wild ones among them, ready to
// be paired.
func some(t *rapid.T, scheme Scheme) *breeder {
	o := usual(scheme)
	o.Keep, o.Groups = 200, 2
	b := newBreeder(unrelated(1, 1), o)
	b.chance = rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	c, families := b.now, rapid.IntRange(1, 6).Draw(t, "families")
	c.resize(families, b.founders)
	for i := range families {
		c.parents[i] = [2]int{rapid.IntRange(-1, 2).Draw(t, "sire"), rapid.IntRange(-1, 4).Draw(t, "dam")}
	}
	for sex := range 2 {
		for range rapid.IntRange(1, 9).Draw(t, "fish") {
			c.add(sex, fish{family: rapid.IntRange(0, families-1).Draw(t, "family"), wild: rapid.IntRange(0, 4).Draw(t, "wild") == 0})
		}
		b.sides[sex] = b.membersOf(sex, 0, nil)
	}
	return b
}

// Pairs are as many as asked for, no two are of the same two fish, and no fish is
// used more often than another of its sex by more than one; wild fish come first.
func TestPairing(t *testing.T) {
	for _, scheme := range []Scheme{Random, AvoidSiblings} {
		rapid.Check(t, func(t *rapid.T) {
			b := some(t, scheme)
			c := b.now
			pairs := rapid.IntRange(1, len(c.sex[male])*len(c.sex[female])).Draw(t, "pairs")
			spawns := b.choose(b, nil, pairs)
			used, seen := [2]map[int]int{{}, {}}, map[[2]int]bool{}
			for _, s := range spawns {
				used[male][s.sire]++
				used[female][s.dam]++
				seen[[2]int{s.sire, s.dam}] = true
			}
			if len(spawns) != pairs || len(seen) != pairs {
				t.Fatalf("%d spawns of %d pairs, want %d", len(spawns), len(seen), pairs)
			}
			for sex, list := range c.sex {
				fewest, most := pairs, 0
				for i := range list {
					fewest, most = min(fewest, used[sex][i]), max(most, used[sex][i])
				}
				if most > fewest+1 {
					t.Fatalf("fish of one sex used %d and %d times", fewest, most)
				}
			}
			wildUsed, wild := 0, 0
			for sex, list := range c.sex {
				for i, f := range list {
					if f.wild {
						wild++
						wildUsed += min(used[sex][i], 1)
					}
				}
			}
			if scheme == Random && wildUsed < min(wild, pairs) && pairs <= min(len(c.sex[male]), len(c.sex[female])) {
				t.Fatalf("%d of %d wild fish used in %d pairs", wildUsed, wild, pairs)
			}
		})
	}
}

// Of four families of other parents, with two males and two females each, no sibs
// are put together, however many pairs there are.
func TestAvoidSiblings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := some(t, AvoidSiblings)
		c := b.now
		c.resize(4, b.founders)
		for i := range 4 {
			c.parents[i] = [2]int{i, i}
			for range 2 {
				c.add(male, fish{family: i})
				c.add(female, fish{family: i})
			}
		}
		b.sides[male], b.sides[female] = b.membersOf(male, 0, nil), b.membersOf(female, 0, nil)
		for _, s := range b.choose(b, nil, rapid.IntRange(1, 8).Draw(t, "pairs")) {
			if c.parentsShared(s.sire, s.dam) > 0 {
				t.Fatalf("sibs are put together: %v", s)
			}
		}
	})
}

// The planner's scheme leaves no less gene diversity than pairing by chance, in
// any generation; where spawns fail by chance, within four standard errors.
func TestPlannerNotWorseThanRandom(t *testing.T) {
	state := demo(t)
	starts := []*Start{unrelated(5, 7), startOf(t, state, "tessamora-ford"), startOf(t, state, "candlewick"), startOf(t, state, "glowlight-danio")}
	for i, start := range starts {
		for _, change := range []func(o *Options){
			func(*Options) {},
			func(o *Options) { o.BySex, o.Pairs, o.Keep = true, 3, 12 },
			func(o *Options) { o.Pairs, o.Keep, o.Failed, o.NewWild = 6, 50, 0.3, 2 },
			func(o *Options) { o.Pairs, o.Keep, o.Males = 5, 30, 0.2 },
		} {
			o := usual(Random)
			o.Generations, o.Replicates = 10, 16
			change(&o)
			random := play(t, start, o)
			o.Scheme = LeastKinship
			planner := play(t, start, o)
			for g := range min(len(planner.Generations), len(random.Generations)) {
				p, r, slack := planner.Generations[g].GeneDiversity.Mean, random.Generations[g].GeneDiversity.Mean, 1e-12
				if o.Failed > 0 {
					slack = 4 * math.Hypot(planner.errorOf(g), random.errorOf(g))
				}
				if p < r-slack {
					t.Errorf("start %d, %+v, generation %d: planner %.5f, random %.5f", i, o, g, p, r)
				}
			}
		}
	}
}

// Groups in a ring lose less than one group of as many pairs, and pairs that are
// no sibs less than pairs by chance (ordering: Kincaid 1977, seen; the second is
// common practice, no source).
func TestOrderOfSchemes(t *testing.T) {
	last := map[Scheme]Generation{}
	for _, scheme := range Schemes {
		o := usual(scheme)
		o.Pairs, o.Keep, o.Replicates = 6, 36, 200
		r := play(t, unrelated(6, 6), o)
		last[scheme] = r.Generations[o.Generations]
	}
	for _, pair := range [][2]Scheme{{Rotate, Random}, {AvoidSiblings, Random}, {LeastKinship, Rotate}} {
		better, worse := last[pair[0]], last[pair[1]]
		if better.GeneDiversity.Mean <= worse.GeneDiversity.Mean || better.Inbreeding.Mean >= worse.Inbreeding.Mean {
			t.Errorf("%s: diversity %.4f, inbreeding %.4f; %s: %.4f, %.4f", pair[0], better.GeneDiversity.Mean, better.Inbreeding.Mean,
				pair[1], worse.GeneDiversity.Mean, worse.Inbreeding.Mean)
		}
	}
}

// New wild fish that join a group which spawns together, every generation: exact
// by recurrence. Of n young and w wild fish, half of each males, a sire and a dam
// are both young with the chance (n/(n+w))². Derived, no source.
func TestNewWild(t *testing.T) {
	const n, w, generations = 12, 4, 10
	o := together(n, n/2, generations, runs(500))
	o.NewWild, o.Every = w, 1
	r := play(t, unrelated(n/2, n/2), o)
	want, share := map[int]float64{}, 0.0
	between, self, young, all := 0., 0.5, n/2., n/2. // kinship and self-kinship of the young; of each sex, young and all
	for g := 1; g <= generations; g++ {
		a := young / all
		ofMates := a * a * between
		ofOneSex := (a*self+(1-a)*0.5)/all + young*(young-1)/(all*all)*between
		between, self = (2*ofOneSex+2*ofMates)/4, (1+ofMates)/2
		all = (n + w) / 2.
		want[g] = ofMates * n / (n + w) // the wild fish themselves are not inbred
		share = (n*share + w) / (n + w)
		if got := r.Generations[g].NewWild.Mean; math.Abs(got-share) > 0.02 {
			t.Errorf("generation %d: share of new wild fish %.4f, want %.4f", g, got, share)
		}
		sum := r.Generations[g].NewWild.Mean
		for _, founder := range r.Generations[g].FounderShare {
			sum += founder.Share
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("generation %d: the shares sum to %.12f", g, sum)
		}
	}
	delete(want, 1)
	within(t, r, want)
}

// errorOf is the standard error of the mean gene diversity of a generation.
func (r *Result) errorOf(g int) float64 {
	var x []float64
	for _, run := range r.runs {
		if g < len(run) {
			x = append(x, run[g].diversity)
		}
	}
	return stat.StdErr(stat.StdDev(x, nil), float64(len(x)))
}
