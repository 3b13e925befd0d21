package main

import (
	"strings"
	"testing"
)

// What goes to the error stream is wrapped, but for quoted lines and for commands
// that somebody may copy.
func TestFolded(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"short", "short"},
		{"roebook: the line brook has no answer: errors in it", "roebook: the line brook has no\nanswer: errors in it"},
		{"    stays: {a line of the book, quoted, as long as it is}", "    stays: {a line of the book, quoted, as long as it is}"},
		{"3 warnings; see: roebook check --book /a/long/path", "3 warnings; see:\n  roebook check --book /a/long/path"},
		{"nothing was found in that\nsee: roebook pairs --help", "nothing was found in that\nsee: roebook pairs --help"},
		{"no such line in this book, of 20\nsee: roebook how-many size --help", "no such line in this book, of\n20\nsee:\n  roebook how-many size --help"},
	} {
		if got := folded(c.text, 30); got != c.want {
			t.Errorf("folded(%q):\n%s\nwant\n%s", c.text, got, c.want)
		}
		if got := folded(c.text, 0); got != c.text {
			t.Errorf("folded(%q) without a width: %q", c.text, got)
		}
	}
}

// Where the error stream has a width, an error keeps to it.
func TestErrorsKeepToTheWidth(t *testing.T) {
	var out, err strings.Builder
	env := &environment{out: &out, err: &err, now: today, dir: t.TempDir(), width: 60, errWidth: 60}
	if got := env.run([]string{"how-many", "founders", "95"}); got != badUsage {
		t.Fatalf("status %d", got)
	}
	lines := strings.Split(strings.TrimRight(err.String(), "\n"), "\n")
	if len(lines) < 2 || !strings.HasPrefix(lines[0], "roebook: ") {
		t.Fatalf("not wrapped: %q", lines)
	}
	for _, line := range lines {
		if columnsOf(line) > 60 {
			t.Errorf("%d columns: %q", columnsOf(line), line)
		}
	}
}
