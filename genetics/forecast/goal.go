package forecast

import (
	"context"
	"math"
	"slices"
	"sync/atomic"
)

// Fall is when the runs of a forecast fall below a level of gene diversity for
// the first time; a number after the last generation: not by the end.
type Fall struct {
	Runs      int // that fall by the end
	Median    int // the generation by which half of all runs have
	Low, High int // between which nine of ten runs do
}

// slack is how far a number may miss a level by the way it was worked out.
const slack = 1e-12

// Below tells when the line falls below a level of gene diversity for the first
// time. A run that dies out has fallen by then.
func (r *Result) Below(level float64) (f Fall) {
	last := r.Options.Generations
	falls := make([]int, len(r.runs))
	for i, run := range r.runs {
		falls[i] = run.falls(level, 0)
		if falls[i] <= last {
			f.Runs++
		}
	}
	slices.Sort(falls)
	at := func(share float64) int { return falls[max(0, int(math.Ceil(share*float64(len(falls))))-1)] }
	f.Low, f.Median, f.High = at(0.05), at(0.5), at(0.95)
	return f
}

// falls is the first generation, at least from, in which the run is below the
// level or has died out. A run that never is gives the number of its generations,
// one more than the last.
func (run played) falls(level float64, from int) int {
	for t := from; t < len(run); t++ {
		if run[t].diversity < level-slack {
			return t
		}
	}
	return max(len(run), from)
}

// Held is the share of the runs that keep the level of gene diversity in every
// generation, from the one given to the last.
func (r *Result) Held(level float64, from int) float64 {
	held := 0
	for _, run := range r.runs {
		if run.falls(level, from) > r.Options.Generations {
			held++
		}
	}
	return float64(held) / float64(len(r.runs))
}

// Goal is what is looked for: at least the share Sure of the runs keep the gene
// diversity.
type Goal struct {
	GeneDiversity float64
	Sure          float64
}

// Search looks for the least that keeps to a goal.
type Search struct {
	Start *Start
	Options
	Goal
	// KeepOfPair is the fry kept of each pair; 0: Options.Keep in all, however
	// many pairs there are.
	KeepOfPair int
	Progress   func(done, total int)
}

// How far a search goes.
const (
	MostPairs    = 100 // spawns a generation
	MostTogether = 250 // fry kept, of a group that spawns together
	mostNewWild  = 60  // fish at a time
)

// MostNewWild is how many new wild fish are tried: not more than there are pairs,
// for the others would stand beside the line and not breed.
func (s *Search) MostNewWild() int {
	if s.Pairs == 0 {
		return mostNewWild
	}
	return min(mostNewWild, s.Pairs)
}

// LeastPairs returns the options with the smallest number of pairs a generation
// that keeps to the goal without new wild fish; with Pairs 0, the smallest number
// of fry kept. found is false where none up to [MostPairs] or [MostTogether]
// does. All numbers tried share their chances.
func (s *Search) LeastPairs(ctx context.Context) (o Options, found bool, err error) {
	least, most := s.groups(), MostPairs
	switch {
	case s.Pairs == 0:
		least, most = 2*s.groups(), MostTogether
	case s.KeepOfPair == 0:
		most = min(MostPairs, s.Keep/2)
	}
	n, err := s.least(least, most, func(n int) (bool, error) { return s.holds(ctx, s.with(n), 0) })
	return s.with(n), n > 0, err
}

// with is the options with so many pairs, or of a group so many fry, and no new
// wild fish.
func (s *Search) with(n int) Options {
	o := s.Options
	o.NewWild = 0
	switch {
	case o.Pairs == 0:
		o.Keep = n
	case s.KeepOfPair > 0:
		o.Pairs, o.Keep = n, max(2*o.groups(), min(n*s.KeepOfPair, MostFish))
	default:
		o.Pairs = n
	}
	return o
}

// Stock is new wild fish, so many every so many generations. From is the first
// generation in which the goal is kept.
type Stock struct{ NewWild, Every, From int }

// LeastNewWild returns the smallest number of new wild fish that keeps to the
// goal, for each of the intervals at which they may come; none for an interval
// at which no number up to MostNewWild does. A line that is below the goal today
// need keep to it only from the generation in which the first of them come. The
// one that takes fewest fish over the generations stands first.
func (s *Search) LeastNewWild(ctx context.Context, intervals []int) ([]Stock, error) {
	today, err := s.today(ctx)
	if err != nil {
		return nil, err
	}
	var found []Stock
	for _, every := range intervals {
		if every > s.Generations {
			continue
		}
		o, from := s.Options, 0
		o.Every = every
		if today < s.GeneDiversity-slack {
			from = every
		}
		n, err := s.least(1, s.MostNewWild(), func(n int) (bool, error) {
			o.NewWild = n
			return s.holds(ctx, o, from)
		})
		if err != nil {
			return nil, err
		}
		if n > 0 {
			found = append(found, Stock{n, every, from})
		}
	}
	slices.SortStableFunc(found, func(a, b Stock) int {
		if d := a.NewWild*b.Every - b.NewWild*a.Every; d != 0 {
			return d
		}
		return b.Every - a.Every
	})
	return found, nil
}

// today is the gene diversity of the fish that the line begins with.
func (s *Search) today(ctx context.Context) (float64, error) {
	o := s.Options
	o.Generations, o.Replicates = 1, 1
	r, err := Run(ctx, s.Start, o, nil)
	if err != nil {
		return 0, err
	}
	return r.Generations[0].GeneDiversity.Mean, nil
}

// holds reports whether enough runs keep to the goal from a generation on. It
// ends as soon as too many have not.
func (s *Search) holds(ctx context.Context, o Options, from int) (bool, error) {
	allowed := int64((1-s.Sure)*float64(o.Replicates) + slack)
	enough, stop := context.WithCancel(ctx)
	defer stop()
	var fell atomic.Int64
	err := inBatches(enough, s.Start, o, s.Progress, func(b *breeder, _ int) {
		b.floor, b.from = s.GeneDiversity, from
		if b.play(nil).falls(s.GeneDiversity, from) <= o.Generations && fell.Add(1) > allowed {
			stop()
		}
	})
	if fell.Load() > allowed && ctx.Err() == nil {
		return false, nil
	}
	return err == nil, err
}

// unevenness is how many numbers below the answer are tried too: chance may let
// a smaller one do where a larger one just fails.
const unevenness = 2

// least returns the smallest number between least and most for which holds is
// true, 0 where there is none. It doubles, then halves, then tries the numbers
// just below what it found. O(log most) trials.
func (s *Search) least(least, most int, holds func(int) (bool, error)) (int, error) {
	if most < least {
		return 0, nil
	}
	no, yes := least-1, 0
	for n := least; yes == 0; n = min(2*n, most) {
		ok, err := holds(n)
		switch {
		case err != nil:
			return 0, err
		case ok:
			yes = n
		case n == most:
			return 0, nil
		default:
			no = n
		}
	}
	for yes-no > 1 {
		middle := (no + yes) / 2
		ok, err := holds(middle)
		if err != nil {
			return 0, err
		}
		if ok {
			yes = middle
		} else {
			no = middle
		}
	}
	for n := yes - 1; n >= max(least, yes-1-unevenness); n-- {
		ok, err := holds(n)
		if err != nil {
			return 0, err
		}
		if ok {
			yes = n
		}
	}
	return yes, nil
}
