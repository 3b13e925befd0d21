package pedigree

import (
	"cmp"
	"fmt"
	"slices"
)

var storedRules = []Rule{
	{"virgin-bred-before", Warning, "A dam that had met no other male cannot have an earlier spawn by one.", checkVirginBredBefore},
	{"sire-uncertain", Warning, "Where females store sperm, fry may be of the male that the dam met before.", checkSireUncertain},
}

// earlierMales calls visit for every dated spawn of one known dam that had a
// sire before who is not named for this one, with the latest such spawn.
func (c *checker) earlierMales(visit func(s, earlier *Spawn)) {
	for _, spawns := range c.byDam() {
		for i, s := range spawns {
			j := i - 1
			for j >= 0 && c.sameSires(spawns[j], s) {
				j--
			}
			if j >= 0 && surelyBefore(spawns[j].Date, s.Date) {
				visit(s, spawns[j])
			}
		}
	}
}

// spawnsByDam lists the dated spawns of every single fish that was surely the
// dam, in the order of time, where the sires are named too.
func (c *shared) spawnsByDam() map[string][]*Spawn {
	byDam := make(map[string][]*Spawn)
	for _, s := range c.book.Spawns {
		first := c.book.FirstOf(s)
		if first == nil || !s.Date.Known() || len(first.Dam.Candidates) != 1 || len(first.Sire.Candidates) == 0 {
			continue
		}
		if dam := c.book.StockByID(first.Dam.Candidates[0].ID); dam != nil && !dam.Lot {
			byDam[dam.ID] = append(byDam[dam.ID], s)
		}
	}
	for _, spawns := range byDam {
		slices.SortStableFunc(spawns, func(a, b *Spawn) int { return cmp.Compare(a.Date, b.Date) })
	}
	return byDam
}

// sameSires reports whether every possible sire of the earlier spawn is among
// those named for the later one, so that nothing is left to name.
func (c *checker) sameSires(earlier, later *Spawn) bool {
	x, y := c.book.FirstOf(earlier).Sire.Candidates, c.book.FirstOf(later).Sire.Candidates
	return !slices.ContainsFunc(x, func(candidate Candidate) bool {
		return !slices.ContainsFunc(y, func(other Candidate) bool { return other.ID == candidate.ID })
	})
}

func checkVirginBredBefore(c *checker) {
	c.earlierMales(func(s, earlier *Spawn) {
		if !s.Virgin {
			return
		}
		c.add(Problem{
			Position: s.Where.At("virgin"),
			Message:  fmt.Sprintf("`virgin: true`, but its dam already had %s%s by another sire", earlier.ID, ofDay(earlier.Date)),
			Hint:     "take `virgin` out, or correct the dam or the date of one of the two",
			Places:   []Place{earlier.place("date", "the earlier spawn")},
		})
	})
}

func checkSireUncertain(c *checker) {
	c.earlierMales(func(s, earlier *Spawn) {
		months := c.line(s.Line).StoresSpermMonths
		if months <= 0 || s.Virgin || s.Repeat != "" || s.IsPlanned() ||
			addMonthsPart(earlier.Date.latestDay(), months) < s.Date.earliest() {
			return
		}
		c.add(Problem{
			Position: s.Where.At("sire"),
			Message: fmt.Sprintf("the dam of this spawn%s had %s%s by another sire: females of %s store sperm up to %s, so some fry may be his", ofDay(s.Date),
				earlier.ID, ofDay(earlier.Date), s.Line, monthsText(months)),
			Hint:   "name both as possible sires, for example with odds",
			Places: []Place{earlier.place("date", "the earlier spawn")},
		})
	})
}
