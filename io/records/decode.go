package records

import (
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"roebook/pedigree"
)

// decoded is what the records of a piece gave, and what is wrong in them.
type decoded struct {
	tops     []entry // keys at the top level; of sections only the key
	stock    []*pedigree.Stock
	spawns   []*pedigree.Spawn
	tanks    []named[pedigree.Tank]
	loci     []named[pedigree.Locus]
	refs     []reference
	problems []pedigree.Problem
	failures []failure
	suspects []suspect // what errors leave open
}

// named is a tank or locus with its content in one form, to compare.
type named[T any] struct {
	value T
	at    span
	canon string
}

// decodePiece parses a piece and reads its records.
func (f *fileParse) decodePiece(p piece) decoded {
	parts, failures := f.parsePiece(p)
	d := decoded{failures: failures}
	for _, part := range parts {
		if head := part.section; head != nil {
			d.tops = append(d.tops, entry{key: head.name, at: head.at})
			d.section(f, head.name, part.entries)
		} else {
			d.top(f, part.entries)
		}
		d.tell(f, part)
	}
	return d
}

// top sorts the keys of the top level into sections and the header.
func (d *decoded) top(f *fileParse, entries []entry) {
	for _, e := range entries {
		if name := f.misspelt(e); name != "" {
			d.misspelt(f, name, e)
			continue
		}
		if sectionNames[e.key] {
			r := &reader{file: f.src.name, where: &pedigree.Where{}}
			c := cell{r: r, name: e.key, n: &e.value, keyAt: e.at}
			if e.value.kind == mapping {
				d.section(f, e.key, e.value.entries)
			} else if e.value.kind != missing {
				c.is(mapping)
				d.suspectSection(r, e)
			}
			d.problems = append(d.problems, r.problems...)
			e.value = node{kind: missing}
		}
		d.tops = append(d.tops, e)
	}
}

// section reads the records of one section; those that belong into another are
// told, and read as what they are, so that no more is told of them than that.
func (d *decoded) section(f *fileParse, name string, entries []entry) {
	for i := range entries {
		e := &entries[i]
		r := &reader{file: f.src.name, record: e.key}
		c := cell{r: r, name: e.key, n: &e.value, keyAt: e.at}
		kind := name
		if other := belongsTo(&e.value); other != "" && other != name {
			kind = other
			r.misplaced(name, kind, e)
		}
		r.checkID(kind, e)
		switch kind {
		case "stock":
			r.taints = []string{e.key}
			d.stock = append(d.stock, readStock(r, c))
			d.suspect(r, e)
		case "spawns":
			r.taints = []string{e.key}
			d.spawns = append(d.spawns, readSpawn(r, c))
		case "tanks":
			d.tanks = append(d.tanks, named[pedigree.Tank]{readTank(r, c), e.at, e.value.canon()})
		case "loci":
			d.loci = append(d.loci, named[pedigree.Locus]{readLocus(r, c), e.at, e.value.canon()})
		}
		d.problems = append(d.problems, r.problems...)
		d.refs = append(d.refs, r.refs...)
	}
}

// maxID is the most characters an id may have.
const maxID = 100

// checkID tells ids that cannot be written in lists, on the command line or on
// labels. Loci have names of their own kind, but none is empty.
func (r *reader) checkID(section string, e *entry) {
	if section == "stock" || section == "spawns" {
		r.taints = []string{e.key}
	}
	what := ""
	switch {
	case e.key == "":
		what = "is empty"
	case section == "loci":
	case strings.IndexFunc(e.key, unicode.IsSpace) >= 0:
		what = "holds a space"
	case strings.IndexFunc(e.key, func(c rune) bool { return isControl(c) || unicode.Is(unicode.Cf, c) }) >= 0:
		what = "holds an invisible character"
	case strings.ContainsAny(e.key, ",/"):
		what = "holds a comma or a slash"
	case utf8.RuneCountInString(e.key) > maxID:
		what = "is longer than 100 characters"
	}
	if what != "" {
		r.problem(r.position(e.at), "bad-id", "an id is one short word of letters, digits and hyphens, such as AS-F12", "the id %s %s", quote(e.key), what)
	}
}

// tell turns what is wrong in the text of a part into problems of the record
// it stands in.
func (d *decoded) tell(f *fileParse, part parsed) {
	for _, at := range part.issues {
		r := &reader{file: f.src.name}
		id := owner(part, at.span)
		if id != "" {
			r.taints = []string{id}
		}
		d.suspectIssue(part, id, r.problem(r.position(at.span), at.rule, at.hint, "%s", at.message))
		d.problems = append(d.problems, r.problems...)
	}
}

// owner returns the id of the stock or spawn that a place stands in, "" where
// it is none.
func owner(part parsed, at span) string {
	e := entryAt(part.entries, at)
	section := ""
	if part.section != nil {
		section = part.section.name
	} else if e != nil {
		section = e.key
		e = entryAt(e.value.entries, at)
	}
	if e == nil || section != "stock" && section != "spawns" {
		return ""
	}
	return e.key
}

// entryAt returns the entry that a place stands in, nil where it is before all.
func entryAt(entries []entry, at span) *entry {
	i := sort.Search(len(entries), func(i int) bool {
		e := entries[i].at
		return e.line > at.line || e.line == at.line && e.col > at.col
	})
	if i == 0 {
		return nil
	}
	return &entries[i-1]
}
