package records

import (
	"slices"
	"strings"

	"roebook/pedigree"
)

// separators stand between the words of a text.
const separators = " \t\n,[]{}\"'"

// wordsOf returns the words of a text, each also without the punctuation
// around it and cut at its colons.
func wordsOf(text string) map[string]bool {
	words := map[string]bool{}
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(separators, r) }) {
		words[w] = true
		for _, part := range append(strings.Split(w, ":"), w) {
			words[part] = true
			words[strings.Trim(part, ".;:()!?#&*-|>")] = true
		}
	}
	delete(words, "")
	return words
}

// touching works out what the suspects touch.
type touching struct {
	*assembly
	odd []string // ids with separators in them, which are no words
}

// touch adds to the problems of suspects what these touch. O(records) for each
// suspect of which little can be read, else O(text).
func (a *assembly) touch() {
	if len(a.suspects) == 0 {
		return
	}
	t := &touching{assembly: a}
	for _, s := range a.book.Stock {
		if strings.ContainsAny(s.ID, separators) {
			t.odd = append(t.odd, s.ID)
		}
	}
	for _, s := range a.book.Spawns {
		if strings.ContainsAny(s.ID, separators) {
			t.odd = append(t.odd, s.ID)
		}
	}
	told := map[pedigree.Position][]int{}
	for i := range a.problems {
		if p := &a.problems[i]; p.Severity == pedigree.Error {
			told[p.Position] = append(told[p.Position], i)
			if file := (pedigree.Position{File: p.File}); told[file] == nil {
				told[file] = []int{i}
			}
		}
	}
	for _, s := range a.suspects {
		ids := t.touchedBy(s)
		for _, i := range told[s.at] {
			p := &a.problems[i]
			p.Records = withAll(p.Records, ids)
			switch {
			case s.may&everyLine != 0:
				p.Lines = []string{pedigree.EveryLine}
			case s.may&lineLost != 0 && p.Lines == nil:
				p.Lines = a.lineOf(s.at.File)
			}
			p.RecordsLost = p.RecordsLost || s.may&recordsLost != 0
		}
	}
}

// loseUnknown tells of records lost where an error names an id that no record
// has: its record could not be read.
func (a *assembly) loseUnknown() {
	for i := range a.problems {
		p := &a.problems[i]
		unknown := slices.ContainsFunc(p.Records, func(id string) bool { return a.book.StockByID(id) == nil && a.book.SpawnByID(id) == nil })
		if !unknown || p.Severity != pedigree.Error {
			continue
		}
		if p.RecordsLost = true; p.Lines == nil {
			p.Lines = a.lineOf(p.File)
		}
	}
}

// withAll adds the ids that are not yet in the list, which is not changed.
func withAll(list, ids []string) []string {
	out := slices.Clip(list)
	have := map[string]bool{}
	for _, id := range list {
		have[id] = true
	}
	for _, id := range ids {
		if !have[id] {
			have[id] = true
			out = append(out, id)
		}
	}
	return out
}

// lineOf returns the line that a file names, or every line.
func (a *assembly) lineOf(file string) []string {
	if name := a.lineOfFile[file]; name != "" {
		return []string{name}
	}
	return []string{pedigree.EveryLine}
}

// touchedBy returns the ids that a suspect touches, sorted.
func (t *touching) touchedBy(s suspect) []string {
	ids := t.named(s)
	if s.needed != "" {
		ids = append(ids, t.like(s.needed)...)
	}
	if s.may&everyLot != 0 || s.may&anyLot != 0 && !slices.ContainsFunc(ids, func(id string) bool { return t.book.StockByID(id) != nil }) {
		ids = append(ids, t.stock(func(s *pedigree.Stock) bool { return s.Lot })...)
	}
	if s.may&founders != 0 {
		line := t.lineOfFile[s.at.File]
		ids = append(ids, t.stock(func(s *pedigree.Stock) bool {
			return (s.Wild != nil || s.Bought != nil) && (line == "" || s.Line == line)
		})...)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// named returns the ids that stand in the text.
func (t *touching) named(s suspect) (ids []string) {
	add := func(id string) {
		if t.book.StockByID(id) != nil || s.may&spawnsToo != 0 && t.book.SpawnByID(id) != nil {
			ids = append(ids, id)
		}
	}
	for w := range wordsOf(s.text) {
		add(w)
	}
	for _, id := range t.odd {
		if strings.Contains(s.text, id) {
			add(id)
		}
	}
	return ids
}

// like returns the stock whose id may be meant by one that is no record's.
func (t *touching) like(id string) []string {
	return t.stock(func(s *pedigree.Stock) bool { return pedigree.Nearest(id, []string{s.ID}) != "" })
}

func (t *touching) stock(which func(*pedigree.Stock) bool) (ids []string) {
	for _, s := range t.book.Stock {
		if which(s) {
			ids = append(ids, s.ID)
		}
	}
	return ids
}
