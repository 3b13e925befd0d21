package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// fenced returns the fenced blocks of the README in one language.
func fenced(t *testing.T, language string) []string {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for i, part := range strings.Split(string(text), "```") {
		if body, ok := strings.CutPrefix(part, language+"\n"); ok && i%2 == 1 {
			list = append(list, body)
		}
	}
	if len(list) == 0 {
		t.Fatalf("the README has no %s block", language)
	}
	return list
}

// What the README shows is what the program prints on the demo book: every line
// shown stands in the answer, in that order; "..." stands for lines left out.
func TestReadmeShowsWhatIsPrinted(t *testing.T) {
	dir := demoBook(t)
	for _, block := range fenced(t, "console") {
		lines := strings.Split(strings.TrimRight(block, "\n"), "\n")
		command, ok := strings.CutPrefix(lines[0], "$ roebook ")
		if !ok {
			t.Errorf("no command in %q", lines[0])
			continue
		}
		answer := strings.Split(runIn(dir, 100, shellWords(command)...).out, "\n")
		for _, line := range lines[1:] {
			if strings.TrimSpace(line) == "..." {
				continue
			}
			at := slices.IndexFunc(answer, func(printed string) bool { return strings.TrimRight(printed, " ") == line })
			if at < 0 {
				t.Errorf("roebook %s does not print %q", command, line)
				break
			}
			answer = answer[at+1:]
		}
	}
}

// The book that the README writes down is one without a problem.
func TestReadmeBookIsSound(t *testing.T) {
	dir := t.TempDir()
	path := ""
	for _, block := range fenced(t, "yaml") {
		// A block without the name of a file goes on with the last one.
		if name, ok := strings.CutPrefix(strings.SplitN(block, "\n", 2)[0], "# "); ok {
			path = filepath.Join(dir, name)
		}
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		before, _ := os.ReadFile(path)
		if err := os.WriteFile(path, append(before, block...), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, command := range []string{"check", "pairs", "show MR-M1 MR-S4", "sheet"} {
		if r := runIn(dir, 100, strings.Fields(command)...); r.status != done || strings.Contains(r.err, "warning") {
			t.Errorf("%s: status %d\n%s%s", command, r.status, r.out, r.err)
		}
	}
}
