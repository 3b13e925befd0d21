package records

import (
	"cmp"
	"slices"
	"strings"
)

// What two versions mean together is worked out here, from the parsed values.

// oneStatement are keys whose value is one statement: put together from two
// sides it would say what neither said.
var oneStatement = map[string]bool{"sire": true, "dam": true, "group": true, "spawn": true,
	"alleles": true, "phenotypes": true, "frequency": true, "lethal": true}

// whoBred and howMany are keys that are one statement together, of a spawn and
// of a lot, its counts and its moves: a pair or a count put together from two
// sides is one that nobody wrote.
var (
	whoBred = []string{"sire", "dam", "group", "repeat", "sires", "dams"}
	howMany = []string{"males", "females", "unsexed", "count"}
)

// statementAt lists the keys of a mapping that are one statement together, nil
// for none.
func statementAt(path []string) []string {
	switch n := len(path); {
	case n == 2 && path[0] == "spawns":
		return whoBred
	case (n == 2 || n == 4) && path[0] == "stock": // the record, and what its lists hold
		return howMany
	}
	return nil
}

// entryLists are keys whose value is a list of things that happened, each of
// which stands by itself.
var entryLists = map[string]bool{"changes": true, "sold": true, "lent": true, "related-founders": true}

// openMaps are keys under which each entry stands by itself, so that both sides
// may begin one.
var openMaps = map[string]bool{"stock": true, "spawns": true, "tanks": true, "loci": true,
	"genotype": true, "phenotype": true, "conditions": true, "seen": true, "penetrance": true}

// last is the key that a path ends with, "" for the file itself.
func last(path []string) string {
	if len(path) == 0 {
		return ""
	}
	return path[len(path)-1]
}

// deeper is a path with a key more.
func deeper(path []string, key string) []string { return append(slices.Clip(path), key) }

// isRecord reports whether a path is that of a record, a tank or a locus.
func isRecord(path []string) bool { return len(path) == 2 && sectionNames[path[0]] }

// alike compares two values, nil for none. The order of keys counts only where
// it means something.
func alike(path []string, x, y *node) bool {
	if x == nil || y == nil {
		return x == y
	}
	return x.same(y) && (last(path) != "phenotypes" || x.canon() == y.canon())
}

// meet joins three values, nil for none. Where ours and theirs conflict it gives
// two results, one for each choice; else they are the same.
func (j *joiner) meet(path []string, b, o, t *node) (a, z *node) {
	switch {
	case alike(path, o, t), alike(path, b, t):
		return o, o
	case alike(path, b, o):
		return t, t
	}
	key := last(path)
	both := o != nil && t != nil && !(isRecord(path) && j.whole[path[0]+"/"+path[1]])
	switch {
	case both && len(path) > 2 && entryLists[key] && isList(b) && isList(o) && isList(t):
		return j.meetLists(path, b, o, t)
	case both && o.kind == mapping && t.kind == mapping && !(len(path) > 2 && oneStatement[key]) &&
		(b != nil && b.kind == mapping || b == nil && openMaps[key] || len(path) == 0):
		return j.meetMaps(path, b, o, t)
	case both && len(path) == 1 && openMaps[key] && sectionLike(b) && sectionLike(o) && sectionLike(t):
		return j.meetMaps(path, b, o, t)
	}
	j.conflict(path, b, o, t)
	return o, t
}

// sectionLike reports whether a value can be a section: none, empty, or records.
func sectionLike(n *node) bool { return n == nil || n.kind == missing || n.kind == mapping }

// isList reports whether a value is a list, or stands for one.
func isList(n *node) bool { return n == nil || n.kind == sequence || n.kind == mapping }

func (j *joiner) conflict(path []string, b, o, t *node) {
	why := "changed on both sides"
	switch {
	case isRecord(path) && b == nil:
		why = "both sides wrote a record of this name; if these are not the same fish, give one of them another id"
	case b == nil:
		why = "both sides wrote it, and not the same"
	case o == nil:
		why = "taken out here, and changed on the other side"
	case t == nil:
		why = "changed here, and taken out on the other side"
	}
	j.tell(path, why)
}

func (j *joiner) tell(path []string, why string) {
	c := Conflict{Why: why}
	for i, to := range []*string{&c.Section, &c.ID} {
		if len(path) > i && sectionNames[path[0]] {
			*to = path[i]
		}
	}
	switch {
	case c.ID != "" && len(path) > 2:
		c.Key = strings.Join(path[2:], ".")
	case c.Section == "":
		c.Key = strings.Join(path, ".")
	}
	j.conflicts = append(j.conflicts, c)
}

func (j *joiner) meetMaps(path []string, b, o, t *node) (a, z *node) {
	a, z = &node{kind: mapping}, &node{kind: mapping}
	in := func(n *node) map[string]*node {
		m := map[string]*node{}
		for i := range n.entries {
			m[n.entries[i].key] = &n.entries[i].value
		}
		return m
	}
	none := &node{}
	if b == nil {
		b = none
	}
	inB, inO, inT := in(b), in(o), in(t)
	statement := statementAt(path)
	torn := j.meetStatement(path, statement, inB, inO, inT)
	one := func(key string) {
		x, y := inO[key], inT[key]
		if !torn || !slices.Contains(statement, key) {
			x, y = j.meet(deeper(path, key), inB[key], x, y)
		}
		if x != nil {
			a.entries = append(a.entries, entry{key: key, value: *x})
		}
		if y != nil {
			z.entries = append(z.entries, entry{key: key, value: *y})
		}
	}
	for i := range o.entries {
		one(o.entries[i].key)
	}
	for i := range t.entries {
		if inO[t.entries[i].key] == nil {
			one(t.entries[i].key)
		}
	}
	for i := range b.entries { // taken out on both sides: nothing; on one: as the other has it
		if key := b.entries[i].key; inO[key] == nil && inT[key] == nil {
			one(key)
		}
	}
	return a, z
}

// meetStatement reports whether both sides changed what keys say together, and
// not alike: a conflict that it tells, with all of these keys on each side as
// that side has them.
func (j *joiner) meetStatement(path, keys []string, b, o, t map[string]*node) bool {
	var changed, apart []string
	ours, theirs := false, false
	for _, key := range keys {
		at := deeper(path, key)
		here, there := !alike(at, b[key], o[key]), !alike(at, b[key], t[key])
		ours, theirs = ours || here, theirs || there
		if here || there {
			changed = append(changed, key)
		}
		if !alike(at, o[key], t[key]) {
			apart = append(apart, key)
		}
	}
	if !ours || !theirs || len(apart) == 0 {
		return false
	}
	if key := apart[0]; len(apart) == 1 && !alike(deeper(path, key), b[key], o[key]) && !alike(deeper(path, key), b[key], t[key]) {
		j.conflict(deeper(path, key), b[key], o[key], t[key])
	} else {
		j.tell(deeper(path, strings.Join(changed, ", ")), "changed on both sides, and one statement together")
	}
	return true
}

// itemsOf lists the entries of a list; keys that stand without one are its only
// entry.
func itemsOf(n *node) []node {
	switch {
	case n == nil:
		return nil
	case n.kind == mapping:
		return []node{*n}
	}
	return n.items
}

// itemKeys names the entries of lists: by their dates where every one has a date
// of its own, else by what they say.
func itemKeys(lists ...[]node) [][]string {
	byDate := true
	for _, list := range lists {
		seen := map[string]bool{}
		for i := range list {
			on := dateIn(&list[i])
			if list[i].kind != mapping || on == "" || seen[on] {
				byDate = false
			}
			seen[on] = true
		}
	}
	out := make([][]string, len(lists))
	for k, list := range lists {
		seen := map[string]int{}
		for i := range list {
			key := dateIn(&list[i])
			if !byDate {
				key = list[i].canon()
			}
			seen[key]++
			out[k] = append(out[k], key+strings.Repeat("'", seen[key]-1))
		}
	}
	return out
}

// meetLists joins lists entry by entry.
func (j *joiner) meetLists(path []string, b, o, t *node) (a, z *node) {
	lists := [][]node{itemsOf(b), itemsOf(o), itemsOf(t)}
	keys := itemKeys(lists...)
	find := func(side int, key string) *node {
		if i := slices.Index(keys[side], key); i >= 0 {
			return &lists[side][i]
		}
		return nil
	}
	a, z = &node{kind: sequence}, &node{kind: sequence}
	add := func(x, y *node, sorted bool) {
		for _, to := range []struct{ list, item *node }{{a, x}, {z, y}} {
			switch {
			case to.item == nil:
			case sorted:
				at := placeByDate(to.list.items, to.item)
				to.list.items = slices.Insert(to.list.items, at, *to.item)
			default:
				to.list.items = append(to.list.items, *to.item)
			}
		}
	}
	var late []*node
	for _, key := range keys[1] {
		was, is, other := find(0, key), find(1, key), find(2, key)
		if was == nil && other != nil && last(path) != "changes" && !alike(path, is, other) {
			add(is, is, false) // two that happened on one day
			late = append(late, other)
			continue
		}
		x, y := j.meet(deeper(path, key), was, is, other)
		add(x, y, false)
	}
	for _, key := range keys[2] {
		if find(1, key) == nil {
			x, y := j.meet(deeper(path, key), find(0, key), nil, find(2, key))
			add(x, y, true)
		}
	}
	for _, item := range late {
		add(item, item, true)
	}
	return j.asWritten(a, o, t), j.asWritten(z, o, t)
}

// asWritten makes keys alone of a list of one, where both sides write it so.
func (j *joiner) asWritten(n, o, t *node) *node {
	if len(n.items) == 1 && o.kind == mapping && t.kind == mapping {
		return &n.items[0]
	}
	return n
}

// placeByDate is how many items of a list come before a new one, by date and
// then by what they say.
func placeByDate(items []node, item *node) int {
	order := func(n *node) (string, string) { return dateIn(n), n.canon() }
	on, says := order(item)
	for i := len(items); i > 0; i-- {
		otherOn, other := order(&items[i-1])
		if on == "" || cmp.Or(strings.Compare(otherOn, on), strings.Compare(other, says)) <= 0 {
			return i
		}
	}
	return 0
}
