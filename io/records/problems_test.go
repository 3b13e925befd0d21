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
