package pedigree

import (
	"testing"
	"time"
)

// TestParseDate: ISO 8601, reduced precision allowed; days by the Gregorian
// calendar.
func TestParseDate(t *testing.T) {
	for text, want := range map[string]Date{
		"2024-03-05": 20240305, "2024-03": 20240300, "2024": 20240000, "2024-02-29": 20240229, "2000-02-29": 20000229, "1800": 18000000, "2999-12-31": 29991231,
	} {
		if got, err := ParseDate(text); got != want || err != nil {
			t.Errorf("%s: %d, %v, want %d", text, got, err, want)
		}
		if got := want.String(); got != text {
			t.Errorf("%d is written %s, want %s", want, got, text)
		}
	}
	for _, text := range []string{"", "24", "2024-3-5", "2024-13", "2024-00", "2024-02-30", "2023-02-29", "1900-02-29", "2024-04-31", "2024-01-00",
		"2024-01-32", "2024-01-99", "1799", "3000", "2024-", "2024-01-", "2024-+3", "+024", "2024-03-+5", "2024-03-05-", "2024-03-05T00:00", "05-03-2024",
		"2024/03/05", "２０２４", "2024-0a", " 2024"} {
		if got, err := ParseDate(text); err == nil {
			t.Errorf("%q is taken for %s", text, got)
		}
	}
}

func FuzzParseDate(f *testing.F) {
	for _, text := range []string{"2024-03-05", "2024-03", "2024", "2024-+3", "0000-00-00"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseDate(text)
		if err == nil && d.String() != text {
			t.Errorf("%q is read as %s", text, d)
		}
		if _, goErr := time.Parse("2006-01-02", text); goErr == nil && err != nil && text[0] != '0' && text >= "1800" && text < "3" {
			t.Errorf("%q is refused: %v", text, err)
		}
	})
}

// TestAddMonths: the day is kept, or becomes the last of a shorter month.
func TestAddMonths(t *testing.T) {
	for _, c := range []struct {
		from   string
		months int
		want   string
	}{
		{"2022-01-31", 1, "2022-02-28"}, {"2024-01-31", 1, "2024-02-29"}, {"2022-11-30", 3, "2023-02-28"}, {"2022-03-31", -1, "2022-02-28"},
		{"2022-05-15", 12, "2023-05-15"}, {"2022-05", 1, "2022-06-01"}, {"2022", 6, "2022-07-01"}, {"2022-12-31", 2, "2023-02-28"}, {"2022-05-15", 0, "2022-05-15"},
	} {
		if got := day(c.from).AddMonths(c.months); got != day(c.want) {
			t.Errorf("%s and %d months is %s, want %s", c.from, c.months, got, c.want)
		}
	}
	if Date(0).AddMonths(3) != 0 || Date(0).AddDays(3) != 0 || !Date(0).Time().IsZero() {
		t.Error("an unknown date does not stay unknown")
	}
	if got := day("2024-02-28").AddDays(2); got != day("2024-03-01") {
		t.Errorf("two days after 2024-02-28 is %s", got)
	}
	if got := DateOf(time.Date(2022, 5, 4, 23, 59, 0, 0, time.UTC)); got != day("2022-05-04") {
		t.Errorf("DateOf gives %s", got)
	}
}

// TestSurely holds the comparing of dates that are not fully known against
// trying every day that they could mean.
func TestSurely(t *testing.T) {
	texts := []string{"2022", "2022-02", "2022-02-28", "2022-03", "2022-03-01", "2021-12-31", "2023", "2022-12-31", "2023-01-01", "2024-02"}
	days := make(map[string][]Date)
	for _, text := range texts {
		days[text] = daysOf(day(text))
	}
	for _, x := range texts {
		for _, y := range texts {
			before, by := true, true
			for _, a := range days[x] {
				for _, b := range days[y] {
					before, by = before && a < b, by && a <= b
				}
			}
			if got := surelyBefore(day(x), day(y)); got != before {
				t.Errorf("%s is surely before %s: %v, want %v", x, y, got, before)
			}
			if got := surelyBy(day(x), day(y)); got != by {
				t.Errorf("%s is surely by %s: %v, want %v", x, y, got, by)
			}
		}
		if got := day(x).latestDay(); got != days[x][len(days[x])-1] {
			t.Errorf("the latest day of %s is %s", x, got)
		}
		if got := day(x).earliest(); got != days[x][0] {
			t.Errorf("the first day of %s is %s", x, got)
		}
		if surelyBefore(0, day(x)) || surelyBefore(day(x), 0) || surelyBy(0, day(x)) || surelyBy(day(x), 0) {
			t.Error("something is sure of an unknown date")
		}
	}
}

// daysOf lists every day that a date could mean, by the standard library.
func daysOf(d Date) (days []Date) {
	text := d.String()
	for at := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2026; at = at.AddDate(0, 0, 1) {
		if at.Format("2006-01-02")[:len(text)] == text {
			days = append(days, DateOf(at))
		}
	}
	return days
}
