package pedigree

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Date is a day, a month or a year of the calendar (ISO 8601), held as the
// number yyyymmdd with 00 for a month or day that is unknown. Dates compare as
// numbers: "2024" sorts before every full date it could contain. The zero Date
// means that no date is known.
type Date int32

// ParseDate reads 2024-03-05, 2024-03 or 2024. It refuses days that the
// calendar does not have and years outside 1800 to 2999.
func ParseDate(text string) (Date, error) {
	parts := strings.Split(text, "-")
	widths := []int{4, 2, 2}
	if len(parts) > len(widths) {
		return 0, dateError(text)
	}
	var number [3]int
	for i, part := range parts {
		value, err := strconv.Atoi(part)
		if err != nil || len(part) != widths[i] || part[0] == '+' {
			return 0, dateError(text)
		}
		number[i] = value
	}
	year, month, day := number[0], number[1], number[2]
	if year < 1800 || year > 2999 {
		return 0, fmt.Errorf("the year %04d is outside 1800 to 2999", year)
	}
	if len(parts) > 1 && (month < 1 || month > 12) {
		return 0, fmt.Errorf("there is no month %02d", month)
	}
	if len(parts) > 2 {
		made := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
		if made.Day() != day || day < 1 {
			return 0, fmt.Errorf("%s %d has no day %02d", time.Month(month), year, day)
		}
	}
	return Date(year*10000 + month*100 + day), nil
}

func dateError(text string) error {
	return fmt.Errorf("%q is not a date: write 2024-03-05, or 2024-03 or 2024 where the day is not known", text)
}

// DateOf returns the calendar day of t.
func DateOf(t time.Time) Date {
	return Date(t.Year()*10000 + int(t.Month())*100 + t.Day())
}

// Known reports whether the date says anything.
func (d Date) Known() bool { return d != 0 }

// Year returns the year, 0 for an unknown date.
func (d Date) Year() int { return int(d) / 10000 }

// Time returns the first day that the date could mean, at midnight UTC; the
// zero time for an unknown date.
func (d Date) Time() time.Time {
	if !d.Known() {
		return time.Time{}
	}
	month, day := int(d)/100%100, int(d)%100
	return time.Date(d.Year(), time.Month(max(month, 1)), max(day, 1), 0, 0, 0, 0, time.UTC)
}

// AddMonths returns the day that many months later (earlier if negative),
// counted from the first day that d could mean; an unknown date stays unknown.
func (d Date) AddMonths(months int) Date {
	if !d.Known() {
		return 0
	}
	t := d.Time()
	first := time.Date(t.Year(), t.Month()+time.Month(months), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return DateOf(first.AddDate(0, 0, min(t.Day(), last)-1))
}

// AddDays returns the day that many days later, counted from the first day
// that d could mean; an unknown date stays unknown.
func (d Date) AddDays(days int) Date {
	if !d.Known() {
		return 0
	}
	return DateOf(d.Time().AddDate(0, 0, days))
}

// String writes the date as it is known: 2024-03-05, 2024-03 or 2024; "" where
// nothing is known.
func (d Date) String() string {
	switch month, day := int(d)/100%100, int(d)%100; {
	case !d.Known():
		return ""
	case month == 0:
		return fmt.Sprintf("%04d", d.Year())
	case day == 0:
		return fmt.Sprintf("%04d-%02d", d.Year(), month)
	default:
		return fmt.Sprintf("%04d-%02d-%02d", d.Year(), month, day)
	}
}
