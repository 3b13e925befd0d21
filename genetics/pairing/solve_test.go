package pairing

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"syscall"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "the long run")

// The plan is the best there is, by trying every one, and the bound is never
// below it.
func TestSolveAgainstEveryPlan(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	number, males, spawns := 500, 5, 3
	if *long {
		males, spawns = 7, 4
	}
	none, work, longest := 0, 0, 0
	for at := range number {
		p := randomProblem(rng, males, spawns)
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
		work += lastWork
		longest = max(longest, lastWork)
	}
	t.Logf("%d of %d have a plan; work %d, at most %d", number-none, number, work, longest)
}

func cpu() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func TestLarge(t *testing.T) {
	for _, size := range []struct{ fish, spawns int }{{10, 5}, {30, 8}, {200, 40}} {
		for seed := range 6 {
			rng := rand.New(rand.NewPCG(uint64(seed), 1))
			f := newRandomFish(rng, size.fish, size.fish, 6+10*(seed%4), 2+seed%4, size.fish, false)
			p := &Problem{Males: size.fish, Kinship: f.kinship, Spawns: size.spawns, Keep: 10 * size.spawns, Least: 1}
			if seed >= 3 {
				limit := []float64{0.03125, 0.0625, 0.02}[seed%3]
				p.Allowed = func(i, j int) bool { return f.kinship[i][j] <= limit }
			}
			begin := cpu()
			quick, _ := Quick(p)
			plan, ok := Solve(p, nil)
			fmt.Printf("%3d %2d seed %d: %v quick %.5f plan %.5f bound %.5f gap %.4f%% exact %v %v work %d\n", size.fish, size.spawns, seed, ok, quick.GeneDiversity, plan.GeneDiversity, plan.Bound,
				100*(plan.Bound-plan.GeneDiversity)/plan.Bound, plan.Exact, cpu()-begin, lastWork)
		}
	}
}
