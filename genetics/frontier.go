package genetics

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/floats"
)

// frontier holds the kinships of the bred fish that are still to be used: a
// square matrix with a slot for each. A batch of new fish b, whose parents s
// and d all have slots, takes one row after the other,
//
//	R = K[s] + K[d] ,   K(b, j) = ½·R[j] ,   K(b, b') = ¼·(R[s'] + R[d']) ,   K(b, b) = ½·(1 + F_b)
//
// and then the slots of fish that are not used any more. The rows are those of
// the tabular method (Emik & Terrill 1949, J. Hered. 40:51), kept only as long
// as they are needed, and only of fish that are needed after their own batch; of
// the others R is enough, from which their young's inbreeding is read.
type frontier struct {
	g       *tableGraph
	s       *schedule
	f       []float64 // of each fish
	stride  int
	k       []float64 // stride rows
	rows    []float64 // of the batch
	slot    []int32   // of each bred fish
	slots   slotRing
	young   youngList
	held    []int32 // bred fish with a slot
	scratch []*row

	pair []slotPair // of each bred fish, once it has entered

	// Of the batch.
	batch   int32
	fresh   []int32    // the new fish, those first that stay
	into    []int32    // the slots of these
	parents []slotPair // and where their parents are
	inOrder bool       // into is 0, 1, 2 ...
	stay    []int32    // slots of fish that were there and stay
}

// slotPair is where the parents of a fish are, noSlot for one not known: the
// sire in the lower half, the dam in the upper.
type slotPair uint32

func (p slotPair) sire() uint16 { return uint16(p) }
func (p slotPair) dam() uint16  { return uint16(p >> 16) }

// row is a row of a matrix, or K[s] + K[d] with 0 at noSlot. It has a place for
// every number that a slot can have, so that none has to be checked: the
// matrices go on behind their last row.
type row [1 << 16]float64

const (
	noSlot    = 1<<16 - 1
	mostSlots = noSlot &^ 7
)

// inbreedingByFrontier fills f, which is 0, with the inbreeding of all fish.
// O(bred fish · width + fish) time, O(width·(width + batch)) memory.
func (g *tableGraph) inbreedingByFrontier(ctx context.Context, s *schedule, f []float64, progress func(done, total int)) error {
	if s.batches == 0 {
		return ctx.Err()
	}
	if s.width > mostSlots {
		return fmt.Errorf("%d parents at once are more than a frontier can hold", s.width)
	}
	w := &frontier{g: g, s: s, f: f, stride: stride(s.width), slot: make([]int32, len(g.bred)), pair: make([]slotPair, len(g.bred))}
	w.slots.room(s.width)
	w.k, w.rows = make([]float64, w.stride*w.stride+len(row{})), make([]float64, w.stride*s.rows()+len(row{}))
	for range workers() {
		w.scratch = append(w.scratch, new(row))
	}
	entering := g.entering(s)
	w.young = g.youngOfLater(s)
	from, done := 0, 0
	for t := range s.batches {
		if err := ctx.Err(); err != nil {
			return err
		}
		to := from
		for to < len(entering) && int(s.batch[entering[to]]) == t {
			to++
		}
		w.enter(int32(t), entering[from:to])
		for _, b := range entering[from:to] {
			done += int(w.young.start[b+1] - w.young.start[b])
		}
		from = to
		if progress != nil {
			progress(done, len(w.young.of))
		}
	}
	return nil
}

// entering returns the bred fish by batch, those of one sire together: their
// rows are read again while they are at hand.
func (g *tableGraph) entering(s *schedule) []int32 {
	bred := make([]int32, len(g.bred))
	for b := range bred {
		bred[b] = int32(b)
	}
	bred = countingSort(bred, func(b int32) int32 { return g.bredSireOf[b] + 1 })
	bred = countingSort(bred, func(b int32) int32 {
		if s.stays[b] {
			return 0
		}
		return 1
	})
	return countingSort(bred, func(b int32) int32 { return s.batch[b] })
}

// youngList is the fish with two known parents by the parent that enters later
// (of two that enter together the sire), when their inbreeding can be read.
type youngList struct {
	start []int32 // of each bred fish in of, and the end
	of    []young
}

type young struct{ fish, other int32 } // other is the parent there already

func (g *tableGraph) youngOfLater(s *schedule) youngList {
	n, parts := len(g.bred), workers()
	ends := make([][]int32, parts) // of each part of the fish, by later parent
	each := func(do func(end []int32, sires, dams []int32, first int)) {
		inParallel(parts, 1, func(_, part, _ int) {
			from, to := g.size()*part/parts, g.size()*(part+1)/parts
			do(ends[part], g.sireOf[from:to], g.damOf[from:to], from)
		})
	}
	for part := range ends {
		ends[part] = make([]int32, n)
	}
	each(func(end, sires, dams []int32, _ int) {
		for i, sire := range sires {
			if dam := dams[i]; sire >= 0 && dam >= 0 {
				later, _ := s.byEntry(sire, dam)
				end[later]++
			}
		}
	})
	list := youngList{start: make([]int32, n+1)}
	total := int32(0)
	for b := range n {
		list.start[b] = total
		for part := range ends {
			total, ends[part][b] = total+ends[part][b], total
		}
	}
	list.start[n] = total
	list.of = make([]young, total)
	each(func(end, sires, dams []int32, first int) {
		for i, sire := range sires {
			if dam := dams[i]; sire >= 0 && dam >= 0 {
				later, other := s.byEntry(sire, dam)
				list.of[end[later]] = young{int32(first + i), other}
				end[later]++
			}
		}
	})
	return list
}

// byEntry returns which of two parents enters later, the sire where both enter
// together.
func (s *schedule) byEntry(sire, dam int32) (later, other int32) {
	if s.batch[dam] > s.batch[sire] {
		return dam, sire
	}
	return sire, dam
}

// enter takes in a batch.
func (w *frontier) enter(t int32, fresh []int32) {
	w.batch, w.fresh, w.parents, w.into, w.stay = t, fresh, w.parents[:0], w.into[:0], w.stay[:0]
	for _, b := range fresh {
		w.pair[b] = slotPair(w.slotOf(w.g.bredSireOf[b])) | slotPair(w.slotOf(w.g.bredDamOf[b]))<<16
	}
	old := w.slots.used
	w.release(t)
	w.inOrder = len(w.stay) == 0
	for _, b := range fresh {
		if !w.s.stays[b] {
			break
		}
		w.slot[b] = w.slots.take()
		w.into, w.parents = append(w.into, w.slot[b]), append(w.parents, w.pair[b])
		w.held = append(w.held, b)
	}
	inParallel(len(fresh), 1+(1<<15)/(old+w.slots.used+8), func(worker, from, to int) {
		for i := from; i < to; i++ {
			w.row(i, old, w.scratch[worker])
		}
	})
	w.write()
}

func (w *frontier) slotOf(b int32) uint16 {
	if b < 0 {
		return noSlot
	}
	return uint16(w.slot[b])
}

// release frees the slots of fish that nothing needs after batch t.
func (w *frontier) release(t int32) {
	held := w.held[:0]
	for _, b := range w.held {
		if w.s.last[b] >= t {
			held = append(held, b)
			w.stay = append(w.stay, w.slot[b])
		} else {
			w.slots.give(w.slot[b])
		}
	}
	if w.held = held; len(held) == 0 {
		w.slots.reset()
	}
}

// row works out the row of the i-th new fish; old is how many slots were in use
// before.
func (w *frontier) row(i, old int, r *row) {
	b := w.fresh[i]
	young := w.young.of[w.young.start[b]:w.young.start[b+1]]
	stays := i < len(w.into)
	if !stays && len(young) == 0 {
		return
	}
	w.sum(r, old, w.pair[b])
	self := (1 + w.f[w.g.bred[b]]) / 2
	for _, y := range young {
		switch o := y.other; {
		case o == b:
			w.f[y.fish] = self
		case w.s.batch[o] == w.batch:
			w.f[y.fish] = (r[w.pair[o].sire()] + r[w.pair[o].dam()]) / 4
		default:
			w.f[y.fish] = r[uint16(w.slot[o])] / 2
		}
	}
	if !stays {
		return
	}
	out := (*row)(w.rows[i*w.stride:])
	for _, j := range w.stay {
		out[uint16(j)] = r[uint16(j)] / 2
	}
	if w.inOrder {
		for k, p := range w.parents {
			out[uint16(k)] = (r[p.sire()] + r[p.dam()]) / 4
		}
	} else {
		for k, p := range w.parents {
			out[uint16(w.into[k])] = (r[p.sire()] + r[p.dam()]) / 4
		}
	}
	out[w.into[i]] = self
}

// sum sets r to the sum of the rows of a pair.
func (w *frontier) sum(r *row, old int, p slotPair) {
	sire, dam := int(p.sire())*w.stride, int(p.dam())*w.stride
	switch {
	case p.sire() == noSlot && p.dam() == noSlot:
		clear(r[:old])
	case p.dam() == noSlot:
		copy(r[:old], w.k[sire:])
	case p.sire() == noSlot:
		copy(r[:old], w.k[dam:])
	default:
		floats.AddTo(r[:old], w.k[sire:][:old], w.k[dam:][:old])
	}
}

// write puts the new rows into their slots, and what they hold of the fish that
// stay into those fishes' rows.
func (w *frontier) write() {
	if w.inOrder && len(w.rows) == len(w.k) {
		w.k, w.rows = w.rows, w.k
		return
	}
	used := w.slots.used
	inParallel(len(w.into), 1+(1<<15)/(used+8), func(_, from, to int) {
		for i := from; i < to; i++ {
			copy(w.k[int(w.into[i])*w.stride:][:used], w.rows[i*w.stride:])
		}
	})
	inParallel(len(w.stay), 1+(1<<15)/(len(w.into)+8), func(_, from, to int) {
		const block = 64 // rows whose lines of the cache are used again at once
		for first := 0; first < len(w.into); first += block {
			into := w.into[first:min(first+block, len(w.into))]
			for _, j := range w.stay[from:to] {
				row, column := w.k[int(j)*w.stride:][:w.stride], w.rows[first*w.stride+int(j):]
				for i, slot := range into {
					row[slot] = column[i*w.stride]
				}
			}
		}
	})
}

// slotRing gives out slots, going round, so that those of a batch mostly stand
// side by side.
type slotRing struct {
	taken []bool
	next  int
	used  int // slots below which all ever given are
}

func (r *slotRing) room(width int) { r.taken = make([]bool, width) }

func (r *slotRing) reset() { r.next, r.used = 0, 0 }

func (r *slotRing) give(slot int32) { r.taken[slot] = false }

func (r *slotRing) take() int32 {
	for ; ; r.next++ {
		if r.next == len(r.taken) {
			r.next = 0
		}
		if !r.taken[r.next] {
			break
		}
	}
	slot := r.next
	r.taken[slot] = true
	r.next++
	r.used = max(r.used, slot+1)
	return int32(slot)
}
