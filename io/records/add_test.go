package records

import (
	"strings"
	"testing"
)

// Where a new record goes, and in what style: by the order of the file, as its
// neighbours are.
func TestNewRecordsGoWhereTheFileSays(t *testing.T) {
	fish := Edit{Section: "stock", ID: "X-2", Line: "x", New: true, Set: []Pair{{"wild", Map(Pair{"date", Scalar("2022-05-01")})}, {"males", Int(2)}}}
	spawn := Edit{Section: "spawns", ID: "S-2", Line: "x", New: true, Set: []Pair{{"date", Scalar("2022-05-01")}, {"born", Int(5)}}}
	for _, c := range []struct {
		name      string
		edit      Edit
		old, want string
	}{
		{"by id", fish, "stock:\n  X-1: {wild: {}}\n  X-10: {wild: {}}\n", "stock:\n  X-1: {wild: {}}\n  X-2: {wild: {date: 2022-05-01}, males: 2}\n  X-10: {wild: {}}\n"},
		{"first", fish, "stock:\n  # of X-3\n  X-3: {wild: {}}\n  X-4: {wild: {}}\n", "stock:\n  # of X-3\n  X-2: {wild: {date: 2022-05-01}, males: 2}\n  X-3: {wild: {}}\n  X-4: {wild: {}}\n"},
		{"by date", fish, "stock:\n  X-9: {wild: {date: 2021}}\n  X-3: {wild: {date: 2022-06-01}}\n  # end\n",
			"stock:\n  X-9: {wild: {date: 2021}}\n  X-2: {wild: {date: 2022-05-01}, males: 2}\n  X-3: {wild: {date: 2022-06-01}}\n  # end\n"},
		{"block style, own indentation, a blank line between", fish, "stock:\n    X-0:\n       wild: {}\n       # own remark\n\n    X-1:\n       wild: {}\n\n# next\nnote: x\n",
			"stock:\n    X-0:\n       wild: {}\n       # own remark\n\n    X-1:\n       wild: {}\n\n    X-2:\n       wild: {date: 2022-05-01}\n       males: 2\n\n# next\nnote: x\n"},
		{"no section", spawn, "stock:\n  X-1: {wild: {}}\n", "stock:\n  X-1: {wild: {}}\n\nspawns:\n  S-2: {date: 2022-05-01, born: 5}\n"},
		{"no section, no last newline", spawn, "note: a", "note: a\n\nspawns:\n  S-2: {date: 2022-05-01, born: 5}"},
		{"an empty section with examples", spawn, "spawns:   # who bred\n#  X-S1: {}\nnote: b\n", "spawns:   # who bred\n  S-2: {date: 2022-05-01, born: 5}\n#  X-S1: {}\nnote: b\n"},
		{"a section in brackets", spawn, "spawns: {S-1: {date: 2021}}\n", "spawns: {S-1: {date: 2021}, S-2: {date: 2022-05-01, born: 5}}\n"},
		{"an empty section in brackets", spawn, "spawns: {}\n", "spawns: {S-2: {date: 2022-05-01, born: 5}}\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, ending := range []string{"\n", "\r\n"} {
				old, want := strings.ReplaceAll("line: x\n"+c.old, "\n", ending), strings.ReplaceAll("line: x\n"+c.want, "\n", ending)
				d := NewDraft([]File{{BookFile, []byte("book: b\n")}, {"a.yaml", []byte(old)}})
				after, _, err := d.Edit(c.edit)
				if err != nil {
					t.Fatal(err)
				}
				if got := string(after.File("a.yaml")); got != want {
					t.Errorf("got\n%s\nwant\n%s", got, want)
				}
			}
		})
	}
}

// What cannot be edited is refused, and says where.
func TestRefusedEdits(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"stock:\n  A: &x\n    wild: {}\n", "anchors"},
		{"stock:\n  A:\n", "no keys to change"},
		{"stock:\n  B: {wild: {}}\n", "no record of `A`"},
	} {
		d := NewDraft([]File{{BookFile, []byte("book: b\n")}, {"a.yaml", []byte("line: x\n" + c.text)}})
		_, _, err := d.Edit(Edit{Section: "stock", ID: "A", Set: []Pair{{"tank", Scalar("R1")}}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
}

// Every key of a record has its place in the order in which keys are written.
func TestEveryKeyHasItsPlace(t *testing.T) {
	for section, kind := range map[string]string{"stock": "stock", "spawns": "spawn"} {
		fields := Fields(kind)
		for _, f := range fields {
			if rank(section, f.Key) == len(keyOrder[section]) {
				t.Errorf("%s of %s has none", f.Key, section)
			}
		}
		if len(fields) != len(keyOrder[section]) {
			t.Errorf("%d keys of %s, %d in the order", len(fields), section, len(keyOrder[section]))
		}
	}
}
