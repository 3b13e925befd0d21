package genetics_test

import (
	"math/rand/v2"
	"slices"
	"strings"

	"roebook/pedigree"
)

// looseBook returns a random book that keeps the record rules and nothing else:
// fish never sexed stand in groups and are put into merged lots, lots are
// sexed in part, and half fish of a sex are left over. The same seed gives the
// same book.
func looseBook(seed uint64) *pedigree.Book {
	rng := rand.New(rand.NewPCG(seed, 0x1005e))
	for {
		m := newMaker(rng)
		m.make(3 + rng.IntN(14))
		m.book.Arrange()
		m.loosen()
		m.book.Arrange()
		if sound(m.book) {
			return m.book
		}
	}
}

func sound(book *pedigree.Book) bool {
	for _, s := range book.Stock {
		for _, change := range s.Changes {
			if min(change.Count.Males, change.Count.Females, change.Count.Unsexed) < 0 {
				return false // no reader of records lets it through
			}
		}
	}
	for _, p := range pedigree.Check(book, 29990101) {
		if p.Severity == pedigree.Error {
			return false
		}
	}
	return true
}

// loosen forgets sexes, and lets more fish into groups and merged lots.
func (m *maker) loosen() {
	for _, s := range m.book.Stock {
		if !s.Lot && m.chance(0.4) {
			s.Sex = pedigree.Unsexed
		}
		m.forget(&s.Count)
		for i := range s.Changes {
			m.forget(&s.Changes[i].Count)
		}
		for i := range s.Sold {
			m.forget(&s.Sold[i].Count)
		}
		if s.Merged != nil && m.chance(0.5) {
			m.loosenMerged(s)
		}
	}
	for _, s := range m.book.Spawns {
		if s.Group != nil {
			m.loosenGroup(s)
		}
	}
}

// loosenGroup lets other records into a group, most often single fish.
func (m *maker) loosenGroup(s *pedigree.Spawn) {
	for range 4 {
		o := pickFrom(m.rng, m.book.Stock)
		begun := !m.book.Begins(o).Known() || m.book.Begins(o) <= s.When()
		if begun && (!o.Lot || m.chance(0.3)) && !slices.Contains(s.Group, o.ID) {
			s.Group = append(s.Group, o.ID)
		}
	}
}

// forget makes some fish of a count unsexed.
func (m *maker) forget(c *pedigree.Count) {
	if !m.chance(0.5) {
		return
	}
	males, females := m.upTo(c.Males), m.upTo(c.Females)
	c.Males, c.Females, c.Unsexed = c.Males-males, c.Females-females, c.Unsexed+males+females
}

func (m *maker) loosenMerged(s *pedigree.Stock) {
	o := pickFrom(m.rng, m.book.Stock)
	for _, part := range s.Merged {
		if part.ID == o.ID || o.ID == s.ID {
			return
		}
	}
	s.Merged = append(s.Merged, pedigree.Part{ID: o.ID, Count: pedigree.Count{Unsexed: 1}, Whole: true})
	s.Count.Unsexed++
	slices.SortFunc(s.Merged, func(a, b pedigree.Part) int { return strings.Compare(a.ID, b.ID) })
}
