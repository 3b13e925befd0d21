package pedigree

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Position is a place in a file: 1-based line and column (columns count
// characters), and how many characters to mark there.
type Position struct {
	File         string
	Line, Column int
	Width        int
}

// Where is the place of a record and of what is written inside it.
type Where struct {
	Position       // of the record's own key
	Keys     []Key // sorted by path: see [Where.SortKeys]
}

// Key is the place of one value inside a record. Path is "sire", "sire[1]",
// "bought.related" or "changes[0].males".
type Key struct {
	Path string
	Position
}

// SortKeys sorts the keys, as At and Has need them; of two with one path the
// last is kept. O(n log n), and O(n) where they are sorted already.
func (w *Where) SortKeys() {
	byPath := func(a, b Key) int { return strings.Compare(a.Path, b.Path) }
	if !slices.IsSortedFunc(w.Keys, byPath) {
		slices.SortStableFunc(w.Keys, byPath)
	}
	kept := w.Keys[:0]
	for _, k := range w.Keys {
		if n := len(kept); n > 0 && kept[n-1].Path == k.Path {
			kept[n-1] = k
		} else {
			kept = append(kept, k)
		}
	}
	w.Keys = kept
}

func (w Where) find(path string) (int, bool) {
	return slices.BinarySearchFunc(w.Keys, path, func(k Key, path string) int { return strings.Compare(k.Path, path) })
}

// At returns the place of the value written under the path, or of the nearest
// enclosing key that is known, down to the record itself.
func (w Where) At(path string) Position {
	for path != "" {
		if i, ok := w.find(path); ok {
			return w.Keys[i].Position
		}
		path = parentPath(path)
	}
	return w.Position
}

// Has reports whether the record has the key.
func (w Where) Has(path string) bool {
	_, ok := w.find(path)
	return ok
}

func parentPath(path string) string {
	for i := len(path) - 1; i >= 0; i-- {
		if path[i] == '.' || path[i] == '[' {
			return path[:i]
		}
	}
	return ""
}

// Severity says how bad a problem is.
type Severity int8

// An error is what cannot be true; a warning is what is doubtful.
const (
	Error Severity = iota
	Warning
)

func (s Severity) String() string { return [...]string{"error", "warning"}[s] }

// Problem is something in the book that cannot be true, or is doubtful.
type Problem struct {
	Position
	Severity Severity
	Rule     string // its name, as documented
	Message  string // what is wrong, in the keeper's words
	Hint     string // what to do about it, may be ""
	Places   []Place
	// Records are the ids of the stock and spawns whose answers it makes
	// unreliable; empty for a warning. See [Tainted].
	Records []string
	// KeepsSources says of an error that it leaves alone what the Records took
	// from others: from which, when and how many. The others are sound then.
	KeepsSources bool
	// Lines are the names of lines of which something could not be read, so
	// that what is told of the whole line may be wrong; * is every line.
	Lines []string
	// RecordsLost says that records of these lines may be among what could not
	// be read: then nothing can be told of them.
	RecordsLost bool
}

// EveryLine stands in [Problem.Lines] for all lines.
const EveryLine = "*"

// Place is another place that took part in a problem.
type Place struct {
	Position
	Note string
}

// About reports whether it is an error by which something of the line could not
// be read.
func (p Problem) About(line string) bool {
	return p.Severity == Error && (slices.Contains(p.Lines, line) || slices.Contains(p.Lines, EveryLine))
}

// String writes the place and the message on one line.
func (p Problem) String() string {
	return fmt.Sprintf("%s:%d:%d: %s: %s", p.File, p.Line, p.Column, p.Severity, p.Message)
}

// SortProblems orders problems by file, line, column, severity, rule and
// message, and drops doubles.
func SortProblems(problems []Problem) []Problem {
	slices.SortStableFunc(problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column),
			cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Message, b.Message))
	})
	return slices.CompactFunc(problems, func(a, b Problem) bool {
		return a.Position == b.Position && a.Rule == b.Rule && a.Message == b.Message
	})
}
