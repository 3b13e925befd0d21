package locus

import (
	"math"
	"testing"

	"roebook/pedigree"
)

// twoLoci is a line with two loci and a look that reads both.
func twoLoci(link *pedigree.Locus, looks ...string) *pedigree.Line {
	a := pedigree.Locus{Name: "a", Inheritance: "autosomal", Alleles: []string{"A", "a"}, Phenotypes: rulesOf("A/-", "A", "a/a", "a")}
	b := pedigree.Locus{Name: "b", Inheritance: "autosomal", Alleles: []string{"B", "b"}, Phenotypes: rulesOf("B/-", "B", "b/b", "b")}
	if link != nil {
		b.LinkedTo, b.LinkedMale, b.LinkedFemale = "a", link.LinkedMale, link.LinkedFemale
	}
	return &pedigree.Line{Name: "amber-spring", Loci: []pedigree.Locus{a, b, {Name: "look", Loci: []string{"a", "b"}, Phenotypes: rulesOf(looks...)}}}
}

func looksAt(t *testing.T, b *pedigree.Book, spawn, locus string) map[string]float64 {
	t.Helper()
	crosses, err := New(b).Spawn(b.SpawnByID(spawn))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range crosses {
		if x.Locus == locus {
			out := make(map[string]float64)
			for _, s := range x.Phenotypes {
				out[s.ID] = s.Share
			}
			return out
		}
	}
	t.Fatalf("no cross at %s", locus)
	return nil
}

func near(t *testing.T, what string, got, want map[string]float64) {
	t.Helper()
	for look, p := range want {
		if math.Abs(got[look]-p) > 1e-12 {
			t.Errorf("%s: %s %.12f, want %.12f", what, look, got[look], p)
		}
	}
}

// TestClassicalRatios: of two double heterozygotes (Mendel 1866; the ratios of
// interaction after Bateson & Punnett, from any textbook of genetics, memory; 9:7
// in a fish: Frankel 2004, Journal of Heredity 95:262, seen).
func TestClassicalRatios(t *testing.T) {
	for _, c := range []struct {
		name  string
		looks []string
		want  map[string]float64
	}{
		{"9:3:3:1", []string{"A/- B/-", "AB", "A/- b/b", "Ab", "a/a B/-", "aB", "a/a b/b", "ab"}, map[string]float64{"AB": 9, "Ab": 3, "aB": 3, "ab": 1}},
		{"9:3:4", []string{"a/a *", "white", "A/- B/-", "wild", "A/- b/b", "brown"}, map[string]float64{"wild": 9, "brown": 3, "white": 4}},
		{"12:3:1", []string{"A/- *", "white", "a/a B/-", "yellow", "a/a b/b", "green"}, map[string]float64{"white": 12, "yellow": 3, "green": 1}},
		{"9:7", []string{"A/- B/-", "full", "*", "lacking"}, map[string]float64{"full": 9, "lacking": 7}},
		{"15:1", []string{"a/a b/b", "lacking", "*", "full"}, map[string]float64{"full": 15, "lacking": 1}},
		{"13:3", []string{"a/a B/-", "coloured", "*", "white"}, map[string]float64{"white": 13, "coloured": 3}},
	} {
		b := bookOf(twoLoci(nil, c.looks...), founder("M", pedigree.Male, "a", "A/a", "b", "B/b"), founder("F", pedigree.Female, "a", "A/a", "b", "B/b"), bred("S", "M", "F"))
		for look := range c.want {
			c.want[look] /= 16
		}
		near(t, c.name, looksAt(t, b, "S", "look"), c.want)
	}
}

// TestLinkage: fry of an A b / a B male, whose phase follows from his parents,
// and of such a female, with a double recessive: recombinants in the shares of
// the two sexes (derived).
func TestLinkage(t *testing.T) {
	for _, c := range []struct {
		sex  pedigree.Sex
		rate float64
	}{{pedigree.Male, 0.1}, {pedigree.Female, 0.3}} {
		line := twoLoci(&pedigree.Locus{LinkedMale: 0.1, LinkedFemale: 0.3}, "A/- B/-", "AB", "A/- b/b", "Ab", "a/a B/-", "aB", "a/a b/b", "ab")
		sire, dam := "C", "T"
		if c.sex == pedigree.Female {
			sire, dam = dam, sire
		}
		other := pedigree.Female
		if c.sex == pedigree.Female {
			other = pedigree.Male
		}
		b := bookOf(line, founder("M", pedigree.Male, "a", "A/A", "b", "b/b"), founder("F", pedigree.Female, "a", "a/a", "b", "B/B"), bred("S", "M", "F"),
			young("C", c.sex, "S"), founder("T", other, "a", "a/a", "b", "b/b"), bred("U", sire, dam))
		near(t, c.sex.String(), looksAt(t, b, "U", "look"), map[string]float64{"AB": c.rate / 2, "ab": c.rate / 2, "Ab": (1 - c.rate) / 2, "aB": (1 - c.rate) / 2})
	}
}

// TestCrissCross: an X-linked look goes from mother to son and from father to
// daughter (Morgan 1910, Science 32:120; memory).
func TestCrissCross(t *testing.T) {
	line := paleLine()
	line.Loci[0].Inheritance = "X"
	line.Loci[0].Phenotypes = rulesOf("P/-", "dark", "p/p", "pale", "P", "dark", "p", "pale")
	b := bookOf(line, founder("M", pedigree.Male, "pale", "P"), founder("F", pedigree.Female, "pale", "p/p"), bred("S", "M", "F"))
	crosses, err := New(b).Spawn(b.SpawnByID("S"))
	if err != nil {
		t.Fatal(err)
	}
	for _, of := range crosses[0].BySex {
		want := map[pedigree.Sex]string{pedigree.Male: "pale", pedigree.Female: "dark"}[of.Sex]
		for _, s := range of.Phenotypes {
			if (s.ID == want) != (s.Share == 1) {
				t.Errorf("%ss: %s %g", of.Sex, s.ID, s.Share)
			}
		}
	}
}

// TestLotOfTheDay: any fish of a lot is a male as often as the lot holds males on
// the day, whether it began sexed or was sexed later; of an X-linked locus with a
// dark sire and a pale dam males are pale and females carry (derived).
func TestLotOfTheDay(t *testing.T) {
	line := paleLine()
	line.Loci[0].Inheritance = "X"
	line.Loci[0].Phenotypes = rulesOf("P/-", "dark", "p/p", "pale", "P", "dark", "p", "pale")
	day := func(text string) pedigree.Date {
		d, err := pedigree.ParseDate(text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	lot := func(id string, n pedigree.Count, changes ...pedigree.Change) *pedigree.Stock {
		return &pedigree.Stock{ID: id, Lot: true, Line: "amber-spring", Count: n, Changes: changes, FromSpawns: []pedigree.FromSpawn{{Spawn: "S", Share: 1}}}
	}
	b := bookOf(line, founder("M", pedigree.Male, "pale", "P"), founder("F", pedigree.Female, "pale", "p/p"), bred("S", "M", "F"),
		lot("N", pedigree.Count{Unsexed: 10}),
		lot("O", pedigree.Count{Males: 1, Females: 9}),
		lot("Q", pedigree.Count{Unsexed: 10}, pedigree.Change{Date: day("2024-02-01"), Count: pedigree.Count{Males: 1, Females: 9}}),
		lot("R", pedigree.Count{Males: 2, Females: 2}, pedigree.Change{Date: day("2024-02-01"), Count: pedigree.Count{Males: 1, Females: 4}},
			pedigree.Change{Date: day("2024-03-01")}))
	for _, c := range []struct {
		id, on string
		males  float64
	}{{"N", "2024-01-01", 0.5}, {"O", "2024-01-01", 0.1}, {"Q", "2024-01-01", 0.1}, {"Q", "2024-02-01", 0.1}, {"R", "2024-02-02", 0.2}, {"R", "2024-04-01", 0.2}} {
		for _, o := range New(b).Line("amber-spring", map[string]bool{c.id: true}, day(c.on)).Odds {
			got := make(map[string]float64)
			for _, g := range o.Genotypes {
				got[g.ID] = g.Share
			}
			near(t, c.id+" on "+c.on, got, map[string]float64{"p": c.males, "P/p": 1 - c.males})
		}
	}
}

// TestParentIsInferred: of a pale and a dark male, which sired seven dark fry and
// none pale of a pale female? P/p leaves (1/2)^7 of the weight of P/P (derived).
func TestParentIsInferred(t *testing.T) {
	s := bred("S", "", "F", counts("pale", "dark", 7))
	s.Sire = pedigree.Side{Candidates: []pedigree.Candidate{{ID: "M", Odds: 1}, {ID: "N", Odds: 1}, {ID: "O", Odds: 1}}}
	b := bookOf(paleLine(), founder("M", pedigree.Male, "pale", "P/p"), founder("N", pedigree.Male, "pale", "P/P"), founder("O", pedigree.Male, "pale", "p/p"),
		founder("F", pedigree.Female, "pale", "p/p"), s)
	a := New(b).Line("amber-spring", nil, 0)
	if len(a.Parents) != 1 || a.Parents[0].Spawn != "S" || a.Parents[0].Side != pedigree.Male {
		t.Fatalf("parents %+v", a.Parents)
	}
	for i, want := range []struct {
		id string
		p  float64
	}{{"N", 128. / 129}, {"M", 1. / 129}, {"O", 0}} {
		if got := a.Parents[0].Candidates[i]; got.ID != want.id || math.Abs(got.Share-want.p) > 1e-12 {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}

// TestStoredSperm: a dam that may carry sperm of an earlier male counts him among
// the sires, unless the spawn is marked virgin or odds are given (derived).
func TestStoredSperm(t *testing.T) {
	make := func(change func(s *pedigree.Spawn)) Answer {
		line := paleLine()
		line.StoresSpermMonths = 8
		first, second := bred("R", "M", "F"), bred("S", "N", "F", counts("pale", "dark", 1, "pale", 1))
		second.Date = 20240501
		change(second)
		b := bookOf(line, founder("M", pedigree.Male, "pale", "P/p"), founder("N", pedigree.Male, "pale", "P/P"), founder("F", pedigree.Female, "pale", "p/p"), first, second)
		return New(b).Line("amber-spring", nil, 0)
	}
	a := make(func(*pedigree.Spawn) {})
	if len(a.Impossible) > 0 || len(a.Parents) != 1 || a.Parents[0].Candidates[0].ID != "M" || a.Parents[0].Candidates[0].Share != 1 {
		t.Errorf("with stored sperm: %+v", a.Parents)
	}
	if a := make(func(s *pedigree.Spawn) { s.Virgin = true }); len(a.Impossible) == 0 {
		t.Error("a virgin dam's fry of a male without the allele")
	}
	if a := make(func(s *pedigree.Spawn) { s.Sire.Odds = true }); len(a.Impossible) == 0 {
		t.Error("where odds are given they stand")
	}
}

// TestSeveralSires: of two unknown sires each gives half of the fry, so a pale one
// among many says that one of them carries, and says less of each than of a sire
// alone (derived by going through the genotypes of both).
func TestSeveralSires(t *testing.T) {
	s := bred("S", "", "F", counts("pale", "dark", 6, "pale", 2))
	s.Sires = pedigree.Parents{N: 2}
	b := bookOf(paleLine(), founder("F", pedigree.Female, "pale", "p/p"), s, young("C", pedigree.Male, "S"), shows(young("D", pedigree.Male, "S"), "pale", "dark"))
	// By hand: sires x, y with prior ¼ ½ ¼; share of dark fry d = (a(x)+a(y))/4 with a
	// copies of P; weight d^5·(1−d)^2 for the fry without D, and d for D.
	prior := []float64{0.25, 0.5, 0.25}
	sum, pale := 0.0, 0.0
	for x, p := range prior {
		for y, q := range prior {
			d := float64(x+y) / 4
			weight := p * q * math.Pow(d, 6) * (1 - d) * (1 - d)
			sum += weight
			pale += weight * (1 - d)
		}
	}
	for _, o := range New(b).Line("amber-spring", nil, 0).Odds {
		if o.ID == "C" && math.Abs(o.Genotypes[2].Share-pale/sum) > 1e-12 {
			t.Errorf("p/p with %.12f, by hand %.12f", o.Genotypes[2].Share, pale/sum)
		}
	}
}

// TestFishOfOneLot: two spawns out of a lot with one male are of the same male,
// out of one with two of any (derived). The dams show the recessive, so a pale
// fry in the first spawn says that its sire carries.
func TestFishOfOneLot(t *testing.T) {
	for males, want := range map[int]float64{1: 1, 2: 2. / 3} {
		lot := &pedigree.Stock{ID: "L", Lot: true, Count: pedigree.Count{Males: males}, FromSpawns: []pedigree.FromSpawn{{Spawn: "R", Share: 1}}}
		lot = shows(lot, "pale", "dark")
		b := bookOf(paleLine(), founder("A", pedigree.Male, "pale", "P/p"), founder("B", pedigree.Female, "pale", "P/p"), bred("R", "A", "B"), lot,
			founder("F", pedigree.Female, "pale", "p/p"), founder("G", pedigree.Female, "pale", "p/p"),
			bred("S", "L", "F", counts("pale", "pale", 1)), bred("T", "L", "G"), young("C", pedigree.Male, "T"))
		pale := 0.0
		for _, o := range New(b).Line("amber-spring", nil, 0).Odds {
			if o.ID == "C" {
				pale = o.Genotypes[2].Share
			}
		}
		if math.Abs(pale-want/2) > 1e-12 {
			t.Errorf("%d males: pale with %.12f, want %.12f", males, pale, want/2)
		}
	}
}
