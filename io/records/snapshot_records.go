package records

import "roebook/pedigree"

func codeCount(c *coder, n *pedigree.Count) {
	whole(c, &n.Males)
	whole(c, &n.Females)
	whole(c, &n.Unsexed)
}

func codeStock(c *coder, s *pedigree.Stock) {
	c.text(&s.ID)
	c.text(&s.Line)
	c.yesNo(&s.Lot)
	whole(c, &s.Sex)
	codeCount(c, &s.Count)
	optional(c, &s.Wild, codeWild)
	optional(c, &s.Bought, codeBought)
	list(c, &s.FromSpawns, 2, func(c *coder, f *pedigree.FromSpawn) {
		c.text(&f.Spawn)
		c.float(&f.Share)
	})
	c.text(&s.Picked)
	list(c, &s.Merged, 5, func(c *coder, p *pedigree.Part) {
		c.text(&p.ID)
		codeCount(c, &p.Count)
		c.yesNo(&p.Whole)
	})
	for _, date := range []*pedigree.Date{&s.Date, &s.Born, &s.Died, &s.Retired, &s.QuarantineUntil} {
		whole(c, date)
	}
	for _, text := range []*string{&s.Name, &s.Species, &s.Locality, &s.Tank, &s.Note} {
		c.text(text)
	}
	list(c, &s.Genotype, 2, codeTrait)
	list(c, &s.Phenotype, 2, codeTrait)
	c.yesNo(&s.Gone)
	list(c, &s.Sold, 7, func(c *coder, sale *pedigree.Sale) {
		whole(c, &sale.Date)
		c.text(&sale.To)
		codeCount(c, &sale.Count)
		c.yesNo(&sale.Numbered)
		c.text(&sale.Note)
	})
	list(c, &s.Lent, 4, func(c *coder, loan *pedigree.Loan) {
		whole(c, &loan.Date)
		whole(c, &loan.Back)
		c.text(&loan.To)
		c.text(&loan.Note)
	})
	list(c, &s.Changes, 5, func(c *coder, change *pedigree.Change) {
		whole(c, &change.Date)
		codeCount(c, &change.Count)
		c.text(&change.Why)
	})
	codeWhere(c, &s.Where)
}

func codeTrait(c *coder, t *pedigree.Trait) {
	c.text(&t.Locus)
	c.text(&t.Value)
}

func codeWild(c *coder, w *pedigree.Wild) {
	c.text(&w.Site)
	whole(c, &w.Date)
	c.text(&w.Collector)
	c.text(&w.Permit)
	c.float(&w.Related)
	c.text(&w.Note)
}

func codeBought(c *coder, b *pedigree.Bought) {
	c.text(&b.From)
	whole(c, &b.Date)
	optional(c, &b.Generation, func(c *coder, d *pedigree.Declared) {
		whole(c, &d.Min)
		whole(c, &d.Max)
		c.yesNo(&d.AtLeast)
	})
	c.float(&b.Related)
	c.yesNo(&b.RelatedStated)
	c.float(&b.Inbreeding)
	c.text(&b.Note)
}

func codeSide(c *coder, s *pedigree.Side) {
	list(c, &s.Candidates, 2, func(c *coder, v *pedigree.Candidate) {
		c.text(&v.ID)
		c.float(&v.Odds)
	})
	c.yesNo(&s.Odds)
}

func codeTally(c *coder, t *pedigree.Tally) {
	whole(c, &t.N)
	c.yesNo(&t.Stated)
}

func codeSpawn(c *coder, s *pedigree.Spawn) {
	for _, text := range []*string{&s.ID, &s.Line, &s.Repeat, &s.Tank, &s.Note} {
		c.text(text)
	}
	whole(c, &s.Date)
	whole(c, &s.Planned)
	codeSide(c, &s.Sire)
	codeSide(c, &s.Dam)
	textList(c, &s.Group)
	for _, parents := range []*pedigree.Parents{&s.Sires, &s.Dams} {
		whole(c, &parents.N)
		c.yesNo(&parents.All)
	}
	for _, tally := range []*pedigree.Tally{&s.Eggs, &s.Fertile, &s.Hatched, &s.Born, &s.Swimming, &s.Kept, &s.Deformed, &s.Culled, &s.Lost, &s.SeenDays} {
		codeTally(c, tally)
	}
	list(c, &s.Seen, 2, func(c *coder, seen *pedigree.Seen) {
		c.text(&seen.Locus)
		list(c, &seen.Counts, 2, func(c *coder, n *pedigree.SeenCount) {
			c.text(&n.Phenotype)
			whole(c, &n.N)
		})
	})
	c.yesNo(&s.Virgin)
	c.yesNo(&s.ConceivedWild)
	c.yesNo(&s.Intended)
	list(c, &s.Conditions, 2, func(c *coder, v *pedigree.Condition) {
		c.text(&v.Key)
		c.text(&v.Value)
	})
	codeWhere(c, &s.Where)
}

func codeTank(c *coder, t *pedigree.Tank) {
	c.text(&t.ID)
	c.float(&t.Litres)
	c.text(&t.Place)
	c.text(&t.Note)
	codeWhere(c, &t.Where)
}

func codeLocus(c *coder, l *pedigree.Locus) {
	for _, text := range []*string{&l.Name, &l.Inheritance, &l.LinkedTo, &l.Source, &l.Note} {
		c.text(text)
	}
	for _, v := range []*float64{&l.Recombination, &l.LinkedMale, &l.LinkedFemale} {
		c.float(v)
	}
	textList(c, &l.Alleles)
	textList(c, &l.Loci)
	list(c, &l.Phenotypes, 2, func(c *coder, p *pedigree.PhenotypeRule) {
		c.text(&p.Pattern)
		c.text(&p.Phenotype)
	})
	textList(c, &l.Lethal)
	list(c, &l.Penetrance, 2, func(c *coder, s *pedigree.GenotypeShare) {
		c.text(&s.Genotype)
		c.float(&s.Share)
	})
	whole(c, &l.ScoredFromDays)
	list(c, &l.Frequency, 2, func(c *coder, s *pedigree.AlleleShare) {
		c.text(&s.Allele)
		c.float(&s.Share)
	})
	codeWhere(c, &l.Where)
}
