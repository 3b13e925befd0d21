package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A wrong sire planted in the demo book, spawn by spawn, is told where it stands,
// and the right one stands first among those it may have been.
func TestPlantedSireIsFound(t *testing.T) {
	dir := demoBook(t)
	file := filepath.Join(dir, "lines", "candlewick.yaml")
	book, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	const stranger = "  CW-X1: {bought: {from: a stall, date: 2021-02-01}, born: 2020-06, sex: male, genotype: {blond: B/B, half-black: ni}}\n"
	planted := 0
	for _, at := range regexp.MustCompile(`(?m)^  (CW-S\d+):[^C]*?sire: (CW-\w+)`).FindAllSubmatchIndex(book, -1) {
		spawn, right := string(book[at[2]:at[3]]), string(book[at[4]:at[5]])
		text := string(book[:at[4]]) + "CW-X1" + string(book[at[5]:])
		text = strings.Replace(text, "stock:\n", "stock:\n"+stranger, 1)
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		r := runIn(dir, 100, "check", "--json", "--on", "2026-11-24")
		var document problemsJSON
		if err := json.Unmarshal([]byte(r.out), &document); err != nil {
			t.Fatal(err)
		}
		if spawn == "CW-S1" || spawn == "CW-S16" {
			continue // of him all may be true: nothing was seen of its young that he could not give
		}
		planted++
		found := false
		for _, p := range document.Problems {
			if p.Rule != "records-contradict" {
				continue
			}
			_, hint, _ := strings.Cut(p.Hint, "another sire of "+spawn+": ")
			found = found || strings.HasPrefix(hint, right+" (") && strings.Contains(p.Message, spawn+" names as its sire CW-X1")
			if !found {
				t.Logf("%s: %s\n%s", spawn, p.Message, p.Hint)
			}
		}
		if !found {
			t.Errorf("%s by CW-X1 in place of %s is not told so:\n%s", spawn, right, r.out)
		}
	}
	if planted < 10 {
		t.Errorf("only %d planted", planted)
	}
}
