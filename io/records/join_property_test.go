package records

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A file to be joined, as a plain model that knows nothing of how Join works: it
// is changed by drawing edits, and written in a hand of its own.
type joinModel struct {
	records []*joinRecord
	indent  string
	ends    string // of lines
}

type joinRecord struct {
	section, id string
	block       bool
	inner       string   // by which its keys are moved in
	above       []string // comments
	keys        []string // in the order written
	values      map[string]string
	behind      map[string]string // comments, in block records
	counts      map[string]string // by date, males/females: the list `changes`
	flowList    bool
}

func (m *joinModel) copied() *joinModel {
	out := *m
	out.records = nil
	for _, r := range m.records {
		c := *r
		c.above, c.keys = slices.Clone(r.above), slices.Clone(r.keys)
		c.values, c.behind, c.counts = maps.Clone(r.values), maps.Clone(r.behind), maps.Clone(r.counts)
		out.records = append(out.records, &c)
	}
	return &out
}

func (m *joinModel) write() File {
	var b strings.Builder
	b.WriteString("# kept by hand\nline: reed\nspecies: Xenotoca variata\n")
	for _, section := range []string{"stock", "spawns"} {
		b.WriteString("\n" + section + ":\n")
		for _, r := range m.records {
			if r.section == section {
				r.write(&b, m.indent)
			}
		}
	}
	return File{"reed.yaml", []byte(strings.ReplaceAll(b.String(), "\n", m.ends))}
}

func (r *joinRecord) write(b *strings.Builder, indent string) {
	for _, c := range r.above {
		b.WriteString(indent + c + "\n")
	}
	var items []string
	for _, on := range slices.Sorted(maps.Keys(r.counts)) {
		males, females, _ := strings.Cut(r.counts[on], "/")
		items = append(items, fmt.Sprintf("{date: %s, males: %s, females: %s}", on, males, females))
	}
	if !r.block {
		var parts []string
		for _, k := range r.keys {
			parts = append(parts, k+": "+r.values[k])
		}
		if len(items) > 0 {
			parts = append(parts, "changes: ["+strings.Join(items, ", ")+"]")
		}
		fmt.Fprintf(b, "%s%s: {%s}%s\n", indent, r.id, strings.Join(parts, ", "), r.behind[""])
		return
	}
	fmt.Fprintf(b, "%s%s:%s\n", indent, r.id, r.behind[""])
	in := indent + r.inner
	for _, k := range r.keys {
		fmt.Fprintf(b, "%s%s: %s%s\n", in, k, r.values[k], r.behind[k])
	}
	switch {
	case len(items) == 0:
	case r.flowList:
		fmt.Fprintf(b, "%schanges: [%s]\n", in, strings.Join(items, ", "))
	default:
		fmt.Fprintf(b, "%schanges:\n", in)
		for _, item := range items {
			fmt.Fprintf(b, "%s  - %s\n", in, item)
		}
	}
}

// joinKeys are keys with values to choose from.
var joinKeys = map[string][]string{
	"stock": {"males: 1|2|3|07", "females: 1|2|3", "unsexed: 4|5", "tank: T1|T2|\"T 3\"", "note: plain|\"it's: quoted\"|'so, so'|\"2021/118\"", "name: Ada|Berta", "retired: 2024-01-01|2024-02|2025",
		"wild: {site: pool}|{site: pool, date: 2021-05}|{}", "lent: {date: 2024-03-01, to: Ivo}"},
	"spawns": {"born: 20|21|22", "kept: 3|4|5", "date: 2022-01-09|2022-02", "sire: R-1|[R-1, R-2]|{R-1: 2, R-2: 1}",
		"dam: R-3|R-4", "group: R-0|[R-0, R-1]", "repeat: R-S0", "sires: 2|all", "dams: 3", "note: eggs|'none, seen'"},
}

// joinStatements are keys that say one thing together.
var joinStatements = map[string][]string{"stock": {"males", "females", "unsexed"}, "spawns": {"sire", "dam", "group", "repeat", "sires", "dams"}}

func drawValue(t *rapid.T, section string) (key, value string) {
	key, values, _ := strings.Cut(rapid.SampledFrom(joinKeys[section]).Draw(t, "key"), ": ")
	return key, rapid.SampledFrom(strings.Split(values, "|")).Draw(t, "value")
}

func drawRecord(t *rapid.T, section, id string) *joinRecord {
	r := &joinRecord{section: section, id: id, values: map[string]string{}, behind: map[string]string{}, counts: map[string]string{}}
	r.block = rapid.Bool().Draw(t, "block")
	r.flowList = rapid.Bool().Draw(t, "flow list")
	r.inner = rapid.SampledFrom([]string{" ", "  ", "    "}).Draw(t, "inner")
	for range rapid.IntRange(1, 4).Draw(t, "keys") {
		r.set(drawValue(t, section))
	}
	return r
}

func (r *joinRecord) set(key, value string) {
	if !slices.Contains(r.keys, key) {
		r.keys = append(r.keys, key)
	}
	r.values[key] = value
}

func drawModel(t *rapid.T) *joinModel {
	m := &joinModel{indent: rapid.SampledFrom([]string{" ", "  ", "   "}).Draw(t, "indent"), ends: rapid.SampledFrom([]string{"\n", "\n", "\r\n"}).Draw(t, "ends")}
	for _, section := range []string{"stock", "spawns"} {
		for i := range rapid.IntRange(0, 5).Draw(t, section) {
			id := fmt.Sprintf("R-%d", i)
			if section == "spawns" {
				id = fmt.Sprintf("R-S%d", i)
			}
			r := drawRecord(t, section, id)
			if rapid.Bool().Draw(t, "comment") {
				r.above = []string{"# of " + id}
			}
			if section == "stock" && rapid.Bool().Draw(t, "count") {
				r.counts["2023-01-01"] = "4/4"
			}
			m.records = append(m.records, r)
		}
	}
	return m
}

// edit makes some changes; side tells ids and comments of one keeper from the
// other's.
func (m *joinModel) edit(t *rapid.T, side string, news func() string) {
	for range rapid.IntRange(0, 5).Draw(t, side+" edits") {
		kind := rapid.SampledFrom([]string{"add", "set", "set", "set", "count", "unset", "above", "behind", "remove", "shared"}).Draw(t, side)
		if kind == "add" || kind == "shared" {
			section := rapid.SampledFrom([]string{"stock", "spawns"}).Draw(t, "section")
			id := "R-N" + side + news()
			if kind == "shared" {
				id = "R-X1"
			}
			if !slices.ContainsFunc(m.records, func(r *joinRecord) bool { return r.id == id }) {
				at := rapid.IntRange(0, len(m.records)).Draw(t, "at")
				m.records = slices.Insert(m.records, at, drawRecord(t, section, id))
			}
			continue
		}
		if len(m.records) == 0 {
			continue
		}
		i := rapid.IntRange(0, len(m.records)-1).Draw(t, "record")
		r := m.records[i]
		comment := " # " + side + news()
		switch kind {
		case "set":
			r.set(drawValue(t, r.section))
		case "count":
			if r.section != "stock" {
				continue
			}
			on := rapid.SampledFrom([]string{"2022-12-31", "2023-01-01", "2023-06-01", "2024-01-01"}).Draw(t, "on")
			males, females, counted := strings.Cut(r.counts[on], "/")
			if number := rapid.SampledFrom([]string{"1", "2"}).Draw(t, "number"); !counted {
				males, females = number, number
			} else if rapid.Bool().Draw(t, "the males") {
				males = number
			} else {
				females = number
			}
			r.counts[on] = males + "/" + females
		case "unset":
			if len(r.keys) > 1 {
				k := r.keys[len(r.keys)-1]
				r.keys = r.keys[:len(r.keys)-1]
				delete(r.values, k)
				delete(r.behind, k)
			}
		case "above":
			r.above = append(r.above, comment[1:])
		case "behind":
			key := ""
			if r.block && rapid.Bool().Draw(t, "of a key") {
				key = r.keys[0]
			}
			r.behind[key] = "  " + comment
		case "remove":
			m.records = slices.Delete(m.records, i, i+1)
		}
	}
}

// said is what a model says, in small parts: record, key and value.
func (m *joinModel) said() map[string]string {
	out := map[string]string{}
	for _, r := range m.records {
		name := r.section + "/" + r.id
		out[name] = ""
		for k, v := range r.values {
			out[name+"/"+k] = canonOf(v)
		}
		for on, n := range r.counts {
			out[name+"/changes/"+on] = n
		}
	}
	return out
}

func canonOf(value string) string {
	d := newDoc(File{"x.yaml", []byte("x: " + value + "\n")})
	entries, err := d.entries(0)
	if err != nil {
		panic(err)
	}
	if entries[0].value.quoted && numberLike(entries[0].value.text) {
		return "'" + entries[0].value.canon()
	}
	return entries[0].value.canon()
}

// saidBy is what a file says, in the same parts.
func saidBy(t *rapid.T, f File) map[string]string {
	d, err := newJoinDoc(f)
	if err != nil {
		t.Fatalf("%v\n%s", err, f.Text)
	}
	out := map[string]string{}
	for section, records := range senseOf(d.rootNode().entries).sections {
		for _, r := range records {
			name := section + "/" + r.key
			out[name] = ""
			for _, e := range r.value.entries {
				if e.key != "changes" {
					out[name+"/"+e.key] = e.value.canon()
					if e.value.quoted && numberLike(e.value.text) {
						out[name+"/"+e.key] = "'" + e.value.canon()
					}
					continue
				}
				for _, item := range e.value.items {
					out[name+"/changes/"+dateIn(&item)] = item.get("males").canon() + "/" + item.get("females").canon()
				}
			}
		}
	}
	return out
}

// together joins what three models say, part by part. clash names the parts that
// both sides changed otherwise.
func together(b, o, t map[string]string) (out map[string]string, clash []string) {
	record := func(part string) string { return strings.Join(strings.SplitN(part, "/", 3)[:2], "/") }
	out = map[string]string{}
	parts := maps.Clone(b)
	maps.Copy(parts, o)
	maps.Copy(parts, t)
	for part := range parts {
		r := record(part)
		_, inB := b[r]
		_, inO := o[r]
		_, inT := t[r]
		switch {
		case !inB && inO && inT && !sameRecord(r, o, t), inB && inO != inT && !(sameRecord(r, b, o) && inO) && !(sameRecord(r, b, t) && inT):
			clash = append(clash, r)
			continue
		case inB && inO != inT:
			continue // taken out
		case inB && changedOtherwise(statement(part, b), statement(part, o), statement(part, t)):
			clash = append(clash, part)
			continue
		}
		vB, okB := b[part]
		vO, okO := o[part]
		vT, okT := t[part]
		switch {
		case vO == vT && okO == okT, vB == vT && okB == okT:
			if okO {
				out[part] = vO
			}
		case vB == vO && okB == okO:
			if okT {
				out[part] = vT
			}
		case strings.HasSuffix(part, "/wild") && vB != "" && vO != "" && vT != "":
			clash = append(clash, "?") // a mapping: joined key by key, held elsewhere
		default:
			clash = append(clash, part)
		}
	}
	return out, clash
}

func changedOtherwise(b, o, t string) bool { return b != o && b != t && o != t }

// statement is all that is said of what a part belongs to, "" for a part that
// stands by itself.
func statement(part string, said map[string]string) string {
	section, rest, _ := strings.Cut(part, "/")
	id, key, _ := strings.Cut(rest, "/")
	if !slices.Contains(joinStatements[section], key) {
		return ""
	}
	var words []string
	for _, k := range joinStatements[section] {
		words = append(words, said[section+"/"+id+"/"+k])
	}
	return strings.Join(words, "; ")
}

func sameRecord(r string, x, y map[string]string) bool {
	for _, side := range [][2]map[string]string{{x, y}, {y, x}} {
		for part, v := range side[0] {
			if w, ok := side[1][part]; (part == r || strings.HasPrefix(part, r+"/")) && (!ok || v != w) {
				return false
			}
		}
	}
	return true
}

// TestJoinIsWhatTheEditsMean draws a file and two keepers' edits of it. Joined
// both ways the files say the same, which is what the edits say part by part,
// and there is a conflict only where both changed one part. No line of either is
// lost, and what one side did not touch stays byte for byte.
func TestJoinIsWhatTheEditsMean(t *testing.T) {
	conflicts, clean := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		base := drawModel(t)
		n := 0
		news := func() string { n++; return fmt.Sprint(n) }
		ours, theirs := base.copied(), base.copied()
		ours.edit(t, "o", news)
		theirs.edit(t, "t", news)
		b, o, u := base.write(), ours.write(), theirs.write()
		got, back := mustJoin(t, b, o, u), mustJoin(t, b, u, o)
		if alone := mustJoin(t, b, o, b); !bytes.Equal(alone.Text, o.Text) || len(alone.Conflicts) > 0 {
			t.Fatalf("with nothing changed on the other side:\n%s\ninstead of\n%s", alone.Text, o.Text)
		}
		if alone := mustJoin(t, b, b, u); !bytes.Equal(alone.Text, u.Text) || len(alone.Conflicts) > 0 {
			t.Fatalf("with nothing changed here:\n%s\ninstead of\n%s", alone.Text, u.Text)
		}
		want, clash := together(base.said(), ours.said(), theirs.said())
		show := func() string {
			return fmt.Sprintf("\nbase\n%s\nours\n%s\ntheirs\n%s\njoined\n%s\n%v", b.Text, o.Text, u.Text, got.Text, got.Conflicts)
		}
		if !slices.Contains(clash, "?") && (len(clash) > 0) != (len(got.Conflicts) > 0) {
			t.Fatalf("%d conflicts, and both changed %v%s", len(got.Conflicts), clash, show())
		}
		if len(got.Conflicts) != len(back.Conflicts) {
			t.Fatalf("%v one way, %v the other%s", got.Conflicts, back.Conflicts, show())
		}
		for _, side := range []*joinModel{ours, theirs} {
			for _, r := range side.records {
				if _, gone := want[r.section+"/"+r.id]; !gone && !slices.ContainsFunc(clash, func(c string) bool { return strings.HasPrefix(c, r.section+"/"+r.id) }) {
					continue
				}
				if !bytes.Contains(got.Text, []byte(r.id+":")) {
					t.Fatalf("%s is lost%s", r.id, show())
				}
				for _, c := range append(slices.Collect(maps.Values(r.behind)), r.above...) {
					if c = strings.TrimSpace(c); !strings.HasPrefix(c, "# of") && !bytes.Contains(got.Text, []byte(c)) {
						t.Fatalf("the comment %q of %s is lost%s", c, r.id, show())
					}
				}
			}
		}
		if len(got.Conflicts) > 0 {
			conflicts++
			if !slices.Contains(clash, "?") {
				checkSide(t, got, true, want, ours.said(), clash, show)
				checkSide(t, got, false, want, theirs.said(), clash, show)
			}
			return
		}
		clean++
		said := saidBy(t, File{"reed.yaml", got.Text})
		if !slices.Contains(clash, "?") && !maps.Equal(said, want) {
			t.Fatalf("says %v, want %v%s", said, want, show())
		}
		if again := saidBy(t, File{"reed.yaml", back.Text}); !maps.Equal(said, again) {
			t.Fatalf("the other way round it says %v, not %v%s", again, said, show())
		}
	})
	t.Logf("%d with conflicts, %d without", conflicts, clean)
	if conflicts == 0 || clean == 0 {
		t.Errorf("%d with conflicts, %d without: the test sees but one kind", conflicts, clean)
	}
}

func mustJoin(t *rapid.T, b, o, u File) *Joined {
	got, err := Join(b, o, u)
	if err != nil {
		t.Fatalf("%v\nbase\n%s\nours\n%s\ntheirs\n%s", err, b.Text, o.Text, u.Text)
	}
	return got
}

// checkSide wants a text with marks to say, where one side is chosen throughout,
// what that side said of all that both changed, and else what they say together.
func checkSide(t *rapid.T, got *Joined, ours bool, want, side map[string]string, clash []string, show func() string) {
	want = maps.Clone(want)
	for _, c := range clash {
		for part, v := range side {
			if part == c || strings.Count(c, "/") == 1 && strings.HasPrefix(part, c+"/") {
				want[part] = v
			}
		}
	}
	text := chosen(strings.ReplaceAll(string(got.Text), "\r\n", "\n"), ours)
	if said := saidBy(t, File{"reed.yaml", []byte(text)}); !maps.Equal(said, want) {
		t.Fatalf("ours %v: says %v, want %v%s", ours, said, want, show())
	}
}
