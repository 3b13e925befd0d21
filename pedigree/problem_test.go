package pedigree

import "testing"

func TestWhereAt(t *testing.T) {
	w := Where{Position{"f", 1, 1, 1}, []Key{{"sire", Position{"f", 2, 1, 1}}, {"changes[0]", Position{"f", 3, 1, 1}}, {"sire[1]", Position{"f", 9, 9, 9}}, {"sire[1]", Position{"f", 2, 9, 1}}}}
	w.SortKeys()
	for path, want := range map[string]int{"sire": 1, "sire[1]": 9, "sire[0]": 1, "sire.AS-M1": 1, "sire[1].x": 9} {
		if got := w.At(path); got.Line != 2 || got.Column != want {
			t.Errorf("%s is at %+v", path, got)
		}
	}
	if got := w.At("changes[0].males"); got.Line != 3 {
		t.Errorf("changes[0].males is at %+v", got)
	}
	if got := w.At("dam[0]"); got != w.Position {
		t.Errorf("an unknown key is at %+v", got)
	}
}

func TestSortProblems(t *testing.T) {
	at := func(file string, line, column int) Problem {
		return Problem{Position: Position{file, line, column, 1}, Rule: "r", Message: "m"}
	}
	sorted := SortProblems([]Problem{at("b", 1, 1), at("a", 2, 1), at("a", 1, 3), at("b", 1, 1), at("a", 1, 2)})
	if len(sorted) != 4 || sorted[0].Column != 2 || sorted[1].Column != 3 || sorted[2].Line != 2 || sorted[3].File != "b" {
		t.Errorf("sorted as %v", sorted)
	}
	if got := sorted[0].String(); got != "a:1:2: error: m" {
		t.Errorf("written as %s", got)
	}
}

func TestWords(t *testing.T) {
	for n, want := range map[Numbers]string{{}: "no fish", {1, 0, 0}: "1 male", {2, 1, 0}: "2 males and 1 female", {1, 2, 3}: "1 male, 2 females and 3 unsexed fish", {0, 2.5, 0}: "2.5 females"} {
		if got := censusText(n); got != want {
			t.Errorf("%v is written %q, want %q", n, got, want)
		}
	}
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"", "abc", 3}, {"R1", "R1", 0}, {"Teich", "Teiche", 1}} { // the first is the textbook example
		if got := editDistance(c.a, c.b, 99); got != c.want {
			t.Errorf("from %s to %s are %d changes, want %d", c.a, c.b, got, c.want)
		}
	}
}
