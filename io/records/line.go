package records

import (
	"slices"

	"roebook/pedigree"
)

// bookFields are the keys of roebook.yaml.
var bookFields = []field[pedigree.Book]{
	textField("book", "the name of the book", func(b *pedigree.Book) *string { return &b.Name }),
	textField("keeper", "who keeps it", func(b *pedigree.Book) *string { return &b.Keeper }),
	textField("id-prefix", "how ids begin that the program makes up", func(b *pedigree.Book) *string { return &b.IDPrefix }),
}

// lineDraft is the header of one record file while it is read.
type lineDraft struct{ pedigree.Line }

var (
	broodWords = []string{"litter", "spawn", "clutch", "brood"}
	sexWords   = []string{"XY", "ZW", "WXY", "unknown"}
)

// headerFields are the keys of a line. Several files may name one line; then
// each of these stands once or is the same.
var headerFields = []field[lineDraft]{
	textField("line", "the name of the line", func(d *lineDraft) *string { return &d.Name }),
	textField("species", "scientific name", func(d *lineDraft) *string { return &d.Species }),
	textField("common-name", "name in everyday words", func(d *lineDraft) *string { return &d.CommonName }),
	textField("locality", "where its wild forebears lived", func(d *lineDraft) *string { return &d.Locality }),
	wordField("brood-word", "the word on sheets: litter, spawn, clutch or brood", broodWords, func(d *lineDraft) *string { return &d.BroodWord }),
	wordField("sex-determination", "sex chromosomes: XY, ZW, WXY or unknown", sexWords, func(d *lineDraft) *string { return &d.SexDetermination }),
	numberField("stores-sperm-months", "how long a female may carry sperm of earlier males, in months", func(d *lineDraft) *float64 { return &d.StoresSpermMonths }),
	groupField("mature-months", "age at maturity in months", matureFields, func(c cell, d *lineDraft) { readFields(c, matureFields, &d.MatureMonths) }),
	groupField("goal", "what the line is to be held to", goalFields, func(c cell, d *lineDraft) { readFields(c, goalFields, &d.Goal) }),
	listField("related-founders", "founders that are kin", false, kinFields, readKin, func(d *lineDraft) *[]pedigree.RelatedFounders { return &d.RelatedFounders }),
	textField("note", "any remark", func(d *lineDraft) *string { return &d.Note }),
}

// lineFields are all keys of a record file.
var lineFields = slices.Concat(headerFields, []field[lineDraft]{
	{Field{Key: "tanks", Kind: Named, Meaning: "tanks by id", Fields: fieldsOf(tankFields)}, nil},
	{Field{Key: "stock", Kind: Named, Meaning: "fish and lots by id", Fields: fieldsOf(stockFields)}, nil},
	{Field{Key: "spawns", Kind: Named, Meaning: "spawns by id", Fields: fieldsOf(spawnFields)}, nil},
	{Field{Key: "loci", Kind: Named, Meaning: "loci by name", Fields: fieldsOf(locusFields)}, nil},
})

var matureFields = []field[pedigree.MatureMonths]{
	numberField("male", "of males", func(m *pedigree.MatureMonths) *float64 { return &m.Male }),
	numberField("female", "of females", func(m *pedigree.MatureMonths) *float64 { return &m.Female }),
}

var goalFields = []field[pedigree.Goal]{
	shareField("gene-diversity", "gene diversity to keep, a share of the founders' source", func(g *pedigree.Goal) **float64 { return &g.GeneDiversity }),
	{Field{Key: "generations", Kind: Whole, Meaning: "for how many generations"}, func(c cell, g *pedigree.Goal) { g.Generations, _ = c.whole() }},
	shareField("max-inbreeding", "the most inbreeding a fish may have", func(g *pedigree.Goal) **float64 { return &g.MaxInbreeding }),
}

// shareField reads a number between 0 and 1 that may be left out.
func shareField[T any](key, meaning string, to func(*T) **float64) field[T] {
	return field[T]{Field{Key: key, Kind: Share, Meaning: meaning}, func(c cell, into *T) {
		if v, ok := c.share("share-range"); ok {
			*to(into) = &v
		}
	}}
}

var kinFields = []field[pedigree.RelatedFounders]{
	{Field{Key: "of", Kind: List, Meaning: "ids of the founders"}, func(c cell, k *pedigree.RelatedFounders) {
		if c.is(sequence) {
			k.Of = c.ids(needFounder)
			c.onceEach()
		}
	}},
	{Field{Key: "kinship", Kind: Share, Meaning: "kinship of two fish of different records"}, func(c cell, k *pedigree.RelatedFounders) {
		k.Kinship, _ = c.share("share-range")
	}},
	textField("why", "how it is known", func(k *pedigree.RelatedFounders) *string { return &k.Why }),
}

// onceEach tells the items of a list that stand in it twice.
func (c cell) onceEach() {
	first := map[string]span{}
	for _, item := range c.n.items {
		if before, ok := first[item.text]; ok && item.text != "" {
			p := c.r.problem(c.r.position(item.span), "named-twice", "name it once", "%s is named twice under %s", quote(item.text), quote(c.name))
			p.Places = []pedigree.Place{{Position: c.r.position(before), Note: "first here"}}
			continue
		}
		first[item.text] = item.span
	}
}

// readKin reads one entry of related-founders. Its marks are kept twice: under
// the line's paths, and in its own Where. What is wrong in it makes the named
// founders unreliable.
func readKin(c cell) (pedigree.RelatedFounders, bool) {
	if !c.is(mapping) {
		return pedigree.RelatedFounders{}, false
	}
	own := &reader{file: c.r.file}
	if of := c.n.get("of"); of != nil {
		for _, item := range of.items {
			own.taints = append(own.taints, item.text)
		}
	}
	k := readKinEntry(own, c)
	for _, k := range own.where.Keys {
		c.r.where.Keys = append(c.r.where.Keys, pedigree.Key{Path: c.path + "." + k.Path, Position: k.Position})
	}
	c.r.problems = append(c.r.problems, own.problems...)
	c.r.refs = append(c.r.refs, own.refs...)
	return *k, len(k.Of) > 1
}

func readKinEntry(own *reader, c cell) *pedigree.RelatedFounders {
	k := &pedigree.RelatedFounders{}
	own.where = &k.Where
	k.Where.Position = own.position(c.n.span)
	inner := cell{r: own, name: c.name, n: c.n, keyAt: c.n.span}
	readFields(inner, kinFields, k)
	k.Where.SortKeys()
	if len(k.Of) < 2 && len(own.problems) == 0 {
		own.problem(k.Where.At("of"), "related-founders", "for example `{of: [AS-K1, AS-K2], kinship: 0.25}`", "`of` must name two founders or more")
	}
	if c.n.get("kinship") == nil {
		own.problem(k.Where.Position, "related-founders", "add `kinship: 0.25` for siblings, 0.125 for half-siblings", "these founders have no `kinship`")
	}
	return k
}

var tankFields = []field[pedigree.Tank]{
	numberField("litres", "its volume", func(t *pedigree.Tank) *float64 { return &t.Litres }),
	textField("place", "where it stands", func(t *pedigree.Tank) *string { return &t.Place }),
	textField("note", "any remark", func(t *pedigree.Tank) *string { return &t.Note }),
}

func readTank(r *reader, c cell) pedigree.Tank {
	t := pedigree.Tank{ID: c.name}
	r.where = &t.Where
	r.where.Position = r.position(c.keyAt)
	if c.n.kind != missing {
		readFields(c, tankFields, &t)
		t.Where.SortKeys()
	}
	return t
}
