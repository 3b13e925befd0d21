package chart

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

// theDay is the day that the charts of the tests are drawn for.
const theDay = pedigree.Date(20261124)

// demo is the state of the demo book.
func demo(t testing.TB) *genetics.State {
	t.Helper()
	book, _, err := records.Read("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	return stateOf(t, book)
}

func stateOf(t testing.TB, book *pedigree.Book) *genetics.State {
	t.Helper()
	model, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	return model.On(theDay)
}

// bigBook makes a line of about n records over ten years: ten families in their
// own tanks, lots, fish picked out of them as breeders, males passed on now and
// then, some sires only known to be one of two.
func bigBook(n int) *pedigree.Book {
	r := rand.New(rand.NewPCG(7, 11))
	book := &pedigree.Book{Name: "big", Lines: []*pedigree.Line{{Name: "long", Species: "Danio rerio"}}}
	day := func(year int) pedigree.Date {
		return pedigree.Date((2016+year)*10000 + (1+r.IntN(12))*100 + 1 + r.IntN(28))
	}
	add := func(s *pedigree.Stock) *pedigree.Stock {
		s.ID, s.Line = fmt.Sprintf("R%d", len(book.Stock)+1), "long"
		book.Stock = append(book.Stock, s)
		return s
	}
	families := max(2, n/100)
	males, females := make([][]*pedigree.Stock, families), make([][]*pedigree.Stock, families)
	for f := range families {
		males[f] = append(males[f], add(&pedigree.Stock{Sex: pedigree.Male, Wild: &pedigree.Wild{Date: 20160101}, Died: 20180601}))
		females[f] = append(females[f], add(&pedigree.Stock{Sex: pedigree.Female, Wild: &pedigree.Wild{Date: 20160101}, Died: 20180601}))
	}
	for year := 1; year <= 10; year++ {
		for f := range families {
			for range 3 {
				from := f
				if r.IntN(5) == 0 {
					from = (f + 1) % families
				}
				sires := males[from]
				spawn := &pedigree.Spawn{ID: fmt.Sprintf("S%d", len(book.Spawns)+1), Line: "long", Date: day(year)}
				for _, s := range sires[max(0, len(sires)-1-r.IntN(2)):] {
					spawn.Sire.Candidates = append(spawn.Sire.Candidates, pedigree.Candidate{ID: s.ID, Odds: 1})
				}
				spawn.Dam.Candidates = []pedigree.Candidate{{ID: females[f][len(females[f])-1].ID, Odds: 1}}
				book.Spawns = append(book.Spawns, spawn)
				lot := add(&pedigree.Stock{Lot: true, Count: pedigree.Count{Unsexed: 6 + r.IntN(30)}, Died: spawn.Date.AddMonths(18),
					FromSpawns: []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}})
				for i, sex := range sexes {
					pick := add(&pedigree.Stock{Sex: sex, Picked: lot.ID, Date: spawn.Date.AddMonths(3), Died: spawn.Date.AddMonths(26)})
					into := [2][][]*pedigree.Stock{males, females}[i]
					into[f] = append(into[f], pick)
				}
			}
		}
	}
	book.Arrange()
	return book
}
