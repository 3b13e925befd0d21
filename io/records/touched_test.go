package records_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"roebook/io/records"
	"roebook/pedigree"
)

const lakeText = `line: x
stock:
  L: {wild: {date: 2020-01-01}, males: 2, females: 2}
  W: {bought: {date: 2020-01-01}, sex: male}
  Y: {spawn: S, sex: male}
spawns:
  S: {date: 2020-06-01, group: L, born: 10}
`

func touchedBy(t *testing.T, x, y string) (tainted, lines string) {
	t.Helper()
	book, problems := records.Parse([]records.File{
		{Path: records.BookFile, Text: []byte("book: b\n")}, {Path: "a.yaml", Text: []byte(x)}, {Path: "b.yaml", Text: []byte(y)}})
	problems = append(problems, pedigree.Check(book, today)...)
	named := map[string]bool{}
	errors := 0
	for _, p := range problems {
		if p.Severity == pedigree.Error {
			errors++
		}
		for _, line := range p.Lines {
			if p.RecordsLost {
				line += " lost"
			}
			named[line] = true
		}
	}
	if errors == 0 {
		t.Errorf("no error in\n%s%s", x, y)
	}
	join := func(set map[string]bool) string { return strings.Join(slices.Sorted(maps.Keys(set)), " ") }
	return join(pedigree.Tainted(book, problems)), join(named)
}

// What an error in a record that takes fish from L touches. Common practice, no
// source: all that the wrong value may have changed.
func TestTouchedByRecords(t *testing.T) {
	const all = "L P S Y"
	for _, c := range []struct{ p, tainted, lines string }{
		{"P: {picked: L, date: 2021-13-01, males: 1, females: 1}", all, ""},
		{"P: {picked: L, date: 2021-02-01, males: 1, females: 1, zdate: 1}", all, ""},
		{`P: {picked: L, date: 2021-02-01, males: 1, females: ""}`, all, ""},
		{"P: {merged: {L: {males: 1, zfemales: 1}}, date: 2021-02-01, males: 1}", all, ""},
		{"P: {merged: {L: x}, date: 2021-02-01, males: 1}", all, ""},
		{"P: {merged: [L], date: 2021-02-01, males: 1}", all, ""},
		{"P: {picked: [L], date: 2021-02-01, males: 1}", all, ""},
		{"P: {picked: [], date: 2021-02-01, males: 1}", all, ""},
		{"P: {picked: , date: 2021-02-01, males: 1}", all, ""},
		{"P: {picked: &a L, date: 2021-02-01, males: 1}", all, ""},
		{"P: {pickd: L, date: 2021-02-01, males: 1}", all, ""},
		{"P: {pickd: , date: 2021-02-01, males: 1}", all, ""},
		{"P: {picked: LL, date: 2021-02-01, males: 1}", all, "y"},
		{"P: {picked: unheard, date: 2021-02-01, males: 1}", all, "y"},
		{"P: {picked: S, date: 2021-02-01, males: 1}", "L P S W Y", "y"},
		{"P: {spawn: L, males: 1}", all, ""},
		{"P: {merged: {L: {males: 1}, unheard: 1}, date: 2021-02-01, males: 2}", all, "y"},
		{"P: {picked: L, date: 2021-02-01, males: 3, females: 1}", all, ""},
		{"P: {picked: L, date: 2019-02-01, males: 1}", all, ""},
		{"P: {picked: L, date: 2021-02-01, males: 1, note: a b: c}", all, ""},
		{"P: {picked: L, date: 2021-02-01, males: 1\n  Z: {wild: {}}", all, "y lost"},
		{"P: L", all, ""},
		{"P: {picked: L, date: 2021-02-01, sex: male}\n  P: {wild: {}}", all, ""},
		{"P: {picked: L, date: 2021-02-01, sex: male}\n  Q: {merged: {P: 1}, date: 2021-03-01, males: 1}\n  R: {picked: P, date: 2021-04-01}", "L P Q R S Y", ""},
		// what leaves source, date and numbers alone
		{"P: {picked: L, date: 2021-02-01, males: 1, tank: []}", "P", ""},
		{"P: {picked: L, date: 2021-02-01, males: 1, tnak: R1}", "P", ""},
		{"P: {picked: L, date: 2021-02-01, males: 1, quarantine-until: soon}", "P", ""},
		{"P: {picked: L, date: 2021-02-01, sex: male, died: 2022-13-01}", "P", ""},
		{"P: {picked: L, date: 2021-02-01, males: 1, genotype: {pale: [P]}}", "P", ""},
		{"P: {wild: {}, males: x, note: like L}", "P", ""},
		{"P: {males: 1}", "P", ""},
	} {
		tainted, lines := touchedBy(t, lakeText, "line: y\nstock:\n  "+c.p+"\n")
		if tainted != c.tainted || lines != c.lines {
			t.Errorf("%s\ntouches %q and lines %q, want %q and %q", c.p, tainted, lines, c.tainted, c.lines)
		}
	}
}

// What an error in the header of a file, or outside of its records, touches.
func TestTouchedByHeaders(t *testing.T) {
	const founders = "L S W Y"
	for _, c := range []struct{ head, tainted, lines string }{
		{"line: x\nrelated-founders: [{off: [L, W], kinship: 0.1}]\n", founders, "x"},
		{"line: x\nrelated-founder: [{of: [L, W], kinship: 0.1}]\n", founders, "x"},
		{"line: x\nrelated-founders: {of: [L, W], kinship: 0.1}\n", founders, "x"},
		{"line: x\nrelated-founders: [{of: L, kinship: 0.1}]\n", founders, "x"},
		{"line: x\nrelated-founders: [{of: [L], kinship: 0.1}]\n", founders, "x"},
		{"line: x\nrelated-founders: [{of: [L, W], kinship: 0.1}\n", founders, "x lost"},
		{"line: x\nrelated-founders: [{of: [L, W], kinship: much}]\n", founders, ""},
		{"line: x\nrelated-founders: []\nrelated-founders: [{of: [L, W], kinship: 0.1}]\n", founders, "x"},
		{"line: x\ngoal: 0.9\n", "", "x"},
		{"line: x\ngaol: {max-inbreeding: 0.1}\n", "", "x"},
		{"line: x\ngoal: {max-inbreding: 0.1}\n", "", "x"},
		{"line: x\nmature-months: {male: four}\n", "", "x"},
		{"line: x\ngoal: {generations: 3}\ngoal: {generations: 4}\n", "", "x"},
		{"line: x\nnote: [a]\n", "", ""},
		{"line: x\ntanks: [R1]\n", "", ""},
		{"linne: x\n", founders, "* lost"},
		{"line: [x]\n", "", "* lost"},
		{"line: x\nline: y\n", "", "* lost"},
		{"line: x\nspare: {P: {picked: L, males: 1}}\n", "L S Y", "x lost"},
	} {
		tainted, lines := touchedBy(t, strings.Replace(lakeText, "line: x\n", c.head, 1), "line: y\n")
		if tainted != c.tainted || lines != c.lines {
			t.Errorf("%s\ntouches %q and lines %q, want %q and %q", c.head, tainted, lines, c.tainted, c.lines)
		}
	}
}
