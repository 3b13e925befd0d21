package pairing_test

import (
	"testing"

	"roebook/genetics/pairing"
	"roebook/pedigree"
)

// Two fish that both hide one recessive are kept apart, no others: not where one
// shows it, nor for a dominant allele, nor where nothing is stated.
func TestHiddenRecessivesKeepFishApart(t *testing.T) {
	book := &pedigree.Book{Lines: []*pedigree.Line{{Name: line, Loci: []pedigree.Locus{
		{Name: "fin", Inheritance: "autosomal", Alleles: []string{"+", "L"}, Phenotypes: []pedigree.PhenotypeRule{{Pattern: "L/-", Phenotype: "long"}, {Pattern: "+/+", Phenotype: "short"}}},
		{Name: "pale", Inheritance: "autosomal", Alleles: []string{"P", "p"}, Phenotypes: []pedigree.PhenotypeRule{{Pattern: "P/-", Phenotype: "dark"}, {Pattern: "p/p", Phenotype: "pale"}}},
		{Name: "scale", Inheritance: "autosomal", Alleles: []string{"n", "N"}, Lethal: []string{"N/N"}},
		{Name: "spot", Inheritance: "X", Alleles: []string{"S", "s"}, Phenotypes: []pedigree.PhenotypeRule{{Pattern: "S/-", Phenotype: "spotted"}, {Pattern: "s/s", Phenotype: "plain"}}},
	}}}}
	with := func(locus, genotype string) *pedigree.Stock {
		s := fish(locus+genotype, pedigree.Male)
		s.Line = line
		if locus != "" {
			s.Genotype = []pedigree.Trait{{Locus: locus, Value: genotype}}
		}
		return s
	}
	for _, test := range []struct {
		locus, sire, dam string
		apart            bool
	}{
		{"pale", "P/p", "p/P", true}, {"pale", "P/p", "p/p", false}, {"pale", "p/p", "p/p", false}, {"pale", "P/P", "P/p", false}, {"pale", "P/-", "P/p", false},
		{"fin", "+/L", "+/L", false}, {"scale", "n/N", "n/N", true}, {"spot", "S/s", "S/s", false},
	} {
		sire, dam := with(test.locus, test.sire), with(test.locus, test.dam)
		sire.ID, dam.ID = "sire", "dam"
		book.Stock = []*pedigree.Stock{sire, dam}
		book.Arrange()
		if why := pairing.HiddenRecessives(book)(sire, dam); (why != "") != test.apart {
			t.Errorf("%s: %s with %s: %q, want apart %t", test.locus, test.sire, test.dam, why, test.apart)
		}
	}
}
