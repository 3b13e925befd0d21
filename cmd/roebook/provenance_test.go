package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/net/html"

	"roebook/genetics"
	"roebook/io/certificate"
	"roebook/io/chart"
)

// onDemo reads the demo book as of a day.
func onDemo(t *testing.T, on string) *loaded {
	t.Helper()
	dir := demoBook(t)
	env := &environment{out: t.Output(), err: t.Output(), now: today, dir: dir, width: 100, vars: gitVars(filepath.Dir(dir))}
	from := &source{env: env, book: dir, on: on}
	l, err := from.load()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Every number of a sheet is what show says: the keys that both have are equal,
// for every record of the demo book of which there is a sheet.
func TestProvenanceSaysWhatShowSays(t *testing.T) {
	l := onDemo(t, "2026-11-24")
	sheets := 0
	for _, id := range append(stockIDs(l), spawnIDs(l)...) {
		if _, why := l.sheetLine(id, 0); why != "" {
			continue
		}
		sheets++
		facts, _ := l.facts([]string{id}, 0)
		fish := keysOf(t, facts.Fish[0])
		s := shower{loaded: l, rows: map[string]genetics.Row{}, means: map[string]float64{}}
		card := keysOf(t, s.card(id))
		for _, key := range []string{"id", "kind", "count", "males", "females", "unsexed", "inbreeding", "self_kinship", "kinship_within",
			"equivalent_generations", "recorded_ancestry", "ancestry", "mean_kinship"} {
			if diff := cmp.Diff(card[key], fish[key]); diff != "" {
				t.Errorf("%s %s (-show +sheet)\n%s", id, key, diff)
			}
		}
		generation := fish["generation"].(map[string]any)
		delete(generation, "cites")
		if diff := cmp.Diff(card["generation"], fish["generation"]); diff != "" {
			t.Errorf("%s generation (-show +sheet)\n%s", id, diff)
		}
		shares := card["founders"].([]any)
		for i, one := range fish["founders"].([]any) {
			founder := one.(map[string]any)
			if want := shares[i].(map[string]any); founder["id"] != want["id"] || founder["share"] != want["share"] {
				t.Errorf("%s founder %d: %v, want %v", id, i, founder, want)
			}
		}
		if len(shares) != len(facts.Fish[0].Founders) {
			t.Errorf("%s: %d founders, want %d", id, len(facts.Fish[0].Founders), len(shares))
		}
	}
	if sheets < 60 {
		t.Errorf("only %d sheets", sheets)
	}
	report, _ := l.state.Line("tessamora-ford")
	if facts, _ := l.facts([]string{"TF-E3"}, 0); *facts.Line.GeneDiversity != report.GeneDiversity || facts.Line.Living != report.Living {
		t.Errorf("the line: %v, want %v of %v", *facts.Line.GeneDiversity, report.GeneDiversity, report.Living)
	}
}

func keysOf(t *testing.T, v any) map[string]any {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	keys := map[string]any{}
	if err := json.Unmarshal(text, &keys); err != nil {
		t.Fatal(err)
	}
	return keys
}

func stockIDs(l *loaded) (ids []string) {
	for _, s := range l.book.Stock {
		ids = append(ids, s.ID)
	}
	return ids
}

func spawnIDs(l *loaded) (ids []string) {
	for _, s := range l.book.Spawns {
		ids = append(ids, s.ID)
	}
	return ids
}

// The lines of the demo book tell different stories; each sheet says what is in
// the file of its name. ROEBOOK_UPDATE=1 writes them anew.
func TestProvenancePages(t *testing.T) {
	l := onDemo(t, "2026-11-24")
	for _, c := range []struct {
		name string
		ids  []string
		each int
	}{
		{"recorded", []string{"TF-D1"}, 0}, // every founder caught for the book
		{"declared", []string{"GD-E2"}, 0}, // all of it bought
		{"unknown", []string{"TF-D4"}, 0},  // a sire that nobody saw
		{"mixed", []string{"TF-E3"}, 0},    // all of that
		{"inbred", []string{"CW-H1"}, 0},
		{"litter", []string{"TF-S15"}, 0},
		{"each", []string{"TF-D1"}, 3},
		{"batch", []string{"CW-H1", "CW-H2", "CW-G1", "CW-J1"}, 0},
	} {
		facts, drawing := l.facts(c.ids, c.each)
		facts.Program = "roebook of the tests"
		facts.Book.Commit = strings.Repeat("0123456789", 4)
		page, err := certificate.Write("html", &facts, drawing, certificate.A4)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join("testdata", "provenance", c.name+".txt")
		got := outline(t, page)
		if os.Getenv("ROEBOOK_UPDATE") != "" {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s (-want +got)\n%s", c.name, diff)
		}
	}
}

// outline is a page as its elements and their texts, a line each.
func outline(t *testing.T, page []byte) string {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	var walk func(n *html.Node, depth int)
	walk = func(n *html.Node, depth int) {
		switch {
		case n.Type == html.TextNode && strings.TrimSpace(n.Data) != "":
			fmt.Fprintf(&out, "%s%s\n", strings.Repeat("  ", depth), strings.TrimSpace(n.Data))
		case n.Type == html.ElementNode && (n.Data == "style" || n.Data == "template"):
			return
		case n.Type == html.ElementNode && n.Data != "path" && n.Data != "rect" && n.Data != "pattern" && n.Data != "defs":
			fmt.Fprintf(&out, "%s<%s>\n", strings.Repeat("  ", depth), n.Data)
		}
		for child := n.FirstChild; child != nil; child = child.NextSibling {
			walk(child, depth+1)
		}
	}
	walk(root, -1)
	return out.String()
}

// leaves calls do with the facts changed at one place, for every value in them.
func leaves(t *testing.T, facts *certificate.Facts, do func(path string, changed *certificate.Facts)) {
	t.Helper()
	var tree any
	if err := json.Unmarshal(facts.Canonical(), &tree); err != nil {
		t.Fatal(err)
	}
	try := func(path string) {
		text, err := json.Marshal(tree)
		if err != nil {
			t.Fatal(err)
		}
		changed := &certificate.Facts{}
		if err := json.Unmarshal(text, changed); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		do(path, changed)
	}
	var walk func(path string, v any, set func(any))
	walk = func(path string, v any, set func(any)) {
		switch v := v.(type) {
		case map[string]any:
			for key, part := range v {
				walk(path+"."+key, part, func(other any) { v[key] = other })
			}
			return
		case []any:
			for i, part := range v {
				walk(fmt.Sprintf("%s.%d", path, i), part, func(other any) { v[i] = other })
			}
			if len(v) > 0 {
				set(v[:len(v)-1])
				try(path + " one less")
				set(v)
			}
			return
		case string:
			set(v + "x")
		case float64:
			set(v + 1)
		case bool:
			set(!v)
		case nil:
			return // of a number or a list that may be missing: their own leaves are tried elsewhere
		}
		try(path)
		set(v)
	}
	walk("", tree, func(any) {})
}

// Whatever fact is changed, in whatever kind of file, it is caught: whether the
// facts and the page were changed together or only the page that people see.
func TestEveryChangeOfASheetIsCaught(t *testing.T) {
	if !haveGit() {
		t.Skip("git is not installed")
	}
	l := onDemo(t, "2026-11-24")
	if err := commitDemo(l.env, l.from.book); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		ids  []string
		each int
	}{{[]string{"TF-E3"}, 0}, {[]string{"CW-H1", "CW-J1"}, 0}, {[]string{"TF-D1"}, 2}} {
		facts, drawing := l.facts(c.ids, c.each)
		if err := l.pin(&facts); err != nil || facts.Book.Commit == "" || facts.Book.Uncommitted {
			t.Fatalf("%+v, %v", facts.Book, err)
		}
		held := held{l, facts, drawing}
		whole := map[string][]byte{}
		for _, kind := range []string{"html", "pdf", "json"} {
			whole[kind] = mustWrite(t, kind, &facts, drawing)
			if v := held.judged(t, whole[kind]); v.Answer != isTrue {
				t.Fatalf("%s of %v as it was written: %s, %s", kind, c.ids, v.Answer, v.Why)
			}
		}
		n := 0
		leaves(t, &facts, func(path string, changed *certificate.Facts) {
			if path == ".format" || path == ".signing_key" || path == ".program" || path == ".each" {
				return // no facts of the book: another format, key, program or number of rows
			}
			n++
			for _, kind := range []string{"html", "pdf", "json"} {
				if !*long && n%map[string]int{"json": 1, "html": 9, "pdf": 40}[kind] != 0 {
					continue // making pages takes its time
				}
				file, err := certificate.Write(kind, changed, drawing, certificate.A4)
				if err != nil {
					continue // nothing that could be shown to anyone
				}
				if v := held.judged(t, file); v.Answer == isTrue {
					t.Errorf("%s of %v, %s: the change of facts and page went through", kind, c.ids, path)
				}
				page := swapFacts(t, kind, file, whole[kind])
				if bytes.Equal(page, whole[kind]) {
					continue // it does not show on the page
				}
				if v := held.judged(t, page); v.Answer == isTrue {
					t.Errorf("%s of %v, %s: the change of the page went through", kind, c.ids, path)
				}
			}
		})
		if n < 50 {
			t.Errorf("%v: only %d facts", c.ids, n)
		}
	}
}

func mustWrite(t *testing.T, kind string, facts *certificate.Facts, drawing *chart.Drawing) []byte {
	t.Helper()
	file, err := certificate.Write(kind, facts, drawing, certificate.A4)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// held is a book with the facts of a sheet, gathered once.
type held struct {
	*loaded
	facts   certificate.Facts
	drawing *chart.Drawing
}

// judged holds a file against the book as verify does.
func (h held) judged(t *testing.T, file []byte) verdict {
	t.Helper()
	sheet, err := certificate.Read(file)
	if err != nil {
		return verdict{Answer: isFalse, Why: err.Error()}
	}
	v := verdict{Signature: certificate.CheckSeal(sheet, ""), Fingerprint: sheet.Facts.Fingerprint()}
	if f := sheet.Facts; f.Book != h.facts.Book || f.On != h.facts.On || f.Each != h.facts.Each || !slices.Equal(f.IDs(), h.facts.IDs()) {
		if err := h.from.judge(&v, sheet); err != nil {
			t.Fatal(err)
		}
		return v
	}
	facts := h.facts
	facts.Program, facts.SigningKey = sheet.Facts.Program, sheet.Facts.SigningKey
	v.hold(&facts, h.drawing, sheet)
	v.weigh(sheet)
	return v
}

// swapFacts puts the facts inside one file into another.
func swapFacts(t *testing.T, kind string, page, from []byte) []byte {
	t.Helper()
	begin, end := `<template id="facts">`, "</template>"
	switch kind {
	case "json":
		return from // its facts are all that it is
	case "pdf":
		begin, end = "/Type /EmbeddedFile ", "endstream"
	}
	head, rest, ok := bytes.Cut(page, []byte(begin))
	_, tail, okTail := bytes.Cut(rest, []byte(end))
	_, inner, okFrom := bytes.Cut(from, []byte(begin))
	inner, _, okEnd := bytes.Cut(inner, []byte(end))
	if !ok || !okTail || !okFrom || !okEnd {
		t.Fatal("no facts in the file")
	}
	return bytes.Join([][]byte{head, []byte(begin), inner, []byte(end), tail}, nil)
}

// committed is the demo book in git, with the facts of a sheet.
func committed(t *testing.T, id string) held {
	t.Helper()
	if !haveGit() {
		t.Skip("git is not installed")
	}
	l := onDemo(t, "2026-11-24")
	if err := commitDemo(l.env, l.from.book); err != nil {
		t.Fatal(err)
	}
	facts, drawing := l.facts([]string{id}, 0)
	if err := l.pin(&facts); err != nil || facts.Book.Commit == "" {
		t.Fatalf("%+v, %v", facts.Book, err)
	}
	return held{l, facts, drawing}
}

// A byte changed anywhere in a file is caught, and so is one added or lost.
func TestEveryByteOfASheetCounts(t *testing.T) {
	held := committed(t, "TF-D1")
	facts, drawing := held.facts, held.drawing
	for _, kind := range []string{"html", "json"} {
		file := mustWrite(t, kind, &facts, drawing)
		step := max(1, len(file)/60)
		for at := 0; at < len(file); at += step {
			changed := bytes.Clone(file)
			changed[at] ^= 1
			if v := held.judged(t, changed); v.Answer == isTrue && !(kind == "json" && isSpace(file[at])) {
				t.Errorf("%s: byte %d, %q, changed to %q and not seen", kind, at, file[at], changed[at])
			}
			if v := held.judged(t, file[:at]); v.Answer == isTrue {
				t.Errorf("%s: cut at %d and not seen", kind, at)
			}
		}
	}
	file := mustWrite(t, "pdf", &facts, drawing)
	for at := 17; at < len(file); at += len(file) / 6 {
		changed := bytes.Clone(file)
		changed[at] ^= 1
		if v := held.judged(t, changed); v.Answer == isTrue {
			t.Errorf("pdf: byte %d, %q, changed and not seen", at, file[at])
		}
	}
	for _, more := range []string{"<script>alert(1)</script>", "\n", "%%EOF\n"} {
		if v := held.judged(t, append(bytes.Clone(file), more...)); v.Answer == isTrue {
			t.Errorf("pdf: %q behind it, and not seen", more)
		}
	}
}

func isSpace(b byte) bool { return b == ' ' || b == '\n' }

// A sheet of another version of the program is not called false; that its page
// could not be compared is said.
func TestSheetOfAnotherProgram(t *testing.T) {
	held := committed(t, "TF-D1")
	facts, drawing := held.facts, held.drawing
	facts.Program = "roebook 99.9"
	file := bytes.Replace(mustWrite(t, "html", &facts, drawing), []byte("Founders"), []byte("Ancestors"), 1)
	if v := held.judged(t, file); v.Answer != cannotTell || v.Facts != agree || v.Page != notChecked {
		t.Errorf("%+v", v)
	}
}
