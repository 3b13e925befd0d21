package pairing

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var long = flag.Bool("long", false, "also the long runs")

// The plan is the best there is, by trying every one, and the bound is never below
// it. Up to 7 males and 7 females, 4 spawns; single fish and lots, limits of all
// kinds, with and without living fish.
func TestSolveAgainstEveryPlan(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	number := 500
	if *long {
		number = 10_000
	}
	none := 0
	for at := range number {
		p := randomProblem(rng, 7, 4)
		best, can := enumerate(p)
		plan, ok := Solve(p, nil)
		if ok != can {
			t.Fatalf("%d: found a plan: %v; there is one: %v\n%+v", at, ok, can, p)
		}
		if !ok {
			none++
			continue
		}
		if why := p.Feasible(plan.Spawns); why != "" {
			t.Fatalf("%d: %v: %s", at, plan.Spawns, why)
		}
		if short := best.GeneDiversity - plan.GeneDiversity; short > 1e-12 || short < -1e-12 {
			t.Errorf("%d: %v is short by %g of %v", at, plan.Spawns, short, best.Spawns)
		}
		if plan.Bound < best.GeneDiversity {
			t.Errorf("%d: bound %.15f, best %.15f", at, plan.Bound, best.GeneDiversity)
		}
		if !plan.Exact {
			t.Errorf("%d: not proved: bound %.15f, best %.15f", at, plan.Bound, best.GeneDiversity)
		}
	}
	t.Logf("%d of %d have a plan", number-none, number)
}

// A plan toward an ancestor has the greatest share there is, up to a millionth, and
// of plans alike in that it is the most diverse.
func TestSolveTowardAgainstEveryPlan(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 5))
	for at := range 200 {
		p := randomProblem(rng, 5, 3)
		p.Living, p.Toward = nil, make([]float64, len(p.Kinship))
		for i := range p.Toward {
			p.Toward[i] = float64(rng.IntN(9)) / 8
		}
		best, can := enumerate(p)
		plan, ok := Solve(p, nil)
		if ok != can {
			t.Fatalf("%d: found a plan: %v; there is one: %v", at, ok, can)
		}
		if !ok {
			continue
		}
		if why := p.Feasible(plan.Spawns); why != "" {
			t.Fatalf("%d: %v: %s", at, plan.Spawns, why)
		}
		if math.Abs(best.Share-plan.Share) > 1e-6 || plan.ShareBound < best.Share-1e-12 || plan.ShareBound > best.Share+2e-6 {
			t.Errorf("%d: share %v, bound %v, best %v", at, plan.Share, plan.ShareBound, best.Share)
		}
		if math.Abs(best.Share-plan.Share) < 1e-12 && math.Abs(best.GeneDiversity-plan.GeneDiversity) > 1e-6 {
			t.Errorf("%d: diversity %v, best %v", at, plan.GeneDiversity, best.GeneDiversity)
		}
	}
}

// The relaxation by itself, solved to its optimum, by fish and by pairs: it is never
// above the cost of the best plan, the mixture that it ends with costs what it
// says, and by pairs it is no lower than by fish.
func TestRelaxationIsABound(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 3))
	tight := 0
	for at := range 300 {
		p := randomProblem(rng, 5, 3)
		best, ok := enumerate(p)
		if !ok {
			continue
		}
		in := p.instance()
		r := newRelaxation(in)
		r.hurry = 0
		root := &part{state: make([]int8, in.n), fixed: in.fixed}
		for i, must := range in.must {
			if must {
				root.state[i] = within
			}
		}
		cost := in.cost(best.Spawns)
		var values []float64
		for _, byPairs := range []bool{false, true}[:r.sidesOf()] {
			m := &mixture{}
			value := r.bound(in.view(root), m, byPairs, make([]float64, in.n), math.Inf(1), func() bool { return false })
			values = append(values, value)
			if value > cost+1e-12*in.scale {
				t.Errorf("%d: bound %v, the best plan costs %v", at, value, cost)
			}
			if mixed := costOf(r, m); math.Abs(mixed-value) > 1e-9*in.scale {
				t.Errorf("%d, by pairs %v: bound %v, the mixture costs %v", at, byPairs, value, mixed)
			}
		}
		if len(values) == 2 && values[1] < values[0]-1e-9*in.scale {
			t.Errorf("%d: by fish %v, by pairs %v", at, values[0], values[1])
		}
		if slices.Max(values) > cost-1e-9*in.scale {
			tight++
		}
	}
	if tight < 30 {
		t.Errorf("the bound is the best plan for only %d", tight)
	}
}

func (r *relaxation) sidesOf() int {
	if r.in.single {
		return 2
	}
	return 1
}

// costOf sums the cost of a mixture fish by fish.
func costOf(r *relaxation, m *mixture) float64 {
	n := r.in.n
	y := m.point(n)
	sum := 0.0
	for i := range n {
		for j := range n {
			sum += y[i] * y[j] * r.in.kin(i, j) / 4
		}
		sum -= r.d[i] * y[i] * y[i] / 4
	}
	for k, share := range m.share {
		sum += share * m.atoms[k].own
	}
	return sum
}

// K = R + diag(d), where R has no negative square, also where K has one.
func TestOwnPartLeavesNoNegativeSquare(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for at := range 50 {
		n := 2 + rng.IntN(12)
		k := make([]float64, n*n)
		for i := range n {
			k[i*n+i] = 0.5 + rng.Float64()/2
			for j := range i {
				k[i*n+j] = rng.Float64() * 0.5 // often no kinships at all
				k[j*n+i] = k[i*n+j]
			}
		}
		d, slack := ownPart(k, n, nil)
		for range 200 {
			square, norm := 0.0, 0.0
			x := make([]float64, n)
			for i := range x {
				x[i] = rng.NormFloat64()
			}
			for i := range x {
				norm += x[i] * x[i]
				square -= d[i] * x[i] * x[i]
				for j := range x {
					square += k[i*n+j] * x[i] * x[j]
				}
			}
			if square < -(slack+1e-12)*norm {
				t.Fatalf("%d: a square of %v", at, square)
			}
		}
	}
}

// largeProblem has as many males as females, out of a closed population; every
// second one has a limit on inbreeding that most pairs keep.
func largeProblem(fish, spawns, seed int) *Problem {
	rng := rand.New(rand.NewPCG(uint64(seed), 1))
	f := newRandomFish(rng, fish, fish, 6+10*(seed%4), 2+seed%4, fish, false)
	p := &Problem{Males: fish, Kinship: f.kinship, Spawns: spawns, Keep: 10 * spawns, Least: 1}
	if seed%2 == 1 {
		p.Allowed = func(i, j int) bool { return f.kinship[i][j] <= 0.0625 }
	}
	return p
}

// The gaps asked for: 0.2 % for 30 × 30 with 8 spawns, 1 % for 200 × 200 with 40.
func TestGapsOfLargeProblems(t *testing.T) {
	sizes := []struct {
		fish, spawns, seeds int
		most                float64
	}{{30, 8, 2, 0.002}}
	if *long {
		sizes[0].seeds = 12
		sizes = append(sizes, struct {
			fish, spawns, seeds int
			most                float64
		}{200, 40, 4, 0.01})
	}
	for _, size := range sizes {
		for seed := range size.seeds {
			p := largeProblem(size.fish, size.spawns, seed)
			var stop func() bool
			if asked := 0; !*long {
				stop = func() bool { asked++; return asked > 1500 }
			}
			plan, ok := Solve(p, stop)
			if !ok {
				t.Fatalf("%d fish, seed %d: no plan", size.fish, seed)
			}
			if why := p.Feasible(plan.Spawns); why != "" {
				t.Errorf("%d fish, seed %d: %s", size.fish, seed, why)
			}
			gap := (plan.Bound - plan.GeneDiversity) / plan.Bound
			t.Logf("%d × %d, %d spawns, seed %d: %.5f, at most %.5f: within %.3f %%", size.fish, size.fish, size.spawns, seed, plan.GeneDiversity, plan.Bound, 100*gap)
			if gap > size.most || gap < 0 {
				t.Errorf("%d fish, seed %d: gap %v", size.fish, seed, gap)
			}
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, size := range []struct {
		name         string
		fish, spawns int
	}{{"7x7", 7, 4}, {"10x10", 10, 5}, {"30x30", 30, 8}, {"200x200", 200, 40}} {
		b.Run(size.name, func(b *testing.B) {
			worst := 0.0
			for seed := 0; b.Loop(); seed++ {
				if plan, ok := Solve(largeProblem(size.fish, size.spawns, seed%4), nil); ok {
					worst = max(worst, (plan.Bound-plan.GeneDiversity)/plan.Bound)
				}
			}
			b.ReportMetric(100*worst, "%gap")
		})
	}
}
