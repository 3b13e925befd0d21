package pairing

import "math"

// Quick returns a good plan without a bound: pairs picked one after the other,
// then small changes until none helps. ok is false where it finds none. It takes
// about a millisecond for some tens of fish, and gives the same plan each time.
func Quick(p *Problem) (plan Plan, ok bool) {
	in := p.instance()
	d := in.newDraft()
	if !d.begin() {
		return plan, false
	}
	d.improve(func() bool { return false })
	return p.planOf(in, d.sorted()), true
}

func (p *Problem) planOf(in *instance, spawns []Choice) Plan {
	return Plan{Spawns: spawns, GeneDiversity: p.Value(spawns), Bound: 1, Share: in.share(spawns), ShareBound: 1}
}

// begin makes a first plan that keeps every limit: the best pair beside those
// chosen, again and again; where that leads nowhere, a cheapest set of pairs.
func (d *draft) begin() bool {
	for _, pair := range d.in.fixed {
		if !d.in.allowed[d.in.pair(pair[0], pair[1])] {
			return false
		}
	}
	for number := d.in.spawns; number > 0; number-- {
		if d.greedy(number) {
			return true
		}
		if found := d.matching(number); found < number {
			number = found + 1
		} else if len(d.plan) == number {
			return true
		}
	}
	return false
}

// shares are the fry of each of so many spawns, nearly even; ok is false where
// the limits of a spawn do not allow that.
func (in *instance) shares(number int) (low, more int, ok bool) {
	if number == 0 {
		return 0, 0, false
	}
	low, more = in.keep/number, in.keep%number
	return low, more, low >= in.least && (low < in.most || low == in.most && more == 0)
}

func (in *instance) fryOf(number, spawn int) int {
	low, more, _ := in.shares(number)
	if spawn < more {
		return low + 1
	}
	return low
}

// greedy sets up so many spawns, first those that must be.
func (d *draft) greedy(number int) bool {
	in := d.in
	if _, _, ok := in.shares(number); !ok || len(in.fixed) > number {
		return false
	}
	d.load(nil)
	for _, pair := range in.fixed {
		if !d.free(pair[0], pair[1]) {
			return false
		}
		d.add(Choice{pair[0], pair[1], in.fryOf(number, len(d.plan))})
	}
	for i := range in.n {
		if !in.must[i] || d.used[i] > 0 {
			continue
		}
		if len(d.plan) == number || !d.addBest(in.fryOf(number, len(d.plan)), i) {
			return false
		}
	}
	for len(d.plan) < number {
		if !d.addBest(in.fryOf(number, len(d.plan)), -1) {
			return false
		}
	}
	for i := range in.n {
		if d.used[i] > in.uses[i] {
			return false
		}
	}
	return true
}

// addBest adds the best pair there is, with the fish if one is named.
func (d *draft) addBest(keep, fish int) bool {
	in := d.in
	best, least := Choice{}, math.Inf(1)
	for i := range in.males {
		if fish >= 0 && fish < in.males && i != fish || !d.spare(i) {
			continue
		}
		for j := in.males; j < in.n; j++ {
			if fish >= in.males && j != fish || !d.spare(j) || !d.free(i, j) {
				continue
			}
			s := Choice{i, j, keep}
			if cost := d.added(s) - in.bonus(s); cost < least {
				best, least = s, cost
			}
		}
	}
	if math.IsInf(least, 1) {
		return false
	}
	d.add(best)
	return true
}

// bonus makes pairs come first that have fish that must have a spawn.
func (in *instance) bonus(s Choice) float64 {
	if in.must[s.Sire] && in.must[s.Dam] {
		return in.scale
	}
	return 0
}

// matching sets up the cheapest pairs taken each by itself, as near to so many as
// there are, and returns how many there are.
func (d *draft) matching(number int) int {
	in := d.in
	m := newMatcher(in.males, in.n-in.males, append([]int(nil), in.uses...))
	for _, pair := range in.fixed {
		m.room[pair[0]]--
		m.room[pair[1]]--
	}
	d.load(nil)
	for i := range m.room {
		if m.room[i] < 0 {
			return 0
		}
	}
	served := make([]bool, in.n)
	for _, pair := range in.fixed {
		served[pair[0]], served[pair[1]] = true, true
	}
	keep := float64(in.keep) / float64(number)
	for i := range in.males {
		for j := in.males; j < in.n; j++ {
			at := in.pair(i, j)
			m.weight[at] = math.Inf(1)
			if !in.allowed[at] || d.held[at] {
				continue
			}
			m.weight[at] = d.added(Choice{i, j, 0}) + keep*(keep*(in.kin(i, i)+in.kin(j, j)+2*in.kin(i, j))/4+in.c[i]+in.c[j])
			for _, fish := range [2]int{i, j} {
				if in.must[fish] && !served[fish] {
					m.weight[at] -= in.scale
				}
			}
		}
	}
	found := m.solve(number-len(in.fixed), true) + len(in.fixed)
	if _, _, ok := in.shares(found); !ok {
		return found
	}
	for _, pair := range in.fixed {
		d.add(Choice{pair[0], pair[1], in.fryOf(found, len(d.plan))})
	}
	for i := range in.males {
		for j := in.males; j < in.n; j++ {
			if m.matched[in.pair(i, j)] {
				d.add(Choice{i, j, in.fryOf(found, len(d.plan))})
			}
		}
	}
	for i := range in.n {
		if in.must[i] && d.used[i] == 0 {
			d.load(nil)
			return found
		}
	}
	return found
}
