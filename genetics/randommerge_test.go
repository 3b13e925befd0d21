package genetics_test

import (
	"slices"

	"roebook/pedigree"
)

// merge puts fish of several records together.
func (m *maker) merge() {
	s := &pedigree.Stock{Date: m.clock}
	var count pedigree.Count
	male, female := 0, 0
	used := map[string]bool{}
	part := func(lot *madeLot) {
		if lot == nil || used[lot.stock.ID] || lot.settled || lot.now.Total() == 0 {
			return
		}
		used[lot.stock.ID] = true
		c := lot.now
		p := pedigree.Part{ID: lot.stock.ID, Count: c}
		switch {
		case m.chance(0.4):
			p.Count, p.Whole = pedigree.Count{Unsexed: c.Total()}, true
		case c.Males+c.Females == 0 && c.Unsexed > 1:
			c = pedigree.Count{Unsexed: 2 * (1 + m.rng.IntN(c.Unsexed/2))}
			p.Count, p.Whole = c, true
		default:
			c = pedigree.Count{Males: m.upTo(lot.male), Females: m.upTo(lot.female)}
			p.Count = c
		}
		if c.Total() == 0 {
			return
		}
		lot.leave(c)
		s.Merged = append(s.Merged, p)
		count.Males, count.Females, count.Unsexed = count.Males+c.Males, count.Females+c.Females, count.Unsexed+c.Unsexed
		male, female = male+c.Males+c.Unsexed/2, female+c.Females+c.Unsexed/2
	}
	for range 1 + m.rng.IntN(2) {
		part(m.filled(false))
	}
	for range m.rng.IntN(3) {
		m.mergeFish(s, &count, part)
	}
	if len(s.Merged) < 2 && !m.chance(0.1) || len(s.Merged) == 0 {
		return
	}
	slices.SortFunc(s.Merged, func(a, b pedigree.Part) int {
		if a.ID < b.ID {
			return -1
		}
		return 1
	})
	m.add(s, true, 1)
	made := m.lots[len(m.lots)-1]
	s.Count, made.now = count, count
	made.male, made.female = count.Males+count.Unsexed/2, count.Females+count.Unsexed/2
}

// mergeFish puts one fish into the lot that is being merged, often together
// with the lot that it was picked from.
func (m *maker) mergeFish(s *pedigree.Stock, count *pedigree.Count, part func(*madeLot)) {
	if len(m.fish) == 0 {
		return
	}
	i := m.rng.IntN(len(m.fish))
	fish := m.fish[i]
	if fish.Sex == pedigree.Unsexed {
		return
	}
	m.fish = slices.Delete(m.fish, i, i+1)
	s.Merged = append(s.Merged, pedigree.Part{ID: fish.ID, Count: pedigree.Count{Unsexed: 1}, Whole: true})
	if fish.Sex == pedigree.Male {
		count.Males++
	} else {
		count.Females++
	}
	for _, lot := range m.lots {
		if lot.stock.ID == fish.Picked && m.chance(0.6) {
			part(lot)
		}
	}
}
