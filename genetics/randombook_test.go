package genetics_test

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"roebook/pedigree"
)

// randomBook returns a small random book that keeps every rule of the records
// and that explicit fish can represent exactly, with its events in order. The
// same seed gives the same book.
func randomBook(seed uint64) (*pedigree.Book, *play) {
	rng := rand.New(rand.NewPCG(seed, 0xb00c))
	for {
		m := newMaker(rng)
		m.make(3 + rng.IntN(23))
		m.book.Arrange()
		p, err := newPlay(m.book)
		if err == nil && newFounderGenes(m.book).possible(m.book) {
			return m.book, p
		}
	}
}

// maker writes a random book, event after event. It keeps roughly what is
// where; what does not work out is found by newPlay, and thrown away.
type maker struct {
	rng    *rand.Rand
	book   *pedigree.Book
	line   *pedigree.Line
	clock  pedigree.Date
	lots   []*madeLot
	fish   []*pedigree.Stock // still here, as themselves
	spawns []*pedigree.Spawn
	last   int
}

// madeLot is a lot as the maker sees it.
type madeLot struct {
	stock        *pedigree.Stock
	now          pedigree.Count // as stated
	male, female int            // as they are
	settled      bool           // a fish of unknown sex has left it
}

func newMaker(rng *rand.Rand) *maker {
	line := &pedigree.Line{Name: "amber-spring", Species: "Xenotoca variata"}
	return &maker{rng: rng, line: line, clock: 20200105,
		book: &pedigree.Book{Name: "random", Lines: []*pedigree.Line{line}}}
}

func (m *maker) chance(p float64) bool { return m.rng.Float64() < p }

func pickFrom[T any](rng *rand.Rand, list []T) T { return list[rng.IntN(len(list))] }

// upTo returns a number from 0 to n.
func (m *maker) upTo(n int) int { return m.rng.IntN(max(n, 0) + 1) }

func (m *maker) id() string {
	m.last++
	return fmt.Sprintf("%c%02d", 'A'+m.rng.IntN(26), m.last)
}

// make fills the book with about that many records.
func (m *maker) make(records int) {
	for range 1 + m.rng.IntN(4) {
		m.founder()
	}
	m.relate()
	for m.chance(0.35) {
		m.pick(false)
	}
	for m.chance(0.35) {
		m.breed(false)
	}
	for tries := 0; len(m.book.Stock) < records && tries < 5*records; tries++ {
		m.tick()
		switch x := m.rng.IntN(100); {
		case x < 6:
			m.founder()
		case x < 38:
			m.breed(true)
		case x < 58:
			m.pick(true)
		case x < 64:
			m.pick(false)
		case x < 78:
			m.merge()
		case x < 90:
			m.census()
		case x < 95:
			m.sell()
		default:
			m.lose()
		}
	}
	if m.chance(0.5) { // breeding at the end of much history
		m.tick()
		m.breed(true)
	}
}

// tick lets some days pass, or none; now and then only the month is known.
func (m *maker) tick() {
	if m.chance(0.25) {
		return
	}
	next := m.clock.AddDays(1 + m.rng.IntN(60))
	if month := next / 100 * 100; m.chance(0.1) && month > m.clock {
		next = month
	}
	m.clock = next
}

// numbers returns a lot's stated count and its true males and females.
func (m *maker) numbers(total int) (pedigree.Count, int, int) {
	if total == 0 {
		total = 1 + m.rng.IntN(8)
	}
	male := m.upTo(total)
	if m.chance(0.7) && total > 1 {
		male = 1 + m.rng.IntN(total-1)
	}
	female := total - male
	switch x := m.rng.IntN(10); {
	case x < 5:
		return pedigree.Count{Males: male, Females: female}, male, female
	case x < 7 && total%2 == 0:
		return pedigree.Count{Unsexed: total}, total / 2, total / 2
	case x < 9:
		return pedigree.Count{Unsexed: total}, male, female
	default:
		half := m.upTo(min(male, female))
		return pedigree.Count{Males: male - half, Females: female - half, Unsexed: 2 * half}, male, female
	}
}

// add writes a record: a lot of total fish (0: any number), or one fish.
func (m *maker) add(s *pedigree.Stock, lot bool, total int) {
	s.ID, s.Line = m.id(), m.line.Name
	m.book.Stock = append(m.book.Stock, s)
	if !lot {
		s.Sex = pedigree.Sex(1 + m.rng.IntN(2))
		if m.chance(0.08) {
			s.Sex = pedigree.Unsexed
		}
		m.fish = append(m.fish, s)
		return
	}
	made := &madeLot{stock: s}
	s.Lot = true
	s.Count, made.male, made.female = m.numbers(total)
	made.now = s.Count
	m.lots = append(m.lots, made)
}

func (m *maker) founder() {
	lot := m.chance(0.6)
	s := &pedigree.Stock{}
	related := pickFrom(m.rng, []float64{0, 0, 0.125, 0.25, 0.4, 0.5})
	date := m.clock
	if m.chance(0.3) {
		date = 0
	}
	if m.chance(0.5) {
		s.Wild = &pedigree.Wild{Date: date}
		if lot {
			s.Wild.Related = related
		}
	} else {
		s.Bought = &pedigree.Bought{Date: date, Inbreeding: pickFrom(m.rng, []float64{0, 0, 0, 0.5, 1})}
		if lot && m.chance(0.6) {
			s.Bought.Related = related * (1 + s.Bought.Inbreeding)
			s.Bought.RelatedStated = true
		} else if lot { // as a reader of records fills it in
			s.Bought.Related = founderKinship(s)
		}
	}
	m.add(s, lot, 0)
}

// relate declares kinship between some of the first founders.
func (m *maker) relate() {
	if len(m.book.Stock) < 2 || !m.chance(0.35) {
		return
	}
	list := slices.Clone(m.book.Stock)
	m.rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	kinships := []float64{0.0625, 0.0625, 0.125, 0.125, 0.25}
	if m.line.RelatedFounders != nil {
		kinships = kinships[:2]
	}
	rel := pedigree.RelatedFounders{Kinship: pickFrom(m.rng, kinships), Why: "same seller"}
	for _, s := range list[:2+m.rng.IntN(len(list)-1)] {
		if !s.Lot || founderKinship(s) >= rel.Kinship {
			rel.Of = append(rel.Of, s.ID)
		}
	}
	both := 0 // a pair in two groups would be told two kinships
	for _, other := range m.line.RelatedFounders {
		for _, id := range rel.Of {
			if slices.Contains(other.Of, id) {
				both++
			}
		}
	}
	if len(rel.Of) > 1 && both < 2 {
		slices.Sort(rel.Of)
		m.line.RelatedFounders = append(m.line.RelatedFounders, rel)
	}
	if len(list) > 2 {
		m.relate()
	}
}

// filled returns a random lot that has fish, nil where there is none.
func (m *maker) filled(settledToo bool) *madeLot {
	var list []*madeLot
	for _, lot := range m.lots {
		if lot.now.Total() > 0 && (settledToo || !lot.settled) {
			list = append(list, lot)
		}
	}
	if list == nil {
		return nil
	}
	return pickFrom(m.rng, list)
}

// leave takes stated fish out of a lot.
func (lot *madeLot) leave(c pedigree.Count) {
	lot.male -= c.Males + c.Unsexed/2
	lot.female -= c.Females + c.Unsexed/2
	lot.now.Unsexed -= max(0, c.Males-lot.now.Males) + max(0, c.Females-lot.now.Females) + c.Unsexed
	lot.now.Males = max(0, lot.now.Males-c.Males)
	lot.now.Females = max(0, lot.now.Females-c.Females)
}

func (m *maker) pick(dated bool) {
	lot := m.filled(true)
	if lot == nil {
		return
	}
	if m.chance(0.3) { // one of which nothing is known
		for _, other := range m.lots {
			if other.now.Unsexed > 1 && other.now.Males+other.now.Females == 0 && other.male == other.female {
				lot = other
			}
		}
	}
	s := &pedigree.Stock{Picked: lot.stock.ID}
	if dated {
		s.Date = m.clock
	}
	unsexed := lot.now.Males+lot.now.Females == 0 && lot.male == lot.female
	if !lot.settled && m.chance(0.3) {
		m.sublot(s, lot, unsexed)
		return
	}
	if lot.settled || unsexed && m.chance(0.6) {
		m.add(s, false, 0)
		s.Sex = pedigree.Unsexed
		lot.settled = true
		lot.now.Unsexed--
		return
	}
	male := m.rng.IntN(max(1, lot.male+lot.female)) < lot.male
	m.add(s, false, 0)
	s.Sex = pedigree.Female
	count := pedigree.Count{Females: 1}
	if male {
		s.Sex, count = pedigree.Male, pedigree.Count{Males: 1}
	}
	lot.leave(count)
}

func (m *maker) sublot(s *pedigree.Stock, lot *madeLot, unsexed bool) {
	males, females := m.upTo(lot.male), m.upTo(lot.female)
	if males+females == 0 {
		return
	}
	m.add(s, true, males+females)
	made := m.lots[len(m.lots)-1]
	switch {
	case unsexed && m.chance(0.5) && min(lot.male, lot.female) > 0:
		males = 1 + m.rng.IntN(min(lot.male, lot.female))
		females = males
		s.Count = pedigree.Count{Unsexed: 2 * males}
	case lot.now.Unsexed >= males+females && m.chance(0.5): // to be told in a later census
		s.Count = pedigree.Count{Unsexed: males + females}
	default:
		s.Count = pedigree.Count{Males: males, Females: females}
	}
	made.now, made.male, made.female = s.Count, males, females
	lot.leave(pedigree.Count{Males: males, Females: females})
	if s.Count.Unsexed > 0 {
		lot.now.Unsexed = lot.male + lot.female - lot.now.Males - lot.now.Females
	}
}

// census counts a lot anew: some have died, and sexes may now be told.
func (m *maker) census() {
	lot := m.filled(false)
	if lot == nil {
		return
	}
	c := lot.now
	switch {
	case c.Unsexed == 0:
		c.Males = m.upTo(c.Males)
		c.Females = m.upTo(c.Females)
	case c.Males+c.Females == 0 && lot.male == lot.female && m.chance(0.5):
		c.Unsexed = 2 * m.upTo(c.Unsexed/2)
	case m.chance(0.2): // sexed fish have died, the unsexed stay so
		c.Males = m.upTo(c.Males)
		c.Females = m.upTo(c.Females)
	default:
		dead := m.upTo(min(lot.male, lot.female))
		c = pedigree.Count{Males: lot.male - dead, Females: lot.female - dead}
		if both := min(c.Males-lot.now.Males, c.Females-lot.now.Females); both > 0 && m.chance(0.3) {
			c = pedigree.Count{Males: c.Males - both, Females: c.Females - both, Unsexed: 2 * both}
		}
	}
	lot.stock.Changes = append(lot.stock.Changes, pedigree.Change{Date: m.clock, Count: c, Why: "counted"})
	lot.now = c
	lot.male, lot.female = c.Males+c.Unsexed/2, c.Females+c.Unsexed/2
}

func (m *maker) sell() {
	lot := m.filled(false)
	if lot == nil {
		return
	}
	sale := pedigree.Sale{Date: m.clock, To: "a keeper", Numbered: true, Count: lot.now}
	switch {
	case m.chance(0.2):
		sale.Numbered, sale.Count = false, pedigree.Count{}
		lot.now, lot.male, lot.female = pedigree.Count{}, 0, 0
	case lot.now.Males+lot.now.Females == 0:
		sale.Count = pedigree.Count{Unsexed: 2 * (lot.now.Unsexed / 2)}
	default:
		sale.Count = pedigree.Count{Males: m.upTo(lot.now.Males), Females: m.upTo(lot.now.Females)}
	}
	if sale.Numbered && sale.Count.Total() == 0 {
		return
	}
	lot.stock.Sold = append(lot.stock.Sold, sale)
	lot.leave(sale.Count)
	m.clock = m.clock.AddDays(1) // nothing else of the maker happens that day
}

// lose lets a fish or a lot die, or retires a fish.
func (m *maker) lose() {
	if m.chance(0.3) {
		if lot := m.filled(false); lot != nil {
			lot.stock.Died = m.clock
			lot.now, lot.male, lot.female = pedigree.Count{}, 0, 0
			m.clock = m.clock.AddDays(1)
		}
		return
	}
	if len(m.fish) == 0 {
		return
	}
	i := m.rng.IntN(len(m.fish))
	if fish := m.fish[i]; m.chance(0.5) {
		fish.Died = m.clock
	} else {
		fish.Retired = m.clock
	}
	m.fish = slices.Delete(m.fish, i, i+1)
	m.clock = m.clock.AddDays(1)
}
