package sums

import (
	"errors"
	"fmt"
	"math"
)

// BySexes returns the effective size of so many breeding males and females that
// pair at random: 4·m·f/(m + f) (Wright 1931, Genetics 16:97).
func BySexes(males, females float64) float64 {
	return 4 * males * females / (males + females)
}

// Pedigreed returns the effective size where every male leaves one son as the
// next sire and every female one daughter as the next dam:
//
//	16·f·m/(3f + m) ,  m the fewer
//
// (Gowe, Robertson & Latter 1959, Poult. Sci. 38:462). It is about twice
// [BySexes] for even sexes.
func Pedigreed(males, females float64) float64 {
	few, many := min(males, females), max(males, females)
	return 16 * many * few / (3*many + few)
}

// EvenFamilies returns the effective size of n breeders in pairs where every pair
// leaves the same number of breeders, chosen without regard to sex: 2n − 1, which
// is (4n − 2)/(V + 2) with a variance V of nothing between families (Crow & Kimura
// 1970, An Introduction to Population Genetics Theory, ch. 7).
func EvenFamilies(n float64) float64 { return 2*n - 1 }

// OverYears returns the effective size of a line that had those sizes one
// generation after the other: their harmonic mean (Wright 1938, Science 87:430).
// Each is a number above 0.
func OverYears(sizes []float64) (float64, error) {
	if len(sizes) == 0 {
		return 0, errors.New("there must be at least one size")
	}
	sum := 0.0
	for _, n := range sizes {
		if !(n > 0) || n > Most {
			return 0, fmt.Errorf("each size must be above 0 and at most 1,000,000,000: a line that was down to none has no size")
		}
		sum += 1 / n
	}
	return float64(len(sizes)) / sum, nil
}

// DiversityKept returns the share of gene diversity that a line of effective size
// ne keeps over so many generations, (1 − 1/(2·ne))^generations (Wright 1931).
func DiversityKept(ne, generations float64) float64 {
	return math.Exp(generations * math.Log1p(-1/(2*ne)))
}

// SizeToKeep returns the effective size that keeps that share of gene diversity
// over so many generations, not rounded:
//
//	1 / (2·(1 − keep^(1/generations)))
//
// 0 < keep < 1, generations ≥ 1 (it may be a fraction: years over a generation's
// length).
func SizeToKeep(keep, generations float64) (float64, error) {
	if err := between("the share to keep", keep); err != nil {
		return 0, err
	}
	if !(generations >= 1) || math.IsInf(generations, 1) {
		return 0, errors.New("the time must be at least one generation")
	}
	return -1 / (2 * math.Expm1(math.Log(keep)/generations)), nil
}

// SizeForLoss returns the effective size that loses that share of gene diversity
// a generation, 1/(2·loss), not rounded. 0 < loss < 1.
func SizeForLoss(loss float64) (float64, error) {
	if err := between("the loss in a generation", loss); err != nil {
		return 0, err
	}
	return 1 / (2 * loss), nil
}

// Heads returns the least males and females together, as near to that share of
// males as whole fish allow, whose effective size by the formula size is at least
// ne. The formula must grow with each sex. At least one of each. 0 < male < 1; [ErrTooMany] beyond [Most].
func Heads(ne, male float64, size func(males, females float64) float64) (males, females int, err error) {
	if err := between("the share of males", male); err != nil {
		return 0, 0, err
	}
	split := func(n int) (m, f int) {
		m = min(max(int(math.Round(float64(n)*male)), 1), n-1)
		return m, n - m
	}
	enough := func(n int) bool {
		m, f := split(n)
		return size(float64(m), float64(f)) >= ne*(1-hair)
	}
	n, err := smallest(2, enough)
	if err != nil {
		return 0, 0, err
	}
	males, females = split(n)
	return males, females, nil
}
