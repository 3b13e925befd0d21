package pairing

import (
	"cmp"
	"math"
	"slices"
)

// draft is a plan being worked on: with y the fry of each fish, g = K y.
type draft struct {
	in    *instance
	plan  []Choice
	g     []float64
	used  []int
	taken []bool // pairs, by their place
	held  []bool // pairs that must stay, by their place
}

func (in *instance) newDraft() *draft {
	d := &draft{in: in, g: make([]float64, in.n), used: make([]int, in.n),
		taken: make([]bool, len(in.allowed)), held: make([]bool, len(in.allowed))}
	for _, pair := range in.fixed {
		d.held[in.pair(pair[0], pair[1])] = true
	}
	return d
}

// load begins anew from a plan.
func (d *draft) load(plan []Choice) {
	d.plan = d.plan[:0]
	clear(d.g)
	clear(d.used)
	clear(d.taken)
	for _, s := range plan {
		d.add(s)
	}
}

func (d *draft) add(s Choice) {
	d.plan = append(d.plan, s)
	d.use(s, 1)
	d.give(s.Sire, s.Keep)
	d.give(s.Dam, s.Keep)
}

func (d *draft) use(s Choice, by int) {
	d.used[s.Sire] += by
	d.used[s.Dam] += by
	d.taken[d.in.pair(s.Sire, s.Dam)] = by > 0
}

// give counts so many fry more of a fish.
func (d *draft) give(fish, fry int) {
	by := float64(fry)
	for i, k := range d.in.row(fish) {
		d.g[i] += by * k
	}
}

// moved is by how much the cost rises if fry of fish a were of fish b instead.
func (d *draft) moved(a, b int, fry float64) float64 {
	in := d.in
	return fry * ((d.g[b]-d.g[a])/2 + fry*(in.kin(a, a)+in.kin(b, b)-2*in.kin(a, b))/4 + in.c[b] - in.c[a])
}

// shifted is by how much the cost rises if fry of pair s were of pair t instead.
func (d *draft) shifted(s, t Choice, fry float64) float64 {
	in := d.in
	a, b, e, f := s.Sire, s.Dam, t.Sire, t.Dam
	square := in.kin(a, a) + in.kin(b, b) + in.kin(e, e) + in.kin(f, f) +
		2*(in.kin(a, b)+in.kin(e, f)-in.kin(a, e)-in.kin(a, f)-in.kin(b, e)-in.kin(b, f))
	return fry * ((d.g[e]+d.g[f]-d.g[a]-d.g[b])/2 + fry*square/4 + in.c[e] + in.c[f] - in.c[a] - in.c[b])
}

// added is by how much the cost rises with a spawn more.
func (d *draft) added(s Choice) float64 {
	in, fry := d.in, float64(s.Keep)
	square := in.kin(s.Sire, s.Sire) + in.kin(s.Dam, s.Dam) + 2*in.kin(s.Sire, s.Dam)
	return fry * ((d.g[s.Sire]+d.g[s.Dam])/2 + fry*square/4 + in.c[s.Sire] + in.c[s.Dam])
}

// free reports whether a pair could stand in the plan beside those that do.
func (d *draft) free(sire, dam int) bool {
	at := d.in.pair(sire, dam)
	return d.in.allowed[at] && !d.taken[at]
}

func (d *draft) spare(fish int) bool { return d.used[fish] < d.in.uses[fish] }

// needed reports whether the fish may not lose a spawn.
func (d *draft) needed(fish int) bool { return d.in.must[fish] && d.used[fish] == 1 }

// replace puts one pair in the place of another.
func (d *draft) replace(s int, sire, dam, keep int) {
	was := d.plan[s]
	d.use(was, -1)
	d.give(was.Sire, -was.Keep)
	d.give(was.Dam, -was.Keep)
	now := Choice{sire, dam, keep}
	d.plan[s] = now
	d.use(now, 1)
	d.give(sire, keep)
	d.give(dam, keep)
}

// improve makes the plan better by small changes until none helps: another sire
// or dam for a spawn, partners changed over, fry moved from one spawn to another,
// another pair altogether, a spawn more, a spawn fewer. The result depends on the
// plan alone.
func (d *draft) improve(stop func() bool) {
	for !stop() {
		if d.otherFish() || d.changeOver() || d.moveFry() {
			continue
		}
		if !d.otherPair() && !d.split() && !d.drop() {
			return
		}
	}
}

// better is what a change must gain to be made.
func (d *draft) better() float64 { return -8 * d.in.tiny() }

// otherFish gives each spawn the best sire and the best dam there is to be had.
func (d *draft) otherFish() (any bool) {
	in := d.in
	for s := range d.plan {
		if d.held[in.pair(d.plan[s].Sire, d.plan[s].Dam)] {
			continue
		}
		for side := range 2 {
			now := d.plan[s]
			first, last, old := 0, in.males, now.Sire
			if side == 1 {
				first, last, old = in.males, in.n, now.Dam
			}
			if d.needed(old) {
				continue
			}
			best, gain := -1, d.better()
			for fish := first; fish < last; fish++ {
				if fish == old || !d.spare(fish) {
					continue
				}
				if delta := d.moved(old, fish, float64(now.Keep)); delta < gain {
					if side == 0 && d.free(fish, now.Dam) || side == 1 && d.free(now.Sire, fish) {
						best, gain = fish, delta
					}
				}
			}
			if best >= 0 {
				if side == 0 {
					d.replace(s, best, now.Dam, now.Keep)
				} else {
					d.replace(s, now.Sire, best, now.Keep)
				}
				any = true
			}
		}
	}
	return any
}

// changeOver lets two spawns change dams where that helps: their numbers differ.
func (d *draft) changeOver() (any bool) {
	for s := range d.plan {
		for t := range s {
			a, b := d.plan[s], d.plan[t]
			if a.Keep == b.Keep || !d.free(a.Sire, b.Dam) || !d.free(b.Sire, a.Dam) || d.isHeld(a) || d.isHeld(b) {
				continue
			}
			if d.moved(b.Dam, a.Dam, float64(b.Keep-a.Keep)) < d.better() {
				d.replace(s, a.Sire, b.Dam, a.Keep)
				d.replace(t, b.Sire, a.Dam, b.Keep)
				any = true
			}
		}
	}
	return any
}

func (d *draft) isHeld(s Choice) bool { return d.held[d.in.pair(s.Sire, s.Dam)] }

// moveFry moves fry between spawns, as many at a time as is best.
func (d *draft) moveFry() (any bool) {
	in := d.in
	for s := range d.plan {
		for t := range d.plan {
			a, b := d.plan[s], d.plan[t]
			most := min(a.Keep-in.least, in.most-b.Keep)
			if s == t || most < 1 {
				continue
			}
			one, two := d.shifted(a, b, 1), d.shifted(a, b, 2)
			if one >= d.better() {
				continue
			}
			fry := most
			if curve := two - 2*one; curve > 0 {
				fry = min(most, max(1, int(math.Round(0.5-one/curve))))
			}
			if d.shifted(a, b, float64(fry)) < d.better() {
				d.replace(s, a.Sire, a.Dam, a.Keep-fry)
				d.replace(t, b.Sire, b.Dam, b.Keep+fry)
				any = true
			}
		}
	}
	return any
}

// otherPair puts the best other pair in the place of a spawn.
func (d *draft) otherPair() bool {
	in := d.in
	for s, now := range d.plan {
		if d.isHeld(now) || d.needed(now.Sire) || d.needed(now.Dam) {
			continue
		}
		best, gain := now, d.better()
		for i := range in.males {
			if i == now.Sire || !d.spare(i) {
				continue
			}
			for j := in.males; j < in.n; j++ {
				if j == now.Dam || !d.spare(j) || !d.free(i, j) {
					continue
				}
				if delta := d.shifted(now, Choice{i, j, 0}, float64(now.Keep)); delta < gain {
					best, gain = Choice{i, j, now.Keep}, delta
				}
			}
		}
		if best != now {
			d.replace(s, best.Sire, best.Dam, best.Keep)
			return true
		}
	}
	return false
}

// split takes half of a spawn's fry from a pair more.
func (d *draft) split() bool {
	in := d.in
	if len(d.plan) >= in.spawns {
		return false
	}
	for s, now := range d.plan {
		half := now.Keep / 2
		if half < in.least {
			continue
		}
		best, gain := now, d.better()
		for i := range in.males {
			for j := in.males; j < in.n && d.spare(i); j++ {
				if !d.spare(j) || !d.free(i, j) {
					continue
				}
				if delta := d.shifted(now, Choice{i, j, 0}, float64(half)); delta < gain {
					best, gain = Choice{i, j, half}, delta
				}
			}
		}
		if best != now {
			d.replace(s, now.Sire, now.Dam, now.Keep-half)
			d.add(best)
			return true
		}
	}
	return false
}

// drop gives all fry of one spawn to another.
func (d *draft) drop() bool {
	for s, a := range d.plan {
		if d.isHeld(a) || d.needed(a.Sire) || d.needed(a.Dam) {
			continue
		}
		for t, b := range d.plan {
			if s != t && a.Keep+b.Keep <= d.in.most && d.shifted(a, b, float64(a.Keep)) < d.better() {
				d.replace(t, b.Sire, b.Dam, b.Keep+a.Keep)
				d.give(a.Sire, -a.Keep)
				d.give(a.Dam, -a.Keep)
				d.use(a, -1)
				d.plan = slices.Delete(d.plan, s, s+1)
				return true
			}
		}
	}
	return false
}

// sorted is the plan by sire, then dam.
func (d *draft) sorted() []Choice {
	plan := slices.Clone(d.plan)
	slices.SortFunc(plan, func(a, b Choice) int {
		return cmp.Or(cmp.Compare(a.Sire, b.Sire), cmp.Compare(a.Dam, b.Dam))
	})
	return plan
}
