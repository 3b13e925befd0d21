package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// event is one thing that happened to a record.
type event struct {
	on    pedigree.Date
	words string
}

// happened lists what happened to a record up to the day asked for: what left a
// lot, loans, retirement and new counts, in the order of time. What [presence]
// says is left out.
func (l *loaded) happened(s *pedigree.Stock) []event {
	on := l.state.Date()
	living := l.book.Heads(s, on).Total() > 0
	var list []event
	if s.Lot {
		list = l.departures(s)
	}
	for _, loan := range s.Lent {
		if living && !loan.Back.Known() {
			continue
		}
		list = append(list, event{loan.Date, "lent" + toWords(loan.To)})
		if loan.Back.Known() {
			list = append(list, event{loan.Back, "back" + fromWords(loan.To)})
		}
	}
	for _, change := range s.Changes {
		words := "counted: " + census(numbersOf(change.Count))
		if change.Why != "" {
			words += " (" + change.Why + ")"
		}
		list = append(list, event{change.Date, words})
	}
	if s.Retired.Known() && !living {
		list = append(list, event{s.Retired, "retired: kept, but not bred"})
	}
	list = slices.DeleteFunc(list, func(e event) bool { return e.on > on })
	slices.SortStableFunc(list, func(a, b event) int { return cmp.Compare(a.on, b.on) })
	return list
}

// departures lists how fish left a lot.
func (l *loaded) departures(s *pedigree.Stock) []event {
	var list []event
	for _, other := range l.book.Stock {
		if other.Picked == s.ID && other != s {
			words := "1 fish picked out"
			if other.Lot {
				words = census(numbersOf(other.Count)) + " picked out"
			}
			list = append(list, event{other.Date, words + ": " + other.ID})
		}
		for _, part := range other.Merged {
			if part.ID == s.ID {
				words := l.numberLeft(s, other.Date, pedigree.Moved, other.ID)
				list = append(list, event{other.Date, words + " moved into " + other.ID})
			}
		}
	}
	for _, sale := range s.Sold {
		words := census(numbersOf(sale.Count))
		if !sale.Numbered {
			words = l.numberLeft(s, sale.Date, pedigree.Died, "")
		}
		words += " sold" + toWords(sale.To)
		if sale.Note != "" {
			words += " (" + sale.Note + ")"
		}
		list = append(list, event{sale.Date, words})
	}
	if s.Died.Known() {
		list = append(list, event{s.Died, l.numberLeft(s, s.Died, pedigree.Died, "") + " died"})
	}
	return list
}

// numberLeft says how many fish left a lot on a day, as that kind of leaver.
func (l *loaded) numberLeft(s *pedigree.Stock, on pedigree.Date, kind pedigree.LeaverKind, into string) string {
	history := l.book.LotHistory(s.ID)
	if history == nil {
		return "the fish"
	}
	for _, e := range history.Events {
		for _, left := range e.Left {
			if e.Moment.Date == on && left.Kind == kind && left.ID == into && left.Stated.Total() > 0 {
				return census(left.Stated)
			}
		}
	}
	return "the rest"
}

func numbersOf(c pedigree.Count) pedigree.Numbers {
	return pedigree.Numbers{Males: float64(c.Males), Females: float64(c.Females), Unsexed: float64(c.Unsexed)}
}

func toWords(whom string) string {
	if whom == "" {
		return ""
	}
	return " to " + whom
}

func fromWords(whom string) string {
	if whom == "" {
		return ""
	}
	return " from " + whom
}

// writeHappened lists on the page what happened to a record.
func (s *shower) writeHappened(p *page, stock *pedigree.Stock) {
	label := "since then"
	for _, e := range s.happened(stock) {
		day := e.on.String()
		if day == "" {
			day = "undated"
		}
		p.field(label, "%s: %s", day, e.words)
		label = ""
	}
}

// writeCircumstances tells how a spawn came about and what was seen of it.
func (s *shower) writeCircumstances(p *page, spawn *pedigree.Spawn) {
	var remarks []string
	if spawn.Virgin {
		remarks = append(remarks, "the dam had met no other male")
	}
	if spawn.Intended {
		remarks = append(remarks, "the pair was meant so")
	}
	if len(remarks) > 0 {
		p.field("pairing", "%s", strings.Join(remarks, "; "))
	}
	label := "seen"
	for _, seen := range spawn.Seen {
		var parts []string
		for _, c := range seen.Counts {
			parts = append(parts, fmt.Sprintf("%d %s", c.N, c.Phenotype))
		}
		words := seen.Locus + ": " + all(parts)
		if spawn.SeenDays.Stated {
			words += fmt.Sprintf(", at %s", countWords(spawn.SeenDays.N, "day"))
		}
		p.field(label, "%s", words)
		label = ""
	}
	label = "conditions"
	for _, c := range spawn.Conditions {
		p.field(label, "%s: %s", c.Key, c.Value)
		label = ""
	}
}
