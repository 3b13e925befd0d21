package main

import (
	"bytes"
	"io/fs"
	"strings"
	"time"

	"roebook/io/history"
	"roebook/io/records"
	"roebook/pedigree"
	"roebook/testdata"
)

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
func commitDemo(env *environment, dir string) error {
	var commits []history.Written
	for _, evening := range demoEvenings {
		day, err := pedigree.ParseDate(evening.day)
		if err != nil {
			return err
		}
		commits = append(commits, history.Written{Author: "Merrin Haldoway", Mail: "merrin@example.org",
			When: day.Time().Add(20 * time.Hour), Message: evening.message, Files: demoOn(day)})
	}
	return history.Write(dir, commits, env.variables())
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
		out[f.Path] = without(f, later)
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
