package pedigree

import (
	"fmt"
	"slices"
	"strings"
)

var keepingRules = []Rule{
	{"unsexed-though-mature", Warning, "Fish long past maturity can be sexed, and until they are the numbers that may breed are a guess.", checkUnsexed},
	{"tank-unknown", Warning, "A tank that is not on the list may be a slip of the pen.", checkTanks},
}

func checkUnsexed(c *checker) {
	if !c.on.Known() {
		return
	}
	for _, s := range c.book.Stock {
		months := c.line(s.Line).MatureMonths
		twice := 2 * max(months.Male, months.Female)
		if twice <= 0 || !s.Lot && s.Sex != Unsexed {
			continue
		}
		born := c.book.BornOn(s)
		if !born.Known() {
			continue
		}
		if addMonthsPart(born.latestDay(), twice) > c.on.earliest() {
			continue
		}
		unsexed := c.book.Heads(s, c.on).Unsexed
		if unsexed <= few {
			continue
		}
		message := fmt.Sprintf("%s is %s old and still unsexed", s.ID, monthsText(monthsBetween(born, c.on)))
		path := "sex"
		if s.Lot {
			message = fmt.Sprintf("%s still holds %s that are %s old", s.ID, censusText(Numbers{Unsexed: unsexed}), monthsText(monthsBetween(born, c.on)))
			path = c.unsexedPath(s)
		}
		c.add(Problem{
			Position: s.Where.At(path),
			Message:  fmt.Sprintf("%s (fish of %s mature by %s)", message, s.Line, monthsText(twice/2)),
			Hint:     "sex them and write it down: `sex` for a fish, a new count under `changes` for a lot",
		})
	}
}

// unsexedPath is the key of the last count of a lot.
func (c *checker) unsexedPath(s *Stock) string {
	path, last := s.countPath(), Date(-1)
	for i, change := range s.Changes {
		if change.Date <= c.on && change.Date >= last {
			path, last = fmt.Sprintf("changes[%d]", i), change.Date
		}
	}
	return path
}

func checkTanks(c *checker) {
	known := make(map[string]bool)
	var names []string
	for _, line := range c.book.Lines {
		for _, tank := range line.Tanks {
			if !known[tank.ID] {
				known[tank.ID] = true
				names = append(names, tank.ID)
			}
		}
	}
	if len(names) == 0 {
		return
	}
	slices.Sort(names)
	guess := make(map[string]string)
	report := func(where Where, id, tank string) {
		if tank == "" || known[tank] {
			return
		}
		if _, done := guess[tank]; !done {
			guess[tank] = Nearest(tank, names)
			if letters(guess[tank]) == letters(tank) && len(guess[tank]) == len(tank) && !swapped(guess[tank], tank) {
				guess[tank] = "" // A2 beside A1 is another tank
			}
		}
		hint := fmt.Sprintf("add %s to `tanks`, or correct the name", tank)
		if guess[tank] != "" {
			hint = fmt.Sprintf("add %s to `tanks`, or did you mean %s?", tank, guess[tank])
		}
		c.add(Problem{
			Position: where.At("tank"),
			Message:  fmt.Sprintf("%s stands in tank %s, which is not among the `tanks`", id, tank),
			Hint:     hint,
		})
	}
	for _, s := range c.book.Stock {
		report(s.Where, s.ID, s.Tank)
	}
	for _, s := range c.book.Spawns {
		report(s.Where, s.ID, s.Tank)
	}
}

// letters is a name without its digits.
func letters(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return -1
		}
		return r
	}, name)
}

// swapped reports whether two names have the same characters in another order.
func swapped(a, b string) bool {
	x, y := []byte(a), []byte(b)
	slices.Sort(x)
	slices.Sort(y)
	return string(x) == string(y)
}
