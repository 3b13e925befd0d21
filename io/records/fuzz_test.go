package records

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"roebook/pedigree"
)

// FuzzParse holds the reader to what must be true of any text: it does not
// panic, every place lies inside the file, and a file cut into records gives
// what it gives when parsed whole.
func FuzzParse(f *testing.F) {
	for _, c := range problemCases(f) {
		for _, file := range c.files {
			f.Add(file.Text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 1<<16 {
			return
		}
		files := []File{{BookFile, []byte("book: x\n")}, {"a.yaml", text}}
		whole, wholeProblems := parse(files, nil, 0)
		checkPlaces(t, text, whole, wholeProblems)
		cut, cutProblems := parse(files, nil, 1)
		checkPlaces(t, text, cut, cutProblems)
		if unparsed(wholeProblems) {
			if !unparsed(cutProblems) {
				t.Errorf("cut into records no error is told, but the whole has one: %v", wholeProblems)
			}
			return
		}
		if !sameBook(whole, cut) || !reflect.DeepEqual(wholeProblems, cutProblems) {
			t.Errorf("cut into records the file gives something else\nwhole: %v\ncut: %v", wholeProblems, cutProblems)
			t.Log(cmp.Diff(whole.Stock, cut.Stock), cmp.Diff(whole.Spawns, cut.Spawns), cmp.Diff(whole.Lines, cut.Lines), cmp.Diff(wholeProblems, cutProblems))
		}
	})
}

// unparsed reports whether part of a file was not read.
func unparsed(problems []pedigree.Problem) bool {
	for _, p := range problems {
		switch p.Rule {
		case "yaml", "yaml-extras", "nesting", "tab-indent", "control-character", "file-encoding", "file-size":
			return true
		}
	}
	return false
}

func checkPlaces(t *testing.T, text []byte, book *pedigree.Book, problems []pedigree.Problem) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(string(text), "\ufeff"), "\n")
	check := func(what string, p pedigree.Position) {
		t.Helper()
		if p.File != "a.yaml" {
			return
		}
		if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Width < 1 {
			t.Fatalf("%s: the place %+v is outside of the file", what, p)
		}
		length := utf8.RuneCountInString(strings.TrimSuffix(lines[p.Line-1], "\r"))
		if p.Column+p.Width-1 > max(length, 1) {
			t.Fatalf("%s: the place %+v is outside of the line %q", what, p, lines[p.Line-1])
		}
	}
	for _, p := range problems {
		check(p.Rule, p.Position)
		for _, place := range p.Places {
			check(p.Rule, place.Position)
		}
		var out bytes.Buffer
		if err := Render(&out, p, text); err != nil {
			t.Fatal(err)
		}
		if bytes.ContainsFunc(out.Bytes(), func(r rune) bool { return r != '\n' && isControl(r) }) {
			t.Fatalf("a control character on screen: %q", out.String())
		}
	}
	for _, s := range book.Stock {
		for _, k := range s.Where.Keys {
			check(s.ID+"."+k.Path, k.Position)
		}
	}
	for _, s := range book.Spawns {
		for _, k := range s.Where.Keys {
			check(s.ID+"."+k.Path, k.Position)
		}
	}
}
