package records

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"roebook/pedigree"
)

// Draft is a book together with the text it was read from, so that it can be
// edited.
type Draft struct {
	Book     *pedigree.Book
	Problems []pedigree.Problem // of the reading

	files  []File
	unread []pedigree.Problem
	kept   *snapshot
}

// ReadDraft reads the book in the folder dir as [ReadCached] does, and keeps its
// text.
func ReadDraft(dir string, o Options) (*Draft, error) {
	f, err := readFolder(dir)
	if err != nil {
		return nil, err
	}
	t := &Draft{files: f.files, unread: f.problems, kept: openSnapshot(dir, o)}
	t.read()
	return t, nil
}

// NewDraft is a book of these files.
func NewDraft(files []File) *Draft {
	t := &Draft{files: files}
	t.read()
	return t
}

func (t *Draft) read() {
	t.Book, t.Problems = parseWith(t.files, slices.Clone(t.unread), pieceLines, t.kept)
}

// File returns the bytes of a file of the book, nil where it has none of that
// path.
func (t *Draft) File(path string) []byte {
	for _, f := range t.files {
		if f.Path == path {
			return f.Text
		}
	}
	return nil
}

// Mentions returns the lines on which a word stands by itself, in all files.
func (t *Draft) Mentions(word string) []pedigree.Position {
	var out []pedigree.Position
	for _, f := range t.files {
		n := 0
		for line := range strings.Lines(string(f.Text)) {
			n++
			if i := standsIn(line, word); i >= 0 {
				out = append(out, pedigree.Position{File: f.Path, Line: n, Column: utf8.RuneCountInString(line[:i]) + 1, Width: utf8.RuneCountInString(word)})
			}
		}
	}
	return out
}

// standsIn is where a word stands in a text by itself, -1 where it does not.
func standsIn(text, word string) int {
	part := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' }
	for from := 0; ; {
		i := strings.Index(text[from:], word)
		if i < 0 {
			return -1
		}
		i += from
		before, _ := utf8.DecodeLastRuneInString(text[:i])
		after, _ := utf8.DecodeRuneInString(text[i+len(word):])
		if !part(before) && !part(after) {
			return i
		}
		from = i + len(word)
	}
}

// Edit makes edits in the text, all or none, and returns the book that is read
// from it then, with the files that differ. The text itself stays as it is, and
// nothing is written. Only the lines that must change do: comments, blank lines,
// the order of keys, quotes, indentation, brackets, line endings and a byte
// order mark stay. Every file that changed is parsed again and must say what it
// said before and the edits, no more and no less, or Edit fails. Whether the
// intended book keeps the rules is for the caller to see. Cost: O(n) in the text
// of the files that change, and what reading a book costs.
func (t *Draft) Edit(edits ...Edit) (*Draft, []Changed, error) {
	changed, err := makeEdits(t.Book, t.files, edits)
	if err != nil {
		return nil, nil, err
	}
	return t.With(changed), changed, nil
}

// With returns the book with other text in some of its files.
func (t *Draft) With(changed []Changed) *Draft {
	after := &Draft{files: slices.Clone(t.files), unread: t.unread}
	for _, c := range changed {
		for i := range after.files {
			if after.files[i].Path == c.Path {
				after.files[i].Text = c.New
			}
		}
	}
	if t.kept != nil {
		again := *t.kept
		after.kept = &again
	}
	after.read()
	return after
}

// Paths lists the files of the book that hold records, sorted, with roebook.yaml.
func (t *Draft) Paths() []string {
	var out []string
	for _, f := range (&assembly{}).choose(t.files) {
		out = append(out, f.Path)
	}
	return out
}
