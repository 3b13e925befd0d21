package locus

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"roebook/pedigree"
)

// ItemKind says what kind of evidence an item is.
type ItemKind int8

// The kinds of evidence.
const (
	SexTold ItemKind = iota
	GenotypeTold
	PhenotypeTold
	FrySeen
	ParentTold // who the sire or the dam of a spawn was
)

// Item is one thing that a record states and an inference rests on.
type Item struct {
	Kind  ItemKind
	ID    string // of the stock record or the spawn
	Locus string // "" for a sex or a parent
	Words string // what it states, after the id: "was seen pale"
	At    pedigree.Position
	Side  pedigree.Sex // of a ParentTold

	likely []float64 // by genotype, of a fish
	counts []float64 // by phenotype, of fry
	others []float64 // the same, less those that have records of their own
	trait  *trait
}

// traitNamed returns the trait of that name, nil where the system has none.
func (s *system) traitNamed(name string) *trait {
	for _, t := range s.traits {
		if t.name == name {
			return t
		}
	}
	return nil
}

// alike reports whether a line declares the locus as the system's own line does.
func (s *system) alike(line *pedigree.Line, t *trait) bool {
	if line == s.line {
		return true
	}
	if line == nil || t.name == SexChromosomes {
		return line != nil && line.SexDetermination == "WXY"
	}
	for _, other := range line.Loci {
		if other.Name == t.name {
			own := *t.record
			own.Where, other.Where = pedigree.Where{}, pedigree.Where{}
			own.Note, other.Note, own.Source, other.Source = "", "", "", ""
			return reflect.DeepEqual(own, other)
		}
	}
	return false
}

// genotypeTold reads a genotype as a keeper states it of a fish: the chance of
// the statement by genotype, 1 or 0.
func (s *system) genotypeTold(t *trait, text string) ([]float64, error) {
	var loci []*locus
	for _, i := range t.loci {
		loci = append(loci, s.loci[i])
	}
	if t.name == SexChromosomes && len(text) == 2 {
		text = text[:1] + "/" + text[1:]
	}
	p, err := parsePattern(loci, text)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(s.genotypes))
	for i, g := range s.genotypes {
		if s.matches(g, t.loci, p) {
			out[i] = 1
		}
	}
	return out, nil
}

var errNoPhenotype = errors.New("no such phenotype")

// phenotypeTold is the chance that a fish looks so, by genotype.
func (s *system) phenotypeTold(t *trait, text string) ([]float64, error) {
	at := slices.Index(t.phenotypes, text)
	if at < 0 {
		return nil, errNoPhenotype
	}
	out := make([]float64, len(s.genotypes))
	for i, row := range t.shows {
		out[i] = row[at]
	}
	return out, nil
}

// told lists what a stock record itself states at the loci of the system.
func (s *system) told(book *pedigree.Book, stock *pedigree.Stock) []Item {
	if len(stock.Genotype)+len(stock.Phenotype) == 0 {
		return nil
	}
	line := book.LineNamed(stock.Line)
	var items []Item
	read := func(kind ItemKind, path, words string, traits []pedigree.Trait, read func(*trait, string) ([]float64, error)) {
		for _, told := range traits {
			t := s.traitNamed(told.Locus)
			if t == nil || !s.alike(line, t) {
				continue
			}
			if likely, err := read(t, told.Value); err == nil {
				items = append(items, Item{Kind: kind, ID: stock.ID, Locus: t.name, Words: fmt.Sprintf(words, t.name, told.Value),
					At: stock.Where.At(path + told.Locus), likely: likely, trait: t})
			}
		}
	}
	read(GenotypeTold, "genotype.", "has the %s genotype %s", stock.Genotype, s.genotypeTold)
	read(PhenotypeTold, "phenotype.", "shows %s %s", stock.Phenotype, s.phenotypeTold)
	return items
}

// seen lists the counts of fry of a spawn at the loci of the system. Those made
// before the trait can be told are left out.
func (s *system) seen(book *pedigree.Book, spawn *pedigree.Spawn) []Item {
	var items []Item
	for _, seen := range spawn.Seen {
		t := s.traitNamed(seen.Locus)
		if t == nil || len(t.phenotypes) == 0 || !s.alike(book.LineNamed(spawn.Line), t) || tooEarly(spawn, t.record) {
			continue
		}
		counts := make([]float64, len(t.phenotypes))
		total := 0
		var words []string
		for _, c := range seen.Counts {
			if i := slices.Index(t.phenotypes, c.Phenotype); i >= 0 && c.N > 0 {
				counts[i] = float64(c.N)
				total += c.N
				words = append(words, fmt.Sprintf("%d %s", c.N, c.Phenotype))
			}
		}
		if total > 0 {
			items = append(items, Item{Kind: FrySeen, ID: spawn.ID, Locus: t.name, Words: "has " + strings.Join(words, ", ") + " fry",
				At: spawn.Where.At("seen." + seen.Locus), counts: counts, trait: t})
		}
	}
	return items
}

// tooEarly reports whether the fry were looked at before the trait shows.
func tooEarly(spawn *pedigree.Spawn, record *pedigree.Locus) bool {
	return spawn.SeenDays.Stated && spawn.SeenDays.N < record.ScoredFromDays
}

// looks is the phenotype that all genotypes a fish may have are sure to show, -1
// where they may differ.
func (t *trait) looks(likely []float64) int {
	shown := -1
	for g, l := range likely {
		if l == 0 {
			continue
		}
		i := slices.Index(t.shows[g], 1)
		if i < 0 || shown >= 0 && shown != i {
			return -1
		}
		shown = i
	}
	return shown
}
