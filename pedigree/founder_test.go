package pedigree

import "testing"

// TestBoughtKinship: full siblings of unrelated parents have kinship 1/4, fish
// of a fully inbred strain 1 (Falconer & Mackay, Introduction to Quantitative
// Genetics, ch. 5; from memory). That unknown fish count as siblings is common
// practice, no source.
func TestBoughtKinship(t *testing.T) {
	for _, c := range []struct {
		bought Bought
		want   float64
	}{
		{Bought{}, 0.25},
		{Bought{Inbreeding: 0.5}, 0.25},
		{Bought{Inbreeding: 1}, 1},
		{Bought{RelatedStated: true}, 0},
		{Bought{Related: 0.125, RelatedStated: true}, 0.125},
		{Bought{Related: 0.5, RelatedStated: true, Inbreeding: 1}, 0.5},
		{Bought{Related: 0.9}, 0.25}, // not stated
	} {
		if got := c.bought.Kinship(); got != c.want {
			t.Errorf("%+v: %g, want %g", c.bought, got, c.want)
		}
	}
}
