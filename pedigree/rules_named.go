package pedigree

import "fmt"

// namedParent is a record that a spawn names as a possible parent. Repeats name
// none, and records that do not exist are left out.
type namedParent struct {
	spawn *Spawn
	stock *Stock
	sex   Sex // Male as a sire, Female as a dam, Unsexed in a group
	index int // in its list
}

// appendNamed adds the parents that the spawn names.
func appendNamed(list []namedParent, b *Book, s *Spawn) []namedParent {
	if s.Repeat != "" {
		return list
	}
	for i, id := range s.Group {
		if stock := b.StockByID(id); stock != nil {
			list = append(list, namedParent{s, stock, Unsexed, i})
		}
	}
	for _, sex := range [...]Sex{Male, Female} {
		for i, candidate := range s.SideOf(sex).Candidates {
			if stock := b.StockByID(candidate.ID); stock != nil {
				list = append(list, namedParent{s, stock, sex, i})
			}
		}
	}
	return list
}

// path is where the spawn names the parent.
func (p namedParent) path() string {
	if p.sex == Unsexed {
		return fmt.Sprintf("group[%d]", p.index)
	}
	side := p.spawn.SideOf(p.sex)
	if side.Odds {
		return sideWord(p.sex) + "." + p.stock.ID
	}
	return fmt.Sprintf("%s[%d]", sideWord(p.sex), p.index)
}

func (p namedParent) at() Position { return p.spawn.Where.At(p.path()) }

// role says what the spawn takes the record for: "sire AS-M1", "AS-F1".
func (p namedParent) role() string {
	if p.sex == Unsexed {
		return p.stock.ID
	}
	return sideWord(p.sex) + " " + p.stock.ID
}

// pickedFrom follows a record back through the lots it was picked from, to the
// first at which to stop, or to the one that was not picked.
func (c *checker) pickedFrom(s *Stock, stop func(*Stock) bool) *Stock {
	for range len(c.book.Stock) { // no further round a loop
		lot := c.book.StockByID(s.Picked)
		if lot == nil || stop(s) {
			break
		}
		s = lot
	}
	return s
}

// dated calls visit for every parent named by a spawn that took place on a
// known date; whether a parent was there can be asked only of these.
func (c *checker) dated(visit func(p namedParent)) {
	for _, p := range c.named {
		if p.spawn.Date.Known() {
			visit(p)
		}
	}
}

// bred calls visit for every spawn that took place, repeats left out.
func (c *checker) bred(visit func(s *Spawn)) {
	for _, s := range c.book.Spawns {
		if !s.IsPlanned() && s.Repeat == "" {
			visit(s)
		}
	}
}

// absenceKind is why a record cannot have bred.
type absenceKind int8

const (
	dead absenceKind = iota
	sold
	lent
	merged
)

// absence is that a record was not there.
type absence struct {
	kind  absenceKind
	since Date
	place Place
	text  string // "died on 2022-03-01"
}

// absent returns why a record was surely not there to breed on the date. Of
// lots only loans are told: their deaths and sales are in their census.
func (c *checker) absent(s *Stock, on Date, kind absenceKind) (absence, bool) {
	found := func(since Date, path, verb string) (absence, bool) {
		text := verb + " " + onDay(since)
		return absence{kind, since, s.place(path, s.ID+" "+text), text}, true
	}
	switch {
	case kind == lent:
		for i, loan := range s.Lent {
			if surelyBefore(loan.Date, on) && (!loan.Back.Known() || surelyBefore(on, loan.Back)) {
				return found(loan.Date, fmt.Sprintf("lent[%d]", i), "was lent out")
			}
		}
	case s.Lot:
	case kind == dead && surelyBefore(s.Died, on):
		return found(s.Died, "died", "died")
	case kind == sold:
		for i, sale := range s.Sold {
			if surelyBefore(sale.Date, on) {
				return found(sale.Date, fmt.Sprintf("sold[%d]", i), "was sold")
			}
		}
	case kind == merged:
		if into := c.book.MergedInto(s.ID); into != nil && surelyBy(into.Date, on) {
			a, _ := found(into.Date, "", "was put into "+into.ID)
			a.place = into.place("merged."+s.ID, s.ID+" "+a.text)
			return a, true
		}
	}
	return absence{}, false
}

// gone returns why a fish or a whole lot is surely not there on the date.
func (c *checker) gone(s *Stock, on Date) (absence, bool) {
	for _, kind := range [...]absenceKind{dead, sold, merged} {
		if a, ok := c.absent(s, on, kind); ok {
			return a, true
		}
	}
	h := c.book.LotHistory(s.ID)
	if !s.Lot || s.uncounted() || h == nil || c.mostOf(h, on, Unsexed) > few {
		return absence{}, false
	}
	_, last := h.between(on)
	return absence{dead, on, c.eventPlace(h, last-1), "has no fish left"}, true
}

// between returns the first and the last state that a lot may have been in at
// a spawn on the date, where days are not known.
func (h *LotHistory) between(date Date) (first, last int) {
	if !date.Known() {
		first = h.Index(date)
		return first, first
	}
	last = h.Index(date.latestDay())
	first = min(h.Index(date), last)
	for first > 0 {
		event := h.Events[first-1].Moment
		if event.Date == 0 || surelyBefore(event.Date, date) || event.Phase <= AtCensus && surelyBy(event.Date, date) {
			break
		}
		first--
	}
	return first, last
}

// mostOf returns the greatest number of fish of the sex (Unsexed: of all) that
// the lot may have held at a spawn on the date.
func (c *shared) mostOf(h *LotHistory, date Date, sex Sex) float64 {
	first, last := h.between(date)
	most := 0.0
	for i := first; i <= last; i++ {
		most = max(most, h.States[i].OfSex(sex))
	}
	return most
}

// storedSperm reports whether a sire that left on the date may still have
// sired the spawn, because females of its line carry sperm that long.
func (c *checker) storedSperm(p namedParent, left Date) bool {
	months := c.line(p.spawn.Line).StoresSpermMonths
	if months <= 0 || p.sex != Male || !left.Known() {
		return false
	}
	return addMonthsPart(left.latestDay(), months) >= p.spawn.Date.earliest()
}
