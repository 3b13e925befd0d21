package records

import (
	"cmp"
	"slices"

	"roebook/pedigree"
)

var inheritanceWords = []string{"autosomal", "X", "Y", "Z", "W", "XY"}

var locusFields = []field[pedigree.Locus]{
	wordField("inheritance", "autosomal, X, Y, Z, W, or XY (on both)", inheritanceWords, func(l *pedigree.Locus) *string { return &l.Inheritance }),
	{Field{Key: "recombination", Kind: Number, Meaning: "with XY: how often it changes over between X and Y, 0 to 0.5"},
		func(c cell, l *pedigree.Locus) { l.Recombination, _ = c.recombination() }},
	{Field{Key: "alleles", Kind: List, Meaning: "its alleles, the wild type first"},
		func(c cell, l *pedigree.Locus) { l.Alleles = c.texts() }},
	{Field{Key: "loci", Kind: List, Meaning: "for a phenotype that reads several loci: which"},
		func(c cell, l *pedigree.Locus) { l.Loci = c.texts() }},
	{Field{Key: "phenotypes", Kind: Named, Meaning: "what each genotype looks like; the first that matches"}, func(c cell, l *pedigree.Locus) {
		c.each(func(key cell) {
			l.Phenotypes = append(l.Phenotypes, pedigree.PhenotypeRule{Pattern: key.name, Phenotype: key.text()})
		})
	}},
	{Field{Key: "lethal", Kind: List, Meaning: "genotypes that die before they are counted"},
		func(c cell, l *pedigree.Locus) { l.Lethal = c.texts() }},
	{Field{Key: "penetrance", Kind: Named, Meaning: "share of a genotype that shows its phenotype"}, func(c cell, l *pedigree.Locus) {
		c.each(func(key cell) {
			if v, ok := key.share("share-range"); ok {
				l.Penetrance = append(l.Penetrance, pedigree.GenotypeShare{Genotype: key.name, Share: v})
			}
		})
	}},
	{Field{Key: "scored-from-days", Kind: Whole, Meaning: "age in days from which it can be told"},
		func(c cell, l *pedigree.Locus) { l.ScoredFromDays, _ = c.whole() }},
	{Field{Key: "frequency", Kind: Named, Meaning: "of each allele in founders"}, func(c cell, l *pedigree.Locus) {
		c.each(func(key cell) {
			if v, ok := key.share("share-range"); ok {
				l.Frequency = append(l.Frequency, pedigree.AlleleShare{Allele: key.name, Share: v})
			}
		})
	}},
	groupField("linked", "another locus on the same chromosome", linkedFields, func(c cell, l *pedigree.Locus) { readFields(c, linkedFields, l) }),
	textField("source", "where its inheritance is published", func(l *pedigree.Locus) *string { return &l.Source }),
	textField("note", "any remark", func(l *pedigree.Locus) *string { return &l.Note }),
}

var linkedFields = []field[pedigree.Locus]{
	textField("to", "the other locus", func(l *pedigree.Locus) *string { return &l.LinkedTo }),
	{Field{Key: "recombination", Kind: Various, Meaning: "share of gametes that recombine, or {male, female}", Fields: fieldsOf(bySexFields)},
		func(c cell, l *pedigree.Locus) {
			if c.n.kind == mapping {
				readFields(c, bySexFields, l)
				return
			}
			l.LinkedMale, _ = c.recombination()
			l.LinkedFemale = l.LinkedMale
		}},
}

var bySexFields = []field[pedigree.Locus]{
	{Field{Key: "male", Kind: Number, Meaning: "in males, 0 to 0.5"}, func(c cell, l *pedigree.Locus) { l.LinkedMale, _ = c.recombination() }},
	{Field{Key: "female", Kind: Number, Meaning: "in females, 0 to 0.5"}, func(c cell, l *pedigree.Locus) { l.LinkedFemale, _ = c.recombination() }},
}

// recombination reads a number between 0 and 0.5: unlinked loci recombine in
// half of the gametes.
func (c cell) recombination() (float64, bool) {
	if c.percent() {
		return 0, false
	}
	v, ok := c.number()
	if ok && v > 0.5 {
		c.problem("share-range", "0.5 means that the loci are not linked", "%s must be between 0 and 0.5", quote(c.name))
		return 0, false
	}
	return v, ok
}

func readLocus(r *reader, c cell) pedigree.Locus {
	l := pedigree.Locus{Name: c.name}
	r.where = &l.Where
	r.where.Position = r.position(c.keyAt)
	readFields(c, locusFields, &l)
	l.Where.SortKeys()
	return l
}

func sortLoci(loci []pedigree.Locus) {
	slices.SortStableFunc(loci, func(a, b pedigree.Locus) int { return cmp.Compare(a.Name, b.Name) })
}
