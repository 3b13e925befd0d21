package chart

import "roebook/pedigree"

// recurrence is whether an ancestor, or the young of a spawn, comes up more than
// once, and whether that reaches the subject through both parents: only then
// does inbreeding come from it.
type recurrence int8

const (
	once recurrence = iota
	oneParent
	bothParents
)

func (r recurrence) colour() string {
	if r == bothParents {
		return accent
	}
	return line
}

// recur counts the ways from each card to the subject, and marks where lines of
// descent part.
func (a *ancestry) recur() {
	a.countWays()
	cards, unions := a.onBothSides()
	for i := range a.cards {
		c := &a.cards[i]
		if i == 0 || c.stock == nil {
			continue
		}
		for _, fate := range a.fates(i) {
			c.again = max(c.again, a.mark(fate, cards[i]))
		}
	}
	for u := range a.unions {
		a.unions[u].again = a.mark(a.unions[u].out, unions[u])
	}
}

// mark marks lines that leave one place, if there are several.
func (a *ancestry) mark(links []int, both bool) recurrence {
	if len(links) < 2 {
		return once
	}
	r := oneParent
	if both {
		r = bothParents
	}
	for _, k := range links {
		a.links[k].again = r
	}
	return r
}

// fates are the sets of lines by which genes of one and the same fish, or of fish
// that are kin, may have come down from a card. Of a lot of strangers only the
// very same fish counts: a male and a female of it, or one that was picked out
// and one that stayed, are as far apart as any two.
func (a *ancestry) fates(i int) [][]int {
	c := a.cards[i]
	if len(c.out) < 2 || c.stock == nil || !a.strangers(c.stock) {
		return [][]int{c.out}
	}
	var fates [][]int
	for _, sex := range sexes {
		var stays, parent, picks []int
		for _, k := range c.out {
			switch l := a.links[k]; {
			case l.toUnion && l.sex == sex:
				parent = append(parent, k)
			case l.toUnion:
			case a.mergedFrom(l.to, c.stock.ID):
				stays = append(stays, k)
			default:
				picks = append(picks, k)
			}
		}
		fates = append(fates, append(stays, parent...))
		for _, k := range picks {
			picked := a.cards[a.links[k].to].stock
			if picked.Sex != pedigree.Unsexed && picked.Sex != sex {
				continue
			}
			fate := []int{k}
			for _, p := range parent {
				if on := a.unions[a.links[p].to].first.When(); !picked.Date.Known() || on < picked.Date {
					fate = append(fate, p)
				}
			}
			fates = append(fates, fate)
		}
	}
	return fates
}

func (a *ancestry) mergedFrom(card int, id string) bool {
	for _, part := range a.cards[card].stock.Merged {
		if part.ID == id {
			return true
		}
	}
	return false
}

// strangers reports whether any two fish of a lot share nothing, as far as the
// book knows: it came from outside, and not as kin.
func (a *ancestry) strangers(s *pedigree.Stock) bool {
	from := a.book.Beginning(s)
	switch {
	case !s.Lot:
		return false
	case from.Wild != nil:
		return from.Wild.Related == 0
	case from.Bought != nil:
		return from.Bought.Kinship() == 0
	}
	for _, part := range from.Merged {
		stock := a.book.StockByID(part.ID)
		if stock == nil {
			return false
		}
		outside := a.book.Beginning(stock)
		isStrange := a.strangers(stock) || !stock.Lot && (outside.Wild != nil || outside.Bought != nil)
		if !isStrange || a.declaredKin(outside.ID) {
			return false
		}
	}
	return len(from.Merged) > 0
}

// declaredKin reports whether a founder record is kin of another by the keeper's
// word.
func (a *ancestry) declaredKin(id string) bool {
	for _, l := range a.book.Lines {
		for _, related := range l.RelatedFounders {
			for _, of := range related.Of {
				if of == id {
					return true
				}
			}
		}
	}
	return false
}

// onBothSides finds the cards and unions that reach the subject through the sire
// and through the dam of one and the same spawn.
func (a *ancestry) onBothSides() (cards, unions []bool) {
	cards, unions = make([]bool, len(a.cards)), make([]bool, len(a.unions))
	for u := range a.spawnsOf(0, map[int]bool{}) {
		var sides [2]behind
		for i, sex := range sexes {
			sides[i] = behind{map[int]bool{}, map[int]bool{}}
			for _, k := range a.unions[u].in {
				if a.links[k].sex == sex {
					a.walkBack(a.links[k].from, sides[i])
				}
			}
		}
		for i := range sides[0].cards {
			cards[i] = cards[i] || sides[1].cards[i]
		}
		for i := range sides[0].unions {
			unions[i] = unions[i] || sides[1].unions[i]
		}
	}
	return cards, unions
}

// spawnsOf collects the spawns that a card is of, through picks and mergers.
func (a *ancestry) spawnsOf(card int, found map[int]bool) map[int]bool {
	for _, k := range a.cards[card].in {
		if l := a.links[k]; l.fromUnion {
			found[l.from] = true
		} else {
			a.spawnsOf(l.from, found)
		}
	}
	return found
}

// behind is a card with all that it descends from.
type behind struct{ cards, unions map[int]bool }

func (a *ancestry) walkBack(card int, b behind) {
	if b.cards[card] {
		return
	}
	b.cards[card] = true
	for _, k := range a.cards[card].in {
		l := a.links[k]
		if !l.fromUnion {
			a.walkBack(l.from, b)
			continue
		}
		if !b.unions[l.from] {
			b.unions[l.from] = true
			for _, into := range a.unions[l.from].in {
				a.walkBack(a.links[into].from, b)
			}
		}
	}
}

// manyWays is where counting ways from an ancestor ends.
const manyWays = 1 << 20

// countWays counts for each card the ways that lead from it to the subject.
func (a *ancestry) countWays() {
	cards, unions := make([]int, len(a.cards)), make([]int, len(a.unions))
	var ofCard func(i int) int
	onward := func(out []int) int {
		n := 0
		for _, k := range out {
			l := a.links[k]
			if !l.toUnion {
				n += ofCard(l.to)
				continue
			}
			if unions[l.to] == 0 {
				for _, o := range a.unions[l.to].out {
					unions[l.to] += ofCard(a.links[o].to)
				}
			}
			n += unions[l.to]
		}
		return min(n, manyWays)
	}
	ofCard = func(i int) int {
		if cards[i] == 0 {
			cards[i] = 1
			if i > 0 {
				for _, fate := range a.fates(i) {
					cards[i] = max(cards[i], onward(fate))
				}
			}
		}
		return cards[i]
	}
	for i := range a.cards {
		a.cards[i].ways = ofCard(i)
	}
}
