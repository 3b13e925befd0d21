package records

import (
	"slices"

	"roebook/pedigree"
)

// idKeys are the keys of a record whose values are ids of others, or have such
// ids for keys.
var idKeys = map[string][]string{
	"stock":  {"spawn", "picked", "merged"},
	"spawns": {"sire", "dam", "group", "repeat"},
}

const kinKey = "related-founders"

// rename gives a record another id, here and where other records name it.
func (e *edition) rename(x *Edit) error {
	if e.book.StockByID(x.Rename) != nil || e.book.SpawnByID(x.Rename) != nil {
		return refuse("the id %s is taken", x.Rename)
	}
	files := map[string]bool{}
	var err error
	visit := func(section, id, file string, line int) {
		var w *pen
		var record *partEntry
		if err == nil {
			w, err = e.pen(file)
		}
		if err == nil {
			record, err = w.record(section, id, line)
		}
		if err == nil {
			files[file] = true
			w.renameIn(section, record, x.ID, x.Rename)
		}
	}
	for _, s := range e.book.Stock {
		uses := s.ID == x.ID || s.Picked == x.ID
		for _, from := range s.FromSpawns {
			uses = uses || from.Spawn == x.ID
		}
		for _, part := range s.Merged {
			uses = uses || part.ID == x.ID
		}
		if uses {
			visit("stock", s.ID, s.Where.File, s.Where.Line)
		}
	}
	for _, s := range e.book.Spawns {
		if s.ID == x.ID || s.Repeat == x.ID || slices.Contains(s.Group, x.ID) || names(s.Sire, x.ID) || names(s.Dam, x.ID) {
			visit("spawns", s.ID, s.Where.File, s.Where.Line)
		}
	}
	for _, line := range e.book.Lines {
		for _, kin := range line.RelatedFounders {
			if slices.Contains(kin.Of, x.ID) && err == nil && !files[kin.Where.File+"#"] {
				files[kin.Where.File], files[kin.Where.File+"#"] = true, true
				err = e.renameKin(kin.Where.File, x)
			}
		}
	}
	for file := range files {
		e.steps[file] = append(e.steps[file], func(c *sense) { c.rename(x.ID, x.Rename) })
	}
	return err
}

func names(side pedigree.Side, id string) bool {
	return slices.ContainsFunc(side.Candidates, func(c pedigree.Candidate) bool { return c.ID == id })
}

// renameIn writes the new id where a record has the old one.
func (w *pen) renameIn(section string, record *partEntry, old, id string) {
	if record.key == old {
		w.putID(record.from, record.to, id)
	}
	for i := range record.value.entries {
		e := &record.value.entries[i]
		if slices.Contains(idKeys[section], e.key) {
			w.renameValue(&e.value, old, id)
		}
	}
}

func (w *pen) renameValue(p *part, old, id string) {
	if p.n.kind == scalar && p.n.text == old {
		w.putID(p.from, p.to, id)
	}
	for i := range p.entries {
		if e := &p.entries[i]; e.key == old {
			w.putID(e.from, e.to, id)
		}
	}
	for i := range p.items {
		w.renameValue(&p.items[i], old, id)
	}
}

// putID writes an id in the place of another, in quotes where that has them.
func (w *pen) putID(from, to int, id string) {
	if c := w.src.text[from]; c == '"' || c == '\'' {
		id = string(c) + id + string(c)
	} else {
		id = scalarText(id)
	}
	w.put(from, to, id)
}

// renameKin does the same in what a line says of its founders.
func (e *edition) renameKin(file string, x *Edit) error {
	w, err := e.pen(file)
	if err != nil {
		return err
	}
	top, err := w.top(kinKey)
	if err != nil || top == nil {
		return err
	}
	for i := range top.value.items {
		if of := top.value.items[i].entry("of"); of != nil {
			w.renameValue(&of.value, x.ID, x.Rename)
		}
	}
	return nil
}

// rename makes the same change in what is said.
func (c *sense) rename(old, id string) {
	for section, keys := range idKeys {
		for i := range c.sections[section] {
			e := &c.sections[section][i]
			if e.key == old {
				e.key = id
			}
			for _, key := range keys {
				if v := e.value.get(key); v != nil {
					v.rename(old, id)
				}
			}
		}
	}
	for i := range c.tops {
		if c.tops[i].key != kinKey {
			continue
		}
		for j := range c.tops[i].value.items {
			if of := c.tops[i].value.items[j].get("of"); of != nil {
				of.rename(old, id)
			}
		}
	}
}

func (n *node) rename(old, id string) {
	if n.kind == scalar && n.text == old {
		n.text = id
	}
	for i := range n.entries {
		if n.entries[i].key == old {
			n.entries[i].key = id
		}
	}
	for i := range n.items {
		n.items[i].rename(old, id)
	}
}
