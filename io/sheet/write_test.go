package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// full is an egg layer's spawn with every count. The shares in these tests are
// worked out by hand: 150/200, 120/150, 90/120, 6/120.
func full() Litter {
	return Litter{ID: "BD-S4", Line: "Brook danio", Species: "Danio exempli", Status: "recorded", Date: day("2026-02-20"),
		Eggs: n(200), Fertile: n(150), Hatched: n(120), Swimming: n(90), Kept: n(40), Deformed: n(6), Culled: n(6), Lost: n(12),
		Tanks: []string{"G1", "G2"}}
}

func written(t testing.TB, litters []Litter, o Options) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, litters, o); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func opened(t testing.TB, book []byte) *excelize.File {
	t.Helper()
	file, err := excelize.OpenReader(bytes.NewReader(book))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { file.Close() })
	return file
}

func raw(t testing.TB, file *excelize.File, sheet, cell string) string {
	t.Helper()
	value, err := file.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	return value
}

func calculated(t testing.TB, file *excelize.File, sheet, cell string) string {
	t.Helper()
	value, err := file.CalcCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatalf("%s!%s: %v", sheet, cell, err)
	}
	return value
}

// same compares values as texts, or as numbers within rounding.
func same(a, b string) bool {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX == nil && errY == nil {
		return math.Abs(x-y) <= 1e-9*math.Max(1, math.Abs(x))
	}
	return a == b
}

// formulas calls f for every formula of the workbook.
func formulas(t testing.TB, file *excelize.File, f func(sheet, cell string)) (found int) {
	t.Helper()
	for _, sheet := range file.GetSheetList() {
		rows, err := file.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for row := 1; row <= len(rows)+5; row++ {
			for col := 1; col <= ovDeformedShare; col++ {
				if formula, _ := file.GetCellFormula(sheet, at(col, row)); formula != "" {
					found++
					f(sheet, at(col, row))
				}
			}
		}
	}
	return found
}

// markRow finds the row of a key in the hidden column, as a later reader would.
func markRow(t testing.TB, file *excelize.File, sheet, key string) int {
	t.Helper()
	rows, err := file.GetRows(sheet)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows {
		if len(row) >= colKey && row[colKey-1] == key {
			return i + 1
		}
	}
	t.Fatalf("worksheet %q has no row marked %q", sheet, key)
	return 0
}

func TestSavedValuesAreTheFormulas(t *testing.T) {
	file := opened(t, written(t, append(samples(), mixed()...), sampleOptions()))
	found := formulas(t, file, func(sheet, cell string) {
		if saved, now := raw(t, file, sheet, cell), calculated(t, file, sheet, cell); !same(saved, now) {
			formula, _ := file.GetCellFormula(sheet, cell)
			t.Errorf("%s!%s holds %q, its formula gives %q: %s", sheet, cell, saved, now, formula)
		}
	})
	if found < 150 {
		t.Errorf("only %d formulas", found)
	}
}

func TestFirstWorksheetSharesByHand(t *testing.T) {
	file := opened(t, written(t, []Litter{full(), {ID: "BD-S5", Eggs: n(100)}}, sampleOptions()))
	for _, row := range []int{overviewTop, overviewTop + 2} { // the spawn, and the totals: BD-S5 has no second number
		for col, want := range map[int]string{ovFertileShare: "0.75", ovHatchedShare: "0.8", ovAliveShare: "0.75", ovDeformedShare: "0.05"} {
			if got := raw(t, file, "All spawns", at(col, row)); !same(got, want) {
				t.Errorf("%s is %q, want %s", at(col, row), got, want)
			}
		}
	}
	if got := raw(t, file, "All spawns", at(ovEggs, overviewTop+2)); got != "300" {
		t.Errorf("eggs in all %q, want 300", got)
	}
	if got := raw(t, file, "All spawns", at(ovFertileShare, overviewTop+1)); got != "" {
		t.Errorf("a share of missing numbers is %q, want nothing", got)
	}
}

// fillIn types what a keeper would type on the planned spawn BD-S7.
func fillIn(t testing.TB, file *excelize.File) {
	t.Helper()
	type typed struct {
		key   string
		col   int
		value any
	}
	for _, entry := range []typed{{"spawned planned", colDay, 46362}, {"hatched", colDay, 3}, // 2026-12-06
		{"eggs", colNumber, 80}, {"fertile", colNumber, 60}, {"hatched", colNumber, 48}, {"swimming", colNumber, 40},
		{"week-1", colNumber, 38}, {"week-3", colNumber, 36}, {"deformed", colNumber, 12}} {
		if err := file.SetCellValue("BD-S7", at(entry.col, markRow(t, file, "BD-S7", entry.key)), entry.value); err != nil {
			t.Fatal(err)
		}
	}
}

// filledIn is what then follows: 2026-12-06 + 3 days is 46365; 60/80, 48/60,
// 36/48, 12/48, by hand.
func filledIn(t testing.TB, file *excelize.File, more int) map[string]string {
	return map[string]string{
		"BD-S7!" + at(colDue, markRow(t, file, "BD-S7", "hatched")): "46365",
		"BD-S7!" + at(colDue, markRow(t, file, "BD-S7", "week-1")):  "46369",
		"All spawns!" + at(ovDay, overviewTop+1):                    "46362",
		"All spawns!" + at(ovLast, overviewTop+1):                   "36",
		"All spawns!" + at(ovFertileShare, overviewTop+1):           "0.75",
		"All spawns!" + at(ovHatchedShare, overviewTop+1):           "0.8",
		"All spawns!" + at(ovAliveShare, overviewTop+1):             "0.75",
		"All spawns!" + at(ovDeformedShare, overviewTop+1):          "0.25",
		"All spawns!" + at(ovFertileShare, overviewTop+3+more):      "0.75",
	}
}

// mixed litters lack one number or another, so that totals must leave them out.
func mixed() []Litter {
	return []Litter{full(), {ID: "old", Status: "recorded", Date: day("1899-05-02"), Eggs: n(0), Fertile: n(0)}, {ID: "eggs only", Eggs: n(77)},
		{ID: "month", Status: "planned for 2027-03", Date: day("2027-03"), Hatched: n(10), Swimming: n(4)}}
}

func TestFormulasFollowWhatIsTyped(t *testing.T) {
	file := opened(t, written(t, samples(), sampleOptions()))
	fillIn(t, file)
	for where, want := range filledIn(t, file, 0) {
		sheet, cell, _ := strings.Cut(where, "!")
		if got := calculated(t, file, sheet, cell); !same(got, want) {
			t.Errorf("%s gives %q, want %s", where, got, want)
		}
	}
}

// Day numbers of the 1900 system: 36526 is 2000-01-01, 61 is 1900-03-01
// (ECMA-376 part 1, 18.17.4, its system of 1900; from memory).
func TestDayNumber(t *testing.T) {
	for text, want := range map[string]int{"2000-01-01": 36526, "1900-03-01": 61, "1900-02-28": 0, "2024-03": 0, "2024": 0} {
		if got, exact := dayNumber(day(text)); got != want || exact != (want > 0) {
			t.Errorf("%s is day %d (%v), want %d", text, got, exact, want)
		}
	}
	if _, exact := dayNumber(0); exact {
		t.Error("an unknown date is a day")
	}
}

func TestUnknownDayIsNotInvented(t *testing.T) {
	file := opened(t, written(t, []Litter{{ID: "S", Status: "recorded", Date: day("2024-03"), Eggs: n(5)}}, Options{}))
	if came, plan := raw(t, file, "S", at(colDay, rowDate)), raw(t, file, "S", at(colDone, rowDate)); came != "" || plan != "2024-03" {
		t.Errorf("day %q, plan %q; want none and 2024-03", came, plan)
	}
	if got := raw(t, file, "S", at(colDue, markRow(t, file, "S", "eggs"))); got != "" {
		t.Errorf("due %q of an unknown day", got)
	}
	if got := raw(t, file, "All spawns", at(ovDay, overviewTop)); got != "2024-03" {
		t.Errorf("the list says %q", got)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	first := written(t, samples(), sampleOptions())
	for range 4 {
		if !bytes.Equal(first, written(t, samples(), sampleOptions())) {
			t.Fatal("two workbooks of the same litters differ")
		}
	}
}

// Every part of the package must be well-formed XML (XML 1.0).
func TestPartsAreWellFormed(t *testing.T) {
	book := written(t, append(samples(), hostile()...), sampleOptions())
	archive, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range archive.File {
		in, err := part.Open()
		if err != nil {
			t.Fatal(err)
		}
		decoder := xml.NewDecoder(in)
		for err == nil {
			_, err = decoder.Token()
		}
		if !errors.Is(err, io.EOF) {
			t.Errorf("%s: %v", part.Name, err)
		}
		in.Close()
	}
}

func TestRefuses(t *testing.T) {
	for want, err := range map[string]error{
		"there is no litter to write a sheet for": Write(io.Discard, nil, Options{}),
		`the paper "A3" is neither A4 nor letter`: Write(io.Discard, samples(), Options{Paper: "A3"}),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	if err := Write(broken{}, samples(), Options{}); err == nil {
		t.Error("a writer that fails went unnoticed")
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestManyLitters(t *testing.T) {
	tanks := make([]string, 300)
	for i := range tanks {
		tanks[i] = fmt.Sprintf("rack %d, tank %d", i/10, i%10)
	}
	var litters []Litter
	for i := range 150 {
		l := full()
		l.ID, l.Tanks, l.Livebearer = fmt.Sprintf("BD-S%d", i/2), tanks, i%3 == 0
		l.Born = n(120)
		litters = append(litters, l)
	}
	began := time.Now()
	book := written(t, litters, sampleOptions())
	took := time.Since(began)
	t.Logf("150 litters: %v, %d kB", took.Round(time.Millisecond), len(book)/1024)
	if took > 20*time.Second {
		t.Errorf("150 litters took %v", took)
	}
	file := opened(t, book)
	if got := len(file.GetSheetList()); got != 152 {
		t.Errorf("%d worksheets, want 152", got)
	}
	if got := raw(t, file, "All spawns", at(ovSwimming, overviewTop+150)); got != "13500" {
		t.Errorf("swimming in all %s, want 13500", got)
	}
}

func TestPropertiesAndPages(t *testing.T) {
	o := sampleOptions()
	o.Paper = "letter"
	file := opened(t, written(t, samples(), o))
	props, err := file.GetDocProps()
	must(err)
	got := []string{props.Title, props.Creator, props.LastModifiedBy, props.Created, props.Modified}
	want := []string{"Splitfins & danios, litter sheets", "R. Example", "R. Example", "2026-11-24T00:00:00Z", "2026-11-24T00:00:00Z"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("properties (-want +got):\n%s", diff)
	}
	calc, err := file.GetCalcProps()
	must(err)
	if calc.FullCalcOnLoad == nil || !*calc.FullCalcOnLoad {
		t.Error("programs are not told to recalculate")
	}
	sheets := file.GetSheetList()
	for i, sheet := range sheets {
		layout, err := file.GetPageLayout(sheet)
		must(err)
		high := 1
		if i == 0 || i == len(sheets)-1 {
			high = 0
		}
		if *layout.Size != 1 || *layout.FitToWidth != 1 || *layout.FitToHeight != high {
			t.Errorf("%s: paper %d, fitted to %d × %d", sheet, *layout.Size, *layout.FitToWidth, *layout.FitToHeight)
		}
	}
	areas := map[string]string{}
	for _, name := range file.GetDefinedName() {
		if name.Name == "_xlnm.Print_Area" {
			areas[name.Scope] = strings.TrimRight(name.RefersTo, "0123456789")
		}
	}
	if areas["AS-S2"] != "'AS-S2'!$A$1:$G$" || areas["All spawns"] != "'All spawns'!$A$1:$R$" {
		t.Errorf("print areas: %v", areas)
	}
	if names := file.GetDefinedName(); len(names) != len(sheets)+1 {
		t.Errorf("%d defined names: want a print area for each worksheet but the lists, and repeated rows for two", len(names))
	}
}
