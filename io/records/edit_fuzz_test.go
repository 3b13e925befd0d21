package records

import (
	"bytes"
	"testing"
)

// Whatever stands in a file, edits and the canonical form either fail or hold:
// lines that are not the record's stay, and the form of the form is itself.
func FuzzEdit(f *testing.F) {
	for _, text := range []string{
		"line: x\nstock:\n  A: {wild: {}, tank: R1}\n  B:\n    wild: {}\n    sold:\n      date: 2020\n    note: |\n      a\nspawns:\n  S: {sire: A}\n",
		"line: x\r\nstock: {A: {wild: {},\r\n tank: \"R\"} , B: {}}\r\n",
		"\ufeff---\nstock:\n- A\n", "stock:\n  A: &a {wild: {}}\n  B: *a\n", "stock:\n  'A': {sold: [{date: 2020}], \"note\": 'it''s'} # c\n  ? B\n",
		"stock:\n  A:\n    changes:\n    - date: 2020 # c\n      males: 2\n\n    -\n      date: 2021\n  B: {}",
	} {
		f.Add([]byte(text))
	}
	for _, c := range problemCases(f) {
		for _, file := range c.files {
			f.Add(file.Text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 1<<14 {
			return
		}
		d := NewDraft([]File{{BookFile, []byte("book: x\n")}, {"a.yaml", text}})
		for _, e := range []Edit{
			{Section: "stock", ID: "A", Set: []Pair{{"tank", Scalar("R 2")}}},
			{Section: "stock", ID: "A", Append: []Pair{{"sold", Map(Pair{"date", Scalar("2024-03-05")})}}},
			{Section: "stock", ID: "A", Append: []Pair{{"note", Scalar("more")}}},
			{Section: "stock", ID: "A", Remove: []string{"tank"}},
			{Section: "stock", ID: "A", Rename: "C"},
			{Section: "stock", ID: "C", Line: "x", New: true, File: "a.yaml", Set: []Pair{{"wild", Map()}}},
			{Section: "spawns", ID: "T", Line: "x", New: true, File: "a.yaml", Set: []Pair{{"sire", Scalar("A")}}},
		} {
			after, _, err := d.Edit(e)
			if err != nil {
				continue
			}
			got := after.Book.StockByID("A")
			if e.Set != nil && !e.New && (got == nil || got.Tank != "R 2") {
				t.Errorf("%+v\n%s\n----\n%s", e, text, after.File("a.yaml"))
			}
			if e.New && after.Book.StockByID(e.ID) == nil && after.Book.SpawnByID(e.ID) == nil {
				t.Errorf("%+v\n%s\n----\n%s", e, text, after.File("a.yaml"))
			}
		}
		once, err := Format(File{"a.yaml", text})
		if err != nil {
			return
		}
		if twice, err := Format(File{"a.yaml", once}); err != nil || !bytes.Equal(once, twice) {
			t.Errorf("%v\n%q\n---- once\n%s\n---- twice\n%s", err, text, once, twice)
		}
	})
}
