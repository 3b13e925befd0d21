package pedigree

import (
	"slices"
	"testing"
)

// TestToldOnce: one mistake gives one problem. Common practice, no source.
func TestToldOnce(t *testing.T) {
	for _, c := range []struct {
		name    string
		records []any
		want    []string
	}{
		{"one fish as both parents", []any{fish("A", Male), pairing("S", "2022-05-04", "A", "A")}, []string{"parents-same-fish"}},
		{"a female sire", withSire(func(s *Stock) { s.Sex = Female }), []string{"parent-of-wrong-sex"}},
		{"more kept than born, told where it is read", []any{litter("S", "2022-05-04", bornAlive(20), kept(22)), lot("A", 0, 0, 22, bredFrom("S"))}, nil},
		{"more stock than the greatest count", []any{litter("S", "2022-05-04", bornAlive(20), kept(22)), lot("A", 0, 0, 23, bredFrom("S"))},
			[]string{"fry-more-than-counted"}},
		{"a sire gone before a litter", with(storing(3), withSire(died("2022-04-01"))), []string{"sire-gone-before"}},
		{"picked out of a lot that lacks its numbers", []any{fish("A", Male, census("2022-05-04", 2, 2, 0)), fish("B", Male, picked("A", "2022-06-01"))}, nil},
		{"a lot whose numbers could not be read", []any{lot("A", 0, 0, 0), fish("B", Male, picked("A", "2022-03-01")), lot("D", 1, 1, 0),
			grouping("S", "2022-05-04", "A"), pairing("T", "2022-05-04", "A", "A", func(s *Spawn) { s.Sires.N = 3 }), repeating("R", "2022-06-04", "S"),
			lot("M", 1, 1, 0, mergedOf("2022-04-01", part("A", 1, 0, 0), part("D", 0, 1, 0)))}, nil},
		{"picked out of a fish", []any{fish("A", Male), fish("B", Male, picked("A", "2022-06-01"))}, []string{"picked-from-no-lot"}},
		{"a plan past, its fish gone since", []any{fish("A", Male, died("2024-05-25")), planned("S", "2024-05-20", "A", "")}, []string{"planned-day-past"}},
		{"fry of a plan that is past", []any{planned("S", "2024-05-20", "", ""), fish("A", Male, bredFrom("S"))}, []string{"fry-of-planned"}},
	} {
		var got []string
		for _, p := range Check(bookOf(c.records...), day("2024-06-01")) {
			got = append(got, p.Rule)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// TestUnreadableRelated: a word under `related` that cannot be read is not also
// told as missing.
func TestUnreadableRelated(t *testing.T) {
	s := lot("A", 2, 2, 0, bought(func(b *Bought) { b.RelatedStated = true }))
	b := bookOf(s)
	s.Bought.RelatedStated = false // as left by a word that is none
	if problems := Check(b, 0); len(problems) > 0 {
		t.Error(problems)
	}
}
