package records

import (
	"slices"
	"strings"
)

// What a text is to say after an edit is worked out apart from how it is
// written: the edit is made in what was read, and must be what is read again.

// prove holds what a file says after an edit against what it said before, with
// the steps made in it. Records whose text is the same are not read again.
func prove(before, after *doc, steps []func(*sense)) error {
	from, beforeTo, afterTo := 0, len(before.pieces), len(after.pieces)
	for from < min(beforeTo, afterTo) && samePiece(before, from, after, from) {
		from++
	}
	for beforeTo > from && afterTo > from && samePiece(before, beforeTo-1, after, afterTo-1) {
		beforeTo, afterTo = beforeTo-1, afterTo-1
	}
	want, err := before.says(from, beforeTo)
	if err != nil {
		return err
	}
	for _, step := range steps {
		step(want)
	}
	got, err := after.says(from, afterTo)
	if err != nil {
		return before.cannot(before.lineOf(from), "the change cannot be written here in a way that reads back; change it by hand")
	}
	if !want.equal(got) {
		return before.cannot(before.lineOf(from), "the change would not read back as it is meant; change it by hand")
	}
	if from < min(beforeTo, afterTo) && !sameRemarks(before, from, beforeTo, after, from, afterTo) {
		return before.cannot(before.lineOf(from), "a comment would be lost; change it by hand")
	}
	return nil
}

func (d *doc) lineOf(i int) int {
	if i < len(d.pieces) {
		return d.pieces[i].from
	}
	return d.src.lines()
}

func samePiece(a *doc, i int, b *doc, j int) bool {
	p, q := a.pieces[i], b.pieces[j]
	if (p.section == nil) != (q.section == nil) || p.section != nil && p.section.name != q.section.name {
		return false
	}
	return a.src.part(p.from, p.to) == b.src.part(q.from, q.to)
}

// says reads what some pieces say.
func (d *doc) says(from, to int) (*sense, error) {
	c := &sense{sections: map[string][]entry{}}
	for i := from; i < to; i++ {
		entries, err := d.entries(i)
		if err != nil {
			return nil, err
		}
		if s := d.pieces[i].section; s != nil {
			c.sections[s.name] = append(c.sections[s.name], entries...)
			continue
		}
		for _, e := range entries {
			if sectionNames[e.key] && (e.value.kind == mapping || e.value.kind == missing) {
				c.sections[e.key] = append(c.sections[e.key], e.value.entries...)
			} else {
				c.tops = append(c.tops, e)
			}
		}
	}
	return c, nil
}

// equal compares what is said, whatever the order of the keys.
func (c *sense) equal(o *sense) bool {
	for name := range sectionNames {
		if !sameEntries(c.sections[name], o.sections[name]) {
			return false
		}
	}
	return sameEntries(c.tops, o.tops)
}

func sameEntries(a, b []entry) bool {
	byKey := func(list []entry) []entry {
		list = slices.Clone(list)
		slices.SortStableFunc(list, func(x, y entry) int { return strings.Compare(x.key, y.key) })
		return list
	}
	return slices.EqualFunc(byKey(a), byKey(b), func(x, y entry) bool { return x.key == y.key && x.value.same(&y.value) })
}

// same compares two values. Quotes count where the text without them is a
// number, or true or false.
func (n *node) same(o *node) bool {
	if n.kind != o.kind || n.text != o.text || n.quoted != o.quoted && numberLike(n.text) {
		return false
	}
	return sameEntries(n.entries, o.entries) && slices.EqualFunc(n.items, o.items, func(x, y node) bool { return x.same(&y) })
}

// numberLike reports whether quotes make a difference to a text.
func numberLike(text string) bool {
	_, ok := parseNumber(text)
	return ok || text == "true" || text == "false" || text == "all"
}

// record returns a record of a section, nil where it is not among these.
func (c *sense) record(section, id string) *entry {
	list := c.sections[section]
	for i := range list {
		if list[i].key == id {
			return &list[i]
		}
	}
	return nil
}

// change makes an edit in what is said.
func (c *sense) change(x *Edit) {
	if x.New {
		v := Map(x.Set...).node()
		c.sections[x.Section] = append(c.sections[x.Section], entry{key: x.ID, value: v})
		return
	}
	e := c.record(x.Section, x.ID)
	if e == nil {
		return // then nothing of it was changed, and what is said differs
	}
	n := &e.value
	n.entries = slices.Clone(n.entries)
	for _, in := range x.Instead {
		for i := range n.entries {
			if n.entries[i].key == in.Of {
				n.entries[i] = entry{key: in.Key, value: in.Value.node()}
			}
		}
	}
	n.entries = slices.DeleteFunc(n.entries, func(e entry) bool { return slices.Contains(x.Remove, e.key) })
	for _, pair := range x.Set {
		list, i, key := splitPath(pair.Key)
		within := n
		if list != "" {
			within = n.get(list)
			if within.kind == sequence {
				within = &within.items[i]
			}
		}
		within.set(key, pair.Value.node())
	}
	for _, pair := range x.Append {
		n.append(pair, x.blocks[pair.Key])
	}
}

func (n *node) set(key string, v node) {
	if old := n.get(key); old != nil {
		if old.quoted && !numberLike(v.text) {
			v.quoted = true
		}
		*old = v
		return
	}
	n.entries = append(n.entries, entry{key: key, value: v})
}

func (n *node) append(pair Pair, joint string) {
	old := n.get(pair.Key)
	switch {
	case old == nil && pair.Value.kind == scalar:
		n.set(pair.Key, pair.Value.node())
	case old == nil:
		n.set(pair.Key, Seq(pair.Value).node())
	case pair.Value.kind == scalar:
		old.addText(pair.Value.text, joint)
	case old.kind == mapping:
		list := []node{*old, pair.Value.node()}
		if dateIn(old) > pair.Value.date() {
			list[0], list[1] = list[1], list[0]
		}
		*old = node{kind: sequence, items: list}
	default:
		old.items = slices.Insert(slices.Clone(old.items), byDate(old, pair.Value), pair.Value.node())
	}
}

// addText adds a remark; in a text block it is a line more.
func (n *node) addText(more string, joint string) {
	if joint == "" {
		n.text = joinTexts(n.text, more)
		return
	}
	text := strings.TrimRight(n.text, "\n")
	end := n.text[len(text):]
	n.text = text + joint + more + end
}
