package sums

import "math"

// Mate is whom a fish is tested with.
type Mate int

// The mates of a test: fish that show the recessive, fish known to carry it, and
// the tested fish's own offspring of the other sex.
const (
	Recessive Mate = iota
	Carrier
	Offspring
)

// Test is a test mating: is this fish, normal to look at, free of a recessive?
// Of one of its own offspring, Each young are raised (1 or more) before the next
// one's turn comes; with other mates Each has no meaning.
type Test struct {
	Mate Mate
	Each int
}

func (t Test) check() error {
	if t.Mate == Offspring {
		return atLeast("the number of young of each mate", t.Each, 1)
	}
	return nil
}

// Passed returns the chance that n young are all normal although the fish carries
// the recessive:
//
//	(1/2)ⁿ  mate shows the recessive        (3/4)ⁿ  mate carries it
//	(7/8)ⁿ  own offspring, one young of each
//
// Own offspring, by a mate free of the recessive, carry it with odds of one half
// only, so m young of one of them are all normal with ½ + ½·(¾)^m: never less
// than one half, however many. Mendel's ratios. n is 0 or more.
func (t Test) Passed(n int) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := atLeast("the number of young", n, 0); err != nil {
		return 0, err
	}
	return t.passed(n), nil
}

func (t Test) passed(n int) float64 {
	switch t.Mate {
	case Recessive:
		return math.Pow(0.5, float64(n))
	case Carrier:
		return math.Pow(0.75, float64(n))
	}
	ofOne := func(m int) float64 { return 0.5 + 0.5*math.Pow(0.75, float64(m)) }
	return math.Pow(ofOne(t.Each), float64(n/t.Each)) * ofOne(n%t.Each)
}

// Young returns the smallest number of normal young that leaves [Test.Passed]
// strictly below doubt. Tables in courses and handbooks round to the nearest and
// print 16 and 24 at 1 % and 0.1 % with a known carrier, which leave 0.010023
// and 0.001003; the strict numbers are 17 and 25. 0 < doubt < 1.
func (t Test) Young(doubt float64) (int, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := between("the doubt", doubt); err != nil {
		return 0, err
	}
	return smallest(1, func(n int) bool { return t.passed(n) < doubt })
}

// CarrierOdds returns the chance that the fish carries the recessive after n
// normal young and no other, before being the chance that it did so far as was
// known before the test (2/3 for a normal sib of a fish that shows it, ½ for a
// normal young of a carrier and a fish free of it):
//
//	before·Passed / (before·Passed + 1 − before) ,
//
// Bayes' rule. 0 < before < 1, n ≥ 0.
func (t Test) CarrierOdds(before float64, n int) (float64, error) {
	passed, err := t.Passed(n)
	if err != nil {
		return 0, err
	}
	if err := between("the chance before the test", before); err != nil {
		return 0, err
	}
	return before * passed / (before*passed + 1 - before), nil
}

// YoungGiven returns the smallest number of normal young, 0 or more, that leaves
// [Test.CarrierOdds] strictly below doubt.
func (t Test) YoungGiven(before, doubt float64) (int, error) {
	if err := between("the chance before the test", before); err != nil {
		return 0, err
	}
	if err := between("the doubt", doubt); err != nil {
		return 0, err
	}
	if err := t.check(); err != nil {
		return 0, err
	}
	return smallest(0, func(n int) bool {
		passed := before * t.passed(n)
		return passed/(passed+1-before) < doubt
	})
}
