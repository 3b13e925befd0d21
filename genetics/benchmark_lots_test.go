package genetics_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// bigBook is a book of about that many stock records over twenty years: founder
// lots, fry lots that breed as groups, fish picked out of them, pairs of picked
// fish, and now and then two lots merged.
func bigBook(records int) *pedigree.Book {
	rng := rand.New(rand.NewPCG(uint64(records), 0xb16))
	book := &pedigree.Book{Lines: []*pedigree.Line{{Name: "amber-spring"}}}
	var lots, males, females []string
	add := func(s *pedigree.Stock) string {
		s.ID, s.Line = fmt.Sprintf("R%05d", len(book.Stock)), "amber-spring"
		book.Stock = append(book.Stock, s)
		return s.ID
	}
	taken := map[string]int{} // pairs taken out of a lot, of the two at least
	take := func(lot string) bool {
		taken[lot]++
		return taken[lot] <= 3
	}
	recent := func(list []string) string { return list[len(list)-1-rng.IntN(min(len(list), 40))] }
	for range 10 {
		lots = append(lots, add(wildOn("", sexes(4, 6), 20000101)))
	}
	for season := 0; len(book.Stock) < records; season++ {
		day := pedigree.Date(20000201).AddDays(season * 7300 / (records / 12))
		for _, lot := range []string{recent(lots), recent(lots)} {
			if !take(lot) {
				continue
			}
			males = append(males, add(pickedFish("", lot, pedigree.Male, day)))
			females = append(females, add(pickedFish("", lot, pedigree.Female, day)))
		}
		var fry []string
		for range 3 {
			s := &pedigree.Spawn{ID: fmt.Sprintf("S%05d", len(book.Spawns)), Line: "amber-spring", Date: day}
			if rng.IntN(2) == 0 {
				s.Group = []string{recent(lots)}
				s.Dams = pedigree.Parents{N: 2}
			} else {
				s.Sire, s.Dam = one(recent(males)), one(recent(females))
			}
			book.Spawns = append(book.Spawns, s)
			fry = append(fry, add(fryLot("", sexes(6, 6), s.ID)))
			add(fryFish("", s.ID))
		}
		if a, b := recent(lots), recent(lots); a != b && rng.IntN(4) == 0 && take(a) && take(b) {
			m := &pedigree.Stock{Lot: true, Count: sexes(2, 2), Date: day, Merged: []pedigree.Part{{ID: min(a, b), Count: sexes(1, 1)}, {ID: max(a, b), Count: sexes(1, 1)}}}
			lots = append(lots, add(m))
			taken[m.ID] = 2
		}
		lots = append(lots, fry...)
	}
	book.Arrange()
	return book
}

func perSecond(b *testing.B, book *pedigree.Book) {
	records := float64(len(book.Stock) + len(book.Spawns))
	b.ReportMetric(records*float64(b.N)/b.Elapsed().Seconds(), "records/s")
}

// The book of the benchmarks keeps the record rules.
func TestBigBookIsSound(t *testing.T) {
	if !sound(bigBook(2000)) {
		t.Error("it does not")
	}
}

func BenchmarkCompileLots(b *testing.B) {
	book := bigBook(5000)
	for b.Loop() {
		if _, err := genetics.Compile(book); err != nil {
			b.Fatal(err)
		}
	}
	perSecond(b, book)
}

func BenchmarkLineOfLots(b *testing.B) {
	book := bigBook(5000)
	m, err := genetics.Compile(book)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, ok := m.On(20210101).Line("amber-spring"); !ok {
			b.Fatal("nothing lives")
		}
	}
	perSecond(b, book)
}
