package main

import (
	"strings"

	"roebook/pedigree"
)

// answerable looks up ids given on the command line. It fails on an unknown
// one, and returns those that errors do not touch, saying which they do.
func (l *loaded) answerable(ids []string) ([]string, error) {
	var out []string
	for _, id := range ids {
		switch {
		case l.tainted[id]:
			l.env.complain(id + " has no answer: errors in the book touch it")
		case l.known(id):
			out = append(out, id)
		default:
			return nil, l.unknown(id)
		}
	}
	return out, nil
}

func (l *loaded) known(id string) bool {
	return l.book.StockByID(id) != nil || l.book.SpawnByID(id) != nil
}

func (l *loaded) unknown(id string) error {
	var names []string
	for _, s := range l.whole.Stock {
		names = append(names, s.ID)
	}
	for _, s := range l.whole.Spawns {
		names = append(names, s.ID)
	}
	return usageError("no fish, lot or spawn is called %s%s", id, didYouMean(id, names))
}

// lineNamed finds a line by the name given, or the only line where none is.
func (l *loaded) lineNamed(name string) (*pedigree.Line, error) {
	if line := l.whole.LineNamed(name); line != nil {
		return line, nil
	}
	var names []string
	for _, line := range l.whole.Lines {
		names = append(names, line.Name)
	}
	if len(names) == 0 {
		return nil, usageError("no line is called %s: the book has none yet", name)
	}
	hint := didYouMean(name, names)
	if hint == "" {
		hint = "; the book has " + some(names, 8)
	}
	return nil, usageError("no line is called %s%s", name, hint)
}

func didYouMean(word string, candidates []string) string {
	best, least := "", len([]rune(word))/2+1
	for _, c := range candidates {
		if cost := changes(strings.ToLower(word), strings.ToLower(c)); cost < least {
			best, least = c, cost
		}
	}
	if best == "" {
		return ""
	}
	return "; did you mean " + best + "?"
}

// changes is how many letters must be put in, taken out or changed to turn one
// word into the other (Levenshtein 1966).
func changes(from, to string) int {
	a, b := []rune(from), []rune(to)
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		before := row[0]
		row[0] = i + 1
		for j := range b {
			cost := before
			if a[i] != b[j] {
				cost++
			}
			before = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
