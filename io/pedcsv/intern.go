package pedcsv

import (
	"math/bits"
	"sync"
)

// index finds rows by id: an open-addressing table over the bytes of the text,
// in parts by the highest bits of the hash, so that several cores can fill it
// without waiting for each other.
type index struct {
	s     *scanned
	hash  []uint32  // of each row's id
	shift uint      // hash >> shift is the part
	parts [][]int32 // a row's number + 1, 0 for none
}

// newIndex enters every row and returns the rows whose id stands further up,
// with the rows where it does.
func newIndex(s *scanned, workers int) (x *index, doubles map[int32]int32) {
	x = &index{s: s, shift: uint(32 - bits.Len(uint(workers-1)))}
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

// find returns the row of an id, key being its first bytes.
func (x *index) find(c span, key uint64) int32 {
	hash := x.s.hash(c, key)
	entries := x.parts[hash>>x.shift]
	mask := uint32(len(entries) - 1)
	for at := hash & mask; entries[at] != 0; at = (at + 1) & mask {
		if row := entries[at] - 1; x.hash[row] == hash && x.same(c, key, row) {
			return row
		}
	}
	return unknown
}

// link writes the parents' rows of rows from to to.
func (x *index) link(from, to int, sire, dam []int32) {
	for k, into := range [2][]int32{sire, dam} {
		var last span // sibs often stand together
		lastKey, lastRow := uint64(0), int32(-1)
		for i := from; i < to; i++ {
			c := x.s.rows[i].cell[1+k]
			if c.n == 0 {
				into[i] = -1
				continue
			}
			key := x.s.key(c)
			if key != lastKey || c.n != last.n || !x.s.sameText(c, last) {
				last, lastKey, lastRow = c, key, x.find(c, key)
			}
			into[i] = lastRow
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
