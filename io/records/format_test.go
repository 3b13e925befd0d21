package records

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The canonical form says the same, keeps every comment (which Format itself
// proves) and is its own canonical form.
func TestFormatInAnyHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, _ := handwritten(t, "a.yaml")
		once, err := Format(f)
		if err != nil {
			t.Fatalf("%v\n%s\n---\n%s", err, f.Text, once)
		}
		twice, err := Format(File{f.Path, once})
		if err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%v\n%s\n--- once\n%s\n--- twice\n%s", err, f.Text, once, twice)
		}
	})
}

func TestFormatDemo(t *testing.T) {
	for _, name := range []string{"tessamora-ford", "candlewick", "glowlight-danio"} {
		text, err := os.ReadFile("../../testdata/demo/lines/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		once, err := Format(File{name + ".yaml", text})
		if err != nil {
			t.Fatal(err)
		}
		if twice, err := Format(File{name + ".yaml", once}); err != nil || !bytes.Equal(once, twice) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Comments between brackets stay beside the key or entry that they stand beside,
// and once formatted is formatted.
func TestFormatCommentsInBrackets(t *testing.T) {
	const head, in = "line: x\n\nstock:\n", "  L: {wild: {}, males: 9, females: 9, "
	block := head + "  L:\n    wild: {}\n    males: 9\n    females: 9\n"
	for name, c := range map[string]struct{ from, to string }{
		"at every bracket": {head + in + `changes: [ # one
      {date: 2024-02-02, males: 8, # why not
        females: 9}, # two
      # three
      {date: 2024-03-03, males: 7, females: 9} # four
      # five
    ], # six
    tank: T1} # seven
`, head + `  L:  # seven
    wild: {}
    males: 9
    females: 9
    tank: T1
    changes:  # one
      -  # two
        date: 2024-02-02
        males: 8  # why not
        females: 9
      # three
      - {date: 2024-03-03, males: 7, females: 9}  # four
      # five
      # six
`},
		"of an item that begins": {head + in + "changes: [{date: 2024-02-02, males: 8}, { # one\n    # two\n    males: 7, date: 2024-03-03 # three\n    # four\n    }]}\n",
			block + `    changes:
      - {date: 2024-02-02, males: 8}
      -  # one
        date: 2024-03-03  # three
        # two
        males: 7
        # four
`},
		"between empty brackets": {head + in + "changes: [ # one\n    # two\n    ], # three\n    tank: T1}\n",
			block + "    tank: T1\n    changes: []  # one\n      # two\n      # three\n"},
		"under a dash": {block + "    changes:\n      -\n        # one\n        date: 2024-02-02\n        males: 8\n        # two\n      - date: 2024-03-03\n        males: 7\n",
			block + "    changes:\n      -\n        # one\n        date: 2024-02-02\n        males: 8\n        # two\n      - {date: 2024-03-03, males: 7}\n"},
		"at the end of texts": {head + "  A:\n    note: |\n      one\n      two\n     # of the note\n    why: " + strings.Repeat("much to say ", 12) + "\n     # of the why\n",
			head + "  A:\n    note: |\n      one\n      two\n     # of the note\n    why: >-\n      " + strings.TrimRight(strings.Repeat("much to say ", 9), " ") +
				" much\n      to say much to say much to say\n     # of the why\n"},
	} {
		once, err := Format(File{"a.yaml", []byte(c.from)})
		if err != nil || string(once) != c.to {
			t.Errorf("%s: %v\n%s\nwant\n%s", name, err, once, c.to)
			continue
		}
		if twice, err := Format(File{"a.yaml", once}); err != nil || !bytes.Equal(once, twice) {
			t.Errorf("%s: again: %v\n%s", name, err, twice)
		}
	}
}

// A comment that comes to stand beside something else is found by its line.
func TestMovedComments(t *testing.T) {
	read := func(text string) []standing {
		r, err := readWritten(File{"a.yaml", []byte("line: x\nstock:\n" + text)})
		if err != nil {
			t.Fatal(err)
		}
		return r.standing()
	}
	before := read("  A: {wild: {}, males: 1, # one\n    females: 2}\n  B: {picked: A}\n")
	for after, line := range map[string]int{
		"  A:\n    wild: {}\n    # one\n    males: 1\n    females: 2\n": 0,
		"  A:\n    wild: {}\n    males: 1\n    females: 2  # one\n":     3,
		"  A:  # one\n    males: 1\n":                                   3,
		"  A: {}\n":                                                     3,
	} {
		if got := moved(before, read(after)); got != line {
			t.Errorf("line %d, want %d:\n%s", got, line, after)
		}
	}
}

// bracketed writes a record with comments at any place between its brackets. Each
// comment is the place that it stands beside.
type bracketed struct{ hand }

func (b *bracketed) here(place string, own bool) {
	if rapid.IntRange(0, 3).Draw(b.t, "comment") > 0 {
		return
	}
	if own {
		b.b.WriteString("\n" + b.pick("column", "", "   ", "           "))
	}
	b.b.WriteString(" # " + place)
	b.b.WriteString("\n     ")
}

// value writes a text, or a list or group of values in brackets.
func (b *bracketed) value(place string, v any) {
	open, closing, n := "{", "}", 0
	var name func(i int) (place, key string)
	var part func(i int) any
	switch v := v.(type) {
	case string:
		b.b.WriteString(v)
		return
	case []any:
		open, closing, n = "[", "]", len(v)
		name = func(i int) (string, string) { return fmt.Sprintf("%s/%d", place, i), "" }
		part = func(i int) any { return v[i] }
	case [][2]any:
		n = len(v)
		name = func(i int) (string, string) { return fmt.Sprintf("%s/%q", place, v[i][0]), v[i][0].(string) + ": " }
		part = func(i int) any { return v[i][1] }
	}
	b.b.WriteString(open)
	b.here(place, false)
	for i := range n {
		at, key := name(i)
		b.here(at, true)
		b.b.WriteString(" " + key)
		b.value(at, part(i))
		b.here(at, false)
		if i < n-1 || b.yes("comma") {
			b.b.WriteString(",")
			b.here(at, false)
		}
	}
	b.here(place, true)
	b.b.WriteString(" " + closing)
}

// Wherever comments stand between brackets, they stay beside the same.
func TestFormatKeepsCommentsBeside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := &bracketed{hand: hand{writer: writer{t: t}}}
		group := func(parts ...any) (g [][2]any) {
			for i := 0; i < len(parts); i += 2 {
				g = append(g, [2]any{parts[i], parts[i+1]})
			}
			return g
		}
		record := group("males", "9", "wild", group("date", "2021-05", "site", "pool"), "changes", []any{
			group("females", "8", "date", "2024-02-02"), group(), group("date", "2024-03-03", "males", "7")}, "sold", []any{group("date", "2022", "males", "1")},
			"spawn", group("S", "1"), "merged", []any{"B", "C"}, "tank", "T1")
		record = record[rapid.IntRange(0, 4).Draw(t, "first"):]
		b.b.WriteString("line: x\nstock:\n  A:")
		if b.yes("flow") {
			b.b.WriteString(" ")
			b.value(`/"stock"/"A"`, record)
			b.here(`/"stock"/"A"`, false)
		} else {
			for _, p := range record {
				place := fmt.Sprintf(`/"stock"/"A"/%q`, p[0])
				b.b.WriteString("\n    " + p[0].(string) + ": ")
				b.value(place, p[1])
				b.b.WriteString(b.pick("behind", "", " # "+place))
			}
		}
		b.b.WriteString("\n  B: {picked: A}\n")
		text := b.b.String()
		once, err := Format(File{"a.yaml", []byte(text)})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		after, err := readWritten(File{"a.yaml", once})
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(text, "#"); n != len(after.remarks) {
			t.Fatalf("%d comments of %d\n%s\n---\n%s", len(after.remarks), n, text, once)
		}
		for _, r := range after.remarks {
			if got := strings.ReplaceAll(r.of.place(), "\t", "/"); "# "+got != r.words {
				t.Fatalf("%s stands beside %s\n%s\n---\n%s", r.words, got, text, once)
			}
		}
		if twice, err := Format(File{"a.yaml", once}); err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%v\n%s\n--- once\n%s\n--- twice\n%s", err, text, once, twice)
		}
	})
}
