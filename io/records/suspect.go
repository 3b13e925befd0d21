package records

import (
	"slices"
	"strings"

	"roebook/pedigree"
)

// suspect is text of which an error leaves open what it says: fish may have
// been taken there from the records that it names. It belongs to the problem
// told at its place; where that is only a file, to the first told of it.
type suspect struct {
	at     pedigree.Position
	text   string
	may    touch
	needed string // an id that is no record's; those like it may be meant
}

// touch says what a suspect touches beside the stock that its text names.
type touch uint8

const (
	spawnsToo   touch = 1 << iota // the spawns that it names: they may stand in it
	anyLot                        // every lot, where it names no stock: fish may come from any
	everyLot                      // every lot, whatever it names
	founders                      // all founders of the line of the file
	lineLost                      // answers on the line
	recordsLost                   // records of the line may be lost
	everyLine                     // it is not known of which line
)

// aside are the keys of stock that say nothing of where fish came from, when and
// how many.
var aside = []string{"tank", "note", "name", "genotype", "phenotype", "species", "locality", "quarantine-until", "retired", "lent", "born"}

// meant returns the key that was meant by one: itself, or the nearest known one.
func meant(key string, known []string) string {
	if slices.Contains(known, key) {
		return key
	}
	if strings.Contains(key, " ") { // a colon may be missing in it
		return ""
	}
	return pedigree.Nearest(key, known)
}

// entryOf returns the entry of a mapping that a place stands in, nil for none.
func entryOf(entries []entry, at pedigree.Position) (in *entry) {
	for i := range entries {
		if e := &entries[i]; e.at.line < at.Line || e.at.line == at.Line && e.at.col <= at.Column {
			in = e
		}
	}
	return in
}

// suspect looks at the errors of a stock record: which of them leave its
// sources, date and numbers alone, and what it may have taken fish from if not.
func (d *decoded) suspect(r *reader, e *entry) {
	first := -1
	for i := range r.problems {
		p := &r.problems[i]
		if p.KeepsSources = p.Rule == misplacedRule || keepsSources(&e.value, p.Position); !p.KeepsSources && first < 0 {
			first = i
		}
	}
	if first >= 0 {
		text, may := takenFrom(&e.value)
		d.suspects = append(d.suspects, suspect{at: r.problems[first].Position, text: text, may: may})
	}
}

// stockKeys are the keys of stock, those that matter for kinship before the
// others: of two that are as near, the first is taken to be meant.
var stockKeys = slices.Concat(lacking(keysOf(stockFields), aside), aside)

func keepsSources(record *node, at pedigree.Position) bool {
	e := entryOf(record.entries, at)
	if e == nil {
		return false
	}
	if e.key == "died" { // of a lot it is the end of its numbers
		return !slices.ContainsFunc(numberKeys, func(key string) bool { return record.get(key) != nil })
	}
	return slices.Contains(aside, meant(e.key, stockKeys))
}

// takenFrom returns the text of a stock record that may name what it took fish
// from.
func takenFrom(record *node) (text string, may touch) {
	var b strings.Builder
	if record.kind != mapping {
		record.writeText(&b)
		return b.String(), 0
	}
	origin, unknown := false, false
	for i := range record.entries {
		e := &record.entries[i]
		switch known := slices.Contains(stockKeys, e.key); {
		case e.key == "picked" || e.key == "merged":
			may = anyLot
			e.value.writeText(&b)
		case !known && !slices.Contains(aside, meant(e.key, stockKeys)):
			unknown = true
			b.WriteString(e.key + "\n")
			e.value.writeText(&b)
		default:
			origin = origin || slices.Contains(originKeys, e.key)
		}
	}
	if unknown && !origin {
		may = anyLot
	}
	return b.String(), may
}

// writeText writes all keys and values, one a line.
func (n *node) writeText(b *strings.Builder) {
	if n.text != "" {
		b.WriteString(n.text + "\n")
	}
	for i := range n.entries {
		b.WriteString(n.entries[i].key + "\n")
		n.entries[i].value.writeText(b)
	}
	for i := range n.items {
		n.items[i].writeText(b)
	}
}

// suspectIssue looks at what is wrong in the text of a part itself: a value, or
// a key with it, is lost.
func (d *decoded) suspectIssue(part parsed, id string, p *pedigree.Problem) {
	section := ""
	at := span{p.Line, p.Column, 1}
	entries := part.entries
	if part.section != nil {
		section = part.section.name
	} else if e := entryAt(entries, at); e != nil && sectionNames[e.key] {
		section, entries = e.key, e.value.entries
	}
	s := suspect{at: p.Position}
	var b strings.Builder
	e := entryAt(entries, at)
	switch {
	case section == "tanks" || section == "loci":
		return
	case id == "" || e == nil: // it stands in the header, or a whole section is lost
		s.may = lineLost | spawnsToo
		if section != "" {
			s.may |= everyLot | recordsLost
		} else if e != nil {
			s.may |= headerTouch(e)
			e.value.writeText(&b)
		} else {
			s.may |= founders | recordsLost
		}
	case section == "stock" || belongsTo(&e.value) == "stock":
		s.may = everyLot
		e.value.writeText(&b)
	default:
		return
	}
	s.text = b.String()
	d.suspects = append(d.suspects, s)
}

// quietKeys are the keys of a line that no answer on it rests on.
var quietKeys = []string{"common-name", "brood-word", "note"}

// headerTouch is what an error in a key of a line's header touches.
func headerTouch(e *entry) touch {
	switch key := meant(e.key, keysOf(lineFields)); {
	case key == "line":
		return lineLost | recordsLost | everyLine
	case key == "related-founders":
		return founders | lineLost
	case slices.Contains(quietKeys, key) || sectionNames[key]:
		return 0
	case key == "" && e.value.kind != scalar && e.value.kind != missing: // records may stand in it
		return spawnsToo | anyLot | lineLost | recordsLost
	}
	return lineLost
}

// suspectHeader looks at the errors in the header of a file.
func (f *fileContent) suspectHeader(tops []entry, problems []pedigree.Problem) {
	for i := range problems {
		if e := entryOf(tops, problems[i].Position); e != nil {
			f.suspectKey(e, &problems[i])
		}
	}
	if f.line != "" {
		return
	}
	for i := range tops { // what is said of a line without a name is lost
		if tops[i].key == "related-founders" {
			var b strings.Builder
			tops[i].value.writeText(&b)
			f.suspects = append(f.suspects, suspect{at: pedigree.Position{File: f.src.name}, text: b.String(), may: founders})
		}
	}
}

func (f *fileContent) suspectKey(e *entry, p *pedigree.Problem) {
	may := headerTouch(e)
	if may == 0 {
		return
	}
	if may&founders != 0 && e.value.kind == sequence && foundersNamed(&e.value, p) {
		may = 0
	}
	if may&anyLot != 0 && !e.value.names("picked", "merged") {
		may &^= anyLot
	}
	var b strings.Builder
	if may&(spawnsToo|founders) != 0 {
		e.value.writeText(&b)
	}
	f.suspects = append(f.suspects, suspect{at: p.Position, text: b.String(), may: may})
}

// names reports whether one of the keys stands anywhere in the value.
func (n *node) names(keys ...string) bool {
	for i := range n.entries {
		if slices.Contains(keys, n.entries[i].key) || n.entries[i].value.names(keys...) {
			return true
		}
	}
	return slices.ContainsFunc(n.items, func(item node) bool { return item.names(keys...) })
}

// foundersNamed reports whether it is certain which founders the entry of
// related-founders with the problem is about.
func foundersNamed(kin *node, p *pedigree.Problem) bool {
	for i := range kin.items {
		item := &kin.items[i]
		of := item.get("of")
		if !item.covers(p.Line, p.Column) || of == nil {
			continue
		}
		read := of.kind == sequence && len(of.items) > 1 && !of.covers(p.Line, p.Column)
		return read && !slices.ContainsFunc(of.items, func(n node) bool { return n.kind != scalar || n.text == "" })
	}
	return false
}

// suspectText looks at text that could not be read. section is "" at the top
// level of a file.
func suspectText(at pedigree.Position, section, text string) suspect {
	s := suspect{at: at, text: text, may: spawnsToo | lineLost | recordsLost}
	words := wordsOf(text)
	taking := words["picked"] || words["merged"]
	switch section {
	case "stock":
		if taking || !words["wild"] && !words["bought"] && !words["spawn"] {
			s.may |= anyLot
		}
	case "":
		if taking {
			s.may |= anyLot
		}
		for w := range words {
			if meant(w, keysOf(lineFields)) == "related-founders" {
				s.may |= founders
			}
		}
	}
	return s
}

// suspectSection looks at a section whose records could not be read.
func (d *decoded) suspectSection(r *reader, e entry) {
	if len(r.problems) == 0 || e.key == "tanks" || e.key == "loci" {
		return
	}
	var b strings.Builder
	e.value.writeText(&b)
	s := suspectText(r.problems[0].Position, e.key, b.String())
	d.suspects = append(d.suspects, s)
}

// suspectRecords looks at records that stand in roebook.yaml, where they are
// not read.
func (f *fileContent) suspectRecords(r *reader) {
	var b strings.Builder
	for _, s := range f.stock {
		b.WriteString(s.ID + "\n" + s.Picked + "\n")
		for _, part := range s.Merged {
			b.WriteString(part.ID + "\n")
		}
	}
	for _, s := range f.spawns {
		b.WriteString(s.ID + "\n")
	}
	if b.Len() > 0 && len(r.problems) > 0 {
		f.suspects = append(f.suspects, suspect{at: r.problems[0].Position, text: b.String(), may: spawnsToo | lineLost | recordsLost})
	}
}
