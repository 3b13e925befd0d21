package pedigree

import "testing"

// TestBegins: as stated, else when caught, bought, born or spawned (common practice,
// no source).
func TestBegins(t *testing.T) {
	caught := fish("A", Male, func(s *Stock) { s.Wild.Date = day("2022-01-02") })
	b := bookOf(caught, fish("B", Male, begins("2022-02-03")), fish("C", Male, bredFrom("S", "T")), fish("D", Male, bredFrom("S"), born("2022-05-05")),
		lot("L", 2, 2, 0), fish("E", Male, picked("L", "")), fish("F", Male, bought(func(b *Bought) { b.Date = day("2021") })),
		litter("S", "2022-05-04"), litter("T", "2022-06-04"))
	for id, want := range map[string]Date{"A": day("2022-01-02"), "B": day("2022-02-03"), "C": day("2022-06-04"), "D": day("2022-05-05"), "E": 0, "F": day("2021")} {
		if got := b.Begins(b.StockByID(id)); got != want {
			t.Errorf("%s begins %s, want %s", id, got, want)
		}
	}
}

// TestBornOn: a birth is followed back through lots, to the oldest fish.
func TestBornOn(t *testing.T) {
	b := bookOf(litter("S", "2022-05-04"), litter("T", "2022-06-04"), litter("U", ""), lot("L", 0, 0, 5, bredFrom("S", "T")), fish("A", Male, picked("L", "")),
		fish("B", Male, born("2021-01-01")), fish("W", Male), lot("M", 3, 0, 0, mergedOf("2022-09-01", whole("A", 1), whole("B", 1))),
		lot("N", 2, 0, 0, mergedOf("2022-10-01", whole("M", 2), whole("W", 1))), fish("C", Male, bredFrom("U", "S")), lot("X", 0, 0, 2, picked("X", "")))
	for id, want := range map[string]Date{"L": day("2022-05-04"), "A": day("2022-05-04"), "M": day("2021-01-01"), "N": 0, "C": 0, "X": 0, "W": 0} {
		if got := b.BornOn(b.StockByID(id)); got != want {
			t.Errorf("%s was born %s, want %s", id, got, want)
		}
	}
}

// TestHeads: who is living on a day; deaths and sales count from the next day,
// a merge from the same.
func TestHeads(t *testing.T) {
	b := bookOf(
		fish("A", Male, died("2022-05-04")), fish("B", Female, soldOn("2022-05-04")), fish("C", Unsexed, lentOn("2022-01-01", "")),
		fish("D", Male, func(s *Stock) { s.Retired = day("2022-01-01") }), fish("E", Male), fish("F", Male, begins("2022-05-04")),
		lot("L", 2, 2, 1, died("2022-05-04")), lot("M", 3, 0, 0, mergedOf("2022-05-04", whole("E", 1), part("K", 2, 0, 0))), lot("K", 4, 0, 0))
	for _, c := range []struct {
		on   string
		want map[string]Numbers
	}{
		{"2022-05-03", map[string]Numbers{"A": {Males: 1}, "B": {Females: 1}, "C": {Unsexed: 1}, "D": {Males: 1}, "E": {Males: 1}, "F": {}, "L": {2, 2, 1}, "M": {}, "K": {Males: 4}}},
		{"2022-05-04", map[string]Numbers{"A": {Males: 1}, "B": {Females: 1}, "C": {Unsexed: 1}, "D": {Males: 1}, "E": {}, "F": {Males: 1}, "L": {2, 2, 1}, "M": {Males: 3}, "K": {Males: 2}}},
		{"2022-05-05", map[string]Numbers{"A": {}, "B": {}, "C": {Unsexed: 1}, "D": {Males: 1}, "E": {}, "F": {Males: 1}, "L": {}, "M": {Males: 3}, "K": {Males: 2}}},
	} {
		for id, want := range c.want {
			if got := b.Heads(b.StockByID(id), day(c.on)); got != want {
				t.Errorf("%s on %s: %+v, want %+v", id, c.on, got, want)
			}
		}
	}
}

func TestLentOut(t *testing.T) {
	s := fish("A", Male, lentOn("2022-01-05", "2022-02-05"), lentOn("2022-03-05", ""))
	for date, want := range map[string]bool{"2022-01-05": false, "2022-01-06": true, "2022-02-04": true, "2022-02-05": false, "2022-03-05": false, "2029-01-01": true} {
		if got := s.LentOut(day(date)); got != want {
			t.Errorf("lent out on %s: %v", date, got)
		}
	}
}

// TestMature: from the day on which the age is reached; what is not known
// counts as mature, so that no fish is left out for want of a date (common
// practice, no source).
func TestMature(t *testing.T) {
	b := bookOf(mature(4, 6.5), fish("A", Male, born("2022-01-31")), fish("B", Male), fish("C", Male, born("2022")),
		fish("D", Male, born("2022-01-31"), func(s *Stock) { s.Line = "none" }))
	for _, c := range []struct {
		id   string
		sex  Sex
		on   string
		want bool
	}{
		{"A", Male, "2022-05-30", false}, {"A", Male, "2022-05-31", true}, {"A", Female, "2022-08-14", false}, {"A", Female, "2022-08-15", true},
		{"A", Male, "2022-06", true}, {"B", Male, "2022-01-01", true}, {"C", Male, "2022-04-30", false}, {"C", Male, "2022-05-01", true}, {"D", Male, "2022-01-31", true},
	} {
		if got := b.Mature(b.StockByID(c.id), c.sex, day(c.on)); got != c.want {
			t.Errorf("%s mature as %s on %s: %v", c.id, c.sex, c.on, got)
		}
	}
	if !b.Mature(b.StockByID("A"), Male, 0) {
		t.Error("on an unknown day a fish counts as mature")
	}
}

// TestPlaces: species and locality go with descent, unless stated otherwise.
func TestPlaces(t *testing.T) {
	b := bookOf(fish("A", Male, locality("Blue Hole")), fish("B", Female, locality("Blue Hole")), fish("C", Female), pairing("S", "2022", "A", "B"), pairing("T", "2022", "A", "C"),
		repeating("U", "2023", "S"), lot("F", 0, 0, 4, bredFrom("S", "U")), fish("G", Male, picked("F", "")), lot("H", 0, 0, 4, bredFrom("S", "T")),
		lot("M", 2, 2, 0, mergedOf("2023", whole("A", 1), whole("F", 3))), fish("I", Male, bredFrom("S"), locality("Third Pool")), lot("X", 0, 0, 2, picked("X", "")),
		pairing("V", "2022", "A", ""), fish("J", Male, bredFrom("V")))
	for id, want := range map[string]string{"A": "Blue Hole", "C": "Amber Spring", "F": "Blue Hole", "G": "Blue Hole", "H": "Amber Spring", "M": "Blue Hole", "I": "Third Pool", "X": "Amber Spring", "J": "Blue Hole"} {
		if got := b.LocalityOf(b.StockByID(id)); got != want {
			t.Errorf("%s is of %q, want %q", id, got, want)
		}
		if got := b.SpeciesOf(b.StockByID(id)); got != "Xenotoca variata" {
			t.Errorf("%s is %q", id, got)
		}
	}
}
