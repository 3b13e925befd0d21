package records

import "testing"

// Letters that Unicode Technical Standard #39 (confusables.txt 13.0.0, seen)
// calls confusable, and such as it does not.
func TestSkeleton(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		alike bool
	}{
		{"раураl", "paypaI", true}, // Cyrillic but for the last letter
		{"ΑΒ-1", "АВ-l", true},
		{"rnorning", "morning", true},
		{"Ю2", "102", true},
		{"A\u030a3", "\u00c53", true}, // composed and not
		{"AS-F1", "AS-F7", false},
		{"AS-F1", "as-f1", false},
		{"Ж1", "X1", false},
		{"B8", "8B", false},
	} {
		x, _ := skeleton(c.a)
		y, _ := skeleton(c.b)
		if (x == y) != c.alike {
			t.Errorf("%q and %q have the skeletons %q and %q", c.a, c.b, x, y)
		}
	}
}

// The skeleton of a skeleton is itself (UTS #39, section 4), and what is told of
// an id without being read letter by letter is so.
func TestSkeletonTwice(t *testing.T) {
	for c := range lookAlikes {
		once, other := skeleton(string(c))
		if twice, _ := skeleton(once); twice != once {
			t.Errorf("%q has the skeleton %q, and that %q", c, once, twice)
		}
		if !other {
			t.Errorf("%q is passed over", c)
		}
	}
}
