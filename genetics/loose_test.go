package genetics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// Every book that keeps the record rules gives chances, also where fish never
// sexed leave parts of a fish to a sex; none depends on which of two records is
// named first, on their order or on their names.
func TestLooseBooksGiveChances(t *testing.T) {
	for seed := range uint64(100) {
		book := looseBook(seed)
		m, err := genetics.Compile(book)
		if err != nil {
			t.Fatalf("seed %d: %v\n%s", seed, err, describe(book))
		}
		for _, on := range []pedigree.Date{20200301, 29990101} {
			checkProbabilities(t, m.On(on))
			checkSymmetric(t, m.On(on))
		}
		if t.Failed() {
			t.Fatalf("seed %d:\n%s", seed, describe(book))
		}
		if seed%5 == 0 {
			checkOrder(t, book, seed)
		}
	}
}

func checkSymmetric(t *testing.T, s *genetics.State) {
	t.Helper()
	for _, a := range s.Model().Book().Stock {
		for _, b := range s.Model().Book().Stock {
			k, ok := s.Kinship(a.ID, b.ID)
			back, okBack := s.Kinship(b.ID, a.ID)
			if ok != okBack || math.Abs(k-back) > 1e-12 {
				t.Errorf("kinship of %s and %s: %v one way, %v the other", a.ID, b.ID, k, back)
			}
		}
	}
}

func checkOrder(t *testing.T, book *pedigree.Book, seed uint64) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 5))
	checkOrderAndNames(t, rng, book)
}

// The looseness must be met in the books, or they say nothing.
func TestLooseBooksAreLoose(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(300) {
		book := looseBook(seed)
		for _, s := range book.Spawns {
			for _, id := range s.Group {
				if o := book.StockByID(id); !o.Lot && o.Sex == pedigree.Unsexed {
					seen["unsexed fish in a group"]++
				}
			}
			for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
				fish := 0.0
				for _, c := range book.Contributors(s, sex) {
					fish += c.Fish
				}
				if fish > 0 && fish < 1 {
					seen["less than one parent to choose from"]++
				} else if fish != math.Trunc(fish) {
					seen["part of a fish among the parents"]++
				}
			}
		}
		for _, s := range book.Stock {
			for _, part := range s.Merged {
				if o := book.StockByID(part.ID); !o.Lot && o.Sex == pedigree.Unsexed {
					seen["unsexed fish merged"]++
				}
			}
			if lot := book.StockByID(s.Picked); lot != nil && s.Sex == pedigree.Unsexed && lot.Count.Males+lot.Count.Females > 0 {
				seen["unsexed pick out of a lot sexed in part"]++
			}
		}
	}
	for _, f := range []string{"unsexed fish in a group", "less than one parent to choose from", "part of a fish among the parents",
		"unsexed fish merged", "unsexed pick out of a lot sexed in part"} {
		t.Logf("%4d %s", seen[f], f)
		if seen[f] < 5 {
			t.Errorf("%s: %d times in 300 random books", f, seen[f])
		}
	}
}
