package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"roebook/io/records"
	"roebook/pedigree"
)

var long = flag.Bool("long", false, "4 programs with 250 edits each; a program killed 300 times")

// asProgram makes the test binary the program itself.
const asProgram = "ROEBOOK_AS_PROGRAM"

func program(t *testing.T, dir string, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), asProgram+"=1", "XDG_CACHE_HOME="+filepath.Join(t.TempDir(), "cache"))
	return cmd
}

// writersBook is a book with two files of one line, so that a rename touches
// both.
func writersBook(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{
		"roebook.yaml": "book: x\n",
		"a.yaml":       "line: x\nstock:\n  A: {wild: {date: 2020-01-01}, males: 5, females: 5}\n  R: {picked: A, date: 2020-02-01, sex: male}\n",
		"b.yaml":       "line: x\nspawns:\n  S1: {date: 2021-01-01, sire: R, dam: A, born: 5}\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func sound(t *testing.T, dir string) *pedigree.Book {
	t.Helper()
	book, problems, err := records.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range append(problems, pedigree.Check(book, pedigree.DateOf(time.Now()))...) {
		if p.Severity == pedigree.Error {
			t.Fatal(p)
		}
	}
	return book
}

// Four programs write at once, each in a process of its own: nothing is lost.
func TestSeveralWriters(t *testing.T) {
	edits := 6
	if *long {
		edits = 250
	}
	dir := writersBook(t)
	var wait sync.WaitGroup
	for w := range 4 {
		wait.Go(func() {
			for i := range edits {
				args := []string{"spawn", fmt.Sprintf("S-%d-%d", w, i), "--group", "A", "--born", "9", "--date", "2024-03-05"}
				if i%2 == 1 {
					args = []string{"add", "--wild", "--males", "2", "--females", "2", "--date", "2024-03-05"}
				}
				if out, err := program(t, dir, args...).CombinedOutput(); err != nil {
					t.Errorf("%v: %v\n%s", args, err, out)
				}
			}
		})
	}
	wait.Wait()
	book := sound(t, dir)
	if got := len(book.Stock) + len(book.Spawns) - 3; got != 4*edits {
		t.Errorf("%d records are there, want %d", got, 4*edits)
	}
}

// A program that changes two files is killed at any time: the book is sound, and
// the next program goes on.
func TestKilledWriter(t *testing.T) {
	kills := 8
	if *long {
		kills = 300
	}
	dir := writersBook(t)
	names := []string{"R", "Q"}
	killed := 0
	for range kills {
		cmd := program(t, dir, "rename", names[0], names[1])
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		timer := time.AfterFunc(time.Duration(rand.IntN(40_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
		if cmd.Wait() != nil {
			killed++
		}
		timer.Stop()
		if out, err := program(t, dir, "check").CombinedOutput(); err != nil {
			t.Fatalf("check: %v\n%s", err, out)
		}
		if sound(t, dir).StockByID(names[0]) == nil {
			names[0], names[1] = names[1], names[0]
		}
		if left, err := os.ReadDir(dir); err != nil || len(left) > 4 { // the book and .roebook
			t.Fatalf("the folder holds %v, %v", left, err)
		}
	}
	t.Logf("killed %d of %d", killed, kills)
	if out, err := program(t, dir, "note", names[0], "well").CombinedOutput(); err != nil || !strings.Contains(string(out), "Noted") {
		t.Errorf("%v\n%s", err, out)
	}
}
