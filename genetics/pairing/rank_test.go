package pairing_test

import (
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/genetics/pairing"
	"roebook/io/records"
	"roebook/pedigree"
	"roebook/testdata"
)

const today pedigree.Date = 20261124

func demo(t testing.TB) *pedigree.Book {
	t.Helper()
	var files []records.File
	err := fs.WalkDir(testdata.Demo, "demo", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := testdata.Demo.ReadFile(path)
		files = append(files, records.File{Path: strings.TrimPrefix(path, "demo/"), Text: text})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	book, problems := records.Parse(files)
	for _, p := range problems {
		if p.Severity == pedigree.Error {
			t.Fatal(p)
		}
	}
	return book
}

func compile(t testing.TB, book *pedigree.Book) *genetics.State {
	t.Helper()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	return m.On(today)
}

// What the ranking foretells of a pair must be what the whole model says of the
// book with that spawn and its fry written into it.
func TestRankingForetellsTheBook(t *testing.T) {
	book := demo(t)
	for _, line := range book.Lines {
		for _, keep := range []int{1, 10, 37} {
			ranking := pairing.Rank(compile(t, book), pairing.Options{Line: line.Name, Keep: keep})
			if len(ranking.Pairs) < 10 {
				t.Fatalf("%s: only %d pairs", line.Name, len(ranking.Pairs))
			}
			for i, pair := range ranking.Pairs {
				if i > 0 && pair.GeneDiversity > ranking.Pairs[i-1].GeneDiversity {
					t.Errorf("%s: pair %d stands below a worse one", line.Name, i)
				}
				if i%5 == 0 {
					checkPair(t, line.Name, pair, keep)
				}
			}
		}
	}
}

func checkPair(t *testing.T, line string, pair pairing.Pair, keep int) {
	t.Helper()
	book := demo(t)
	one := func(id string) pedigree.Side {
		return pedigree.Side{Candidates: []pedigree.Candidate{{ID: id, Odds: 1}}}
	}
	book.Spawns = append(book.Spawns, &pedigree.Spawn{ID: "new", Line: line, Date: today, Sire: one(pair.Sire), Dam: one(pair.Dam)})
	book.Stock = append(book.Stock, &pedigree.Stock{
		ID: "fry", Line: line, Lot: true, Count: pedigree.Count{Unsexed: keep},
		FromSpawns: []pedigree.FromSpawn{{Spawn: "new", Share: 1}},
	})
	book.Arrange()
	state := compile(t, book)
	after, _ := state.Line(line)
	if math.Abs(after.GeneDiversity-pair.GeneDiversity) > 1e-12 {
		t.Errorf("%s × %s, %d kept: foretold %.15f, the book says %.15f", pair.Sire, pair.Dam, keep, pair.GeneDiversity, after.GeneDiversity)
	}
	if f, _ := state.Inbreeding("fry"); math.Abs(f-pair.Inbreeding) > 1e-12 {
		t.Errorf("%s × %s: inbreeding foretold %.15f, the book says %.15f", pair.Sire, pair.Dam, pair.Inbreeding, f)
	}
	if g, _ := state.Generation("fry"); g.Label() != pair.Generation().Label() {
		t.Errorf("%s × %s: generation foretold %s, the book says %s", pair.Sire, pair.Dam, pair.Generation().Label(), g.Label())
	}
	for _, want := range state.Founders("fry") {
		found := 0.0
		for _, share := range pair.Founders() {
			if share.ID == want.ID {
				found = share.Share
			}
		}
		if math.Abs(found-want.Share) > 1e-12 {
			t.Errorf("%s × %s: share of %s foretold %v, the book says %v", pair.Sire, pair.Dam, want.ID, found, want.Share)
		}
	}
}

// At the limit is allowed; above it is flagged, not dropped.
func TestLimitIsKeptAtExactlyItsValue(t *testing.T) {
	state := compile(t, demo(t))
	all := pairing.Rank(state, pairing.Options{Line: "candlewick", Keep: 10})
	at := all.Pairs[len(all.Pairs)/2].Inbreeding
	ranking := pairing.Rank(state, pairing.Options{Line: "candlewick", Keep: 10, MaxInbreeding: &at})
	if len(ranking.Pairs) != len(all.Pairs) {
		t.Errorf("%d pairs with a limit, %d without", len(ranking.Pairs), len(all.Pairs))
	}
	over := 0
	for _, pair := range ranking.Pairs {
		if want := pair.Inbreeding > at+1e-12; pair.Has(pairing.OverLimit) != want {
			t.Errorf("%s × %s at %v with limit %v: flagged %v", pair.Sire, pair.Dam, pair.Inbreeding, at, !want)
		} else if want {
			over++
		}
	}
	if over == 0 {
		t.Error("no pair is over the limit: the test says nothing")
	}
}

// Dead, sold, lent, retired and too young fish are not paired.
func TestOnlyFishThatCanBreedArePaired(t *testing.T) {
	book := demo(t)
	lent := book.StockByID("CW-G1")
	lent.Lent = []pedigree.Loan{{Date: 20261001, To: "a friend"}}
	book.StockByID("CW-H1").Born = 20261101
	book.Arrange()
	ranking := pairing.Rank(compile(t, book), pairing.Options{Line: "candlewick", Keep: 10})
	leftOut := fmt.Sprint(ranking.LeftOut)
	for _, want := range []string{"{CW-G1 lent out}", "{CW-G3 retired}", "{CW-H1 too young}"} {
		if !strings.Contains(leftOut, want) {
			t.Errorf("%s is not among the fish left out: %s", want, leftOut)
		}
	}
	for _, pair := range ranking.Pairs {
		for id, sex := range map[string]pedigree.Sex{pair.Sire: pedigree.Male, pair.Dam: pedigree.Female} {
			s := book.StockByID(id)
			switch {
			case s.Line != "candlewick":
				t.Errorf("%s is of line %s", id, s.Line)
			case book.Heads(s, today).Total() == 0:
				t.Errorf("%s is not living", id)
			case id == "CW-G1" || id == "CW-H1":
				t.Errorf("%s is lent out, or too young", id)
			case s.Retired.Known() && s.Retired < today:
				t.Errorf("%s is retired", id)
			case !s.Lot && s.Sex != sex:
				t.Errorf("%s is %s", id, s.Sex)
			case !book.Mature(s, sex, today):
				t.Errorf("%s is too young", id)
			}
		}
	}
}

func BenchmarkRankDemo(b *testing.B) {
	state := compile(b, demo(b))
	for b.Loop() {
		pairing.Rank(state, pairing.Options{Line: "tessamora-ford", Keep: 10})
	}
}
