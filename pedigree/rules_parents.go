package pedigree

import "fmt"

var parentRules = []Rule{
	{"parent-unborn", Error, "A fish cannot breed before it was born.", checkUnborn},
	{"parent-not-begun", Error, "A fish that was not yet in the book's care cannot have bred here.", checkNotBegun},
	{"parent-picked-later", Warning, "A fish known as itself only later was still one of its lot when the spawn was recorded.", checkPickedLater},
	{"parent-too-young", Warning, "Fish below the age at maturity of their line rarely breed: a date or a parent may be wrong.", checkTooYoung},
	{"parent-dead", Error, "A dead fish does not breed.", parentGone(dead, "correct one of the two dates, or name the fish that bred")},
	{"parent-sold", Error, "A fish that has left the house does not breed in it.", parentGone(sold, "correct one of the two dates, or name the fish that bred; a fish that came back is a new record, bought")},
	{"parent-lent", Error, "A fish that is away on loan does not breed here.", parentGone(lent, "correct the dates of the loan (`back`) or of the spawn")},
	{"parent-merged", Error, "A fish put together with others is no longer told apart: it counts only in its new lot.", parentGone(merged, "name the lot as the parent")},
	{"sire-gone-before", Warning, "Females of this line store sperm, so a sire may have left before its fry came; how sure it is, only the keeper knows.", checkSireGoneBefore},
	{"parent-retired", Warning, "A retired fish was not to be bred again.", checkRetired},
	{"parent-in-quarantine", Warning, "Breeding a fish in quarantine may carry what it has to the others.", checkQuarantine},
}

func checkUnborn(c *checker) {
	c.dated(func(p namedParent) {
		born := c.book.BornOn(p.stock)
		if !surelyBy(p.spawn.Date, born) {
			return
		}
		c.add(Problem{
			Position: p.at(),
			Message:  fmt.Sprintf("%s was born %s, so it cannot be a parent of this spawn%s", p.stock.ID, onDay(born), ofDay(p.spawn.Date)),
			Hint:     "correct the date of the spawn, or name the fish that bred",
			Places:   []Place{c.birthPlace(p.stock)},
			Records:  []string{p.spawn.ID},
		})
	})
}

// birthPlace points at what says when a record was born.
func (c *checker) birthPlace(s *Stock) Place {
	s = c.pickedFrom(s, func(s *Stock) bool { return s.Born.Known() })
	born := c.book.BornOn(s)
	note := fmt.Sprintf("%s was born %s", s.ID, onDay(born))
	if !s.Born.Known() {
		for _, from := range s.FromSpawns {
			if spawn := c.book.SpawnByID(from.Spawn); spawn != nil && spawn.Date == born {
				return spawn.place("date", note)
			}
		}
	}
	return s.place("born", note)
}

// firstHome follows a fish back through the lots it was picked from, to the
// first record that may have begun by the date.
func (c *checker) firstHome(s *Stock, date Date) *Stock {
	return c.pickedFrom(s, func(s *Stock) bool { return !surelyBefore(date, c.book.Begins(s)) })
}

func checkNotBegun(c *checker) {
	c.dated(func(p namedParent) {
		home := c.firstHome(p.stock, p.spawn.Date)
		begins := c.book.Begins(home)
		if !surelyBefore(p.spawn.Date, begins) || surelyBy(p.spawn.Date, c.book.BornOn(p.stock)) {
			return
		}
		message := fmt.Sprintf("%s begins %s, after this spawn%s", p.stock.ID, onDay(begins), ofDay(p.spawn.Date))
		if home != p.stock {
			message = fmt.Sprintf("%s came out of %s, which begins %s, after this spawn%s", p.stock.ID, home.ID, onDay(begins), ofDay(p.spawn.Date))
		}
		c.add(Problem{
			Position: p.at(), Message: message,
			Hint:    "correct one of the two dates, or name the fish that bred",
			Places:  []Place{home.place("date", fmt.Sprintf("%s begins %s", home.ID, onDay(begins)))},
			Records: []string{p.spawn.ID},
		})
	})
}

func checkPickedLater(c *checker) {
	c.dated(func(p namedParent) {
		home := c.firstHome(p.stock, p.spawn.Date)
		if home == p.stock || surelyBefore(p.spawn.Date, c.book.Begins(home)) || surelyBy(p.spawn.Date, c.book.BornOn(p.stock)) {
			return
		}
		begins := c.book.Begins(p.stock)
		c.add(Problem{
			Position: p.at(),
			Message: fmt.Sprintf("%s was picked out %s: at this spawn%s it was still one of the fish of %s",
				p.stock.ID, onDay(begins), ofDay(p.spawn.Date), home.ID),
			Hint:   fmt.Sprintf("if nobody saw which fish bred, name %s as the parent", home.ID),
			Places: []Place{p.stock.place("date", fmt.Sprintf("%s was picked %s", p.stock.ID, onDay(begins)))},
		})
	})
}

func checkTooYoung(c *checker) {
	c.dated(func(p namedParent) {
		born := c.book.BornOn(p.stock)
		if surelyBy(p.spawn.Date, born) {
			return // unborn, an error of its own
		}
		for _, sex := range p.breedsAs() {
			mature := c.book.MatureFrom(p.stock, sex)
			if !mature.Known() || p.spawn.Date.latestDay() >= mature {
				continue
			}
			c.add(Problem{
				Position: p.at(),
				Message: fmt.Sprintf("%s was born %s and was %s old at this spawn%s; %ss of %s mature at %s", p.stock.ID, onDay(born),
					monthsText(monthsBetween(born, p.spawn.Date)), ofDay(p.spawn.Date), sexWord(sex), p.stock.Line,
					monthsText(c.line(p.stock.Line).MatureMonths.of(sex))),
				Hint:   "check both dates, and which fish bred; if they do breed so young, correct `mature-months` of the line",
				Places: []Place{c.birthPlace(p.stock)},
			})
			return
		}
	})
}

// breedsAs lists the sexes that a parent may have bred as.
func (p namedParent) breedsAs() []Sex {
	switch {
	case p.sex != Unsexed:
		return []Sex{p.sex}
	case !p.stock.Lot && p.stock.Sex != Unsexed:
		return []Sex{p.stock.Sex}
	}
	return []Sex{Male, Female}
}

// parentGone makes the rule that a parent was surely away for one reason.
func parentGone(kind absenceKind, hint string) func(*checker) {
	return func(c *checker) {
		c.dated(func(p namedParent) {
			a, away := c.absent(p.stock, p.spawn.Date, kind)
			if !away || c.storedSperm(p, a.since) {
				return
			}
			c.add(Problem{
				Position: p.at(),
				Message:  fmt.Sprintf("%s %s, %s this spawn%s", p.stock.ID, a.text, beforeWord(a.since, p.spawn.Date), ofDay(p.spawn.Date)),
				Hint:     hint + c.carriedHint(p, a.since), Places: []Place{a.place}, Records: []string{p.spawn.ID},
			})
		})
	}
}

// longestCarried is the most months for which a hint speaks of stored sperm.
const longestCarried = 12

// carriedHint says how to write that the dam bore young of a sire that had
// gone; "" where she cannot have, or where fish of the line lay eggs.
func (c *checker) carriedHint(p namedParent, gone Date) string {
	line := c.line(p.spawn.Line)
	word := line.BroodWord
	if word != "litter" && word != "brood" {
		if !p.spawn.Born.Stated {
			return ""
		}
		word = "litter"
	}
	if p.sex != Male || surelyBefore(addMonthsPart(gone.latestDay(), longestCarried), p.spawn.Date) {
		return ""
	}
	how := "write `stores-sperm-months: N` on the line"
	if line.StoresSpermMonths > 0 {
		how = fmt.Sprintf("give `stores-sperm-months` (now %g) on the line a greater number", line.StoresSpermMonths)
	}
	return fmt.Sprintf("; a %s is born weeks after mating: if she was already carrying his young, %s, the months she may carry or keep a male's sperm", word, how)
}

// beforeWord is "before", or "and so before" for what happened the same day.
func beforeWord(event, spawn Date) string {
	if event == spawn {
		return "so it was no longer told apart at"
	}
	return "before"
}

func checkSireGoneBefore(c *checker) {
	c.dated(func(p namedParent) {
		for _, kind := range [...]absenceKind{dead, sold, lent, merged} {
			a, away := c.absent(p.stock, p.spawn.Date, kind)
			if !away || !c.storedSperm(p, a.since) {
				continue
			}
			c.add(Problem{
				Position: p.at(),
				Message: fmt.Sprintf("%s %s, %s this spawn%s: it can be the sire only if the dam had stored its sperm (up to %s in %s)", p.stock.ID,
					a.text, beforeWord(a.since, p.spawn.Date), ofDay(p.spawn.Date), monthsText(c.line(p.spawn.Line).StoresSpermMonths), p.spawn.Line),
				Hint:   "check that no other male was with the dam since",
				Places: []Place{a.place},
			})
			return
		}
	})
}

func checkRetired(c *checker) {
	c.dated(func(p namedParent) {
		if surelyBefore(p.stock.Retired, p.spawn.Date) {
			c.add(Problem{
				Position: p.at(),
				Message:  fmt.Sprintf("%s was retired %s, before this spawn%s", p.stock.ID, onDay(p.stock.Retired), ofDay(p.spawn.Date)),
				Hint:     "if it was bred again, take `retired` out or give it a later date",
				Places:   []Place{p.stock.place("retired", p.stock.ID+" was retired "+onDay(p.stock.Retired))},
			})
		}
	})
}

func checkQuarantine(c *checker) {
	c.dated(func(p namedParent) {
		if until := p.stock.QuarantineUntil; surelyBefore(p.spawn.Date, until) {
			c.add(Problem{
				Position: p.at(),
				Message:  fmt.Sprintf("%s was to stay in quarantine until %s, and bred in this spawn%s", p.stock.ID, until, ofDay(p.spawn.Date)),
				Hint:     "check the two dates; watch the other fish of that tank for signs of disease",
				Places:   []Place{p.stock.place("quarantine-until", p.stock.ID+" in quarantine until "+until.String())},
			})
		}
	})
}
