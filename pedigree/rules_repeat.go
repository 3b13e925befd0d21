package pedigree

import (
	"fmt"
	"strings"
)

var loopRules = []Rule{
	{"descent-loop", Error, "No fish descends from itself: one of these parents must be another fish.", func(c *checker) { c.checkLoops(false) }},
	{"repeat-loop", Error, "Spawns that repeat each other in a ring name no parents at all.", func(c *checker) { c.checkLoops(true) }},
}

var repeatRules = []Rule{
	{"repeat-of-planned", Error, "A spawn that was only intended has no fish that could breed again.", checkRepeatOfPlanned},
	{"repeat-parent-gone", Warning, "The same fish cannot breed again once they are gone, unless the dam stored sperm.", checkRepeatParentGone},
	{"repeat-before-first", Warning, "A repeat comes after the spawn that it repeats.", checkRepeatBeforeFirst},
	{"planned-day-past", Warning, "A plan whose day is past was carried out, and its fry are missing from the book, or it was given up.", checkPlannedPast},
	{"planned-parent-gone", Warning, "A plan with a fish that is gone cannot be carried out.", checkPlannedParentGone},
}

// checkLoops reports the loops of descent, either those of repeats alone or the
// others.
func (c *checker) checkLoops(repeats bool) {
	for _, loop := range c.loops() {
		at, places := c.loopPlaces(loop)
		if repeats != c.allSpawns(loop) || len(places) == 0 {
			continue
		}
		message := fmt.Sprintf("%s comes from itself: %s", loop.Round[0], strings.Join(loop.Round, " → "))
		if repeats {
			message = fmt.Sprintf("%s repeats itself: %s", loop.Round[0], strings.Join(loop.Round, " → "))
		}
		if len(loop.Members) > len(loop.Round)-1 {
			message += "; all on such loops: " + listText(loop.Members)
		}
		hint := "one of these records names a wrong parent or a wrong origin: look first at the dates"
		if repeats {
			hint = "write the parents at the first of these spawns in place of `repeat`"
		}
		c.add(Problem{Position: at, Message: message, Hint: hint, Places: places, Records: loop.Members})
	}
}

func (c *shared) findLoops() []Loop { return c.book.Descent().Loops() }

func (c *checker) allSpawns(loop Loop) bool {
	for _, id := range loop.Members {
		if c.book.StockByID(id) != nil {
			return false
		}
	}
	return true
}

// loopPlaces points at each step of the way round. The problem stands at the
// last step of it that is written in the files.
func (c *checker) loopPlaces(loop Loop) (last Position, places []Place) {
	for i := 1; i < len(loop.Round); i++ {
		place := c.linkPlace(loop.Round[i-1], loop.Round[i])
		if i == 1 || last.File < place.File || last.File == place.File && last.Line < place.Line {
			last = place.Position
		}
		places = append(places, place)
	}
	return last, places
}

// linkPlace points at where the child names what it came from.
func (c *checker) linkPlace(parent, child string) Place {
	note := child + " comes from " + parent
	if s := c.book.StockByID(child); s != nil {
		for _, path := range [...]string{"picked", "merged." + parent, "spawn." + parent, "spawn"} {
			if s.Where.Has(path) {
				return s.place(path, note)
			}
		}
		return s.place("", note)
	}
	s := c.book.SpawnByID(child)
	if s == nil {
		return Place{Note: note}
	}
	for _, p := range appendNamed(nil, c.book, s) {
		if p.stock.ID == parent {
			return Place{p.at(), note}
		}
	}
	return s.place("repeat", child+" repeats "+parent)
}

// repeats calls visit for every repeat with the spawn whose parents it had.
func (c *checker) repeats(visit func(s, first *Spawn)) {
	for _, s := range c.book.Spawns {
		if s.Repeat == "" {
			continue
		}
		if first := c.book.FirstOf(s); first != nil {
			visit(s, first)
		}
	}
}

func checkRepeatOfPlanned(c *checker) {
	c.repeats(func(s, first *Spawn) {
		if s.IsPlanned() || !first.IsPlanned() {
			return
		}
		c.add(Problem{
			Position: s.Where.At("repeat"),
			Message:  fmt.Sprintf("%s repeats %s, which was only planned for %s", s.ID, first.ID, first.Planned),
			Hint:     fmt.Sprintf("if %s took place give it its `date`; else write the parents here", first.ID),
			Places:   []Place{first.place("planned", first.ID+" is only planned")},
			Records:  []string{s.ID},
		})
	})
}

func checkRepeatParentGone(c *checker) {
	c.repeats(func(s, first *Spawn) {
		if s.IsPlanned() {
			return // told as a plan
		}
		c.eachGone(first, s.Date, func(id string, a absence) {
			c.add(Problem{
				Position: s.Where.At("repeat"),
				Message:  fmt.Sprintf("this spawn%s repeats %s, but %s %s", ofDay(s.Date), first.ID, id, a.text),
				Hint:     "check the date, and whether it was the same fish; a dam may also bear fry of a sire that is gone",
				Places:   []Place{a.place},
			})
		})
	})
}

// eachGone calls visit for every parent that surely was not there on the date,
// where no other fish could have taken its side.
func (c *checker) eachGone(first *Spawn, date Date, visit func(id string, a absence)) {
	for _, p := range appendNamed(nil, c.book, first) {
		if p.sex != Unsexed && len(first.SideOf(p.sex).Candidates) > 1 || p.sex == Unsexed && len(first.Group) > 1 {
			continue
		}
		if a, gone := c.gone(p.stock, date); gone {
			visit(p.stock.ID, a)
		}
	}
}

func checkRepeatBeforeFirst(c *checker) {
	c.repeats(func(s, first *Spawn) {
		if !surelyBefore(s.Date, first.Date) {
			return
		}
		c.add(Problem{
			Position: s.Where.At("date"),
			Message:  fmt.Sprintf("this spawn%s repeats %s, which came only %s", ofDay(s.Date), first.ID, onDay(first.Date)),
			Hint:     "correct one of the two dates, or write the parents here and let the later spawn repeat it",
			Places:   []Place{first.place("date", first.ID+" took place "+onDay(first.Date))},
		})
	})
}

func checkPlannedPast(c *checker) {
	for _, s := range c.book.Spawns {
		if !s.IsPlanned() || !surelyBefore(s.Planned, c.on) || len(c.fry[s.ID]) > 0 {
			continue // fry of a plan are an error of their own
		}
		c.add(Problem{
			Position: s.Where.At("planned"),
			Message:  fmt.Sprintf("%s was planned for %s, which is past", s.ID, s.Planned),
			Hint:     "write `date` in place of `planned` if it happened, or take the spawn out",
		})
	}
}

func checkPlannedParentGone(c *checker) {
	for _, s := range c.book.Spawns {
		first := c.book.FirstOf(s)
		if !s.IsPlanned() || first == nil || surelyBefore(s.Planned, c.on) {
			continue
		}
		c.eachGone(first, max(s.Planned, c.on), func(id string, a absence) {
			c.add(Problem{
				Position: s.Where.At("planned"),
				Message:  fmt.Sprintf("this spawn is planned for %s, but %s %s", s.Planned, id, a.text),
				Hint:     "choose another fish, or take the plan out",
				Places:   []Place{a.place},
			})
		})
	}
}
