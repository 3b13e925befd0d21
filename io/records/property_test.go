package records

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
	"roebook/pedigree"
)

// writer makes up record files in every layout that YAML allows.
type writer struct {
	t *rapid.T
	b strings.Builder
}

func (w *writer) pick(label string, from ...string) string {
	return rapid.SampledFrom(from).Draw(w.t, label)
}

// remark is a text that could mislead whoever splits a file by looking at its
// lines; indent is that of the key it belongs to.
func (w *writer) remark(indent string) string {
	in := "\n" + indent + "  "
	return w.pick("note", "plain", "it's fine", `"quoted"`, `'it''s: "x"'`, `"esc \" [ { # \u00e9"`, "a [b {c", "x # comment", "'# no comment'",
		"2021/118", "0123", "ends: ''"[6:], "\"over"+in+"two lines\"", "'over"+in+"AS-X: {wild: {}}"+in+"lines'", "|"+in+"text: with"+in+"\"quote",
		">-"+in+"folded"+in+"# not a comment", "plain over"+in+"two lines", "[not, a text]"[0:0]+"é ü", `"\ttab"`, "-3", "true", "null-ish", "- "[1:]+"dash")
}

func (w *writer) comment(indent string) {
	if rapid.IntRange(0, 4).Draw(w.t, "comment?") == 0 {
		w.b.WriteString(w.pick("comment", "\n", indent+"# a comment\n", "# stock:\n", "  \n", indent+"#  AS-1: {wild: {}}\n"))
	}
}

// record writes one record of the section; some break the rules.
func (w *writer) record(section, indent string, n int) {
	w.comment(indent)
	id := fmt.Sprintf("%s-%d", section[:2], n)
	var keys []string
	if section == "stock" {
		keys = []string{w.pick("origin", "wild: {site: pool, date: 2021-05}", "wild: {}", "bought: {generation: F3}", "spawn: sp-0", "spawn: {sp-0: 1, sp-1: 2}", "picked: st-0", "spawn: sp-9"),
			w.pick("number", "males: 3", "sex: male", "count: 4", "unsexed: -1", "females: x"), "tank: R1"}
	} else {
		keys = []string{w.pick("parents", "sire: st-0", "group: [st-0, st-1]", "sire: {st-0: 2, st-1: 1}", "repeat: sp-0", "sire: [st-1, st-1]"),
			w.pick("date", "date: 2022-01-09", "planned: 2023", "date: 2022-13"), w.pick("counts", "born: 3", "eggs: 3")}
	}
	if w.pick("layout", "flow", "block", "block") == "flow" {
		w.b.WriteString(indent + id + ": {" + strings.Join(keys, w.pick("comma", ", ", ",\n"+indent+"  ", ",\n"+indent+"  # c\n"+indent+"    ")) + "}\n")
		return
	}
	in := indent + w.pick("inner", " ", "  ", "    ")
	w.b.WriteString(indent + w.pick("key", id, `"`+id+`"`) + ":" + w.pick("after", "", " ", "  # x") + "\n")
	for _, k := range keys {
		w.comment(in)
		w.b.WriteString(in + k + "\n")
	}
	w.b.WriteString(in + "note: " + w.remark(in) + "\n")
}

// file writes one record file.
func file(t *rapid.T, name string) File {
	w := &writer{t: t}
	if rapid.IntRange(0, 9).Draw(t, "start?") == 0 {
		w.b.WriteString("---\n")
	}
	w.b.WriteString("line: amber\nnote: " + w.remark("") + "\n")
	for _, section := range []string{"stock", "spawns"} {
		w.comment("")
		w.b.WriteString(section + ":\n")
		indent := w.pick("indent", " ", "  ", "    ")
		for n := range rapid.IntRange(0, 6).Draw(t, "records") {
			w.record(section, indent, n)
		}
	}
	text := w.b.String()
	if rapid.Bool().Draw(t, "CRLF") {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	if rapid.Bool().Draw(t, "BOM") {
		text = "\ufeff" + text
	}
	return File{name, []byte(text)}
}

// sameBook compares what is written in two books.
func sameBook(a, b *pedigree.Book) bool {
	return a.Name == b.Name && reflect.DeepEqual(a.Lines, b.Lines) && reflect.DeepEqual(a.Stock, b.Stock) && reflect.DeepEqual(a.Spawns, b.Spawns)
}

// Files cut into pieces, down to single records, give the book and the problems
// that they give when parsed whole.
func TestPiecesEqualWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		files := []File{{BookFile, []byte("book: x\n")}, file(t, "a.yaml")}
		whole, wholeProblems := parse(files, nil, 0)
		for _, p := range wholeProblems {
			if p.Rule == "yaml" || p.Rule == "yaml-extras" {
				t.Fatalf("the generator made bad YAML: %v\n%s", p, files[1].Text)
			}
		}
		for _, size := range []int{1, 5, pieceLines} {
			cut, cutProblems := parse(files, nil, size)
			if !sameBook(whole, cut) {
				t.Fatalf("pieces of %d lines give another book\n%s", size, files[1].Text)
			}
			if !reflect.DeepEqual(wholeProblems, cutProblems) {
				t.Fatalf("pieces of %d lines: problems %v\nwhole: %v\n%s", size, cutProblems, wholeProblems, files[1].Text)
			}
		}
	})
}

// The generated files are really cut, or the property above would say little.
func TestGeneratedFilesAreCut(t *testing.T) {
	text := "line: amber\nstock:\n  st-0:\n    wild: {}\n    note: |\n      x: \"y\n  st-1: {wild: {}}\nspawns:\n  sp-0: {}\n"
	src := newSource("a.yaml", []byte(text))
	got := split(src, scanLayout(src), 1)
	want := [][2]int{{1, 2}, {3, 7}, {7, 8}, {9, 10}}
	for i, p := range got {
		if i >= len(want) || p.from != want[i][0] || p.to != want[i][1] {
			t.Fatalf("pieces %v, want lines %v", got, want)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d pieces, want %d", len(got), len(want))
	}
}

// The order of the files changes nothing.
func TestFileOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		files := []File{{BookFile, []byte("book: x\n")}, file(t, "a.yaml"), file(t, "b/c.yaml")}
		book, problems := Parse(files)
		turned := slices.Clone(files)
		slices.Reverse(turned)
		book2, problems2 := Parse(turned)
		if !sameBook(book, book2) || !reflect.DeepEqual(problems, problems2) {
			t.Fatalf("the order of the files matters\n%v\n%v", problems, problems2)
		}
	})
}

// recordsOf writes a file of plain records, one a line.
func recordsOf(line string, stock, spawns []string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "line: %s\nstock:\n", line)
	for _, s := range stock {
		b.WriteString("  " + s + "\n")
	}
	b.WriteString("spawns:\n")
	for _, s := range spawns {
		b.WriteString("  " + s + "\n")
	}
	return b.Bytes()
}

// forgetPlaces takes the places out of the records.
func forgetPlaces(b *pedigree.Book) {
	for _, s := range b.Stock {
		s.Where = pedigree.Where{}
	}
	for _, s := range b.Spawns {
		s.Where = pedigree.Where{}
	}
}

// The order of the records in a file, and which of two files of a line they
// stand in, change nothing but the places.
func TestRecordOrderAndSplitFiles(t *testing.T) {
	stock := []string{"A: {bought: {related: 0}, males: 2, females: 3}", "B: {spawn: S, sex: male}", "C: {picked: A, sex: female, date: 2022}",
		"D: {spawn: {S: 2, T: 1}, count: 3}", "E: {bought: {generation: 2}}"}
	spawns := []string{"S: {group: A, date: 2021}", "T: {sire: B, dam: {A: 1, C: 2}, date: 2022-03}", "U: {repeat: T, date: 2022-05, born: 9}"}
	book := File{BookFile, []byte("book: x\n")}
	want, problems := Parse([]File{book, {"a.yaml", recordsOf("x", stock, spawns)}})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	forgetPlaces(want)
	rapid.Check(t, func(t *rapid.T) {
		st, sp := rapid.Permutation(stock).Draw(t, "stock"), rapid.Permutation(spawns).Draw(t, "spawns")
		i, j := rapid.IntRange(0, len(st)).Draw(t, "i"), rapid.IntRange(0, len(sp)).Draw(t, "j")
		got, problems := Parse([]File{book, {"a.yaml", recordsOf("x", st[:i], sp[:j])}, {"b.yaml", recordsOf("x", st[i:], sp[j:])}})
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		forgetPlaces(got)
		if diff := cmp.Diff(want.Stock, got.Stock) + cmp.Diff(want.Spawns, got.Spawns); diff != "" {
			t.Fatalf("records %v %v (-want +got)\n%s", st, sp, diff)
		}
	})
}
