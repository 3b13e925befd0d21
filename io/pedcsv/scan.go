package pedcsv

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"math/bits"
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
	mix   uint64   // odd, see hash
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

// room makes place for as many rows, of which none is there yet.
func (s *scanned) room(rows int) {
	s.rows = make([]rowAt, 0, rows)
	s.sex = make([]pedigree.Sex, 0, rows)
	if s.at[4] >= 0 {
		s.born = make([]pedigree.Date, 0, rows)
	}
	if s.at[5] >= 0 {
		s.dead = make([]bool, 0, rows)
	}
}

// piece returns a scanned for a part of the data, to be filled by itself, with
// place for rows from to to in s.
func (s *scanned) piece(from, to int) scanned {
	p := *s
	p.rows, p.sex = s.rows[from:from:to], s.sex[from:from:to]
	if s.born != nil {
		p.born = s.born[from:from:to]
	}
	if s.dead != nil {
		p.dead = s.dead[from:from:to]
	}
	return p
}

// join takes in the parts of the data, in order. Nothing moves where each part
// has as many rows as there was place for.
func (s *scanned) join(parts []scanned) {
	for _, p := range parts {
		s.rows, s.sex = appendHere(s.rows, p.rows), appendHere(s.sex, p.sex)
		s.born, s.dead = appendHere(s.born, p.born), appendHere(s.dead, p.dead)
		s.flaws = append(s.flaws, p.flaws...)
	}
}

// appendHere appends a list that may stand in its place already.
func appendHere[T any](list, more []T) []T {
	end := len(list) + len(more)
	if len(more) > 0 && end <= cap(list) && &list[:end][len(list)] == &more[0] {
		return list[:end]
	}
	return append(list, more...)
}

// scanPlain reads the lines of data[from:to], one row each, none with a quote,
// the last one ended. It gives up after mostProblems: the file has more than
// are told. It looks at eight bytes at a time.
func (s *scanned) scanPlain(from, to int) {
	fields := make([]span, s.width)
	start, first, n := uint32(from), uint32(from), 0
	delimiter := func(at uint32, newline bool) {
		if n < len(fields) {
			fields[n] = span{first, at - first}
		}
		n, first = n+1, at+1
		if newline {
			s.endLine(start, at, n, fields)
			start, n = first, 0
		}
	}
	at := from
	for ; at+8 <= to; at += 8 {
		word := binary.LittleEndian.Uint64(s.data[at:])
		commas, newlines := equal(word, ','), equal(word, '\n')
		for both := commas | newlines; both != 0; both &= both - 1 {
			bit := bits.TrailingZeros64(both)
			delimiter(uint32(at+bit>>3), newlines>>bit&1 != 0)
		}
		if len(s.flaws) > mostProblems {
			return
		}
	}
	for ; at < to; at++ {
		if c := s.data[at]; c == ',' || c == '\n' {
			delimiter(uint32(at), c == '\n')
		}
	}
	if int(start) < to { // the last line of the file
		delimiter(uint32(to), true)
	}
}

// equal sets the highest bit of each byte of word that is b.
func equal(word uint64, b byte) uint64 {
	const ones, high = 0x0101010101010101, 0x8080808080808080
	word ^= ones * uint64(b)
	return ^((word&^high + ^uint64(high)) | word | ^uint64(high)) // exact: no borrow between bytes
}

// endLine reads the line of n fields that ends there.
func (s *scanned) endLine(start, end uint32, n int, fields []span) {
	if end > start && s.data[end-1] == '\r' {
		end--
		if n <= len(fields) {
			fields[n-1].n-- // the mark stands in the last field
		}
	}
	switch {
	case end == start:
	case n != s.width:
		s.wrongWidth(start, n)
	default:
		s.readRow(start, fields)
	}
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

// key returns the first eight bytes of a piece of text, the lowest first, with
// zeros after its end.
func (s *scanned) key(c span) uint64 {
	if int(c.at)+8 <= len(s.text) {
		word := binary.LittleEndian.Uint64(s.text[c.at:])
		if c.n < 8 {
			word &= 1<<(8*c.n) - 1
		}
		return word
	}
	word := uint64(0)
	for i, b := range s.text[c.at : c.at+min(c.n, 8)] {
		word |= uint64(b) << (8 * i)
	}
	return word
}

// hash spreads ids over 32 bits, in another way each time the program runs. Ids
// that differ only in the lowest bits of their last letter, as numbers in a row
// do, stay together: they are mostly looked for together.
func (s *scanned) hash(c span, key uint64) uint32 {
	const near = 7
	last := uint32(s.text[c.at+c.n-1])
	if c.n > 8 {
		key = maphash.Bytes(s.seed, s.bytes(span{c.at, c.n - 1})) ^ uint64(last>>3)
	} else {
		key &^= near << (8 * (c.n - 1))
	}
	high, low := bits.Mul64(key^s.mix>>1, s.mix)
	return uint32(high^low>>32)&^near | last&near
}

// sameText reports whether two ids are the same, of which the first eight bytes
// and the lengths are.
func (s *scanned) sameText(a, b span) bool {
	return a.n <= 8 || string(s.bytes(a)) == string(s.bytes(b))
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
