package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"roebook/io/records"
	"roebook/pedigree"
)

// A file that is changed by hand while a command works is read again, and the
// change made in what it holds then.
func TestChangedMeanwhile(t *testing.T) {
	dir := writersBook(t)
	path := filepath.Join(dir, "a.yaml")
	var out, err strings.Builder
	r := newRecorder(&environment{out: &out, err: &err, now: today, dir: dir, width: 100})
	tries := 0
	failed := r.run(func(*pedigree.Book) (*deed, error) {
		if tries++; tries == 1 {
			text, readErr := os.ReadFile(path)
			if readErr != nil {
				t.Fatal(readErr)
			}
			if err := os.WriteFile(path, append(text, "  N: {wild: {date: 2022-01-01}, sex: male}  # by hand\n"...), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return &deed{id: "R", words: "R moved", edits: []records.Edit{{Section: "stock", ID: "R", Set: []records.Pair{scalarPair("tank", "T1")}}}}, nil
	})
	text, _ := os.ReadFile(path)
	if failed != nil || tries != 2 || !strings.Contains(string(text), "sex: male, tank: T1}") || !strings.Contains(string(text), "# by hand\n") {
		t.Errorf("%d tries, %v\n%s%s\n%s", tries, failed, out.String(), err.String(), text)
	}
	// One that changes all the time is left alone in the end.
	failed = r.run(func(*pedigree.Book) (*deed, error) {
		tries++
		if err := os.WriteFile(path, append(text, strings.Repeat("#\n", tries)...), 0o644); err != nil {
			t.Fatal(err)
		}
		return &deed{id: "R", words: "R moved", edits: []records.Edit{{Section: "stock", ID: "R", Set: []records.Pair{scalarPair("tank", "T2")}}}}, nil
	})
	if failed == nil || !strings.Contains(failed.Error(), "a.yaml: it was changed meanwhile") {
		t.Errorf("written over: %v", failed)
	}
	if now, _ := os.ReadFile(path); strings.Contains(string(now), "T2") {
		t.Errorf("written over:\n%s", now)
	}
}

// A change that is refused, and one that is only looked at, leave no trace.
func TestNothingIsLeftBehind(t *testing.T) {
	dir := writersBook(t)
	for _, args := range [][]string{{"move", "R", "T9", "--dry-run"}, {"format", "--check"}, {"due"}, {"check"}} {
		runIn(dir, 100, args...)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 3 {
		t.Errorf("the folder holds %v, %v", left, err)
	}
}
