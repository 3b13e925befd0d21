package genetics

import (
	"context"

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
// as they are needed.
type frontier struct {
	g       *tableGraph
	s       *schedule
	f       []float64 // of each fish
	stride  int
	k       []float64 // stride rows
	rows    []float64 // of the batch
	slot    []int32   // of each bred fish
	free    []int32
	held    []int32 // bred fish with a slot
	used    int     // slots ever given
	scratch [][]float64

	// Of the batch.
	fresh             []int32 // the new fish
	slots, sire, damm []int32 // their slots, and those of their parents; stride for none
	stay              []int32 // slots of fish that were there and stay
}

// inbreedingByFrontier fills f, which is 0, with the inbreeding of all fish.
// O(bred fish · width + fish) time, O(width·(width + batch)) memory.
func (g *tableGraph) inbreedingByFrontier(ctx context.Context, s *schedule, f []float64, progress func(done, total int)) error {
	bred := make([]int32, len(g.bred))
	for b := range bred {
		bred[b] = int32(b)
	}
	w := &frontier{g: g, s: s, f: f, stride: stride(s.width), slot: make([]int32, len(bred))}
	w.k, w.rows = make([]float64, w.stride*w.stride), make([]float64, w.stride*s.most)
	for range workers() {
		w.scratch = append(w.scratch, make([]float64, w.stride+1))
	}
	entering := countingSort(bred, func(b int32) int32 { return s.batch[b] })
	young, end := g.youngByBatch(s)
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
		from = to
		first := done
		done = int(end[t])
		w.lookUp(young[first:done])
		if progress != nil {
			progress(done, len(young))
		}
	}
	return nil
}

// youngByBatch orders the fish with two known parents by the batch after which
// both parents have slots; end is where those of each batch end.
func (g *tableGraph) youngByBatch(s *schedule) (young []int32, end []int32) {
	end = make([]int32, s.batches+1)
	for i, sire := range g.sireOf {
		if dam := g.damOf[i]; sire >= 0 && dam >= 0 {
			end[max(s.batch[sire], s.batch[dam])+1]++
		}
	}
	for t := range s.batches {
		end[t+1] += end[t]
	}
	young = make([]int32, end[s.batches])
	for i, sire := range g.sireOf {
		if dam := g.damOf[i]; sire >= 0 && dam >= 0 {
			t := max(s.batch[sire], s.batch[dam])
			young[end[t]] = int32(i)
			end[t]++
		}
	}
	return young, end[:s.batches]
}

// enter takes in a batch.
func (w *frontier) enter(t int32, fresh []int32) {
	w.fresh = fresh
	w.sire, w.damm, w.slots, w.stay = w.sire[:0], w.damm[:0], w.slots[:0], w.stay[:0]
	for _, b := range fresh {
		w.sire = append(w.sire, w.slotOf(w.g.bredSireOf[b]))
		w.damm = append(w.damm, w.slotOf(w.g.bredDamOf[b]))
	}
	old := w.used
	w.release(t)
	for _, b := range fresh {
		w.slot[b] = w.take()
		w.slots = append(w.slots, w.slot[b])
	}
	w.held = append(w.held, fresh...)
	inParallel(len(fresh), 1+(1<<15)/(old+w.used+8), func(worker, from, to int) {
		for i := from; i < to; i++ {
			w.row(i, old, w.scratch[worker])
		}
	})
	w.write()
}

func (w *frontier) slotOf(b int32) int32 {
	if b < 0 {
		return int32(w.stride)
	}
	return w.slot[b]
}

// release frees the slots of fish that nothing needs after batch t.
func (w *frontier) release(t int32) {
	held := w.held[:0]
	for _, b := range w.held {
		if w.s.last[b] >= t {
			held = append(held, b)
			w.stay = append(w.stay, w.slot[b])
		} else {
			w.free = append(w.free, w.slot[b])
		}
	}
	w.held = held
	if len(held) == 0 {
		w.free, w.used = w.free[:0], 0
	}
}

func (w *frontier) take() int32 {
	if last := len(w.free) - 1; last >= 0 {
		slot := w.free[last]
		w.free = w.free[:last]
		return slot
	}
	w.used++
	return int32(w.used - 1)
}

// row works out the row of the i-th new fish; old is how many slots were in use
// before.
func (w *frontier) row(i, old int, r []float64) {
	out := w.rows[i*w.stride : (i+1)*w.stride]
	none := int32(w.stride)
	s, d := w.sire[i], w.damm[i]
	switch {
	case s == none && d == none:
		clear(out)
		out[w.slots[i]] = 0.5
		return
	case d == none:
		copy(r, w.k[int(s)*w.stride:][:old])
	case s == none:
		copy(r, w.k[int(d)*w.stride:][:old])
	default:
		floats.AddTo(r[:old], w.k[int(s)*w.stride:][:old], w.k[int(d)*w.stride:][:old])
	}
	for _, j := range w.stay {
		out[j] = r[j] / 2
	}
	gather(out, r, w.slots, w.sire, w.damm)
	out[w.slots[i]] = (1 + w.f[w.g.bred[w.fresh[i]]]) / 2
}

// gather sets out[slot] = ¼(r[sire] + r[dam]).
func gather(out, r []float64, slots, sire, dam []int32) {
	sire, dam = sire[:len(slots)], dam[:len(slots)]
	for k, slot := range slots {
		out[slot] = (r[sire[k]] + r[dam[k]]) / 4
	}
}

// write puts the new rows into their slots, and what they hold of the fish that
// stay into those fishes' rows.
func (w *frontier) write() {
	if len(w.stay) == 0 && len(w.rows) == len(w.k) {
		w.k, w.rows = w.rows, w.k // the slots are 0, 1, 2 ...
		return
	}
	grain := 1 + (1<<15)/(w.used+8)
	inParallel(len(w.slots), grain, func(_, from, to int) {
		for i := from; i < to; i++ {
			copy(w.k[int(w.slots[i])*w.stride:][:w.used], w.rows[i*w.stride:][:w.used])
		}
	})
	inParallel(len(w.stay), 1+(1<<15)/(len(w.slots)+8), func(_, from, to int) {
		const block = 32 // rows whose line of the cache is used again at once
		for first := 0; first < len(w.slots); first += block {
			slots := w.slots[first:min(first+block, len(w.slots))]
			for _, j := range w.stay[from:to] {
				row, column := w.k[int(j)*w.stride:][:w.stride], w.rows[first*w.stride+int(j):]
				for i, slot := range slots {
					row[slot] = column[i*w.stride]
				}
			}
		}
	})
}

// lookUp reads the inbreeding of fish whose parents both have slots.
func (w *frontier) lookUp(young []int32) {
	inParallel(len(young), 1<<13, func(_, from, to int) {
		for _, i := range young[from:to] {
			w.f[i] = w.k[int(w.slot[w.g.sireOf[i]])*w.stride+int(w.slot[w.g.damOf[i]])]
		}
	})
}
