package sheet

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

// hostile litters have text that would do harm if taken for more than text.
func hostile() []Litter {
	nasty := []string{`=HYPERLINK("http://bad.example","x")`, "+1+1", "-1", "@SUM(A1)", "\x00\x0b\x1fbell\a", `<b>&"'`, "_x0041_", "tab\tline\nend",
		"\xff\xfe broken", "\u202egnirts", "\ufffe\uffff", "a'b", "'=1+1", "&8&D&P 2024", strings.Repeat("長い", 400)}
	var litters []Litter
	for _, text := range nasty {
		litters = append(litters, Litter{ID: text, Line: text, Species: text, CommonName: text, Locality: text, Status: text, Goal: text, Notes: text,
			InbreedingWords: text, Generation: text, GenerationWords: text, Tanks: []string{text, "a, b"}, BroodWord: text, Beware: []string{text, text},
			Sire: Parent{text, text, text, text, text}, Dam: Parent{Words: text}})
	}
	return litters
}

func TestTextStaysText(t *testing.T) {
	o := sampleOptions()
	o.BookName, o.Keeper, o.Fingerprint = "=1+1 & Sons", "@keeper\x01", "2024&P"
	file := opened(t, written(t, hostile(), o))
	sheets := file.GetSheetList()
	formulas(t, file, func(sheet, cell string) {
		formula, _ := file.GetCellFormula(sheet, cell)
		formula = inQuotes.ReplaceAllString(formula, "") // a worksheet's name is no harm there
		if !strings.HasPrefix(formula, "IF(") || strings.Contains(formula, "HYPERLINK") {
			t.Errorf("%s!%s is a formula: %s", sheet, cell, formula)
		}
	})
	if got := raw(t, file, sheets[1], "A1"); got != `=HYPERLINK("http://bad.example","x")` {
		t.Errorf("the id is shown as %q", got)
	}
	if got := raw(t, file, sheets[7], "A1"); got != "_x0041_" {
		t.Errorf("_x0041_ is shown as %q", got)
	}
	if got := raw(t, file, sheets[5], at(colHeld, 2)); got != "bell" {
		t.Errorf("control characters left: %q", got)
	}
	foot, err := file.GetHeaderFooter(sheets[14])
	must(err)
	if want := "&L&8&&8&&D&&P 2024\n=1+1 && Sons&R&8made 2026-11-24"; foot.OddFooter != want {
		t.Errorf("footer %q, want %q", foot.OddFooter, want)
	}
}

var inQuotes = regexp.MustCompile(`'[^']*'`)

func TestNames(t *testing.T) {
	given := newNames("All spawns", "Lists")
	for _, test := range []struct{ id, want string }{
		{"AS-S1", "AS-S1"}, {"as-s1", "as-s1 (2)"}, {"AS-S1", "AS-S1 (3)"},
		{"History", "History (2)"}, {"ALL SPAWNS", "ALL SPAWNS (2)"}, {"lists", "lists (2)"},
		{`a[b]c:d*e?f/g\h`, "a-b-c-d-e-f-g-h"}, {"'quoted'", "’quoted’"}, {"_x0041_", "-x0041-"}, {" \t\n", "unnamed"}, {"", "unnamed (2)"},
		{"AS-W1a with the long fin x AS-F2", "AS-W1a with the long fin x AS-F"},
		{"AS-W1a with the long fin x AS-F3", "AS-W1a with the long fin x (2)"},
		{strings.Repeat("🐟", 20), strings.Repeat("🐟", 15)},
	} {
		if got := given.give(test.id); got != test.want {
			t.Errorf("%q is named %q, want %q", test.id, got, test.want)
		}
	}
}

// The rules for names of worksheets are those of Microsoft's help page on
// renaming a worksheet: at most 31 characters, none of / \ ? * : [ ], no
// apostrophe at either end, not blank, not History (from memory).
func TestNamesAreSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := newNames("All spawns", "Lists")
		seen := map[string]string{"all spawns": "", "lists": "", "history": ""}
		for _, id := range rapid.SliceOfN(rapid.OneOf(rapid.String(), rapid.StringMatching(`[aA'/\[ ]{0,40}`)), 1, 30).Draw(t, "ids") {
			name := given.give(id)
			if other, twice := seen[strings.ToLower(name)]; twice {
				t.Fatalf("%q and %q are both named %q", other, id, name)
			}
			seen[strings.ToLower(name)] = id
			if len(utf16.Encode([]rune(name))) > 31 || strings.TrimSpace(name) == "" || strings.ContainsAny(name, `/\?*:[]'`) {
				t.Fatalf("%q is named %q", id, name)
			}
		}
	})
}

func TestTextIsCutAndCounted(t *testing.T) {
	for _, test := range []struct {
		text  string
		limit int
		want  string
	}{{"short", 5, "short"}, {"longer", 5, "long…"}, {"長い長い", 5, "長い…"}, {"two words", 5, "two…"}, {"a \n b\x00", 9, "a b"}} {
		if got := oneLine(test.text, test.limit); got != test.want {
			t.Errorf("%q cut to %d is %q, want %q", test.text, test.limit, got, test.want)
		}
	}
	if got := capital("éclair"); got != "Éclair" {
		t.Errorf("got %q", got)
	}
	if got := lines("12345678901\n長い長い長い\n\nend", 10); got != 6 {
		t.Errorf("%d lines, want 6", got)
	}
}

func FuzzTextIsXML(f *testing.F) {
	f.Add("a\x00b\ufffec")
	f.Fuzz(func(t *testing.T, text string) {
		for _, r := range clean(text) {
			// Char of XML 1.0 (fifth edition), production 2, less the carriage return
			if !(r == 0xA || r >= 0x20 && r <= 0xD7FF || r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 && r <= 0x10FFFF) {
				t.Fatalf("%q keeps %U", text, r)
			}
		}
	})
}

// limit evaluates the upper bound of the rule on a cell.
func limit(t *testing.T, file *excelize.File, sheet, cell string) string {
	t.Helper()
	rules, err := file.GetDataValidations(sheet)
	must(err)
	for _, rule := range rules {
		if rule.Sqref == cell {
			if rule.Type != "whole" || rule.Formula1 != "0" || !rule.ShowErrorMessage || *rule.Error == "" || len(*rule.Error) > 255 || len(*rule.ErrorTitle) > 32 {
				t.Errorf("%s: the rule is %+v", cell, rule)
			}
			must(file.SetCellFormula(sheet, "Z1", rule.Formula2))
			return calculated(t, file, sheet, "Z1")
		}
	}
	t.Fatalf("no rule on %s!%s", sheet, cell)
	return ""
}

func TestNumbersAreHeldInOrder(t *testing.T) {
	none := fmt.Sprint(far)
	file := opened(t, written(t, []Litter{full(), {ID: "empty"}, {ID: "live", Livebearer: true, Born: n(20)}}, Options{}))
	for _, test := range []struct{ sheet, key, want string }{
		{"BD-S4", "eggs", none}, {"BD-S4", "fertile", "200"}, {"BD-S4", "hatched", "150"}, {"BD-S4", "swimming", "120"}, {"BD-S4", "week-1", "90"},
		{"BD-S4", "deformed", "120"}, {"BD-S4", "culled", "120"}, {"BD-S4", "lost", "200"}, {"BD-S4", "kept", "90"}, {"BD-S4", "males", "90"},
		{"empty", "fertile", none}, {"empty", "kept", none}, {"empty", "week-8", none},
		{"live", "born", none}, {"live", "swimming", "20"}, {"live", "week-2", "20"}, {"live", "lost", "20"}, {"live", "females", "20"},
	} {
		if got := limit(t, file, test.sheet, at(colNumber, markRow(t, file, test.sheet, test.key))); got != test.want {
			t.Errorf("%s %s may be up to %s, want %s", test.sheet, test.key, got, test.want)
		}
	}
	must(file.SetCellValue("BD-S4", at(colNumber, markRow(t, file, "BD-S4", "males")), 50))
	if got := limit(t, file, "BD-S4", at(colNumber, markRow(t, file, "BD-S4", "females"))); got != "40" {
		t.Errorf("with 50 males of 90 there may be %s females, want 40", got)
	}
}

func TestDropDowns(t *testing.T) {
	tanks := make([]string, 400)
	for i := range tanks {
		tanks[i] = fmt.Sprintf("rack %d, row %d", i/10, i%10)
	}
	many := full()
	many.Tanks = append(tanks, tanks[0], "") // a double and a blank
	without := full()
	without.Tanks = nil
	file := opened(t, written(t, []Litter{many, full(), full(), without}, Options{}))
	lists := func(sheet string) map[string]string {
		found := map[string]string{}
		rules, err := file.GetDataValidations(sheet)
		must(err)
		for _, rule := range rules {
			if rule.Type == "list" {
				found[rule.Sqref[:1]] = rule.Formula1
			}
		}
		return found
	}
	for sheet, want := range map[string]map[string]string{
		"BD-S4":     {"C": "'Lists'!$B$4:$B$7", "F": "'Lists'!$C$4:$C$403", "G": "'Lists'!$A$4:$A$33"},
		"BD-S4 (2)": {"C": "'Lists'!$B$4:$B$7", "F": "'Lists'!$D$4:$D$5", "G": "'Lists'!$A$4:$A$33"},
		"BD-S4 (3)": {"C": "'Lists'!$B$4:$B$7", "F": "'Lists'!$D$4:$D$5", "G": "'Lists'!$A$4:$A$33"},
		"BD-S4 (4)": {"C": "'Lists'!$B$4:$B$7", "G": "'Lists'!$A$4:$A$33"},
	} {
		if diff := cmp.Diff(want, lists(sheet)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", sheet, diff)
		}
	}
	for cell, want := range map[string]string{"B4": "males", "B7": "unsexed", "C4": "rack 0, row 0", "C403": "rack 39, row 9", "C404": "", "D5": "G2"} {
		if got := raw(t, file, "Lists", cell); got != want {
			t.Errorf("Lists!%s is %q, want %q", cell, got, want)
		}
	}
}

// Formulas are locked, boxes to write in are not, and there is no password.
func TestLocks(t *testing.T) {
	file := opened(t, written(t, samples(), Options{}))
	locked := func(sheet, cell string) bool {
		id, err := file.GetCellStyle(sheet, cell)
		must(err)
		style, err := file.GetStyle(id)
		must(err)
		return style.Protection == nil || style.Protection.Locked
	}
	formulas(t, file, func(sheet, cell string) {
		if !locked(sheet, cell) {
			t.Errorf("%s!%s can be overwritten", sheet, cell)
		}
	})
	first, last := markRow(t, file, "BD-S7", "eggs"), markRow(t, file, "BD-S7", "females")
	for row := first; row <= last; row++ {
		for _, col := range []int{colDay, colDone, colNumber, colBy, colRemark} {
			if locked("BD-S7", at(col, row)) {
				t.Errorf("%s cannot be filled in", at(col, row))
			}
		}
	}
	for _, sheet := range file.GetSheetList() {
		protection, err := file.GetSheetProtection(sheet)
		must(err)
		if protection.Password != "" || !protection.SelectUnlockedCells {
			t.Errorf("%s: %+v", sheet, protection)
		}
		if err := file.UnprotectSheet(sheet); err != nil {
			t.Errorf("%s is not protected: %v", sheet, err)
		}
	}
}

// The marks survive a new name and a row put in.
func TestMarksCanBeReadBack(t *testing.T) {
	file := opened(t, written(t, samples(), sampleOptions()))
	must(file.SetSheetName("AS-S2", "amber, my best"))
	must(file.InsertRows("amber, my best", 14, 1))
	got := map[string]string{}
	for _, key := range []string{"format", "id", "fingerprint", "spawned planned", "born", "swimming", "kept", "females"} {
		row := markRow(t, file, "amber, my best", key)
		got[key] = raw(t, file, "amber, my best", at(colHeld, row))
		if key == "born" || key == "kept" {
			if number := raw(t, file, "amber, my best", at(colNumber, row)); number != got[key] {
				t.Errorf("%s: %q on the sheet, %q held", key, number, got[key])
			}
		}
	}
	for _, col := range []string{"G", "H", "I"} {
		if visible, _ := file.GetColVisible("amber, my best", col); visible != (col == "G") {
			t.Errorf("column %s is visible: %v", col, visible)
		}
	}
	want := map[string]string{"format": "roebook-litter-sheet/1", "id": "AS-S2", "fingerprint": "3f9a2c71d0e4b8aa", "spawned planned": "2026-02-20",
		"born": "31", "swimming": "29", "kept": "6", "females": ""}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("marks (-want +got):\n%s", diff)
	}
}

func TestLinks(t *testing.T) {
	file := opened(t, written(t, samples(), Options{}))
	for i, sheet := range file.GetSheetList()[1:4] {
		if _, link, _ := file.GetCellHyperLink("All spawns", at(ovLitter, overviewTop+i)); link != "'"+sheet+"'!A1" {
			t.Errorf("the list links to %q, want %s", link, sheet)
		}
		if _, link, _ := file.GetCellHyperLink(sheet, at(colBy, 1)); link != "'All spawns'!A1" {
			t.Errorf("%s links back to %q", sheet, link)
		}
	}
}
