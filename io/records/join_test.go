package records

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const joinBase = `# A line
line: reed
species: Xenotoca variata

stock:
  # --- founders
  R-W1: {wild: {site: pool}, males: 2, females: 3}   # the first
  R-W2:
    wild: {site: pool, date: 2021-05-03}
    males: 2   # counted twice
    females: 3
    changes:
      - {date: 2022-01-01, males: 2, females: 2}  # one lost
    note: shy

spawns:
  R-S1: {date: 2022-01-09, group: R-W1, born: 23}
`

// replaced is a text with some of its parts replaced, each once.
func replaced(t testing.TB, text string, pairs []string) string {
	t.Helper()
	for i := 0; i+1 < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("there is no %q", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

func joinThree(base, ours, theirs string) (*Joined, error) {
	return Join(File{"reed.yaml", []byte(base)}, File{"reed.yaml", []byte(ours)}, File{"reed.yaml", []byte(theirs)})
}

// Pairs of edits, and what they are together, worked out by hand.
func TestJoinByHand(t *testing.T) {
	const w1, s1 = "  R-W1: {wild: {site: pool}, males: 2, females: 3}   # the first\n", "  R-S1: {date: 2022-01-09, group: R-W1, born: 23}\n"
	for _, c := range []struct {
		name               string
		ours, theirs, want []string
		conflicts          string
	}{
		{"both add fish",
			[]string{"note: shy\n", "note: shy\n  R-F1: {spawn: R-S1, sex: male}  # ours\n"},
			[]string{"note: shy\n", "note: shy\n  # of theirs\n  R-F2: {spawn: R-S1, sex: female}\n"},
			[]string{"note: shy\n", "note: shy\n  R-F1: {spawn: R-S1, sex: male}  # ours\n  # of theirs\n  R-F2: {spawn: R-S1, sex: female}\n"}, ""},
		{"by id, whoever was first",
			[]string{"note: shy\n", "note: shy\n  R-F10: {spawn: R-S1, sex: male}\n"},
			[]string{"note: shy\n", "note: shy\n  R-F9: {spawn: R-S1, sex: female}\n"},
			[]string{"note: shy\n", "note: shy\n  R-F9: {spawn: R-S1, sex: female}\n  R-F10: {spawn: R-S1, sex: male}\n"}, ""},
		{"different keys of one record, in brackets",
			[]string{"born: 23", "born: 23, kept: 3"}, []string{"born: 23", "born: 22", "group: R-W1", "group: R-W2"},
			[]string{"group: R-W1, born: 23", "group: R-W2, born: 22, kept: 3"}, ""},
		{"different keys of one record, in lines",
			[]string{"note: shy", "note: bold"}, []string{"males: 2   # counted twice", "males: 1   # counted twice\n    tank: T1"},
			[]string{"note: shy", "note: bold", "males: 2   # counted twice", "males: 1   # counted twice\n    tank: T1"}, ""},
		{"entries of a list",
			[]string{"    note", "      - {date: 2022-02-01, males: 1, females: 2}   # later\n    note"},
			[]string{"    note", "      - {date: 2022-01-15, males: 2, females: 1}   # between\n    note", "females: 2}  # one lost", "females: 2, why: gone}  # one lost"},
			[]string{"females: 2}  # one lost\n", "females: 2, why: gone}  # one lost\n      - {date: 2022-01-15, males: 2, females: 1}   # between\n      - {date: 2022-02-01, males: 1, females: 2}   # later\n"}, ""},
		{"two sales on one day",
			[]string{"females: 3}", "females: 3, sold: {date: 2023-01-01, to: Ivo, males: 1}}"}, []string{"females: 3}", "females: 3, sold: {date: 2023-01-01, to: Odo, females: 1}}"},
			[]string{"females: 3}", "females: 3, sold: [{date: 2023-01-01, to: Ivo, males: 1}, {date: 2023-01-01, to: Odo, females: 1}]}"}, ""},
		{"a comment of each on one line",
			[]string{"# counted twice", "# counted thrice"}, []string{"# counted twice", "# counted by ear"},
			[]string{"  R-W2:", "  # counted by ear\n  R-W2:", "# counted twice", "# counted thrice"}, ""},
		{"a comment above what the other took out", []string{w1, ""}, []string{"# --- founders", "# --- founders\n  # caught by Ivo"},
			[]string{"  # --- founders\n" + w1, "  # caught by Ivo\n  # --- founders\n"}, ""},
		{"another layout, and another value", []string{s1, "  R-S1:\n    date: 2022-01-09\n    group: R-W1\n    born: 23\n"}, []string{"born: 23", "born: 24"},
			[]string{s1, "  R-S1:\n    date: 2022-01-09\n    group: R-W1\n    born: 24\n"}, ""},
		{"both took it out", []string{s1, ""}, []string{s1, ""}, []string{s1, ""}, ""},
		{"one key changed by both, in lines",
			[]string{"males: 2   #", "males: 3   #", "note: shy", "note: bold"}, []string{"males: 2   #", "males: 4   #", "born: 23", "born: 22"},
			[]string{"    males: 2   # counted twice\n", "<<<<<<< ours (R-W2, males: changed on both sides)\n    males: 3   # counted twice\n=======\n    males: 4   # counted twice\n>>>>>>> theirs\n",
				"note: shy", "note: bold", "born: 23", "born: 22"}, "R-W2, males: changed on both sides"},
		{"one key changed by both, in brackets",
			[]string{"born: 23", "born: 22, kept: 4"}, []string{"born: 23", "born: 24, swimming: 20"},
			[]string{s1, "<<<<<<< ours (R-S1, born: changed on both sides)\n  R-S1: {date: 2022-01-09, group: R-W1, born: 22, swimming: 20, kept: 4}\n=======\n" +
				"  R-S1: {date: 2022-01-09, group: R-W1, born: 24, swimming: 20, kept: 4}\n>>>>>>> theirs\n"}, "R-S1, born: changed on both sides"},
		{"two full counts of one day",
			[]string{"    note", "      - {date: 2022-02-01, males: 1, females: 2}\n    note"}, []string{"    note", "      - {date: 2022-02-01, males: 2, females: 2}\n    note"},
			[]string{"    note", "<<<<<<< ours (R-W2, changes.2022-02-01: both sides wrote it, and not the same)\n      - {date: 2022-02-01, males: 1, females: 2}\n=======\n" +
				"      - {date: 2022-02-01, males: 2, females: 2}\n>>>>>>> theirs\n    note"}, "R-W2, changes.2022-02-01: both sides wrote it, and not the same"},
		{"one id for two fish",
			[]string{s1, s1 + "  R-S2:\n    date: 2022-02-02\n    born: 5\n"}, []string{s1, s1 + "  R-S2:\n    date: 2022-02-02\n    born: 7\n"},
			[]string{s1, s1 + "  R-S2:\n    date: 2022-02-02\n<<<<<<< ours (R-S2: both sides wrote a record of this name; if these are not the same fish, give one of them another id)\n    born: 5\n=======\n    born: 7\n>>>>>>> theirs\n"},
			"R-S2: both sides wrote a record of this name; if these are not the same fish, give one of them another id"},
		{"taken out and changed", []string{s1, ""}, []string{"born: 23", "born: 22"},
			[]string{s1, "<<<<<<< ours (R-S1: taken out here, and changed on the other side)\n=======\n" + strings.Replace(s1, "23", "22", 1) + ">>>>>>> theirs\n"},
			"R-S1: taken out here, and changed on the other side"},
		{"who the sire was", []string{"group: R-W1", "sire: [R-W1, R-W2]"}, []string{"group: R-W1", "sire: R-W2"},
			[]string{s1, "<<<<<<< ours (R-S1, sire: both sides wrote it, and not the same)\n  R-S1: {date: 2022-01-09, sire: [R-W1, R-W2], born: 23}\n=======\n" +
				"  R-S1: {date: 2022-01-09, sire: R-W2, born: 23}\n>>>>>>> theirs\n"}, "R-S1, sire: both sides wrote it, and not the same"},
		{"a sire of one side and a dam of the other", []string{"group: R-W1", "sire: R-W1, dam: R-W1"}, []string{"group: R-W1", "sire: R-W1, dam: R-W2"},
			[]string{s1, "<<<<<<< ours (R-S1, dam: both sides wrote it, and not the same)\n  R-S1: {date: 2022-01-09, sire: R-W1, dam: R-W1, born: 23}\n=======\n" +
				"  R-S1: {date: 2022-01-09, sire: R-W1, dam: R-W2, born: 23}\n>>>>>>> theirs\n"}, "R-S1, dam: both sides wrote it, and not the same"},
		{"how many sires, and another group", []string{"group: R-W1", "group: R-W1, sires: 2"}, []string{"group: R-W1", "group: R-W2"},
			[]string{s1, "<<<<<<< ours (R-S1, group, sires: changed on both sides, and one statement together)\n  R-S1: {date: 2022-01-09, group: R-W1, sires: 2, born: 23}\n=======\n" +
				"  R-S1: {date: 2022-01-09, group: R-W2, born: 23}\n>>>>>>> theirs\n"}, "R-S1, group, sires: changed on both sides, and one statement together"},
		{"males of one side and females of the other, in brackets", []string{"males: 2, females: 3}", "males: 1, females: 3}"}, []string{"males: 2, females: 3}", "males: 2, females: 2}"},
			[]string{w1, "<<<<<<< ours (R-W1, males, females: changed on both sides, and one statement together)\n" + strings.Replace(w1, "males: 2", "males: 1", 1) + "=======\n" +
				strings.Replace(w1, "females: 3", "females: 2", 1) + ">>>>>>> theirs\n"}, "R-W1, males, females: changed on both sides, and one statement together"},
		{"males of one side and females of the other, in lines", []string{"males: 2   #", "males: 1   #"}, []string{"    females: 3\n", "    females: 2\n"},
			[]string{"    males: 2   # counted twice\n    females: 3\n", "<<<<<<< ours (R-W2, males, females: changed on both sides, and one statement together)\n    males: 1   # counted twice\n    females: 3\n=======\n" +
				"    males: 2   # counted twice\n    females: 2\n>>>>>>> theirs\n"}, "R-W2, males, females: changed on both sides, and one statement together"},
		{"males of one side and females of the other, at a later count", []string{"males: 2, females: 2}", "males: 1, females: 2}"}, []string{"males: 2, females: 2}", "males: 2, females: 1}"},
			[]string{"      - {date: 2022-01-01, males: 2, females: 2}  # one lost\n", "<<<<<<< ours (R-W2, changes.2022-01-01.males, females: changed on both sides, and one statement together)\n" +
				"      - {date: 2022-01-01, males: 1, females: 2}  # one lost\n=======\n      - {date: 2022-01-01, males: 2, females: 1}  # one lost\n>>>>>>> theirs\n"},
			"R-W2, changes.2022-01-01.males, females: changed on both sides, and one statement together"},
		{"remarks at the end and between sections", []string{"born: 23}\n", "born: 23}\n# seen by us\n", "\nspawns:", "\n# ours, below\nspawns:"},
			[]string{"born: 23}\n", "born: 23}\n\n# seen by them\n", "\nspawns:", "\n# theirs, below\nspawns:"},
			[]string{"born: 23}\n", "born: 23}\n# seen by us\n\n# seen by them\n", "\nspawns:", "\n# ours, below\n# theirs, below\nspawns:"}, ""},
		{"the head of the line", []string{"species: Xenotoca variata", "species: Xenotoca variata\nlocality: the weir"}, []string{"# A line", "# A line of ours", "species: Xenotoca variata", "species: Xenotoca variata\nlocality: the mill"},
			[]string{"# A line", "# A line of ours", "species: Xenotoca variata\n", "species: Xenotoca variata\n<<<<<<< ours (locality: both sides wrote it, and not the same)\nlocality: the weir\n=======\nlocality: the mill\n>>>>>>> theirs\n"},
			"locality: both sides wrote it, and not the same"},
	} {
		for _, ends := range []string{"\n", "\r\n"} {
			as := func(text string) string { return strings.ReplaceAll(text, "\n", ends) }
			got, err := joinThree(as(joinBase), as(replaced(t, joinBase, c.ours)), as(replaced(t, joinBase, c.theirs)))
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if d := cmp.Diff(as(replaced(t, joinBase, c.want)), string(got.Text)); d != "" {
				t.Errorf("%s: %s", c.name, d)
			}
			if told := strings.Trim(fmt.Sprint(got.Conflicts), "[]"); told != c.conflicts {
				t.Errorf("%s: %q, want %q", c.name, told, c.conflicts)
			}
		}
	}
}

// The odds of a spawn's parents are one statement: put together from two sides
// they would say what neither said.
func TestJoinKeepsOddsWhole(t *testing.T) {
	base := "spawns:\n  S:\n    sire: {A: 1, B: 1}\n    seen: {pale: {dark: 3}}\n"
	got, err := joinThree(base, strings.Replace(base, "A: 1", "A: 2", 1), strings.Replace(base, "B: 1", "B: 3, C: 1", 1))
	want := "spawns:\n  S:\n<<<<<<< ours (S, sire: changed on both sides)\n    sire: {A: 2, B: 1}\n=======\n    sire: {A: 1, B: 3, C: 1}\n>>>>>>> theirs\n    seen: {pale: {dark: 3}}\n"
	if err != nil || string(got.Text) != want {
		t.Errorf("%v\n%s", err, got.Text)
	}
	got, err = joinThree(base, strings.Replace(base, "dark: 3", "dark: 3, light: 1", 1), strings.Replace(base, "}}", "}, blond: {grey: 4}}", 1))
	if want := strings.Replace(base, "{dark: 3}", "{dark: 3, light: 1}, blond: {grey: 4}", 1); err != nil || string(got.Text) != want {
		t.Errorf("%v\n%s", err, got.Text)
	}
}

// Who bred is one statement: where both sides changed it, each half of the
// conflict is what that side wrote.
func TestJoinKeepsParentsWhole(t *testing.T) {
	const pair = "sire: A1, dam: A2"
	for _, c := range []struct{ base, ours, theirs string }{
		{pair, "sire: A1, dam: A3", "sire: A9, dam: A2"},
		{pair, "sire: A1, dam: A3", "group: G"},
		{pair, "sire: A1, dam: A2, sires: 2", "sire: A9, dam: A2"},
		{pair, "sire: A1, dam: A2, dams: 2", "sire: [A1, A9], dam: A2"},
		{pair, "repeat: S0", "sire: A1"},
		{"group: G", "group: G, sires: 2", "group: G, dams: 2"},
		{"sire: {A1: 1, A2: 2}, dam: A3", "sire: {A1: 1, A2: 3}, dam: A3", "sire: {A1: 1, A2: 2}, dam: A4"},
	} {
		for _, sides := range [][2]string{{c.ours, c.theirs}, {c.theirs, c.ours}} {
			for _, write := range []func(parents string) string{
				func(parents string) string { return "  S1: {date: 2022, " + parents + ", born: 10}\n" },
				func(parents string) string {
					return "  S1:\n    date: 2022\n    " + strings.NewReplacer("}, ", "}\n    ", "], ", "]\n    ", ", dam", "\n    dam", ", sires", "\n    sires").Replace(parents) + "\n    born: 10\n"
				},
			} {
				got, err := joinThree("spawns:\n"+write(c.base), "spawns:\n"+write(sides[0]), "spawns:\n"+write(sides[1]))
				if err != nil {
					t.Fatal(err)
				}
				for ours, want := range map[bool]string{true: sides[0], false: sides[1]} {
					if said := chosen(string(got.Text), ours); said != "spawns:\n"+write(want) || len(got.Conflicts) != 1 {
						t.Errorf("%v\n%s\nof which one half is\n%s", got.Conflicts, got.Text, said)
					}
				}
			}
		}
	}
}

// chosen is a text with one side of every conflict taken.
func chosen(text string, ours bool) string {
	var out strings.Builder
	side := 0
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "<<<<<<< ours"):
			side = 1
		case side == 1 && line == "=======\n":
			side = 2
		case side == 2 && line == ">>>>>>> theirs\n":
			side = 0
		case side == 0 || ours == (side == 1):
			out.WriteString(line)
		}
	}
	return out.String()
}

// The lines end as they do in ours, whatever an editor of the other keeper made
// of them.
func TestJoinKeepsLineEnds(t *testing.T) {
	windows := func(text string) string { return strings.ReplaceAll(text, "\n", "\r\n") }
	ours := strings.Replace(joinBase, "born: 23", "born: 22", 1)
	theirs := strings.Replace(joinBase, "shy", "bold", 1)
	want := strings.Replace(ours, "shy", "bold", 1)
	for _, c := range [][4]string{
		{windows(joinBase), windows(ours), theirs, windows(want)},
		{joinBase, windows(ours), theirs, windows(want)},
		{joinBase, ours, windows(theirs), want},
		{windows(joinBase), ours, windows(theirs), want},
	} {
		got, err := joinThree(c[0], c[1], c[2])
		if err != nil || string(got.Text) != c[3] || len(got.Conflicts) > 0 {
			t.Errorf("%v: %q, want %q", err, got.Text, c[3])
		}
	}
}

// A file that came new on both sides, without a base.
func TestJoinWithoutABase(t *testing.T) {
	ours := "line: reed\nstock:\n  R-1: {wild: {}}\n"
	theirs := "line: reed\nspecies: Xenotoca variata\nstock:\n  R-2: {wild: {}}\n"
	got, err := joinThree("", ours, theirs)
	want := "line: reed\nspecies: Xenotoca variata\nstock:\n  R-1: {wild: {}}\n  R-2: {wild: {}}\n"
	if err != nil || string(got.Text) != want || len(got.Conflicts) > 0 {
		t.Errorf("%v\n%s", err, got.Text)
	}
}

// What cannot be taken apart is refused, not guessed at.
func TestJoinRefuses(t *testing.T) {
	for _, odd := range []string{"line: [\n", "stock:\n  A: {wild: {}}\n  A: {wild: {}}\n", "line: reed\r\nspecies: x\n", "line: &a reed\n", "stock:\n\tA: {}\n", "\xff\n", "line: a\n---\nline: b\n"} {
		if got, err := joinThree(joinBase, odd, joinBase+"\n"); err == nil {
			t.Errorf("%q: %s", odd, got.Text)
		}
	}
}

// FuzzJoin holds joining to what must be true of any three texts: it does not
// panic; what one side alone changed comes out byte for byte; without a conflict
// the result reads; and a record that stands in one version, and that neither
// took out, stands in the result.
func FuzzJoin(f *testing.F) {
	f.Add([]byte(joinBase), []byte(strings.Replace(joinBase, "born: 23", "born: 24", 1)), []byte(strings.Replace(joinBase, "shy", "bold", 1)))
	f.Add([]byte(""), []byte("line: reed\nstock:\n  A: {wild: {}}\n"), []byte("line: reed\nstock: {B: {wild: {}}}\n"))
	f.Add([]byte("stock:\n  A:\n    sold: {date: 2022}\n"), []byte("stock:\n  A:\n    sold:\n      date: 2023\n"), []byte("stock:\n  A:\n    sold:\n      - {date: 2022}\n      - date: 2024\n"))
	for _, c := range problemCases(f) {
		for _, file := range c.files {
			f.Add(file.Text, append(bytes.Clone(file.Text), "\n# more\n"...), bytes.ReplaceAll(file.Text, []byte("males: 1"), []byte("males: 2")))
		}
	}
	f.Fuzz(func(t *testing.T, base, ours, theirs []byte) {
		if len(base)+len(ours)+len(theirs) > 1<<14 {
			return
		}
		got, err := joinThree(string(base), string(ours), string(theirs))
		if err != nil {
			return
		}
		for _, c := range [][3][]byte{{base, ours, base}, {base, base, ours}, {base, ours, ours}} {
			alone, err := joinThree(string(c[0]), string(c[1]), string(c[2]))
			if err != nil || len(alone.Conflicts) > 0 || !bytes.Equal(alone.Text, ours) {
				t.Fatalf("%v: changed on one side alone, it is %q", err, alone)
			}
		}
		docs := make([]*joinDoc, 3)
		for i, text := range [][]byte{base, ours, theirs} {
			if docs[i], err = newJoinDoc(File{"a.yaml", text}); err != nil {
				return // one of them alone was changed
			}
		}
		if len(got.Conflicts) == 0 {
			if _, err := newJoinDoc(File{"a.yaml", got.Text}); err != nil {
				t.Fatalf("%v\n%s", err, got.Text)
			}
		}
		text := strings.ReplaceAll(string(got.Text), "\r\n", "\n")
		for i, d := range docs[1:] {
			other := docs[2-i]
			for _, u := range d.records() {
				taken := docs[0].valueOf(u.section, u.key) != nil && other.valueOf(u.section, u.key) == nil
				if !taken && !strings.Contains(text, u.d.text[u.from+u.indent:u.from+u.indent+len(u.key)]) {
					t.Fatalf("%s/%s is lost\n%s", u.section, u.key, got.Text)
				}
			}
		}
	})
}

// valueOf is the value of a record, however the section is written.
func (j *joinDoc) valueOf(section, id string) *node {
	if s := j.rootNode().get(section); s != nil {
		return s.get(id)
	}
	return nil
}

// BenchmarkJoin joins two keepers' versions of a file of 5,000 records, each of
// which has 50 records more and 50 changed.
func BenchmarkJoin(b *testing.B) {
	text := func(add, change int) string {
		var out strings.Builder
		out.WriteString("line: reed\nstock:\n")
		for i := range 5000 {
			tank := "T1"
			if change > 0 && i%100 == change {
				tank = fmt.Sprint("T", change)
			}
			fmt.Fprintf(&out, "  R-%d: {wild: {site: pool, date: 2021-05-03}, males: 2, females: 3, tank: %s}   # the %dth\n", i, tank, i)
			if add > 0 && i%100 == add {
				fmt.Fprintf(&out, "  R-%d-%d:\n    wild: {site: pool}\n    sex: male\n", i, add)
			}
		}
		return out.String()
	}
	base, ours, theirs := text(0, 0), text(3, 5), text(4, 7)
	for b.Loop() {
		got, err := joinThree(base, ours, theirs)
		if err != nil || len(got.Conflicts) > 0 {
			b.Fatal(err, got.Conflicts)
		}
	}
}
