// Package pedcsv reads plain pedigree tables: one row a fish, with its sire and
// its dam.
package pedcsv

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"roebook/pedigree"
)

// LineName is the name of the one line that a table is read into.
const LineName = "pedigree"

// mostProblems is how many problems are told before reading gives up.
const mostProblems = 100

var columns = []string{"id", "sire", "dam", "sex", "born", "living"}

// Read reads a table with the header id,sire,dam and optionally sex, born and
// living, in any order, into a book of one line. Rows come in any order; a
// blank or 0 for a parent is a fish of its own, unknown and unrelated to all
// others; a fish with neither parent is a founder, taken as wild-caught. Without
// a column `living` every fish counts as living. Quotes, CRLF and a byte-order
// mark are accepted. It returns all that could be read and all problems, up to
// a limit; name stands for the file in them. O(rows log rows).
func Read(r io.Reader, name string) (*pedigree.Book, []pedigree.Problem) {
	t := &table{name: name, row: make(map[string]*row)}
	t.read(r)
	t.linkParents()
	book := t.book()
	t.findLoops(book)
	return book, pedigree.SortProblems(t.problems)
}

// findLoops tells of fish that are their own ancestors.
func (t *table) findLoops(b *pedigree.Book) {
	for _, loop := range b.Descent().Loops() {
		var fish, round []string
		for _, id := range loop.Members {
			if t.row[id] != nil {
				fish = append(fish, id)
			}
		}
		for _, id := range loop.Round {
			if t.row[id] != nil {
				round = append(round, id)
			}
		}
		if round[0] != round[len(round)-1] {
			round = append(round, round[0]) // the way began at a spawn
		}
		first := t.row[fish[0]]
		t.problem(first.line, first.column[0], "loop", fmt.Sprintf("%s is its own ancestor: %s", fish[0], strings.Join(round, " > ")),
			"one of these parents is wrong")
		t.problems[len(t.problems)-1].Records = loop.Members
	}
}

// row is one fish as written.
type row struct {
	id, sire, dam string
	sex           pedigree.Sex
	born          pedigree.Date
	dead          bool
	line          int
	column        [6]int // of each known column's value
}

type table struct {
	name     string
	at       [6]int // place of each known column in the row, -1 where absent
	rows     []*row
	row      map[string]*row
	problems []pedigree.Problem
	full     bool
}

func (t *table) read(r io.Reader) {
	buffered := bufio.NewReaderSize(r, 1<<16)
	if mark, _ := buffered.Peek(3); string(mark) == "\ufeff" {
		_, _ = buffered.Discard(3)
	}
	reader := csv.NewReader(buffered)
	reader.ReuseRecord = true
	reader.FieldsPerRecord = -1
	header, err := reader.Read()
	if err != nil || !t.readHeader(header) {
		if err != nil {
			t.problem(1, 1, "table-header", "the table is empty or its first row cannot be read", "begin with a row id,sire,dam")
		}
		return
	}
	width := len(header)
	for !t.full {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			t.problem(parse.Line, parse.Column, "table-row", parse.Err.Error(), "")
			continue
		}
		if err != nil {
			t.problem(len(t.rows)+2, 1, "table-row", err.Error(), "")
			return
		}
		line, _ := reader.FieldPos(0)
		if len(record) != width {
			t.problem(line, 1, "table-row", fmt.Sprintf("this row has %d values and the header %d", len(record), width), "")
			continue
		}
		t.readRow(reader, record, line)
	}
}

func (t *table) readHeader(header []string) bool {
	for i := range t.at {
		t.at[i] = -1
	}
	column := 1
	for i, cell := range header {
		name := strings.ToLower(strings.TrimSpace(cell))
		k := slices.Index(columns, name)
		switch {
		case k < 0:
			t.problem(1, column, "table-header", fmt.Sprintf("there is no column %q", cell), "known columns: "+strings.Join(columns, ", "))
		case t.at[k] >= 0:
			t.problem(1, column, "table-header", fmt.Sprintf("the column %q stands twice", name), "")
		default:
			t.at[k] = i
		}
		column += utf8.RuneCountInString(cell) + 1
	}
	for k := range 3 {
		if t.at[k] < 0 {
			t.problem(1, 1, "table-header", fmt.Sprintf("the column %q is missing", columns[k]), "begin with a row id,sire,dam")
		}
	}
	return len(t.problems) == 0
}

// value returns the text of a known column, trimmed; "" where it is absent.
func (t *table) value(record []string, k int) string {
	if t.at[k] < 0 {
		return ""
	}
	return strings.TrimSpace(record[t.at[k]])
}

func (t *table) readRow(reader *csv.Reader, record []string, line int) {
	r := &row{line: line}
	for k := range r.column {
		if t.at[k] >= 0 {
			_, r.column[k] = reader.FieldPos(t.at[k])
		}
	}
	at := func(k int) int { return max(r.column[k], 1) }
	r.id = strings.Clone(t.value(record, 0))
	r.sire, r.dam = parent(t.value(record, 1)), parent(t.value(record, 2))
	if r.id == "" || r.id == "0" {
		t.problem(line, at(0), "table-id", "this row has no id", "")
		return
	}
	if first := t.row[r.id]; first != nil {
		t.problem(line, at(0), "duplicate-id", fmt.Sprintf("%s stands twice in the table", r.id), "give one of them another id",
			pedigree.Place{Position: t.position(first.line, first.column[0], len(r.id)), Note: "first here"})
		return
	}
	var ok bool
	if r.sex, ok = parseSex(t.value(record, 3)); !ok {
		t.problem(line, at(3), "table-sex", fmt.Sprintf("%q is not a sex", t.value(record, 3)), "write male, female or leave it blank")
	}
	if born := t.value(record, 4); born != "" {
		date, err := parseBorn(born)
		if err != nil {
			t.problem(line, at(4), "table-date", err.Error(), "")
		}
		r.born = date
	}
	switch living := strings.ToLower(t.value(record, 5)); living {
	case "yes", "true", "1", "y":
	case "no", "false", "0", "n":
		r.dead = true
	case "":
		r.dead = t.at[5] >= 0
	default:
		t.problem(line, at(5), "table-living", fmt.Sprintf("%q is neither yes nor no", living), "")
	}
	t.rows = append(t.rows, r)
	t.row[r.id] = r
}

func parent(text string) string {
	if text == "0" {
		return ""
	}
	return strings.Clone(text)
}

func parseSex(text string) (pedigree.Sex, bool) {
	switch strings.ToLower(text) {
	case "male", "m":
		return pedigree.Male, true
	case "female", "f":
		return pedigree.Female, true
	case "", "unsexed", "unknown", "0":
		return pedigree.Unsexed, true
	}
	return pedigree.Unsexed, false
}

// parseBorn reads a date, or any year of up to four digits: tables of other
// animals reach further back than a keeper's book.
func parseBorn(text string) (pedigree.Date, error) {
	if year, err := strconv.Atoi(text); err == nil && year > 0 && year < 3000 {
		return pedigree.Date(year * 10000), nil
	}
	return pedigree.ParseDate(text)
}

// linkParents checks that every parent has a row and one sex; a fish without a
// stated sex has that of the side on which it stands.
func (t *table) linkParents() {
	usedAs := make(map[string]*row)
	for _, r := range t.rows {
		for side, id := range [2]string{r.sire, r.dam} {
			if id == "" {
				continue
			}
			column, sex := max(r.column[1+side], 1), pedigree.Male+pedigree.Sex(side)
			p := t.row[id]
			switch {
			case p == nil:
				t.problem(r.line, column, "unknown-id", fmt.Sprintf("%s is named as the %s of %s and has no row", id, columns[1+side], r.id),
					"add a row for it, or leave the parent blank")
			case p.sex == pedigree.Unsexed:
				p.sex = sex
				usedAs[id] = r
			case p.sex != sex:
				hint, places := "", []pedigree.Place(nil)
				if first := usedAs[id]; first != nil {
					places = []pedigree.Place{{Position: t.position(first.line, first.column[2-side], len(id)), Note: "the other side, here"}}
				}
				t.problem(r.line, column, "wrong-sex", fmt.Sprintf("%s is the %s here and is %s elsewhere", id, columns[1+side], p.sex), hint, places...)
			}
		}
	}
}

func (t *table) position(line, column, width int) pedigree.Position {
	return pedigree.Position{File: t.name, Line: line, Column: max(column, 1), Width: max(width, 1)}
}

func (t *table) problem(line, column int, rule, message, hint string, places ...pedigree.Place) {
	if t.full {
		return
	}
	if len(t.problems) == mostProblems {
		t.full = true
		message, hint, places = fmt.Sprintf("more than %d problems: the rest is not told", mostProblems), "", nil
	}
	t.problems = append(t.problems, pedigree.Problem{
		Position: t.position(line, column, 1), Severity: pedigree.Error, Rule: rule, Message: message, Hint: hint, Places: places,
	})
}

// book makes the records. Sibs of two known parents and one birth date come
// from one spawn; an unknown parent is another fish for each row.
func (t *table) book() *pedigree.Book {
	b := &pedigree.Book{Name: t.name, Lines: []*pedigree.Line{{Name: LineName}}}
	type litter struct {
		sire, dam string
		born      pedigree.Date
	}
	spawns := make(map[litter]*pedigree.Spawn)
	for _, r := range t.rows {
		where := pedigree.Where{Position: t.position(r.line, r.column[0], utf8.RuneCountInString(r.id))}
		s := &pedigree.Stock{ID: r.id, Line: LineName, Sex: r.sex, Born: r.born, Gone: r.dead, Where: where}
		b.Stock = append(b.Stock, s)
		if r.sire == "" && r.dam == "" {
			s.Wild = &pedigree.Wild{Date: r.born}
			continue
		}
		key := litter{r.sire, r.dam, r.born}
		spawn := spawns[key]
		if spawn == nil || r.sire == "" || r.dam == "" {
			spawn = &pedigree.Spawn{ID: "young " + r.id, Line: LineName, Date: r.born, Where: where}
			spawn.Sire.Candidates, spawn.Dam.Candidates = candidate(r.sire), candidate(r.dam)
			spawns[key] = spawn
			b.Spawns = append(b.Spawns, spawn)
		}
		s.FromSpawns = []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}
	}
	b.Arrange()
	return b
}

func candidate(id string) []pedigree.Candidate {
	if id == "" {
		return nil
	}
	return []pedigree.Candidate{{ID: id, Odds: 1}}
}
