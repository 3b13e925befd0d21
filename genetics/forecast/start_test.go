package forecast

import (
	"math"
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

// demo is the demo book on a day, with every fish left free to breed.
func demo(t testing.TB) *genetics.State {
	t.Helper()
	book, _, err := records.Read("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range book.Stock {
		s.Retired, s.Lent = 0, nil
	}
	return stateOf(t, book)
}

func stateOf(t testing.TB, book *pedigree.Book) *genetics.State {
	t.Helper()
	book.Arrange()
	model, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	return model.On(20261124)
}

func startOf(t testing.TB, state *genetics.State, line string) *Start {
	t.Helper()
	start, err := From(state, line)
	if err != nil {
		t.Fatal(err)
	}
	return start
}

// Generation 0 is the line as the model reports it: lots, merged lots and fish
// never sexed included.
func TestTodayIsTheLine(t *testing.T) {
	state := demo(t)
	for _, line := range state.Model().Book().Lines {
		report, _ := state.Line(line.Name)
		start := startOf(t, state, line.Name)
		today := play(t, start, usual(Random)).Generations[0]
		if got := start.Numbers().Total(); got != report.Living {
			t.Errorf("%s: %g fish, want %g", line.Name, got, report.Living)
		}
		for _, test := range []struct {
			what      string
			got, want float64
		}{
			{"gene diversity", today.GeneDiversity.Mean, report.GeneDiversity},
			{"inbreeding", today.Inbreeding.Mean, report.MeanInbreeding},
		} {
			if math.Abs(test.got-test.want) > 1e-9 {
				t.Errorf("%s: %s %.12f, want %.12f", line.Name, test.what, test.got, test.want)
			}
		}
		if got, want := len(today.FounderShare), report.Founders; got != want {
			t.Errorf("%s: %d founders, want %d", line.Name, got, want)
		}
		for i, share := range report.FounderShare {
			if got := today.FounderShare[i]; got.ID != share.ID || math.Abs(got.Share-share.Share) > 1e-9 {
				t.Errorf("%s: founder %v, want %v", line.Name, got, share)
			}
		}
	}
}

// usual are the options that a keeper gets who asks for nothing.
func usual(scheme Scheme) Options {
	return Options{Scheme: scheme, Groups: 3, Pairs: 4, Keep: 40, Males: 0.5, Every: 5, Generations: 25, Replicates: 40, Seed: 1}
}

// Young of the only pair are as inbred as the book's own spawn of it would be.
func TestFirstYoung(t *testing.T) {
	wild := &pedigree.Wild{}
	spawn := func(id string, sire, dam string) *pedigree.Spawn {
		side := func(id string) pedigree.Side {
			return pedigree.Side{Candidates: []pedigree.Candidate{{ID: id, Odds: 1}}}
		}
		return &pedigree.Spawn{ID: id, Line: "a", Date: 20200101, Sire: side(sire), Dam: side(dam)}
	}
	from := func(id string) []pedigree.FromSpawn { return []pedigree.FromSpawn{{Spawn: id, Share: 1}} }
	book := &pedigree.Book{
		Lines: []*pedigree.Line{{Name: "a"}},
		Stock: []*pedigree.Stock{
			{ID: "M", Line: "a", Sex: pedigree.Male, Wild: wild, Died: 20210101},
			{ID: "F", Line: "a", Lot: true, Count: pedigree.Count{Females: 3}, Wild: wild, Died: 20210101},
			{ID: "Son", Line: "a", Sex: pedigree.Male, FromSpawns: from("S")},
			{ID: "Daughters", Line: "a", Lot: true, Count: pedigree.Count{Females: 2}, FromSpawns: from("T")},
			{ID: "Old", Line: "a", Sex: pedigree.Male, Wild: wild, Retired: 20220101},
			{ID: "Away", Line: "a", Sex: pedigree.Male, Wild: wild, Lent: []pedigree.Loan{{Date: 20220101}}},
		},
		Spawns: []*pedigree.Spawn{spawn("S", "M", "F"), spawn("T", "M", "F")},
	}
	state := stateOf(t, book)
	start := startOf(t, state, "a")
	o := usual(Random)
	o.Pairs, o.Generations = 1, 1
	r := play(t, start, o)
	want, _ := state.Kinship("Son", "Daughters")
	if math.Abs(want-(1./8+1./24)) > 1e-12 { // half-sibs, and full sibs by one dam in three
		t.Errorf("kinship %g", want)
	}
	exactly(t, r, 0, want)
	if len(start.LeftOut) != 2 || start.LeftOut[0] != (LeftOut{"Away", "lent out"}) || start.LeftOut[1] != (LeftOut{"Old", "retired"}) {
		t.Errorf("left out: %v", start.LeftOut)
	}
}
