package records

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// Edit is one change of one record. What it does not name stays as it is
// written, byte for byte.
type Edit struct {
	Section string // stock or spawns
	ID      string

	// New makes the record, with the keys of Set. It is put where the order of
	// the file says, by id or by date, and written as its neighbours are.
	New  bool
	Line string // of a new record
	File string // the file for it; "" for the one that its line's records stand in

	// Set writes keys, in the place of what stands there or behind the keys that
	// usually come before. A key may lead into a list, as lent[0].back.
	Set []Pair
	// Instead writes a key in the place of another, such as date for planned.
	Instead []Instead
	// Append adds a group of keys to a list, by date, or a text to a text.
	Append []Pair
	// Remove takes keys out; it is refused where a comment would be lost.
	Remove []string
	// Rename, alone, is the new id of the record, here and wherever it is used.
	Rename string

	blocks map[string]string // of texts that stand as text blocks: what joins a line to them
}

// Instead is a key to write in the place of another.
type Instead struct {
	Of string
	Pair
}

// Hunk is lines of a file that an edit changed. First is where they begin, and
// Old and New are the lines before and after.
type Hunk struct {
	OldFirst, First int
	Old, New        []string
}

// Changed is a file that an edit changed.
type Changed struct {
	Path     string
	Old, New []byte
	Hunks    []Hunk
}

func refuse(format string, args ...any) error { return fmt.Errorf(format, args...) }

// edition is the making of edits in the files of a book.
type edition struct {
	book  *pedigree.Book
	files map[string]File
	pens  map[string]*pen
	steps map[string][]func(*sense) // what each file says then
}

// sense is what a part of a file says.
type sense struct {
	tops     []entry
	sections map[string][]entry
}

// makeEdits makes the edits in the files of a book and returns those that changed,
// by path. Each of them is parsed again and says exactly what is intended, or
// an error is returned. Cost: O(n) in the text of the changed files.
func makeEdits(book *pedigree.Book, files []File, edits []Edit) ([]Changed, error) {
	e := &edition{book: book, files: map[string]File{}, pens: map[string]*pen{}, steps: map[string][]func(*sense){}}
	for _, f := range files {
		e.files[f.Path] = f
	}
	for i := range edits {
		if err := e.make(&edits[i]); err != nil {
			return nil, err
		}
	}
	var out []Changed
	for path, pen := range e.pens {
		if len(pen.splices) == 0 {
			continue
		}
		text, err := pen.apply(pen.splices)
		if err != nil {
			return nil, err
		}
		if bytes.Equal(text, pen.file.Text) {
			continue
		}
		after := newDoc(File{path, text})
		if err := prove(pen.doc, after, e.steps[path]); err != nil {
			return nil, err
		}
		out = append(out, Changed{path, pen.file.Text, text, pen.hunks()})
	}
	slices.SortFunc(out, func(a, b Changed) int { return strings.Compare(a.Path, b.Path) })
	return out, nil
}

func (e *edition) pen(path string) (*pen, error) {
	if p := e.pens[path]; p != nil {
		return p, nil
	}
	f, ok := e.files[path]
	if !ok {
		return nil, refuse("%s is no file of the book", path)
	}
	p := &pen{doc: newDoc(f)}
	e.pens[path] = p
	return p, nil
}

// where returns the place of a record.
func (e *edition) where(section, id string) (pedigree.Position, error) {
	if section == "stock" {
		if s := e.book.StockByID(id); s != nil {
			return s.Where.Position, nil
		}
	} else if s := e.book.SpawnByID(id); s != nil {
		return s.Where.Position, nil
	}
	return pedigree.Position{}, refuse("there is no record of %s under `%s`", quote(id), section)
}

func (e *edition) make(x *Edit) error {
	switch {
	case x.New:
		return e.add(x)
	case x.Rename != "":
		return e.rename(x)
	}
	at, err := e.where(x.Section, x.ID)
	if err != nil {
		return err
	}
	w, err := e.pen(at.File)
	if err != nil {
		return err
	}
	record, err := w.record(x.Section, x.ID, at.Line)
	if err != nil {
		return err
	}
	if err := w.change(record, x); err != nil {
		return err
	}
	e.steps[at.File] = append(e.steps[at.File], func(c *sense) { c.change(x) })
	return nil
}

// change makes the changes of the keys of a record.
func (w *pen) change(record *partEntry, x *Edit) error {
	p := &record.value
	if p.n.kind != mapping {
		return refuse("the record of %s has no keys to change", quote(x.ID))
	}
	s := styleOf(w.src.text, record.from, p)
	for _, in := range x.Instead {
		old := p.entry(in.Of)
		if old == nil {
			return refuse("%s has no %s", quote(x.ID), quote(in.Of))
		}
		w.put(old.from, old.to, in.Key)
		w.set(old, in.Value, s)
	}
	for _, key := range x.Remove {
		k := slices.IndexFunc(p.entries, func(e partEntry) bool { return e.key == key })
		if k < 0 || !w.remove(p, k) {
			return refuse("%s cannot be taken out of %s without losing a comment: do it by hand", quote(key), quote(x.ID))
		}
	}
	for _, pair := range inOrder(x.Section, x.Set) {
		if err := w.setPath(p, pair, x, s); err != nil {
			return err
		}
	}
	for _, pair := range x.Append {
		if err := w.append(p, pair, x, s); err != nil {
			return err
		}
	}
	return nil
}

func (w *pen) setPath(p *part, pair Pair, x *Edit, s style) error {
	list, n, key := splitPath(pair.Key)
	if list != "" {
		e := p.entry(list)
		if e == nil {
			return refuse("%s has no %s", quote(x.ID), quote(list))
		}
		p = &e.value
		if p.n.kind == sequence && n < len(p.items) {
			p = &p.items[n]
		}
		if p.n.kind != mapping {
			return refuse("%s has no %s", quote(x.ID), quote(pair.Key))
		}
		if e := p.entry(key); e != nil {
			w.set(e, pair.Value, s)
		} else {
			w.addKey(p, len(p.entries), Pair{key, pair.Value}, s)
		}
		return nil
	}
	if e := p.entry(key); e != nil {
		if e.value.n.kind != scalar && e.value.holdsComment(w.src.text) {
			return refuse("%s of %s has a comment in it that would be lost: do it by hand", quote(key), quote(x.ID))
		}
		w.set(e, pair.Value, s)
		return nil
	}
	w.addKey(p, placeOf(x.Section, key, p), pair, s)
	return nil
}

// splitPath takes lent[0].back apart; a plain key has no list.
func splitPath(path string) (list string, n int, key string) {
	head, key, ok := strings.Cut(path, "].")
	if !ok {
		return "", 0, path
	}
	list, number, _ := strings.Cut(head, "[")
	n, _ = strconv.Atoi(number)
	return list, n, key
}

func (w *pen) append(p *part, pair Pair, x *Edit, s style) error {
	e := p.entry(pair.Key)
	switch {
	case e == nil && pair.Value.kind == scalar:
		w.addKey(p, placeOf(x.Section, pair.Key, p), pair, s)
	case e == nil:
		w.addKey(p, placeOf(x.Section, pair.Key, p), Pair{pair.Key, Seq(pair.Value)}, s)
	case pair.Value.kind == scalar && e.value.n.kind == scalar && isBlock(w.src.text, &e.value):
		if x.blocks == nil {
			x.blocks = map[string]string{}
		}
		x.blocks[pair.Key] = w.addLine(&e.value, pair.Value.text)
	case pair.Value.kind == scalar && e.value.n.kind == scalar:
		w.set(e, Scalar(joinTexts(e.value.n.text, pair.Value.text)), s)
	case e.value.n.kind == mapping:
		w.toList(e, pair.Value, dateIn(e.value.n) > pair.Value.date(), s)
	case e.value.n.kind == sequence && len(e.value.items)+len(e.value.n.items) > 0 || e.value.flow:
		w.addItem(&e.value, byDate(e.value.n, pair.Value), pair.Value, s)
	default:
		return refuse("%s of %s is not a list", quote(pair.Key), quote(x.ID))
	}
	return nil
}

func isBlock(text string, p *part) bool { return text[p.from] == '|' || text[p.from] == '>' }

// joinTexts adds a remark to one that stands.
func joinTexts(old, more string) string { return strings.TrimRight(old, "\n.; ") + "; " + more }

// date is the date that a group of keys states, "" where it states none.
func (v Value) date() string {
	for _, p := range v.keys {
		if p.Key == "date" {
			return p.Value.text
		}
	}
	return ""
}

func dateIn(n *node) string {
	if d := n.get("date"); d != nil {
		return d.text
	}
	return ""
}

// byDate is how many items of a list come before a new one: dates as they are
// written sort as days do.
func byDate(list *node, v Value) int {
	on := v.date()
	for i := len(list.items); i > 0; i-- {
		if on == "" || dateIn(&list.items[i-1]) <= on {
			return i
		}
	}
	return 0
}
