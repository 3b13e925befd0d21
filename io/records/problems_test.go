package records

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"roebook/pedigree"
)

var update = flag.Bool("update", false, "write the golden files anew")

// problemCase is one case of testdata/problems.txt.
type problemCase struct {
	name  string
	files []File
	want  []string
}

var unseen = strings.NewReplacer("<TAB>", "\t", "<NUL>", "\x00", "<BYTE>", "\xe9", "<BOM>", "\ufeff")

func problemCases(t testing.TB) []problemCase {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "problems.txt"))
	if err != nil {
		t.Fatal(err)
	}
	var out []problemCase
	for _, part := range strings.Split(string(text), "\n== ")[1:] {
		name, body, _ := strings.Cut(part, "\n")
		c := problemCase{name: name}
		at, content := "lines/a.yaml", ""
		keep := func() {
			if content != "" {
				c.files = append(c.files, File{at, []byte(unseen.Replace(content))})
			}
		}
		for line := range strings.Lines(body) {
			switch {
			case strings.HasPrefix(line, "> "):
				c.want = append(c.want, strings.TrimSpace(line[2:]))
			case strings.HasPrefix(line, "-- "):
				keep()
				at, content = strings.TrimSpace(line[3:]), ""
			case strings.TrimSpace(line) != "":
				content += line
			}
		}
		keep()
		hasBook := false
		for _, f := range c.files {
			hasBook = hasBook || f.Path == BookFile
		}
		if !hasBook {
			c.files = append(c.files, File{BookFile, []byte("book: Test\n")})
		}
		out = append(out, c)
	}
	return out
}

func places(problems []pedigree.Problem) []string {
	var out []string
	for _, p := range problems {
		out = append(out, fmt.Sprintf("%s:%d:%d %s", p.File, p.Line, p.Column, p.Rule))
	}
	return out
}

func TestProblems(t *testing.T) {
	for _, c := range problemCases(t) {
		t.Run(c.name, func(t *testing.T) {
			for _, size := range []int{1, pieceLines} {
				_, problems := parse(c.files, nil, size)
				if diff := cmp.Diff(c.want, places(problems)); diff != "" {
					t.Errorf("pieces of %d lines: problems (-want +got)\n%s", size, diff)
					for _, p := range problems {
						t.Log(p)
					}
				}
			}
		})
	}
}

// TestProblemsPage holds every message, hint and mark to testdata/problems.golden.
// Run with -update after a change, and read the difference.
func TestProblemsPage(t *testing.T) {
	var page bytes.Buffer
	for _, c := range problemCases(t) {
		fmt.Fprintf(&page, "== %s\n", c.name)
		_, problems := Parse(c.files)
		for _, p := range problems {
			var source []byte
			for _, f := range c.files {
				if f.Path == p.File {
					source = f.Text
				}
			}
			if err := Render(&page, p, source); err != nil {
				t.Fatal(err)
			}
			if p.Records != nil {
				fmt.Fprintf(&page, "  (unreliable: %s)\n", oneLine(strings.Join(p.Records, ", ")))
			}
		}
		page.WriteByte('\n')
	}
	golden(t, "problems.golden", page.Bytes())
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got)\n%s", file, diff)
	}
}

// Every rule is listed with its severity, and every one listed has a case here
// or in the tests of folders.
func TestRules(t *testing.T) {
	elsewhere := []string{"file-size", "linked-folder", "unreadable-file"}
	told := map[string]pedigree.Severity{}
	for _, c := range problemCases(t) {
		_, problems := Parse(c.files)
		for _, p := range problems {
			told[p.Rule] = p.Severity
		}
	}
	listed := map[string]bool{}
	last := ""
	for _, r := range Rules() {
		if r.Name <= last || r.Meaning == "" {
			t.Errorf("%s is out of order or has no meaning", r.Name)
		}
		last, listed[r.Name] = r.Name, true
		severity, ok := told[r.Name]
		if !ok && !slices.Contains(elsewhere, r.Name) || ok && severity != r.Severity {
			t.Errorf("%s has no case, or another severity in it", r.Name)
		}
	}
	for rule := range told {
		if !listed[rule] {
			t.Errorf("%s is not listed", rule)
		}
	}
}

// A name stands for one rule, whether of the format or of what can be true.
func TestRuleNames(t *testing.T) {
	for _, of := range pedigree.Rules() {
		if slices.ContainsFunc(Rules(), func(r pedigree.Rule) bool { return r.Name == of.Name }) {
			t.Errorf("%s is the name of two rules", of.Name)
		}
	}
}

// One mistake gives one problem, in reading and in the rules of what can be true
// together. Common practice, no source.
func TestToldOnce(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"spawns without their section", "A1: {wild: {}, males: 2, females: 2}\n  F1: {spawn: S2, unsexed: 9}\n  S1: {date: 2022-01-09, group: A1, born: 23}\n" +
			"  S2: {date: 2022-02-09, repeat: S1, born: 11}", []string{"lines/a.yaml:6:3 misplaced-record"}},
		{"a section misspelt", "A1: {wild: {}, males: 2, females: 2}\n  F1: {spawn: S1, unsexed: 9}\nspawnings:\n  S1: {date: 2022-01-09, group: A1, born: 23}",
			[]string{"lines/a.yaml:6:1 unknown-key"}},
		{"more kept than born", "F1: {spawn: S1, unsexed: 22}\nspawns:\n  S1: {date: 2022-01-09, born: 20, kept: 22}", []string{"lines/a.yaml:6:42 counts-rise"}},
		{"more lost than born", "F1: {spawn: S1, unsexed: 2}\nspawns:\n  S1: {date: 2022-01-09, born: 20, lost: 22}", []string{"lines/a.yaml:6:42 more-than-there-were"}},
		{"a word for kinship that is none", "A1: {bought: {related: brothers}, males: 2}", []string{"lines/a.yaml:4:26 unknown-word"}},
		{"a lot without its numbers", "A1: {wild: {}, changes: [{date: 2022-03-01, males: 1}]}\n  A2: {picked: A1, date: 2022-02-01}", []string{"lines/a.yaml:4:27 not-a-lot"}},
		{"a lot with a number left empty", "A1: {wild: {}, males: }\n  A2: {picked: A1, date: 2022-02-01}", []string{"lines/a.yaml:4:18 no-value"}},
		{"a lot with a number in words", "A1: {wild: {}, males: four, females: 3}\n  A2: {picked: A1, date: 2022-02-01}\nspawns:\n" +
			"  S1: {date: 2022-01-09, group: A1, born: 20}", []string{"lines/a.yaml:4:25 wrong-kind"}},
		{"a fish picked from a fish", "A1: {wild: {}}\n  A2: {picked: A1, date: 2022-02-01}", []string{"lines/a.yaml:5:16 picked-from-no-lot"}},
	} {
		book, problems := Parse([]File{{BookFile, []byte("book: x\n")}, {"lines/a.yaml", []byte("line: a\nspecies: x\nstock:\n  " + c.text + "\n")}})
		problems = pedigree.SortProblems(append(problems, pedigree.Check(book, 20240601)...))
		if diff := cmp.Diff(c.want, places(problems)); diff != "" {
			t.Errorf("%s (-want +got)\n%s%v", c.name, diff, problems)
		}
	}
}

// Where nothing is said of bought fish they are taken as siblings, or as one
// strain where they are fully inbred.
func TestBoughtKinship(t *testing.T) {
	for text, want := range map[string]float64{"{}": 0.25, "{inbreeding: 1}": 1, "{inbreeding: 0.5}": 0.25, "{related: unrelated}": 0, "{related: half-siblings}": 0.125,
		"{related: siblings, inbreeding: 1}": 0.25} {
		book, _ := Parse([]File{{BookFile, []byte("book: x\n")}, {"a.yaml", []byte("line: a\nstock:\n  A1: {males: 2, bought: " + text + "}\n")}})
		if got := book.StockByID("A1").Bought.Kinship(); got != want {
			t.Errorf("%s: kinship %g, want %g", text, got, want)
		}
	}
}
