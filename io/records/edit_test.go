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

// hand writes record files as keepers do, each in a way of their own, and knows
// which lines are whose.
type hand struct {
	writer
	lines map[string][2]int // first and last line of each record
}

func (h *hand) line() int { return strings.Count(h.b.String(), "\n") + 1 }

func (h *hand) yes(label string) bool { return rapid.Bool().Draw(h.t, label) }

// remarkAfter is what may stand behind a value.
func (h *hand) remarkAfter() string {
	return h.pick("after", "", "", "", "   ", "  # a remark", " # {odd: [remark, \"'")
}

// group writes keys in brackets, on one line or over several.
func (h *hand) group(indent string, keys []string) string {
	in := "\n" + indent + h.pick("deeper", "  ", "     ")
	switch h.pick("brackets", "tight", "tight", "loose", "lines", "comments", "comma", "ragged") {
	case "loose":
		return "{ " + strings.Join(keys, " , ") + " }"
	case "lines":
		return "{" + in + strings.Join(keys, ","+in) + "\n" + indent + " }"
	case "comments":
		return "{ # begins" + in + strings.Join(keys, ", # one }"+in) + " # last ]\n" + indent + " }"
	case "comma":
		return "{" + in + strings.Join(keys, ","+in) + ",\n" + indent + " }"
	case "ragged":
		return "{" + strings.Join(keys, ","+in) + "}"
	}
	return "{" + strings.Join(keys, ", ") + "}"
}

// list writes groups of keys as a list at a key of that indentation.
func (h *hand) list(key, indent string, groups [][]string) string {
	out := key + ":"
	switch h.pick("list", "flow", "flow items", "block items", "dashes at key") {
	case "flow":
		var items []string
		for _, g := range groups {
			items = append(items, "{"+strings.Join(g, ", ")+"}")
		}
		return out + " [" + strings.Join(items, h.pick("between", ", ", ",\n"+indent+"   ")) + "]"
	case "block items":
		gap := h.pick("gap", " ", "   ")
		for _, g := range groups {
			out += "\n" + indent + "  -" + gap + strings.Join(g, h.remarkAfter()+"\n"+indent+"   "+gap)
		}
		return out
	case "dashes at key":
		for _, g := range groups {
			out += "\n" + indent + "- " + h.group(indent+"  ", g)
		}
		return out
	}
	for _, g := range groups {
		out += h.pick("comment in list", "", "\n"+indent+"  # a count") + "\n" + indent + "   - {" + strings.Join(g, ", ") + "}" + h.remarkAfter()
	}
	return out
}

func (h *hand) note(indent string) string {
	in := "\n" + indent + "  "
	return "note: " + h.pick("note", "plain", "it's fine", `"quoted: text"`, `'it''s'`, "a [b {c", "2021/118", "0123", "\"over"+in+"two\"", "|"+in+"text: with"+in+"\"quote",
		">-"+in+"folded"+in+"# not a comment", "plain over"+in+"two lines", "é ü", "|+"+in+"kept\n")
}

func (h *hand) own(section, indent string, n int) {
	h.comment(indent)
	id := fmt.Sprintf("%s-%d", section[:2], n)
	first := h.line()
	flow := h.yes("flow")
	in := indent + h.pick("inner", " ", "  ", "    ")
	keys := []string{h.pick("parents", "sire: st-0", "group: [st-0, st-1]", "sire: {st-0: 2, st-1: 1}", "dam: [st-1]"), "date: 2022-01-09", "born: 30"}
	if section == "stock" {
		keys = []string{h.pick("origin", "wild: {site: pool, date: 2021-05}", "bought: {generation: F3}", "spawn: sp-0", "spawn: {sp-0: 1, sp-1: 2}", "picked: st-0", "merged: {st-1: 1}"),
			"males: 8", "females: 7", h.pick("tank", "tank: R1", `"tank": "R 1"`, "tank:   R1")}
		if !flow && h.yes("tank below") {
			keys[3] = "tank:" + h.remarkAfter() + "\n" + in + "  R1"
		}
		lent := []string{"date: 2022-05-01", "to: a friend"}
		if flow {
			keys = append(keys, "lent: {"+strings.Join(lent, ", ")+"}")
		} else {
			keys = append(keys, h.list("lent", in, [][]string{lent}))
		}
		if h.yes("changes") {
			groups := [][]string{{"date: 2022-02-01", "males: 7", "females: 7"}, {"date: 2023", "count: 4"}}[:rapid.IntRange(1, 2).Draw(h.t, "n")]
			if flow {
				keys = append(keys, "changes: [{"+strings.Join(groups[0], ", ")+"}]")
			} else {
				keys = append(keys, h.list("changes", in, groups))
			}
		}
		switch sold := []string{"date: 2022-05-01", "males: 1"}; {
		case !h.yes("sold"):
		case flow || h.yes("sold flow"):
			keys = append(keys, "sold: {"+strings.Join(sold, ", ")+"}")
		default:
			keys = append(keys, "sold:\n"+in+"  "+strings.Join(sold, h.remarkAfter()+"\n"+in+"  "))
		}
	}
	if flow {
		h.b.WriteString(indent + h.pick("key", id, `"`+id+`"`) + ": " + h.group(indent, keys) + h.remarkAfter() + "\n")
	} else {
		h.b.WriteString(indent + id + ":" + h.remarkAfter() + "\n")
		if h.yes("note") {
			keys = append(keys, h.note(in))
		}
		for _, k := range keys {
			h.b.WriteString(h.pick("above", "", "", "", in+"# of the next key\n", "\n"))
			h.b.WriteString(in + k)
			if !strings.Contains(k, "\n") && !strings.HasPrefix(k, "note") {
				h.b.WriteString(h.remarkAfter())
			}
			h.b.WriteString("\n" + h.pick("below", "", "", "", in+"   # of the key above\n"))
		}
	}
	h.lines[id] = [2]int{first, h.line() - 1}
}

func handwritten(t *rapid.T, name string) (File, *hand) {
	h := &hand{writer{t: t}, map[string][2]int{}}
	h.b.WriteString(h.pick("start", "", "", "---\n", "# about the line\n\n") + "line: amber  # a remark\n" + h.pick("kin", "", "related-founders: [{of: [st-0, st-1], kinship: 0.1}]\n"))
	for _, section := range []string{"stock", "spawns"} {
		h.comment("")
		h.b.WriteString(section + ":" + h.remarkAfter() + "\n")
		indent := h.pick("indent", " ", "  ", "    ")
		for n := range rapid.IntRange(2, 4).Draw(t, "records") {
			h.own(section, indent, n)
		}
	}
	text := h.b.String()
	if rapid.IntRange(0, 4).Draw(t, "cut") == 0 {
		text = strings.TrimRight(text, "\n")
	}
	if h.yes("CRLF") {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	if h.yes("BOM") {
		text = "\ufeff" + text
	}
	return File{name, []byte(text)}, h
}

// task is an edit and what it does to the book, said in another way.
type task struct {
	Edit
	do func(b *pedigree.Book)
}

func someTask(t *rapid.T) task {
	text := rapid.SampledFrom([]string{"R2", "a: b", "with # mark", "0123", "it's \"so\"", "über, und [x]", "null", "- dash"}).Draw(t, "text")
	stock, spawn := func(b *pedigree.Book) *pedigree.Stock { return b.StockByID("st-1") }, func(b *pedigree.Book) *pedigree.Spawn { return b.SpawnByID("sp-1") }
	on := rapid.SampledFrom([]string{"2021-01-01", "2022-06-01", "2024-03-05"}).Draw(t, "on")
	date, _ := pedigree.ParseDate(on)
	tasks := []task{
		{Edit{Section: "stock", ID: "st-1", Set: []Pair{{"tank", Scalar(text)}}}, func(b *pedigree.Book) { stock(b).Tank = text }},
		{Edit{Section: "stock", ID: "st-1", Set: []Pair{{"died", Scalar(on)}, {"name", Scalar(text)}}}, func(b *pedigree.Book) { stock(b).Died, stock(b).Name = date, text }},
		{Edit{Section: "stock", ID: "st-1", Append: []Pair{{"changes", Map(Pair{"date", Scalar(on)}, Pair{"males", Int(3)}, Pair{"why", Scalar(text)})}}}, func(b *pedigree.Book) {
			at := slices.IndexFunc(stock(b).Changes, func(c pedigree.Change) bool { return c.Date > date })
			if at < 0 {
				at = len(stock(b).Changes)
			}
			stock(b).Changes = slices.Insert(stock(b).Changes, at, pedigree.Change{Date: date, Count: pedigree.Count{Males: 3}, Why: text})
		}},
		{Edit{Section: "stock", ID: "st-1", Append: []Pair{{"sold", Map(Pair{"date", Scalar(on)}, Pair{"to", Scalar(text)})}}}, func(b *pedigree.Book) {
			sale := pedigree.Sale{Date: date, To: text}
			if s := stock(b); len(s.Sold) > 0 && s.Sold[0].Date > date {
				s.Sold = append([]pedigree.Sale{sale}, s.Sold...)
			} else {
				s.Sold = append(s.Sold, sale)
			}
		}},
		{Edit{Section: "spawns", ID: "sp-1", Set: []Pair{{"kept", Int(12)}, {"born", Int(25)}, {"eggs", Int(80)}}}, func(b *pedigree.Book) {
			spawn(b).Kept, spawn(b).Born, spawn(b).Eggs = pedigree.Tally{N: 12, Stated: true}, pedigree.Tally{N: 25, Stated: true}, pedigree.Tally{N: 80, Stated: true}
		}},
		{Edit{Section: "spawns", ID: "sp-1", Instead: []Instead{{"date", Pair{"planned", Scalar(on)}}}}, func(b *pedigree.Book) { spawn(b).Date, spawn(b).Planned = 0, date }},
		{Edit{Section: "stock", ID: "st-9", Line: "amber", New: true, Set: []Pair{{"tank", Scalar(text)}, {"spawn", Scalar("sp-1")}, {"unsexed", Int(9)}}}, func(b *pedigree.Book) {
			b.Stock = append(b.Stock, &pedigree.Stock{ID: "st-9", Line: "amber", Lot: true, Count: pedigree.Count{Unsexed: 9}, Tank: text, FromSpawns: []pedigree.FromSpawn{{Spawn: "sp-1", Share: 1}}})
		}},
		{Edit{Section: "spawns", ID: "sp-00", Line: "amber", New: true, Set: []Pair{{"dam", Scalar("st-1")}, {"date", Scalar(on)}}}, func(b *pedigree.Book) {
			b.Spawns = append(b.Spawns, &pedigree.Spawn{ID: "sp-00", Line: "amber", Date: date, Dam: pedigree.Side{Candidates: []pedigree.Candidate{{ID: "st-1", Odds: 1}}}})
		}},
		{Edit{Section: "stock", ID: "st-1", Append: []Pair{{"note", Scalar("more")}}}, nil},
		{Edit{Section: "stock", ID: "st-1", Remove: []string{"tank"}}, func(b *pedigree.Book) { stock(b).Tank = "" }},
		{Edit{Section: "stock", ID: "st-1", Remove: []string{"males"}, Set: []Pair{{"count", Int(4)}}}, nil},
		{Edit{Section: "stock", ID: "st-1", Set: []Pair{{"lent[0].back", Scalar(on)}}}, func(b *pedigree.Book) { stock(b).Lent[0].Back = date }},
		{Edit{Section: "stock", ID: "st-0", Rename: "neu.7"}, nil},
		{Edit{Section: "spawns", ID: "sp-0", Rename: "neu.7"}, nil},
	}
	return tasks[rapid.IntRange(0, len(tasks)-1).Draw(t, "task")]
}

// An edit changes the lines of its record and no others, and the book that is
// read afterwards is the one before with that change, as worked out here on the
// values.
func TestEditInAnyHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, h := handwritten(t, "a.yaml")
		before := NewDraft([]File{{BookFile, []byte("book: x\n")}, f})
		for _, p := range before.Problems {
			if p.Severity == pedigree.Error && p.Rule != "missing-date" {
				t.Fatalf("the generator made a bad book: %v\n%s", p, f.Text)
			}
		}
		task := someTask(t)
		after, changed, err := before.Edit(task.Edit)
		if err != nil && len(task.Remove) > 0 && bytes.Contains(f.Text, []byte("#")) {
			return // a comment would be lost
		}
		if err != nil && task.New && bytes.Contains(f.Text, []byte("|+")) {
			return // a blank line before the new record would belong to that text
		}
		if err != nil {
			t.Fatalf("%+v: %v\n%s", task.Edit, err, f.Text)
		}
		if len(changed) != 1 || !bytes.Equal(changed[0].Old, f.Text) {
			t.Fatalf("%d files changed", len(changed))
		}
		hunksHold(t, changed[0])
		if lines, known := h.lines[task.ID]; known && task.Rename == "" {
			onlyIn(t, f.Text, changed[0].New, lines)
		}
		want := NewDraft([]File{{BookFile, []byte("book: x\n")}, f}).Book
		switch {
		case task.do != nil:
			task.do(want)
			want.Arrange()
			sameRecords(t, want, after.Book, f.Text, changed[0].New)
		case task.Rename != "":
			back, _, err := after.Edit(Edit{Section: task.Section, ID: task.Rename, Rename: task.ID})
			if err != nil || !bytes.Equal(back.File("a.yaml"), f.Text) {
				t.Fatalf("renamed and renamed back: %v\n%s\n%s", err, f.Text, back.File("a.yaml"))
			}
		}
	})
}

// hunksHold makes the new text out of the old one by the hunks alone.
func hunksHold(t *rapid.T, c Changed) {
	plain := func(b []byte) []string {
		text := strings.TrimPrefix(strings.ReplaceAll(string(b), "\r\n", "\n"), "\ufeff")
		return strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	}
	old, want := plain(c.Old), plain(c.New)
	var got []string
	at := 0
	for _, h := range c.Hunks {
		got = append(got, old[at:h.OldFirst-1]...)
		if h.First != len(got)+1 {
			t.Fatalf("a hunk is said to begin on line %d, and does on %d", h.First, len(got)+1)
		}
		got = append(got, h.New...)
		at = h.OldFirst - 1 + len(h.Old)
	}
	if got = append(got, old[at:]...); !slices.Equal(got, want) {
		t.Fatalf("hunks %+v\n%s", c.Hunks, cmp.Diff(want, got))
	}
}

// onlyIn holds a change to some lines of the old text.
func onlyIn(t *rapid.T, old, text []byte, lines [2]int) {
	a, b := bytes.SplitAfter(old, []byte("\n")), bytes.SplitAfter(text, []byte("\n"))
	for i := range lines[0] - 1 {
		if !bytes.Equal(a[i], b[i]) {
			t.Fatalf("line %d changed, and the record is on %v\n%s\n%s", i+1, lines, old, text)
		}
	}
	for i := len(a); i > lines[1]; i-- {
		if j := i + len(b) - len(a); j < 1 || !bytes.Equal(a[i-1], b[j-1]) {
			t.Fatalf("line %d changed, and the record is on %v\n%s\n%s", i, lines, old, text)
		}
	}
}

func sameRecords(t *rapid.T, want, got *pedigree.Book, old, text []byte) {
	forgetPlaces(want)
	forgetPlaces(got)
	if !reflect.DeepEqual(want.Stock, got.Stock) || !reflect.DeepEqual(want.Spawns, got.Spawns) {
		t.Fatalf("%s%s\n%s\n----\n%s", cmp.Diff(want.Stock, got.Stock), cmp.Diff(want.Spawns, got.Spawns), old, text)
	}
}
