package records

import (
	"slices"
	"strings"
)

// brought writes the lines of an entry so that they mean n, by edits of those
// that it has.
func (u *unit) brought(path []string, n *node) (string, bool) {
	if u.value == nil {
		return "", false
	}
	w := &pen{doc: u.d.doc}
	key := u.from + u.indent
	b := bringing{pen: w, style: styleOf(u.d.text, key, u.value), ok: true}
	if u.e != nil {
		b.entry(path, u.e, n)
	} else {
		b.part(path, u.value, n)
	}
	if !b.ok {
		return "", false
	}
	slices.SortStableFunc(w.splices, func(x, y splice) int {
		if x.from != y.from {
			return x.from - y.from
		}
		return x.to - y.to
	})
	var out strings.Builder
	at := u.from
	for _, s := range w.splices {
		if s.from < at || s.to > u.to {
			return "", false
		}
		out.WriteString(u.d.text[at:s.from] + s.text)
		at = s.to
	}
	return out.String() + u.d.text[at:u.to], true
}

// bringing edits text so that it means something else.
type bringing struct {
	*pen
	style style
	ok    bool
}

func (w *bringing) entry(path []string, e *partEntry, n *node) {
	p := &e.value
	switch {
	case alike(path, p.n, n):
	case p.n.kind == mapping && n.kind == mapping && keepsOne(p.n, n):
		w.part(path, p, n)
	case p.n.kind == sequence && n.kind == sequence && w.keepsAll(p, n):
		w.part(path, p, n)
	case p.n.kind == mapping && n.kind == sequence && len(n.items) == 2 && (p.n.same(&n.items[0]) || p.n.same(&n.items[1])):
		first := p.n.same(&n.items[1])
		other := n.items[1]
		if first {
			other = n.items[0]
		}
		w.toList(e, valueOf(&other), first, w.style)
	case strings.Contains(w.src.text[p.from:p.to], "#"):
		w.ok = false
	default:
		w.set(e, valueOf(n), w.style)
	}
}

// keepsOne reports whether a key of a mapping stays.
func keepsOne(old, n *node) bool {
	return slices.ContainsFunc(old.entries, func(e entry) bool { return n.get(e.key) != nil })
}

// keepsAll reports whether all items of a list stay, if changed.
func (w *bringing) keepsAll(p *part, n *node) bool {
	keys := itemKeys(p.n.items, n.items)
	at := 0
	for _, key := range keys[1] {
		if at < len(keys[0]) && keys[0][at] == key {
			at++
		}
	}
	return at == len(p.items) && at == len(keys[0])
}

func (w *bringing) part(path []string, p *part, n *node) {
	if p.n.kind == sequence {
		keys := itemKeys(p.n.items, n.items)
		at := 0
		for i, key := range keys[1] {
			item := &n.items[i]
			if at < len(keys[0]) && keys[0][at] == key {
				if !p.items[at].n.same(item) {
					w.item(path, &p.items[at], item)
				}
				at++
			} else {
				w.addItem(p, at, valueOf(item), w.style)
			}
		}
		return
	}
	w.item(path, p, n)
}

// item brings a mapping to what it is to mean.
func (w *bringing) item(path []string, p *part, n *node) {
	if p.n.kind != mapping || n.kind != mapping {
		w.ok = false
		return
	}
	for i := range n.entries {
		want := &n.entries[i]
		if old := p.entry(want.key); old != nil {
			w.entry(deeper(path, want.key), old, &want.value)
			continue
		}
		place := len(p.entries)
		if len(path) == 2 {
			place = placeOf(path[0], want.key, p)
		}
		w.addKey(p, place, Pair{want.key, valueOf(&want.value)}, w.style)
	}
	gone := func(k int) bool { return n.get(p.entries[k].key) == nil }
	for k := 0; k < len(p.entries); k++ {
		if !gone(k) {
			continue
		}
		first := k
		for p.flow && k+1 < len(p.entries) && gone(k+1) {
			k++
		}
		if first == k {
			w.ok = w.ok && w.remove(p, k)
		} else {
			w.ok = w.ok && w.removeRun(p, first, k)
		}
	}
}

// removeRun takes several keys out that stand one behind the other in brackets.
// It fails where a comment would be lost, or nothing would be left.
func (w *bringing) removeRun(p *part, first, last int) bool {
	from, to := p.entries[first].from, p.entries[last].value.to
	switch {
	case first > 0:
		from = p.entries[first-1].value.to
	case last+1 < len(p.entries):
		to = p.entries[last+1].from
	default:
		return false
	}
	if strings.Contains(w.src.text[from:to], "#") {
		return false
	}
	w.put(from, to, "")
	return true
}
