package genetics_test

import (
	"fmt"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// bookOf makes a book of one line.
func bookOf(stock []*pedigree.Stock, spawns ...*pedigree.Spawn) *pedigree.Book {
	b := &pedigree.Book{Lines: []*pedigree.Line{{Name: "amber-spring"}}, Stock: stock, Spawns: spawns}
	for _, s := range b.Stock {
		s.Line = "amber-spring"
	}
	for _, s := range b.Spawns {
		s.Line = "amber-spring"
	}
	b.Arrange()
	return b
}

func lineOn(t *testing.T, book *pedigree.Book, on pedigree.Date) genetics.LineReport {
	t.Helper()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	r, ok := m.On(on).Line("amber-spring")
	if !ok {
		t.Fatalf("nothing lives on %s", on)
	}
	return r
}

func wildOn(id string, c pedigree.Count, date pedigree.Date) *pedigree.Stock {
	s := wild(id, c)
	s.Wild.Date = date
	return s
}

func sublot(id, lot string, c pedigree.Count, date pedigree.Date) *pedigree.Stock {
	return &pedigree.Stock{ID: id, Lot: true, Count: c, Picked: lot, Date: date}
}

func died(s *pedigree.Stock, on pedigree.Date) *pedigree.Stock {
	s.Died = on
	return s
}

func pairOf(id, sire, dam string, date pedigree.Date) *pedigree.Spawn {
	return &pedigree.Spawn{ID: id, Sire: one(sire), Dam: one(dam), Date: date}
}

// days of a longer story.
const (
	dayA pedigree.Date = 20240201 + iota
	dayB
	dayC
	dayD
	dayE
	dayF
	dayG
	dayH
	dayI
)

// Eight unrelated wild fish, all living, are eight founders with an eighth of
// the genes each, on whatever day one asks and however they are kept (derived:
// 1/(8·(1/8)²)). The keeper's later picks change nothing.
func TestEightWildFishAreEightFounders(t *testing.T) {
	kept := func() *pedigree.Stock { return wildOn("A", sexes(4, 4), dayA) }
	other := func() *pedigree.Stock { return wildOn("O", sexes(1, 1), dayA) }
	with := func(stock ...*pedigree.Stock) []*pedigree.Stock { return append([]*pedigree.Stock{kept()}, stock...) }
	merged := &pedigree.Stock{ID: "M", Lot: true, Count: sexes(3, 2), Date: dayD, Merged: []pedigree.Part{
		{ID: "A", Count: sexes(2, 1)}, {ID: "O", Count: sexes(1, 1)}}}
	for _, test := range []struct {
		name  string
		stock []*pedigree.Stock
		want  float64
	}{
		{"kept together", with(), 8},
		{"a male picked", with(pickedFish("P", "A", pedigree.Male, dayC)), 8},
		{"one picked unsexed", with(pickedFish("P", "A", pedigree.Unsexed, dayC)), 8},
		{"a sublot", with(sublot("B", "A", sexes(2, 1), dayC)), 8},
		{"a pick and a sublot", with(pickedFish("P", "A", pedigree.Male, dayC), sublot("B", "A", sexes(2, 2), dayE)), 8},
		{"a pick out of a sublot", with(sublot("B", "A", sexes(2, 2), dayC), pickedFish("P", "B", pedigree.Female, dayE)), 8},
		{"a sublot of a sublot, and a pick", with(sublot("B", "A", sexes(3, 2), dayC), sublot("C", "B", sexes(2, 1), dayE),
			pickedFish("P", "C", pedigree.Male, dayF)), 8},
		{"some merged with two others", with(other(), merged), 10},
		{"a pick, and some merged with two others", with(other(), merged, pickedFish("P", "A", pedigree.Male, dayF)), 10},
	} {
		t.Run(test.name, func(t *testing.T) {
			book := bookOf(test.stock)
			for on := dayA; on <= dayG; on++ {
				r := lineOn(t, book, on)
				near(t, fmt.Sprintf("founder equivalents on %s", on), r.FounderEquivalents, test.want)
				near(t, fmt.Sprintf("gene diversity on %s", on), r.GeneDiversity, 1-1/(2*test.want))
			}
		})
	}
}

// Only fry live; each sex gave half of their genes. Founder equivalents are
// 1/Σ share² over the founder fish (Lacy 1989, Zoo Biology 8:111); the values
// are derived from that and from how a founder lot's rest is split: each sex by
// itself, over the fish in its first pool that bred, less those counted as
// themselves.
func TestFounderEquivalentsOfLots(t *testing.T) {
	lot := func(c pedigree.Count) *pedigree.Stock { return died(wildOn("A", c, dayA), dayI) }
	census := func(s *pedigree.Stock, c pedigree.Count, on pedigree.Date) *pedigree.Stock {
		s.Changes = append(s.Changes, pedigree.Change{Date: on, Count: c})
		return s
	}
	dead := func(s *pedigree.Stock) *pedigree.Stock { return died(s, dayI) }
	fry := fryLot("Y", sexes(5, 5), "S")
	unknown := func(id string, sires int) *pedigree.Spawn {
		s := &pedigree.Spawn{ID: id, Date: dayC, Dam: one("A"), Sires: pedigree.Parents{N: sires}}
		return s
	}
	merged := func(date pedigree.Date) []*pedigree.Stock {
		return []*pedigree.Stock{dead(wildOn("O", sexes(1, 1), dayA)), dead(&pedigree.Stock{ID: "M", Lot: true, Count: sexes(3, 3), Date: date,
			Merged: []pedigree.Part{{ID: "A", Count: sexes(2, 2)}, {ID: "O", Count: sexes(1, 1)}}})}
	}
	for _, test := range []struct {
		name   string
		stock  []*pedigree.Stock
		spawns []*pedigree.Spawn
		want   float64
	}{
		{
			// An eighth of a half from each of 4 males, a half from each of 2 females.
			"four males, two females", []*pedigree.Stock{lot(sexes(4, 2)), fry}, []*pedigree.Spawn{grouped("S", "A", dayC)},
			1 / (4*(1./64) + 2*(1./16)),
		}, {
			// P was one of the four that may have sired them; it changes nothing that
			// he is known from then on.
			"a pick after the spawn", []*pedigree.Stock{lot(sexes(4, 2)), dead(pickedFish("P", "A", pedigree.Male, dayE)), fry},
			[]*pedigree.Spawn{grouped("S", "A", dayC)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			// P left before: three males are left to have been the sire.
			"a pick before the spawn", []*pedigree.Stock{lot(sexes(4, 2)), dead(pickedFish("P", "A", pedigree.Male, dayB)), fry},
			[]*pedigree.Spawn{grouped("S", "A", dayC)}, 1 / (3*(1./36) + 2*(1./16)),
		}, {
			// Half of the fry are P's with a female of A, half of A's 3 males with them.
			"a pick that bred beside the lot", []*pedigree.Stock{lot(sexes(4, 2)), dead(pickedFish("P", "A", pedigree.Male, dayB)), fry,
				fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{grouped("S", "A", dayC), pairOf("T", "P", "A", dayD)}, 1 / (1./16 + 3*(1./144) + 2*(1./16)),
		}, {
			// Two of four males die before the second spawn: four are in the first
			// pool, and the two that lived are not told from those that died.
			"deaths between two spawns", []*pedigree.Stock{census(lot(sexes(4, 2)), sexes(2, 2), dayD), fry, fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "A", dayE)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			"deaths before the first spawn", []*pedigree.Stock{census(lot(sexes(4, 2)), sexes(2, 2), dayB), fry},
			[]*pedigree.Spawn{grouped("S", "A", dayC)}, 4,
		}, {
			// The sublot's males were among the four, whether or not it bred later.
			"a sublot that never bred", []*pedigree.Stock{lot(sexes(4, 2)), dead(sublot("B", "A", sexes(2, 1), dayE)), fry},
			[]*pedigree.Spawn{grouped("S", "A", dayC)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			"a sublot that bred too", []*pedigree.Stock{lot(sexes(4, 2)), dead(sublot("B", "A", sexes(2, 1), dayE)), fry,
				fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "B", dayF)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			// Of the sublot's two males one dies before it breeds; he was among the
			// four all the same.
			"a sublot that bred after a death", []*pedigree.Stock{lot(sexes(4, 2)), census(dead(sublot("B", "A", sexes(2, 1), dayD)), sexes(1, 1), dayE),
				fry, fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "B", dayF)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			// The lot bred after the sublot had left, which bred too: 2 + 2 males and
			// 1 + 1 females, all with as much.
			"two halves of a lot that bred apart", []*pedigree.Stock{lot(sexes(4, 2)), dead(sublot("B", "A", sexes(2, 1), dayB)), fry,
				fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "B", dayF)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			"only the sublot bred", []*pedigree.Stock{lot(sexes(4, 2)), dead(sublot("B", "A", sexes(2, 1), dayB)), fry},
			[]*pedigree.Spawn{grouped("S", "B", dayC)}, 1 / (2*(1./16) + 1./4),
		}, {
			// A quarter of the males' half is P's, wherever he was picked from.
			"a pick out of a sublot, after the spawn", []*pedigree.Stock{lot(sexes(4, 2)), dead(sublot("B", "A", sexes(2, 1), dayD)),
				dead(pickedFish("P", "B", pedigree.Male, dayE)), fry},
			[]*pedigree.Spawn{grouped("S", "A", dayC)}, 1 / (4*(1./64) + 2*(1./16)),
		}, {
			// P had an eighth of the one brood and a quarter of the other, 3/16; the
			// other three males share the 5/16 that are left of the males' half.
			"a pick out of a sublot that bred", []*pedigree.Stock{lot(sexes(4, 2)), dead(sublot("B", "A", sexes(2, 1), dayD)),
				dead(pickedFish("P", "B", pedigree.Male, dayF)), fry, fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "B", dayE)}, 1 / (9./256 + 3*(25./2304) + 2*(1./16)),
		}, {
			// Moved before it bred: 2 + 2 of A and 1 + 1 of O are the parents.
			"moved into a merged lot", append(merged(dayB), lot(sexes(2, 2)), fry), []*pedigree.Spawn{grouped("S", "M", dayC)}, 6,
		}, {
			// A bred before, with its 4 + 4 of which 2 + 2 moved. Fry of S: an eighth of
			// each of A's eight. Fry of T: a sixth of O's two and of A's rest 2/3.
			"bred, then moved into a merged lot", append(merged(dayD), lot(sexes(4, 4)), fry, fryLot("Z", sexes(5, 5), "T")),
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "M", dayE)}, 1 / (2*(1./12)*(1./12) + 8*(5./48)*(5./48)),
		}, {
			// What A had moved on counts beside the 2 + 2 that bred in it.
			"some moved on, the others bred", append(merged(dayB), lot(sexes(4, 4)), fry, fryLot("Z", sexes(5, 5), "T")),
			[]*pedigree.Spawn{grouped("S", "A", dayC), grouped("T", "M", dayE)}, 1 / (2*(1./12)*(1./12) + 8*(5./48)*(5./48)),
		}, {
			// Half a male and half a female of each of two single fish: two founders.
			"two fish never sexed", []*pedigree.Stock{lot(unsexed(1)), dead(wildOn("O", unsexed(1), dayA)), fry},
			[]*pedigree.Spawn{{ID: "S", Date: dayC, Group: []string{"A", "O"}}}, 2,
		}, {
			// One female, and three unknown sires with a sixth each.
			"three unknown sires", []*pedigree.Stock{lot(sexes(0, 1)), fry}, []*pedigree.Spawn{unknown("S", 3)}, 1 / (1./4 + 3*(1./36)),
		}, {
			"one unknown sire of each of two spawns", []*pedigree.Stock{lot(sexes(0, 1)), fry, fryLot("Z", sexes(5, 5), "T")},
			[]*pedigree.Spawn{unknown("S", 1), unknown("T", 1)}, 1 / (1./4 + 2*(1./16)),
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := lineOn(t, bookOf(test.stock, test.spawns...), dayI+1)
			near(t, "founder equivalents", r.FounderEquivalents, test.want)
		})
	}
}

// Of a lot that is to lose fish before it first breeds all count as long as
// they live: nothing that has not happened yet is known (derived: six living
// wild fish, then four).
func TestFounderEquivalentsBeforeAnythingBred(t *testing.T) {
	lot := wildOn("A", sexes(4, 2), dayA)
	lot.Changes = []pedigree.Change{{Date: dayC, Count: sexes(2, 2)}}
	book := bookOf([]*pedigree.Stock{lot, fryLot("Y", sexes(5, 5), "S")}, grouped("S", "A", dayE))
	near(t, "founder equivalents before a death", lineOn(t, book, dayB).FounderEquivalents, 6)
	near(t, "founder equivalents after it", lineOn(t, book, dayD).FounderEquivalents, 4)
}

// However the shares fall, they are not spread over more fish than there are
// founders (the mean of squares is at least the square of the mean).
func TestFounderEquivalentsAreAtMostTheFounders(t *testing.T) {
	for seed := range uint64(60) {
		book, p := randomBook(seed)
		m, err := genetics.Compile(book)
		if err != nil {
			t.Fatal(err)
		}
		founders := 0.0
		for _, s := range book.Stock {
			switch {
			case s.Wild == nil && s.Bought == nil:
			case s.Lot:
				founders += float64(s.Count.Total())
			default:
				founders++
			}
		}
		for _, s := range book.Spawns {
			for i, side := range []pedigree.Side{s.Sire, s.Dam} {
				if s.Group == nil && s.Repeat == "" && side.Candidates == nil {
					founders += []pedigree.Parents{s.Sires, s.Dams}[i].Number(1)
				}
			}
		}
		for _, on := range append(p.dates(), 29990101) {
			r, ok := m.On(on).Line("")
			if ok && !(r.FounderEquivalents <= founders+1e-9 && r.FounderEquivalents > 0) {
				t.Errorf("seed %d on %s: %v founder equivalents of %v founders\n%s", seed, on, r.FounderEquivalents, founders, describe(book))
				return
			}
		}
	}
}
