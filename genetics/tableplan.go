package genetics

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// Method is a way to the inbreeding of all fish of a table.
type Method int8

// The methods. The first three hold the kinships of a frontier of parents and
// differ in the order in which fish enter it.
const (
	Best    Method = iota // whichever is expected to be the fastest
	ByLevel               // frontier, by the longest way from a founder
	ByBirth               // frontier, by birth date or the order of the rows
	Late                  // frontier, as late as their young allow
	Walk                  // each family's ancestry
)

func (m Method) String() string {
	return [...]string{"best", "frontier by level", "frontier by birth", "frontier as late as possible", "walk through each family's ancestry"}[m]
}

// Plan is how the inbreeding of a table is worked out, and what was expected of
// it.
type Plan struct {
	Method   Method
	Fish     int
	Bred     int
	Families int     // different pairs of parents; 0 where they were not counted
	Batches  int     // of a frontier
	Width    int     // most fish that a frontier holds at once
	Memory   int64   // bytes of a frontier
	Seconds  float64 // expected on one core
	Others   []Plan  // what else was looked at
}

func (p Plan) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, about %.3g s of one core", p.Method, p.Seconds)
	if p.Width > 0 {
		fmt.Fprintf(&b, ", %d batches, at most %d fish at once in %.3g MB", p.Batches, p.Width, float64(p.Memory)/1e6)
	}
	return b.String()
}

// TableOptions say how a table is compiled; the zero value is good.
type TableOptions struct {
	Memory   int64                 // most bytes for the kinships of a frontier; 0: 2 GB
	Method   Method                // forced, whatever it costs
	Progress func(done, total int) // called from time to time, nil for none
}

const defaultMemory = 2 << 30

// planned is a plan with what carries it out.
type planned struct {
	Plan
	schedule *schedule
	level    []int32
	families families
}

// cheap is the cost of a fish, in nanoseconds, below which no better plan is
// looked for: looking would take as long.
const cheap = 150

// plan chooses a method by its expected cost. O(fish).
func (g *tableGraph) plan(o TableOptions) planned {
	memory := o.Memory
	if memory <= 0 {
		memory = defaultMemory
	}
	var options []planned
	try := func(m Method, schedule func() *schedule) {
		if o.Method != Best && o.Method != m {
			return
		}
		s := schedule()
		options = append(options, planned{Plan: Plan{
			Method: m, Batches: s.batches, Width: s.width, Memory: s.memory(), Seconds: s.cost / 1e9,
		}, schedule: s})
	}
	try(ByLevel, g.byLevel)
	enough := len(options) == 1 && (options[0].schedule.cost < cheap*float64(g.size()) && options[0].Memory <= memory && options[0].Width <= mostSlots)
	if !enough {
		try(ByBirth, func() *schedule { return g.byBirth(g.birthOrder()) })
		try(Late, g.late)
		if o.Method == Best || o.Method == Walk {
			options = append(options, g.planWalk())
		}
	}
	fits := func(p planned) bool { return p.schedule == nil || p.Memory <= memory && p.Width <= mostSlots }
	best := slices.MinFunc(options, func(a, b planned) int {
		if fits(a) != fits(b) {
			return map[bool]int{true: -1, false: 1}[fits(a)]
		}
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	best.Fish, best.Bred = g.size(), len(g.bred)
	for _, other := range options {
		if other.Method != best.Method {
			other.Fish, other.Bred = g.size(), len(g.bred)
			best.Others = append(best.Others, other.Plan)
		}
	}
	return best
}

// walkStep is the time of one ancestor in a walk, in nanoseconds on one core.
const walkStep = 9

// planWalk guesses the cost of walking from some families spread over all.
// O(fish).
func (g *tableGraph) planWalk() planned {
	p := planned{Plan: Plan{Method: Walk}}
	p.level, _ = g.levels()
	p.families = g.families(p.level)
	p.Families = p.families.size()
	if p.Families == 0 {
		return p
	}
	nodes := make([]walkNode, len(g.bred))
	for b := range nodes {
		nodes[b] = walkNode{sire: g.bredSireOf[b], dam: g.bredDamOf[b]}
	}
	w := newPairWalker(nodes)
	const samples = 64
	seen, sampled, budget := 0, 0, len(g.bred)+1000
	for k := range min(samples, p.Families) {
		// Out of order, so that a budget that runs out has seen all ages.
		at := (k * 37 % samples) * p.Families / samples
		if p.Families < samples {
			at = k
		}
		i := p.families.fish[p.families.start[at]]
		seen += w.countAncestors(g.sireOf[i], g.damOf[i], len(g.bred))
		if sampled++; seen > budget {
			break
		}
	}
	p.Seconds = float64(p.Families) * (float64(seen)/float64(sampled)*walkStep + 50) / 1e9
	return p
}

// inbreeding carries the plan out.
func (g *tableGraph) inbreeding(ctx context.Context, p planned, progress func(done, total int)) ([]float64, error) {
	f := make([]float64, g.size())
	if p.Method == Walk {
		return f, g.inbreedingByWalk(ctx, p.level, p.families, f, progress)
	}
	return f, g.inbreedingByFrontier(ctx, p.schedule, f, progress)
}
