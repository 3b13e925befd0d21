package main

import (
	"os"
	"os/exec"
	"testing"

	"roebook/io/records"
	"roebook/pedigree"
)

// gitVars are the variables of a git that takes no one's settings.
func gitVars(home string) []string {
	return append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home, "GIT_CONFIG_NOSYSTEM=1", "GIT_CEILING_DIRECTORIES="+home, "GORACE=atexit_sleep_ms=0",
		"GIT_AUTHOR_NAME=Merrin Haldoway", "GIT_AUTHOR_EMAIL=merrin@example.org",
		"GIT_COMMITTER_NAME=Merrin Haldoway", "GIT_COMMITTER_EMAIL=merrin@example.org")
}

func haveGit() bool {
	_, err := exec.LookPath("git")
	return err == nil
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
