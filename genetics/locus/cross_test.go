package locus

import (
	"math"
	"testing"

	"roebook/pedigree"
)

// TestCountsAgainstARatio: goldfish blue × brown, 4,325 others to 1,383 blue
// against 3:1 gives chi-square 1.809, p .18 (Chen 1934; counts seen second-hand).
func TestCountsAgainstARatio(t *testing.T) {
	got := TestRatio([]float64{4325, 1383}, []float64{0.75, 0.25})
	if math.Abs(got.ChiSquare-1.809) > 0.001 || math.Abs(got.ChiSquareP-0.18) > 0.005 || math.Abs(got.P-0.18) > 0.01 || !got.Exact || !got.ChiSquareHolds {
		t.Errorf("%+v", got)
	}
	// Fair coin, 1 head of 10: (1+10+10+1)/1024, by hand.
	if got := TestRatio([]float64{1, 9}, []float64{0.5, 0.5}); math.Abs(got.P-22./1024) > 1e-12 {
		t.Errorf("one head of ten: %+v", got)
	}
	// Three classes, 3 fry all of the rarest: 1/64 of 1:2:1 has that or its mirror.
	if got := TestRatio([]float64{3, 0, 0}, []float64{0.25, 0.5, 0.25}); math.Abs(got.P-2./64) > 1e-12 {
		t.Errorf("three of the rarest: %+v", got)
	}
	if got := TestRatio([]float64{3, 1}, []float64{1, 0}); got.P != 0 {
		t.Errorf("what cannot be: %+v", got)
	}
}

// book makes a line of fish and spawns at some loci.
func bookOf(line *pedigree.Line, records ...any) *pedigree.Book {
	b := &pedigree.Book{Name: "test", Lines: []*pedigree.Line{line}}
	for _, r := range records {
		switch r := r.(type) {
		case *pedigree.Stock:
			r.Line = line.Name
			b.Stock = append(b.Stock, r)
		case *pedigree.Spawn:
			r.Line = line.Name
			b.Spawns = append(b.Spawns, r)
		}
	}
	b.Arrange()
	return b
}

func founder(id string, sex pedigree.Sex, told ...string) *pedigree.Stock {
	s := &pedigree.Stock{ID: id, Sex: sex, Wild: &pedigree.Wild{}}
	return tell(s, told...)
}

// tell states genotypes: locus and genotype by turns.
func tell(s *pedigree.Stock, told ...string) *pedigree.Stock {
	for i := 0; i+1 < len(told); i += 2 {
		s.Genotype = append(s.Genotype, pedigree.Trait{Locus: told[i], Value: told[i+1]})
	}
	return s
}

func young(id string, sex pedigree.Sex, spawn string, told ...string) *pedigree.Stock {
	return tell(&pedigree.Stock{ID: id, Sex: sex, FromSpawns: []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}}, told...)
}

func shows(s *pedigree.Stock, locus, phenotype string) *pedigree.Stock {
	s.Phenotype = append(s.Phenotype, pedigree.Trait{Locus: locus, Value: phenotype})
	return s
}

func bred(id, sire, dam string, seen ...pedigree.Seen) *pedigree.Spawn {
	one := func(id string) (s pedigree.Side) {
		if id != "" {
			s.Candidates = []pedigree.Candidate{{ID: id, Odds: 1}}
		}
		return s
	}
	return &pedigree.Spawn{ID: id, Date: 20240101, Sire: one(sire), Dam: one(dam), Seen: seen}
}

func counts(locus string, byLook ...any) pedigree.Seen {
	s := pedigree.Seen{Locus: locus}
	for i := 0; i+1 < len(byLook); i += 2 {
		s.Counts = append(s.Counts, pedigree.SeenCount{Phenotype: byLook[i].(string), N: byLook[i+1].(int)})
	}
	return s
}

func rulesOf(pairs ...string) (list []pedigree.PhenotypeRule) {
	for i := 0; i+1 < len(pairs); i += 2 {
		list = append(list, pedigree.PhenotypeRule{Pattern: pairs[i], Phenotype: pairs[i+1]})
	}
	return list
}

func paleLine() *pedigree.Line {
	return &pedigree.Line{Name: "amber-spring", SexDetermination: "XY", Loci: []pedigree.Locus{
		{Name: "pale", Inheritance: "autosomal", Alleles: []string{"P", "p"}, Phenotypes: rulesOf("P/-", "dark", "p/p", "pale")}}}
}

func carries(t *testing.T, b *pedigree.Book, id, locus string) float64 {
	t.Helper()
	for _, o := range New(b).Line("amber-spring", nil, 0).Odds {
		if o.ID == id && o.Locus == locus {
			return o.Carries[0].Share
		}
	}
	t.Fatalf("%s has no odds at %s", id, locus)
	return 0
}

// TestCarrierOdds: a normal sib of an affected fish carries with 2/3 (seen);
// after n normal fry with a homozygous recessive 1/2, 1/3, 1/5, 1/9, with a known
// carrier 3/5, 9/17, 27/59, 81/209 (derived). On the X, an obligate carrier's
// daughter after n normal sons: 1/3, 1/5, 1/9 (seen).
func TestCarrierOdds(t *testing.T) {
	sib := func(mate string, n int) *pedigree.Book {
		return bookOf(paleLine(), founder("A", pedigree.Male, "pale", "P/p"), founder("B", pedigree.Female, "pale", "P/p"),
			bred("S", "A", "B"), shows(young("C", pedigree.Male, "S"), "pale", "dark"), shows(young("D", pedigree.Female, "S"), "pale", "pale"),
			founder("M", pedigree.Female, "pale", mate), bred("T", "C", "M", counts("pale", "dark", n)))
	}
	check := func(what string, b *pedigree.Book, id, locus string, want float64) {
		t.Helper()
		if got := carries(t, b, id, locus); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %.15f, want %.15f", what, got, want)
		}
	}
	check("a normal sib", sib("p/p", 0), "C", "pale", 2./3)
	for n, want := range []float64{1. / 2, 1. / 3, 1. / 5, 1. / 9} {
		check("after normal fry with a recessive", sib("p/p", n+1), "C", "pale", want)
	}
	for n, want := range []float64{3. / 5, 9. / 17, 27. / 59, 81. / 209} {
		check("after normal fry with a carrier", sib("P/p", n+1), "C", "pale", want)
	}
	for n, want := range []float64{1. / 3, 1. / 5, 1. / 9} {
		line := paleLine()
		line.Loci[0].Inheritance = "X"
		line.Loci[0].Phenotypes = rulesOf("P/-", "dark", "p/p", "pale", "P", "dark", "p", "pale")
		records := []any{founder("A", pedigree.Male, "pale", "P"), founder("B", pedigree.Female, "pale", "P/p"),
			bred("S", "A", "B"), shows(young("C", pedigree.Female, "S"), "pale", "dark"), founder("M", pedigree.Male, "pale", "P"), bred("T", "M", "C")}
		for i := range n + 1 {
			records = append(records, shows(young(string(rune('E'+i)), pedigree.Male, "T"), "pale", "dark"))
		}
		check("an obligate carrier's daughter after normal sons", bookOf(line, records...), "C", "pale", want)
	}
}
