package genetics_test

import (
	"roebook/pedigree"
)

// breed writes a spawn and most often some stock of it.
func (m *maker) breed(dated bool) {
	s := &pedigree.Spawn{ID: m.id(), Line: m.line.Name}
	if dated {
		s.Date = m.clock
	}
	if len(m.spawns) > 0 && m.chance(0.12) {
		if first := pickFrom(m.rng, m.spawns); dated || !first.Date.Known() {
			s.Repeat = first.ID
		}
	}
	if s.Repeat == "" {
		m.parents(s)
	}
	m.book.Spawns = append(m.book.Spawns, s)
	if dated && m.chance(0.04) {
		s.Planned, s.Date = s.Date.AddDays(30), 0
		return
	}
	m.spawns = append(m.spawns, s)
	for range 1 + m.rng.IntN(2) {
		m.fry(s, dated)
	}
}

// fry keeps a lot or a fish of the spawn, or of it and of earlier ones.
func (m *maker) fry(s *pedigree.Spawn, dated bool) {
	stock := &pedigree.Stock{FromSpawns: []pedigree.FromSpawn{{Spawn: s.ID, Share: 1}}}
	lot, total := m.chance(0.65), 0
	if m.chance(0.3) && dated {
		stock.FromSpawns[0].Share = float64(1 + m.rng.IntN(5))
		for range 1 + m.rng.IntN(2) {
			other := pickFrom(m.rng, m.spawns)
			taken := false
			for _, from := range stock.FromSpawns {
				taken = taken || from.Spawn == other.ID
			}
			if !taken {
				stock.FromSpawns = append(stock.FromSpawns, pedigree.FromSpawn{Spawn: other.ID, Share: float64(1 + m.rng.IntN(5))})
			}
		}
		for _, from := range stock.FromSpawns {
			total += int(from.Share)
		}
		if total > 2 && m.chance(0.15) { // some fry were lost before the lot was counted
			total -= 1 + m.rng.IntN(2)
		}
		if len(stock.FromSpawns) == 1 {
			stock.FromSpawns[0].Share, total = 1, 0
		} else if stock.FromSpawns[0].Spawn > stock.FromSpawns[1].Spawn {
			stock.FromSpawns[0], stock.FromSpawns[1] = stock.FromSpawns[1], stock.FromSpawns[0]
		}
	}
	m.add(stock, lot, total)
}

// parents chooses who bred.
func (m *maker) parents(s *pedigree.Spawn) {
	if m.chance(0.35) {
		lot := m.filled(true)
		if lot != nil && lot.male > 0 && lot.female > 0 {
			s.Group = []string{lot.stock.ID}
			if lot.settled {
				return
			}
			if m.chance(0.25) {
				m.addToGroup(s)
			}
		}
	}
	if s.Group == nil {
		s.Sire = m.side(pedigree.Male)
		s.Dam = m.side(pedigree.Female)
	}
	s.Sires = m.howMany(s.Sire, s.Group != nil)
	s.Dams = m.howMany(s.Dam, s.Group != nil)
}

func (m *maker) addToGroup(s *pedigree.Spawn) {
	if m.chance(0.3) && len(m.fish) > 0 {
		if fish := pickFrom(m.rng, m.fish); fish.Sex != pedigree.Unsexed {
			s.Group = append(s.Group, fish.ID)
			return
		}
	}
	if other := m.filled(false); other != nil && other.stock.ID != s.Group[0] {
		s.Group = append(s.Group, other.stock.ID)
	}
}

func (m *maker) howMany(side pedigree.Side, group bool) pedigree.Parents {
	known := group || len(side.Candidates) > 0
	switch x := m.rng.IntN(10); {
	case x < 2 && known:
		return pedigree.Parents{All: true}
	case x < 5 && !side.Odds:
		return pedigree.Parents{N: 1 + m.rng.IntN(4)}
	}
	return pedigree.Parents{}
}

// side names one record, several, several with their odds, or nobody.
func (m *maker) side(sex pedigree.Sex) pedigree.Side {
	var records []string
	for _, fish := range m.fish {
		if fish.Sex == sex || fish.Sex == pedigree.Unsexed && fish.Picked == "" && m.chance(0.2) {
			records = append(records, fish.ID)
		}
	}
	here := len(records)
	for _, lot := range m.lots {
		if sex == pedigree.Male && lot.male > 0 || sex == pedigree.Female && lot.female > 0 || here > 0 && lot.now.Total() > 0 && m.chance(0.1) {
			records = append(records, lot.stock.ID)
		}
	}
	var side pedigree.Side
	if len(records) == 0 || m.chance(0.12) {
		return side
	}
	m.rng.Shuffle(len(records), func(i, j int) { records[i], records[j] = records[j], records[i] })
	n := 1
	if m.chance(0.35) {
		n = min(len(records), 2+m.rng.IntN(2))
		side.Odds = n > 1 && m.chance(0.5)
	}
	for _, id := range records[:n] {
		c := pedigree.Candidate{ID: id, Odds: 1}
		if side.Odds {
			c.Odds = float64(1 + m.rng.IntN(4))
		}
		side.Candidates = append(side.Candidates, c)
	}
	return side
}
