package pedcsv

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"strings"
	"unicode"
	"unsafe"

	"roebook/pedigree"
)

// scanned is a table as written. Its rows point into text, which is the file
// itself, or what stands between its quotes.
type scanned struct {
	name  string
	data  []byte // the file, without a byte-order mark
	text  []byte
	plain bool // no quote in it: a line is a row, and text is data
	at    [6]int
	width int
	rows  []rowAt
	sex   []pedigree.Sex
	born  []pedigree.Date // nil without the column
	dead  []bool          // nil without the column
	flaws []flaw          // in the order of the file
	seed  maphash.Seed
	last  struct { // see place
		start uint32
		lines int
	}
}

// span is a piece of the text.
type span struct{ at, n uint32 }

// rowAt is where one row and its three ids stand; a parent left blank has no
// length.
type rowAt struct {
	start uint32 // in the data
	cell  [3]span
	hash  [3]uint32
}

// flaw is a problem of a row, its place not yet worked out.
type flaw struct {
	start               uint32 // of the row
	column              int    // known column, or
	line, place         int    // the very place, where column is -1
	rule, message, hint string
	other               uint32 // row that took part: its start
	otherColumn         int    // -1: none
	otherWidth          int
	note                string
}

// bytes returns the text of a span.
func (s *scanned) bytes(c span) []byte { return s.text[c.at : c.at+c.n] }

// string returns it too; it shares the text, which nobody writes to any more.
func (s *scanned) string(c span) string {
	if c.n == 0 {
		return ""
	}
	return unsafe.String(&s.text[c.at], int(c.n))
}

// scanPlain reads the lines of data[from:to], one row each, none with a quote.
// It gives up after mostProblems: the file has more than are told.
func (s *scanned) scanPlain(from, to int) {
	fields := make([]span, s.width)
	guess := (to-from)/16 + 1
	s.rows = make([]rowAt, 0, guess)
	for at := from; at < to && len(s.flaws) <= mostProblems; {
		end := bytes.IndexByte(s.data[at:to], '\n')
		next := at + end + 1
		if end < 0 {
			end, next = to-at, to
		}
		line := s.data[at : at+end]
		if len(line) > 0 && line[len(line)-1] == '\r' {
			line = line[:len(line)-1]
		}
		if len(line) > 0 {
			if n := split(line, uint32(at), fields); n != s.width {
				s.wrongWidth(uint32(at), n)
			} else {
				s.readRow(uint32(at), fields)
			}
		}
		at = next
	}
}

// split cuts a line at its commas into fields and returns how many there are,
// which may be more than there is room for.
func split(line []byte, base uint32, fields []span) int {
	n, first := 0, 0
	for i, c := range line {
		if c != ',' {
			continue
		}
		if n < len(fields) {
			fields[n] = span{base + uint32(first), uint32(i - first)}
		}
		n, first = n+1, i+1
	}
	if n < len(fields) {
		fields[n] = span{base + uint32(first), uint32(len(line) - first)}
	}
	return n + 1
}

// scanQuoted reads the rows that are left in the reader, whose first row began
// the data.
func (s *scanned) scanQuoted(reader *csv.Reader) {
	fields := make([]span, s.width)
	for len(s.flaws) <= mostProblems {
		start := uint32(reader.InputOffset())
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			s.flaws = append(s.flaws, flaw{start: start, column: -1, line: parse.Line, place: parse.Column, rule: "table-row", message: parse.Err.Error(), otherColumn: -1})
			continue
		}
		if len(record) != s.width {
			s.wrongWidth(start, len(record))
			continue
		}
		for i, cell := range record {
			fields[i] = span{uint32(len(s.text)), uint32(len(cell))}
			s.text = append(s.text, cell...)
		}
		s.readRow(start, fields)
	}
}

func (s *scanned) wrongWidth(start uint32, n int) {
	s.flaws = append(s.flaws, flaw{start: start, column: noColumn, rule: "table-row", otherColumn: -1,
		message: fmt.Sprintf("this row has %d values and the header %d", n, s.width)})
}

// noColumn stands for the beginning of the row's line.
const noColumn = len(columns)

// known returns the value of a known column, trimmed; empty where it is absent.
func (s *scanned) known(fields []span, k int) span {
	if s.at[k] < 0 {
		return span{}
	}
	c := fields[s.at[k]]
	if c.n == 0 {
		return c
	}
	b := s.text[c.at : c.at+c.n]
	if first, last := b[0], b[c.n-1]; first > ' ' && first < 0x80 && last > ' ' && last < 0x80 {
		return c
	}
	right := bytes.TrimSpace(b)
	left := uint32(len(b) - len(bytes.TrimLeftFunc(b, unicode.IsSpace)))
	return span{c.at + left, uint32(len(right))}
}

func (s *scanned) readRow(start uint32, fields []span) {
	row := rowAt{start: start}
	for k := range row.cell {
		c := s.known(fields, k)
		if c.n == 1 && s.text[c.at] == '0' {
			c.n = 0
		}
		row.cell[k] = c
		if c.n == 0 {
			continue
		}
		if last := len(s.rows) - 1; k > 0 && last >= 0 && s.same(c, s.rows[last].cell[k]) {
			row.hash[k] = s.rows[last].hash[k] // sibs often stand together
		} else {
			row.hash[k] = uint32(maphash.Bytes(s.seed, s.bytes(c)))
		}
	}
	if row.cell[0].n == 0 {
		s.flaw(start, 0, "table-id", "this row has no id", "")
		return
	}
	s.rows = append(s.rows, row)
	sex := pedigree.Unsexed
	if c := s.known(fields, 3); c.n > 0 {
		var ok bool
		if sex, ok = parseSex(s.bytes(c)); !ok {
			s.flaw(start, 3, "table-sex", fmt.Sprintf("%q is not a sex", s.bytes(c)), "write male, female or leave it blank")
		}
	}
	s.sex = append(s.sex, sex)
	if s.at[4] >= 0 {
		s.born = append(s.born, s.readBorn(start, s.known(fields, 4)))
	}
	if s.at[5] >= 0 {
		s.dead = append(s.dead, s.readDead(start, s.known(fields, 5)))
	}
}

func (s *scanned) same(a, b span) bool {
	return a.n == b.n && string(s.bytes(a)) == string(s.bytes(b))
}

func (s *scanned) flaw(start uint32, column int, rule, message, hint string) {
	s.flaws = append(s.flaws, flaw{start: start, column: column, rule: rule, message: message, hint: hint, otherColumn: -1})
}

func (s *scanned) readBorn(start uint32, c span) pedigree.Date {
	if c.n == 0 {
		return 0
	}
	if date, ok := quickDate(s.bytes(c)); ok {
		return date
	}
	date, err := parseBorn(string(s.bytes(c)))
	if err != nil {
		s.flaw(start, 4, "table-date", err.Error(), "")
	}
	return date
}

// quickDate reads the dates that need no calendar: a year, or a full date with
// a day that every month has.
func quickDate(b []byte) (pedigree.Date, bool) {
	if len(b) != 4 && (len(b) != 10 || b[4] != '-' || b[7] != '-') {
		return 0, false
	}
	number := 0
	for i, c := range b {
		if i == 4 || i == 7 {
			continue
		}
		if c < '0' || c > '9' {
			return 0, false
		}
		number = number*10 + int(c-'0')
	}
	if len(b) == 4 {
		return pedigree.Date(number * 10000), number > 0 && number < 3000
	}
	year, month, day := number/10000, number/100%100, number%100
	ok := year >= 1800 && year < 3000 && month >= 1 && month <= 12 && day >= 1 && day <= 28
	return pedigree.Date(number), ok
}

func (s *scanned) readDead(start uint32, c span) bool {
	if c.n == 0 {
		return true
	}
	switch b := s.bytes(c); strings.ToLower(string(b)) {
	case "yes", "true", "1", "y":
		return false
	case "no", "false", "0", "n":
		return true
	default:
		s.flaw(start, 5, "table-living", fmt.Sprintf("%q is neither yes nor no", strings.ToLower(string(b))), "")
	}
	return false
}

func parseSex(text []byte) (pedigree.Sex, bool) {
	if len(text) == 1 {
		switch text[0] {
		case 'm', 'M':
			return pedigree.Male, true
		case 'f', 'F':
			return pedigree.Female, true
		case '0':
			return pedigree.Unsexed, true
		}
	}
	switch strings.ToLower(string(text)) {
	case "male":
		return pedigree.Male, true
	case "female":
		return pedigree.Female, true
	case "unsexed", "unknown":
		return pedigree.Unsexed, true
	}
	return pedigree.Unsexed, false
}
