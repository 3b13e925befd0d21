package locus

import (
	"fmt"
	"math"
	"slices"

	"roebook/pedigree"
)

// maxParents is how many parents of one side of a spawn are told apart at most.
const maxParents = 4

// candidate is who may have been a parent: one known fish, or each time another
// fish of a lot.
type candidate struct {
	id   string  // the record named, or the fish that was picked out of it later
	fish float64 // how many fish it stands for
	odds float64
	make func(who string) int
}

// familyOf is the parents of a spawn, those of the first where it is a repeat.
func (b *builder) familyOf(spawn *pedigree.Spawn) *family {
	first := b.book.FirstOf(spawn)
	if first == nil {
		first = &pedigree.Spawn{}
		if spawn != nil {
			first.ID = spawn.ID
		}
	}
	if f := b.families[first.ID]; f != nil && first.ID != "" {
		return f
	}
	f := &family{}
	b.families[first.ID] = f
	for i, sex := range [...]pedigree.Sex{pedigree.Male, pedigree.Female} {
		f.sides[i] = b.side(first, sex)
	}
	for i, v := range f.sides[1].vars { // a fish never sexed may stand on both sides
		if slices.Contains(f.sides[0].vars, v) {
			f.sides[1].vars[i] = b.copyOf(v)
		}
	}
	return f
}

// copyOf is a fish of the same genotype.
func (b *builder) copyOf(v int) int {
	n := len(b.sys.genotypes)
	table := make([]float64, n*n)
	for at := range table {
		if at/n != at%n {
			table[at] = never
		}
	}
	c := b.genotype()
	b.net.given(c, table, v, c)
	return c
}

// side makes the parents of one side: one fish out of the candidates, all of
// them, or so many.
func (b *builder) side(spawn *pedigree.Spawn, sex pedigree.Sex) side {
	list := b.candidates(spawn, sex)
	number := spawn.ParentsOf(sex)
	if id, ok := b.instead[sideKey{spawn.ID, sex}]; ok {
		list, number = nil, pedigree.Parents{}
		if stock := b.book.StockByID(id); stock != nil {
			list = b.candidatesOf(stock, sex, spawn.When(), 1)
		}
	}
	total := 0.0
	for _, c := range list {
		total += c.fish
	}
	n := number.Number(total)
	if len(list) == 0 && number.All {
		n = 1
	}
	odds := spawn.SideOf(sex).Odds
	if n <= 1+1e-9 || odds && !number.All {
		return side{[]int{b.parent(spawn, sex, 0, list)}, []float64{1}}
	}
	most := b.mostParents
	if len(list) > 0 && (number.All || n >= total-1e-9) {
		if s, ok := b.each(spawn, list, sex, most); ok {
			return s
		}
		n = total
	}
	var s side
	for i := range min(int(n+0.5), most) {
		s.vars, s.weights = append(s.vars, b.parent(spawn, sex, i, list)), append(s.weights, 1)
	}
	s.weights = evened(s.weights)
	return s
}

// each makes all candidates parents, each fish with its share; ok is false where
// they are too many.
func (b *builder) each(spawn *pedigree.Spawn, list []candidate, sex pedigree.Sex, most int) (s side, ok bool) {
	count := 0
	for _, c := range list {
		count += max(1, int(c.fish+0.5))
	}
	if count > most {
		return s, false
	}
	for _, c := range list {
		n := max(1, int(c.fish+0.5))
		for i := range n {
			v := c.make(fmt.Sprintf("%s %s %d", spawn.ID, sex, i))
			b.ofSex(v, sex, structure)
			s.vars, s.weights = append(s.vars, v), append(s.weights, c.odds/float64(n))
		}
	}
	s.weights = evened(s.weights)
	return s, true
}

// parent makes one fish out of the candidates, an unknown one where there is
// none: the i-th parent on that side of the spawn.
func (b *builder) parent(spawn *pedigree.Spawn, sex pedigree.Sex, i int, list []candidate) int {
	if len(list) == 0 {
		return b.founder(sex, 0)
	}
	who := fmt.Sprintf("%s %s %d", spawn.ID, sex, i)
	told := &choice{spawn: spawn, sex: sex}
	var vars []int
	var odds []float64
	for _, c := range list {
		vars, odds, told.ids = append(vars, c.make(who)), append(odds, c.odds), append(told.ids, c.id)
	}
	v := b.choose(who, vars, odds, told)
	if b.doubt {
		key := "sire"
		if sex == pedigree.Female {
			key = "dam"
		}
		words := fmt.Sprintf("names as its %s %s", key, namesOf(b.book.Contributors(spawn, sex)))
		if len(spawn.Group) > 0 {
			key = "group"
		}
		item := b.itemOnce(Item{Kind: ParentTold, ID: spawn.ID, Side: sex, Words: words, At: spawn.Where.At(key)})
		what := who + " in doubt"
		v = b.choose(what, []int{v, b.founder(sex, 0)}, []float64{0.5, 0.5}, nil)
		b.net.add(item, []float64{0, never}, b.which[what])
	}
	b.ofSex(v, sex, structure)
	return v
}

// candidates lists who may have been the parent, with odds. The males of which a
// dam may still carry sperm stand beside those named, each fish as likely, unless
// the keeper has given odds.
func (b *builder) candidates(spawn *pedigree.Spawn, sex pedigree.Sex) []candidate {
	var list []candidate
	on := spawn.When()
	named := b.book.Contributors(spawn, sex)
	for _, c := range named {
		odds := c.Share
		if !spawn.SideOf(sex).Odds {
			odds = c.Fish
		}
		list = append(list, b.candidatesOf(c.Stock, sex, on, odds)...)
	}
	if sex == pedigree.Male && !spawn.Sire.Odds {
		for _, earlier := range b.stored[spawn.ID] {
			for _, c := range b.book.Contributors(earlier, sex) {
				list = append(list, b.candidatesOf(c.Stock, sex, earlier.When(), c.Fish)...)
			}
		}
	}
	return once(list)
}

// once leaves of a known fish that is listed twice the first.
func once(list []candidate) []candidate {
	known := make(map[string]bool)
	out := list[:0]
	for _, c := range list {
		if !known[c.id] {
			out = append(out, c)
		}
		known[c.id] = true
	}
	return out
}

// candidatesOf divides a record into fish: itself, or of a lot those that were
// picked out later, by name, and any one of the rest.
func (b *builder) candidatesOf(stock *pedigree.Stock, sex pedigree.Sex, on pedigree.Date, odds float64) []candidate {
	if !stock.Lot {
		return []candidate{{stock.ID, 1, odds, func(string) int { return b.fishVar(stock) }}}
	}
	h := b.book.LotHistory(stock.ID)
	if h == nil {
		return nil
	}
	at := h.Index(on)
	n := h.States[at].OfSex(sex)
	if n <= 0 {
		return nil
	}
	return b.outOf(stock, h, at, sex, odds/n)
}

// outOf lists the fish of a sex that a lot held in a state, each with such odds.
func (b *builder) outOf(lot *pedigree.Stock, h *pedigree.LotHistory, at int, sex pedigree.Sex, each float64) []candidate {
	var list []candidate
	rest := h.States[at].OfSex(sex)
	for _, e := range h.Events[at:] {
		for i := range e.Left {
			left := &e.Left[i]
			n := ofSex(left, sex)
			picked := b.book.StockByID(left.ID)
			if picked == nil || n <= 0 {
				continue
			}
			switch left.Kind {
			case pedigree.PickedFish:
				list = append(list, candidate{picked.ID, n, each * n, func(string) int { return b.fishVar(picked) }})
				rest -= n
			case pedigree.PickedLot:
				if sub := b.book.LotHistory(picked.ID); sub != nil && len(sub.States) > 0 {
					list = append(list, b.outOf(picked, sub, 0, sex, each)...)
					rest -= n
				}
			}
		}
	}
	const few = 1e-9
	switch {
	case rest < few:
	case math.Abs(rest-1) < few:
		list = append(list, candidate{lot.ID, 1, each, func(string) int { return b.onlyOf(lot, sex) }})
	default:
		list = append(list, candidate{lot.ID, rest, each * rest, func(who string) int { return b.member(who, lot, sex) }})
	}
	return list
}

// onlyOf is the one fish of its sex that a lot held beside those picked out.
func (b *builder) onlyOf(lot *pedigree.Stock, sex pedigree.Sex) int {
	key := onlyOne{lot.ID, sex}
	v, ok := b.only[key]
	if !ok {
		v = b.member("only", lot, sex)
		b.only[key] = v
	}
	return v
}

// namesOf names the records that a parent may be of: "A", "one of A or B".
func namesOf(list []pedigree.Contributor) string {
	if len(list) == 1 && !list[0].Stock.Lot {
		return list[0].Stock.ID
	}
	var names []string
	for _, c := range list {
		names = append(names, c.Stock.ID)
	}
	return "a fish of " + orText(names)
}
