package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"roebook/io/records"
	"roebook/pedigree"
	"roebook/testdata"
)

// gitVars are the variables of a git that takes no one's settings.
func gitVars(home string) []string {
	return append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home, "GIT_CONFIG_NOSYSTEM=1", "GIT_CEILING_DIRECTORIES="+home,
		"GIT_AUTHOR_NAME=Merrin Haldoway", "GIT_AUTHOR_EMAIL=merrin@example.org",
		"GIT_COMMITTER_NAME=Merrin Haldoway", "GIT_COMMITTER_EMAIL=merrin@example.org")
}

func haveGit() bool {
	_, err := exec.LookPath("git")
	return err == nil
}

// The evenings on which the keeper of the demo book may have committed it.
var demoEvenings = []struct{ day, message string }{
	{"2022-12-30", "The book begins"},
	{"2023-12-30", "The year of the heater"},
	{"2024-12-30", "New blood from the ford, and the first candlewicks"},
	{"2025-12-30", "A good year"},
	{"2026-09-30", "Summer litters"},
	{"2026-11-23", "Autumn: counted, sexed and sold"},
}

// commitDemo makes the demo book in the folder dir a repository with a history:
// on each evening the book holds the records that had begun by then.
func commitDemo(dir string) error {
	git := func(input []byte, args ...string) error {
		cmd := exec.Command("git", args...)
		cmd.Dir, cmd.Env, cmd.Stdin = dir, gitVars(filepath.Dir(dir)), bytes.NewReader(input)
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("git %v: %w\n%s", args, err, out)
		}
		return nil
	}
	var in bytes.Buffer
	for _, evening := range demoEvenings {
		when, err := time.Parse(time.DateOnly, evening.day)
		if err != nil {
			return err
		}
		who := fmt.Sprintf("Merrin Haldoway <merrin@example.org> %d +0000", when.Add(20*time.Hour).Unix())
		fmt.Fprintf(&in, "commit refs/heads/main\nauthor %s\ncommitter %s\ndata %d\n%s\n", who, who, len(evening.message), evening.message)
		files := demoOn(pedigree.DateOf(when))
		for _, name := range slices.Sorted(maps.Keys(files)) {
			text := files[name]
			fmt.Fprintf(&in, "M 100644 inline %s\ndata %d\n%s\n", name, len(text), text)
		}
		in.WriteString("\n")
	}
	return cmp.Or(git(nil, "init", "-q", "-b", "main", "."), git(in.Bytes(), "fast-import", "--quiet"), git(nil, "reset", "-q", "main"))
}

// demoOn is the demo book as it may have stood on a day: without the records that
// began later.
func demoOn(day pedigree.Date) map[string][]byte {
	var files []records.File
	if err := fs.WalkDir(testdata.Demo, "demo", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			text, _ := testdata.Demo.ReadFile(name)
			files = append(files, records.File{Path: strings.TrimPrefix(name, "demo/"), Text: text})
		}
		return err
	}); err != nil {
		panic(err) // it is part of the program
	}
	book, _ := records.Parse(files)
	later := map[pedigree.Position]bool{}
	drop := func(at pedigree.Position) { later[pedigree.Position{File: at.File, Line: at.Line}] = true }
	for _, s := range book.Stock {
		if book.Begins(s) > day {
			drop(s.Where.Position)
		}
	}
	for _, s := range book.Spawns {
		if s.Date > day || s.IsPlanned() && s.Planned.Year() > day.Year()+1 {
			drop(s.Where.Position)
		}
	}
	for _, line := range book.Lines {
		for _, related := range line.RelatedFounders {
			for _, id := range related.Of {
				if book.Begins(book.StockByID(id)) > day {
					drop(related.Where.Position)
					above := related.Where.Position // the key, which the demo book has no other value of
					above.Line--
					drop(above)
				}
			}
		}
	}
	out := map[string][]byte{}
	for _, f := range files {
		if path.Base(f.Path) != "README.md" {
			out[f.Path] = without(f, later)
		}
	}
	return out
}

// without takes records out of a file: the line they begin on, and those below
// that are moved in further.
func without(f records.File, drop map[pedigree.Position]bool) []byte {
	var out []byte
	dropping := false
	n := 0
	for line := range bytes.Lines(f.Text) {
		n++
		inside := bytes.HasPrefix(line, []byte("    "))
		dropping = drop[pedigree.Position{File: f.Path, Line: n}] || dropping && inside
		if !dropping {
			out = append(out, line...)
		}
	}
	return out
}

// The evenings are books in order, or nearly, and the last of them is the demo
// book.
func TestDemoEvenings(t *testing.T) {
	for _, evening := range demoEvenings {
		day, _ := pedigree.ParseDate(evening.day)
		var files []records.File
		for name, text := range demoOn(day) {
			files = append(files, records.File{Path: name, Text: text})
		}
		book, problems := records.Parse(files)
		for _, p := range append(problems, pedigree.Check(book, day)...) {
			if p.Severity == pedigree.Error && p.Rule != "date-in-future" {
				t.Errorf("%s: %s", evening.day, p)
			}
		}
	}
}
