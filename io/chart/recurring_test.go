package chart

import (
	"math"
	"slices"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// pondBook is a wild lot that spawned as a group of one father and one mother,
// and one of its males with a daughter; then its males died.
func pondBook(related float64) *pedigree.Book {
	book := &pedigree.Book{Name: "pond", Lines: []*pedigree.Line{{Name: "pond", Species: "Danio rerio"}}}
	parent := func(id string) pedigree.Side {
		return pedigree.Side{Candidates: []pedigree.Candidate{{ID: id, Odds: 1}}}
	}
	book.Stock = []*pedigree.Stock{
		{ID: "W", Line: "pond", Lot: true, Wild: &pedigree.Wild{Date: 20240503, Related: related}, Count: pedigree.Count{Males: 2, Females: 4},
			Changes: []pedigree.Change{{Date: 20251101, Count: pedigree.Count{Females: 1}}}},
		{ID: "Y", Line: "pond", Lot: true, Count: pedigree.Count{Unsexed: 20}, FromSpawns: []pedigree.FromSpawn{{Spawn: "S1", Share: 1}}},
		{ID: "Y1", Line: "pond", Sex: pedigree.Female, Picked: "Y", Date: 20241201},
	}
	book.Spawns = []*pedigree.Spawn{
		{ID: "S1", Line: "pond", Date: 20240810, Sire: parent("W"), Dam: parent("W")},
		{ID: "S2", Line: "pond", Date: 20250601, Sire: parent("W"), Dam: parent("Y1")},
	}
	book.Arrange()
	return book
}

// A male and a female of a lot are never the same fish; one of its males may have
// come down twice; lots of siblings share their parents whichever fish it was.
func TestOneFishOfALot(t *testing.T) {
	for _, c := range []struct {
		of      string
		related float64
		ways    int
		again   recurrence
		heavy   []pedigree.Sex
	}{
		{"S1", 0, 1, once, nil},
		{"Y", 0, 1, once, nil},
		{"S1", 0.25, 2, bothParents, []pedigree.Sex{pedigree.Male, pedigree.Female}},
		{"S2", 0, 2, bothParents, []pedigree.Sex{pedigree.Male, pedigree.Male}},
		{"S2", 0.25, 3, bothParents, []pedigree.Sex{pedigree.Male, pedigree.Female, pedigree.Male}},
	} {
		a := newAncestry(stateOf(t, pondBook(c.related)), c.of, math.MaxInt)
		w := a.cards[a.byID["W"]]
		var heavy []pedigree.Sex
		for _, k := range w.out {
			if a.links[k].again != once {
				heavy = append(heavy, a.links[k].sex)
			}
		}
		slices.Sort(heavy)
		slices.Sort(c.heavy)
		if w.ways != c.ways || w.again != c.again || !slices.Equal(heavy, c.heavy) {
			t.Errorf("%s, related %v: %d ways, recurrence %d, heavy %v; want %d, %d, %v", c.of, c.related, w.ways, w.again, heavy, c.ways, c.again, c.heavy)
		}
	}
}

// A fish picked out before a spawn is not the one of the lot that spawned.
func TestPickedFishIsNotTheOneThatStayed(t *testing.T) {
	for picked, want := range map[pedigree.Date]recurrence{20240601: once, 20250101: bothParents} {
		book := pondBook(0)
		book.Stock = append(book.Stock, &pedigree.Stock{ID: "W1", Line: "pond", Sex: pedigree.Male, Picked: "W", Date: picked})
		book.SpawnByID("S2").Sire.Candidates[0].ID = "W1"
		book.SpawnByID("S2").Sire.Candidates = append(book.SpawnByID("S2").Sire.Candidates, pedigree.Candidate{ID: "Y", Odds: 1})
		book.Spawns = append(book.Spawns, &pedigree.Spawn{ID: "S3", Line: "pond", Date: 20250901, Sire: pedigree.Side{Candidates: []pedigree.Candidate{{ID: "W1", Odds: 1}}},
			Dam: pedigree.Side{Candidates: []pedigree.Candidate{{ID: "Y1", Odds: 1}}}})
		book.Arrange()
		a := newAncestry(stateOf(t, book), "S3", math.MaxInt)
		if got := a.cards[a.byID["W"]].again; got != want {
			t.Errorf("picked %v: recurrence %d, want %d", picked, got, want)
		}
	}
}

// Red is what makes inbreeding, and only that: where parents share nothing, no
// line is red; where they share something other than by the keeper's word, one is.
func TestRedIsInbreeding(t *testing.T) {
	inbred, not := 0, 0
	for _, book := range []*pedigree.Book{demo(t).Model().Book(), bigBook(300)} {
		s := stateOf(t, book)
		for _, spawn := range book.Spawns {
			f, ok := s.Expected(spawn)
			if !ok {
				continue
			}
			a := newAncestry(s, spawn.ID, math.MaxInt)
			red := slices.ContainsFunc(a.links, func(l link) bool { return l.again == bothParents })
			byWord := slices.ContainsFunc(s.WhyInbred(spawn.ID), func(t genetics.Through) bool { return t.Related })
			if f > 1e-12 != red && !byWord {
				t.Errorf("%s: inbreeding %v, red lines: %v", spawn.ID, f, red)
			}
			if red {
				inbred++
			} else {
				not++
			}
		}
	}
	if inbred < 20 || not < 20 {
		t.Errorf("%d with red lines and %d without", inbred, not)
	}
}

// A lot stands as it was when it spawned, not as it is now: a sire is no circle.
func TestLotStandsAsAtItsSpawn(t *testing.T) {
	a := newAncestry(stateOf(t, pondBook(0)), "Y", math.MaxInt)
	w := a.cards[a.byID["W"]]
	if w.symbol.sex != pedigree.Unsexed || w.symbol.number != 6 {
		t.Errorf("the symbol is of sex %v with %v fish, want 6 of both", w.symbol.sex, w.symbol.number)
	}
	if text := strings.Join(w.lines, "; "); !strings.Contains(text, "2 males, 4 females; now 1 female") {
		t.Errorf("the card says %q", text)
	}
}
