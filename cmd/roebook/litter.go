package main

import (
	"slices"
	"strings"

	"roebook/genetics"
	"roebook/io/sheet"
	"roebook/pedigree"
)

// litter fills the sheet of a spawn from the book.
func (l *loaded) litter(spawn *pedigree.Spawn) sheet.Litter {
	line := l.book.LineNamed(spawn.Line)
	if line == nil {
		line = &pedigree.Line{}
	}
	out := sheet.Litter{
		ID: spawn.ID, Line: spawn.Line, Species: l.speciesWords(spawn), CommonName: line.CommonName, Locality: l.localityWords(spawn),
		BroodWord: line.BroodWord, Livebearer: l.livebearer(line), Status: "recorded", Date: spawn.Date,
		Eggs: tallied(spawn.Eggs), Fertile: tallied(spawn.Fertile), Hatched: tallied(spawn.Hatched), Born: tallied(spawn.Born),
		Swimming: tallied(spawn.Swimming), Kept: tallied(spawn.Kept), Deformed: tallied(spawn.Deformed),
		Culled: tallied(spawn.Culled), Lost: tallied(spawn.Lost), Notes: spawn.Note,
	}
	if out.Species != line.Species {
		out.CommonName = ""
	}
	if spawn.IsPlanned() {
		out.Status, out.Date = "planned for "+spawn.Planned.String(), spawn.Planned
		out.Beware = l.beware(spawn)
	}
	out.Sire, out.Dam = l.parent(spawn, pedigree.Male), l.parent(spawn, pedigree.Female)
	if f, ok := l.state.Expected(spawn); ok {
		out.Inbreeding, out.InbreedingWords = known(f, true), "the parents are "+genetics.Relation(f)
		if limit := line.Goal.MaxInbreeding; limit != nil {
			out.Goal = "the line's limit is " + percent(*limit)
			if f > *limit+1e-12 {
				out.Goal += ": this is above it"
			}
		}
	}
	if g, ok := l.state.Generation(spawn.ID); ok {
		out.Generation, out.GenerationWords = g.Label(), generationInShort(g, l.allBought(spawn) && !g.AtLeast)
	}
	for _, tank := range line.Tanks {
		out.Tanks = append(out.Tanks, tank.ID)
	}
	return out
}

// speciesWords is the species of the fry; of two species both.
func (l *loaded) speciesWords(spawn *pedigree.Spawn) string {
	if kinds := stated(l.kindsOf(spawn, l.book.SpeciesOf)); len(kinds) > 1 {
		return strings.Join(kinds, " x ") + " (hybrid)"
	}
	return speciesOfFry(l.book, spawn)
}

// localityWords is the locality of a spawn's parents; of two both.
func (l *loaded) localityWords(spawn *pedigree.Spawn) string {
	kinds := stated(l.kindsOf(spawn, l.book.LocalityOf))
	if line := l.book.LineNamed(spawn.Line); len(kinds) == 0 && line != nil {
		return line.Locality
	}
	return strings.Join(kinds, " x ")
}

// stated drops what is not stated.
func stated(kinds []string) []string {
	return slices.DeleteFunc(kinds, func(kind string) bool { return kind == "" })
}

// allBought reports whether all genes of a spawn's young are from bought fish.
func (l *loaded) allBought(spawn *pedigree.Spawn) bool {
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		contributors := l.book.Contributors(spawn, sex)
		for _, c := range contributors {
			if from, ok := l.state.Ancestry(c.Stock.ID); !ok || from.Bought < 1-1e-9 {
				return false
			}
		}
		if len(contributors) == 0 {
			return false
		}
	}
	return true
}

// livebearer reports whether the spawns of a line are born: any is counted so,
// or none is counted and the line's word is litter.
func (l *loaded) livebearer(line *pedigree.Line) bool {
	laid := false
	for _, spawn := range l.book.Spawns {
		if spawn.Line != line.Name {
			continue
		}
		if spawn.Born.Stated {
			return true
		}
		laid = laid || spawn.Eggs.Stated || spawn.Fertile.Stated || spawn.Hatched.Stated
	}
	return !laid && line.BroodWord == "litter"
}

func tallied(t pedigree.Tally) *int {
	if !t.Stated {
		return nil
	}
	return &t.N
}

// parent puts one side of a spawn in words.
func (l *loaded) parent(spawn *pedigree.Spawn, sex pedigree.Sex) sheet.Parent {
	contributors := l.book.Contributors(spawn, sex)
	out := sheet.Parent{ID: "unknown", Words: sideWords(l.book, spawn, sex)}
	if len(contributors) == 0 {
		return out
	}
	var ids, origins, tanks []string
	var generation pedigree.GenerationMix
	for _, c := range contributors {
		ids = append(ids, c.Stock.ID)
		origins = append(origins, l.shortOrigin(c.Stock))
		if c.Stock.Tank != "" {
			tanks = append(tanks, c.Stock.Tank)
		}
		if g, ok := l.state.Generation(c.Stock.ID); ok {
			generation.Add(g, c.Share)
		}
	}
	out.ID, out.Origin, out.Tank = either(ids), strings.Join(compact(origins), "; "), strings.Join(compact(tanks), ", ")
	out.Generation = generation.Label()
	if out.Words == out.ID {
		out.Words = ""
		if name := contributors[0].Stock.Name; name != "" {
			out.Words = quoted(name)
		}
	}
	return out
}

// shortOrigin says where a fish came from without the small print.
func (l *loaded) shortOrigin(s *pedigree.Stock) string {
	first := l.book.Beginning(s)
	if first.Wild != nil || first.Bought != nil {
		return l.founderWords(s.ID)
	}
	words := originWords(l.book, first)
	if first != s {
		words = "picked out of " + first.ID + ", " + words
	}
	return words
}

// compact drops doubles and keeps the order.
func compact(list []string) []string {
	var out []string
	seen := make(map[string]bool)
	for _, text := range list {
		if !seen[text] {
			seen[text] = true
			out = append(out, text)
		}
	}
	return out
}
