package pedigree

import (
	"cmp"
	"fmt"
	"slices"
)

var originRules = []Rule{
	{"picked-from-no-lot", Error, "Only a lot holds fish that can be picked out.", checkPickedFromFish},
	{"merged-bare-number", Error, "Which sexes left a lot decides who can breed in either: a bare number does not say.", checkBareNumber},
	{"merged-number-of-fish", Error, "A record of one fish puts in one fish, of its own sex.", checkMergedFish},
	{"merged-twice", Error, "A fish put into one lot is no longer there to be put into another.", checkMergedTwice},
	{"lot-larger-than-its-parts", Error, "A lot put together begins with the fish put in, not with more.", checkLargerThanParts},
}

func checkPickedFromFish(c *checker) {
	for _, s := range c.book.Stock {
		if s.Picked == s.ID || !c.book.fromFish(s) {
			continue // from itself: told as a loop
		}
		from := c.book.StockByID(s.Picked)
		c.add(Problem{
			Position: s.Where.At("picked"),
			Message:  fmt.Sprintf("%s was picked out of %s, which is one fish, not a lot", s.ID, from.ID),
			Hint:     fmt.Sprintf("if %s is a lot give it its numbers (`males`, `females`, `unsexed` or `count`); a fish's fry come from a spawn", from.ID),
			Places:   []Place{from.place("", from.ID+" is one fish")},
			Records:  []string{s.ID},
		})
	}
}

// likeLot reports whether a record without numbers has what only a lot has: that
// it is a lot whose numbers are missing is told where it is read.
func (s *Stock) likeLot() bool {
	return len(s.Changes) > 0 || len(s.Merged) > 0 || slices.ContainsFunc(s.Sold, func(sale Sale) bool { return sale.Numbered })
}

// partOf finds what a record gave to a merged lot.
func partOf(into *Stock, id string) (Part, bool) {
	i, ok := slices.BinarySearchFunc(into.Merged, id, func(p Part, id string) int { return cmp.Compare(p.ID, id) })
	if !ok {
		return Part{}, false
	}
	return into.Merged[i], true
}

func checkBareNumber(c *checker) {
	c.lots(func(s *Stock, h *LotHistory) {
		for i := range h.Events {
			before := h.States[i].Stated
			if before.Males+before.Females <= few || h.Events[i].Over > few {
				continue
			}
			for _, left := range h.Events[i].Left {
				into := c.book.StockByID(left.ID)
				if left.Kind != Moved || into == nil || left.Stated.Unsexed <= few || left.Stated.Males+left.Stated.Females > few {
					continue
				}
				if part, ok := partOf(into, s.ID); !ok || !part.Whole {
					continue
				}
				c.add(Problem{
					Position: into.Where.At("merged." + s.ID),
					Message:  fmt.Sprintf("%s fish of %s were put into %s, but it held %s, and not all were moved: of which sex were they?", fishText(left.Stated.Unsexed), s.ID, into.ID, censusText(before)),
					Hint:     "write the numbers by sex, such as {males: 1, females: 2}",
					Places:   []Place{c.eventPlace(h, i-1)},
					Records:  []string{s.ID, into.ID},
				})
			}
		}
	})
}

func checkMergedFish(c *checker) {
	for _, into := range c.book.Stock {
		for _, part := range into.Merged {
			s := c.book.StockByID(part.ID)
			if s == nil || s.Lot {
				continue
			}
			message := ""
			switch {
			case part.Count.Total() != 1:
				message = fmt.Sprintf("%s is one fish, and %s of it were put into %s", s.ID, plural(float64(part.Count.Total()), "fish", "fish"), into.ID)
			case part.Count.Males == 1 && s.Sex == Female || part.Count.Females == 1 && s.Sex == Male:
				message = fmt.Sprintf("%s is %s, and was put into %s as %s", s.ID, s.Sex, into.ID, censusText(part.Count.numbers()))
			default:
				continue
			}
			c.add(Problem{
				Position: into.Where.At("merged." + s.ID), Message: message,
				Hint:    fmt.Sprintf("write `%s: 1`", s.ID),
				Places:  []Place{s.place("sex", s.ID+" is one fish")},
				Records: []string{into.ID},
			})
		}
	}
}

func checkMergedTwice(c *checker) {
	for _, s := range c.book.Stock {
		lots := c.book.merged[s.ID]
		if s.Lot || len(lots) < 2 || c.book.StockByID(s.ID) != s {
			continue
		}
		first := c.book.MergedInto(s.ID)
		for _, into := range lots {
			if into == first || c.book.StockByID(into.ID) != into {
				continue
			}
			c.add(Problem{
				Position: into.Where.At("merged." + s.ID),
				Message:  fmt.Sprintf("%s was put into %s %s, but was already put into %s %s", s.ID, into.ID, onDay(into.Date), first.ID, onDay(first.Date)),
				Hint:     fmt.Sprintf("if it was taken out of %s again, give it a new record with `picked: %s`", first.ID, first.ID),
				Places:   []Place{first.place("merged."+s.ID, s.ID+" went into "+first.ID)},
				Records:  []string{first.ID, into.ID},
			})
		}
	}
}

func checkLargerThanParts(c *checker) {
	for _, s := range c.book.Stock {
		put, path := c.putIn(s)
		if !s.Lot || path == "" {
			continue
		}
		begun := s.Count.numbers()
		sexed := max(0, begun.Males-put.Males) + max(0, begun.Females-put.Females)
		if begun.Total() <= put.Total()+few && sexed <= put.Unsexed+few {
			continue
		}
		c.add(Problem{
			Position: s.Where.At(s.countPath()),
			Message:  fmt.Sprintf("%s begins with %s, but %s were put in", s.ID, censusText(begun), censusText(put)),
			Hint:     "correct the numbers of the lot or of what was put in",
			Places:   []Place{s.place(path, censusText(put)+" put in")},
			Records:  []string{s.ID},
		})
	}
}

// putIn adds up what a merged or mixed lot was made of, and the key that says
// so; "" where that is not known.
func (c *checker) putIn(s *Stock) (put Numbers, path string) {
	if len(s.FromSpawns) > 1 {
		for _, from := range s.FromSpawns {
			put.Unsexed += from.Share
		}
		return put, "spawn"
	}
	for _, part := range s.Merged {
		var one Numbers
		switch from := c.book.StockByID(part.ID); {
		case from == nil:
			return put, ""
		case !from.Lot:
			one = pickLeaver(from).Stated
		default:
			left := c.book.leaver(part.ID, s.ID)
			if left == nil || from.uncounted() {
				return put, ""
			}
			one = left.Stated
		}
		put, path = put.plus(one), "merged"
	}
	return put, path
}
