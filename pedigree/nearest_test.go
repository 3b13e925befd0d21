package pedigree

import "testing"

// TestNearest: the distances are counted by hand (Damerau 1964; Levenshtein
// 1966). Of equals the one with as many letters goes first: a slip of one key
// is commoner than a letter left out (common practice, no source).
func TestNearest(t *testing.T) {
	for _, c := range []struct {
		word       string
		candidates []string
		want       string
	}{
		{"SB-W1c", []string{"SB-W1", "SB-W1a", "SB-W1b"}, "SB-W1a"},
		{"SB-W1c", []string{"SB-W1a", "SB-W1"}, "SB-W1a"},
		{"SB-W1c", []string{"SB-W2a", "SB-W1"}, "SB-W1"}, // 2 letters against 1
		{"SB-W12", []string{"SB-W", "SB-W21"}, "SB-W21"}, // two that changed places
		{"spawn", []string{"stock", "spawns", "tanks"}, "spawns"},
		{"dat", []string{"date", "da", "dam"}, "dam"},
		{"Tank", []string{"tanks", "tank"}, "tank"},
		{"nothing like it", []string{"stock", "spawns"}, ""},
		{"x", nil, ""},
	} {
		if got := Nearest(c.word, c.candidates); got != c.want {
			t.Errorf("%s among %v: %q, want %q", c.word, c.candidates, got, c.want)
		}
	}
}
