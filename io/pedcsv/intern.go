package pedcsv

import (
	"bytes"
	"cmp"
	"math/bits"
	"slices"
	"sync"
	"sync/atomic"
)

// index finds rows by id: where the ids do not ascend, by an open-addressing
// table over the bytes of the text, in parts by the highest bits of the hash, so
// that several cores can fill it without waiting for each other.
type index struct {
	s *scanned
	// Nothing of this where they ascend.
	hash  []uint32  // of each row's id
	shift uint      // hash >> shift is the part
	parts [][]int32 // a row's number + 1, 0 for none
}

// newIndex enters every row and returns the rows whose id stands further up,
// with the rows where it does.
func newIndex(s *scanned, workers int) (x *index, doubles map[int32]int32) {
	x = &index{s: s, shift: uint(32 - bits.Len(uint(workers-1)))}
	if s.ascends(workers) {
		return x, nil
	}
	x.parts = make([][]int32, workers)
	size := uint32(1)
	for int(size)*workers < 2*len(s.rows)+64 {
		size *= 2
	}
	x.hash = make([]uint32, len(s.rows))
	parallel(workers, func(w int) {
		for i := len(s.rows) * w / workers; i < len(s.rows)*(w+1)/workers; i++ {
			id := s.rows[i].cell[0]
			x.hash[i] = s.hash(id, s.key(id))
		}
	})
	found := make([]map[int32]int32, workers)
	parallel(workers, func(w int) {
		x.parts[w] = make([]int32, size)
		found[w] = x.fill(uint32(w))
	})
	doubles = found[0]
	for _, more := range found[1:] {
		for row, first := range more {
			doubles[row] = first
		}
	}
	return x, doubles
}

// fill enters the rows of one part. The parts may fill unevenly by a few
// rows: at twice the room this does no harm.
func (x *index) fill(part uint32) map[int32]int32 {
	doubles := make(map[int32]int32)
	entries, rows := x.parts[part], x.s.rows
	count := 0
	for i, hash := range x.hash {
		if hash>>x.shift != part {
			continue
		}
		if count++; count > len(entries)*7/8 {
			entries = x.grow(part)
		}
		at := hash & uint32(len(entries)-1)
		for ; entries[at] != 0; at = (at + 1) & uint32(len(entries)-1) {
			if row := entries[at] - 1; x.hash[row] == hash && x.same(rows[i].cell[0], x.s.key(rows[i].cell[0]), row) {
				doubles[int32(i)] = row
				break
			}
		}
		if entries[at] == 0 {
			entries[at] = int32(i) + 1
		}
	}
	return doubles
}

// grow doubles a part that the hash has filled more than the others.
func (x *index) grow(part uint32) []int32 {
	old := x.parts[part]
	entries := make([]int32, 2*len(old))
	for _, row := range old {
		if row == 0 {
			continue
		}
		at := x.hash[row-1] & uint32(len(entries)-1)
		for entries[at] != 0 {
			at = (at + 1) & uint32(len(entries)-1)
		}
		entries[at] = row
	}
	x.parts[part] = entries
	return entries
}

// unknown is the place of an id without a row.
const unknown = -2

// same reports whether the row has that id, key being its first bytes.
func (x *index) same(c span, key uint64, row int32) bool {
	id := x.s.rows[row].cell[0]
	return id.n == c.n && x.s.key(id) == key && x.s.sameText(c, id)
}

// find returns the row of an id, key being its first bytes and hash its hash.
func (x *index) find(c span, key uint64, hash uint32) int32 {
	if x.parts == nil {
		return x.search(c, key)
	}
	entries := x.parts[hash>>x.shift]
	mask := uint32(len(entries) - 1)
	for at := hash & mask; entries[at] != 0; at = (at + 1) & mask {
		if row := entries[at] - 1; x.hash[row] == hash && x.same(c, key, row) {
			return row
		}
	}
	return unknown
}

// search finds it where the ids ascend.
func (x *index) search(c span, key uint64) int32 {
	row, found := slices.BinarySearchFunc(x.s.rows, c, func(r rowAt, c span) int {
		return x.s.compare(r.cell[0], c, x.s.key(r.cell[0]), key)
	})
	if !found {
		return unknown
	}
	return int32(row)
}

// ascends reports whether the ids stand in ascending order, shorter ones before
// longer ones, as numbers in a row do.
func (s *scanned) ascends(workers int) bool {
	var not atomic.Bool
	parallel(workers, func(w int) {
		from, to := len(s.rows)*w/workers, len(s.rows)*(w+1)/workers
		var last span
		lastKey := uint64(0)
		for i := max(from-1, 0); i < to && !not.Load(); i++ {
			id := s.rows[i].cell[0]
			key := s.key(id)
			if s.compare(last, id, lastKey, key) >= 0 {
				not.Store(true)
			}
			last, lastKey = id, key
		}
	})
	return !not.Load()
}

// compare orders ids by length, then by their bytes, of which the keys are the
// first eight.
func (s *scanned) compare(a, b span, keyA, keyB uint64) int {
	switch {
	case a.n != b.n:
		return cmp.Compare(a.n, b.n)
	case keyA != keyB:
		return cmp.Compare(bits.ReverseBytes64(keyA), bits.ReverseBytes64(keyB))
	case a.n <= 8:
		return 0
	}
	return bytes.Compare(s.bytes(a), s.bytes(b))
}

// parents finds the rows of parents. Those found before stand in a table by
// themselves: few fish are parents of many, and so they stay at hand.
type parents struct {
	x     *index
	found []parentRow
	count int
}

type parentRow struct {
	key uint64
	id  span // without length in an empty place
	row int32
}

func (p *parents) row(id span) int32 {
	s := p.x.s
	key := s.key(id)
	hash := s.hash(id, key)
	at := p.place(id, key, hash)
	if at.id.n == 0 {
		if 2*p.count >= len(p.found) {
			p.grow()
			at = p.place(id, key, hash)
		}
		*at = parentRow{key, id, p.x.find(id, key, hash)}
		p.count++
	}
	return at.row
}

// place returns where the id stands or would.
func (p *parents) place(id span, key uint64, hash uint32) *parentRow {
	mask := uint32(len(p.found) - 1)
	for at := hash & mask; ; at = (at + 1) & mask {
		f := &p.found[at]
		if f.id.n == 0 || f.key == key && f.id.n == id.n && p.x.s.sameText(f.id, id) {
			return f
		}
	}
}

func (p *parents) grow() {
	old := p.found
	p.found = make([]parentRow, 4*len(old))
	for _, f := range old {
		if f.id.n > 0 {
			*p.place(f.id, f.key, p.x.s.hash(f.id, f.key)) = f
		}
	}
}

// link writes the parents' rows of rows from to to.
func (x *index) link(from, to int, sire, dam []int32) {
	p := parents{x: x, found: make([]parentRow, 1<<10)}
	for i := from; i < to; i++ {
		for k, into := range [2][]int32{sire, dam} {
			into[i] = -1
			if id := x.s.rows[i].cell[1+k]; id.n > 0 {
				into[i] = p.row(id)
			}
		}
	}
}

// parallel calls f for 0 to n−1, each in its own goroutine.
func parallel(n int, f func(i int)) {
	if n == 1 {
		f(0)
		return
	}
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() { f(i) })
	}
	all.Wait()
}
