package history

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

// A small line: two pairs, and what became of them. The marks are taken out to
// see the book without one of the changes.
const pond = `line: pond
species: Xenotoca variata
goal: {gene-diversity: 0.6}
stock:
  P-W1: {wild: {date: 2020-01-01}, sex: male /*gone1*/, died: 2022-03-01/**/}
  P-W2: {wild: {date: 2020-01-01}, sex: female}
  P-W3: {wild: {date: 2020-01-01}, sex: male, died: 2020-12-01}
  P-W4: {wild: {date: 2020-01-01}, sex: female, died: 2020-12-02}
  P-F1: {spawn: P-S1, males: 2, females: 2 /*gone2*/, changes: [{date: 2022-04-01, males: 2, females: 0, why: a jump}]/**/}
  P-F2: {spawn: P-S2, sex: female}
  P-F3: {spawn: P-S2, sex: male /*gone3*/, sold: {date: 2022-05-01, to: the club}/**/}
  /*new1*/P-G1: {spawn: P-S3, unsexed: 5, born: 2022-06-01}/**/
spawns:
  P-S1: {date: 2020-06-01, sire: P-W1, dam: P-W2}
  P-S2: {date: 2020-06-02, sire: P-W3, dam: P-W4}
  P-S3: {date: 2022-06-01, sire: P-F1, dam: P-F2}
`

// pondWithout is the pond without some of the marked changes.
func pondWithout(marks ...string) string {
	text := pond
	for _, mark := range marks {
		head, rest, _ := strings.Cut(text, "/*"+mark+"*/")
		_, tail, _ := strings.Cut(rest, "/**/")
		text = head + tail
	}
	for _, mark := range []string{"/*gone1*/", "/*gone2*/", "/*gone3*/", "/*new1*/", "/**/"} {
		text = strings.ReplaceAll(text, mark, "")
	}
	return strings.ReplaceAll(text, "  \n", "")
}

func sideOf(t testing.TB, text string, on pedigree.Date) (Side, Figures) {
	t.Helper()
	book, problems := records.Parse([]records.File{{Path: "roebook.yaml", Text: []byte("book: x\n")}, {Path: "pond.yaml", Text: []byte(text)}})
	for _, p := range append(problems, pedigree.Check(book, on)...) {
		if p.Severity == pedigree.Error && p.Rule != "date-in-future" {
			t.Fatal(p)
		}
	}
	model, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	s := Side{book, model.On(on)}
	return s, FiguresOf(s.State.Standing("pond"))
}

const (
	pondBefore = pedigree.Date(20220101)
	pondAfter  = pedigree.Date(20220701)
)

func comparePond(t testing.TB) LineChange {
	before, old := sideOf(t, pondWithout("gone1", "gone2", "gone3", "new1"), pondBefore)
	after, now := sideOf(t, pondWithout(), pondAfter)
	return Compare("pond", before, after, [2]Figures{old, now})
}

func TestCompare(t *testing.T) {
	c := comparePond(t)
	var told []string
	for _, list := range [][]Passage{c.Added, c.Lost} {
		for _, p := range list {
			told = append(told, fmt.Sprintf("%s %s %g %s %s", p.ID, p.How, p.Heads, p.On, p.Why))
		}
		told = append(told, "-")
	}
	want := "P-G1 bred 5 2022-06-01 |-|P-W1 died 1 2022-03-01 |P-F1 counted 2 2022-04-01 a jump|P-F3 sold 1 2022-05-01 |-"
	if got := strings.Join(told, "|"); got != want {
		t.Errorf("\n%s, want\n%s", got, want)
	}
	// Before: W1 and W2, four young of theirs, F2 and F3; W3 and W4 live in the
	// last two. After: F3 is gone, but F2 and the young hold W3 and W4.
	if len(c.FoundersLost)+len(c.AtRisk) != 0 || c.Before.Living != 8 || c.After.Living != 9 {
		t.Errorf("%v", c)
	}
}

// The effect of a change is what the line would gain or lose without it: each is
// held against the book with that change not written in it, compiled anew.
func TestDecisionsAgainstTheBookWithoutThem(t *testing.T) {
	c := comparePond(t)
	found := map[string]float64{}
	sum := c.Corrected + c.Together
	for _, d := range c.Decisions {
		found[strings.Join(d.Records, " ")] = d.Effect
		sum += d.Effect
	}
	for records, mark := range map[string]string{"P-W1": "gone1", "P-F1": "gone2", "P-F3": "gone3", "P-G1": "new1"} {
		_, without := sideOf(t, pondWithout(mark), pondAfter)
		if want := c.After.GeneDiversity - without.GeneDiversity; math.Abs(found[records]-want) > 1e-12 {
			t.Errorf("%s: %.6f, want %.6f", records, found[records], want)
		}
	}
	if change := c.After.GeneDiversity - c.Before.GeneDiversity; len(found) != 4 || math.Abs(sum-change) > 1e-12 {
		t.Errorf("%d decisions, together %.6f, want %.6f", len(found), sum, change)
	}
	if math.Abs(c.Corrected) > 1e-12 {
		t.Errorf("corrected: %g", c.Corrected)
	}
}

// What is known better is told apart from what was done.
func TestCorrected(t *testing.T) {
	text := pondWithout("gone1", "gone2", "gone3", "new1")
	before, old := sideOf(t, text, pondBefore)
	better, now := sideOf(t, strings.Replace(text, "P-S2: {date: 2020-06-02, sire: P-W3", "P-S2: {date: 2020-06-02, sire: P-W1", 1), pondBefore)
	c := Compare("pond", before, better, [2]Figures{old, now})
	if len(c.Decisions) != 0 || c.Corrected >= 0 || math.Abs(c.Corrected-(now.GeneDiversity-old.GeneDiversity)) > 1e-12 {
		t.Errorf("%+v", c)
	}
	if len(c.FoundersLost) != 1 || c.FoundersLost[0] != "P-W3" {
		t.Errorf("founders lost: %v", c.FoundersLost)
	}
}

func TestFoundersAtRisk(t *testing.T) {
	text := pondWithout("gone1", "gone2", "new1")
	before, old := sideOf(t, pondWithout("gone1", "gone2", "gone3", "new1"), pondBefore)
	after, now := sideOf(t, text, pondAfter)
	c := Compare("pond", before, after, [2]Figures{old, now})
	want := []Risk{{"P-W3", "P-F2", false}, {"P-W4", "P-F2", false}}
	if fmt.Sprint(c.AtRisk) != fmt.Sprint(want) {
		t.Errorf("%v, want %v", c.AtRisk, want)
	}
	for _, record := range []string{"  P-F2: {spawn: P-S2, sex: female}\n", "  P-S3: {date: 2022-06-01, sire: P-F1, dam: P-F2}\n"} {
		text = strings.Replace(text, record, "", 1)
	}
	struck, figures := sideOf(t, text, pondAfter)
	c = Compare("pond", after, struck, [2]Figures{now, figures})
	if len(c.Lost) != 1 || c.Lost[0].How != Struck || len(c.FoundersLost) != 2 {
		t.Errorf("%+v", c)
	}
}
