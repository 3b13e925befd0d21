package main

import (
	"os"
	"os/exec"
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
// The commands of one block follow each other, and each block begins with the
// book as it was, or in an empty folder where it makes one.
func TestReadmeShowsWhatIsPrinted(t *testing.T) {
	for _, block := range fenced(t, "console") {
		dir := demoBook(t)
		fresh := strings.Contains(block, "$ roebook demo ")
		if fresh {
			dir = t.TempDir()
		}
		history := strings.Contains(block, "$ roebook since ") || strings.Contains(block, "$ roebook history ") ||
			strings.Contains(block, "$ roebook provenance ")
		if (history || strings.Contains(block, "$ git ")) && !haveGit() {
			t.Log("git is not installed; what it tells is not held against the README")
			continue
		}
		if history {
			if err := commitDemo(&environment{vars: gitVars(dir)}, dir); err != nil {
				t.Fatal(err)
			}
		}
		if strings.Contains(block, "$ git ") && !fresh {
			git(t, dir, "init", "-q")
			git(t, dir, "add", "-A")
			git(t, dir, "commit", "-q", "-m", "the book so far")
		}
		for _, shown := range strings.Split("\n"+strings.TrimRight(block, "\n"), "\n$ ")[1:] {
			lines := strings.Split(shown, "\n")
			words := shellWords(lines[0])
			var printed string
			switch words[0] {
			case "roebook":
				printed = runIn(dir, 100, words[1:]...).out
			case "cd":
				dir = filepath.Join(dir, words[1])
			case "git":
				printed = git(t, dir, words[1:]...)
			default:
				t.Errorf("no command in %q", lines[0])
			}
			answer := strings.Split(printed, "\n")
			for _, line := range lines[1:] {
				if strings.TrimSpace(line) == "..." {
					continue
				}
				at := slices.IndexFunc(answer, func(printed string) bool { return strings.TrimRight(printed, " ") == line })
				if at < 0 {
					t.Errorf("%s does not print %q", lines[0], line)
					break
				}
				answer = answer[at+1:]
			}
		}
	}
}

// git runs git in a folder, as somebody, and returns what it prints.
func git(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command("git", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL=/dev/null", "GIT_CONFIG_SYSTEM=/dev/null", "GIT_AUTHOR_NAME=Merrin", "GIT_AUTHOR_EMAIL=m@example.org",
		"GIT_COMMITTER_NAME=Merrin", "GIT_COMMITTER_EMAIL=m@example.org")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("git %v: %v\n%s", args, err, out)
	}
	return string(out)
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
