package journal

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Two files whose paths look alike once their folders are left out.
func TestPathsThatLookAlike(t *testing.T) {
	old := map[string]string{"a/b.yaml": "line: one\n", "a%b.yaml": "line: two\n", "a_b.yaml": "line: three\n"}
	dir := bookIn(t, old)
	j := opened(t, dir)
	e := Entry{Words: "three files", At: me.Since}
	for path, text := range old {
		e.Changes = append(e.Changes, Change{path, []byte(text), []byte("# new\n" + text)})
	}
	if err := j.Commit(e); err != nil {
		t.Fatal(err)
	}
	for path, text := range old {
		if got := textOf(t, dir, path); got != "# new\n"+text {
			t.Errorf("%s holds %q", path, got)
		}
	}
}

// An intent that came with a folder from elsewhere reaches nothing outside the
// records, and no link in the folder of this program leads out of it.
func TestNothingOutsideTheBook(t *testing.T) {
	for _, path := range []string{"../outside.yaml", "lines/../../outside.yaml", "lines/link.yaml", "notes.txt"} {
		dir := filepath.Join(bookIn(t, map[string]string{"outside.yaml": "mine\n", "book/roebook.yaml": "book: b\n",
			"book/lines/a.yaml": "line: a\n", "book/notes.txt": "mine\n"}), "book")
		if err := os.Symlink("../../outside.yaml", filepath.Join(dir, "lines/link.yaml")); err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(Entry{Words: "planted", Changes: []Change{{path, []byte("mine\n"), []byte("theirs\n")}}})
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(os.Mkdir(filepath.Join(dir, Dir), 0o755), os.WriteFile(filepath.Join(dir, Dir, intentFile), text, 0o600)); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(dir, me, time.Millisecond); err == nil || !strings.Contains(err.Error(), "no file of the records of this book") {
			t.Errorf("%s: %v", path, err)
		}
		if textOf(t, dir, "../outside.yaml") != "mine\n" || textOf(t, dir, "notes.txt") != "mine\n" {
			t.Errorf("%s was written", path)
		}
	}
	dir := bookIn(t, before)
	outside := filepath.Join(t.TempDir(), "outside")
	if err := errors.Join(os.WriteFile(outside, []byte("mine\n"), 0o600), os.Mkdir(filepath.Join(dir, Dir), 0o755),
		os.Symlink(outside, filepath.Join(dir, Dir, "file-0"+newSuffix)), os.Symlink(outside, filepath.Join(dir, Dir, holderFile))); err != nil {
		t.Fatal(err)
	}
	j := opened(t, dir)
	if err := j.Commit(entryOf("roebook.yaml")); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(outside); err != nil || string(text) != "mine\n" {
		t.Errorf("a link was followed: %q, %v", text, err)
	}
	linked := bookIn(t, before)
	if err := os.Symlink(filepath.Dir(outside), filepath.Join(linked, Dir)); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(linked, me, time.Millisecond); err == nil || !strings.Contains(err.Error(), "is a link") {
		t.Errorf("a folder that is a link: %v", err)
	}
}
