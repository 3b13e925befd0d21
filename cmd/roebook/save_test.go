package main

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// What may be written over, and what must not: common practice, no source.

// Of several that write one new file at once, one wins and the others are told.
func TestSaveIsExclusive(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.xlsx")
	var wait sync.WaitGroup
	results := make([]error, 8)
	for i := range results {
		wait.Go(func() { results[i] = save(path, "x.xlsx", []byte{byte('a' + i)}, false, nil) })
	}
	wait.Wait()
	text, err := os.ReadFile(path)
	if err != nil || len(text) != 1 {
		t.Fatalf("%q, %v", text, err)
	}
	for i, err := range results {
		won := text[0] == byte('a'+i)
		if won != (err == nil) || !won && !strings.Contains(err.Error(), "there already") {
			t.Errorf("writer %d: %v, and the file holds %q", i, err, text)
		}
	}
	if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 1 {
		t.Errorf("left in the folder: %v", left)
	}
}

func TestSaveRefuses(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	for name, text := range map[string]string{"roebook.yaml": "book: b\n", "old.xlsx": "old", "list.yml": "a: b\n"} {
		if err := os.WriteFile(at(name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if os.Link(at("roebook.yaml"), at("hard.xlsx")) != nil || os.Symlink(at("old.xlsx"), at("soft.xlsx")) != nil {
		t.Skip("the disk has no links")
	}
	for _, name := range []string{"roebook.yaml", "list.yml", "hard.xlsx", "soft.xlsx", ".", os.DevNull} {
		path := at(name)
		if name == os.DevNull {
			path = name
		}
		if err := save(path, name, []byte("new"), true, []string{at("roebook.yaml")}); err == nil || !strings.Contains(err.Error(), "not written over") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := save(at("old.xlsx"), "old.xlsx", []byte("new"), true, nil); err != nil {
		t.Error(err)
	}
	for name, want := range map[string]string{"roebook.yaml": "book: b\n", "hard.xlsx": "book: b\n", "old.xlsx": "new"} {
		if text, err := os.ReadFile(at(name)); err != nil || string(text) != want {
			t.Errorf("%s holds %q, %v", name, text, err)
		}
	}
}

// Where one file cannot be written none is left, and what was there stays.
func TestWriteAllOrNothing(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "block"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, last := range []string{"block", filepath.Join("block", "below", "c")} {
		err := writeAll(dir, []newFile{{"a", []byte("a")}, {filepath.Join("new", "deep", "b"), []byte("b")}, {last, []byte("c")}})
		if err == nil {
			t.Errorf("%s was written", last)
		}
		entries, _ := os.ReadDir(dir)
		text, _ := os.ReadFile(filepath.Join(dir, "block"))
		if len(entries) != 1 || string(text) != "mine" {
			t.Errorf("left after %s failed: %v, block holds %q", last, entries, text)
		}
	}
	below := filepath.Join(dir, "to", "come")
	if err := writeAll(below, []newFile{{"a", []byte("a")}, {filepath.Join("new", "b"), []byte("b")}}); err != nil {
		t.Error(err)
	}
	if text, err := os.ReadFile(filepath.Join(below, "new", "b")); err != nil || string(text) != "b" {
		t.Errorf("%q, %v", text, err)
	}
}

func TestShellQuoted(t *testing.T) {
	for word, want := range map[string]string{"fishroom": "fishroom", "./a-b/c_1.2": "./a-b/c_1.2", "my room": "'my room'", "": "''",
		"it's": `'it'\''s'`, "$HOME": "'$HOME'", "a;b": "'a;b'", "~x": "'~x'", "Bäche": "Bäche"} {
		if got := shellQuoted(word); got != want {
			t.Errorf("%q: %s, want %s", word, got, want)
		}
	}
}

func TestGrouped(t *testing.T) {
	for n, want := range map[int]string{0: "0", 20: "20", 999: "999", 1000: "1,000", 1000000: "1,000,000", 4123456: "4,123,456"} {
		if got := grouped(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
}

func TestYAMLText(t *testing.T) {
	for name, want := range map[string]string{"upper-brook": "upper-brook", "Swan Brook": "Swan Brook", "null": `"null"`, "Yes": `"Yes"`,
		"2024": `"2024"`, "1e3": `"1e3"`, "n": `"n"`, "Bäche 2": "Bäche 2"} {
		if got := yamlText(name); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}
