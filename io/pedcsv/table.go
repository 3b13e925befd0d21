package pedcsv

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"hash/maphash"
	"io"
	"io/fs"
	"math"
	"runtime"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"roebook/pedigree"
)

// ReadTable reads a table as [Read] does, into the compact form: a million fish
// in about 100 megabytes beside the file's own text, which the ids go on using.
// Of a table with problems it returns what could be read. O(rows).
func ReadTable(r io.Reader, name string) (*pedigree.Table, []pedigree.Problem) {
	data, err := readAll(r)
	if err != nil {
		t, problems := ParseTable(nil, name)
		problems[0].Message = err.Error()
		return t, problems
	}
	return ParseTable(data, name)
}

// readAll reads everything, in one piece where the reader knows its size.
func readAll(r io.Reader) ([]byte, error) {
	var buffer bytes.Buffer
	if file, ok := r.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if info, err := file.Stat(); err == nil && info.Mode().IsRegular() {
			buffer.Grow(int(info.Size()) + bytes.MinRead)
		}
	}
	_, err := buffer.ReadFrom(r)
	return buffer.Bytes(), err
}

// ParseTable is [ReadTable] of bytes in memory, which must not change any more.
func ParseTable(data []byte, name string) (*pedigree.Table, []pedigree.Problem) {
	s := scan(data, name)
	t := s.table()
	return t, s.told(s.loops(t))
}

// scan reads all rows of the file.
func scan(data []byte, name string) *scanned {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	s := &scanned{name: name, data: data, seed: maphash.MakeSeed()}
	s.mix = maphash.Bytes(s.seed, []byte("mix")) | 1
	if uint64(len(data)) > math.MaxUint32 {
		s.flawAt(1, 1, "table-row", "the table is larger than 4 gigabytes", "")
		return s
	}
	reader := csv.NewReader(bytes.NewReader(data))
	reader.ReuseRecord = true
	reader.FieldsPerRecord = -1
	header, err := reader.Read()
	if err != nil || !s.readHeader(header) {
		if err != nil {
			s.flawAt(1, 1, "table-header", "the table is empty or its first row cannot be read", "begin with a row id,sire,dam")
		}
		return s
	}
	s.width = len(header)
	from := int(reader.InputOffset())
	if bytes.IndexByte(data[from:], '"') >= 0 {
		s.scanQuoted(reader)
		return s
	}
	s.plain, s.text = true, data
	s.scanParts(from)
	return s
}

// workers is how many cores share the work on so many bytes.
func workers(size int) int {
	if size < 1<<18 || runtime.GOMAXPROCS(0) < 2 {
		return 1
	}
	return 2
}

// scanParts reads the lines from there on, a part on each core.
func (s *scanned) scanParts(from int) {
	n := workers(len(s.data) - from)
	cuts := []int{from}
	for i := 1; i < n; i++ {
		cut := from + (len(s.data)-from)/n*i
		line := bytes.IndexByte(s.data[cut:], '\n')
		if line < 0 {
			break
		}
		cuts = append(cuts, cut+line+1)
	}
	cuts = append(cuts, len(s.data))
	lines := make([]int, len(cuts))
	parallel(len(cuts)-1, func(i int) {
		lines[i+1] = bytes.Count(s.data[cuts[i]:cuts[i+1]], []byte("\n"))
	})
	for i := range len(cuts) - 1 {
		lines[i+1] += lines[i]
	}
	lines[len(cuts)-1]++ // the last line may have no end
	s.room(lines[len(cuts)-1])
	parts := make([]scanned, len(cuts)-1)
	parallel(len(parts), func(i int) {
		parts[i] = s.piece(lines[i], lines[i+1])
		parts[i].scanPlain(cuts[i], cuts[i+1])
	})
	s.join(parts)
}

func (s *scanned) readHeader(header []string) bool {
	for i := range s.at {
		s.at[i] = -1
	}
	column := 1
	for i, cell := range header {
		name := strings.ToLower(strings.TrimSpace(cell))
		k := slices.Index(columns[:], name)
		switch {
		case k < 0:
			s.flawAt(1, column, "table-header", fmt.Sprintf("there is no column %q", cell), "known columns: "+strings.Join(columns[:], ", "))
		case s.at[k] >= 0:
			s.flawAt(1, column, "table-header", fmt.Sprintf("the column %q stands twice", name), "")
		default:
			s.at[k] = i
		}
		column += utf8.RuneCountInString(cell) + 1
	}
	for k := range 3 {
		if s.at[k] < 0 {
			s.flawAt(1, 1, "table-header", fmt.Sprintf("the column %q is missing", columns[k]), "begin with a row id,sire,dam")
		}
	}
	return len(s.flaws) == 0
}

func (s *scanned) flawAt(line, column int, rule, message, hint string) {
	s.flaws = append(s.flaws, flaw{column: -1, line: line, place: column, rule: rule, message: message, hint: hint, otherColumn: -1})
}

// table links the parents and checks them.
func (s *scanned) table() *pedigree.Table {
	n := workers(len(s.text))
	x, doubles := newIndex(s, n)
	if len(doubles) > 0 {
		s.dropDoubles(doubles)
		x, _ = newIndex(s, n)
	}
	rows := len(s.rows)
	t := &pedigree.Table{
		Name: s.name, IDs: make([]string, rows), Sire: make([]int32, rows), Dam: make([]int32, rows), Sex: s.sex, Born: s.born,
	}
	if s.dead != nil {
		t.Living = make([]bool, rows)
	}
	parallel(n, func(w int) {
		from, to := rows*w/n, rows*(w+1)/n
		x.link(from, to, t.Sire, t.Dam)
		for i := from; i < to; i++ {
			t.IDs[i] = s.string(s.rows[i].cell[0])
			if s.dead != nil {
				t.Living[i] = !s.dead[i]
			}
		}
	})
	s.checkIDs(t)
	s.checkParents(t)
	return t
}

// checkIDs refuses ids that cannot be shown or told apart: control characters,
// and text that is not UTF-8.
func (s *scanned) checkIDs(t *pedigree.Table) {
	for i, id := range t.IDs {
		plain := true
		for j := range len(id) {
			plain = plain && id[j] >= ' ' && id[j] < 0x7f
		}
		if plain || utf8.ValidString(id) && !strings.ContainsFunc(id, unicode.IsControl) {
			continue
		}
		s.flaw(s.rows[i].start, 0, "table-id", "this id holds a control character, or is not UTF-8 text", "write letters, digits, - and the like")
		if len(s.flaws) > mostProblems {
			return
		}
	}
}

// dropDoubles takes out the rows whose id stands further up, and what was
// wrong with them besides.
func (s *scanned) dropDoubles(doubles map[int32]int32) {
	starts := make(map[uint32]bool, len(doubles))
	for row := range doubles {
		starts[s.rows[row].start] = true
	}
	s.flaws = slices.DeleteFunc(s.flaws, func(f flaw) bool { return f.column >= 0 && starts[f.start] })
	for row, first := range doubles {
		id := s.rows[row].cell[0]
		s.flaws = append(s.flaws, flaw{
			start: s.rows[row].start, rule: "duplicate-id", message: s.string(id) + " stands twice in the table",
			hint: "give one of them another id", other: s.rows[first].start, otherWidth: int(id.n), note: "first here",
		})
	}
	slices.SortStableFunc(s.flaws, func(a, b flaw) int { return int(int64(a.start) - int64(b.start)) })
	to := 0
	for i := range s.rows {
		if _, double := doubles[int32(i)]; double {
			continue
		}
		s.rows[to], s.sex[to] = s.rows[i], s.sex[i]
		if s.born != nil {
			s.born[to] = s.born[i]
		}
		if s.dead != nil {
			s.dead[to] = s.dead[i]
		}
		to++
	}
	s.rows, s.sex = s.rows[:to], s.sex[:to]
	s.born, s.dead = s.born[:min(to, len(s.born))], s.dead[:min(to, len(s.dead))]
}

// asUsed marks a sex that a fish has only by the side on which it stands.
const asUsed = pedigree.Sex(8)

// checkParents checks that every parent has a row and one sex; a fish without a
// stated sex has that of the side on which it stands.
func (s *scanned) checkParents(t *pedigree.Table) {
	rows := t.Len()
	for i := range t.Sire {
		for side, column := range [2][]int32{t.Sire, t.Dam} {
			sex := pedigree.Male + pedigree.Sex(side)
			switch p := column[i]; {
			case p == -1:
			case p == unknown:
				column[i] = -1
				s.unknownParent(i, side)
			case t.Sex[p] == pedigree.Unsexed:
				t.Sex[p] = sex | asUsed
			case t.Sex[p]&^asUsed != sex:
				s.wrongSex(t, i, side)
			}
		}
		if len(s.flaws) > mostProblems {
			rows = i
			break
		}
	}
	for i := range t.Sex {
		t.Sex[i] &^= asUsed
	}
	s.forgetUnknown(t, rows)
}

func (s *scanned) forgetUnknown(t *pedigree.Table, from int) {
	for i := from; i < t.Len(); i++ {
		t.Sire[i], t.Dam[i] = max(t.Sire[i], -1), max(t.Dam[i], -1)
	}
}

func (s *scanned) unknownParent(row, side int) {
	r := &s.rows[row]
	s.flaw(r.start, 1+side, "unknown-id", fmt.Sprintf("%s is named as the %s of %s and has no row",
		s.bytes(r.cell[1+side]), columns[1+side], s.bytes(r.cell[0])), "add a row for it, or leave the parent blank")
}

func (s *scanned) wrongSex(t *pedigree.Table, row, side int) {
	r := &s.rows[row]
	id := s.bytes(r.cell[1+side])
	p, other := t.Sire[row], t.Dam
	if side == 1 {
		p, other = t.Dam[row], t.Sire
	}
	s.flaw(r.start, 1+side, "wrong-sex", fmt.Sprintf("%s is the %s here and is %s elsewhere", id, columns[1+side], t.Sex[p]&^asUsed), "")
	if first := slices.Index(other, p); t.Sex[p]&asUsed != 0 {
		f := &s.flaws[len(s.flaws)-1]
		f.other, f.otherColumn, f.otherWidth, f.note = s.rows[first].start, 2-side, len(id), "the other side, here"
	}
}
