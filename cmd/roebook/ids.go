package main

import (
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

func (l *loaded) unknown(id string) error { return unknownID(l.whole, id) }

// unknownName is the same where a line could have been meant too.
func (l *loaded) unknownName(name string) error {
	names := idsOf(l.whole)
	for _, line := range l.whole.Lines {
		names = append(names, line.Name)
	}
	return usageError("no fish, lot, spawn or line is called %s%s", name, didYouMean(name, names))
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
	near := pedigree.Nearest(word, candidates)
	if near == "" {
		return ""
	}
	return "; did you mean " + near + "?"
}
