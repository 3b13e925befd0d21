package pedigree

import "fmt"

var lifeRules = []Rule{
	{"begins-before-born", Error, "A record cannot begin before its fish were born.", checkBeginsBeforeBorn},
	{"died-too-early", Error, "A fish cannot die before it was born, or before its record begins.", checkDiedTooEarly},
	{"left-too-early", Error, "A fish cannot be sold or lent before its record begins.", checkLeftTooEarly},
	{"after-death", Error, "What is dead is not sold, lent, moved or counted.", checkAfterDeath},
	{"sold-then-merged", Error, "A fish that has left the house cannot be put with others in it.", checkSoldThenMerged},
	{"sold-twice", Warning, "One fish can be sold again only if it came back.", checkSoldTwice},
	{"back-before-lent", Error, "A loan ends after it began.", checkBackBeforeLent},
	{"date-in-future", Warning, "What lies in the future has not happened yet: a year may be mistyped.", checkFuture},
}

func checkBeginsBeforeBorn(c *checker) {
	for _, s := range c.book.Stock {
		if begins := c.book.Begins(s); surelyBefore(begins, s.Born) {
			c.add(Problem{
				Position: s.Where.At("born"),
				Message:  fmt.Sprintf("%s was born %s, but its record begins %s", s.ID, onDay(s.Born), onDay(begins)),
				Hint:     "correct one of the two dates",
				Places:   []Place{s.place(s.beginPath(), s.ID+" begins "+onDay(begins))},
				Records:  []string{s.ID},
			})
		}
	}
}

// beginPath is the key that says when a record begins.
func (s *Stock) beginPath() string {
	switch {
	case s.Date.Known():
		return "date"
	case s.Wild != nil:
		return "wild.date"
	case s.Bought != nil:
		return "bought.date"
	}
	return "spawn"
}

// tooEarly returns why a date is too early in a fish's life, "" if it may be.
func (c *checker) tooEarly(s *Stock, date Date) (why string, place Place) {
	if born := c.book.BornOn(s); surelyBefore(date, born) {
		place = c.birthPlace(s)
		return fmt.Sprintf("%s was born only %s", s.ID, onDay(born)), place
	}
	if begins := c.book.Begins(s); surelyBefore(date, begins) {
		why = fmt.Sprintf("%s begins only %s", s.ID, onDay(begins))
		return why, s.place(s.beginPath(), why)
	}
	return "", place
}

func checkDiedTooEarly(c *checker) {
	for _, s := range c.book.Stock {
		if why, place := c.tooEarly(s, s.Died); why != "" {
			c.add(Problem{
				Position: s.Where.At("died"),
				Message:  fmt.Sprintf("%s died %s, but %s", s.ID, onDay(s.Died), why),
				Hint:     "correct one of the two dates", Places: []Place{place}, Records: []string{s.ID},
			})
		}
	}
}

func checkLeftTooEarly(c *checker) {
	for _, s := range c.book.Stock {
		report := func(date Date, path, verb string) {
			if why, place := c.tooEarly(s, date); why != "" {
				c.add(Problem{
					Position: s.Where.At(path),
					Message:  fmt.Sprintf("%s was %s %s, but %s", s.ID, verb, onDay(date), why),
					Hint:     "correct one of the two dates", Places: []Place{place}, Records: []string{s.ID},
				})
			}
		}
		for i, sale := range s.Sold {
			if !s.Lot { // a lot's sales are events of the lot
				report(sale.Date, fmt.Sprintf("sold[%d].date", i), "sold")
			}
		}
		for i, loan := range s.Lent {
			report(loan.Date, fmt.Sprintf("lent[%d].date", i), "lent out")
		}
	}
}

func checkAfterDeath(c *checker) {
	for _, s := range c.book.Stock {
		if !s.Died.Known() {
			continue
		}
		report := func(at Position, date Date, what string, records ...string) {
			if surelyBefore(s.Died, date) {
				c.add(Problem{
					Position: at,
					Message:  fmt.Sprintf("%s %s %s, but died %s", s.ID, what, onDay(date), onDay(s.Died)),
					Hint:     "correct one of the two dates, or take one of the two out",
					Places:   []Place{s.place("died", s.ID+" died "+onDay(s.Died))},
					Records:  append(records, s.ID),
				})
			}
		}
		for i, sale := range s.Sold {
			if !s.Lot || !sale.Numbered { // numbers sold of a dead lot are more than there were
				report(s.Where.At(fmt.Sprintf("sold[%d].date", i)), sale.Date, "was sold")
			}
		}
		for i, loan := range s.Lent {
			report(s.Where.At(fmt.Sprintf("lent[%d].date", i)), loan.Date, "was lent out")
		}
		for i, change := range s.Changes {
			if change.Count.Total() > 0 {
				report(s.Where.At(fmt.Sprintf("changes[%d]", i)), change.Date, "was counted")
			}
		}
		if !s.Lot {
			for _, into := range c.book.merged[s.ID] {
				report(into.Where.At("merged."+s.ID), into.Date, "was put into "+into.ID, into.ID)
			}
		}
	}
}

func checkSoldThenMerged(c *checker) {
	for _, s := range c.book.Stock {
		if s.Lot || len(s.Sold) == 0 {
			continue
		}
		for _, into := range c.book.merged[s.ID] {
			a, gone := c.absent(s, into.Date, sold)
			if !gone {
				continue
			}
			c.add(Problem{
				Position: into.Where.At("merged." + s.ID),
				Message:  fmt.Sprintf("%s was put into %s %s, but %s", s.ID, into.ID, onDay(into.Date), a.text),
				Hint:     "correct one of the two dates; a fish that came back is a new record, bought",
				Places:   []Place{a.place}, Records: []string{s.ID, into.ID},
			})
		}
	}
}

func checkSoldTwice(c *checker) {
	for _, s := range c.book.Stock {
		for i := 1; i < len(s.Sold) && !s.Lot; i++ {
			c.add(Problem{
				Position: s.Where.At(fmt.Sprintf("sold[%d]", i)),
				Message:  fmt.Sprintf("%s is one fish and was sold %s, after it was sold %s", s.ID, onDay(s.Sold[i].Date), onDay(s.Sold[0].Date)),
				Hint:     "take one sale out; for a lot state its numbers",
				Places:   []Place{s.place("sold[0]", "the first sale")},
			})
		}
	}
}

func checkBackBeforeLent(c *checker) {
	for _, s := range c.book.Stock {
		for i, loan := range s.Lent {
			if surelyBefore(loan.Back, loan.Date) {
				c.add(Problem{
					Position: s.Where.At(fmt.Sprintf("lent[%d].back", i)),
					Message:  fmt.Sprintf("%s came back %s from a loan that began %s", s.ID, onDay(loan.Back), onDay(loan.Date)),
					Hint:     "correct one of the two dates",
					Places:   []Place{s.place(fmt.Sprintf("lent[%d].date", i), "lent out "+onDay(loan.Date))},
					Records:  []string{s.ID},
				})
			}
		}
	}
}

func checkFuture(c *checker) {
	report := func(where Where, path, id, what string, date Date) {
		if surelyBefore(c.on, date) {
			when, hint := onDay(date), "correct the date, or write it down once it has happened"
			if what == "is dated" {
				when, hint = date.String(), "correct the date; a spawn that is only intended has `planned` in place of `date`"
			}
			c.add(Problem{
				Position: where.At(path),
				Message:  fmt.Sprintf("%s %s %s, which is after today (%s)", id, what, when, c.on),
				Hint:     hint,
			})
		}
	}
	for _, s := range c.book.Spawns {
		report(s.Where, "date", s.ID, "is dated", s.Date)
	}
	for _, s := range c.book.Stock {
		if s.beginPath() != "spawn" {
			report(s.Where, s.beginPath(), s.ID, "begins", c.book.Begins(s))
		}
		report(s.Where, "born", s.ID, "was born", s.Born)
		report(s.Where, "died", s.ID, "died", s.Died)
		for i, sale := range s.Sold {
			report(s.Where, fmt.Sprintf("sold[%d].date", i), s.ID, "was sold", sale.Date)
		}
		for i, change := range s.Changes {
			report(s.Where, fmt.Sprintf("changes[%d].date", i), s.ID, "was counted", change.Date)
		}
	}
}
