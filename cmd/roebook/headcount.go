package main

import (
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// Who they are that something happens to, and what a new count changes: a keeper
// must see at once when more fish are meant than were thought of.

// wholeWords names all that a record holds on a day: "TF-D3a"; "all 12 fish of
// TF-F3 (5 males and 7 females)", without those sold on that day. A record that
// has no other fish then is refused.
func wholeWords(book *pedigree.Book, s *pedigree.Stock, on pedigree.Date) (string, error) {
	now := book.Heads(s, on)
	for _, sale := range s.Sold {
		if sold := numbersOf(sale.Count); sale.Date == on && sale.Numbered {
			now = pedigree.Numbers{Males: max(now.Males-sold.Males, 0), Females: max(now.Females-sold.Females, 0), Unsexed: max(now.Unsexed-sold.Unsexed, 0)}
		} else if sale.Date == on {
			now = pedigree.Numbers{}
		}
	}
	if s.Died == on && on.Known() {
		now = pedigree.Numbers{}
	}
	n := now.Total()
	kinds := 0
	for _, part := range []float64{now.Males, now.Females, now.Unsexed} {
		if part > 0 {
			kinds++
		}
	}
	switch {
	case n == 0:
		return "", usageError("there is no fish left of %s%s: %s", s.ID, onDay(on), presence(book, s, on))
	case !s.Lot:
		return s.ID, nil
	case n == 1:
		return "the last fish of " + s.ID + " (" + census(now) + ")", nil
	case n == 2:
		return "both fish of " + s.ID + " (" + census(now) + ")", nil
	case kinds == 1:
		return "all " + census(now) + " of " + s.ID, nil
	}
	return "all " + count(n, "fish") + " of " + s.ID + " (" + census(now) + ")", nil
}

// missingKinds refuses a count that says nothing of fish that the lot has: those
// left out would count as none. Only the unsexed may be left out, where as many
// fish are told as there were.
func (n *numberFlags) missingKinds(id string, before pedigree.Numbers, on pedigree.Date) error {
	var left, hints []string
	for _, part := range []struct {
		n         float64
		key, noun string
	}{{before.Males, "males", "male"}, {before.Females, "females", "female"}, {before.Unsexed, "unsexed", "unsexed fish"}} {
		told := part.key == "unsexed" && float64(n.count.Total()) >= before.Total()
		if part.n > 0 && !told && !n.cmd.Flags().Changed(part.key) {
			left = append(left, count(part.n, part.noun))
			hints = append(hints, "--"+part.key+" 0")
		}
	}
	if len(left) == 0 {
		return nil
	}
	return usageError("a count is of all the fish, and this one leaves out %s that %s has%s: say how many there are now, or %s if none",
		all(left), id, onDay(on), strings.Join(hints, " "))
}

// differenceWords says how a new count differs from what was there before.
func differenceWords(before, after pedigree.Numbers) string {
	if before.Total() == 0 {
		return ""
	}
	if before == after {
		return ", as before"
	}
	var fewer, more []string
	rest := after.Total() - before.Total() // that the sexes do not account for
	for _, part := range []struct {
		change float64
		noun   string
	}{{after.Males - before.Males, "male"}, {after.Females - before.Females, "female"}} {
		switch {
		case part.change < 0:
			fewer = append(fewer, count(-part.change, part.noun))
			rest -= part.change
		case part.change > 0 && before.Unsexed <= after.Unsexed:
			more = append(more, count(part.change, part.noun))
			rest -= part.change
		}
	}
	switch {
	case rest < 0:
		fewer = append(fewer, count(-rest, "fish")+" not told by sex")
	case rest > 0 && len(fewer) == 0:
		more = append(more, count(rest, "fish"))
	}
	var parts []string
	if len(fewer) > 0 {
		parts = append(parts, all(fewer)+" fewer")
	}
	if len(more) > 0 {
		parts = append(parts, all(more)+" more")
	}
	words := "; before: " + census(before)
	if len(parts) > 0 {
		words += ", so " + all(parts)
	}
	return words
}

// soldThatDay says that a count of a day on which fish were sold holds them still.
func soldThatDay(s *pedigree.Stock, on pedigree.Date) string {
	for _, sale := range s.Sold {
		if sale.Date == on {
			return fmt.Sprintf("Fish of %s were sold%s. They leave it at the end of the day, so this count must hold them still.", s.ID, onDay(on))
		}
	}
	return ""
}

// sameCount is the place of the count that holds already on that day and says the
// same, -1 where there is none.
func sameCount(s *pedigree.Stock, on pedigree.Date, n pedigree.Count) int {
	for i, change := range slices.Backward(s.Changes) {
		if change.Date == on {
			if change.Count == n {
				return i
			}
			break // a later one of the same day holds
		}
	}
	return -1
}
