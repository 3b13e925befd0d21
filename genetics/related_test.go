package genetics_test

import (
	"testing"

	"roebook/pedigree"
)

// A lot bought without a word about its kin is taken as siblings, kinship 1/4
// (records.md's rule; full sibs Wright 1922), whatever number stands in Related;
// a fully inbred strain as one strain. Of what is stated the word holds.
func TestLotBoughtWithoutAWordIsSiblings(t *testing.T) {
	for _, test := range []struct {
		name           string
		bought         pedigree.Bought
		within, inbred float64
	}{
		{"nothing stated", pedigree.Bought{}, 1. / 4, 0},
		{"stated as unrelated", pedigree.Bought{RelatedStated: true}, 0, 0},
		{"stated as half-sibs", pedigree.Bought{Related: 1. / 8, RelatedStated: true}, 1. / 8, 0},
		{"an inbred strain", pedigree.Bought{Inbreeding: 1}, 1, 1},
	} {
		lot := wild("K", sexes(2, 2))
		lot.Wild, lot.Bought = nil, &test.bought
		s := endOf(t, bookOf([]*pedigree.Stock{lot, fryLot("Y", unsexed(4), "S")}, grouped("S", "K", day2)))
		near(t, test.name+": kinship within", kinship(t, s, "K", "K"), test.within)
		near(t, test.name+": inbreeding of the fry", inbreeding(t, s, "Y"), test.within)
		near(t, test.name+": inbreeding", inbreeding(t, s, "K"), test.inbred)
	}
}
