package locus_test

import (
	"math"
	"testing"

	"roebook/genetics"
	"roebook/genetics/locus"
	"roebook/io/records"
	"roebook/pedigree"
)

func published(t testing.TB) *pedigree.Book {
	t.Helper()
	book, problems, err := records.Read("../../testdata/loci")
	if err != nil {
		t.Fatal(err)
	}
	problems = append(problems, locus.Check(book, func() *pedigree.Book { return book })...)
	for _, p := range problems {
		t.Errorf("%s", p)
	}
	return book
}

func share(list []genetics.Share, id string) float64 {
	for _, s := range list {
		if s.ID == id {
			return s.Share
		}
	}
	return 0
}

// TestPublishedLoci: the ratios of published loci, as declared in the book of
// examples; sources are named there and here.
func TestPublishedLoci(t *testing.T) {
	book := published(t)
	study := locus.New(book)
	for _, c := range []struct {
		spawn, locus, sex string // "": of all
		want              map[string]float64
	}{
		// 3:1 and 1:2:1: goldfish (Chen 1934, read second-hand; Goodrich 1929, from memory).
		{"GF-S1", "blue", "", map[string]float64{"other": 3. / 4, "blue": 1. / 4}},
		{"GF-S1", "transparent", "", map[string]float64{"metallic": 1. / 4, "calico": 1. / 2, "matt": 1. / 4}},
		// Carp, N/N lethal: 6:3:2:1, 2:1, 1:1:1:1 (Kirpichnikov; from memory); two genes for
		// one colour 15:1 (Bialowas 2004; read).
		{"CA-S1", "scales", "", map[string]float64{"line": 6. / 12, "scaled": 3. / 12, "leather": 2. / 12, "mirror": 1. / 12}},
		{"CA-S2", "scales", "", map[string]float64{"leather": 2. / 3, "mirror": 1. / 3}},
		{"CA-S3", "scales", "", map[string]float64{"line": 1. / 4, "scaled": 1. / 4, "leather": 1. / 4, "mirror": 1. / 4}},
		{"CA-S1", "orange", "", map[string]float64{"wild": 15. / 16, "orange": 1. / 16}},
		// Tilapia: incomplete dominance; a lethal, 2:1 (Tave; abstracts read).
		{"TI-S1", "gold", "", map[string]float64{"black": 1. / 4, "bronze": 1. / 2, "gold": 1. / 4}},
		{"TI-S1", "saddleback", "", map[string]float64{"saddleback": 2. / 3, "normal": 1. / 3}},
		// Guppy: on the Y from father to son, never in daughters (Winge 1922; read second-hand).
		{"GU-S1", "pattern", "male", map[string]float64{"maculatus": 1}},
		{"GU-S1", "pattern", "female", map[string]float64{"plain": 1}},
		// X and Y with recombination (Khoo et al. 1999; read): his Rdt is on the Y, and 3.4 in a
		// hundred of it come to daughters; Bcp, 2.4 from it, by both stretches together.
		{"GU-S3", "red-tail", "male", map[string]float64{"red": 0.966, "plain": 0.034}},
		{"GU-S3", "red-tail", "female", map[string]float64{"red": 0.034, "plain": 0.966}},
		{"GU-S3", "black-peduncle", "female", map[string]float64{"black": 0.034 + 0.024 - 2*0.034*0.024}},
		// Ricefish X^r Y^R × X^r X^r: red sons, white daughters (Aida 1921, 1936; abstract read).
		{"RF-S1", "red", "male", map[string]float64{"orange-red": 0.998, "white": 0.002}},
		{"RF-S1", "red", "female", map[string]float64{"orange-red": 0.002, "white": 0.998}},
	} {
		crosses, err := study.Spawn(book.SpawnByID(c.spawn))
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range crosses {
			if x.Locus != c.locus {
				continue
			}
			looks := x.Phenotypes
			for _, of := range x.BySex {
				if of.Sex.String() == c.sex {
					looks = of.Phenotypes
				}
			}
			for look, want := range c.want {
				if got := share(looks, look); math.Abs(got-want) > 1e-12 {
					t.Errorf("%s %s %s: %s %.6f, want %.6f", c.spawn, c.locus, c.sex, look, got, want)
				}
			}
		}
	}
}

// TestPlatyfishSexes: WX × XY gives three females to a male, XX × YY males only,
// WY × YY as many of each (Journal of Heredity 75:353; modes seen, ratios
// derived).
func TestPlatyfishSexes(t *testing.T) {
	book := published(t)
	study := locus.New(book)
	for spawn, males := range map[string]float64{"PL-S1": 1. / 4, "PL-S2": 1, "PL-S3": 1. / 2} {
		crosses, err := study.Spawn(book.SpawnByID(spawn))
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range crosses {
			if got := x.BySex[0].Share; math.Abs(got-males) > 1e-12 {
				t.Errorf("%s at %s: %.6f of the young are males, want %.6f", spawn, x.Locus, got, males)
			}
		}
	}
}

// TestLethalShare: of two carp with n/N a quarter die (Kirpichnikov; from memory).
func TestLethalShare(t *testing.T) {
	book := published(t)
	crosses, err := locus.New(book).Spawn(book.SpawnByID("CA-S2"))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range crosses {
		if x.Locus == "scales" && math.Abs(x.Lost-0.25) > 1e-12 {
			t.Errorf("%g die, want a quarter", x.Lost)
		}
	}
}

// TestAlleleOnTheY: a ricefish whose father was R/R and whose mother r/r has his R
// on the Y (Aida 1921; derived).
func TestAlleleOnTheY(t *testing.T) {
	book := published(t)
	for _, o := range locus.New(book).Line("ricefish", map[string]bool{"RF-2": true}, 0).Odds {
		if o.Locus == "red" && math.Abs(share(o.OnY, "R")-1) > 1e-12 {
			t.Errorf("on the Y: %v", o.OnY)
		}
	}
}
