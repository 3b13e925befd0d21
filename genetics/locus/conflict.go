package locus

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// Conflict is records of which at least one is wrong: they cannot all be true,
// and without any one of them the rest can.
type Conflict struct {
	Items []Item
	// Others are the fish that may have bred instead of a parent named in Items,
	// those that explain the records best first.
	Others []OtherParent
}

// OtherParent is who may have bred in place of the parents named.
type OtherParent struct {
	Spawn      string
	Side       pedigree.Sex
	Candidates []genetics.Share // with the odds among themselves
}

// possible reports whether the evidence can be true; where that is too much to
// find out it takes it to be.
func (in *inference) possible(active func(item int) bool) bool {
	return in.net.solve(active, nil, exactOnly).possible
}

// conflicts finds what contradicts each other: one set after the other, none of
// which shares evidence with those before, until what is left can be true. At
// most as many as most.
func (s *Study) conflicts(systems []*system, most int) []Conflict {
	in := newInference(s.index, systems)
	in.doubt = true
	in.evidence()
	left := make([]bool, len(in.items))
	for i := range left {
		left[i] = true
	}
	var out []Conflict
	for len(out) < most {
		if in.possible(func(item int) bool { return item == structure || left[item] }) {
			break
		}
		set := in.culprits(left)
		c := Conflict{}
		for _, i := range set {
			c.Items = append(c.Items, in.items[i])
			if in.items[i].Kind != ParentTold { // who bred is asked anew
				left[i] = false
			}
		}
		if len(set) == 0 || !slices.ContainsFunc(set, func(i int) bool { return in.items[i].Kind != ParentTold }) {
			break
		}
		if len(in.items) <= muchEvidence || len(out) < fewSuggested {
			s.suggest(systems, in, &c)
		}
		out = append(out, c)
	}
	return out
}

// culprits makes a set of evidence that cannot be true as small as leaving out
// one piece after the other makes it: then none of them can be spared. Whole
// halves and quarters are tried first. Of the two orders to go by, from either
// end, the one that leaves fewer is kept.
func (in *inference) culprits(left []bool) []int {
	items := in.about(left)
	// Who bred is left out last of all: what was seen is to stand with it.
	slices.SortStableFunc(items, func(a, b int) int {
		return cmp.Compare(in.items[a].Kind, in.items[b].Kind)
	})
	forwards := in.spare(slices.Clone(items))
	slices.Reverse(items)
	slices.SortStableFunc(items, func(a, b int) int {
		return cmp.Compare(in.items[a].Kind, in.items[b].Kind)
	})
	if backwards := in.spare(items); len(backwards) < len(forwards) {
		return backwards
	}
	return forwards
}

// about lists evidence that cannot be true together: all that is left, or where
// elimination tells at which fish it fails, as little around it as will do.
func (in *inference) about(left []bool) []int {
	sol := in.net.solve(func(item int) bool { return item == structure || left[item] }, nil, exactOnly)
	var items []int
	for _, i := range in.nearest(sol.failed) {
		if left[i] {
			items = append(items, i)
		}
	}
	if sol.failed == nil {
		return items
	}
	for n := 8; n < len(items); n *= 2 {
		holds := make([]bool, len(in.items))
		for _, i := range items[:n] {
			holds[i] = true
		}
		if !in.possible(func(item int) bool { return item == structure || holds[item] }) {
			return items[:n]
		}
	}
	return items
}

// nearest lists all evidence, that which is fewest ties away from the variables
// first.
func (in *inference) nearest(vars []int) []int {
	by := make([][]int32, len(in.net.card))
	for i := range in.net.factors {
		for _, v := range in.net.factors[i].vars {
			by[v] = append(by[v], int32(i))
		}
	}
	seen, noted := make([]bool, len(in.net.card)), make([]bool, len(in.items))
	var items []int
	note := func(item int) {
		if item != structure && item < len(noted) && !noted[item] {
			noted[item] = true
			items = append(items, item)
		}
	}
	queue := slices.Clone(vars)
	for _, v := range queue {
		seen[v] = true
	}
	for len(queue) > 0 {
		v := queue[0]
		queue = queue[1:]
		for _, i := range by[v] {
			f := &in.net.factors[i]
			note(f.item)
			for _, w := range f.vars {
				if !seen[w] {
					seen[w] = true
					queue = append(queue, w)
				}
			}
		}
	}
	for i := range in.items {
		note(i)
	}
	return items
}

func (in *inference) spare(items []int) []int {
	holds := make([]bool, len(in.items))
	for _, i := range items {
		holds[i] = true
	}
	impossible := func() bool {
		return !in.possible(func(item int) bool { return item == structure || holds[item] })
	}
	for step := max(len(items)/2, 1); ; step = max(step/2, 1) {
		for at := 0; at < len(items); {
			part := items[at:min(at+step, len(items))]
			for _, i := range part {
				holds[i] = false
			}
			if impossible() {
				items = slices.Delete(items, at, at+len(part))
				continue
			}
			for _, i := range part {
				holds[i] = true
			}
			at += len(part)
		}
		if step == 1 {
			break
		}
	}
	slices.SortFunc(items, func(a, b int) int { return cmp.Compare(in.items[a].ID, in.items[b].ID) })
	return items
}

// A pedigree with more evidence than muchEvidence is weighed by the nearest of it
// alone when other parents are tried.
const (
	mostOthers      = 80 // fish tried in place of a parent
	muchEvidence    = 300
	nearEvidence    = 60
	fewOthers       = 25 // fish tried where there is much evidence
	fewSuggested    = 3  // contradictions for which they are tried then
	sameWeightShare = 1e-9
)

// suggest looks for other parents: for every side of a spawn that takes part in
// the conflict, the fish of that sex that were there, by how well they explain
// what is known.
func (s *Study) suggest(systems []*system, doubt *inference, c *Conflict) {
	for _, item := range c.Items {
		if item.Kind != ParentTold {
			continue
		}
		spawn := s.book.SpawnByID(item.ID)
		others := s.present(spawn, item.Side)
		weighs := func(Item) bool { return true }
		if len(doubt.items) > muchEvidence {
			others = others[:min(len(others), fewOthers)]
			weighs = doubt.near(spawn, item.Side, others)
		}
		found := OtherParent{Spawn: spawn.ID, Side: item.Side}
		var weights []float64
		for _, other := range others {
			in := newInference(s.index, systems)
			in.instead = map[sideKey]string{{spawn.ID, item.Side}: other.ID}
			in.evidence()
			sol := in.net.solve(func(i int) bool { return i == structure || weighs(in.items[i]) }, nil, exactOnly)
			if sol.possible {
				weights = append(weights, sol.weight)
				found.Candidates = append(found.Candidates, genetics.Share{ID: other.ID})
			}
		}
		if len(weights) == 0 {
			continue
		}
		if slices.ContainsFunc(weights, math.IsNaN) { // too wide: they stand as they were at hand
			weights = make([]float64, len(weights))
		}
		for i, p := range shares(weights) {
			found.Candidates[i].Share = p
		}
		slices.SortStableFunc(found.Candidates, func(a, b genetics.Share) int {
			if d := a.Share - b.Share; d > sameWeightShare || d < -sameWeightShare {
				return cmp.Compare(b.Share, a.Share)
			}
			return 0 // as they were: the likeliest to have been at hand first
		})
		c.Others = append(c.Others, found)
	}
}

// near chooses the evidence nearest to a parent of a spawn, and all there is of
// the fish themselves that are tried.
func (in *inference) near(spawn *pedigree.Spawn, sex pedigree.Sex, others []*pedigree.Stock) func(Item) bool {
	chosen := make(map[itemKey]bool)
	keyOf := func(i Item) itemKey { return itemKey{i.Kind, i.ID, i.Locus, i.Side} }
	for _, i := range in.nearest([]int{in.which[fmt.Sprintf("%s %s 0 in doubt", spawn.ID, sex)]})[:nearEvidence] {
		chosen[keyOf(in.items[i])] = true
	}
	tried := make(map[string]bool)
	for _, other := range others {
		tried[other.ID] = true
	}
	return func(i Item) bool { return chosen[keyOf(i)] || tried[i.ID] }
}

// mostTried is how many other parents are tried for counts that are improbable.
const mostTried = 300

// better finds the one other parent, of the spawns about the one given, that makes
// all records of the loci the most likely: how many times as likely as they are
// with the parents named. gain is 0 where none makes them more so.
func (s *Study) better(systems []*system, about *pedigree.Spawn, weight float64) (spawn *pedigree.Spawn, sex pedigree.Sex, id string, gain float64) {
	tried := 0
	for _, near := range s.around(about) {
		for _, side := range [...]pedigree.Sex{pedigree.Male, pedigree.Female} {
			for _, other := range s.present(near, side) {
				if tried++; tried > mostTried {
					return spawn, sex, id, gain
				}
				in := newInference(s.index, systems)
				in.instead = map[sideKey]string{{near.ID, side}: other.ID}
				in.evidence()
				sol := in.net.solve(all, nil, exactOnly)
				if g := math.Exp(sol.weight - weight); sol.possible && g > 1 && g > gain {
					spawn, sex, id, gain = near, side, other.ID, g
				}
			}
		}
	}
	return spawn, sex, id, gain
}

// around lists a spawn, then those that its parents came from, then those that
// its parents or its young bred.
func (s *Study) around(spawn *pedigree.Spawn) []*pedigree.Spawn {
	first := s.book.FirstOf(spawn)
	if first == nil {
		return nil
	}
	list := []*pedigree.Spawn{first}
	add := func(other *pedigree.Spawn) {
		if other = s.book.FirstOf(other); other != nil && !slices.Contains(list, other) {
			list = append(list, other)
		}
	}
	kin := make(map[string]bool)
	for _, sex := range [...]pedigree.Sex{pedigree.Male, pedigree.Female} {
		for _, c := range s.book.Contributors(first, sex) {
			kin[c.Stock.ID] = true
			root := c.Stock
			for range s.book.Stock {
				if up := s.book.StockByID(root.Picked); up != nil {
					root = up
				}
			}
			for _, from := range root.FromSpawns {
				add(s.book.SpawnByID(from.Spawn))
			}
		}
	}
	for _, young := range s.young[spawn.ID] {
		kin[young.ID] = true
		for _, picked := range s.picks[young.ID] {
			kin[picked.ID] = true
		}
	}
	for _, other := range s.book.Spawns {
		for _, id := range other.ParentIDs() {
			if kin[id] {
				add(other)
			}
		}
	}
	return list
}

// present lists the records that may have been a parent of a spawn on its day
// besides those named: of its line, of that sex, born and not gone. Those that
// bred much about that day, or kept for themselves and bred nowhere else, and of
// an age with the other parent, stand first.
func (s *Study) present(spawn *pedigree.Spawn, sex pedigree.Sex) []*pedigree.Stock {
	on := spawn.When()
	young := s.book.Descent().Descendants([]string{spawn.ID})
	named := make(map[string]bool)
	for _, c := range s.book.Contributors(spawn, sex) {
		named[c.Stock.ID] = true
	}
	type at struct {
		stock *pedigree.Stock
		near  float64
	}
	bred := s.bredAbout(spawn, sex)
	var mate pedigree.Date
	for _, c := range s.book.Contributors(spawn, pedigree.Male+pedigree.Female-sex) {
		mate = s.book.BornOn(c.Stock)
	}
	var list []at
	for _, stock := range s.book.Stock {
		heads := s.book.Heads(stock, on)
		there := heads.Total() > 0
		if stock.Lot {
			there = s.book.LotHistory(stock.ID).At(on).OfSex(sex) > 0 && there
		} else {
			there = there && (stock.Sex == sex || stock.Sex == pedigree.Unsexed)
		}
		if !there || stock.Line != spawn.Line || named[stock.ID] || !s.book.Mature(stock, sex, on) || young[stock.ID] {
			continue
		}
		near, elsewhere := bred[stock.ID]
		if !elsewhere && !stock.Lot {
			near = 1
		}
		list = append(list, at{stock, near * closeness(s.book.BornOn(stock), mate, 365)})
	}
	slices.SortStableFunc(list, func(a, b at) int { return cmp.Compare(b.near, a.near) })
	var out []*pedigree.Stock
	for _, a := range list[:min(len(list), mostOthers)] {
		out = append(out, a.stock)
	}
	return out
}

// bredAbout is how much each record bred as that sex about the day of a spawn, in
// others: the sum of its shares in them, less the further off they are.
func (s *Study) bredAbout(spawn *pedigree.Spawn, sex pedigree.Sex) map[string]float64 {
	about := make(map[string]float64)
	for _, other := range s.book.Spawns {
		if s.book.FirstOf(other) == spawn {
			continue
		}
		for _, c := range s.book.Contributors(other, sex) {
			about[c.Stock.ID] += c.Share * closeness(other.When(), spawn.When(), 180)
		}
	}
	return about
}

// closeness is 1 for the same day and falls off with the days between, by e in
// every so many; a tenth where one is not known.
func closeness(a, b pedigree.Date, scale float64) float64 {
	if !a.Known() || !b.Known() {
		return 0.1
	}
	return math.Exp(-math.Abs(a.Time().Sub(b.Time()).Hours()) / 24 / scale)
}
