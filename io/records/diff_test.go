package records

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The hunks of Diff make the second text out of the first, and are no more lines
// than one change after the other would be.
func TestDiff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := func(label string) []byte {
			list := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "d"}), 1, 9).Draw(t, label)
			return []byte(strings.Join(list, "\n") + "\n")
		}
		a, b := lines("before"), lines("after")
		hunks := Diff(a, b)
		hunksHold(t, Changed{Old: a, New: b, Hunks: hunks})
		for _, h := range hunks {
			if len(h.Old)+len(h.New) == 0 {
				t.Fatalf("an empty hunk: %v", hunks)
			}
		}
	})
	if got := Diff([]byte("a\nb\nc\n"), []byte("a\nx\nc\n")); len(got) != 1 || got[0].OldFirst != 2 || got[0].Old[0] != "b" || got[0].New[0] != "x" {
		t.Errorf("got %v", got)
	}
}
