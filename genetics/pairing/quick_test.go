package pairing

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A quick plan keeps every limit, exists wherever one does, says what it is
// worth, and is never better than the best there is.
func TestQuickAgainstEveryPlan(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	same, none, worst := 0, 0, 0.0
	const number = 400
	for range number {
		p := randomProblem(rng, 5, 3)
		best, can := enumerate(p)
		plan, ok := Quick(p)
		if ok != can {
			t.Fatalf("found a plan: %v; there is one: %v\n%+v", ok, can, p)
		}
		if !ok {
			none++
			continue
		}
		if why := p.Feasible(plan.Spawns); why != "" {
			t.Fatalf("%v: %s", plan.Spawns, why)
		}
		if why := p.Feasible(best.Spawns); why != "" {
			t.Fatalf("the best plan by trying all, %v: %s", best.Spawns, why)
		}
		if value := p.Value(best.Spawns); math.Abs(value-best.GeneDiversity) > 1e-12 {
			t.Fatalf("worth %v, summed over fry %v", value, best.GeneDiversity)
		}
		short := best.GeneDiversity - plan.GeneDiversity
		if short < -1e-12 {
			t.Fatalf("better than the best: %v", short)
		}
		if short < 1e-12 {
			same++
		}
		worst = max(worst, short)
	}
	t.Logf("%d of %d problems have a plan; the best was found for %d, at worst it is short by %.4f", number-none, number, same, worst)
	if same < (number-none)*9/10 {
		t.Errorf("the best was found for only %d of %d", same, number-none)
	}
}

func BenchmarkQuick(b *testing.B) {
	for _, size := range []struct {
		name         string
		fish, spawns int
	}{{"5x5", 5, 4}, {"15x15", 15, 6}, {"30x30", 30, 8}, {"200x200", 200, 40}} {
		b.Run(size.name, func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 1))
			f := newRandomFish(rng, size.fish, size.fish, 10, 4, size.fish, false)
			p := &Problem{Males: size.fish, Kinship: f.kinship, Spawns: size.spawns, Keep: 10 * size.spawns, Least: 1}
			for b.Loop() {
				Quick(p)
			}
		})
	}
}
