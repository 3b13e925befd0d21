package pedigree

// Contributor is a record that may have been a parent of a spawn. Fish is how
// many fish of the needed sex it had on that date, Share the chance that a
// given one of the parents is of this record; shares of a side sum to 1.
type Contributor struct {
	Stock  *Stock
	Number int // of the record: see [Book.StockNumber]
	Fish   float64
	Share  float64
}

// FirstOf returns the spawn whose parents s had: s itself, or at the end of its
// chain of repeats. nil where the chain is broken or a loop.
func (b *Book) FirstOf(s *Spawn) *Spawn {
	for range len(b.Spawns) + 1 {
		if s == nil || s.Repeat == "" {
			return s
		}
		s = b.SpawnByID(s.Repeat)
	}
	return nil
}

// Contributors returns the records that may have been the sire (Male) or the
// dam (Female) of the spawn, on its own date (a planned one on the planned day);
// for a repeat those of the first spawn. A lot stands for its members of that sex on that date; without odds
// every fish is equally likely. It is empty where the parent is unknown.
func (b *Book) Contributors(s *Spawn, sex Sex) []Contributor {
	s = b.FirstOf(s)
	if s == nil {
		return nil
	}
	on := s.When()
	var out []Contributor
	total := 0.0
	add := func(id string, odds float64) {
		n := b.StockNumber(id)
		if n < 0 {
			return
		}
		stock := b.Stock[n]
		c := Contributor{Stock: stock, Number: n, Fish: 1}
		switch {
		case stock.Lot:
			c.Fish = b.lots[n].At(on).OfSex(sex)
		case len(s.Group) > 0 && stock.Sex == Unsexed:
			c.Fish = b.halfOf(stock, sex)
		case len(s.Group) > 0 && stock.Sex != sex:
			c.Fish = 0
		}
		if c.Fish <= 0 {
			return
		}
		c.Share = c.Fish
		if odds > 0 {
			c.Share = odds
		}
		total += c.Share
		out = append(out, c)
	}
	side := s.SideOf(sex)
	out = make([]Contributor, 0, len(s.Group)+len(side.Candidates))
	for _, id := range s.Group {
		add(id, 0)
	}
	for _, c := range side.Candidates {
		odds := 0.0
		if side.Odds {
			odds = c.Odds
		}
		add(c.ID, odds)
	}
	for i := range out {
		out[i].Share /= total
	}
	return out
}

// When returns the spawn's date, or the day it is planned for.
func (s *Spawn) When() Date {
	if s.IsPlanned() {
		return s.Planned
	}
	return s.Date
}

// SideOf returns the sire side (Male) or the dam side (Female) as written.
func (s *Spawn) SideOf(sex Sex) *Side {
	if sex == Male {
		return &s.Sire
	}
	return &s.Dam
}

// ParentsOf returns `sires` (Male) or `dams` (Female) as written.
func (s *Spawn) ParentsOf(sex Sex) Parents {
	if sex == Male {
		return s.Sires
	}
	return s.Dams
}

// InGroup reports whether the record is named in the group of a spawn.
func (b *Book) InGroup(id string) bool { return b.grouped[id] }

// halfOf returns how much of that sex a fish never sexed is, where both sexes
// stand together: as much as the lot was that it was picked out of, else half.
func (b *Book) halfOf(s *Stock, sex Sex) float64 {
	left := b.leaver(s.Picked, s.ID)
	switch {
	case left == nil:
		return 0.5
	case sex == Male:
		return left.Males
	}
	return left.Females
}
