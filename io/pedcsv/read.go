// Package pedcsv reads plain pedigree tables: one row a fish, with its sire and
// its dam.
package pedcsv

import (
	"io"
	"strconv"

	"roebook/pedigree"
)

// LineName is the name of the one line that a table is read into.
const LineName = "pedigree"

// mostProblems is how many problems are told before reading gives up.
const mostProblems = 100

var columns = [...]string{"id", "sire", "dam", "sex", "born", "living"}

// Read reads a table with the header id,sire,dam and optionally sex, born and
// living, in any order, into a book of one line. Rows come in any order; a
// blank or 0 for a parent is a fish of its own, unknown and unrelated to all
// others; a fish with neither parent is a founder, taken as wild-caught. Without
// a column `living` every fish counts as living. Quotes, CRLF and a byte-order
// mark are accepted. It returns all that could be read and all problems, up to
// a limit; name stands for the file in them. O(rows log rows). For more than
// some ten thousand fish see [ReadTable].
func Read(r io.Reader, name string) (*pedigree.Book, []pedigree.Problem) {
	t, problems := ReadTable(r, name)
	return Book(t), problems
}

// parseBorn reads a date, or any year of up to four digits: tables of other
// animals reach further back than a keeper's book.
func parseBorn(text string) (pedigree.Date, error) {
	if year, err := strconv.Atoi(text); err == nil && year > 0 && year < 3000 {
		return pedigree.Date(year * 10000), nil
	}
	return pedigree.ParseDate(text)
}

// Book makes a book of one line of a table. Sibs of two known parents and one
// birth date come from one spawn; an unknown parent is another fish for each
// row. O(rows log rows); some kilobytes a row.
func Book(t *pedigree.Table) *pedigree.Book {
	all := make([]int, t.Len())
	for i := range all {
		all[i] = i
	}
	return bookOf(t, all)
}

// bookOf makes a book of some rows.
func bookOf(t *pedigree.Table, rows []int) *pedigree.Book {
	b := &pedigree.Book{Name: t.Name, Table: true, Lines: []*pedigree.Line{{Name: LineName}}}
	type litter struct {
		sire, dam int32
		born      pedigree.Date
	}
	spawns := make(map[litter]*pedigree.Spawn)
	for _, i := range rows {
		stock := &pedigree.Stock{ID: t.IDs[i], Line: LineName, Sex: t.Sex[i], Born: t.BornOn(i), Gone: t.Living != nil && !t.Living[i]}
		b.Stock = append(b.Stock, stock)
		if t.IsFounder(i) {
			stock.Wild = &pedigree.Wild{Date: stock.Born}
			continue
		}
		key := litter{t.Sire[i], t.Dam[i], stock.Born}
		spawn := spawns[key]
		if spawn == nil || key.sire < 0 || key.dam < 0 {
			spawn = &pedigree.Spawn{ID: "young " + stock.ID, Line: LineName, Date: stock.Born}
			spawn.Sire.Candidates, spawn.Dam.Candidates = candidate(t, key.sire), candidate(t, key.dam)
			spawns[key] = spawn
			b.Spawns = append(b.Spawns, spawn)
		}
		stock.FromSpawns = []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}
	}
	b.Arrange()
	return b
}

func candidate(t *pedigree.Table, row int32) []pedigree.Candidate {
	if row < 0 {
		return nil
	}
	return []pedigree.Candidate{{ID: t.IDs[row], Odds: 1}}
}
