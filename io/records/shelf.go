package records

import (
	"crypto/sha256"
	"slices"
	"sync"

	"roebook/pedigree"
)

// Sheet is one file of some version of a book. It is parsed when first needed,
// once, however many versions of the book it stands in.
type Sheet struct {
	file  File
	shelf *Shelf
	once  sync.Once
	src   *source
	parts decoded
}

// Shelf takes in the files of several versions of one book.
type Shelf struct{ kept *snapshot }

// NewShelf is a shelf for versions of the book in the folder dir. What the
// book's snapshot has of its files is not parsed again.
func NewShelf(dir string, o Options) *Shelf { return &Shelf{openSnapshot(dir, o)} }

// Sheet takes in a file; its path is relative to the book's folder.
func (s *Shelf) Sheet(f File) *Sheet { return &Sheet{file: f, shelf: s} }

// Path is the path of the file in the book.
func (s *Sheet) Path() string { return s.file.Path }

// Text is the bytes of the file.
func (s *Sheet) Text() []byte { return s.file.Text }

// read parses the sheet.
func (s *Sheet) read() {
	s.once.Do(func() {
		if s.src, s.parts = s.recall(); s.src == nil {
			s.src = newSource(s.file.Path, s.file.Text)
			f := fileParse{src: s.src}
			var results []decoded
			for _, p := range split(s.src, scanLayout(s.src), pieceLines) {
				results = append(results, f.decodePiece(p))
			}
			s.parts = joined(results)
		}
		newAssembly(nil).add(s.src, s.own()) // its records learn their line: from now on they are only read
	})
}

// recall looks the sheet up in the snapshot.
func (s *Sheet) recall() (*source, decoded) {
	if s.shelf.kept == nil {
		return nil, decoded{}
	}
	one := snapshot{packed: s.shelf.kept.packed, digests: make([]digest, 1), found: make([]bool, 1)}
	src, parts, ok := one.find(0, s.file)
	if !ok {
		return nil, decoded{}
	}
	return src, parts[0]
}

// own is what the sheet gave, with lists that may be changed.
func (s *Sheet) own() []decoded {
	d := s.parts
	d.tops, d.tanks, d.loci = slices.Clone(d.tops), slices.Clone(d.tanks), slices.Clone(d.loci)
	d.problems, d.refs = slices.Clone(d.problems), slices.Clip(d.refs)
	return []decoded{d}
}

// Bind makes a book of sheets, as [Parse] does of files. It may be called for
// several books at once, which then share the records of sheets that stand in
// both: they must not be changed. Cost: O(n) in the records, beside reading
// sheets that no book needed yet.
func Bind(sheets []*Sheet) (*pedigree.Book, []pedigree.Problem) {
	a := newAssembly(nil)
	files := make([]File, len(sheets))
	byPath := make(map[string]*Sheet, len(sheets))
	for i, s := range sheets {
		files[i] = s.file
		byPath[s.file.Path] = s
	}
	var results [][]decoded
	files = a.choose(files)
	for _, f := range files {
		byPath[f.Path].read()
		results = append(results, byPath[f.Path].own())
	}
	a.room(results)
	for i, f := range files {
		a.add(byPath[f.Path].src, results[i])
	}
	return a.finish()
}

// Answers keeps answers between runs, each under the SHA-256 of what it was
// worked out from, in a cache folder of the user. They count only for the very
// program that wrote them. A nil *Answers keeps nothing.
type Answers struct {
	kept *snapshot
	have map[digest][]byte
	new  bool
}

// OpenAnswers opens the answers of a kind to questions about the book in the
// folder dir.
func OpenAnswers(dir, kind string, o Options) *Answers {
	s := openSnapshotNamed(dir, kind, o)
	if s == nil {
		return nil
	}
	a := &Answers{kept: s, have: map[digest][]byte{}}
	if s.packed != nil {
		for key := range s.packed.entries {
			if payload := s.packed.payload(key); payload != nil {
				a.have[key] = payload
			}
		}
	}
	return a
}

// Get returns the answer to a question, nil where none is kept.
func (a *Answers) Get(question string) []byte {
	if a == nil {
		return nil
	}
	return a.have[sha256.Sum256([]byte(question))]
}

// Put keeps an answer.
func (a *Answers) Put(question string, answer []byte) {
	if a != nil {
		a.have[sha256.Sum256([]byte(question))] = answer
		a.new = true
	}
}

// Save writes what is new; where that cannot be done nothing is kept.
func (a *Answers) Save() {
	if a == nil || !a.new {
		return
	}
	keys := make([]digest, 0, len(a.have))
	payloads := make([][]byte, 0, len(a.have))
	for key, payload := range a.have {
		keys, payloads = append(keys, key), append(payloads, payload)
	}
	saveBundle(a.kept.name, a.kept.program, keys, payloads)
}
