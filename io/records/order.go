package records

import (
	"slices"
	"strings"
)

// keyOrder is the order in which the keys of a record are written: who it is,
// how many, where it is kept, and then what happened to it.
var keyOrder = map[string][]string{
	"stock": {"wild", "bought", "spawn", "picked", "merged", "date", "born", "sex", "males", "females", "unsexed", "count",
		"name", "species", "locality", "genotype", "phenotype", "tank", "quarantine-until", "changes", "sold", "lent", "retired", "died", "note"},
	"spawns": {"date", "planned", "sire", "dam", "group", "repeat", "sires", "dams", "virgin", "conceived", "intended",
		"eggs", "fertile", "hatched", "born", "swimming", "kept", "deformed", "culled", "lost", "seen", "seen-days", "tank", "conditions", "note"},
}

// rank is the place of a key in its order; keys that have none come last.
func rank(section, key string) int {
	if i := slices.Index(keyOrder[section], key); i >= 0 {
		return i
	}
	return len(keyOrder[section])
}

// placeOf is how many keys of a record stand before a new one: all up to the
// last that usually comes before it.
func placeOf(section, key string, p *part) int {
	for i := len(p.entries); i > 0; i-- {
		if rank(section, p.entries[i-1].key) <= rank(section, key) {
			return i
		}
	}
	return 0
}

// inOrder sorts keys into their order.
func inOrder(section string, pairs []Pair) []Pair {
	pairs = slices.Clone(pairs)
	slices.SortStableFunc(pairs, func(a, b Pair) int { return rank(section, a.Key) - rank(section, b.Key) })
	return pairs
}

// compareIDs orders ids as people do: TF-S9 before TF-S10.
func compareIDs(a, b string) int {
	for a != "" && b != "" {
		x, y := digits(a), digits(b)
		if x > 0 && y > 0 {
			m, n := strings.TrimLeft(a[:x], "0"), strings.TrimLeft(b[:y], "0")
			if c := len(m) - len(n); c != 0 {
				return c
			}
			if c := strings.Compare(m, n); c != 0 {
				return c
			}
			if x != y {
				return x - y
			}
			a, b = a[x:], b[y:]
			continue
		}
		if a[0] != b[0] {
			return int(a[0]) - int(b[0])
		}
		a, b = a[1:], b[1:]
	}
	return len(a) - len(b)
}

// digits is how many digits a text begins with.
func digits(text string) int {
	n := 0
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return n
}
