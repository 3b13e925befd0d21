package records

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// remark is a comment that has been given to an entry.
type remark struct {
	of    *written
	words string
	line  int
}

// beside gives a comment to an entry, as the one behind it.
func (r *reading) beside(w *written, after *string, words string, at int) {
	*after = words
	r.remarks = append(r.remarks, remark{w, words, r.src.lineAt(at)})
}

// comments gives each comment to the entry that it stands beside: on the line,
// to what ends there; on a line of its own to the next entry, or, where it is
// moved in further than that or the brackets end before, to the end of what
// stands above.
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
				r.blank(i)
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
	var before, next *written
	if i > 0 {
		before = r.tokens[i-1].of
	}
	if i < len(r.tokens) {
		next = r.tokens[i].of
	}
	own := strings.TrimSpace(r.src.text[lineStart(r.src.text, at):at]) == ""
	of := r.root
	switch {
	case !own && before != nil:
		of = before.outOfBrackets(at)
		if of.after == "" {
			of.after = words
		} else { // two on the lines of one entry
			of.below = append(of.below, words)
		}
	case next != nil && r.above(at, before, next):
		of = next
		of.above = append(of.above, words)
	default:
		if before != nil {
			of = r.endOf(at, before)
		}
		of.below = append(of.below, words)
	}
	r.remarks = append(r.remarks, remark{of, words, r.src.lineAt(at)})
}

// above reports whether a comment on a line of its own belongs to the entry that
// comes next.
func (r *reading) above(at int, before, next *written) bool {
	if before == nil || next == before || next.up == before {
		return true
	}
	if open := before.brackets(at); open != nil { // how far it is moved in says nothing
		return next.within(open)
	}
	return column(r.src.text, at) <= column(r.src.text, next.from)
}

// endOf is the entry at whose end a comment stands that comes after another.
func (r *reading) endOf(at int, before *written) *written {
	if open := before.brackets(at); open != nil {
		return open
	}
	text, indent := r.src.text, column(r.src.text, at)
	before = before.outOfBrackets(at)
	for before.up != nil && before.up != r.root && column(text, before.from) >= indent {
		before = before.up
	}
	if column(text, before.from) >= indent {
		return r.root
	}
	return before
}

// outOfBrackets is an entry, or the outermost around it whose brackets are
// closed before a byte.
func (w *written) outOfBrackets(at int) *written {
	for up := w.up; up != nil && up.up != nil && up.inline && up.to <= at; up = up.up {
		w = up
	}
	return w
}

// brackets is the innermost entry in brackets, from this one outwards, that goes
// on behind a byte; nil where none does.
func (w *written) brackets(at int) *written {
	for ; w != nil && w.up != nil; w = w.up {
		if w.inline && w.to > at {
			return w
		}
	}
	return nil
}

// within reports whether an entry is another or stands within it.
func (w *written) within(other *written) bool {
	for w != nil && w != other {
		w = w.up
	}
	return w == other
}

// blank notes a blank line before an entry that begins with token i.
func (r *reading) blank(i int) {
	if i < len(r.tokens) && r.tokens[i].from == r.tokens[i].of.from {
		w := r.tokens[i].of
		w.blank = w.blank || len(w.above) == 0
	}
}

// standing is a comment, with the keys and places in lists that lead to what it
// stands beside.
type standing struct {
	place string
	line  int
}

// standing lists the comments by what they stand beside.
func (r *reading) standing() []standing {
	list := make([]standing, len(r.remarks))
	for i, remark := range r.remarks {
		list[i] = standing{remark.of.place() + "\n" + remark.words, remark.line}
	}
	slices.SortFunc(list, func(a, b standing) int { return cmp.Or(cmp.Compare(a.place, b.place), a.line-b.line) })
	return list
}

// place spells the keys, and the places in lists, that lead to an entry. Lists
// keep their order.
func (w *written) place() string {
	if w.up == nil {
		return ""
	}
	if w.up.list {
		return w.up.place() + "\t" + strconv.Itoa(slices.Index(w.up.parts, w))
	}
	return w.up.place() + "\t" + strconv.Quote(w.key)
}

// moved returns the line of a comment that stands beside something else, or
// nowhere, in the second list; 0 where there is none.
func moved(before, after []standing) int {
	for i, s := range before {
		if i >= len(after) || after[i].place != s.place {
			return s.line
		}
	}
	return 0
}

// saysTheSame holds the canonical form against what was read.
func (d *doc) saysTheSame(after *doc) error {
	want, err := d.says(0, len(d.pieces))
	if err != nil {
		return err
	}
	got, err := after.says(0, len(after.pieces))
	if err != nil || !want.equal(got) || !sameRemarks(d, 0, len(d.pieces), after, 0, len(after.pieces)) {
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
