package pairing

import (
	"container/heap"
	"math"
	"math/rand/v2"
	"slices"
)

// The states of a fish in a part of the search.
const (
	open   int8 = iota // may have a spawn
	within             // has one
	out                // has none
)

// part is a part of all plans: some fish have a spawn, some have none, some pairs
// are set up, some are not.
type part struct {
	state []int8
	fixed [][2]int
	cut   []int // pairs not set up, by place
	bound float64
	fish  *mixture  // of the relaxation by fish
	pairs *mixture  // of that by pairs; nil where it was not asked for
	point []float64 // where to begin
	order int
}

// view is a part as the bound looks at it.
type view struct {
	*part
	open    []bool // pairs that may be set up, by place
	busy    []bool // fish of pairs fixed, where each has one spawn
	pairsOf []int  // pairs fixed, by fish
	wanted  int    // fish that must have a spawn and have none fixed
}

func (in *instance) view(p *part) *view {
	v := &view{part: p, open: slices.Clone(in.allowed), busy: make([]bool, in.n), pairsOf: make([]int, in.n)}
	for _, at := range p.cut {
		v.open[at] = false
	}
	for _, pair := range p.fixed {
		v.open[in.pair(pair[0], pair[1])] = false
		for _, fish := range pair {
			v.pairsOf[fish]++
			v.busy[fish] = in.single
		}
	}
	for i, state := range p.state {
		if state == within && v.pairsOf[i] == 0 {
			v.wanted++
		}
	}
	return v
}

// parts are those still to be searched, the lowest bound first.
type parts []*part

func (q parts) Len() int { return len(q) }
func (q parts) Less(i, j int) bool {
	if q[i].bound != q[j].bound {
		return q[i].bound < q[j].bound
	}
	return q[i].order > q[j].order
}
func (q parts) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *parts) Push(x any)   { *q = append(*q, x.(*part)) }
func (q *parts) Pop() any {
	last := len(*q) - 1
	p := (*q)[last]
	(*q)[last] = nil
	*q = (*q)[:last]
	return p
}

// solver is a search for the best plan by branch and bound.
type solver struct {
	in    *instance
	relax *relaxation
	draft *draft
	stop  func() bool
	twins twins

	best   []Choice
	cost   float64
	queue  parts
	count  int
	paired bool // the relaxation by pairs bounds better
	luck   *rand.Rand
	lost   bool    // a part was left unsearched
	least  float64 // the lowest bound of such parts
}

// effort is how much work a search does where the caller sets no end.
func (in *instance) effort() int { return 800_000_000 + 25*in.n*in.n*in.n }

// Solve returns the best plan it finds and a bound that no plan exceeds. It ends
// when the plan is proved to be the best, to 1e-12 of gene diversity; when stop,
// asked now and then, says so; or, where stop is nil, after a fixed amount of
// work, so that the answer is the same each time. ok is false where no plan keeps
// the limits.
//
// The bound is the least over all parts of a branch-and-bound tree of the
// relaxation described at [relaxation]; plans come from [Quick], and from the
// pairs that the relaxation favours.
func Solve(p *Problem, stop func() bool) (plan Plan, ok bool) {
	in := p.instance()
	s := &solver{in: in, draft: in.newDraft(), cost: math.Inf(1)}
	if !s.draft.begin() {
		return plan, false
	}
	s.stop = func() bool { return s.relax.work > in.effort() }
	if stop != nil {
		s.stop = stop
	}
	s.relax = newRelaxation(in)
	s.luck = rand.New(rand.NewPCG(1, 2))
	s.draft.improve(s.stop)
	s.offer(s.draft.sorted())
	s.shake(64)
	s.run()
	plan = p.planOf(in, (&draft{in: in, plan: s.best}).sorted())
	plan.Exact = s.least >= s.cost-s.near()
	if p.Toward == nil {
		plan.Bound = in.diversity(s.least)
	} else {
		plan.ShareBound = min(in.weight-s.least/in.scale, 1)
	}
	return plan, true
}

// near is what a part must promise to be searched.
func (s *solver) near() float64 { return 3e-13 * s.in.scale }

// offer takes a plan if it is the best so far.
func (s *solver) offer(plan []Choice) {
	if cost := s.in.cost(plan); cost < s.cost {
		s.best, s.cost = slices.Clone(plan), cost
	}
}

func (s *solver) run() {
	s.least = math.Inf(1)
	root := &part{state: make([]int8, s.in.n), fixed: slices.Clone(s.in.fixed), point: make([]float64, s.in.n)}
	if s.in.toward != nil {
		root.bound = -s.in.scale // no share is above 1
	}
	for i, must := range s.in.must {
		if must {
			root.state[i] = within
		} else if s.in.uses[i] == 0 {
			root.state[i] = out
		}
	}
	s.twins = s.in.twins()
	for _, c := range s.best {
		root.point[c.Sire] += float64(c.Keep)
		root.point[c.Dam] += float64(c.Keep)
	}
	s.root(root)
	s.push(root)
	few := !s.in.single && s.in.fewSets()
	for len(s.queue) > 0 && s.queue[0].bound < s.limit() && !s.stop() && !(few && s.relax.work > shortTree) {
		s.branch(heap.Pop(&s.queue).(*part))
	}
	if len(s.queue) > 0 {
		s.least = min(s.least, s.queue[0].bound)
	}
	s.least = min(s.least, s.limit())
	if few && s.least < s.limit() && s.everySet() {
		s.least = s.limit()
	}
}

// shortTree is how much work the tree is given where every set of pairs can be
// tried instead.
const shortTree = 100_000_000

// root bounds the whole, and finds the own parts of the kinships that serve best:
// first by fish, then, where that bounds better, by pairs.
func (s *solver) root(p *part) {
	rounds := 10
	if s.in.n > 100 {
		rounds = 2
	}
	v := s.in.view(p)
	p.pairs = nil
	for round := range rounds {
		p.fish = &mixture{}
		p.bound = max(p.bound, s.relax.bound(v, p.fish, false, p.point, s.limit(), s.stop))
		if p.bound >= s.limit() || s.stop() {
			return
		}
		s.relax.sharpen(p.fish, 2/float64(round+4))
		p.point = p.fish.point(s.in.n)
	}
	p.fish = &mixture{}
	p.bound = max(p.bound, s.relax.bound(v, p.fish, false, p.point, s.limit(), s.stop))
	if !s.in.single || s.in.n > 24 && !slices.Contains(s.in.allowed, false) {
		return
	}
	before := p.bound
	for round := range rounds {
		p.pairs = &mixture{}
		p.bound = max(p.bound, s.relax.bound(v, p.pairs, true, p.fish.point(s.in.n), s.limit(), s.stop))
		s.paired = p.bound > before+0.1*(s.limit()-before)
		if !s.paired || p.bound >= s.limit() || s.stop() {
			break
		}
		s.relax.sharpen(p.pairs, 2/float64(round+4))
		p.point = p.pairs.point(s.in.n)
	}
	p.fish, p.pairs = &mixture{}, nil // the own parts are others now
}

// limit is what a part must promise less than to be searched.
func (s *solver) limit() float64 { return s.cost - s.near() }

// push bounds a part and lays it by, unless nothing better is in it.
func (s *solver) push(p *part) {
	if p.bound >= s.limit() {
		return
	}
	v := s.in.view(p)
	s.count++
	p.order = s.count
	p.bound = max(p.bound, s.relax.bound(v, p.fish, false, p.point, s.limit(), s.stop))
	if p.bound >= s.limit() {
		return
	}
	s.byPairs(v)
	if p.bound >= s.limit() {
		return
	}
	if s.count%16 == 1 {
		s.shake(4)
	}
	heap.Push(&s.queue, p)
}

// byPairs bounds a part by the relaxation by pairs too, where that bounded the whole
// better, and where it is the only one to tell what is still to be told apart.
func (s *solver) byPairs(v *view) {
	p := v.part
	if !s.in.single || !s.paired && s.openFish(v, p.fish) >= 0 {
		p.pairs = nil
		return
	}
	if p.pairs == nil {
		p.pairs = &mixture{}
	}
	p.bound = max(p.bound, s.relax.bound(v, p.pairs, true, p.fish.point(s.in.n), s.limit(), s.stop))
	if p.bound < s.limit() {
		if pairs := s.favoured(v); s.draft.from(pairs) {
			s.draft.improve(s.stop)
			s.offer(s.draft.sorted())
		}
	}
}

// shake changes some spawns of the best plan at random and improves what comes of
// it, some times. The numbers drawn are the same each time.
func (s *solver) shake(times int) {
	d, in := s.draft, s.in
	for range times {
		if s.stop() {
			return
		}
		d.load(s.best)
		for range 2 + s.luck.IntN(2) {
			at := s.luck.IntN(len(d.plan))
			now := d.plan[at]
			for range 20 {
				i, j := s.luck.IntN(in.males), in.males+s.luck.IntN(in.n-in.males)
				if i != now.Sire && j != now.Dam && d.spare(i) && d.spare(j) && d.free(i, j) &&
					!d.isHeld(now) && !d.needed(now.Sire) && !d.needed(now.Dam) {
					d.replace(at, i, j, now.Keep)
					break
				}
			}
		}
		d.improve(s.stop)
		s.relax.work += 100 * len(d.plan) * in.n
		s.offer(d.sorted())
	}
}

// favoured are the pairs of which the mixture has the most.
func (s *solver) favoured(v *view) [][2]int {
	in := s.in
	list := v.pairPortions()
	for i := range list {
		list[i].share = -list[i].share
	}
	sortPortions(list)
	taken := make([]bool, in.n)
	var pairs [][2]int
	females := in.n - in.males
	for _, must := range []bool{true, false} {
		for _, p := range list {
			i, j := p.at/females, in.males+p.at%females
			if taken[i] || taken[j] || len(pairs) == in.spawns || must && !in.must[i] && !in.must[j] {
				continue
			}
			taken[i], taken[j] = true, true
			pairs = append(pairs, [2]int{i, j})
		}
	}
	return pairs
}

// from begins anew from pairs with even numbers of fry; false where they do not
// keep the limits.
func (d *draft) from(pairs [][2]int) bool {
	in := d.in
	if _, _, ok := in.shares(len(pairs)); !ok {
		return false
	}
	d.load(nil)
	for k, pair := range pairs {
		d.add(Choice{pair[0], pair[1], in.fryOf(len(pairs), k)})
	}
	for i, must := range in.must {
		if must && d.used[i] == 0 {
			return false
		}
	}
	for _, pair := range in.fixed {
		if !d.taken[in.pair(pair[0], pair[1])] {
			return false
		}
	}
	return true
}
