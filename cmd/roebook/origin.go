package main

import (
	"fmt"
	"strings"

	"roebook/pedigree"
)

// originWords says where a record came from, in the keeper's words.
func originWords(book *pedigree.Book, s *pedigree.Stock) string {
	switch {
	case s.Wild != nil:
		return wildWords(s)
	case s.Bought != nil:
		return boughtWords(s)
	case s.Picked != "":
		return "picked out of " + s.Picked + onDay(s.Date)
	case len(s.FromSpawns) > 0:
		return fryWords(book, s)
	case len(s.Merged) > 0:
		return mergedWords(book, s)
	}
	return "not stated"
}

func wildWords(s *pedigree.Stock) string {
	words := "wild-caught"
	if s.Wild.Site != "" {
		words += ", " + s.Wild.Site
	}
	if s.Wild.Date.Known() {
		words += ", " + s.Wild.Date.String()
	}
	if s.Wild.Collector != "" {
		words += ", by " + s.Wild.Collector
	}
	if s.Wild.Permit != "" {
		words += " (permit " + s.Wild.Permit + ")"
	}
	if s.Lot && s.Wild.Related > 0 {
		words += "; taken as " + relatedWords(s.Wild.Related)
	}
	return words
}

func boughtWords(s *pedigree.Stock) string {
	words := "bought"
	if s.Bought.From != "" {
		words += " from " + s.Bought.From
	}
	if s.Bought.Date.Known() {
		words += ", " + s.Bought.Date.String()
	}
	if d := s.Bought.Generation; d != nil {
		g := pedigree.Generation{Min: d.Min, Max: d.Max, AtLeast: d.AtLeast}
		words += "; " + g.Label() + " by the seller's word"
	}
	if s.Lot {
		words += "; taken as " + relatedWords(s.Bought.Kinship())
		if !s.Bought.RelatedStated {
			words += ", as nothing is stated"
		}
	}
	return words
}

// originNote is the remark on how founders were caught or bought, "" where there
// is none.
func originNote(s *pedigree.Stock) string {
	switch {
	case s.Wild != nil:
		return s.Wild.Note
	case s.Bought != nil:
		return s.Bought.Note
	}
	return ""
}

func relatedWords(kinship float64) string {
	switch kinship {
	case 0:
		return "unrelated to each other"
	case 0.125:
		return "half-sibs of each other"
	case 0.25:
		return "full sibs of each other"
	}
	return "related to each other by a kinship of " + kin(kinship)
}

func fryWords(book *pedigree.Book, s *pedigree.Stock) string {
	var parts []string
	for _, from := range s.FromSpawns {
		words := from.Spawn
		if spawn := book.SpawnByID(from.Spawn); spawn != nil {
			words = spawnWords(book, spawn)
		}
		switch {
		case len(s.FromSpawns) == 1:
		case s.Lot:
			words = amount(from.Share) + " young of " + words
		default:
			words += fmt.Sprintf(" (odds %s)", amount(from.Share))
		}
		parts = append(parts, words)
	}
	if s.Lot && len(parts) > 1 {
		return all(parts)
	}
	return "young of " + either(parts)
}

func mergedWords(book *pedigree.Book, s *pedigree.Stock) string {
	var parts []string
	for _, part := range s.Merged {
		from := book.StockByID(part.ID)
		switch {
		case from != nil && !from.Lot:
			parts = append(parts, part.ID)
		case part.Whole:
			parts = append(parts, countWords(part.Count.Unsexed, "fish")+" of "+part.ID)
		default:
			parts = append(parts, census(numbersOf(part.Count))+" of "+part.ID)
		}
	}
	return "put together" + onDay(s.Date) + " from " + all(parts)
}

// broughtBy returns the spawns that a record's fish are from, following picks
// back to the lot they were taken out of.
func broughtBy(book *pedigree.Book, s *pedigree.Stock) []*pedigree.Spawn {
	var spawns []*pedigree.Spawn
	for _, from := range book.Beginning(s).FromSpawns {
		if spawn := book.SpawnByID(from.Spawn); spawn != nil {
			spawns = append(spawns, spawn)
		}
	}
	return spawns
}

// sideWords says who the sire (Male) or the dam (Female) of a spawn was: "any
// one of the 3 males of AS-W1".
func sideWords(book *pedigree.Book, spawn *pedigree.Spawn, sex pedigree.Sex) string {
	return parentWords(book, spawn, sex, false)
}

// anyOne begins the words for one parent out of several.
const anyOne = "any one of "

// parentWords says the same; ofOne: of a single one of the young, which has one
// sire and one dam.
func parentWords(book *pedigree.Book, spawn *pedigree.Spawn, sex pedigree.Sex, ofOne bool) string {
	contributors := book.Contributors(spawn, sex)
	first := book.FirstOf(spawn)
	if first == nil {
		first = spawn
	}
	parents, odds := first.ParentsOf(sex), first.SideOf(sex).Odds
	if len(contributors) == 0 {
		if parents.N > 1 {
			if ofOne {
				return "unknown; taken as related to no other fish"
			}
			return fmt.Sprintf("%d unknown %ss, taken as related to no other fish", parents.N, sideWord(sex))
		}
		return "unknown; taken as related to no other fish"
	}
	fish := 0.0
	var parts []string
	for _, c := range contributors {
		fish += c.Fish
		words := candidateWords(c, sex)
		if odds && len(contributors) > 1 {
			words += " (" + percent(c.Share) + ")"
		}
		parts = append(parts, words)
	}
	lead := ""
	switch n := parents.Number(fish); {
	case fish <= 1:
	case ofOne && (parents.All || n >= fish):
		lead = anyOne
	case parents.All || n >= fish:
		return "all of " + all(parts) + ", each giving a share"
	case ofOne && n > 1:
		lead = "one of " + amount(n) + " out of "
	case n > 1:
		lead = amount(n) + " out of "
	default:
		lead = anyOne
	}
	return lead + either(parts)
}

func candidateWords(c pedigree.Contributor, sex pedigree.Sex) string {
	switch {
	case !c.Stock.Lot && c.Fish < 1:
		return c.Stock.ID + " (never sexed)"
	case !c.Stock.Lot:
		return c.Stock.ID
	case c.Fish == 1:
		return "the one " + sex.String() + " of " + c.Stock.ID
	case c.Fish != float64(int(c.Fish)):
		return fmt.Sprintf("the %ss of %s (about %s; some never sexed)", sex, c.Stock.ID, amount(c.Fish))
	}
	return "the " + count(c.Fish, sex.String()) + " of " + c.Stock.ID
}

func sideWord(sex pedigree.Sex) string {
	if sex == pedigree.Female {
		return "dam"
	}
	return "sire"
}

// founderWords says where a founder came from, in few words.
func (l *loaded) founderWords(id string) string {
	s := l.book.StockByID(id)
	if s == nil || l.fromTable {
		return ""
	}
	words := ""
	first := l.book.Beginning(s)
	switch {
	case first.Wild != nil:
		words = "wild-caught"
		if first.Wild.Site != "" {
			words += ", " + first.Wild.Site
		}
		if first.Wild.Date.Known() {
			words += ", " + first.Wild.Date.String()
		}
	case first.Bought != nil:
		words = "bought"
		if first.Bought.From != "" {
			words += " from " + first.Bought.From
		}
		if first.Bought.Date.Known() {
			words += ", " + first.Bought.Date.String()
		}
	}
	if first != s {
		words = "picked out of " + first.ID + ", " + words
	}
	return words
}

// presence says what became of a record by the date: "living", "died on
// 2024-02-10".
func presence(book *pedigree.Book, s *pedigree.Stock, on pedigree.Date) string {
	if s.Gone {
		return "not living"
	}
	if begins := book.Begins(s); begins.Known() && begins > on {
		return "not there yet: the record begins" + onDay(begins)
	}
	if now := book.Heads(s, on); now.Total() > 0 {
		return livingWords(s, now, on)
	}
	if s.Lot {
		return emptyWords(book, s, on)
	}
	if into := book.MergedInto(s.ID); into != nil && into.Date <= on {
		return "in the lot " + into.ID + onDay(into.Date)
	}
	if s.Died.Known() && s.Died < on {
		return "died" + onDay(s.Died)
	}
	for _, sale := range s.Sold {
		if sale.Date < on {
			return "sold" + onDay(sale.Date) + toWords(sale.To)
		}
	}
	return "none left"
}

// emptyWords says when a lot lost its last fish.
func emptyWords(book *pedigree.Book, s *pedigree.Stock, on pedigree.Date) string {
	history := book.LotHistory(s.ID)
	if history == nil {
		return "none left"
	}
	at := history.Index(on)
	for at > 0 && history.States[at-1].Stated.Total() == 0 {
		at--
	}
	if at == 0 {
		return "none left"
	}
	last := history.Events[at-1]
	return "none left since" + strings.TrimPrefix(onDay(last.Moment.Date), " on")
}

func livingWords(s *pedigree.Stock, now pedigree.Numbers, on pedigree.Date) string {
	words := "living"
	if s.Lot {
		words = census(now) + " living"
	}
	for _, loan := range s.Lent {
		if loan.Date < on && (loan.Back == 0 || on < loan.Back) {
			words += ", lent" + toWords(loan.To) + onDay(loan.Date)
		}
	}
	if s.Retired.Known() && s.Retired < on {
		words += ", kept but not bred since " + s.Retired.String()
	}
	if s.QuarantineUntil > on {
		words += ", in quarantine until " + s.QuarantineUntil.String()
	}
	if last := lastDayWords(s, on); last != "" {
		words += "; " + last
	}
	return words
}

// lastDayWords says what happened to a record on the day itself, which counts
// only from the next: "died that day; counted as living until its end".
func lastDayWords(s *pedigree.Stock, on pedigree.Date) string {
	var gone, away []string
	for _, sale := range s.Sold {
		switch {
		case sale.Date != on:
		case sale.Numbered:
			gone = append(gone, census(numbersOf(sale.Count))+" sold"+toWords(sale.To))
		default:
			gone = append(gone, "sold"+toWords(sale.To))
		}
	}
	if s.Died == on && on.Known() {
		gone = append(gone, "died")
	}
	for _, loan := range s.Lent {
		if loan.Date == on && loan.Back != on {
			away = append(away, "lent"+toWords(loan.To))
		}
	}
	if s.Retired == on && on.Known() {
		away = append(away, "retired")
	}
	switch {
	case len(gone) > 0:
		return all(append(gone, away...)) + " that day; counted as living until its end"
	case len(away) > 0:
		return all(away) + " that day; may be proposed for a pair until its end"
	}
	return ""
}
