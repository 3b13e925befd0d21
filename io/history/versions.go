package history

import (
	"errors"
	"path"
	"strings"

	"roebook/io/records"
	"roebook/pedigree"
)

// Version is the book as a commit has it.
type Version struct {
	Commit
	Sheets []*records.Sheet // none where the commit has no book
}

// Book puts the version's files together. It may be called for several
// versions at once; they share records, which must not be changed.
func (v Version) Book() (*pedigree.Book, []pedigree.Problem) { return records.Bind(v.Sheets) }

// HasBook reports whether the commit has a book in that folder.
func (v Version) HasBook() bool {
	for _, s := range v.Sheets {
		if s.Path() == records.BookFile {
			return true
		}
	}
	return false
}

// Text returns the text of a file, nil where the version has none of that path.
func (v Version) Text(path string) []byte {
	for _, s := range v.Sheets {
		if s.Path() == path {
			return s.Text()
		}
	}
	return nil
}

// Reader reads versions of the book, each text once. Close it when done.
type Reader struct {
	repo  *Repository
	shelf *records.Shelf
	o     *objects

	trees map[string][]treeEntry
	now   map[sheetKey]*records.Sheet // of the version read last
}

type sheetKey struct{ path, hash string }

// Reader begins to read versions of the book.
func (r *Repository) Reader(options records.Options) (*Reader, error) {
	o, err := r.objects()
	if err != nil {
		return nil, err
	}
	return &Reader{repo: r, shelf: records.NewShelf(r.dir, options), o: o, trees: map[string][]treeEntry{}}, nil
}

// Close ends the reading.
func (r *Reader) Close() { r.o.close() }

// Version reads the book as a commit has it. Only files are read that the
// version before did not have: going through a history costs what has changed.
func (r *Reader) Version(c Commit) (Version, error) {
	v := Version{Commit: c}
	root, err := r.folder(c.Hash + "^{tree}")
	if err != nil {
		return v, err
	}
	for part := range strings.SplitSeq(r.repo.Prefix, "/") {
		if part == "" {
			continue
		}
		next := ""
		for _, e := range root {
			if e.name == part && e.folder {
				next = e.hash
			}
		}
		if next == "" {
			return v, nil
		}
		if root, err = r.folder(next); err != nil {
			return v, err
		}
	}
	before := r.now
	r.now = make(map[sheetKey]*records.Sheet, len(before))
	return v, r.collect(&v, before, root, "")
}

func (r *Reader) collect(v *Version, before map[sheetKey]*records.Sheet, entries []treeEntry, dir string) error {
	for _, e := range entries {
		name := path.Join(dir, e.name)
		switch {
		case strings.HasPrefix(e.name, "."):
		case e.folder:
			inner, err := r.folder(e.hash)
			if err != nil {
				return err
			}
			if err := r.collect(v, before, inner, name); err != nil {
				return err
			}
		case e.file && (strings.HasSuffix(e.name, ".yaml") || strings.HasSuffix(e.name, ".yml")):
			key := sheetKey{name, e.hash}
			sheet := before[key]
			if sheet == nil {
				_, _, text, err := r.o.get(e.hash)
				if err != nil {
					return err
				}
				sheet = r.shelf.Sheet(records.File{Path: name, Text: text})
			}
			r.now[key] = sheet
			v.Sheets = append(v.Sheets, sheet)
		}
	}
	return nil
}

// folder reads a tree; those with a hash are kept.
func (r *Reader) folder(name string) ([]treeEntry, error) {
	if kept, ok := r.trees[name]; ok {
		return kept, nil
	}
	hash, _, content, err := r.o.get(name)
	if errors.Is(err, errMissing) {
		return nil, errors.New("git: part of the history is not in this clone; git fetch --unshallow, or --refetch, brings it")
	}
	if err != nil {
		return nil, err
	}
	entries, err := parseTree(content, len(hash)/2)
	if err != nil {
		return nil, err
	}
	if len(r.trees) > 1000 { // one path of folders is ever needed again
		clear(r.trees)
	}
	r.trees[name] = entries
	return entries, nil
}
