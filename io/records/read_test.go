package records

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"roebook/pedigree"
)

// folderOf writes files to a new folder.
func folderOf(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		at := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestRead(t *testing.T) {
	dir := folderOf(t, map[string]string{
		"roebook.yaml":      "book: Test\nkeeper: somebody\nid-prefix: AS\n",
		"lines/a.yaml":      "line: a\nstock:\n  A1: {wild: {}}\n",
		"lines/deep/b.yaml": "line: b\nstock:\n  B1: {picked: X1, males: x}\n",
		".git/c.yaml":       "nonsense: 1\n",
		"lines/.d.yaml":     "nonsense: 1\n",
		"notes.txt":         "nothing\n",
		"e.yml":             "line: e\n",
	})
	if err := os.Symlink(dir, filepath.Join(dir, "lines", "loop")); err != nil {
		t.Skip(err)
	}
	if err := os.Symlink(filepath.Join(dir, "nowhere"), filepath.Join(dir, "f.yaml")); err != nil {
		t.Fatal(err)
	}
	book, problems, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"e.yml:1:1 file-name", "f.yaml:1:1 unreadable-file", "lines/deep/b.yaml:3:27 wrong-kind", "lines/loop:1:1 linked-folder"}
	if diff := cmp.Diff(want, places(problems)); diff != "" {
		t.Errorf("problems (-want +got)\n%s", diff)
	}
	if book.Name != "Test" || book.Keeper != "somebody" || book.IDPrefix != "AS" || book.StockByID("A1") == nil || book.StockByID("B1") == nil {
		t.Errorf("book %+v", book)
	}
	// X1 may be defined in the file that cannot be read.
	for _, p := range problems {
		if p.Rule == "unreadable-file" && !cmp.Equal(p.Records, []string{"B1"}) {
			t.Errorf("unreadable records %v, want B1", p.Records)
		}
	}
	if got := Source(dir, "lines/a.yaml"); !bytes.HasPrefix(got, []byte("line: a")) {
		t.Errorf("source %q", got)
	}
	if got := Source(dir, "../../etc/hostname"); got != nil {
		t.Errorf("a source outside of the book: %q", got)
	}
}

func TestReadNoBook(t *testing.T) {
	for _, dir := range []string{t.TempDir(), filepath.Join(t.TempDir(), "nowhere")} {
		if _, _, err := Read(dir); err == nil {
			t.Errorf("Read(%s) gives no error", dir)
		}
	}
}

func TestUnreadableFile(t *testing.T) {
	dir := folderOf(t, map[string]string{"roebook.yaml": "book: x\n", "a.yaml": "line: a\n", "sub/b.yaml": "line: b\n"})
	os.Chmod(filepath.Join(dir, "a.yaml"), 0)
	os.Chmod(filepath.Join(dir, "sub"), 0)
	t.Cleanup(func() { os.Chmod(filepath.Join(dir, "sub"), 0o755) })
	if _, err := os.ReadFile(filepath.Join(dir, "a.yaml")); err == nil {
		t.Skip("permissions do not bind this user")
	}
	_, problems, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"a.yaml:1:1 unreadable-file", "sub:1:1 unreadable-file"}, places(problems)); diff != "" {
		t.Error(diff)
	}
}

func TestTooLargeFile(t *testing.T) {
	dir := folderOf(t, map[string]string{"roebook.yaml": "book: x\n", "a.yaml": ""})
	if err := os.Truncate(filepath.Join(dir, "a.yaml"), maxFile+1); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	_, problems, err := Read(dir)
	if err != nil || len(problems) != 1 || problems[0].Rule != "file-size" {
		t.Errorf("problems %v, %v", problems, err)
	}
	if took := time.Since(start); took > time.Second {
		t.Errorf("it took %v: the file was read", took)
	}
}

func TestFind(t *testing.T) {
	dir := folderOf(t, map[string]string{"roebook.yaml": "book: x\n", "lines/deep/a.yaml": "line: a\n"})
	got, err := Find(filepath.Join(dir, "lines", "deep"))
	if err != nil || got != dir {
		t.Errorf("Find gives %q, %v; want %q", got, err, dir)
	}
	if got, err := Find(t.TempDir()); err == nil {
		t.Errorf("Find gives %q where there is no book", got)
	}
}

// TestHostile gives texts that could hang or crash a reader. Each must be told
// within a few seconds.
func TestHostile(t *testing.T) {
	many := func(text string, n int) string { return strings.Repeat(text, n) }
	for name, text := range map[string]string{
		"open lists":        "line: a\nx: " + many("[", 1<<20),
		"open maps":         "line: a\nx: " + many("{a: ", 1<<19),
		"lists over lines":  "line: a\nx:\n" + many(" [\n", 1<<17),
		"dashes":            "line: a\nx:\n  " + many("- ", 1<<17) + "x\n",
		"stairs":            stairs(2000),
		"one long text":     "line: a\nnote: " + many("x", 4<<20) + "\n",
		"one long line":     "line: a\nstock: {" + many("A: {wild: {}}, ", 20_000) + "}\n",
		"all one key":       "line: a\nstock:\n" + many("  A: {wild: {}}\n", 20_000),
		"unknown ids":       "line: a\nspawns:\n" + unknownIDs(20_000),
		"aliases":           "line: a\na: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
		"NULs":              "line: a\n" + many("\x00", 1<<20),
		"carriage returns":  many("line: a\r", 1000),
		"Latin-1":           "line: a\nstock:\n" + many("  A: {wild: {site: caf\xe9}}\n", 20_000),
		"tanks":             "line: a\ntanks:\n" + manyTanks(50_000) + "spawns:\n  S1: {sire: A9}\n",
		"spawns in stock":   "line: a\nstock:\n" + many("  S: {born: 20}\n", 20_000),
		"comments":          "line: a\nstock:\n" + many("  A: {wild: {site: club #4}}\n", 20_000),
		"UTF-16":            "\xff\xfel\x00i\x00n\x00e\x00",
		"invalid UTF-8":     many("\xff\n", 1000),
		"quotes":            "line: a\nnote: " + many("'", 100_001),
		"brackets in notes": "line: a\nstock:\n" + many("  A:\n    wild: {}\n    note: a [ b { c\n", 5000),
		"percent":           "%YAML 1.2\n---\nline: a\n",
		"empty keys":        "line: a\nstock:\n  : {wild: {}}\n  ? x\n  : y\n",
		"a key in brackets": "[a]: b\n{c: d}: e\n",
		"only a bracket":    "]",
		"tabs":              many("\t", 1000) + "\n\t\t- \t:\t",
		"question marks":    many("? ", 1000),
		"one mapping":       "line: a\nstock:\n  A:\n" + many("    note: x\n", maxPieceLines+1),
	} {
		t.Run(name, func(t *testing.T) {
			start := time.Now()
			book, problems := Parse([]File{{BookFile, []byte("book: x\n")}, {"a.yaml", []byte(text)}})
			if book == nil || len(problems) == 0 && name != "one long text" {
				t.Error("nothing is told")
			}
			if took := time.Since(start); took > 10*time.Second {
				t.Errorf("it took %v", took)
			}
			checkPlaces(t, []byte(text), &pedigree.Book{}, problems[:min(len(problems), 50)])
		})
	}
}

func stairs(n int) string {
	var b strings.Builder
	b.WriteString("line: a\n")
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

func manyTanks(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "  R%d: {litres: 60}\n", i)
	}
	return b.String()
}

func unknownIDs(n int) string {
	var b strings.Builder
	for i := range n {
		id := strings.Repeat("x", i%50+1) + string(rune('a'+i%26))
		b.WriteString("  S" + id + string(rune('A'+i%7)) + ": {sire: F" + id + "}\n")
	}
	return b.String()
}

// What a keeper writes stays as it is written, whatever YAML would make of it.
// The values are those that the parser's own decoding is known to change.
func TestTextAsWritten(t *testing.T) {
	for written, want := range map[string]string{
		"2021/118": "2021/118", "0123": "0123", "0xFF": "0xFF", "1_000": "1_000", "1.10": "1.10", "true": "true", "yes": "yes",
		"2021-05-03": "2021-05-03", "1e3": "1e3", ".inf": ".inf", `"0123"`: "0123", `'it''s'`: "it's", `"a\u00e9\"b"`: `aé"b`,
		"-3": "-3", "12:30:00": "12:30:00", "é ü": "é ü", "a # comment": "a", "\"two\n      lines\"": "two lines",
		"|\n      two\n      lines\n": "two\nlines",
	} {
		text := "line: a\nstock:\n  A1:\n    wild: {}\n    name: " + written + "\n"
		book, problems := Parse([]File{{BookFile, []byte("book: x\n")}, {"a.yaml", []byte(text)}})
		if len(problems) > 0 {
			t.Errorf("%s: %v", written, problems)
		} else if got := book.StockByID("A1").Name; got != want {
			t.Errorf("%s is read as %q, want %q", written, got, want)
		}
	}
	text := "line: 007\nstock:\n  0123: {wild: {}, males: 1}\n  1: {picked: 0123}\n  true: {picked: 0123}\n  null: {picked: 0123}\n  1.10: {picked: 0123}\n"
	book, problems := Parse([]File{{BookFile, []byte("book: 1\n")}, {"a.yaml", []byte(text)}})
	if len(problems) > 0 || book.Name != "1" || book.LineNamed("007") == nil {
		t.Fatal(problems)
	}
	for _, id := range []string{"0123", "1", "true", "null", "1.10"} {
		if book.StockByID(id) == nil {
			t.Errorf("the id %s is lost", id)
		}
	}
}

// Places count characters, in the file as the keeper sees it, with a byte order
// mark, CRLF and comments.
func TestWhere(t *testing.T) {
	text := "\ufeffline: ä   # c\r\n# c\r\nstock:\r\n  É1: {wild: {site: \"é\"}, sold: {date: 2022, males: 1}, males: 2}\r\n" +
		"  A2:\r\n    spawn:\r\n      S1: 2   # c\r\n      \"S2\": 1\r\n    changes:\r\n      - date: 2023\r\n        males: 1\r\n    males: 3\r\nspawns:\r\n" +
		"  S1: {sire: [É1, A2]}\r\n  S2: {dam: {É1: 2}, group: }\r\n"
	book, _ := Parse([]File{{BookFile, []byte("book: x\n")}, {"a.yaml", []byte(text)}})
	for _, c := range []struct {
		where     pedigree.Where
		path      string
		line, col int
		width     int
	}{
		{book.Lines[0].Where, "line", 1, 7, 1},
		{book.StockByID("É1").Where, "", 4, 3, 2},
		{book.StockByID("É1").Where, "wild", 4, 14, 11},
		{book.StockByID("É1").Where, "wild.site", 4, 21, 3},
		{book.StockByID("É1").Where, "sold[0].males", 4, 53, 1},
		{book.StockByID("É1").Where, "males", 4, 64, 1},
		{book.StockByID("A2").Where, "spawn", 6, 5, 5},
		{book.StockByID("A2").Where, "spawn.S1", 7, 7, 2},
		{book.StockByID("A2").Where, "spawn.S2", 8, 7, 4},
		{book.StockByID("A2").Where, "changes", 9, 5, 7},
		{book.StockByID("A2").Where, "changes[0]", 10, 9, 4},
		{book.StockByID("A2").Where, "changes[0].males", 11, 16, 1},
		{book.SpawnByID("S1").Where, "sire[1]", 14, 19, 2},
		{book.SpawnByID("S1").Where, "sire[0]", 14, 15, 2},
		{book.SpawnByID("S2").Where, "dam.É1", 15, 14, 2},
	} {
		at := c.where.At(c.path)
		if at.Line != c.line || at.Column != c.col || at.Width != c.width || c.path != "" && !c.where.Has(c.path) {
			t.Errorf("%s stands at %d:%d+%d, want %d:%d+%d", c.path, at.Line, at.Column, at.Width, c.line, c.col, c.width)
		}
	}
}

func TestFields(t *testing.T) {
	for _, record := range []string{"book", "line", "tank", "stock", "spawn", "locus"} {
		seen := map[string]bool{}
		for _, f := range Fields(record) {
			if f.Key == "" || f.Meaning == "" || seen[f.Key] || f.Kind.String() == "" {
				t.Errorf("%s: field %+v", record, f)
			}
			seen[f.Key] = true
		}
	}
	if Fields("nothing") != nil {
		t.Error("fields of an unknown type of record")
	}
}
