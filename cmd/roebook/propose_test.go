package main

import (
	"strings"
	"testing"

	"roebook/io/records"
)

// Ids are proposed by the pattern of those there are.
func TestProposedIDs(t *testing.T) {
	for _, c := range []struct {
		name, book, stock, spawns string
		origin, lot, want         string
	}{
		{"nothing yet", "", "", "", "wild", "", "AS-W1"},
		{"no spawn yet", "", "AS-W1: {wild: {}}", "", "", "", "AS-S1"},
		{"the next", "", "", "AS-S9: {date: 2024-01-01}\n  AS-S2: {date: 2023-01-01}", "", "", "AS-S10"},
		{"zeros", "", "", "s-007: {date: 2024-01-01}", "", "", "s-008"},
		{"the pattern of the latest", "", "AS-A1: {spawn: S1}\n  AS-B1: {spawn: S2}\n  AS-A2: {spawn: S1}", "S1: {date: 2022-01-01}\n  S2: {date: 2024-01-01}", "spawn", "", "AS-B2"},
		{"without gaps being filled", "", "AS-W1: {wild: {}}\n  AS-W7: {wild: {}}", "", "wild", "", "AS-W8"},
		{"taken by a spawn", "", "F1: {spawn: F2}", "F2: {date: 2024}", "spawn", "", "F3"},
		{"picked", "", "AS-W1: {wild: {}, males: 3}\n  AS-W1a: {picked: AS-W1}", "", "picked", "AS-W1", "AS-W1b"},
		{"picked of a named lot", "", "Brass: {wild: {}, males: 3}", "", "picked", "Brass", "Brass-a"},
		{"another kind begins with the line's letters", "", "XQ-W1: {wild: {}}", "", "merged", "", "XQ-M1"},
		{"the keeper's prefix", "MH-", "AS-W1: {wild: {}}", "AS-S9: {date: 2024-01-01}", "", "", "MH-AS-S10"},
		{"the keeper's own pattern first", "MH-", "", "AS-S9: {date: 2024-01-01}\n  MH-AS-S3: {date: 2023-01-01}", "", "", "MH-AS-S10"},
		{"ids that have the prefix already", "AS", "", "AS-S9: {date: 2024-01-01}", "", "", "AS-S10"},
		{"no number in any", "", "Brass: {wild: {}}", "", "wild", "", "AS-W1"},
	} {
		text := "line: amber-spring\n"
		for _, section := range []struct{ name, records string }{{"stock", c.stock}, {"spawns", c.spawns}} {
			if section.records != "" {
				text += section.name + ":\n  " + section.records + "\n"
			}
		}
		book := "book: x\n"
		if c.book != "" {
			book += "id-prefix: " + c.book + "\n"
		}
		draft := records.NewDraft([]records.File{{Path: records.BookFile, Text: []byte(book)}, {Path: "a.yaml", Text: []byte(text)}})
		p := proposer{draft.Book, "amber-spring"}
		got := p.spawn()
		if c.origin != "" {
			got = p.stock(c.origin, c.lot)
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// Lines of a calendar are cut after 75 bytes, never within a character, and
// joined again they are what they were (RFC 5545, section 3.1).
func TestFoldedLines(t *testing.T) {
	text := "DESCRIPTION:" + strings.Repeat("é", 100) + strings.Repeat("x", 61) + "日本"
	p := &page{}
	writeFolded(p, text)
	if got := strings.ReplaceAll(p.String(), "\r\n ", ""); got != text+"\r\n" {
		t.Errorf("unfolded: %q", got)
	}
	for _, line := range strings.Split(p.String(), "\r\n") {
		if len(line) > 75 || strings.ToValidUTF8(line, "?") != line {
			t.Errorf("%d bytes: %q", len(line), line)
		}
	}
}
