package pedigree

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// Common practice, no source: what an error touches is what may be wrong then.
func TestTainted(t *testing.T) {
	b := bookOf(lot("L", 4, 4, 0), lot("K", 0, 0, 3, picked("L", "2021-01-01")), fish("P", Male, picked("K", "2021-02-01")),
		fish("Q", Male, picked("L", "2021-02-01")), lot("A", 2, 2, 0), fish("B", Male, picked("A", "2021-02-01")),
		lot("M", 3, 0, 0, mergedOf("2021-03-01", part("K", 2, 0, 0), whole("B", 1))), fish("N", Male, picked("M", "2021-04-01")),
		grouping("S", "2021-01-15", "L"), fish("Y", Male, bredFrom("S")), fish("W", Male))
	for _, c := range []struct {
		name, want string
		problem    Problem
	}{
		{"what takes nothing", "W", Problem{Records: []string{"W"}}},
		{"a spawn", "S Y", Problem{Records: []string{"S"}}},
		{"a pick from a sublot", "K L M N P Q S Y", Problem{Records: []string{"P"}}},
		{"a pick of which all but the tank is sound", "P", Problem{Records: []string{"P"}, KeepsSources: true}},
		{"a pick from a merged lot: its parts have lost their fish before", "M N", Problem{Records: []string{"N"}}},
		{"a merged lot", "B K L M N P Q S Y", Problem{Records: []string{"M"}}},
		{"a warning", "", Problem{Severity: Warning, Records: []string{"P"}}},
		{"an id that is no record's", "nobody", Problem{Records: []string{"nobody"}}},
	} {
		got := strings.Join(slices.Sorted(maps.Keys(Tainted(b, []Problem{c.problem}))), " ")
		if got != c.want {
			t.Errorf("%s touches %q, want %q", c.name, got, c.want)
		}
	}
	loop := bookOf(lot("L", 1, 1, 0, picked("K", "")), lot("K", 1, 1, 0, picked("L", "")))
	if got := Tainted(loop, []Problem{{Records: []string{"L"}}}); len(got) != 2 {
		t.Errorf("a loop touches %v", got)
	}
}

// Common practice, no source: where a record cannot have been taken from what it
// names, the lot that it was taken from has fewer fish than it seems.
func TestTaintedWithoutSource(t *testing.T) {
	for name, wrong := range map[string]*Stock{
		"a fish picked from itself":    fish("P", Male, picked("P", "2021-02-01")),
		"a lot picked from itself":     lot("P", 1, 0, 0, picked("P", "2021-02-01")),
		"a fish picked from a fish":    fish("P", Male, picked("W", "2021-02-01")),
		"a lot put together of itself": lot("P", 1, 0, 0, mergedOf("2021-02-01", part("P", 1, 0, 0))),
	} {
		b := bookOf(lot("L", 4, 4, 0), lot("K", 4, 4, 0), fish("W", Male), fish("V", Male), wrong)
		got := Tainted(b, Check(b, 0))
		if !got["L"] || !got["K"] || !got["P"] || got["V"] {
			t.Errorf("%s touches %v", name, got)
		}
	}
}

// Of two records with one id both may have taken fish.
func TestTaintedDoubleID(t *testing.T) {
	b := bookOf(lot("L", 4, 4, 0), lot("K", 4, 4, 0), fish("P", Male, picked("L", "2021-02-01")), fish("P", Male, picked("K", "2021-02-01")))
	if got := Tainted(b, []Problem{{Records: []string{"P"}}}); !got["L"] || !got["K"] {
		t.Errorf("P touches %v", got)
	}
}

// The sexes of a sublot told later count for the lot it was picked from, also
// when the sublot is left out.
func TestWithoutKeepsSexesTold(t *testing.T) {
	b := bookOf(lot("L", 0, 0, 8), lot("K", 0, 0, 3, picked("L", "2021-01-01"), census("2021-05-01", 3, 0, 0)))
	rest := b.Without(map[string]bool{"K": true})
	want := b.LotHistory("L").At(day("2020-06-01"))
	if got := rest.LotHistory("L").At(day("2020-06-01")); want.Males != 5.5 || got.Males != want.Males || got.Females != want.Females {
		t.Errorf("without K L had %g males and %g females, want %g and %g", got.Males, got.Females, want.Males, want.Females)
	}
	if got := rest.Without(nil).LotHistory("L").At(day("2020-06-01")); got.Males != want.Males {
		t.Errorf("leaving out twice: %g males, want %g", got.Males, want.Males)
	}
}
