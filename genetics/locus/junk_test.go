package locus

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"roebook/pedigree"
)

// TestJunk: whatever is declared and noted, nothing panics, every problem is of a
// known rule, and where there is no error there are odds that sum to 1.
func TestJunk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		allele := rapid.SampledFrom([]string{"A", "a", "b", "A'", "", "-", "*", "none", "a/b"})
		genotype := rapid.SampledFrom([]string{"A/A", "A/a", "a/a", "A/-", "-/-", "A", "a", "*", "none", "", "A/a/a", "A/A a/a", "A/- *", "b/b"})
		name := rapid.SampledFrom([]string{"l1", "l2", "l3", "nowhere", SexChromosomes})
		line := &pedigree.Line{Name: "amber-spring", SexDetermination: rapid.SampledFrom([]string{"", "XY", "ZW", "WXY", "unknown"}).Draw(t, "sexes"),
			StoresSpermMonths: float64(rapid.IntRange(0, 3).Draw(t, "stores"))}
		for _, n := range []string{"l1", "l2", "l3"}[:rapid.IntRange(1, 3).Draw(t, "loci")] {
			l := pedigree.Locus{Name: n, Inheritance: rapid.SampledFrom([]string{"", "autosomal", "X", "Y", "Z", "W", "XY"}).Draw(t, "inheritance"),
				Alleles: []string{"A", "a"}, Recombination: 0.1}
			if rapid.IntRange(0, 4).Draw(t, "own alleles") == 0 {
				l.Alleles = rapid.SliceOfN(allele, 0, 4).Draw(t, "alleles")
			}
			for range rapid.IntRange(0, 4).Draw(t, "rules") {
				l.Phenotypes = append(l.Phenotypes, pedigree.PhenotypeRule{Pattern: genotype.Draw(t, "pattern"), Phenotype: rapid.SampledFrom([]string{"x", "y", ""}).Draw(t, "look")})
			}
			if rapid.Bool().Draw(t, "whole") {
				l.Phenotypes = append(l.Phenotypes, pedigree.PhenotypeRule{Pattern: "*", Phenotype: "z"})
			}
			if rapid.IntRange(0, 3).Draw(t, "more") == 0 {
				l.Lethal = rapid.SliceOfN(genotype, 0, 2).Draw(t, "lethal")
				l.Frequency = []pedigree.AlleleShare{{Allele: allele.Draw(t, "of"), Share: 0.5}, {Allele: "a", Share: 0.5}}
				l.Penetrance = []pedigree.GenotypeShare{{Genotype: genotype.Draw(t, "penetrance"), Share: rapid.Float64Range(0, 1).Draw(t, "share")}}
				l.LinkedTo, l.LinkedMale, l.LinkedFemale = name.Draw(t, "linked"), 0.1, 0.5
			}
			if rapid.IntRange(0, 4).Draw(t, "reads") == 0 {
				l.Loci = rapid.SliceOfN(name, 1, 3).Draw(t, "loci it reads")
			}
			line.Loci = append(line.Loci, l)
		}
		var records []any
		told := func(s *pedigree.Stock) *pedigree.Stock {
			for range rapid.IntRange(0, 2).Draw(t, "told") {
				s.Genotype = append(s.Genotype, pedigree.Trait{Locus: name.Draw(t, "locus"), Value: genotype.Draw(t, "genotype")})
			}
			if rapid.Bool().Draw(t, "seen") {
				s.Phenotype = append(s.Phenotype, pedigree.Trait{Locus: name.Draw(t, "locus"), Value: rapid.SampledFrom([]string{"x", "y", "z"}).Draw(t, "look")})
			}
			return s
		}
		sex := rapid.SampledFrom([]pedigree.Sex{pedigree.Male, pedigree.Female, pedigree.Unsexed})
		records = append(records, told(founder("M", pedigree.Male)), told(founder("F", pedigree.Female)))
		lot := &pedigree.Stock{ID: "L", Lot: true, Count: pedigree.Count{Males: rapid.IntRange(0, 2).Draw(t, "m"), Females: rapid.IntRange(0, 2).Draw(t, "f"), Unsexed: rapid.IntRange(0, 2).Draw(t, "u")},
			Bought: &pedigree.Bought{Related: rapid.SampledFrom([]float64{0, 0.1, 0.125, 0.25, 0.5, 1}).Draw(t, "related"), RelatedStated: true, Inbreeding: rapid.SampledFrom([]float64{0, 1}).Draw(t, "inbred")}}
		records = append(records, told(lot), told(&pedigree.Stock{ID: "P", Sex: sex.Draw(t, "sex"), Picked: "L", Date: 20240601}))
		for i := range 3 {
			s := bred(fmt.Sprintf("S%d", i), rapid.SampledFrom([]string{"M", "L", "P", ""}).Draw(t, "sire"), rapid.SampledFrom([]string{"F", "L", ""}).Draw(t, "dam"))
			s.Date += pedigree.Date(100 * i)
			s.Sires = pedigree.Parents{N: rapid.IntRange(0, 3).Draw(t, "sires"), All: rapid.IntRange(0, 5).Draw(t, "all") == 0}
			if rapid.Bool().Draw(t, "counted") {
				s.Seen = []pedigree.Seen{counts(name.Draw(t, "locus"), rapid.SampledFrom([]string{"x", "y", "z"}).Draw(t, "look"), rapid.IntRange(0, 9).Draw(t, "n"))}
			}
			records = append(records, s, told(young(fmt.Sprintf("C%d", i), sex.Draw(t, "sex"), s.ID)))
		}
		b := bookOf(line, records...)
		errors := 0
		for _, p := range Check(b, func() *pedigree.Book { return b }) {
			if !slices.ContainsFunc(rules, func(r pedigree.Rule) bool { return r.Name == p.Rule && r.Severity == p.Severity }) {
				t.Fatalf("no such rule: %v", p)
			}
			if p.Severity == pedigree.Error {
				errors++
			}
		}
		study := New(b)
		a := study.Line(line.Name, nil, 0)
		for _, o := range a.Odds {
			sum := 0.0
			for _, g := range o.Genotypes {
				sum += g.Share
			}
			if sum < 1-1e-9 || sum > 1+1e-9 {
				t.Fatalf("%s at %s: %v sum to %g", o.ID, o.Locus, o.Genotypes, sum)
			}
		}
		if errors == 0 && len(a.Impossible) > 0 {
			t.Fatalf("no error, but no answer for %v", a.Impossible)
		}
		_, _ = study.Pair(b.StockByID("M"), b.StockByID("F"), 20250101)
		_, _ = study.Spawn(b.SpawnByID("S1"))
		study.WorthTesting(line.Name, 20250101)
		study.Risks(line.Name, []string{"M"}, []string{"F"}, study.Looks(line.Name), 20250101)
	})
}
