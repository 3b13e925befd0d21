package locus

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
)

// The sampler runs so many chains from starts of their own, each cut into
// batches; the standard error is that of the mean of all batches.
const (
	chains       = 4
	batches      = 12
	burnIn       = 3          // batches that are not counted
	leastSweeps  = 8          // in a batch
	mostSweeps   = 300        // in a batch
	workPerBatch = 20_000_000 // entries of tables, in all chains together
	agree        = 1.1        // chains that differ more are run on
	mostRuns     = 3
)

// sample draws a portion that is too wide by blocked Gibbs sampling (Jensen, Kong
// & Kjærulff 1995): whole sets of variables at once, given the others. It reports
// whether the portion is possible at all; without scopes it does no more. A
// portion of which no start is found within reason is taken to be possible.
func (less *reduction) sample(p *portion, s *solution, seed uint64) bool {
	starts := make([][]int, chains)
	for i := range starts {
		start, possible := less.start(p, seed+uint64(i))
		if !possible {
			return false
		}
		if seed == exactOnly || len(p.scopes) == 0 {
			return true
		}
		starts[i] = start
	}
	s.sampling = Sampling{Sampled: true, Chains: chains, Agreement: math.Inf(1)}
	if slices.ContainsFunc(starts, func(start []int) bool { return start == nil }) {
		less.unknown(p, s)
		return true
	}
	blocks := makeBlocks(less, p, 4, rand.New(rand.NewPCG(seed, 0xb10c)))
	work := 1
	for i := range blocks {
		work += blocks[i].work
	}
	sweeps := min(max(workPerBatch/chains/work, leastSweeps), less.sweeps)
	tables := make([][]float64, len(less.factors))
	for _, f := range p.factors {
		tables[f] = weights(less.factors[f].table)
	}
	runs := make([]*run, chains)
	for i := range runs {
		runs[i] = newRun(less, p, &chain{less: less, tables: tables, value: starts[i], rng: rand.New(rand.NewPCG(seed, uint64(i)))})
	}
	for range mostRuns {
		var all sync.WaitGroup
		for _, r := range runs {
			all.Go(func() { r.advance(blocks, sweeps) })
		}
		all.Wait()
		less.average(p, s, runs)
		s.sampling.Sweeps += sweeps * batches
		if s.sampling.Agreement < agree {
			break
		}
	}
	return true
}

// unknown leaves the odds open where no start was found.
func (less *reduction) unknown(p *portion, s *solution) {
	for i, scope := range p.scopes {
		n := size(cards(p.open[i], less.card), maxTable)
		even := make([]float64, n)
		for j := range even {
			even[j] = 1 / float64(n)
		}
		s.shares[scope] = less.whole(s.scopes[scope], even)
		s.errors[scope] = less.whole(s.scopes[scope], slices.Repeat([]float64{0.5}, n))
	}
}

// start looks for values that go together, the fewest choices first; possible is
// false where there are none, and values nil where none were found in time.
func (less *reduction) start(p *portion, seed uint64) (values []int, possible bool) {
	const mostBacks, mostTries = 2000, 5
	rng := rand.New(rand.NewPCG(seed, 0x57a7))
	for range mostTries {
		r := newReducer(&less.network, all)
		if !r.run() {
			return nil, false
		}
		backs := 0
		found, known := less.search(r, p, rng, &backs, mostBacks)
		switch {
		case found:
			values = make([]int, len(less.card))
			for _, v := range p.vars {
				values[v] = slices.Index(r.allowed[v], true)
			}
			return values, true
		case known:
			return nil, false
		}
	}
	return nil, true
}

// search sets variable after variable; known is false where it gave up.
func (less *reduction) search(r *reducer, p *portion, rng *rand.Rand, backs *int, most int) (found, known bool) {
	type open struct {
		v, mark int
		values  []int
	}
	var stack []open
	next := func() (open, bool) {
		best := -1
		for _, v := range p.vars {
			if r.left[v] > 1 && (best < 0 || r.left[v] < r.left[best]) {
				best = v
			}
		}
		if best < 0 {
			return open{}, false
		}
		o := open{v: best, mark: len(r.trail)}
		for value, ok := range r.allowed[best] {
			if ok {
				o.values = append(o.values, value)
			}
		}
		rng.Shuffle(len(o.values), func(i, j int) { o.values[i], o.values[j] = o.values[j], o.values[i] })
		return o, true
	}
	o, more := next()
	if !more {
		return true, true
	}
	stack = append(stack, o)
	for len(stack) > 0 {
		top := &stack[len(stack)-1]
		r.back(top.mark)
		if len(top.values) == 0 {
			stack = stack[:len(stack)-1]
			if *backs++; *backs > most {
				return false, false
			}
			continue
		}
		value := top.values[0]
		top.values = top.values[1:]
		if !r.set(top.v, value) {
			continue
		}
		o, more := next()
		if !more {
			return true, true
		}
		stack = append(stack, o)
	}
	return false, true
}

// run is a chain with what it has seen of the scopes.
type run struct {
	*chain
	less    *reduction
	p       *portion
	single  [][]int       // scopes of one variable, by it
	several []int         // scopes of several
	sums    [][]float64   // of the batch, by scope
	squares [][]float64   // of all, by scope
	seen    []float64     // draws in the batch, by scope
	means   [][][]float64 // by batch and scope
	draws   []float64     // of all, by scope
	begun   bool
}

func newRun(less *reduction, p *portion, c *chain) *run {
	r := &run{chain: c, less: less, p: p, single: make([][]int, len(less.card))}
	for i, open := range p.open {
		if len(open) == 1 {
			r.single[open[0]] = append(r.single[open[0]], i)
		} else {
			r.several = append(r.several, i)
		}
		n := size(cards(open, less.card), maxTable)
		r.sums, r.squares = append(r.sums, make([]float64, n)), append(r.squares, make([]float64, n))
	}
	r.seen, r.draws = make([]float64, len(p.open)), make([]float64, len(p.open))
	return r
}

// advance runs the chain through its batches. A variable tells its chances given
// the others, which says more than the value drawn (Gelfand & Smith 1990).
func (r *run) advance(blocks []block, sweeps int) {
	skip := 0
	if !r.begun {
		skip, r.begun = burnIn, true
	}
	silent := func(int, []float64) {}
	tell := func(v int, chance []float64) {
		for _, i := range r.single[v] {
			for k, p := range chance {
				r.sums[i][k] += p
				r.squares[i][k] += p * p
			}
			r.seen[i]++
		}
	}
	for batch := range batches + skip {
		told := tell
		if batch < skip {
			told = silent
		}
		for range sweeps {
			for i := range blocks {
				r.draw(&blocks[i], told)
			}
			if batch >= skip {
				r.tally()
			}
		}
		if batch >= skip {
			r.close()
		}
	}
}

// tally counts the values of the scopes of several variables.
func (r *run) tally() {
	for _, i := range r.several {
		at := 0
		for _, v := range r.p.open[i] {
			at = at*r.less.card[v] + r.value[v]
		}
		r.sums[i][at]++
		r.squares[i][at]++
		r.seen[i]++
	}
}

// close ends a batch.
func (r *run) close() {
	mean := make([][]float64, len(r.sums))
	for i := range r.sums {
		mean[i] = make([]float64, len(r.sums[i]))
		for k := range mean[i] {
			mean[i][k] = r.sums[i][k] / r.seen[i]
		}
		clear(r.sums[i])
		r.draws[i] += r.seen[i]
		r.seen[i] = 0
	}
	r.means = append(r.means, mean)
}

// average puts the chains together: means, standard errors from the batches, and
// how well the chains agree.
func (less *reduction) average(p *portion, s *solution, runs []*run) {
	s.sampling.Agreement = 1
	for i, scope := range p.scopes {
		n := len(runs[0].sums[i])
		mean, deviation := make([]float64, n), make([]float64, n)
		for k := range n {
			var ofChain []float64
			count, sum, square := 0.0, 0.0, 0.0
			within, draws := 0.0, 0.0
			for _, r := range runs {
				own := 0.0
				for _, batch := range r.means {
					own += batch[i][k]
					sum += batch[i][k]
					square += batch[i][k] * batch[i][k]
					count++
				}
				own /= float64(len(r.means))
				ofChain = append(ofChain, own)
				within += (r.squares[i][k]/r.draws[i] - own*own) / float64(len(runs))
				draws += r.draws[i] / float64(len(runs))
			}
			mean[k] = sum / count
			deviation[k] = math.Sqrt(max(0, (square-count*mean[k]*mean[k])/(count-1)/count))
			between := 0.0
			for _, own := range ofChain {
				between += (own - mean[k]) * (own - mean[k]) / float64(len(runs)-1)
			}
			deviation[k] = max(deviation[k], math.Sqrt(between/float64(len(runs))))
			if between > 1e-6 {
				s.sampling.Agreement = max(s.sampling.Agreement, math.Sqrt((max(within, 1e-12)*(draws-1)/draws+between)/max(within, 1e-12)))
			}
		}
		s.shares[scope] = less.whole(s.scopes[scope], mean)
		s.errors[scope] = less.whole(s.scopes[scope], deviation)
	}
}
