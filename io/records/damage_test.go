package records_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

const today = pedigree.Date(20240601)

// The records of two sound lines, in which fish of one were taken from the
// other. All names are invented.
const heronText = `line: heron
goal: {gene-diversity: 0.9, max-inbreeding: 0.2}
related-founders: [{of: [HF-W1, HF-B2], kinship: 0.05}]
note: of the upper pool
stock:
  HF-W1: {wild: {date: 2019-05-01, related: 0.1}, unsexed: 12, changes: [{date: 2020-02-01, males: 4, females: 6}]}
  HF-B2: {bought: {date: 2019-06-01, related: siblings}, males: 3, females: 3, sold: {date: 2021-02-01, males: 1}}
  HF-K3: {bought: {date: 2019-07-01, inbreeding: 0.1}, sex: female, tank: R1}
  HF-P4: {picked: HF-W1, date: 2019-12-01, sex: male}
  HF-L5: {picked: HF-W1, date: 2020-01-01, unsexed: 2, changes: [{date: 2020-12-01, males: 1, females: 1}]}
  HF-F6: {spawn: HF-S1, unsexed: 10, died: 2023-05-01}
  HF-F7: {spawn: {HF-S1: 2, HF-S2: 3}, males: 2, females: 3}
  HF-X0: {picked: HF-F6, date: 2021-05-01, sex: female, name: Nell}
spawns:
  HF-S1: {date: 2020-03-01, group: HF-W1, born: 40}
  HF-S2: {date: 2020-04-01, sire: HF-P4, dam: [HF-B2, HF-K3], born: 20}
  HF-T3: {date: 2021-01-01, repeat: HF-S2, born: 9}
  HF-U4: {date: 2021-03-01, group: HF-F7, sires: 2, born: 9}
`

const otterText = `line: otter
stock:
  OT-M1:
    merged: {HF-W1: {males: 1, females: 2}, HF-B2: {females: 1}, HF-P4: 1}
    date: 2021-06-01
    males: 2
    females: 3
  OT-Q2: {picked: OT-M1, date: 2021-08-01, males: 1, females: 1}
  OT-Z3: {picked: HF-W1, date: 2021-07-01, males: 1, note: the large one}
  OT-Y4: {wild: {date: 2021-01-01}, males: 2, females: 2}
  OT-G5: {spawn: OT-S1, males: 3, females: 3}
  OT-D6: {picked: OT-Y4, date: 2022-06-01, sex: female}
spawns:
  OT-S1: {date: 2021-09-01, sire: OT-M1, dam: {OT-Q2: 1, OT-Y4: 2}, born: 12}
  OT-V2: {date: 2022-03-01, group: OT-Y4, born: 12}
`

// answers are the kinships of all records and their inbreeding.
type answers map[string]float64

// lineAnswer is all that is told of a line, and what it is to be held to.
func lineAnswer(t *testing.T, book *pedigree.Book, name string) string {
	t.Helper()
	line := book.LineNamed(name)
	if line == nil {
		return ""
	}
	model, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	report, _ := model.On(today).Line(name)
	goal := ""
	for _, limit := range []*float64{line.Goal.GeneDiversity, line.Goal.MaxInbreeding} {
		if limit != nil {
			goal += fmt.Sprint(*limit, " ")
		}
	}
	return goal + pointer.ReplaceAllString(fmt.Sprintf("%.6v", report), "")
}

// stockOf counts the stock records of each line.
func stockOf(book *pedigree.Book) map[string]int {
	number := map[string]int{}
	for _, s := range book.Stock {
		number[s.Line]++
	}
	return number
}

// pointer is how caches inside a report are written.
var pointer = regexp.MustCompile(`0x[0-9a-f]+`)

// incomplete lists the lines of which something is lost or left out.
func incomplete(book *pedigree.Book, problems []pedigree.Problem, tainted map[string]bool) map[string]bool {
	out := map[string]bool{}
	for _, p := range problems {
		for _, line := range p.Lines {
			out[line] = true
		}
	}
	for _, s := range book.Stock {
		out[s.Line] = out[s.Line] || tainted[s.ID]
	}
	for _, s := range book.Spawns {
		out[s.Line] = out[s.Line] || tainted[s.ID]
	}
	return out
}

func answersOf(t *testing.T, book *pedigree.Book) answers {
	t.Helper()
	model, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	state := model.On(today)
	var ids []string
	for _, s := range book.Stock {
		ids = append(ids, s.ID)
	}
	for _, s := range book.Spawns {
		ids = append(ids, s.ID)
	}
	out := answers{}
	for i, a := range ids {
		if f, ok := state.Inbreeding(a); ok {
			out[a] = f
		}
		for _, b := range ids[i:] {
			if k, ok := state.Kinship(a, b); ok {
				out[min(a, b)+" "+max(a, b)] = k
			}
		}
	}
	return out
}

func readDamaged(heron, otter string) (*pedigree.Book, []pedigree.Problem) {
	return records.Parse([]records.File{
		{Path: records.BookFile, Text: []byte("book: x\n")}, {Path: "a.yaml", Text: []byte(heron)}, {Path: "b.yaml", Text: []byte(otter)}})
}

// damages are ways to make a word of a file something that cannot be read.
var damages = []func(string) string{
	func(w string) string { return w + "x" },
	func(w string) string { return w[:len(w)-1] + "~" },
	func(string) string { return "" },
	func(string) string { return "[]" },
	func(string) string { return "{}" },
	func(string) string { return "[" },
	func(string) string { return `"` },
	func(string) string { return "}" },
	func(string) string { return "zzzz" },
	func(string) string { return "2021-13-01" },
	func(w string) string { return "&a " + w },
	func(w string) string { return "[" + w + "]" },
	func(w string) string { return w + ": " },
	func(w string) string { return w + "\t\x00" },
	func(w string) string { return w + " # " },
	func(w string) string { return w + " " + w },
	func(w string) string { return w + "\n" },
	func(w string) string { return "-" + w },
}

// every is how many of the damages are tried for one that is: all of them take
// long with the race detector.
const every = 3

var word = regexp.MustCompile(`[A-Za-z0-9][A-Za-z0-9-]*`)

// Whatever one word is damaged, what is still answered is what the sound book
// answers. The numbers are those of the book before the damage.
func TestDamageChangesNoAnswer(t *testing.T) {
	book, problems := readDamaged(heronText, otterText)
	for _, p := range append(problems, pedigree.Check(book, today)...) {
		if p.Severity == pedigree.Error {
			t.Fatal(p)
		}
	}
	want := answersOf(t, book)
	lines := map[string]string{"heron": lineAnswer(t, book, "heron"), "otter": lineAnswer(t, book, "otter")}
	stock := stockOf(book)
	answered, wrong, cases, answeredLines := 0, 0, 0, 0
	for file, text := range []string{heronText, otterText} {
		for i, at := range word.FindAllStringIndex(text, -1) {
			for n, damage := range damages {
				if (i+n)%every != 0 {
					continue
				}
				texts := []string{heronText, otterText}
				texts[file] = text[:at[0]] + damage(text[at[0]:at[1]]) + text[at[1]:]
				book, problems := readDamaged(texts[0], texts[1])
				unreadable := slices.ContainsFunc(problems, func(p pedigree.Problem) bool { return p.Severity == pedigree.Error })
				if !unreadable {
					continue // it says something else, in a form that can be read
				}
				problems = append(problems, pedigree.Check(book, today)...)
				tainted := pedigree.Tainted(book, problems)
				rest := book.Without(tainted)
				got := answersOf(t, rest)
				cases++
				for line, intact := range stock {
					mayLack := slices.ContainsFunc(problems, func(p pedigree.Problem) bool { return p.About(line) && p.RecordsLost })
					if now := stockOf(book)[line]; now != intact && !mayLack && wrong < 40 {
						wrong++
						t.Errorf("damage %d of %q: line %s has %d records, and had %d\n%v", n, text[at[0]:at[1]], line, now, intact, problems)
					}
				}
				lost := incomplete(book, problems, tainted)
				for line, intact := range lines {
					if lost["*"] || lost[line] || rest.LineNamed(line) == nil {
						continue
					}
					answeredLines++
					if now := lineAnswer(t, rest, line); now != intact && wrong < 40 {
						wrong++
						t.Errorf("damage %d of %q: line %s is %s, and was %s\n%v", n, text[at[0]:at[1]], line, now, intact, problems)
					}
				}
				for what, v := range got {
					answered++
					if intact, ok := want[what]; ok && math.Abs(v-intact) > 1e-12 {
						wrong++
						if wrong < 40 {
							start := strings.LastIndex(text[:at[0]], "\n") + 1
							t.Errorf("damage %d of %q in %q: %s is %g, and was %g\n%v", n, text[at[0]:at[1]], strings.TrimSpace(strings.SplitN(text[start:], "\n", 2)[0]), what, v, intact, problems)
						}
						break
					}
				}
			}
		}
	}
	// What is not answered cannot be wrong: a third of all must be left.
	if answered*3 < cases*len(want) || answeredLines < cases/4 {
		t.Errorf("only %d answers and %d on lines were left of %d books", answered, answeredLines, cases)
	}
}
