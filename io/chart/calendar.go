package chart

import (
	"roebook/pedigree"
)

// calendar puts what happened in a line into columns: one or more a year, so
// that what came of something stands to the right of it even within a year.
type calendar struct {
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

// newCalendar takes happenings in an order of descent, and the day of the chart.
func newCalendar(list []happening, on pedigree.Date) *calendar {
	type when struct{ year, rank int }
	at := make(map[string]when, len(list))
	most := map[int]int{}
	c := &calendar{base: map[int]int{}, column: map[string]int{}, first: on.Year(), last: on.Year()}
	for _, h := range list {
		w := when{year: h.date.Year()}
		for _, id := range h.after {
			before, ok := at[id]
			switch {
			case !ok || before.year < w.year:
			case before.year > w.year:
				w = when{before.year, before.rank + 1}
			default:
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
