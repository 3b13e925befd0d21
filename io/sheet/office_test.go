package sheet

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
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

// converted has LibreOffice open a workbook, recalculate it and save it in
// another form. The test is skipped where it is not installed.
func converted(t *testing.T, book []byte, form string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("short run: LibreOffice is not started")
	}
	program, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("LibreOffice (soffice) is not installed: its reading of the sheets is not checked")
	}
	folder := t.TempDir()
	in := filepath.Join(folder, "sheets.xlsx")
	must(os.WriteFile(in, book, 0o600))
	out, user := filepath.Join(folder, "out"), filepath.Join(folder, "profile", "user")
	must(os.MkdirAll(user, 0o700))
	must(os.WriteFile(filepath.Join(user, "registrymodifications.xcu"), []byte(recalculate), 0o600))
	run := exec.Command(program, "-env:UserInstallation=file://"+filepath.Join(folder, "profile"), "--headless", "--convert-to", form, "--outdir", out, in)
	if said, err := run.CombinedOutput(); err != nil {
		t.Fatalf("LibreOffice: %v\n%s", err, said)
	}
	return filepath.Join(out, "sheets."+form)
}

func TestLibreOfficeAgrees(t *testing.T) {
	file := opened(t, written(t, append(append(samples(), mixed()...), hostile()...), sampleOptions()))
	fillIn(t, file) // the saved values that depend on it are now out of date
	typed, err := file.WriteToBuffer()
	must(err)
	other, err := excelize.OpenFile(converted(t, typed.Bytes(), "xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
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
	want := filledIn(t, file, len(mixed())+len(hostile()))
	for where, want := range want {
		sheet, cell, _ := strings.Cut(where, "!")
		if got := raw(t, other, sheet, cell); !same(got, want) {
			t.Errorf("%s is %q in LibreOffice, want %s", where, got, want)
		}
	}
}

func TestOnePageALitter(t *testing.T) {
	info, err := exec.LookPath("pdfinfo")
	if err != nil {
		t.Skip("pdfinfo (poppler-utils) is not installed: pages are not counted")
	}
	long := full()
	long.Notes = strings.Repeat("A long note.\n", 40) + strings.Repeat("長い話 ", 400)
	long.Sire.Words, long.Sire.Origin = strings.Repeat("one of many ", 80), strings.Repeat("far away ", 80)
	long.GenerationWords, long.InbreedingWords, long.Goal = long.Sire.Words, long.Sire.Words, long.Sire.Words
	for paper, litters := range map[string][]Litter{"A4": append(hostile(), long), "letter": append(samples(), full(), long)} {
		o := sampleOptions()
		o.Paper = paper
		pdf := converted(t, written(t, litters, o), "pdf")
		said, err := exec.Command(info, pdf).Output()
		must(err)
		pages := regexp.MustCompile(`Pages:\s+(\d+)`).FindSubmatch(said)
		if want := len(litters) + 2; pages == nil || string(pages[1]) != strconv.Itoa(want) {
			t.Errorf("%s: %s pages for %d litters, a list and the words, want %d", paper, pages[1], len(litters), want)
		}
	}
}
