package pedigree

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// few is below the smallest part of a fish that arises where the sexes of fish
// that left were never told.
const few = 1e-9

// fishText writes a number of fish: "2", "2.5".
func fishText(n float64) string {
	return strconv.FormatFloat(math.Round(n*100)/100, 'f', -1, 64)
}

// plural writes a number with its noun: "1 male", "3 males".
func plural(n float64, one, many string) string {
	if math.Abs(n-1) < few {
		return "1 " + one
	}
	return fishText(n) + " " + many
}

// censusText writes who is in a lot: "2 males and 3 unsexed"; "no fish".
func censusText(n Numbers) string {
	var parts []string
	if n.Males > few {
		parts = append(parts, plural(n.Males, "male", "males"))
	}
	if n.Females > few {
		parts = append(parts, plural(n.Females, "female", "females"))
	}
	if n.Unsexed > few {
		parts = append(parts, plural(n.Unsexed, "unsexed fish", "unsexed fish"))
	}
	if len(parts) == 0 {
		return "no fish"
	}
	return listText(parts)
}

// listText joins words: "a", "a and b", "a, b and c".
func listText(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// sexWord names one fish of a sex.
func sexWord(sex Sex) string {
	if sex == Unsexed {
		return "fish"
	}
	return sex.String()
}

// sideWord names the side that a sex takes in a spawn.
func sideWord(sex Sex) string {
	if sex == Female {
		return "dam"
	}
	return "sire"
}

// onDay writes a date after a verb: "on 2022-03-01", "in 2022-03".
func onDay(d Date) string {
	switch {
	case !d.Known():
		return "on a day that is not known"
	case d%100 == 0:
		return "in " + d.String()
	}
	return "on " + d.String()
}

// ofDay writes a date after a noun: " of 2022-03-01"; "" where it is not known.
func ofDay(d Date) string {
	if !d.Known() {
		return ""
	}
	return " of " + d.String()
}

// eventDay writes when fish left a lot.
func eventDay(d Date) string {
	if !d.Known() {
		return "before any spawn"
	}
	return onDay(d)
}

// monthsText writes an age or a span in months.
func monthsText(months float64) string { return plural(months, "month", "months") }

// monthsBetween is how many months passed from a to b, in whole days.
func monthsBetween(a, b Date) float64 {
	days := b.Time().Sub(a.Time()).Hours() / 24
	return math.Round(days/30.44*10) / 10
}

// stateText writes who was in a lot on a date: "AS-F1 held 3 females on
// 2022-05-04", or as it began where no date is known.
func stateText(h *LotHistory, date Date) string {
	held := censusText(h.At(date).Stated)
	if !date.Known() {
		return fmt.Sprintf("%s began with %s", h.Lot.ID, held)
	}
	return fmt.Sprintf("%s held %s %s", h.Lot.ID, held, onDay(date))
}
