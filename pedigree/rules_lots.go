package pedigree

import (
	"cmp"
	"fmt"
	"slices"
)

var lotRules = []Rule{
	{"more-left-than-there-were", Error, "No more fish can leave a lot than were in it.", checkOver},
	{"left-before-it-began", Error, "Fish cannot be taken from a record before it begins.", checkLeftBeforeBegin},
	{"census-rises", Warning, "Fish kept apart do not grow in number: a lot that grew was miscounted, or fish were put in.", checkCensusRises},
}

// eventPlace points at event i of a lot, or at the lot's own record for -1.
func (c *checker) eventPlace(h *LotHistory, i int) Place {
	if i < 0 || i >= len(h.Events) {
		return h.Lot.place(h.Lot.countPath(), fmt.Sprintf("%s began with %s", h.Lot.ID, censusText(h.States[0].Stated)))
	}
	e := &h.Events[i]
	if e.Change != nil {
		return h.changePlace(e.Change)
	}
	return c.leaverPlaces(h, e)[0]
}

// countPath is the key under which a lot states its numbers.
func (s *Stock) countPath() string {
	for _, path := range [...]string{"count", "males", "females", "unsexed"} {
		if s.Where.Has(path) {
			return path
		}
	}
	return ""
}

func (h *LotHistory) changePlace(change *Change) Place {
	note := fmt.Sprintf("%s was counted %s: %s", h.Lot.ID, onDay(change.Date), censusText(change.Count.numbers()))
	for i := range h.Lot.Changes {
		if &h.Lot.Changes[i] == change {
			return h.Lot.place(fmt.Sprintf("changes[%d]", i), note)
		}
	}
	return h.Lot.place("changes", note)
}

// leaverPlaces points at what each of the fish that left by an event became,
// in the order of the files; there is always one.
func (c *checker) leaverPlaces(h *LotHistory, e *LotEvent) []Place {
	var places []Place
	for _, left := range e.Left {
		number, when := censusText(left.Stated), eventDay(e.Moment.Date)
		into := c.book.StockByID(left.ID)
		switch {
		case left.Kind == Moved && into != nil:
			places = append(places, into.place("merged."+h.Lot.ID, fmt.Sprintf("%s of %s went into %s %s", number, h.Lot.ID, into.ID, when)))
		case left.ID != "" && into != nil:
			places = append(places, into.place("picked", fmt.Sprintf("%s was picked %s", into.ID, when)))
		default:
			places = append(places, h.ownPlace(left, number, when))
		}
	}
	slices.SortStableFunc(places, func(a, b Place) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	if len(places) == 0 {
		places = []Place{h.Lot.place("", h.Lot.ID)}
	}
	return places
}

// ownPlace points at the sale or the death that the lot's own record states.
func (h *LotHistory) ownPlace(left Leaver, number, when string) Place {
	if left.sale > 0 {
		return h.Lot.place(fmt.Sprintf("sold[%d]", left.sale-1), fmt.Sprintf("%s of %s went to a buyer %s", number, h.Lot.ID, when))
	}
	return h.Lot.place("died", fmt.Sprintf("%s died out %s", h.Lot.ID, when))
}

func checkOver(c *checker) {
	c.lots(func(s *Stock, h *LotHistory) {
		for i := range h.Events {
			e := &h.Events[i]
			if e.Over <= few {
				continue
			}
			places := c.leaverPlaces(h, e)
			last := len(places) - 1
			records := []string{s.ID}
			var out Numbers
			for _, left := range e.Left {
				out = out.plus(left.Stated)
				if c.book.StockByID(left.ID) != nil {
					records = append(records, left.ID)
				}
			}
			c.add(Problem{
				Position: places[last].Position,
				Message:  overText(h, i, out),
				Hint:     "correct one of the numbers or dates, or give the lot the `changes` that tell of the others",
				Places:   append(places[:last:last], c.eventPlace(h, i-1)), Records: records,
			})
		}
	})
}

func overText(h *LotHistory, i int, out Numbers) string {
	e, before := &h.Events[i], h.States[i].Stated
	begin := fmt.Sprintf("%s left %s %s", censusText(out), h.Lot.ID, eventDay(e.Moment.Date))
	return fmt.Sprintf("%s, which then held %s: %s too many", begin, censusText(before), fishText(e.Over))
}

func checkLeftBeforeBegin(c *checker) {
	report := func(s *Stock, place Place, records ...string) {
		begins := c.book.Begins(s)
		if spawn, _ := c.lastOrOnly(s); spawn != nil && s.beginPath() == "spawn" { // its date may be the wrong one
			records = append(records, spawn.ID)
		}
		c.add(Problem{
			Position: place.Position,
			Message:  fmt.Sprintf("%s, but %s begins only %s", place.Note, s.ID, onDay(begins)),
			Hint:     "correct one of the two dates",
			Places:   []Place{s.place("date", s.ID+" begins "+onDay(begins))},
			Records:  append(records, s.ID),
		})
	}
	c.lots(func(s *Stock, h *LotHistory) {
		begins := c.book.Begins(s)
		for i := range h.Events {
			e := &h.Events[i]
			if !surelyBefore(e.Moment.Date, begins) {
				break
			}
			if e.Change != nil {
				report(s, h.changePlace(e.Change))
				continue
			}
			for j := range e.Left {
				one := LotEvent{Moment: e.Moment, Left: e.Left[j : j+1]}
				report(s, c.leaverPlaces(h, &one)[0], c.known(e.Left[j].ID)...)
			}
		}
	})
	for _, s := range c.book.Stock {
		if s.Lot {
			continue
		}
		for _, into := range c.book.merged[s.ID] {
			if surelyBefore(into.Date, c.book.Begins(s)) {
				report(s, into.place("merged."+s.ID, s.ID+" was put into "+into.ID+" "+onDay(into.Date)), into.ID)
			}
		}
	}
}

// known returns the id in a list, an empty list where it is no record.
func (c *checker) known(id string) []string {
	if c.book.StockByID(id) == nil {
		return nil
	}
	return []string{id}
}

func checkCensusRises(c *checker) {
	c.lots(func(s *Stock, h *LotHistory) {
		for i := range h.Events {
			change := h.Events[i].Change
			if change == nil {
				continue
			}
			before, after := h.States[i].Stated, change.Count.numbers()
			sexed := max(0, after.Males-before.Males) + max(0, after.Females-before.Females)
			if after.Total() <= before.Total()+few && sexed <= before.Unsexed+few {
				continue
			}
			what := "more fish"
			if after.Total() <= before.Total()+few {
				what = "more of one sex"
			}
			c.add(Problem{
				Position: h.changePlace(change).Position,
				Message: fmt.Sprintf("%s was counted %s with %s, %s than the %s that were left", s.ID, onDay(change.Date), censusText(after), what,
					censusText(before)),
				Hint:   "correct the count before it; for fish that were put in, make a new lot with `merged`",
				Places: []Place{c.eventPlace(h, i-1)},
			})
		}
	})
}
