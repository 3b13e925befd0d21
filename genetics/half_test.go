package genetics_test

import (
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// Two fry of one spawn by unrelated fish with no inbreeding are full sibs,
// kinship 1/4 (Wright 1922), also where fish never sexed stand among the
// parents and leave half a fish to a sex.
func TestFryOfOneSpawnAreFullSibs(t *testing.T) {
	fish := func(id string, sex pedigree.Sex) *pedigree.Stock {
		return &pedigree.Stock{ID: id, Sex: sex, Wild: &pedigree.Wild{}}
	}
	half := pedigree.Count{Males: 1, Unsexed: 1}
	for _, test := range []struct {
		name  string
		stock []*pedigree.Stock
		group []string
	}{
		{"five males and one unsexed, picked", []*pedigree.Stock{wild("W", pedigree.Count{Males: 5, Unsexed: 1}),
			pickedFish("P", "W", pedigree.Unsexed, day1)}, []string{"W", "P"}},
		{"five males and one unsexed, picked later", []*pedigree.Stock{wild("W", pedigree.Count{Males: 5, Unsexed: 1}),
			pickedFish("P", "W", pedigree.Unsexed, day3)}, []string{"W"}},
		{"one male and one unsexed", []*pedigree.Stock{wild("W", half)}, []string{"W"}},
		{"a male and an unsexed fish", []*pedigree.Stock{fish("A", pedigree.Male), fish("B", pedigree.Unsexed)}, []string{"A", "B"}},
		{"two unsexed fish", []*pedigree.Stock{fish("A", pedigree.Unsexed), fish("B", pedigree.Unsexed)}, []string{"A", "B"}},
		{"two unsexed in a lot", []*pedigree.Stock{wild("W", unsexed(2))}, []string{"W"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			spawn := &pedigree.Spawn{ID: "S", Group: test.group, Date: day2}
			book := bookOf(append(test.stock, fryLot("Y", unsexed(2), "S")), spawn)
			s := endOf(t, book)
			near(t, "kinship of two fry", kinship(t, s, "Y", "Y"), 0.25)
			near(t, "inbreeding of the fry", inbreeding(t, s, "Y"), 0)
		})
	}
}

// The same of a brood whose keeper says that all bred, or three, where a sex
// has only part of a fish: one fish bred. In the lot all are alike, so that no
// two fish can be more than alike (kinship 1 at the most; derived).
func TestPartOfAFishIsOneParent(t *testing.T) {
	for _, dams := range []pedigree.Parents{{}, {N: 3}, {All: true}} {
		w := wild("W", pedigree.Count{Males: 2, Unsexed: 1})
		x := &pedigree.Stock{ID: "X", Sex: pedigree.Male, Wild: &pedigree.Wild{}}
		spawn := &pedigree.Spawn{ID: "S", Sire: one("X"), Dam: one("W"), Dams: dams, Date: day2}
		s := endOf(t, bookOf([]*pedigree.Stock{w, x, fryLot("Y", unsexed(4), "S")}, spawn))
		near(t, "kinship of two fry", kinship(t, s, "Y", "Y"), 0.25)
	}
}

// Ten unrelated fish of which one is picked unsexed and put with another: the
// two are unrelated (derived).
func TestHalfFishPutWithAnotherIsUnrelated(t *testing.T) {
	merged := &pedigree.Stock{ID: "M", Lot: true, Count: unsexed(2), Date: day2, Merged: []pedigree.Part{
		{ID: "P", Count: unsexed(1), Whole: true}, {ID: "X", Count: unsexed(1), Whole: true}}}
	for _, sex := range []pedigree.Sex{pedigree.Unsexed, pedigree.Male, pedigree.Female} {
		x := &pedigree.Stock{ID: "X", Sex: sex, Wild: &pedigree.Wild{}}
		merged.Count = unsexed(1)
		switch sex {
		case pedigree.Male:
			merged.Count.Males = 1
		case pedigree.Female:
			merged.Count.Females = 1
		default:
			merged.Count.Unsexed = 2
		}
		book := bookOf([]*pedigree.Stock{wild("W", pedigree.Count{Males: 9, Unsexed: 1}),
			pickedFish("P", "W", pedigree.Unsexed, day1), x, merged})
		near(t, "kinship within, with one "+sex.String(), kinship(t, endOf(t, book), "M", "M"), 0)
	}
}

// Three unrelated fish never sexed, one of them out of a lot of siblings, are put
// together. Of the three two turn out males: they are unrelated (derived).
func TestTwoMalesOfThreeNeverSexed(t *testing.T) {
	w := wild("W", unsexed(4))
	w.Wild.Related = 0.25
	single := func(id string) *pedigree.Stock { return &pedigree.Stock{ID: id, Wild: &pedigree.Wild{}} }
	whole := func(id string) pedigree.Part {
		return pedigree.Part{ID: id, Count: unsexed(1), Whole: true}
	}
	merged := &pedigree.Stock{ID: "M", Lot: true, Count: unsexed(3), Date: day2, Merged: []pedigree.Part{whole("P"), whole("X"), whole("Z")}}
	s := endOf(t, bookOf([]*pedigree.Stock{w, pickedFish("P", "W", pedigree.Unsexed, day1), single("X"), single("Z"), merged,
		pickedFish("Q", "M", pedigree.Male, day3), pickedFish("R", "M", pedigree.Male, day3)}))
	near(t, "kinship of the two", kinship(t, s, "Q", "R"), 0)
	checkVariances(t, s)
}

// A fish picked unsexed out of a merged lot is itself: kinship ½(1 + F) with
// itself, and what the lot's fish share with each other. Two males of one brood
// and two females of another: a fish of the four, of unknown sex, is as likely
// of either family (derived by enumerating the four).
func TestUnsexedPickOutOfAMergedLot(t *testing.T) {
	merged := &pedigree.Stock{ID: "M", Lot: true, Count: sexes(2, 2), Date: day2, Merged: []pedigree.Part{
		{ID: "A", Count: sexes(2, 0)}, {ID: "B", Count: sexes(0, 2)}}}
	book := bookOf([]*pedigree.Stock{fryLot("A", sexes(3, 1), "S"), fryLot("B", sexes(1, 3), "T"), merged,
		pickedFish("P", "M", pedigree.Unsexed, day3), fryFish("Z", "S"), fryFish("Y", "U")},
		&pedigree.Spawn{ID: "S"}, &pedigree.Spawn{ID: "T"}, grouped("U", "M", day4))
	s := endOf(t, book)
	near(t, "P with itself", kinship(t, s, "P", "P"), 1./2)
	near(t, "P with a fry of the males' family", kinship(t, s, "P", "Z"), 1./8)
	// Y has one sire of the males' family and one dam of the females': one of
	// P's family for sure, and not P.
	near(t, "P with a fry of the lot", kinship(t, s, "P", "Y"), 1./8)
	near(t, "inbreeding of the fry", inbreeding(t, s, "Y"), 0)
	checkVariances(t, s)
}

// endOf is a book's state after everything in it.
func endOf(t *testing.T, book *pedigree.Book) *genetics.State {
	t.Helper()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	return m.On(29990101)
}

// checkVariances holds A_ii of every fish, out of T D Tᵀ, against 1 + F.
func checkVariances(t *testing.T, s *genetics.State) {
	t.Helper()
	a := dense(s.Model())
	for _, stock := range s.Model().Book().Stock {
		if v, ok := s.Vector(stock.ID); ok && !stock.Lot {
			near(t, "A_ii of "+stock.ID, a.At(v[0].Node, v[0].Node), 1+inbreeding(t, s, stock.ID))
		}
	}
}

// A sexed fish that leaves is taken from its sex's number, then from the
// unsexed; unsexed fish that leave a lot of sexed ones are of both sexes in
// proportion (lots.md's rule; numbers derived). Members are unrelated, so that
// the lot's kinship with a fry is 1/4 for each parent that is still in it, by
// the chance that it is.
func TestFishLeaveInProportion(t *testing.T) {
	sale := func(c pedigree.Count) []pedigree.Sale { return []pedigree.Sale{{Date: day2, Numbered: true, Count: c}} }
	for _, test := range []struct {
		name           string
		begun, sold    pedigree.Count
		males, females float64 // left
	}{
		{"two unsexed out of 6 + 2", sexes(6, 2), unsexed(2), 4.5, 1.5},
		{"a male out of 2 + 2 + 2", pedigree.Count{Males: 2, Females: 2, Unsexed: 2}, sexes(1, 0), 2, 3},
		{"three males out of 2 + 2 + 2", pedigree.Count{Males: 2, Females: 2, Unsexed: 2}, sexes(3, 0), 0.5, 2.5},
		{"three unsexed out of 4 + 2 + 1", pedigree.Count{Males: 4, Females: 2, Unsexed: 1}, unsexed(3), 8. / 3, 4. / 3},
	} {
		lot := wild("A", test.begun)
		lot.Sold = sale(test.sold)
		book := bookOf([]*pedigree.Stock{lot})
		at := book.LotHistory("A").At(day3)
		near(t, test.name+": males left", at.Males, test.males)
		near(t, test.name+": females left", at.Females, test.females)
	}
}

// One male and four females, of which the male, one fish never sexed and a
// sublot never sexed leave on one day: by halves more males leave than there
// were. Shares of a brood of before are still shares, and sum to the whole
// (derived: half of the genes are the lot's, half another female's).
func TestSharesWhereMoreOfASexLeftThanThereWas(t *testing.T) {
	book := bookOf([]*pedigree.Stock{wild("A", sexes(1, 4)), pickedFish("B", "A", pedigree.Male, day2), pickedFish("P", "A", pedigree.Unsexed, day2),
		sublot("C", "A", unsexed(1), day2), fryFish("Y", "S"), wild("D", sexes(0, 1))}, pairOf("S", "A", "D", day1))
	s := endOf(t, book)
	sum := 0.0
	for _, share := range s.Founders("Y") {
		if share.Share < 0 {
			t.Errorf("share of %s is %v", share.ID, share.Share)
		}
		sum += share.Share
	}
	near(t, "sum of the shares", sum, s.RecordedAncestry("Y"))
	near(t, "recorded ancestry", s.RecordedAncestry("Y"), 1)
}
