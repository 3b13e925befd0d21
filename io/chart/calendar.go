package chart

import (
	"cmp"
	"slices"

	"roebook/pedigree"
)

// calendar puts what happened in a line into columns: one or more a year, so
// that what came of something stands to the right of it even within a year. Where
// there is room for it, what came later stands nowhere further left.
type calendar struct {
	byDate      bool        // there was room
	first, last int         // years; 0 where nothing is dated
	undated     bool        // the first column is for what has no date
	base        map[int]int // the first column of a year
	columns     int
	column      map[string]int // in which a record begins, or a spawn happened
	years       []int          // of each column, 0 for undated
	until       []pedigree.Date
}

// happening is a record or spawn with what it came from.
type happening struct {
	id    string
	date  pedigree.Date
	after []string
}

// mostDated is the most columns of a calendar by date; beyond it only descent
// orders what is of one year, which takes fewer.
const mostDated = 48

// newCalendar takes happenings in an order of descent, and the day of the chart.
func newCalendar(list []happening, on pedigree.Date) *calendar {
	list = inTime(list)
	if c := layCalendar(list, on, true); c.columns <= mostDated {
		return c
	}
	return layCalendar(list, on, false)
}

// inTime sorts happenings by date; none is earlier than what it came from.
func inTime(list []happening) []happening {
	list = slices.Clone(list)
	date := make(map[string]pedigree.Date, len(list))
	for i := range list {
		for _, id := range list[i].after {
			list[i].date = max(list[i].date, date[id])
		}
		date[list[i].id] = list[i].date
	}
	slices.SortStableFunc(list, func(a, b happening) int { return cmp.Compare(a.date, b.date) })
	return list
}

func layCalendar(list []happening, on pedigree.Date, byDate bool) *calendar {
	type when struct{ year, rank int }
	at := make(map[string]when, len(list))
	most := map[int]int{}
	c := &calendar{byDate: byDate, base: map[int]int{}, column: map[string]int{}, first: on.Year(), last: on.Year()}
	least, day := map[int]int{}, pedigree.Date(0) // the rank reached in each year before the day
	for _, h := range list {
		w := when{year: h.date.Year()}
		if byDate {
			if h.date != day {
				day, least[w.year] = h.date, max(0, most[w.year]-1)
			}
			w.rank = least[w.year]
		}
		for _, id := range h.after {
			if before, ok := at[id]; ok && before.year == w.year {
				w.rank = max(w.rank, before.rank+1)
			}
		}
		at[h.id] = w
		most[w.year] = max(most[w.year], w.rank+1)
		if w.year > 0 {
			c.first = min(c.first, w.year)
		}
	}
	c.undated = most[0] > 0
	c.addYear(0, most[0])
	for year := c.first; year <= c.last; year++ {
		c.addYear(year, max(1, most[year]))
	}
	c.until = make([]pedigree.Date, c.columns)
	for _, h := range list {
		w := at[h.id]
		column := c.base[w.year] + w.rank
		c.column[h.id] = column
		if c.until[column] == 0 || h.date < c.until[column] {
			c.until[column] = h.date
		}
	}
	return c
}

func (c *calendar) addYear(year, columns int) {
	c.base[year] = c.columns
	c.columns += columns
	for range columns {
		c.years = append(c.years, year)
	}
}

// on returns the last column that begins by a date, of its year.
func (c *calendar) on(date pedigree.Date) int {
	column, ok := c.base[date.Year()]
	if !ok {
		return c.columns - 1
	}
	for next := column + 1; next < c.columns && c.years[next] == date.Year() && c.until[next] <= date; next++ {
		column = next
	}
	return column
}

// day is the day as of which a column is drawn.
func (c *calendar) day(column int) pedigree.Date {
	if c.until[column].Known() {
		return c.until[column]
	}
	return pedigree.Date(c.years[column]*10000 + 1231)
}
