package genetics_test

import (
	"fmt"
	"testing"

	"roebook/pedigree"
)

// Two fry of one spawn between unrelated fish, each fry's parents drawn anew out
// of the k sires and l dams that bred: the sire is the same with chance 1/k, the
// dam with 1/l, and each gives identity by descent with chance 1/4·½ (derived;
// 1/4 for full sibs and 1/8 for half-sibs, Wright 1922). It does not matter out
// of how many the k were drawn; that shows in the kinship with fry of another
// spawn out of the same lot, of which the sire is the same with 1/M.
func TestParentsDrawnOutOfALot(t *testing.T) {
	const males, females = 5, 4
	for _, test := range []struct {
		sires, dams pedigree.Parents
		k, l        float64
	}{
		{pedigree.Parents{}, pedigree.Parents{}, 1, 1},
		{pedigree.Parents{N: 2}, pedigree.Parents{}, 2, 1},
		{pedigree.Parents{N: 4}, pedigree.Parents{N: 3}, 4, 3},
		{pedigree.Parents{N: males}, pedigree.Parents{N: females}, males, females},
		{pedigree.Parents{All: true}, pedigree.Parents{All: true}, males, females},
		{pedigree.Parents{N: 9}, pedigree.Parents{N: 9}, males, females},
	} {
		spawn, other := grouped("S", "A", day2), grouped("T", "A", day3)
		spawn.Sires, spawn.Dams = test.sires, test.dams
		book := bookOf([]*pedigree.Stock{wild("A", sexes(males, females)), fryLot("Y", unsexed(9), "S"), fryLot("Z", unsexed(9), "T")}, spawn, other)
		s := endOf(t, book)
		name := fmt.Sprintf("%g sires and %g dams", test.k, test.l)
		near(t, name+", two fry", kinship(t, s, "Y", "Y"), (1/test.k+1/test.l)/8)
		near(t, name+", fry of two spawns", kinship(t, s, "Y", "Z"), (1./males+1./females)/8)
		near(t, name+", fry and lot", kinship(t, s, "A", "Y"), 1./18)
	}
}

// One sire by odds is the same for all fry; with `all` each candidate gave its
// share, and two fry have one sire with chance Σ p² (derived). Of a candidate lot
// each fish has its part of the lot's share.
func TestSiresByOdds(t *testing.T) {
	fish := func(id string) *pedigree.Stock {
		return &pedigree.Stock{ID: id, Sex: pedigree.Male, Wild: &pedigree.Wild{}}
	}
	for _, test := range []struct {
		odds  string
		side  []pedigree.Candidate
		stock []*pedigree.Stock
		same  float64
	}{
		{"3 : 1", []pedigree.Candidate{{ID: "P", Odds: 3}, {ID: "Q", Odds: 1}}, []*pedigree.Stock{fish("P"), fish("Q")}, 10. / 16},
		{"3 : 2 : 1", []pedigree.Candidate{{ID: "P", Odds: 3}, {ID: "Q", Odds: 2}, {ID: "R", Odds: 1}},
			[]*pedigree.Stock{fish("P"), fish("Q"), fish("R")}, 14. / 36},
		{"1 : 1, one of them a lot of four", []pedigree.Candidate{{ID: "P", Odds: 1}, {ID: "A", Odds: 1}},
			[]*pedigree.Stock{fish("P"), wild("A", sexes(4, 0))}, 1./4 + 1./16},
	} {
		for _, all := range []bool{false, true} {
			dam := &pedigree.Stock{ID: "D", Sex: pedigree.Female, Wild: &pedigree.Wild{}}
			spawn := &pedigree.Spawn{ID: "S", Date: day2, Sire: pedigree.Side{Odds: true, Candidates: test.side}, Dam: one("D"), Sires: pedigree.Parents{All: all}}
			s := endOf(t, bookOf(append([]*pedigree.Stock{dam, fryLot("Y", unsexed(9), "S")}, test.stock...), spawn))
			want := 1. / 4
			if all {
				want = (1 + test.same) / 8
			}
			near(t, fmt.Sprintf("two fry, odds %s, all %t", test.odds, all), kinship(t, s, "Y", "Y"), want)
			near(t, "fry and first candidate", kinship(t, s, "P", "Y"), test.side[0].Odds/sum(test.side)/4)
		}
	}
}

func sum(side []pedigree.Candidate) float64 {
	total := 0.0
	for _, c := range side {
		total += c.Odds
	}
	return total
}
