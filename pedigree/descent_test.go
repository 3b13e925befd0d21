package pedigree

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func smallFamily() *Book {
	return bookOf(lot("L", 2, 2, 0), fish("A", Male, picked("L", "2022-01-01")), fish("B", Female), pairing("S", "2022-05-04", "A", "B"),
		repeating("T", "2022-09-04", "S"), lot("F", 0, 0, 9, bredFrom("S", "T")), lot("M", 1, 0, 9, mergedOf("2023-01-01", whole("F", 9), whole("A", 1))),
		grouping("U", "2023-05-04", "M"), fish("Z", Male, bredFrom("U")), fish("Y", Male))
}

func TestDescentOrder(t *testing.T) {
	d := smallFamily().Descent()
	order, ok := d.Order()
	if !ok {
		t.Fatal("a loop is told where there is none")
	}
	var ids []string
	for _, n := range order {
		ids = append(ids, d.IDOf(n))
	}
	for _, pair := range []string{"L A", "A S", "B S", "S T", "S F", "T F", "F M", "A M", "M U", "U Z"} {
		parent, child, _ := strings.Cut(pair, " ")
		if slices.Index(ids, parent) > slices.Index(ids, child) {
			t.Errorf("%s comes after %s in %v", parent, child, ids)
		}
	}
	again, _ := d.Order()
	if !slices.Equal(order, again) || len(order) != 10 {
		t.Errorf("the order is %v, then %v", order, again)
	}
}

func TestDescendants(t *testing.T) {
	for from, want := range map[string]string{"A": "A F M S T U Z", "Y": "Y", "B": "B F M S T U Z", "F": "F M U Z", "nobody": ""} {
		var got []string
		for id := range smallFamily().Descent().Descendants([]string{from}) {
			got = append(got, id)
		}
		slices.Sort(got)
		if strings.Join(got, " ") != want {
			t.Errorf("of %s come %v, want %s", from, got, want)
		}
	}
}

// TestLoops: every loop, all its members and a shortest way round.
func TestLoops(t *testing.T) {
	b := bookOf(
		lot("A", 0, 0, 9, picked("A", "")),
		lot("B", 0, 0, 9, picked("D", "")), lot("C", 0, 0, 9, picked("B", "")), lot("D", 0, 0, 9, mergedOf("2022", whole("B", 9), whole("C", 9))),
		fish("E", Male, bredFrom("S")), pairing("S", "2022", "E", ""), fish("F", Male, bredFrom("S")))
	want := []Loop{
		{Members: []string{"A"}, Round: []string{"A", "A"}},
		{Members: []string{"B", "C", "D"}, Round: []string{"B", "D", "B"}},
		{Members: []string{"E", "S"}, Round: []string{"E", "S", "E"}},
	}
	if diff := cmp.Diff(want, b.Descent().Loops()); diff != "" {
		t.Error(diff)
	}
	if _, ok := b.Descent().Order(); ok {
		t.Error("no loop is told")
	}
	if loops := smallFamily().Descent().Loops(); loops != nil {
		t.Errorf("loops in a sound book: %v", loops)
	}
}

// TestGenerations: least, greatest and mean, and labels as keepers write them
// (F2, F2-F4, F2+; common practice, no source); the CITES reading of F1 and F2 is Resolution Conf. 10.16 (Rev.).
func TestGenerations(t *testing.T) {
	declared := func(least, most int, more bool) func(*Stock) {
		return bought(func(b *Bought) { b.Generation = &Declared{least, most, more} })
	}
	b := bookOf(
		fish("W", Male), fish("V", Female), pairing("S1", "2020", "W", "V"), fish("A", Male, bredFrom("S1")),
		fish("K", Female, declared(3, 3, false)), pairing("S2", "2021", "A", "K"), fish("B", Male, bredFrom("S2")),
		fish("N", Female, bought(nil)), pairing("S3", "2021", "A", "N"), pairing("S4", "2021", "A", ""), pairing("S5", "2021", "", ""),
		fish("Q", Female, declared(2, 4, true)), pairing("S6", "2021", "W", "Q"),
		pairing("S7", "2021", "", "V", func(s *Spawn) { s.ConceivedWild = true }), fish("C", Female, bredFrom("S7")), pairing("S8", "2022", "W", "C"),
		repeating("S9", "2022", "S2"), lot("L", 1, 3, 0, mergedOf("2023", whole("A", 1), part("F2", 0, 3, 0))), lot("F2", 0, 5, 0, bredFrom("S2")),
		grouping("S10", "2023-05", "L"), pairing("S11", "2022", "W A", "V"), lot("X", 0, 0, 30, shares(FromSpawn{"S1", 20}, FromSpawn{"S2", 10})),
		fish("P", Unsexed, picked("X", "")), fish("PL", Female, picked("L", "2024")))
	g := b.Generations()
	for id, want := range map[string]string{
		"S1": "F1", "S2": "F2-F4", "S3": "F2+", "S4": "F1-F2+", "S5": "F1+", "S6": "F1-F5+", "S7": "F0", "S8": "F1", "S9": "F2-F4", "S10": "F2-F5", "S11": "F1-F2",
	} {
		if got, ok := g.OfFry(id); !ok || got.Label() != want {
			t.Errorf("fry of %s are %s, want %s", id, got.Label(), want)
		}
	}
	for id, want := range map[string]string{"W": "F0", "K": "F3", "N": "F1+", "Q": "F2-F4+", "B": "F2-F4", "C": "F0", "L": "F1-F4", "X": "F1-F4", "P": "F1-F4", "PL": "F2-F4"} {
		if got, ok := g.Of(id, day("2024")); !ok || got.Label() != want {
			t.Errorf("%s is %s, want %s", id, got.Label(), want)
		}
	}
	for id, want := range map[string]float64{"S2": 3, "S6": 2.5, "S11": 1.25, "S10": 1 + (1+3.)/2} {
		if got, _ := g.OfFry(id); math.Abs(got.Mean-want) > 1e-12 {
			t.Errorf("fry of %s are %g on average, want %g", id, got.Mean, want)
		}
	}
	for id, want := range map[string]float64{"X": (20*1 + 10*3) / 30., "P": (20*1 + 10*3) / 30., "L": (1 + 2*3) / 3., "Q": 3} {
		if got, _ := g.Of(id, day("2024")); math.Abs(got.Mean-want) > 1e-12 {
			t.Errorf("%s is %g on average, want %g", id, got.Mean, want)
		}
	}
	if got := g.OfPair("A", "K"); got.Label() != "F2-F4" || !got.Declared {
		t.Errorf("A and K give %+v", got)
	}
	if _, ok := g.Of("nobody", 0); ok {
		t.Error("an unknown id has a generation")
	}
}

// TestContributors: all fish equally likely unless odds are stated; a repeat
// has the parents of the first, on the date of the first.
func TestContributors(t *testing.T) {
	b := bookOf(lot("L", 3, 1, 0, census("2022-06-01", 1, 1, 0)), fish("A", Male), fish("U", Unsexed), pairing("S", "2022-05-04", "L A", "U"),
		repeating("T", "2022-07-01", "S"), repeating("R", "2022-08-01", "T"), grouping("G", "2022-07-01", "L A U"), repeating("X", "2022", "Y"), repeating("Y", "2022", "X"),
		pairing("O", "2022-05-04", "L A", "", func(s *Spawn) { s.Sire.Odds, s.Sire.Candidates = true, []Candidate{{"L", 1}, {"A", 4}} }))
	for _, c := range []struct {
		spawn string
		sex   Sex
		want  map[string][2]float64 // fish and share
	}{
		{"S", Male, map[string][2]float64{"L": {3, 0.75}, "A": {1, 0.25}}},
		{"S", Female, map[string][2]float64{"U": {1, 1}}},
		{"T", Male, map[string][2]float64{"L": {3, 0.75}, "A": {1, 0.25}}},
		{"R", Male, map[string][2]float64{"L": {3, 0.75}, "A": {1, 0.25}}},
		{"G", Male, map[string][2]float64{"L": {1, 0.4}, "A": {1, 0.4}, "U": {0.5, 0.2}}},
		{"G", Female, map[string][2]float64{"L": {1, 1 / 1.5}, "U": {0.5, 0.5 / 1.5}}},
		{"O", Male, map[string][2]float64{"L": {3, 0.2}, "A": {1, 0.8}}},
		{"O", Female, map[string][2]float64{}}, {"X", Male, map[string][2]float64{}},
	} {
		got := make(map[string][2]float64)
		for _, contributor := range b.Contributors(b.SpawnByID(c.spawn), c.sex) {
			got[contributor.Stock.ID] = [2]float64{contributor.Fish, contributor.Share}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s of %s:\n%s", c.sex, c.spawn, diff)
		}
	}
}

// TestWithout: what was taken by records left out stays taken.
func TestWithout(t *testing.T) {
	b := bookOf(line(related(0.25, "A", "B", "C")), fish("A", Male), fish("B", Male), fish("C", Male), lot("L", 3, 3, 0), fish("P", Male, picked("L", "2022-01-01")),
		lot("M", 1, 2, 0, mergedOf("2022-02-01", whole("A", 1), part("L", 0, 2, 0))))
	rest := b.Without(map[string]bool{"P": true, "M": true, "B": true})
	if got := stateLine(rest.LotHistory("L").At(day("2022-03-01"))); got != "2/1/0 2+1" {
		t.Errorf("L holds %s without P and M, want 2/1/0 2+1", got)
	}
	if rest.Heads(rest.StockByID("A"), day("2022-03-01")).Total() != 0 || rest.Heads(rest.StockByID("A"), day("2022-01-31")).Total() != 1 {
		t.Error("A was put into M, and is there after it, or not before")
	}
	if got := rest.Lines[0].RelatedFounders[0].Of; !slices.Equal(got, []string{"A", "C"}) {
		t.Errorf("related founders %v are left", got)
	}
	if got := rest.Without(map[string]bool{"C": true}); len(got.Lines[0].RelatedFounders) != 0 || stateLine(got.LotHistory("L").At(day("2022-03-01"))) != "2/1/0 2+1" {
		t.Error("leaving out twice forgets what the first time kept")
	}
	if len(b.Lines[0].RelatedFounders[0].Of) != 3 || b.StockByID("P") == nil {
		t.Error("the book itself was changed")
	}
	if got := Tainted(b, []Problem{{Severity: Error, Records: []string{"A", "nobody"}}, {Severity: Warning, Records: []string{"C"}}}); len(got) != 3 || !got["M"] || !got["nobody"] {
		t.Errorf("A taints %v", got)
	}
}
