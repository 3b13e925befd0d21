package records

import (
	"cmp"
	"math"
	"slices"

	"roebook/pedigree"
)

// stockDraft is a stock record while it is read.
type stockDraft struct {
	pedigree.Stock
	numbers
	origins []cell
	sex     cell
}

// originKeys are the ways in which fish come into the book.
var originKeys = []string{"wild", "bought", "spawn", "picked", "merged"}

func (d *stockDraft) origin(c cell) { d.origins = append(d.origins, c) }

var stockFields = slices.Concat([]field[stockDraft]{
	groupField("wild", "caught in the wild: generation 0", wildFields, func(c cell, d *stockDraft) {
		d.origin(c)
		if c.is(mapping) {
			d.Wild = readWild(c)
		}
	}),
	groupField("bought", "from elsewhere: the parents are not in the book", boughtFields, func(c cell, d *stockDraft) {
		d.origin(c)
		if c.is(mapping) {
			d.Bought = readBought(c)
		}
	}),
	{Field{Key: "spawn", Kind: Various, Meaning: "fry of this spawn, or of several spawns with their numbers (for one fish: their odds)"},
		func(c cell, d *stockDraft) { d.origin(c); d.FromSpawns = readFromSpawns(c) }},
	{Field{Key: "picked", Kind: ID, Meaning: "taken out of this lot"},
		func(c cell, d *stockDraft) { d.origin(c); d.Picked = c.id(needStock) }},
	{Field{Key: "merged", Kind: Named, Meaning: "fish of these records put together, no longer told apart", Fields: fieldsOf(countFields)},
		func(c cell, d *stockDraft) { d.origin(c); d.Merged = readMerged(c) }},
	dateField("date", "when the record begins", func(d *stockDraft) *pedigree.Date { return &d.Date }),
	dateField("born", "when the fish were born; else the spawn's date", func(d *stockDraft) *pedigree.Date { return &d.Born }),
	{Field{Key: "sex", Kind: Word, Meaning: "of one fish: male, female or unsexed"}, readSex},
}, numberFields(func(d *stockDraft) *numbers { return &d.numbers }), []field[stockDraft]{
	listField("changes", "later censuses of a lot, each with all its fish", false, changeFields, readChange, func(d *stockDraft) *[]pedigree.Change { return &d.Changes }),
	dateField("died", "when it died", func(d *stockDraft) *pedigree.Date { return &d.Died }),
	listField("sold", "fish sold or given away", true, saleFields, readSale, func(d *stockDraft) *[]pedigree.Sale { return &d.Sold }),
	listField("lent", "fish lent out", true, loanFields, readLoan, func(d *stockDraft) *[]pedigree.Loan { return &d.Lent }),
	dateField("retired", "kept but not bred from this day on", func(d *stockDraft) *pedigree.Date { return &d.Retired }),
	dateField("quarantine-until", "kept apart until this day", func(d *stockDraft) *pedigree.Date { return &d.QuarantineUntil }),
	{Field{Key: "genotype", Kind: Named, Meaning: "genotype at each locus, such as P/p"}, func(c cell, d *stockDraft) { d.Genotype = c.traits() }},
	{Field{Key: "phenotype", Kind: Named, Meaning: "what is seen at each locus"}, func(c cell, d *stockDraft) { d.Phenotype = c.traits() }},
	textField("name", "a name beside the id", func(d *stockDraft) *string { return &d.Name }),
	textField("species", "where it is not the line's", func(d *stockDraft) *string { return &d.Species }),
	textField("locality", "where it is not the line's", func(d *stockDraft) *string { return &d.Locality }),
	textField("tank", "where it is kept", func(d *stockDraft) *string { return &d.Tank }),
	textField("note", "any remark", func(d *stockDraft) *string { return &d.Note }),
})

func readSex(c cell, d *stockDraft) {
	d.sex = c
	switch c.word([]string{"male", "female", "unsexed"}) {
	case "male":
		d.Sex = pedigree.Male
	case "female":
		d.Sex = pedigree.Female
	}
}

func (c cell) traits() []pedigree.Trait {
	var out []pedigree.Trait
	c.each(func(key cell) { out = append(out, pedigree.Trait{Locus: key.name, Value: key.text()}) })
	slices.SortFunc(out, func(a, b pedigree.Trait) int { return cmp.Compare(a.Locus, b.Locus) })
	return out
}

// readStock reads one stock record.
func readStock(r *reader, c cell) *pedigree.Stock {
	d := &stockDraft{Stock: pedigree.Stock{ID: r.record}}
	r.where = &d.Where
	r.where.Position = r.position(c.keyAt)
	switch c.n.kind {
	case mapping:
		readFields(c, stockFields, d)
		d.Where.SortKeys()
		d.check(c)
	case missing:
		c.noValue()
	default:
		c.is(mapping)
	}
	out := d.Stock
	return &out
}

func (d *stockDraft) check(c cell) {
	d.Lot = slices.ContainsFunc(numberKeys, func(key string) bool { return c.n.get(key) != nil })
	d.checkOrigin(c)
	d.checkNumbers(c)
	if d.Merged != nil && c.n.get("date") == nil {
		c.r.problem(d.Where.At("merged"), "missing-date", "add `date: 2024-03-05`; the month or the year alone will do", "a merged lot needs the date on which it was put together")
	}
}

func (d *stockDraft) checkOrigin(c cell) {
	switch len(d.origins) {
	case 1:
	case 0:
		for _, key := range originKeys {
			if c.n.get(key) != nil { // told as having no value
				return
			}
		}
		if c.n.get("sire") != nil || c.n.get("dam") != nil { // told as keys of a spawn
			return
		}
		c.r.problem(d.Where.Position, "no-origin", "say where it came from: wild, bought, spawn, picked or merged (`bought: {}` where nothing is known)",
			"%s has no origin", quote(d.ID))
	default:
		second := d.origins[1]
		p := c.r.problem(c.r.position(second.keyAt), "several-origins", "keep one of wild, bought, spawn, picked and merged",
			"%s has several origins", quote(d.ID))
		p.Places = []pedigree.Place{{Position: c.r.position(d.origins[0].keyAt), Note: "the first is here"}}
		for _, o := range d.origins[2:] {
			p.Places = append(p.Places, pedigree.Place{Position: c.r.position(o.keyAt), Note: "and another here"})
		}
	}
}

func (d *stockDraft) checkNumbers(c cell) {
	if !d.Lot {
		d.checkFish(c)
		return
	}
	before := len(c.r.problems)
	d.Count = d.total()
	if d.sex.n != nil {
		p := d.sex.problem("sex-and-numbers", "for a lot write males, females or unsexed; for one fish only `sex`", "`sex` stands beside numbers")
		for _, key := range numberKeys {
			if n, ok := d.stated[key]; ok {
				p.Places = append(p.Places, pedigree.Place{Position: n.at(), Note: "a number is stated here"})
			}
		}
	}
	if d.unreadable(c) {
		d.Count = pedigree.Count{} // half of a census would be told as a wrong one
	} else if d.Count.Total() == 0 && len(c.r.problems) == before {
		at := d.Where.Position
		for _, key := range []string{"count", "unsexed", "females", "males"} {
			if n, ok := d.stated[key]; ok {
				at = n.at()
			}
		}
		c.r.problem(at, "empty-lot", "state how many there were when the record begins; later numbers go under `changes`", "%s begins with no fish", quote(d.ID))
	}
	if len(d.FromSpawns) > 1 {
		for _, from := range d.FromSpawns {
			if from.Share != math.Trunc(from.Share) {
				c.r.problem(d.Where.At("spawn."+from.Spawn), "not-whole", "", "a lot holds a whole number of fish of %s", quote(from.Spawn))
			}
		}
	}
}

// unreadable reports whether one of the numbers is told already.
func (d *stockDraft) unreadable(c cell) bool {
	for _, key := range numberKeys {
		n, ok := d.stated[key]
		if ok && n.hasProblem() || !ok && c.n.get(key) != nil {
			return true
		}
	}
	return false
}

// checkFish tells what only a lot can have.
func (d *stockDraft) checkFish(c cell) {
	hint := "a lot states its fish: males, females, unsexed or count"
	if len(d.Changes) > 0 {
		c.r.problem(d.Where.At("changes"), "not-a-lot", hint, "%s is one fish, and only a lot has changes", quote(d.ID))
	}
	if d.Merged != nil {
		c.r.problem(d.Where.At("merged"), "no-numbers", hint, "%s is merged, so it must state how many fish it holds", quote(d.ID))
	}
	for i := range d.Sold {
		if d.Sold[i].Numbered {
			c.r.problem(d.Where.At("sold"), "not-a-lot", hint, "%s is one fish; a sale of it has no numbers", quote(d.ID))
			break
		}
	}
}
