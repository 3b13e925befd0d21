package records

import (
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
	src    *source
	root   *written
	tokens []spot
}

// Format returns the canonical form of a file: keys in their order, records by
// id, one way of indenting, quoting and spacing. Comments stay with what they
// stand beside, and what the file says stays the same; both are proved, or
// Format fails, as it does where the file cannot be read. The form of a file in
// canonical form is the same bytes. Cost: O(n log n).
func Format(f File) ([]byte, error) {
	d := newDoc(f)
	if len(d.src.flaws) > 0 {
		return nil, d.cannot(d.src.flaws[0].line, d.src.flaws[0].message)
	}
	r := &reading{src: d.src, root: &written{n: &node{kind: mapping}, last: len(d.src.text)}}
	for i := range d.pieces {
		p, err := d.piece(i)
		if err != nil {
			return nil, err
		}
		r.take(p, d.pieces[i].section)
	}
	r.comments()
	r.root.sort(sectionOf(f.Path))
	out := []byte(r.print())
	return out, d.proveFormat(out)
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
	switch {
	case p.n.kind == sequence:
		w.list = true
		for i := range p.items {
			item := &written{n: p.items[i].n, from: p.items[i].from, to: p.items[i].to, up: w}
			if p.items[i].dash > 0 && !p.flow {
				item.from = p.items[i].dash
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
				w.after = "#" + strings.TrimRight(comment, " \t")
			}
		}
	}
}

// comments gives each comment to the entry that it stands beside: on the line,
// to what ends there; on a line of its own to the next entry, or, where it is
// moved in further than that, to the end of what stands above.
func (r *reading) comments() {
	text, at := r.src.text, 0
	for i := 0; i <= len(r.tokens); i++ {
		end := len(text)
		if i < len(r.tokens) {
			end = r.tokens[i].from
		}
		for at < end {
			stop := min(lineEnd(text, at), end)
			if c := commentIn(text, at, stop); c >= 0 {
				r.comment(c, strings.TrimRight(text[c:stop], " \t"), i)
			} else if at > 0 && text[at-1] == '\n' && strings.TrimSpace(text[at:stop]) == "" && stop < end {
				r.blank(i, at)
			}
			at = stop + 1
		}
		if i < len(r.tokens) {
			at = r.tokens[i].to
		}
	}
}

// commentIn returns where a comment begins between two tokens, -1 where none
// does.
func commentIn(text string, from, to int) int {
	for i := from; i < to; i++ {
		if text[i] == '#' && (i == 0 || strings.IndexByte(" \t\n", text[i-1]) >= 0) {
			return i
		}
	}
	return -1
}

// comment gives a comment that stands before token i to an entry.
func (r *reading) comment(at int, words string, i int) {
	text := r.src.text
	indent := at - lineStart(text, at)
	own := strings.TrimSpace(text[lineStart(text, at):at]) == ""
	var before, next *written
	if i > 0 {
		before = r.tokens[i-1].of
	}
	if i < len(r.tokens) {
		next = r.begins(i)
	}
	switch {
	case !own && before != nil:
		for before.up != nil && before.up != r.root && r.endsBy(before.up, at) {
			before = before.up
		}
		if before.after != "" { // two on the lines of one entry
			before.below = append(before.below, words)
		} else {
			before.after = words
		}
	case next != nil && (before == nil || indent <= column(text, next.from) || next.up == before || next.inBrackets()):
		next.above = append(next.above, words)
	case before != nil:
		for before.up != nil && before.up != r.root && (column(text, before.from) >= indent || before.up.list) {
			before = before.up
		}
		if column(text, before.from) >= indent {
			before = r.root
		}
		before.below = append(before.below, words)
	default:
		r.root.below = append(r.root.below, words)
	}
}

// inBrackets reports whether an entry stands within brackets: then how far it is
// moved in says nothing.
func (w *written) inBrackets() bool {
	return w.up != nil && (w.up.inline || w.up.inBrackets())
}

// endsBy reports whether an entry has ended, with its brackets, before a byte
// of the line on which it ends.
func (r *reading) endsBy(w *written, at int) bool {
	return w.inline && w.to <= at && lineStart(r.src.text, max(w.to-1, 0)) == lineStart(r.src.text, at)
}

// begins is the outermost entry that begins with token i.
func (r *reading) begins(i int) *written {
	w := r.tokens[i].of
	for w.up != nil && w.up != r.root && len(w.up.parts) > 0 && w.up.parts[0] == w && w.up.key == "" && w.up.from <= w.from && w.up.up != nil {
		w = w.up
	}
	return w
}

func (r *reading) blank(i, _ int) {
	if i < len(r.tokens) {
		w := r.begins(i)
		w.blank = w.blank || len(w.above) == 0
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

// proveFormat holds the canonical form against what was read.
func (d *doc) proveFormat(out []byte) error {
	after := newDoc(File{d.file.Path, out})
	want, err := d.says(0, len(d.pieces))
	if err != nil {
		return err
	}
	got, err := after.says(0, len(after.pieces))
	if err != nil {
		return fmt.Errorf("%s: its canonical form does not read back (%w); it stays as it is", d.file.Path, err)
	}
	if !want.equal(got) || !sameRemarks(d, 0, len(d.pieces), after, 0, len(after.pieces)) {
		return fmt.Errorf("%s: its canonical form would not say the same; it stays as it is", d.file.Path)
	}
	return nil
}

// remarks lists the comments of some pieces, sorted. They stand between the keys
// and the texts.
func (d *doc) remarks(from, to int) ([]string, error) {
	text := d.src.text
	at, end := 0, len(text)
	if from > 0 {
		at = d.src.start[d.pieces[from].from-1]
	}
	if to < len(d.pieces) {
		end = d.src.start[d.pieces[to].from-1]
	}
	var list []string
	upTo := func(next int) {
		for at < next {
			stop := min(lineEnd(text, at), next)
			if c := commentIn(text, at, stop); c >= 0 {
				list = append(list, strings.TrimRight(text[c:stop], " \t"))
			}
			at = stop + 1
		}
	}
	var walk func(p *part)
	walk = func(p *part) {
		if len(p.entries)+len(p.items) == 0 && p.n.kind == scalar {
			upTo(p.from)
			if isBlock(text, p) {
				at = p.from
				upTo(lineEnd(text, p.from))
			}
			at = p.to
		}
		for i := range p.entries {
			upTo(p.entries[i].from)
			at = p.entries[i].to
			walk(&p.entries[i].value)
		}
		for i := range p.items {
			walk(&p.items[i])
		}
	}
	for i := from; i < to; i++ {
		p, err := d.piece(i)
		if err != nil {
			return nil, err
		}
		walk(&p.part)
	}
	upTo(end)
	slices.Sort(list)
	return list, nil
}

// sameRemarks reports whether two texts have the same comments in some pieces.
func sameRemarks(before *doc, from, to int, after *doc, afterFrom, afterTo int) bool {
	a, errA := before.remarks(from, to)
	b, errB := after.remarks(afterFrom, afterTo)
	return errA == nil && errB == nil && slices.Equal(a, b)
}
