package sums

import (
	"fmt"
	"math"
)

// frequency refuses what is no frequency of an allele that is there.
func frequency(q float64) error {
	if !(q > 0 && q <= 1) {
		return fmt.Errorf("the frequency of the allele must be above 0 and at most 1 (100%%): of one that is not there none can be had")
	}
	return nil
}

// Missed returns the chance that an allele of frequency q is in none of n
// unrelated fish drawn at random, each carrying two genes:
//
//	(1 − q)^(2n)
//
// (Marshall & Brown 1975, in Crop Genetic Resources for Today and Tomorrow, on
// gametes; Sirkkomaa 1983, Hereditas 99:11, on founders). 0 < q ≤ 1, n ≥ 1.
func Missed(q float64, n int) (float64, error) {
	if err := frequency(q); err != nil {
		return 0, err
	}
	if err := atLeast("the number of fish", n, 1); err != nil {
		return 0, err
	}
	return math.Exp(2 * float64(n) * math.Log1p(-q)), nil
}

// FishForAllele returns the smallest number of fish that hold an allele of
// frequency q with at least the chance sure: [Missed] is then at most 1 − sure.
// 0 < sure < 1; [ErrTooMany] beyond [Most].
func FishForAllele(q, sure float64) (int, error) {
	return SizeForAllele(q, 1, sure)
}

// AlleleKept returns the chance that an allele of frequency q is kept through so
// many generations of a line of effective size ne:
//
//	(1 − (1−q)^(2·ne))^generations
//
// (Tave 1999, FAO Fisheries Technical Paper 392). It takes q as the frequency in
// every generation. In truth a rare allele drifts to other frequencies, so the
// chance is somewhat too good over many generations. 0 < q ≤ 1, ne ≥ 1,
// generations ≥ 1.
func AlleleKept(q float64, ne, generations int) (float64, error) {
	if err := atLeast("the number of generations", generations, 1); err != nil {
		return 0, err
	}
	missed, err := Missed(q, ne)
	if err != nil {
		return 0, err
	}
	return math.Exp(float64(generations) * math.Log1p(-missed)), nil
}

// SizeForAllele returns the smallest effective size for which [AlleleKept] is at
// least sure. 0 < sure < 1; [ErrTooMany] beyond [Most].
func SizeForAllele(q float64, generations int, sure float64) (int, error) {
	if err := frequency(q); err != nil {
		return 0, err
	}
	if err := odds(sure); err != nil {
		return 0, err
	}
	if err := atLeast("the number of generations", generations, 1); err != nil {
		return 0, err
	}
	missed := -math.Expm1(math.Log(sure) / float64(generations)) // what one generation may miss
	return whole(math.Log(missed)/(2*math.Log1p(-q)), 1)
}
