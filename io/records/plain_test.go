package records

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/goccy/go-yaml/parser"
	"pgregory.net/rapid"
)

// parsedEntries is what the YAML parser gives for a text; false where it finds
// anything wrong with it.
func parsedEntries(src *source) ([]entry, bool) {
	f := &fileParse{src: src}
	file, err := parser.ParseBytes([]byte(src.text), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, false
	}
	out, bad := f.convert(file, piece{from: 1, to: src.lines() + 1})
	return out.entries, bad == nil && len(out.issues) == 0
}

// describe writes entries with every place, the same for nil and empty lists.
func describe(b *strings.Builder, n node) {
	fmt.Fprintf(b, "%d %v %v %q", n.kind, n.span, n.quoted, n.text)
	for _, e := range n.entries {
		fmt.Fprintf(b, "{%q %v: ", e.key, e.at)
		describe(b, e.value)
		b.WriteByte('}')
	}
	for _, item := range n.items {
		b.WriteByte('[')
		describe(b, item)
		b.WriteByte(']')
	}
}

func described(entries []entry) string {
	var b strings.Builder
	describe(&b, node{kind: mapping, entries: entries})
	return b.String()
}

// checkPlain holds the plain reader to the parser; it reports whether the text
// was plain.
func checkPlain(t interface {
	Helper()
	Fatalf(string, ...any)
}, text []byte) bool {
	t.Helper()
	src := newSource("a.yaml", text)
	layout := scanLayout(src)
	if len(src.flaws) > 0 {
		return false
	}
	_ = layout
	got, ok := readPlain(src, 1, src.lines()+1)
	if !ok {
		return false
	}
	want, ok := parsedEntries(src)
	if !ok {
		t.Fatalf("read as plain, but the parser finds fault with it:\n%s", src.text)
	}
	if described(want) != described(got) {
		t.Fatalf("the plain reader differs\nparser: %s\nplain:  %s\n%s", described(want), described(got), src.text)
	}
	return true
}

// The plain reader gives what the parser gives, for files in every layout.
func TestPlainEqualsParser(t *testing.T) {
	plain := 0
	rapid.Check(t, func(rt *rapid.T) {
		if checkPlain(rt, plainText(rt)) {
			plain++
		}
		checkPlain(rt, file(rt, "a.yaml").Text)
	})
	if plain == 0 {
		t.Error("no text was plain")
	}
}

// plainText strings together parts of which most are plain.
func plainText(t *rapid.T) []byte {
	var b strings.Builder
	scalars := []string{"word", "AS-F1", "two words", "2024-03-05", "0123", "1.5e3", "0x1F", "1_000", "true", "null", "~", "-3", "it's", "a/b", "é ü", "b # c", "b#c", `"x: y"`, `'a # b'`, `"é"`, `""`, "''", "'it''s'", "50 %", "x:y", "a, b", ".inf", ".5", "1.", "nan", "NaN", "Null", "y", "0o17", "12:30", "a  b", "x;", "(y)", "<<", "1e5", "0b1", "e", "123abc", "+", "P/-", "F2+", "2021/118", "a = b", "99'"}
	var flow func(depth int) string
	flow = func(depth int) string {
		kind := rapid.IntRange(0, 4).Draw(t, "kind")
		if depth == 0 || kind > 1 {
			return rapid.SampledFrom(scalars).Draw(t, "scalar")
		}
		var items []string
		for i := range rapid.IntRange(0, 3).Draw(t, "items") {
			item := flow(depth - 1)
			if kind == 0 {
				item = rapid.SampledFrom([]string{"a", "b-1", "12", "1.5", "null", "true", "c.d"}).Draw(t, "key") + ": " + item
			}
			items = append(items, item+strings.Repeat(" ", i%2))
		}
		text := strings.Join(items, rapid.SampledFrom([]string{", ", ",", " , "}).Draw(t, "comma"))
		if kind == 0 {
			return "{" + text + "}"
		}
		return "[" + text + "]"
	}
	var block func(indent string, depth int)
	block = func(indent string, depth int) {
		for i := range rapid.IntRange(1, 3).Draw(t, "keys") {
			key := rapid.SampledFrom([]string{"key", "AS-F1", "1", "null", "true", "x.y", "0x1", "a_b", "2024-03-05", "y"}).Draw(t, "key")
			if depth > 0 && rapid.IntRange(0, 9).Draw(t, "comment") == 0 {
				b.WriteString(rapid.SampledFrom([]string{"# c\n", indent + "# c\n", "\n", indent + "   # c: d\n", "   \n"}).Draw(t, "comment"))
			}
			b.WriteString(indent + key + ":" + rapid.SampledFrom([]string{"", "", " ", " # c"}).Draw(t, "after"))
			switch shape := rapid.IntRange(0, 5).Draw(t, "shape"); {
			case shape == 0 && depth > 0:
				b.WriteString("\n")
				block(indent+strings.Repeat(" ", 1+i), depth-1)
			case shape == 1 && depth > 0:
				b.WriteString("\n")
				for range rapid.IntRange(1, 3).Draw(t, "items") {
					b.WriteString(indent + "  - ")
					if rapid.Bool().Draw(t, "mapping") {
						b.WriteString("k: " + flow(1) + "\n" + indent + "    l: " + flow(1) + "\n")
					} else {
						b.WriteString(flow(2) + "\n")
					}
				}
			default:
				b.WriteString(" " + flow(2) + rapid.SampledFrom([]string{"", "", " ", "  # c"}).Draw(t, "end") + "\n")
			}
		}
	}
	block("", 3)
	return []byte(b.String())
}

// The book with lots is plain from end to end.
func TestBigBookIsPlain(t *testing.T) {
	for _, f := range bigBook(2, 3, 1) {
		if !checkPlain(t, f.Text) {
			t.Errorf("%s is not plain", f.Path)
		}
	}
}

// FuzzPlain looks for a text that the plain reader takes for what the parser
// does not.
func FuzzPlain(f *testing.F) {
	for _, c := range problemCases(f) {
		for _, file := range c.files {
			f.Add(file.Text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) < 1<<14 {
			checkPlain(t, text)
		}
	})
}

// A book read with the parser alone is the same, problems and all.
func TestPlainPiecesInBook(t *testing.T) {
	src := newSource("a.yaml", []byte("line: amber\nstock:\n  st-0: {wild: {}}\n"))
	f := &fileParse{src: src}
	parts, failures := f.parsePiece(piece{section: &section{name: "stock"}, from: 3, to: 4})
	if len(failures) > 0 || len(parts) != 1 || parts[0].section.name != "stock" || parts[0].entries[0].at != (span{3, 3, 4}) {
		t.Errorf("%+v %+v", parts, failures)
	}
	if !reflect.DeepEqual(parts[0].issues, []issue(nil)) {
		t.Error(parts[0].issues)
	}
}
