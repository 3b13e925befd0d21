package pairing

import (
	"math/rand/v2"
	"testing"
	"time"
)

func TestDbg(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	var slow time.Duration
	for at := range 150 {
		p := randomProblem(rng, 5, 3)
		p.Keep = 15 + rng.IntN(50)
		if p.Most > 0 {
			p.Most = 1 + p.Keep/p.Spawns + rng.IntN(9)
		}
		best, can := enumerate(p)
		b := time.Now()
		plan, ok := Solve(p, nil)
		slow = max(slow, time.Since(b))
		if ok != can || ok && (best.GeneDiversity-plan.GeneDiversity > 1e-12 || !plan.Exact || plan.Bound < best.GeneDiversity) {
			t.Errorf("%d: %v %v %+v", at, best, plan, p)
		}
	}
	t.Log(slow)
	slow = 0
	for range 200 { // unrelated fish, equal values
		n := 14
		p := &Problem{Males: 7, Kinship: make([][]float64, n), Spawns: 4, Keep: 7 + rng.IntN(30), Least: 1}
		for i := range n {
			p.Kinship[i] = make([]float64, n)
			p.Kinship[i][i] = 0.5
		}
		if rng.IntN(2) == 0 {
			p.Uses = make([]int, n)
			for i := range n {
				p.Uses[i] = 2
			}
		}
		b := time.Now()
		plan, _ := Solve(p, nil)
		if d := time.Since(b); d > slow {
			slow = d
			t.Log(slow, p.Keep, p.Uses, plan.Exact, plan)
		}
	}
}
