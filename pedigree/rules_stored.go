package pedigree

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
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
func (c *shared) sameSires(earlier, later *Spawn) bool {
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
	stored := c.book.StoredFrom()
	for _, s := range c.book.Spawns {
		from := stored[s.ID]
		if len(from) == 0 || c.book.SpawnByID(s.ID) != s {
			continue
		}
		var males []string
		var places []Place
		for _, earlier := range from {
			for _, candidate := range c.book.FirstOf(earlier).Sire.Candidates {
				if !slices.Contains(males, candidate.ID) && !slices.ContainsFunc(s.Sire.Candidates, func(x Candidate) bool { return x.ID == candidate.ID }) {
					males = append(males, candidate.ID)
				}
			}
			places = append(places, earlier.place("date", "the earlier spawn"))
		}
		c.add(Problem{
			Position: s.Where.At("sire"),
			Message: fmt.Sprintf("the dam of this spawn%s had %s%s by %s: females of %s store sperm up to %s, so some fry may be %s", ofDay(s.Date),
				from[0].ID, ofDay(from[0].Date), listText(males), s.Line, monthsText(c.line(s.Line).StoresSpermMonths), his(len(males))),
			Hint:   fmt.Sprintf("name %s as a possible sire too, for example with odds; or write `virgin: true` if she had been kept apart", orText(males)),
			Places: places,
		})
	}
}

func his(males int) string {
	if males == 1 {
		return "his"
	}
	return "theirs"
}

// orText joins words: "a", "a or b".
func orText(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
}
