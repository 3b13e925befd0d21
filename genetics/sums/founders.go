package sums

import (
	"fmt"
	"math"
)

// alike refuses what is no kinship between fish that are not inbred.
func alike(kinship float64) error {
	if !(kinship >= 0 && kinship < 0.5) {
		return fmt.Errorf("the kinship between founders must be 0 (unrelated) or more and under 0.5; full siblings have 0.25")
	}
	return nil
}

// FounderDiversity returns the gene diversity that n founders hold of the
// variety of the stock that they were taken from, every two of them having that
// kinship and none being inbred:
//
//	1 − (½ + (n−1)·kinship) / n ,
//
// which is 1 − 1/(2n) for unrelated ones: one less their mean kinship, each with
// itself included (Lacy 1989, Zoo Biol. 8:111; Lacy 1995, Zoo Biol. 14:565). n is
// 1 or more; 0 ≤ kinship < ½.
func FounderDiversity(n int, kinship float64) (float64, error) {
	if err := alike(kinship); err != nil {
		return 0, err
	}
	if err := atLeast("the number of founders", n, 1); err != nil {
		return 0, err
	}
	return 1 - (0.5+float64(n-1)*kinship)/float64(n), nil
}

// FoundersFor returns the smallest number of founders that hold that gene
// diversity: the inverse of [FounderDiversity]. An error says so where founders
// so related cannot hold it, however many: their diversity stays under
// 1 − kinship. 0 < diversity < 1.
func FoundersFor(diversity, kinship float64) (int, error) {
	if err := alike(kinship); err != nil {
		return 0, err
	}
	if err := between("the gene diversity", diversity); err != nil {
		return 0, err
	}
	if diversity <= 0.5 {
		return 1, nil
	}
	if diversity >= 1-kinship {
		return 0, fmt.Errorf("founders so related never hold %v of the variety, however many: it stays under %v",
			round(diversity), round(1-kinship))
	}
	return whole((0.5-kinship)/(1-diversity-kinship), 1)
}

func round(x float64) float64 { return math.Round(x*1e6) / 1e6 }
