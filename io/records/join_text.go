package records

import (
	"strings"
)

// The text of a joined file is put together from lines of the versions: those of
// ours, wherever theirs says nothing else.

// compose writes the entries of a region that are to mean n. Each of the regions
// may be nil.
func (j *joiner) compose(path []string, n *node, b, o, t *region) string {
	none := &region{d: j.o}
	like := o
	if like == nil {
		like = t
	}
	if len(like.units) == 0 && t != nil {
		like = t
	}
	indent := like.indent
	c := composing{joiner: j, path: path, indent: indent}
	c.b, c.o, c.t = orNone(b, none), orNone(o, none), orNone(t, none)
	if n.kind == sequence {
		c.items(n)
	} else {
		c.keys(n)
	}
	c.put(c.moved(unionLines(c.b.tail(), c.o.tail(), shifted(c.t.tail(), indent-c.t.indent))))
	return c.out.String()
}

func orNone(r, none *region) *region {
	if r == nil {
		return none
	}
	return r
}

// composing writes the lines of a region.
type composing struct {
	*joiner
	path    []string
	indent  int
	b, o, t *region
	out     strings.Builder
	orphans string // comments that stood above what was taken out
}

func (c *composing) put(text string) { c.out.WriteString(text) }

// moved puts comments without an entry before others.
func (c *composing) moved(text string) string {
	text = c.orphans + text
	c.orphans = ""
	return text
}

// keys writes the entries of a mapping: in the order of ours, with those that
// theirs alone has behind the one that they stand behind there.
func (c *composing) keys(n *node) {
	want := make(map[string]*node, len(n.entries))
	for i := range n.entries {
		want[n.entries[i].key] = &n.entries[i].value
	}
	for _, key := range c.order() {
		b, o, t := c.b.unit(key), c.o.unit(key), c.t.unit(key)
		if want[key] == nil {
			c.takenOut(b, o, t)
			continue
		}
		c.entry(deeper(c.path, key), want[key], b, o, t)
	}
}

// order is the keys of both sides in the order to write them in.
func (c *composing) order() []string {
	behind := map[string][]string{} // keys that theirs alone has, by the key of both that they stand behind there
	common := ""
	for i := range c.t.units {
		key := c.t.units[i].key
		if c.o.unit(key) != nil {
			common = key
		} else {
			behind[common] = append(behind[common], key)
		}
	}
	order, waiting := []string(nil), behind[""]
	for i := range c.o.units {
		key := c.o.units[i].key
		news := c.b.unit(key) == nil && c.t.unit(key) == nil
		for len(waiting) > 0 && (!news || c.earlier(waiting[0], key)) {
			order, waiting = append(order, waiting[0]), waiting[1:]
		}
		order = append(order, key)
		if c.t.unit(key) != nil {
			waiting = behind[key]
		}
	}
	return append(order, waiting...)
}

// earlier reports whether one new key is to stand before another.
func (c *composing) earlier(key, other string) bool {
	switch section := ""; {
	case len(c.path) > 0:
		section = c.path[0]
		if len(c.path) == 1 && sectionNames[section] {
			return compareIDs(key, other) < 0
		}
		if len(c.path) == 2 && keyOrder[section] != nil {
			return rank(section, key) < rank(section, other)
		}
	}
	return false
}

// takenOut keeps the comments that a side wrote above an entry since the base,
// though the entry is gone.
func (c *composing) takenOut(b, o, t *unit) {
	for _, side := range []*unit{o, t} {
		if side == nil {
			continue
		}
		was := ""
		if b != nil {
			was = b.leadText()
		}
		added, _ := newLines(textLines(was), textLines(side.leadText()))
		for i := range len(textLines(was)) + 1 {
			for _, line := range added[i] {
				if b != nil && strings.TrimSpace(line) != "" {
					c.orphans += shifted(line+"\n", c.indent-side.indent)
				}
			}
		}
	}
}

// entry writes one entry with what stands above it.
func (c *composing) entry(path []string, n *node, b, o, t *unit) {
	lead := func(u *unit) string {
		if u == nil {
			return ""
		}
		return shifted(u.leadText(), c.indent-u.indent)
	}
	switch {
	case o == nil:
		c.put(c.moved(lead(t)))
	case t == nil:
		c.put(c.moved(lead(o)))
	default:
		c.put(c.moved(unionLines(lead(b), lead(o), lead(t))))
	}
	if isRecord(path) {
		for _, comment := range c.rescued[path[0]+"/"+path[1]] {
			c.put(strings.Repeat(" ", c.indent) + comment + "\n")
		}
	}
	c.put(c.render(path, n, c.indent, b, o, t))
}

// items writes the items of a list in the order of the values.
func (c *composing) items(n *node) {
	used := map[*unit]bool{}
	find := func(r *region, item *node) *unit {
		for _, same := range []func(u *unit) bool{
			func(u *unit) bool { return u.n.same(item) },
			func(u *unit) bool { return dateIn(item) != "" && dateIn(u.n) == dateIn(item) },
		} {
			for i := range r.units {
				if u := &r.units[i]; !used[u] && same(u) {
					used[u] = true
					return u
				}
			}
		}
		return nil
	}
	for i := range n.items {
		item := &n.items[i]
		b, o, t := find(c.b, item), find(c.o, item), find(c.t, item)
		if o == nil && t == nil {
			c.failed = true
			return
		}
		c.entry(deeper(c.path, ""), item, b, o, t)
	}
}

// shifted moves lines in or out by some columns.
func shifted(text string, by int) string {
	if by == 0 || text == "" {
		return text
	}
	lines := textLines(text)
	for i, line := range lines {
		rest := strings.TrimLeft(line, " ")
		switch {
		case rest == "":
		case by > 0:
			lines[i] = strings.Repeat(" ", by) + line
		default:
			lines[i] = line[min(-by, len(line)-len(rest)):]
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// render writes the lines of an entry that is to mean n.
func (j *joiner) render(path []string, n *node, indent int, b, o, t *unit) string {
	body := func(u *unit) string {
		if u == nil {
			return ""
		}
		return shifted(u.body(), indent-u.indent)
	}
	as := func(u *unit) bool { return u != nil && alike(path, u.n, n) }
	if isRecord(path) && j.whole[path[0]+"/"+path[1]] {
		if as(o) {
			return body(o)
		}
		return body(t)
	}
	switch {
	case o == nil:
		return body(t)
	case t == nil, body(o) == body(t):
		return body(o)
	case as(o) && b != nil && body(t) == body(b):
		return body(o)
	case as(t) && b != nil && body(o) == body(b):
		return body(t)
	}
	if len(path) > 1 && sectionNames[path[0]] {
		j.mixed = append(j.mixed, path[0]+"/"+path[1])
	}
	switch {
	case o.lines(n) != nil && t.lines(n) != nil && (o.inner != nil || t.inner != nil):
		return j.heads(b, o, t, indent) + j.compose(path, n, b.lines(n), o.lines(n), t.lines(n))
	case as(o):
		return j.leaf(o, b, o, t, indent)
	case as(t) && (o.n.kind != mapping || t.n.kind != mapping || b != nil && b.value != nil && o.written() == b.written()):
		return j.leaf(t, b, o, t, indent)
	}
	if text, ok := o.brought(path, n); ok {
		text = strings.TrimSuffix(text, o.d.text[o.value.to:o.to])
		return strings.TrimSuffix(shifted(text+"\n", indent-o.indent), "\n") + behind(o, b, o, t, indent)
	}
	if as(t) {
		return j.leaf(t, b, o, t, indent)
	}
	j.fail(path)
	return body(o)
}

// lines are the entries of a value of the same kind as n that stand on lines of
// their own, or none where there is no value; nil where they stand otherwise.
func (u *unit) lines(n *node) *region {
	switch {
	case u == nil:
		return nil
	case u.inner != nil && u.n.kind == n.kind:
		return u.inner
	case u.n.kind == missing && u.value != nil && u.value.from == u.value.to:
		return &region{d: u.d, from: u.head, to: u.to}
	}
	return nil
}

// fail has the record that a path leads to taken whole.
func (j *joiner) fail(path []string) {
	j.failed = true
	if len(path) > 1 && sectionNames[path[0]] {
		j.whole[path[0]+"/"+path[1]] = true
	}
}

// heads is the line of an entry whose value stands below.
func (j *joiner) heads(b, o, t *unit, indent int) string {
	head := func(u *unit) string { return shifted(u.d.text[u.from:u.head], indent-u.indent) }
	was := head(o)
	if b != nil && b.inner != nil {
		was = head(b)
	}
	if was == head(o) {
		return head(t)
	}
	return head(o)
}

// leaf writes an entry with the value of one side, and what stands behind it as
// the sides have it together.
func (j *joiner) leaf(from, b, o, t *unit, indent int) string {
	whole := shifted(from.body(), indent-from.indent)
	sides := []*unit{b, o, t}
	if b == nil {
		sides = sides[1:]
	}
	for _, u := range sides {
		if u.value == nil || u.value.from == u.value.to || u.value.from >= u.head {
			return whole
		}
	}
	start := shifted(from.d.text[from.from:from.value.to]+"\n", indent-from.indent)
	return strings.TrimSuffix(start, "\n") + behind(from, b, o, t, indent)
}

// written is the value as written, "" for that of a section.
func (u *unit) written() string {
	if u.value == nil {
		return ""
	}
	return u.d.text[u.value.from:u.value.to]
}

// behind is what stands behind the value of an entry, such as a comment: as one
// side changed it, or where both did as one of them has it.
func behind(from, b, o, t *unit, indent int) string {
	text := func(u *unit) string { return shifted(u.d.text[u.value.to:u.to], indent-u.indent) }
	switch {
	case b == nil || b.value == nil || t.value == nil:
	case text(b) == text(o):
		return text(t)
	case text(b) == text(t):
		return text(o)
	}
	return text(from)
}
