package records

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// written is an entry of a file, or an item of a list, with what stands around
// it: what the canonical form is printed from.
type written struct {
	key    string // "" of an item
	n      *node
	from   int // where it begins
	to     int // where its value ends
	last   int // where its last byte of any kind is: of a section, its records'
	list   bool
	inline bool     // in brackets
	above  []string // comments, and
	blank  bool     // a blank line, before it
	after  string   // a comment behind it on its line
	below  []string // comments at its end
	parts  []*written
	up     *written
}

// spot is a word of the text that belongs to an entry.
type spot struct {
	from, to int
	of       *written
}

// reading is a file while its comments are given to its entries.
type reading struct {
	doc     *doc
	src     *source
	root    *written
	tokens  []spot
	remarks []remark
}

// Format returns the canonical form of a file: keys in their order, records by
// id, one way of indenting, quoting and spacing. Comments stay with what they
// stand beside, what the file says stays the same, and the form of a file in
// canonical form is the same bytes: all of that is proved, or Format fails, as it
// does where the file cannot be read. Cost: O(n log n).
func Format(f File) ([]byte, error) {
	before, err := readWritten(f)
	if err != nil {
		return nil, err
	}
	where := before.standing()
	out := before.form()
	after, err := readWritten(File{f.Path, out})
	if err != nil {
		return nil, fmt.Errorf("%s: its canonical form does not read back (%w); it stays as it is", f.Path, err)
	}
	if err := before.doc.saysTheSame(after.doc); err != nil {
		return nil, err
	}
	if at := moved(where, after.standing()); at > 0 {
		return nil, fmt.Errorf("%s:%d: this comment cannot be kept beside what it stands beside; the file stays as it is. "+
			"Put it on a line of its own, above what it is about", f.Path, at)
	}
	if !bytes.Equal(after.form(), out) {
		return nil, fmt.Errorf("%s: there is no lasting form for its comments and brackets: formatted twice it would be another; it stays as it is", f.Path)
	}
	return out, nil
}

// readWritten reads what a file holds, with its comments.
func readWritten(f File) (*reading, error) {
	d := newDoc(f)
	if len(d.src.flaws) > 0 {
		return nil, d.cannot(d.src.flaws[0].line, d.src.flaws[0].message)
	}
	r := &reading{doc: d, src: d.src, root: &written{n: &node{kind: mapping}, last: len(d.src.text)}}
	for i := range d.pieces {
		p, err := d.piece(i)
		if err != nil {
			return nil, err
		}
		r.take(p, d.pieces[i].section)
	}
	r.comments()
	return r, nil
}

// form prints the canonical form.
func (r *reading) form() []byte {
	r.root.sort(sectionOf(r.doc.file.Path))
	return []byte(r.print())
}

func sectionOf(path string) string {
	if path == BookFile {
		return "book"
	}
	return "line"
}

// take adds what a piece holds.
func (r *reading) take(p *parsedPiece, head *section) {
	under := r.root
	if head != nil {
		if n := len(r.root.parts); n == 0 || r.root.parts[n-1].key != head.name {
			at := r.src.start[head.at.line-1] + strings.Index(r.src.line(head.at.line), head.name)
			w := &written{key: head.name, n: &node{kind: mapping}, from: at, to: at + len(head.name), up: r.root}
			r.root.parts = append(r.root.parts, w)
			r.tokens = append(r.tokens, spot{w.from, w.to, w})
		}
		under = r.root.parts[len(r.root.parts)-1]
	}
	for i := range p.entries {
		r.entry(under, &p.entries[i])
	}
}

func (r *reading) entry(up *written, e *partEntry) {
	w := &written{key: e.key, n: e.value.n, from: e.from, to: e.value.to, up: up}
	up.parts = append(up.parts, w)
	up.to = max(up.to, w.to)
	r.tokens = append(r.tokens, spot{e.from, e.to, w})
	r.value(w, &e.value)
}

func (r *reading) value(w *written, p *part) {
	w.inline = p.flow
	if w.inline { // what stands behind the bracket stands within
		r.tokens = append(r.tokens, spot{p.from, p.from + 1, w})
	}
	switch {
	case p.n.kind == sequence:
		w.list = true
		for i := range p.items {
			item := &written{n: p.items[i].n, from: p.items[i].from, to: p.items[i].to, up: w}
			if p.items[i].dash > 0 && !p.flow {
				item.from = p.items[i].dash
				r.tokens = append(r.tokens, spot{item.from, item.from + 1, item})
			}
			w.parts = append(w.parts, item)
			r.value(item, &p.items[i])
		}
	case p.n.kind == mapping:
		for i := range p.entries {
			r.entry(w, &p.entries[i])
		}
	case p.to > p.from:
		r.tokens = append(r.tokens, spot{p.from, p.to, w})
		if isBlock(r.src.text, p) {
			if _, comment, ok := strings.Cut(r.src.text[p.from:lineEnd(r.src.text, p.from)], " #"); ok {
				r.beside(w, &w.after, "#"+strings.TrimRight(comment, " \t"), p.from)
			}
		}
	}
}

// sort puts what stands in an order of its own into that: the keys of a record,
// and records by their id.
func (w *written) sort(kind string) {
	order := func(keys []string) func(a, b *written) int {
		at := func(key string) int {
			if i := slices.Index(keys, key); i >= 0 {
				return i
			}
			return len(keys)
		}
		return func(a, b *written) int { return at(a.key) - at(b.key) }
	}
	byID := func(a, b *written) int { return compareIDs(a.key, b.key) }
	switch kind {
	case "book":
		slices.SortStableFunc(w.parts, order(keysOf(bookFields)))
		return
	case "line":
		slices.SortStableFunc(w.parts, order(append(keysOf(headerFields), "loci", "tanks", "stock", "spawns")))
		for _, p := range w.parts {
			if sectionNames[p.key] {
				slices.SortStableFunc(p.parts, byID)
				for _, record := range p.parts {
					record.sort(p.key)
				}
			}
		}
		return
	case "stock", "spawns":
		slices.SortStableFunc(w.parts, order(keyOrder[kind]))
		for _, p := range w.parts {
			if slices.Contains([]string{"wild", "bought", "changes", "sold", "lent"}, p.key) {
				p.sort("group")
			}
		}
	case "group":
		if w.list {
			for _, item := range w.parts {
				item.sort("group")
			}
			return
		}
		slices.SortStableFunc(w.parts, order(groupOrder))
	}
}

var groupOrder = []string{"site", "from", "date", "to", "collector", "permit", "generation", "related", "inbreeding",
	"males", "females", "unsexed", "count", "back", "why", "note"}
