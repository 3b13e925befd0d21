package sums

import (
	"gonum.org/v1/gonum/stat/distuv"
)

// Sexes is how many fish of each sex are wanted.
type Sexes struct{ Males, Females int }

func (s Sexes) check(male float64) error {
	if err := between("the share of males", male); err != nil {
		return err
	}
	if err := atLeast("the number of males wanted", s.Males, 0); err != nil {
		return err
	}
	if err := atLeast("the number of females wanted", s.Females, 0); err != nil {
		return err
	}
	return atLeast("the number of fish wanted", s.Males+s.Females, 1)
}

// lacking is the chance that one sex or the other falls short among n fish.
func (s Sexes) lacking(n int, male float64) float64 {
	if n < s.Males+s.Females {
		return 1
	}
	fewer := func(wanted int, share float64) float64 {
		return distuv.Binomial{N: float64(n), P: share}.CDF(float64(wanted - 1))
	}
	return fewer(s.Males, male) + fewer(s.Females, 1-male) // never both at once
}

// SexesAmong returns the chance that n unsexed fish hold the males and females
// wanted, each fish being male with the chance male, whatever the others are:
//
//	1 − P(X ≤ Males−1) − P(Y ≤ Females−1) ,  X ~ Binomial(n, male), Y = n − X ,
//
// which is 1 − 2·(½)ⁿ for one of each and even odds. Plain probability. n is 1 or
// more; male lies between 0 and 1, neither included.
func SexesAmong(n int, want Sexes, male float64) (float64, error) {
	if err := want.check(male); err != nil {
		return 0, err
	}
	if err := atLeast("the number of fish", n, 1); err != nil {
		return 0, err
	}
	return max(0, 1-want.lacking(n, male)), nil
}

// FishForSexes returns the smallest number of unsexed fish that hold the males
// and females wanted with at least the chance sure. Formula and ranges as in
// [SexesAmong]; 0 < sure < 1; [ErrTooMany] where the number is beyond [Most].
// Cost: O(log n) incomplete beta functions.
func FishForSexes(want Sexes, male, sure float64) (int, error) {
	if err := want.check(male); err != nil {
		return 0, err
	}
	if err := odds(sure); err != nil {
		return 0, err
	}
	doubt := (1 - sure) * (1 + hair)
	return smallest(want.Males+want.Females, func(n int) bool { return want.lacking(n, male) <= doubt })
}
