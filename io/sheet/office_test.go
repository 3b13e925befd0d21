package sheet

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// recalculate is a profile that has every formula worked out again on opening;
// else saved values are shown as they are.
const recalculate = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>`

// program finds a program that reads the sheets. Where it is missing the test
// is skipped, or fails if ROEBOOK_REQUIRE_OFFICE is set.
func program(t *testing.T, name, of string) string {
	t.Helper()
	if testing.Short() {
		t.Skipf("short run: %s is not started", name)
	}
	path, err := exec.LookPath(name)
	switch {
	case err == nil:
	case os.Getenv("ROEBOOK_REQUIRE_OFFICE") != "":
		t.Fatalf("%s (of %s) is not installed, and ROEBOOK_REQUIRE_OFFICE asks for it", name, of)
	default:
		t.Skipf("%s (of %s) is not installed: what it makes of the sheets is not checked", name, of)
	}
	return path
}

// converted has LibreOffice open workbooks, recalculate them and save them in
// another form; it is started once for all of them.
func converted(t *testing.T, form string, books ...[]byte) (files []string) {
	t.Helper()
	office := program(t, "soffice", "LibreOffice")
	folder := t.TempDir()
	out, user := filepath.Join(folder, "out"), filepath.Join(folder, "profile", "user")
	must(os.MkdirAll(user, 0o700))
	must(os.WriteFile(filepath.Join(user, "registrymodifications.xcu"), []byte(recalculate), 0o600))
	args := []string{"-env:UserInstallation=file://" + filepath.Join(folder, "profile"), "--headless", "--convert-to", form, "--outdir", out}
	for i, book := range books {
		name := "sheets-" + strconv.Itoa(i)
		must(os.WriteFile(filepath.Join(folder, name+".xlsx"), book, 0o600))
		args = append(args, filepath.Join(folder, name+".xlsx"))
		files = append(files, filepath.Join(out, name+"."+form))
	}
	if said, err := exec.Command(office, args...).CombinedOutput(); err != nil {
		t.Fatalf("LibreOffice: %v\n%s", err, said)
	}
	return files
}

func TestLibreOfficeAgrees(t *testing.T) {
	file := opened(t, written(t, slices.Concat(samples(), mixed(), hostile(), []Litter{planned()}), sampleOptions()))
	fillIn(t, file) // the saved values that depend on it are now out of date
	typed, err := file.WriteToBuffer()
	must(err)
	other, err := excelize.OpenFile(converted(t, "xlsx", typed.Bytes())[0])
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	dropDownsSurvive(t, other)
	found := formulas(t, file, func(sheet, cell string) {
		if said := raw(t, other, sheet, cell); strings.HasPrefix(said, "#") {
			t.Errorf("%s!%s is %s in LibreOffice", sheet, cell, said)
		}
		if want, got := calculated(t, file, sheet, cell), raw(t, other, sheet, cell); !same(want, got) {
			t.Errorf("%s!%s is %q in LibreOffice, want %q", sheet, cell, got, want)
		}
	})
	if found < 90 {
		t.Errorf("only %d formulas", found)
	}
	want := filledIn(t, file, len(mixed())+len(hostile())+1)
	for where, want := range want {
		sheet, cell, _ := strings.Cut(where, "!")
		if got := raw(t, other, sheet, cell); !same(got, want) {
			t.Errorf("%s is %q in LibreOffice, want %s", where, got, want)
		}
	}
}

// The drop-downs still find their words, on a worksheet that is hidden but not
// beyond a keeper's reach.
func dropDownsSurvive(t *testing.T, other *excelize.File) {
	t.Helper()
	if visible, _ := other.GetSheetVisible("Lists"); visible {
		t.Error("the lists are not hidden")
	}
	rules, err := other.GetDataValidations("BD-S7")
	must(err)
	words := map[string]string{"B4": "males", "A4": "all well"}
	found := 0
	for _, rule := range rules {
		if first := regexp.MustCompile(`^'?Lists'?!\$([A-Z])\$4:`).FindStringSubmatch(rule.Formula1); rule.Type == "list" && first != nil {
			found++
			if got, want := raw(t, other, "Lists", first[1]+"4"), words[first[1]+"4"]; got == "" || want != "" && got != want {
				t.Errorf("the drop-down of %s begins with %q, want %q", rule.Sqref, got, want)
			}
		}
	}
	if found != 3 {
		t.Errorf("%d drop-downs, want those of sexes, tanks and remarks", found)
	}
}

// The list and every litter print on one page each, the words not at all.
func TestOnePageALitter(t *testing.T) {
	info, reader := program(t, "pdfinfo", "poppler-utils"), program(t, "pdftotext", "poppler-utils")
	long := planned()
	long.Notes = strings.Repeat("A long note.\n", 40) + strings.Repeat("長い話 ", 400)
	long.Sire = Parent{ID: "AS-B1", Words: strings.Repeat("one of many ", 80), Origin: strings.Repeat("far away ", 80)}
	long.GenerationWords, long.InbreedingWords, long.Goal = long.Sire.Words, long.Sire.Words, long.Sire.Words
	long.Beware = strings.SplitAfter(long.Sire.Words, "many")
	onA4, onLetter := append(hostile(), long), append(samples(), full(), planned(), long)
	letter := sampleOptions()
	letter.Paper = "letter"
	papers := []struct {
		litters []Litter
		size    string // in points: ISO 216, ANSI/ASME Y14.1
	}{{onA4, "595.* x 841.*A4"}, {onLetter, "612 x 792.*letter"}}
	pdfs := converted(t, "pdf", written(t, onA4, sampleOptions()), written(t, onLetter, letter))
	for i, paper := range papers {
		said, err := exec.Command(info, "-f", "2", "-l", "2", pdfs[i]).Output()
		must(err)
		pages := regexp.MustCompile(`Pages:\s+(\d+)`).FindSubmatch(said)
		if want := len(paper.litters) + 1; pages == nil || string(pages[1]) != strconv.Itoa(want) {
			t.Errorf("%d litters and a list: want %d pages\n%s", len(paper.litters), want, said)
		}
		if !regexp.MustCompile(`size:\s+` + paper.size).Match(said) {
			t.Errorf("want paper of %s\n%s", paper.size, said)
		}
	}
	printed, err := exec.Command(reader, "-layout", pdfs[1], "-").Output()
	must(err)
	if tight := regexp.MustCompile(`.*\d%.*`).Find(printed); tight != nil {
		t.Errorf("a percent sign without a space before it: %s", tight)
	}
	for want, times := range map[string]int{"55.28 %": 4, "75.0 %": 5, "may need permits": len(onLetter), "made 2026-11-24": len(onLetter),
		"state of the book: 3f9a2c71d0e4b8aa": 1, "3f9a2c71d0e4b8aa": 1, "Words offered": 0, "printed": 0} {
		if got := strings.Count(strings.ReplaceAll(string(printed), "\u00a0", " "), want); got != times {
			t.Errorf("%q is printed %d times, want %d", want, got, times)
		}
	}
}
