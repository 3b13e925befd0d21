package records

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// Kinship of two members of a group whose parents are not known.
const (
	halfSiblings = 0.125
	siblings     = 0.25
)

// founder is how a wild or bought group begins.
type founder struct {
	related       float64
	relatedStated bool
	relatedCell   cell
	inbreeding    float64
}

func relatedField[T any](of func(*T) *founder) field[T] {
	meaning := "kinship of two members: unrelated, half-siblings, siblings or a number"
	return field[T]{Field{Key: "related", Kind: Various, Meaning: meaning}, func(c cell, into *T) {
		f := of(into)
		f.relatedCell = c
		f.related, f.relatedStated = c.related()
	}}
}

func (c cell) related() (float64, bool) {
	if !c.is(scalar) {
		return 0, false
	}
	switch c.n.text {
	case "unrelated":
		return 0, true
	case "half-siblings":
		return halfSiblings, true
	case "siblings":
		return siblings, true
	}
	if strings.ContainsAny(c.n.text[:min(1, len(c.n.text))], "0123456789.-+") {
		return c.share("related-range")
	}
	hint := "write one of unrelated, half-siblings, siblings, or the kinship of two of them as a number"
	if near := pedigree.Nearest(c.n.text, []string{"unrelated", "half-siblings", "siblings"}); near != "" {
		hint = "did you mean " + quote(near) + "? Else " + hint
	}
	c.problem("unknown-word", hint, "%s cannot be %s", quote(c.name), quote(c.n.text))
	return 0, false
}

// checkRelated holds the kinship of two members to what can be: two fish of
// inbreeding F have at most the kinship (1+F)/2 of a fish with itself.
func (f *founder) checkRelated() {
	if limit := (1 + f.inbreeding) / 2; f.relatedStated && f.related > limit {
		f.relatedCell.problem("related-range", "for an inbred strain state `inbreeding` too; `inbreeding: 1` is a fully inbred one",
			"two fish of inbreeding %s cannot be related by more than %s", formatNumber(f.inbreeding), formatNumber(limit))
		f.related, f.relatedStated = 0, false
	}
}

type wildDraft struct {
	pedigree.Wild
	founder
}

var wildFields = []field[wildDraft]{
	textField("site", "where they were caught", func(d *wildDraft) *string { return &d.Site }),
	dateField("date", "when they were caught", func(d *wildDraft) *pedigree.Date { return &d.Wild.Date }),
	textField("collector", "who caught them", func(d *wildDraft) *string { return &d.Collector }),
	textField("permit", "under which permit", func(d *wildDraft) *string { return &d.Permit }),
	relatedField(func(d *wildDraft) *founder { return &d.founder }),
	textField("note", "any remark", func(d *wildDraft) *string { return &d.Note }),
}

func readWild(c cell) *pedigree.Wild {
	var d wildDraft
	readFields(c, wildFields, &d)
	d.checkRelated()
	d.Related = d.related
	return &d.Wild
}

type boughtDraft struct {
	pedigree.Bought
	founder
}

var boughtFields = []field[boughtDraft]{
	textField("from", "who sold or gave them", func(d *boughtDraft) *string { return &d.From }),
	dateField("date", "when they came", func(d *boughtDraft) *pedigree.Date { return &d.Bought.Date }),
	{Field{Key: "generation", Kind: Various, Meaning: "the seller's word: F3, F2-F4, F2+ (or more), wild, or a number"},
		func(c cell, d *boughtDraft) { d.Generation = c.generation() }},
	relatedField(func(d *boughtDraft) *founder { return &d.founder }),
	{Field{Key: "inbreeding", Kind: Share, Meaning: "declared inbreeding coefficient; 1 is a fully inbred strain"},
		func(c cell, d *boughtDraft) { d.founder.inbreeding, _ = c.share("share-range") }},
	textField("note", "any remark", func(d *boughtDraft) *string { return &d.Note }),
}

func readBought(c cell) *pedigree.Bought {
	var d boughtDraft
	readFields(c, boughtFields, &d)
	d.checkRelated()
	d.Inbreeding, d.Related, d.RelatedStated = d.inbreeding, d.related, d.relatedStated
	d.Related = d.Bought.Kinship()
	return &d.Bought
}

// generation reads F3, F2-F4, F2+, wild or a number; nil for anything else.
func (c cell) generation() *pedigree.Declared {
	if !c.is(scalar) {
		return nil
	}
	text := c.n.text
	if text == "wild" {
		return &pedigree.Declared{}
	}
	if n, ok := smallNumber(text); ok {
		return &pedigree.Declared{Min: n, Max: n}
	}
	from, to, isRange := strings.Cut(text, "-")
	more := strings.HasSuffix(text, "+") && !isRange
	low, ok := filial(strings.TrimSuffix(from, "+"))
	high := low
	if isRange {
		var okHigh bool
		high, okHigh = filial(to)
		ok = ok && okHigh && !strings.HasSuffix(from, "+") && high >= low
	}
	if !ok {
		c.problem("generation", "write F3, F2-F4, F2+ (F2 or more), wild, or a number", "%s is not a generation from wild", quote(text))
		return nil
	}
	return &pedigree.Declared{Min: low, Max: high, AtLeast: more}
}

func filial(text string) (int, bool) {
	if !strings.HasPrefix(text, "F") {
		return 0, false
	}
	return smallNumber(text[1:])
}

func smallNumber(text string) (int, bool) {
	if text == "" || len(text) > 4 || strings.Trim(text, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

// readFromSpawns reads one spawn, or several with their numbers or odds.
func readFromSpawns(c cell) []pedigree.FromSpawn {
	if c.n.kind == scalar {
		if id := c.id(needSpawn); id != "" {
			return []pedigree.FromSpawn{{Spawn: id, Share: 1}}
		}
		return nil
	}
	var out []pedigree.FromSpawn
	c.eachID(needSpawn, func(key cell) {
		if odds, ok := key.odds(); ok {
			out = append(out, pedigree.FromSpawn{Spawn: key.name, Share: odds})
		}
	})
	return out
}

// eachID reads a mapping whose keys are ids; the marks stand at the ids.
func (c cell) eachID(need need, do func(key cell)) {
	if c.n.kind != mapping && c.n.kind != broken {
		c.wrongKind("an id, or ids with numbers in curly brackets")
		return
	}
	c.eachKey(func(key cell) {
		key.markAt(key.keyAt)
		c.refer(key.name, need, c.r.position(key.keyAt))
		do(key)
	})
	if c.n.kind == mapping && len(c.n.entries) == 0 {
		c.noValue()
	}
}

// odds reads a number above 0.
func (c cell) odds() (float64, bool) {
	v, ok := c.number()
	if ok && v == 0 {
		c.problem("odds", "take out what cannot have been", "the number for %s must be above 0", quote(c.name))
		return 0, false
	}
	return v, ok
}

// readMerged reads what each record gave to a merged lot.
func readMerged(c cell) []pedigree.Part {
	if !c.is(mapping) {
		return nil
	}
	var out []pedigree.Part
	c.eachID(needStock, func(key cell) {
		if part, ok := readPart(key); ok {
			out = append(out, part)
		}
	})
	slices.SortFunc(out, func(a, b pedigree.Part) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

func readPart(c cell) (pedigree.Part, bool) {
	part := pedigree.Part{ID: c.name}
	if c.n.kind == scalar {
		n, ok := c.whole()
		if ok && n == 0 {
			c.problem("empty-lot", "take the record out of the merger", "no fish of %s are merged", quote(c.name))
			return part, false
		}
		part.Count.Unsexed, part.Whole = n, true
		return part, ok
	}
	if c.n.kind != mapping {
		if c.n.kind == missing {
			c.noValue()
		} else {
			c.wrongKind("a number, or males, females and unsexed")
		}
		return part, false
	}
	var n numbers
	readFields(c, countFields, &n)
	part.Count = n.total()
	if part.Count.Total() == 0 && !c.hasProblem() {
		c.problem("empty-lot", "state males, females or unsexed", "no fish of %s are merged", quote(c.name))
	}
	return part, part.Count.Total() > 0
}

// hasProblem reports whether a problem stands inside the value already.
func (c cell) hasProblem() bool {
	if c.n.isBroken() {
		return true
	}
	for _, p := range c.r.problems {
		if c.n.covers(p.Line, p.Column) {
			return true
		}
	}
	return false
}

// isBroken reports whether the value, or a value in it, is told already as
// something the book does not use.
func (n *node) isBroken() bool {
	if n.kind == broken {
		return true
	}
	for i := range n.entries {
		if n.entries[i].value.isBroken() {
			return true
		}
	}
	return false
}

func (n *node) covers(line, col int) bool {
	if n.line == line && n.col == col {
		return true
	}
	for i := range n.entries {
		if at := n.entries[i].at; at.line == line && at.col == col || n.entries[i].value.covers(line, col) {
			return true
		}
	}
	return false
}
