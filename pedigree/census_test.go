package pedigree

import (
	"fmt"
	"math"
	"testing"
)

// stateLine writes a state: census, then males and females.
func stateLine(s LotState) string {
	return fmt.Sprintf("%g/%g/%g %g+%g", s.Stated.Males, s.Stated.Females, s.Stated.Unsexed, s.Males, s.Females)
}

// TestLotHistory: who was in a lot between its events. A census
// on a date is the last one stated, less what left since; sexes told later hold
// for the fish that were not told before, in the same shares. The numbers are
// worked out by hand (derived; common practice, no source).
func TestLotHistory(t *testing.T) {
	const d1, d2, d3 = "2022-01-01", "2022-02-01", "2022-03-01"
	for _, c := range []struct {
		name  string
		stock []any
		want  []string
	}{
		{"nothing happened", []any{lot("L", 2, 3, 2)}, []string{"2/3/2 3+4"}},
		{"sexes told later are used earlier", []any{lot("L", 0, 0, 6, census(d1, 4, 2, 0))}, []string{"0/0/6 4+2", "4/2/0 4+2"}},
		{"one died before they were told", []any{lot("L", 0, 0, 6, census(d1, 4, 1, 0))}, []string{"0/0/6 4.5+1.5", "4/1/0 4+1"}},
		{"known males die, the unsexed stay half and half", []any{lot("L", 4, 0, 4, census(d1, 2, 0, 4))}, []string{"4/0/4 6+2", "2/0/4 4+2"}},
		{"a picked male was one before", []any{lot("L", 0, 0, 4), fish("A", Male, picked("L", d1))}, []string{"0/0/4 2.5+1.5", "0/0/3 1.5+1.5"}},
		{"a fish picked and never sexed", []any{lot("L", 0, 0, 4), fish("A", Unsexed, picked("L", d1))}, []string{"0/0/4 2+2", "0/0/3 1.5+1.5"}},
		{"a sexed fish is taken from its sex first", []any{lot("L", 1, 0, 3), fish("A", Male, picked("L", d1)), fish("B", Male, picked("L", d2))},
			[]string{"1/0/3 3+1", "0/0/3 2+1", "0/0/2 1+1"}},
		{"the sexes of a sublot told later", []any{lot("L", 0, 0, 6), lot("M", 0, 0, 2, picked("L", d1), census(d2, 2, 0, 0))},
			[]string{"0/0/6 4+2", "0/0/4 2+2"}},
		{"a sublot of a sublot", []any{lot("L", 0, 0, 6), lot("M", 0, 0, 3, picked("L", d1)), lot("N", 0, 0, 2, picked("M", d2), census(d3, 0, 2, 0))},
			[]string{"0/0/6 2+4", "0/0/3 1.5+1.5"}},
		{"a whole lot is moved by a bare number", []any{lot("L", 1, 2, 0), lot("M", 1, 2, 0, mergedOf(d1, whole("L", 3)))}, []string{"1/2/0 1+2", "0/0/0 0+0"}},
		{"the rest is moved on the day of a pick", []any{lot("L", 1, 2, 0), fish("A", Female, picked("L", d1)), lot("M", 1, 1, 0, mergedOf(d1, whole("L", 2)))},
			[]string{"1/2/0 1+2", "0/0/0 0+0"}},
		{"part of an unsexed lot is moved", []any{lot("L", 0, 0, 5), lot("M", 0, 0, 2, mergedOf(d1, whole("L", 2)))}, []string{"0/0/5 2.5+2.5", "0/0/3 1.5+1.5"}},
		{"one sold, the rest sold on the same day", []any{lot("L", 2, 2, 0, soldCount(d1, 1, 0, 0), soldOn(d1))}, []string{"2/2/0 2+2", "0/0/0 0+0"}},
		{"sold, then all died", []any{lot("L", 2, 2, 0, soldCount(d1, 1, 1, 0), died(d2))}, []string{"2/2/0 2+2", "1/1/0 1+1", "0/0/0 0+0"}},
		{"an undated pick is out before all", []any{lot("L", 2, 2, 0), fish("A", Male, picked("L", ""))}, []string{"2/2/0 2+2", "1/2/0 1+2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := bookOf(c.stock...).LotHistory("L")
			if len(h.States) != len(c.want) {
				t.Fatalf("%d states, want %d", len(h.States), len(c.want))
			}
			for i, want := range c.want {
				if got := stateLine(h.States[i]); got != want {
					t.Errorf("state %d: %s, want %s", i, got, want)
				}
			}
			for _, e := range h.Events {
				if e.Over != 0 {
					t.Errorf("%g too many left %s", e.Over, e.Moment.Date)
				}
			}
		})
	}
}

// TestWithinOneDay: picks and moves, then the census, then spawns; what was
// sold or died counts from the next day.
func TestWithinOneDay(t *testing.T) {
	const on = "2022-05-04"
	b := bookOf(lot("L", 4, 4, 0, soldCount(on, 0, 1, 0), census(on, 3, 2, 0)), fish("A", Male, picked("L", on)))
	h := b.LotHistory("L")
	for date, want := range map[string]string{"2022-05-03": "4/4/0 4+4", on: "3/2/0 3+2", "2022-05-05": "3/1/0 3+1", "2022": "4/4/0 4+4", "2022-05": "4/4/0 4+4"} {
		if got := stateLine(h.At(day(date))); got != want {
			t.Errorf("%s: %s, want %s", date, got, want)
		}
	}
	if got := stateLine(h.At(0)); got != "4/4/0 4+4" {
		t.Errorf("before every dated event: %s", got)
	}
	if got := h.Events[0].Left[0]; got.Kind != PickedFish || got.ID != "A" || got.Males != 1 || got.Females != 0 {
		t.Errorf("the first to leave is %+v", got)
	}
}

// TestNeverSexed: a fish picked while unsexed is of each sex by the shares that
// its lot had just before (derived).
func TestNeverSexed(t *testing.T) {
	b := bookOf(lot("L", 0, 0, 6, census("2022-02-01", 3, 1, 1)), fish("A", Unsexed, picked("L", "2022-01-01")))
	left := b.LotHistory("L").Events[0].Left[0]
	if math.Abs(left.Males-2./3) > 1e-15 || math.Abs(left.Females-1./3) > 1e-15 {
		t.Errorf("%g of a male and %g of a female, want 2/3 and 1/3", left.Males, left.Females)
	}
}

func TestMoved(t *testing.T) {
	b := bookOf(lot("L", 3, 2, 0), fish("A", Female), fish("B", Unsexed), lot("M", 2, 4, 0, mergedOf("2022-01-01", whole("A", 1), whole("B", 1), whole("L", 5))))
	for id, want := range map[string][2]float64{"L": {3, 2}, "A": {0, 1}, "B": {0.5, 0.5}, "nobody": {0, 0}} {
		if m, f := b.Moved(id, "M"); m != want[0] || f != want[1] {
			t.Errorf("%s gave %g males and %g females, want %v", id, m, f, want)
		}
	}
}
