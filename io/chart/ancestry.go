package chart

import (
	"roebook/genetics"
	"roebook/pedigree"
)

// ancestry is what an ancestor chart shows: cards for fish and lots, unions for
// the spawns that joined their parents, and what leads from one to the other.
type ancestry struct {
	state *genetics.State
	book  *pedigree.Book
	most  int // generations back

	cards   []card
	unions  []union
	links   []link
	byID    map[string]int // of a stock record
	bySpawn map[string]int

	needed map[string]bool // lots that are shown as such, not only as what a fish was picked from
	depth  map[string]int  // spawns back to the subject, the fewest
	hidden int             // records that lie further back than is shown
}

// card is a record, or a parent that nobody knows.
type card struct {
	stock   *pedigree.Stock
	spawn   *pedigree.Spawn // the young of a spawn, as the subject
	symbol  symbol
	lines   []string
	cut     int // earlier records behind it that are not shown
	ways    int // ways from it to the subject
	again   recurrence
	out, in []int // links
}

// union is a spawn, of whatever repeats it.
type union struct {
	first   *pedigree.Spawn
	kin     bool // the parents are related
	again   recurrence
	out, in []int
}

// link leads from a card to a union or card, or from a union to a card.
type link struct {
	from, to           int // cards, or unions where so said
	fromUnion, toUnion bool
	sex                pedigree.Sex // of a parent
	share              float64      // odds, 1 where it is certain
	label              string
	kin                bool
	again              recurrence
}

// source is where fish of a record came from.
type source struct {
	spawn *pedigree.Spawn
	stock *pedigree.Stock
	label string
	share float64
}

// sources returns where a record came from; picks out of lots that are not shown
// by themselves are followed.
func (a *ancestry) sources(s *pedigree.Stock) []source {
	for range a.book.Stock {
		lot := a.book.StockByID(s.Picked)
		if lot == nil {
			break
		}
		if a.needed[lot.ID] {
			return []source{{stock: lot, share: 1}}
		}
		s = lot
	}
	var list []source
	total := 0.0
	for _, from := range s.FromSpawns {
		total += from.Share
	}
	for _, from := range s.FromSpawns {
		spawn := a.book.FirstOf(a.book.SpawnByID(from.Spawn))
		if spawn == nil {
			continue
		}
		one := source{spawn: spawn, share: 1}
		if len(s.FromSpawns) > 1 {
			one.share = from.Share / total
			one.label = percent(one.share)
			if s.Lot {
				one.label = trimmed(from.Share) + " of " + trimmed(total)
			}
		}
		list = append(list, one)
	}
	for _, part := range s.Merged {
		stock := a.book.StockByID(part.ID)
		if stock == nil {
			continue
		}
		one := source{stock: stock, share: 1}
		if males, females := a.book.Moved(part.ID, s.ID); stock.Lot {
			one.label = trimmed(males+females) + " of it"
		}
		list = append(list, one)
	}
	return list
}

// newAncestry gathers the ancestors of a record up to so many generations back.
func newAncestry(state *genetics.State, id string, most int) *ancestry {
	a := &ancestry{state: state, book: state.Model().Book(), most: most, byID: map[string]int{}, bySpawn: map[string]int{},
		needed: map[string]bool{}, depth: map[string]int{}}
	subject, spawn := a.book.StockByID(id), a.book.SpawnByID(id)
	a.survey(subject, spawn)
	if subject != nil {
		a.addCard(subject)
	} else {
		a.cards = append(a.cards, a.litterCard(spawn))
		a.fromSpawn(0, source{spawn: a.book.FirstOf(spawn), share: 1})
	}
	for i := 0; i < len(a.cards); i++ { // more are added on the way
		if s := a.cards[i].stock; s != nil {
			a.expand(i, s)
		}
	}
	a.countHidden()
	a.recur()
	for i := range a.cards {
		a.describe(i)
	}
	return a
}

// survey finds how many spawns each record lies back, the fewest, and the lots
// that stand in the chart by themselves: as the subject, as parents, or as what
// was merged.
func (a *ancestry) survey(subject *pedigree.Stock, spawn *pedigree.Spawn) {
	var level, next []*pedigree.Stock
	add := func(list *[]*pedigree.Stock, s *pedigree.Stock, depth int, need bool) {
		if s == nil {
			return
		}
		a.needed[s.ID] = a.needed[s.ID] || need
		if _, seen := a.depth[s.ID]; !seen {
			a.depth[s.ID] = depth
			*list = append(*list, s)
		}
	}
	parents := func(s *pedigree.Spawn, depth int) {
		for _, c := range a.parents(s) {
			add(&next, c, depth+1, true)
		}
	}
	if subject != nil {
		add(&level, subject, 0, true)
	} else {
		parents(spawn, 0)
	}
	for depth := 0; len(level)+len(next) > 0; depth++ {
		for i := 0; i < len(level); i++ {
			s := level[i]
			add(&level, a.book.StockByID(s.Picked), depth, false)
			for _, part := range s.Merged {
				a.needed[s.ID] = true
				add(&level, a.book.StockByID(part.ID), depth, true)
			}
			for _, from := range s.FromSpawns {
				if spawn := a.book.SpawnByID(from.Spawn); spawn != nil && depth < a.most {
					parents(spawn, depth)
				}
			}
		}
		level, next = next, nil
	}
}

// parents are all records that may have been parents of a spawn.
func (a *ancestry) parents(s *pedigree.Spawn) []*pedigree.Stock {
	var list []*pedigree.Stock
	for _, sex := range sexes {
		for _, c := range a.book.Contributors(s, sex) {
			list = append(list, c.Stock)
		}
	}
	return list
}

var sexes = [2]pedigree.Sex{pedigree.Male, pedigree.Female}

// addCard returns the card of a record, made where there is none yet.
func (a *ancestry) addCard(s *pedigree.Stock) int {
	if i, ok := a.byID[s.ID]; ok {
		return i
	}
	a.byID[s.ID] = len(a.cards)
	a.cards = append(a.cards, card{stock: s})
	return len(a.cards) - 1
}

// expand adds what a card came from, where that is within the depth asked for.
func (a *ancestry) expand(i int, s *pedigree.Stock) {
	depth := a.depth[s.ID]
	for _, from := range a.sources(s) {
		switch {
		case from.stock != nil:
			a.connect(link{from: a.addCard(from.stock), to: i, share: from.share, label: from.label})
		case depth < a.most:
			a.fromSpawn(i, from)
		}
	}
}

// fromSpawn links a card to the spawn that it is of.
func (a *ancestry) fromSpawn(i int, from source) {
	u, ok := a.bySpawn[from.spawn.ID]
	if !ok {
		u = a.addUnion(from.spawn)
	}
	a.connect(link{from: u, fromUnion: true, to: i, share: from.share, label: from.label})
}

func (a *ancestry) addUnion(s *pedigree.Spawn) int {
	u := len(a.unions)
	a.bySpawn[s.ID] = u
	f, ok := a.state.Expected(s)
	kin := ok && f > 1e-12
	a.unions = append(a.unions, union{first: s, kin: kin})
	for _, sex := range sexes {
		contributors := a.book.Contributors(s, sex)
		if len(contributors) == 0 {
			a.cards = append(a.cards, card{symbol: symbol{sex: sex, origin: unknown}, lines: []string{"unknown " + side(sex)}})
			a.connect(link{from: len(a.cards) - 1, to: u, toUnion: true, sex: sex, share: 1})
		}
		fish := 0.0
		for _, c := range contributors {
			fish += c.Fish
		}
		for _, c := range contributors {
			a.connect(link{from: a.addCard(c.Stock), to: u, toUnion: true, sex: sex, share: c.Share, kin: kin,
				label: parentLabel(s, sex, c, fish, len(contributors))})
		}
	}
	return u
}

func side(sex pedigree.Sex) string {
	if sex == pedigree.Female {
		return "dam"
	}
	return "sire"
}

// parentLabel says how sure a parent is: "sire: 1 of 3", "sire: 75 %"; nothing
// for one known fish.
func parentLabel(s *pedigree.Spawn, sex pedigree.Sex, c pedigree.Contributor, fish float64, candidates int) string {
	parents := s.ParentsOf(sex)
	n := min(parents.Number(fish), fish)
	switch {
	case candidates > 1:
		return side(sex) + ": " + percent(c.Share)
	case !c.Stock.Lot && c.Fish == 1:
		return ""
	case fish == 1:
		return side(sex)
	case n >= fish:
		return side(sex) + ": all " + trimmed(fish)
	}
	return side(sex) + ": " + trimmed(n) + " of " + trimmed(c.Fish)
}

func (a *ancestry) connect(l link) {
	n := len(a.links)
	a.links = append(a.links, l)
	if l.fromUnion {
		a.unions[l.from].out = append(a.unions[l.from].out, n)
	} else {
		a.cards[l.from].out = append(a.cards[l.from].out, n)
	}
	if l.toUnion {
		a.unions[l.to].in = append(a.unions[l.to].in, n)
	} else {
		a.cards[l.to].in = append(a.cards[l.to].in, n)
	}
}

// countHidden counts the earlier records behind each card that was cut, and all
// of them together.
func (a *ancestry) countHidden() {
	all := map[string]bool{}
	for i := range a.cards {
		c := &a.cards[i]
		if c.stock == nil || len(c.in) > 0 {
			continue
		}
		for id := range a.behind(c.stock) {
			if _, shown := a.byID[id]; !shown {
				c.cut++
				all[id] = true
			}
		}
	}
	a.hidden = len(all)
}

// behind are the records that one descends from, without lots that a fish was
// only picked out of.
func (a *ancestry) behind(s *pedigree.Stock) map[string]bool {
	found := map[string]bool{}
	stack := []*pedigree.Stock{s}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		push := func(next *pedigree.Stock) {
			if !found[next.ID] {
				found[next.ID] = true
				stack = append(stack, next)
			}
		}
		for _, from := range a.sources(s) {
			if from.stock != nil {
				push(from.stock)
				continue
			}
			for _, parent := range a.parents(from.spawn) {
				push(parent)
			}
		}
	}
	return found
}
