package chart

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roebook/pedigree"
)

// One number has one shade, and it is the one whose words name it.
func TestShadeIsOfTheNumberAsWritten(t *testing.T) {
	of := map[string]string{}
	for i := 1; i <= 8000; i++ {
		k := float64(i) / 8000
		text, s := decimals(toHundredths(k), 2), shadeOf(k)
		if before, ok := of[text]; ok && before != s.fill {
			t.Errorf("%s has two shades, %s and %s", text, before, s.fill)
		}
		of[text] = s.fill
	}
	for n, want := range map[float64]string{1.0 / 16: "0.06", 1.0 / 8: "0.13", 1.0 / 4: "0.25"} {
		if text := decimals(toHundredths(n), 2); text != want || !strings.Contains(shadeOf(n).words, want) {
			t.Errorf("%v is %s, of %q", n, text, shadeOf(n).words)
		}
	}
	for i, s := range shades[2:] {
		if least := decimals(s.least, 2); !strings.HasPrefix(s.words, least) || !strings.Contains(shades[i+1].words, decimals(s.least-0.01, 2)) {
			t.Errorf("the shade from %s on is %q, after %q", least, s.words, shades[i+1].words)
		}
	}
}

// A lot with one fish left has no two to compare: a dash, as the remark says. It
// is the mother of the young (0.25) by one chance in four.
func TestLotOfOneFishHasADash(t *testing.T) {
	d := Kinship(stateOf(t, pondBook(0)), "Kinship", []string{"W", "Y"})
	got := ""
	for _, s := range d.shapes {
		if s.text == "–" || s.text == "0" || strings.HasPrefix(s.text, "0.") && len(s.text) == 4 {
			got += " " + s.text
		}
	}
	if want := " – 0.06 0.06 0.25"; got != want {
		t.Errorf("the cells are%s, want%s", got, want)
	}
}

// Within a year nothing stands left of what came before it, while there is room.
func TestCalendarGoesByDate(t *testing.T) {
	s := demo(t)
	for _, l := range s.Model().Book().Lines {
		g := newLineage(s, l.Name)
		if !g.calendar.byDate {
			t.Errorf("%s: no room", l.Name)
		}
		list := g.gather()
		for _, a := range list {
			for _, b := range list {
				if ca, cb := g.calendar.column[a.id], g.calendar.column[b.id]; a.date < b.date && ca > cb && g.calendar.years[ca] == g.calendar.years[cb] {
					t.Errorf("%s of %v stands right of %s of %v", a.id, a.date, b.id, b.date)
				}
			}
		}
	}
	list := []happening{{"W", 20240503, nil}, {"K", 20241102, nil}, {"S", 20240810, []string{"W"}}, {"Y", 20240810, []string{"S"}}}
	c := newCalendar(list, theDay)
	if c.column["K"] < c.column["S"] || c.column["Y"] <= c.column["S"] {
		t.Errorf("the columns are %v", c.column)
	}
	var many []happening
	for i := range 60 {
		day := pedigree.Date(20240101 + i/25*100 + i%25)
		spawn := fmt.Sprint("S", i)
		many = append(many, happening{spawn, day, nil}, happening{fmt.Sprint("Y", i), day, []string{spawn}})
	}
	if c := newCalendar(many, theDay); c.byDate || c.columns > 4 {
		t.Errorf("by date: %v, %d columns", c.byDate, c.columns)
	}
}

// The names of the years say that it is their ends.
func TestTicksAreEndsOfYears(t *testing.T) {
	d := History(demo(t), "candlewick", nil)
	ends, years := map[float64]bool{}, map[float64]bool{}
	for _, s := range d.shapes {
		switch {
		case s.text == "end of":
			ends[math.Round(s.at.x)] = true
		case len(s.text) == 4 && strings.HasPrefix(s.text, "202"):
			years[math.Round(s.at.x)] = true
		}
	}
	if len(years) < 4 || fmt.Sprint(ends) != fmt.Sprint(years) {
		t.Errorf("years at %v, ends at %v", years, ends)
	}
}
