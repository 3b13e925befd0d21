package locus

import (
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// withPhenotypes fills in what the genotypes look like; nil where that cannot be
// told of one of them.
func (d *definer) withPhenotypes(s *system) *system {
	for _, t := range s.traits {
		if !d.phenotypes(s, t) {
			return nil
		}
	}
	if i := slices.IndexFunc(s.loci, func(l *locus) bool { return l.name == SexChromosomes }); i >= 0 {
		s.traits = append(s.traits, &trait{name: SexChromosomes, record: &pedigree.Locus{Name: SexChromosomes}, loci: []int{i}})
	}
	return s
}

// phenotypes fills in what each genotype looks like: as the first rule says that
// it fits. A fish without a copy of the locus looks wild type where no rule
// says otherwise.
func (d *definer) phenotypes(s *system, t *trait) bool {
	rules := make([]pattern, len(t.record.Phenotypes))
	for i, rule := range t.record.Phenotypes {
		var ok bool
		if rules[i], ok = d.pattern(s, t, "phenotypes."+rule.Pattern, rule.Pattern); !ok {
			return false
		}
		if !slices.Contains(t.phenotypes, rule.Phenotype) {
			t.phenotypes = append(t.phenotypes, rule.Phenotype)
		}
	}
	if len(rules) == 0 {
		return true
	}
	looks := func(fits func(p pattern) bool) int {
		if i := slices.IndexFunc(rules, fits); i >= 0 {
			return slices.Index(t.phenotypes, t.record.Phenotypes[i].Phenotype)
		}
		return -1
	}
	wild := looks(func(p pattern) bool { return s.fitsWildType(t, p) })
	shares, ok := d.penetrance(s, t)
	if !ok {
		return false
	}
	used := make([]bool, len(rules))
	for _, g := range s.genotypes {
		shown := looks(func(p pattern) bool { return s.matches(g, t.loci, p) })
		if i := slices.IndexFunc(rules, func(p pattern) bool { return s.matches(g, t.loci, p) }); i >= 0 {
			used[i] = true
		} else if s.lacks(g, t) {
			shown = wild
		}
		name := s.nameAt(g, t)
		if shown < 0 {
			d.tell("genotype-without-phenotype", t.record, "phenotypes", fmt.Sprintf("say what it looks like: phenotypes: {%s: ...}", name),
				"no rule of %s says what %s looks like", t.name, name)
			return false
		}
		row := make([]float64, len(t.phenotypes))
		row[shown] = 1
		if share := shares(g); share < 1 {
			if wild < 0 {
				d.tell("genotype-without-phenotype", t.record, "penetrance", "say what the wild type looks like", "some %s are to look wild type, but no rule of %s says how that is", name, t.name)
				return false
			}
			row[shown] = share
			row[wild] += 1 - share
		}
		t.shows = append(t.shows, row)
	}
	for i, rule := range t.record.Phenotypes {
		if !used[i] {
			d.tell("phenotype-never", t.record, "phenotypes."+rule.Pattern, "every genotype that fits it is lethal, or fits an earlier rule, or is of no sex",
				"no genotype of %s gets its phenotype %s from %q", t.name, rule.Phenotype, rule.Pattern)
		}
	}
	return true
}

// penetrance returns the share of each genotype that shows its phenotype.
func (d *definer) penetrance(s *system, t *trait) (func(g genotype) float64, bool) {
	patterns := make([]pattern, len(t.record.Penetrance))
	for i, p := range t.record.Penetrance {
		var ok bool
		if patterns[i], ok = d.pattern(s, t, "penetrance."+p.Genotype, p.Genotype); !ok {
			return nil, false
		}
	}
	return func(g genotype) float64 {
		for i, p := range patterns {
			if s.matches(g, t.loci, p) {
				return t.record.Penetrance[i].Share
			}
		}
		return 1
	}, true
}

// fitsWildType reports whether the genotype of first alleles fits.
func (s *system) fitsWildType(t *trait, p pattern) bool {
	for i, part := range p {
		if l := s.loci[t.loci[i]]; l.on == "Y" || l.on == "W" {
			if !part.fits(0, absent) {
				return false
			}
		} else if !part.fits(0, 0) {
			return false
		}
	}
	return true
}

// lacks reports whether a genotype has no copy of a locus that the trait reads.
func (s *system) lacks(g genotype, t *trait) bool {
	return slices.ContainsFunc(t.loci, func(i int) bool {
		a, b := s.alleles(g, i)
		return a == absent && b == absent
	})
}

// nameAt writes the genotype at the loci that a trait reads.
func (s *system) nameAt(g genotype, t *trait) string {
	var parts []string
	for _, i := range t.loci {
		a, b := s.alleles(g, i)
		parts = append(parts, s.loci[i].nameOf(a, b))
	}
	return strings.Join(parts, " ")
}
