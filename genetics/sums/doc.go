// Package sums has the small sums of a fish room: how many fish to buy, to
// catch, to test and to keep. Each function is pure and gives its formula, where
// the formula is from, its range and its errors. Errors are in words for a keeper.
//
// Odds and shares are fractions between 0 and 1. A number of fish that is asked
// for is the smallest whole one that will do; where rounding in the last places
// would decide, a limit met to 1e-12 of its value counts as met.
package sums

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Most is the largest number of fish that is an answer.
const Most = 1_000_000_000

// ErrTooMany says that the answer is beyond any fish room.
var ErrTooMany = errors.New("the answer is more than 1,000,000,000: ask for less")

// hair is how near a limit must be met to count as met.
const hair = 1e-12

// between refuses what does not lie strictly between 0 and 1; NaN too.
func between(what string, share float64) error {
	if !(share > 0 && share < 1) {
		return fmt.Errorf("%s must lie between 0 and 1 (0%% and 100%%), neither of them included", what)
	}
	return nil
}

// odds refuses odds that no number of fish reaches or misses.
func odds(share float64) error {
	if share == 1 {
		return errors.New("odds of 100% cannot be had, however many fish: ask for less, as 99%")
	}
	return between("the odds", share)
}

// atLeast refuses whole numbers below the least, and above [Most].
func atLeast(what string, n, least int) error {
	if n < least {
		return fmt.Errorf("%s must be at least %d", what, least)
	}
	if n > Most {
		return fmt.Errorf("%s must be at most 1,000,000,000", what)
	}
	return nil
}

// whole rounds up to a whole number, and at least to the least.
func whole(x float64, least int) (int, error) {
	switch {
	case math.IsNaN(x) || x > Most:
		return 0, ErrTooMany
	case x <= float64(least):
		return least, nil
	}
	return int(math.Ceil(x * (1 - hair))), nil
}

// smallest returns the first n from least to [Most] that will do, given that all
// above it do too. Cost: O(log n) calls.
func smallest(least int, does func(n int) bool) (int, error) {
	top := max(least, 1)
	for !does(top) {
		if top > Most {
			return 0, ErrTooMany
		}
		top *= 2
	}
	n := least + sort.Search(top-least, func(i int) bool { return does(least + i) })
	if n > Most {
		return 0, ErrTooMany
	}
	return n, nil
}
