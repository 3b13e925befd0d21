package pedigree

// Begins returns the date on which the record begins: as stated, else that of
// catching, buying or spawning; the zero Date where none of these is known.
func (b *Book) Begins(s *Stock) Date {
	switch {
	case s.Date.Known():
		return s.Date
	case s.Wild != nil:
		return s.Wild.Date
	case s.Bought != nil:
		return s.Bought.Date
	case len(s.FromSpawns) > 0:
		if s.Born.Known() {
			return s.Born
		}
		return b.lastSpawn(s)
	}
	return 0
}

// Beginning returns the record that a fish or sublot was first part of: the lot
// at the end of its chain of picks, or itself.
func (b *Book) Beginning(s *Stock) *Stock {
	for range b.Stock {
		lot := b.StockByID(s.Picked)
		if lot == nil {
			break
		}
		s = lot
	}
	return s
}

// lastSpawn is the date by which all spawns of a mixed record had been laid.
func (b *Book) lastSpawn(s *Stock) Date {
	var last Date
	for _, from := range s.FromSpawns {
		if spawn := b.SpawnByID(from.Spawn); spawn != nil {
			last = max(last, spawn.Date)
		}
	}
	return last
}

// BornOn returns the day the fish were born or laid, as far as the book knows:
// as stated, else the (earliest) spawn's date, else that of the lot they were
// picked from or of the oldest fish merged into them; 0 where it is not known.
func (b *Book) BornOn(s *Stock) Date {
	if n := b.StockNumber(s.ID); n >= 0 {
		return b.born[n]
	}
	return 0
}

// birthDates follows every record back to a known birth. O(n).
func (b *Book) birthDates() []Date {
	born, done := make([]Date, len(b.Stock)), make([]bool, len(b.Stock))
	var follow func(n int) Date
	follow = func(n int) Date {
		switch {
		case n < 0:
			return 0
		case done[n]:
			return born[n]
		}
		done[n] = true // a loop of picks or merges ends here; the rules report it
		s := b.Stock[n]
		date := s.Born
		switch {
		case date.Known():
		case s.Picked != "":
			date = follow(b.StockNumber(s.Picked))
		case len(s.FromSpawns) > 0:
			date = earliest(len(s.FromSpawns), func(i int) Date {
				if spawn := b.SpawnByID(s.FromSpawns[i].Spawn); spawn != nil {
					return spawn.Date
				}
				return 0
			})
		case len(s.Merged) > 0:
			date = earliest(len(s.Merged), func(i int) Date { return follow(b.StockNumber(s.Merged[i].ID)) })
		}
		born[n] = date
		return date
	}
	for n := range b.Stock {
		follow(n)
	}
	return born
}

// earliest returns the first of n dates, 0 if one of them is not known.
func earliest(n int, at func(int) Date) Date {
	first := at(0)
	for i := 1; i < n; i++ {
		first = min(first, at(i))
	}
	return first
}

// Heads returns how many fish of the record are alive in the keeper's book on
// the date: 0 or 1 for a fish, the census for a lot. Fish lent out or retired
// count, sold and merged ones do not. On an unknown date: as the record began.
func (b *Book) Heads(s *Stock, on Date) Numbers {
	if begins := b.Begins(s); on.Known() && begins > on {
		return Numbers{}
	}
	if h := b.LotHistory(s.ID); s.Lot && h != nil {
		return h.At(on).Stated
	}
	if s.Lot || s.Gone || on.Known() && b.GoneBy(s, on) {
		return Numbers{}
	}
	return pickLeaver(s).Stated
}

// GoneBy reports whether a fish is dead, sold or merged into a lot by the date:
// what died or was sold counts from the next day, what was merged from the same.
func (b *Book) GoneBy(s *Stock, on Date) bool {
	if s.Gone || s.Died.Known() && s.Died < on {
		return true
	}
	for _, sale := range s.Sold {
		if sale.Date < on {
			return true
		}
	}
	if merged := b.MergedInto(s.ID); merged != nil && merged.Date <= on {
		return true
	}
	return false
}

// MergedInto returns the (first) lot that a fish was merged into, nil where it
// was not.
func (b *Book) MergedInto(id string) *Stock {
	var into *Stock
	for _, s := range b.merged[id] {
		if into == nil || s.Date < into.Date {
			into = s
		}
	}
	return into
}

// RetiredBy reports whether the record is no longer bred on the date.
func (s *Stock) RetiredBy(on Date) bool {
	return s.Retired.Known() && (s.Retired < on || !on.Known())
}

// SetAside says why a living record is not bred on the date: "retired" or "lent
// out"; "" where it may be.
func (s *Stock) SetAside(on Date) (why string) {
	switch {
	case s.RetiredBy(on):
		return "retired"
	case s.LentOut(on):
		return "lent out"
	}
	return ""
}

// LentOut reports whether the record is away on loan on the date.
func (s *Stock) LentOut(on Date) bool {
	for _, loan := range s.Lent {
		if loan.Date < on && (loan.Back == 0 || on < loan.Back) {
			return true
		}
	}
	return false
}

// Mature reports whether a fish of the record is old enough to breed as that
// sex on the date. A fish of unknown age, or of a line whose age at maturity is
// not known, counts as mature.
func (b *Book) Mature(s *Stock, sex Sex, on Date) bool {
	return !on.Known() || b.MatureFrom(s, sex) <= on.earliest()
}

// MatureFrom returns the first day on which a fish of the record may be mature
// as that sex, 0 where its age or the age at maturity is not known.
func (b *Book) MatureFrom(s *Stock, sex Sex) Date {
	line := b.line[s.Line]
	if line == nil || line.MatureMonths.of(sex) <= 0 {
		return 0
	}
	return addMonthsPart(b.BornOn(s), line.MatureMonths.of(sex))
}

func (m MatureMonths) of(sex Sex) float64 {
	if sex == Female {
		return m.Female
	}
	return m.Male
}

// addMonthsPart adds months of which there may be a part, at 30.44 days each.
func addMonthsPart(d Date, months float64) Date {
	whole := int(months)
	return d.AddMonths(whole).AddDays(int((months - float64(whole)) * 30.44))
}
