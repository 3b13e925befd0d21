package sheet

import (
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// shown is all text of a worksheet, as it is shown.
func shown(t testing.TB, file *excelize.File, sheet string) string {
	t.Helper()
	rows, err := file.GetRows(sheet)
	must(err)
	var out []string
	for _, row := range rows {
		out = append(out, strings.Join(row[:min(len(row), ovDeformedShare)], "\t"))
	}
	return strings.Join(out, "\n")
}

// A pair is put together on the planned day; its young are born weeks later.
func TestBirthIsNotPlannedForTheDayOfPairing(t *testing.T) {
	file := opened(t, written(t, []Litter{planned()}, sampleOptions()))
	if came, plan := raw(t, file, "AS-S9", at(colDay, rowDate)), raw(t, file, "AS-S9", at(colDone, rowDate)); came != "" || plan != "46368" {
		t.Errorf("born on %q, planned %q; want nothing and 46368", came, plan)
	}
	born := at(colDue, markRow(t, file, "AS-S9", "week-1"))
	if saved, now := raw(t, file, "AS-S9", born), calculated(t, file, "AS-S9", born); saved != "" || now != "" {
		t.Errorf("week 1 is due on %q, worked out %q; want nothing", saved, now)
	}
	if got := shown(t, file, "AS-S9"); !strings.Contains(got, "planned: to be put together about 2026-12-12") {
		t.Errorf("the head does not say when the pair is to be put together:\n%s", got)
	}
	if day, status := raw(t, file, "All litters", at(ovDay, overviewTop)), raw(t, file, "All litters", at(ovStatus, overviewTop)); day != "46368" || status != "planned for 2026-12-12" {
		t.Errorf("the list has day %q, status %q", day, status)
	}
	must(file.SetCellValue("AS-S9", at(colDay, rowDate), 46400))
	for where, want := range map[string]string{"AS-S9!" + born: "46407", "All litters!" + at(ovDay, overviewTop): "46400"} {
		sheet, cell, _ := strings.Cut(where, "!")
		if got := calculated(t, file, sheet, cell); got != want {
			t.Errorf("once born, %s is %q, want %s", where, got, want)
		}
	}
}

func TestParentsInWords(t *testing.T) {
	const unknown = "unknown (taken as related to no other fish)"
	for _, test := range []struct {
		parent    Parent
		who, rest string
	}{
		{Parent{}, "", unknown},
		{Parent{ID: "unknown"}, "", unknown},
		{Parent{ID: "Unknown", Words: "unknown; taken as related to no other fish"}, "", unknown},
		{Parent{ID: "unknown", Words: "3 unknown males, taken as related to no other fish"}, "", "3 unknown males, taken as related to no other fish"},
		{Parent{ID: "A", Words: "A"}, "A", ""},
		{Parent{ID: "A or B", Words: "A (80 %) or B (20 %)"}, "A or B", "A (80\u00a0%) or B (20\u00a0%)"},
	} {
		if who, rest := test.parent.identity(); who != test.who || rest != test.rest {
			t.Errorf("%+v is %q, %q; want %q, %q", test.parent, who, rest, test.who, test.rest)
		}
	}
}

func TestCautionsAreSeen(t *testing.T) {
	many := planned()
	many.ID, many.Beware = "many", nil
	for range 9 {
		many.Beware = append(many.Beware, "this fish is one of a kind that must not be paired with any other")
	}
	file := opened(t, written(t, []Litter{planned(), many, full()}, sampleOptions()))
	for sheet, want := range map[string]string{
		"AS-S9": "Beware: AS-B2a is still in quarantine until 2026-12-19; over the line's limit of 12.5\u00a0%",
		"many":  "any other; and 5 more",
	} {
		if got := raw(t, file, sheet, "A4"); !strings.HasSuffix(got, want) || lines(got, 100) > 3 {
			t.Errorf("%s says %q, want %q", sheet, got, want)
		}
	}
	if got := raw(t, file, "BD-S4", "A4"); got != "" {
		t.Errorf("nothing to beware of is %q", got)
	}
	for i, want := range []string{"2", "9", ""} {
		if got := raw(t, file, "All spawns", at(ovBeware, overviewTop+i)); got != want {
			t.Errorf("row %d of the list has %q cautions, want %q", i, got, want)
		}
	}
}

func TestWordsOfTheSheets(t *testing.T) {
	litters := []Litter{planned()}
	file := opened(t, written(t, litters, sampleOptions()))
	sheet, list := shown(t, file, "AS-S9"), shown(t, file, "All litters")
	for _, want := range []string{"(rests on a seller's word)", "limit is 12.5\u00a0%: this", "may need permits; local law decides", "welfare law", "Never release"} {
		if strings.Count(sheet, want) != 1 {
			t.Errorf("the sheet does not say %q once:\n%s", want, sheet)
		}
	}
	for _, want := range []string{"state of the book: 3f9a2c71d0e4b8aa", "count only litters that have both"} {
		if strings.Count(list, want) != 1 {
			t.Errorf("the list does not say %q once:\n%s", want, list)
		}
	}
	litters[0].GenerationWords = "in part on a seller's word"
	if got := shown(t, opened(t, written(t, litters, Options{})), "AS-S9"); strings.Contains(got, "rests on") {
		t.Error("the seller's word is told twice")
	}
	if got := shown(t, opened(t, written(t, litters, Options{})), "All litters"); strings.Contains(got, "state of") {
		t.Error("a state of the book is told where none is given")
	}
}
