package journal

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func opened(t *testing.T, dir string) *Journal {
	t.Helper()
	j, err := Open(dir, me, 50*time.Millisecond)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func textOf(t *testing.T, dir, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A file that is not as it was read is not written, and its neighbour neither.
func TestChangedByHandMeanwhile(t *testing.T) {
	dir := bookIn(t, before)
	j := opened(t, dir)
	if err := os.WriteFile(filepath.Join(dir, "lines/a.yaml"), []byte("line: by hand\n"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := j.Commit(entryOf("roebook.yaml", "lines/a.yaml")); !errors.Is(err, ErrChanged) {
		t.Errorf("the change is made: %v", err)
	}
	if textOf(t, dir, "lines/a.yaml") != "line: by hand\n" || textOf(t, dir, "roebook.yaml") != before["roebook.yaml"] {
		t.Error("a file was written")
	}
}

// A program ends between two files, and then the second is changed by hand: the
// first gets its old bytes back, and what was written by hand stays.
func TestChangedByHandInBetween(t *testing.T) {
	for _, replaced := range []bool{false, true} {
		dir := bookIn(t, before)
		d := &frail{mode: "before"}
		renames := 0
		for at := 1; renames < 3; at++ { // the intent, the first file, the second
			probe := bookIn(t, before)
			d = &frail{mode: "before", at: at}
			_, _ = run(d, probe, entryOf("roebook.yaml", "lines/a.yaml"))
			if d.name == "rename" {
				renames++
			}
		}
		if replaced {
			d.mode = "after"
		}
		_, _ = run(&frail{mode: d.mode, at: d.at}, dir, entryOf("roebook.yaml", "lines/a.yaml"))
		if err := os.WriteFile(filepath.Join(dir, "lines/a.yaml"), []byte("line: by hand\n"), 0o640); err != nil {
			t.Fatal(err)
		}
		j := opened(t, dir)
		want := before["roebook.yaml"]
		if replaced {
			want = after["roebook.yaml"]
		}
		if got := textOf(t, dir, "roebook.yaml"); got != want || textOf(t, dir, "lines/a.yaml") != "line: by hand\n" {
			t.Errorf("replaced %v: the first file holds %q", replaced, got)
		}
		told := strings.Join(j.Told, "\n")
		if !strings.Contains(told, "merrin on fishroom (process 1, since 2026-11-24 20:00:00)") || strings.Contains(told, "taken back") == replaced {
			t.Errorf("told: %s", told)
		}
	}
}

// The last change is taken back byte for byte, once, and only from the files as
// it left them.
func TestUndo(t *testing.T) {
	dir := bookIn(t, before)
	j := opened(t, dir)
	if err := j.Commit(entryOf("roebook.yaml", "lines/a.yaml")); err != nil || state(t, dir) != "after" {
		t.Fatal(err, state(t, dir))
	}
	path := filepath.Join(dir, "lines/a.yaml")
	if err := os.WriteFile(path, []byte("line: by hand\n"), 0o640); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Undo(me.Since); !errors.Is(err, ErrChanged) || textOf(t, dir, "roebook.yaml") != after["roebook.yaml"] {
		t.Errorf("undone over what was written by hand: %v", err)
	}
	if err := os.WriteFile(path, []byte(after["lines/a.yaml"]), 0o640); err != nil {
		t.Fatal(err)
	}
	if e, err := j.Undo(me.Since); err != nil || e.Words != "two files" || state(t, dir) != "before" {
		t.Errorf("undo: %v, the book reads as %s", err, state(t, dir))
	}
	if e, err := j.Undo(me.Since); e != nil || err != nil {
		t.Errorf("a second undo: %v, %v", e, err)
	}
}

// A second program waits, and then says who writes.
func TestLock(t *testing.T) {
	dir := bookIn(t, before)
	j := opened(t, dir)
	_, err := Open(dir, Holder{PID: 2}, 20*time.Millisecond)
	if busy := new(Busy); !errors.As(err, &busy) || busy.By != me || !strings.Contains(err.Error(), "merrin on fishroom") {
		t.Errorf("a second lock: %v", err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	j = opened(t, dir)
	if len(j.Told) > 0 {
		t.Errorf("told %v of a lock that was given back", j.Told)
	}
}

// A link is followed and stays a link; a file marked read-only is not written;
// the mode of a file stays.
func TestLinksAndModes(t *testing.T) {
	dir := bookIn(t, before)
	link := filepath.Join(dir, "roebook.yaml")
	if err := errors.Join(os.Rename(link, filepath.Join(dir, "real.txt")), os.Symlink("real.txt", link)); err != nil {
		t.Fatal(err)
	}
	j := opened(t, dir)
	if err := j.Commit(entryOf("roebook.yaml")); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 || textOf(t, dir, "real.txt") != after["roebook.yaml"] {
		t.Error("the link was not followed")
	}
	if err := os.Chmod(filepath.Join(dir, "lines/a.yaml"), 0o440); err != nil {
		t.Fatal(err)
	}
	if err := j.Commit(entryOf("lines/a.yaml")); err == nil || !strings.Contains(err.Error(), "read-only") {
		t.Errorf("a read-only file: %v", err)
	}
}

// Whoever reads while others write sees all of a change or nothing of it.
func TestReadWhileWriting(t *testing.T) {
	dir := bookIn(t, before)
	done := make(chan error)
	go func() {
		var err error
		for i := range 30 {
			j, openErr := Open(dir, me, time.Minute)
			if openErr != nil {
				done <- openErr
				return
			}
			if i%2 == 0 {
				err = errors.Join(err, j.Commit(entryOf("roebook.yaml", "lines/a.yaml")))
			} else {
				_, undo := j.Undo(me.Since)
				err = errors.Join(err, undo)
			}
			err = errors.Join(err, j.Close())
		}
		done <- err
	}()
	for {
		select {
		case err := <-done:
			if err != nil {
				t.Error(err)
			}
			return
		default:
		}
		seen := ""
		if _, err := Read(dir, me, time.Minute, func() error { seen = state(t, dir); return nil }); err != nil {
			continue // written to all the time
		}
		if seen != "before" && seen != "after" {
			t.Fatalf("read as %s", seen)
		}
	}
}
