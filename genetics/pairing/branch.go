package pairing

import (
	"math"
	"slices"
)

// twins are fish that are as good as each other, of one lot or full sibs that have
// not bred: each with that before and that after it. The first of them have spawns.
type twins struct{ before, after []int }

func (in *instance) twins() twins {
	t := twins{make([]int, in.n), make([]int, in.n)}
	for i := range in.n {
		t.before[i], t.after[i] = -1, -1
		first := 0
		if i >= in.males {
			first = in.males
		}
		for j := i - 1; j >= first && t.before[i] < 0 && !in.must[i]; j-- {
			if t.after[j] < 0 && in.alike(i, j) {
				t.before[i], t.after[j] = j, i
			}
		}
	}
	return t
}

// alike reports whether two fish of one sex could stand for each other in any plan.
func (in *instance) alike(i, j int) bool {
	if in.c[i] != in.c[j] || in.kin(i, i) != in.kin(j, j) || in.uses[i] != in.uses[j] {
		return false
	}
	for other := range in.n {
		if other != i && other != j && in.kin(i, other) != in.kin(j, other) {
			return false
		}
	}
	for at := range in.n - in.males {
		if i < in.males && in.allowed[in.pair(i, in.males+at)] != in.allowed[in.pair(j, in.males+at)] {
			return false
		}
	}
	for at := range in.males {
		if i >= in.males && in.allowed[in.pair(at, i)] != in.allowed[in.pair(at, j)] {
			return false
		}
	}
	return true
}

// branch parts a part in two: by a fish of which the mixture has some, then by a
// pair, until nothing is left to part by.
func (s *solver) branch(p *part) {
	v := s.in.view(p)
	m := p.fish
	if p.pairs != nil {
		m = p.pairs
	}
	if fish := s.openFish(v, m); fish >= 0 {
		s.push(s.child(p, func(c *part) { s.setFish(c, fish, within) }))
		s.push(s.child(p, func(c *part) { s.setFish(c, fish, out) }))
		return
	}
	if s.in.single {
		s.allotFavoured(v)
	}
	pair, some := s.openPair(v)
	if !some {
		s.finish(v)
		return
	}
	s.push(s.child(p, func(c *part) {
		c.fixed = append(slices.Clip(c.fixed), pair)
		s.setFish(c, pair[0], within)
		s.setFish(c, pair[1], within)
	}))
	s.push(s.child(p, func(c *part) { c.cut = append(slices.Clip(c.cut), s.in.pair(pair[0], pair[1])) }))
}

// child is a copy of a part, changed, with the corners that still are corners.
func (s *solver) child(p *part, change func(*part)) *part {
	c := &part{state: slices.Clone(p.state), fixed: p.fixed, cut: p.cut, bound: p.bound, point: p.fish.point(s.in.n)}
	change(c)
	v := s.in.view(c)
	c.fish = s.inherited(v, p.fish)
	if p.pairs != nil {
		c.pairs = s.inherited(v, p.pairs)
	}
	return c
}

// inherited is a mixture with the corners that keep to the view.
func (s *solver) inherited(v *view, m *mixture) *mixture {
	next := &mixture{}
	for k, a := range m.atoms {
		if m.share[k] > 0 && s.fits(v, a) {
			next.add(a)
		}
	}
	return next
}

// fits reports whether a corner keeps to the view.
func (s *solver) fits(v *view, a *atom) bool {
	used := make([]float64, s.in.n)
	for _, p := range a.used {
		used[p.at] = p.share
	}
	for i, state := range v.state {
		if state == out && used[i] > 0 || state == within && used[i] < 1-1e-12 || a.y[i] < float64(v.pairsOf[i]*s.in.least) {
			return false
		}
	}
	if a.pairs == nil {
		return true
	}
	whole := 0
	females := s.in.n - s.in.males
	for _, p := range a.pairs {
		i, j := p.at/females, s.in.males+p.at%females
		switch {
		case v.busy[i] && v.busy[j] && slices.Contains(v.fixed, [2]int{i, j}):
			if p.share > 1-1e-12 {
				whole++
			}
		case !v.open[p.at] || v.busy[i] || v.busy[j]:
			return false
		}
	}
	return whole == len(v.fixed)
}

// setFish decides on a fish, and on those of its lot with it.
func (s *solver) setFish(p *part, fish int, state int8) {
	p.state[fish] = state
	next := s.twins.before
	if state == out {
		next = s.twins.after
	}
	for i := next[fish]; i >= 0 && p.state[i] == open; i = next[i] {
		p.state[i] = state
	}
}

// openFish is an undecided fish of which the mixture has some, but not all: that
// whose fry vary the most over the mixture where R counts them, for there the
// relaxation is loosest. −1 where there is none. Where fish may have several spawns
// each is decided on.
func (s *solver) openFish(v *view, m *mixture) int {
	best, most := -1, -1.0
	y := m.point(s.in.n)
	for _, p := range m.portions(func(a *atom) []portion { return a.used }) {
		if v.state[p.at] != open || p.share < 1e-9 || p.share > 1-1e-9 {
			continue
		}
		square := 0.0
		for k, share := range m.share {
			square += share * m.atoms[k].y[p.at] * m.atoms[k].y[p.at]
		}
		loose := s.relax.r[p.at*s.in.n+p.at] * (square - y[p.at]*y[p.at])
		if loose > most {
			best, most = p.at, loose
		}
	}
	if best >= 0 || s.in.single {
		return best
	}
	return slices.Index(v.state, open)
}

// pairPortions is how much the mixture by pairs has of each.
func (p *part) pairPortions() []portion {
	if p.pairs == nil {
		return nil
	}
	return p.pairs.portions(func(a *atom) []portion { return a.pairs })
}

// openPair is a pair to part by: of which the mixture has nearest to a half; else
// any of which it has some; else any that may be.
func (s *solver) openPair(v *view) (pair [2]int, some bool) {
	in := s.in
	females := in.n - in.males
	best, far := -1, 2.0
	for _, p := range v.pairPortions() {
		if off := math.Abs(p.share - 0.5); v.open[p.at] && off < far {
			best, far = p.at, off
		}
	}
	if best < 0 && len(v.fixed) < in.spawns {
		best = s.anyPair(v)
	}
	if best < 0 {
		return pair, false
	}
	return [2]int{best / females, in.males + best%females}, true
}

// anyPair is a pair that may be, first one for a fish that must have a spawn and
// has few to choose from; −1 for none.
func (s *solver) anyPair(v *view) int {
	in := s.in
	choices := make([]int, in.n)
	each := func(do func(i, j, at int)) {
		for i := range in.males {
			if v.state[i] == out || v.pairsOf[i] >= in.uses[i] {
				continue
			}
			for j := in.males; j < in.n; j++ {
				if at := in.pair(i, j); v.state[j] != out && v.pairsOf[j] < in.uses[j] && v.open[at] {
					do(i, j, at)
				}
			}
		}
	}
	each(func(i, j, _ int) { choices[i]++; choices[j]++ })
	best, least := -1, math.MaxInt
	each(func(i, j, at int) {
		for _, fish := range [2]int{i, j} {
			rank := in.n + choices[fish]
			if v.state[fish] == within && v.pairsOf[fish] == 0 {
				rank = choices[fish]
			}
			if rank < least {
				best, least = at, rank
			}
		}
	})
	return best
}

// allotFavoured finds the best numbers for the pairs of which the mixture is all.
func (s *solver) allotFavoured(v *view) {
	females := s.in.n - s.in.males
	var pairs [][2]int
	for _, p := range v.pairPortions() {
		if p.share > 0.5 {
			pairs = append(pairs, [2]int{p.at / females, s.in.males + p.at%females})
		}
	}
	s.allotPairs(pairs)
}

// allotPairs offers the best plan of just these pairs, if it keeps the limits.
func (s *solver) allotPairs(pairs [][2]int) (exact bool) {
	used := make([]int, s.in.n)
	for _, pair := range pairs {
		used[pair[0]]++
		used[pair[1]]++
	}
	for i, must := range s.in.must {
		if used[i] > s.in.uses[i] || must && used[i] == 0 {
			return true
		}
	}
	for _, pair := range s.in.fixed {
		if !slices.Contains(pairs, pair) {
			return true
		}
	}
	plan, ok, exact := s.in.allot(pairs, s.cost)
	if ok {
		s.offer(plan)
	}
	return exact
}

// finish searches a part in which every pair is decided on.
func (s *solver) finish(v *view) {
	for i, state := range v.state {
		if state == within && v.pairsOf[i] == 0 {
			return
		}
	}
	if !s.allotPairs(v.fixed) {
		s.lost = true
		s.least = min(s.least, v.bound)
	}
}
