package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// smallPart is the share of a kinship below which its parts are told together.
const smallPart = 0.02

// writeWhy splits the kinship of every pair by ancestor, in words.
func (l *loaded) writeWhy(p *page, d *kinshipJSON) {
	roles := newRoles(l.book)
	told := false
	for _, at := range pairsOf(len(d.IDs)) {
		p.blank()
		a, b, value := d.IDs[at[0]], d.IDs[at[1]], d.Kinship[at[0]][at[1]]
		switch {
		case value == nil:
			p.say("%s and %s: no answer.", a, b)
		case *value == 0 && len(l.state.Why(a, b)) == 0:
			p.say("%s and %s have no ancestor in common, as far as the book knows.", a, b)
		default:
			l.writeParts(p, roles, a, b, *value)
			told = true
		}
	}
	if told {
		p.blank()
		p.say("Each part is what the two share by that ancestor itself, over what they share by its own ancestors.")
	}
}

// writeParts writes the parts of one kinship. As shown they add up to the total
// shown.
func (l *loaded) writeParts(p *page, roles *roles, a, b string, total float64) {
	through := l.state.Why(a, b)
	var values []float64
	var texts, small []string
	rest := 0.0
	for _, t := range through {
		if math.Abs(t.Kinship) < smallPart*total && len(through) > 8 {
			small = append(small, l.throughID(t))
			rest += t.Kinship
			continue
		}
		values, texts = append(values, t.Kinship), append(texts, l.throughWords(roles, t, a, b))
	}
	if len(small) > 0 {
		values, texts = append(values, rest), append(texts, "smaller parts: "+all(compact(small)))
	}
	p.say("The kinship of %s and %s is %s. Where it comes from:", a, b, kin(total))
	if t := through[0]; len(through) > 1 && t.Kinship > total/2 {
		p.say("Most of it, %s of %s, comes through %s.", kin(t.Kinship), kin(total), l.throughWords(roles, t, a, b))
	}
	var rows [][]string
	for i, units := range rounded(values, total) {
		rows = append(rows, []string{kin(float64(units) / kinUnits), texts[i]})
	}
	rows = append(rows, []string{kin(total), "in all"})
	p.table([]column{{head: "part", right: true}, {head: "through", wrap: true}}, rows)
}

// kinUnits is one over the smallest step of a kinship as shown.
const kinUnits = 1e4

// rounded rounds parts so that they add up to the rounded total: those with the
// greatest remainders give way.
func rounded(parts []float64, total float64) []int {
	units := make([]int, len(parts))
	order := make([]int, len(parts))
	left := int(math.Round(total * kinUnits))
	for i, part := range parts {
		units[i] = int(math.Round(part * kinUnits))
		left -= units[i]
		order[i] = i
	}
	step := 1
	if left < 0 {
		step = -1
	}
	off := func(i int) float64 { return float64(step) * (parts[i]*kinUnits - float64(units[i])) }
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(off(j), off(i)) })
	for i := 0; left != 0 && i < len(order); i++ {
		units[order[i]] += step
		left -= step
	}
	return units
}

// throughWords says which ancestor a part comes through, and how it stands to
// the two.
func (l *loaded) throughWords(roles *roles, t genetics.Through, a, b string) string {
	switch {
	case t.Related:
		return "what founders share by the keeper's word (related-founders)"
	case t.Sex != pedigree.Unsexed:
		return l.spawnParent(t)
	case t.Kinship < 0:
		return t.ID + ": less that much, because two fish of this lot are never the same fish"
	}
	stock := l.book.StockByID(t.ID)
	return t.ID + roles.both(a, b, stock)
}

// throughID is the id of an ancestor. The spawns of a table are not in it: the
// unknown parent of a fish goes by the fish's id.
func (l *loaded) throughID(t genetics.Through) string {
	if spawn := l.book.SpawnByID(t.ID); l.fromTable && spawn != nil {
		for _, s := range l.book.Stock {
			if len(s.FromSpawns) == 1 && s.FromSpawns[0].Spawn == spawn.ID {
				return s.ID
			}
		}
	}
	return t.ID
}

// spawnParent is the sire or dam of a spawn that is not known, or only known to
// be one of several.
func (l *loaded) spawnParent(t genetics.Through) string {
	spawn := l.book.SpawnByID(t.ID)
	side := sideWord(t.Sex)
	word := broodWord(l.book, spawn.Line) + " " + spawn.ID
	if l.fromTable {
		word = l.throughID(t)
	}
	if len(l.book.Contributors(spawn, t.Sex)) == 0 {
		return fmt.Sprintf("the unknown %s of %s", side, word)
	}
	return fmt.Sprintf("the %s of %s, whichever it was: %s", side, word, sideWords(l.book, spawn, t.Sex))
}
