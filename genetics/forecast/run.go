package forecast

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/stat"

	"roebook/genetics"
)

// Band is a mean over the runs, and between what nine of ten of them lie: their
// 5 % and 95 % points.
type Band struct{ Mean, Low, High float64 }

// Generation is how the line stands in a generation, over the runs in which it
// lives.
type Generation struct {
	Number        int
	Runs          int // in which the line still lives
	Inbreeding    Band
	GeneDiversity Band // 1 − mean kinship, each fish with itself included
	// EffectiveSize is 1/(2·ΔD), ΔD the rate at which the mean gene diversity D
	// was lost since generation 0: D_t = D_0·(1 − ΔD)^t. nil where none was lost,
	// and once new wild fish have come.
	EffectiveSize *float64
	NewWild       Band             // share of genes from the new wild fish
	FounderShare  []genetics.Share // mean shares of today's founders, in the order of the start
}

// Result is a forecast.
type Result struct {
	Options     Options
	Generations []Generation // from 0, today, up to the last in which any run lives
	DiedOut     int          // runs that ended for want of a male or of a female
	runs        []played
}

// played is one run, by generation, as far as the line lived.
type played []figures

// batch is how many runs are played one after the other by one core. The sums of
// a batch are the same on any number of cores.
const batch = 8

// Run plays a line forward o.Replicates times. Run number r draws from a
// generator of its own, made of the seed and r, so the answer does not depend on
// the number of cores. progress, which may be nil, is told how many runs are
// done. Errors: options or fish that make no sense, or ctx cancelled.
// O(replicates · generations · families²), families being the spawns of a
// generation, or with Pairs 0 its fry.
func Run(ctx context.Context, start *Start, o Options, progress func(done, total int)) (*Result, error) {
	r := &Result{Options: o, runs: make([]played, max(o.Replicates, 0))}
	shares := make([][]float64, len(r.runs)/batch+1)
	err := inBatches(ctx, start, o, progress, func(b *breeder, number int) {
		sum := &shares[number/batch]
		if *sum == nil {
			*sum = make([]float64, (o.Generations+1)*b.founders)
		}
		r.runs[number] = b.play(*sum)
	})
	if err != nil {
		return nil, err
	}
	r.collect(start, shares)
	return r, nil
}

// inBatches plays the runs on all cores: a batch of them in their order on one.
func inBatches(ctx context.Context, start *Start, o Options, progress func(done, total int), play func(b *breeder, number int)) error {
	if err := o.Check(); err != nil {
		return err
	}
	if err := start.Check(o); err != nil {
		return err
	}
	var next atomic.Int64
	var all sync.WaitGroup
	var mutex sync.Mutex
	finished := 0
	for range min(runtime.GOMAXPROCS(0), (o.Replicates+batch-1)/batch) {
		all.Go(func() {
			b := newBreeder(start, o)
			b.stopped = func() bool { return ctx.Err() != nil }
			for {
				to := int(next.Add(batch))
				for number := to - batch; number < min(to, o.Replicates) && ctx.Err() == nil; number++ {
					b.chance = rand.New(rand.NewPCG(o.Seed, uint64(number)))
					play(b, number)
				}
				if to-batch >= o.Replicates || ctx.Err() != nil {
					return
				}
				if progress != nil {
					mutex.Lock()
					finished += batch
					progress(min(finished, o.Replicates), o.Replicates)
					mutex.Unlock()
				}
			}
		})
	}
	all.Wait()
	return ctx.Err()
}

// play plays one run and adds the founders' shares of each generation to a sum,
// where one is given.
func (b *breeder) play(shares []float64) played {
	run := make(played, 0, b.Generations+1)
	b.begin()
	for t := 0; b.now.both() && !b.stopped(); t++ {
		run = append(run, b.now.figures(b.founders))
		if shares != nil {
			b.now.addShares(shares[t*b.founders : (t+1)*b.founders])
		}
		if t == b.Generations || t >= b.from && run[t].diversity < b.floor-slack {
			return run
		}
		b.breed(t + 1)
	}
	return run
}

// collect makes the answer of the runs.
func (r *Result) collect(start *Start, shares [][]float64) {
	columns := len(start.Founders) + 1
	for t := 0; t <= r.Options.Generations; t++ {
		var at [3][]float64
		for _, run := range r.runs {
			if t < len(run) {
				at[0] = append(at[0], run[t].inbreeding)
				at[1] = append(at[1], run[t].diversity)
				at[2] = append(at[2], run[t].newWild)
			}
		}
		if len(at[0]) == 0 {
			break
		}
		g := Generation{Number: t, Runs: len(at[0]), Inbreeding: bandOf(at[0]), GeneDiversity: bandOf(at[1]), NewWild: bandOf(at[2])}
		for f, id := range start.Founders {
			sum := 0.0
			for _, part := range shares {
				if part != nil {
					sum += part[t*columns+f]
				}
			}
			g.FounderShare = append(g.FounderShare, genetics.Share{ID: id, Share: sum / float64(g.Runs)})
		}
		r.Generations = append(r.Generations, g)
		r.Generations[t].EffectiveSize = r.size(t)
	}
	for _, run := range r.runs {
		if len(run) <= r.Options.Generations {
			r.DiedOut++
		}
	}
}

func bandOf(x []float64) Band {
	mean := stat.Mean(x, nil)
	slices.Sort(x)
	return Band{mean, stat.Quantile(0.05, stat.Empirical, x, nil), stat.Quantile(0.95, stat.Empirical, x, nil)}
}

// size is the effective size over the generations up to t.
func (r *Result) size(t int) *float64 {
	before, after := r.Generations[0].GeneDiversity.Mean, r.Generations[t].GeneDiversity.Mean
	if t == 0 || r.Generations[t].NewWild.Mean > 0 || before <= 0 || after >= before-1e-12 {
		return nil
	}
	size := 1 / (2 * (1 - math.Pow(after/before, 1/float64(t))))
	return &size
}
