package genetics

// schedule says in which batch each bred fish enters the frontier, and after
// which batch it may leave. Parents enter in an earlier batch than their young.
//
// A fish is kept through batch `last`: its row is needed after the batch in
// which a mate entered, for their young's inbreeding, and in the batch in which
// bred young enter.
type schedule struct {
	method  Method
	batch   []int32
	last    []int32
	stays   []bool // whether anything needs it after its own batch
	batches int
	width   int     // most fish held at once, of those that stay
	most    int     // most fish of a batch that stay
	cost    float64 // estimated nanoseconds on one core
}

// memory is what the frontier's matrix and the rows of a batch take, in bytes.
func (s *schedule) memory() int64 {
	stride := int64(stride(s.width))
	return 8 * stride * (stride + int64(s.rows()))
}

// rows is for how many new fish there is place: where a batch can be as wide as
// the frontier, as many, so that the two can be swapped.
func (s *schedule) rows() int {
	if stride(s.most) == stride(s.width) {
		return stride(s.width)
	}
	return s.most
}

// stride is the length of a row, whole lines of the processor's cache.
func stride(width int) int { return (width + 7) &^ 7 }

// The time of one number of a batch's rows, in nanoseconds on one core: adding
// two old rows, and gathering and writing the new one. Only the choice of a
// method rests on them.
const (
	frontierAdd    = 0.5
	frontierGather = 0.8
	frontierStay   = 4.0      // writing it into the row of a fish that stays
	nearMemory     = 64 << 20 // above this many bytes
	farAway        = 1.6      // everything takes longer
)

// byLevel enters every fish in the batch of its longest way from a founder.
func (g *tableGraph) byLevel() *schedule {
	batch, _ := g.levels()
	return g.finish(&schedule{method: ByLevel, batch: batch})
}

// late enters every fish as late as its young allow.
func (g *tableGraph) late() *schedule {
	n := len(g.bred)
	height, highest := make([]int32, n), int32(0)
	for b := n - 1; b >= 0; b-- {
		for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
			if p >= 0 {
				height[p] = max(height[p], height[b]+1)
			}
		}
		highest = max(highest, height[b])
	}
	for b := range height {
		height[b] = highest - height[b]
	}
	return g.finish(&schedule{method: Late, batch: height})
}

// byBirth enters the fish in the order in which they stand, a batch being as
// many as there are before one whose parent is in the batch.
func (g *tableGraph) byBirth(order []int32) *schedule {
	batch := make([]int32, len(g.bred))
	at, count := int32(1), 0
	for _, b := range order {
		if g.isFounder(int(b)) {
			batch[b] = -1 // enters with its first young, see finish
			continue
		}
		for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
			if p >= 0 && batch[p] == at {
				at, count = at+1, 0
			}
		}
		if count == mostBirths {
			at, count = at+1, 0
		}
		batch[b] = at
		count++
	}
	return g.finish(&schedule{method: ByBirth, batch: batch})
}

// mostBirths ends a batch by birth: small ones keep the frontier narrow.
const mostBirths = 256

// birthOrder returns the bred fish by birth date where all have one that fits
// those of their parents, else as they stand.
func (g *tableGraph) birthOrder() []int32 {
	order := make([]int32, len(g.bred))
	for b := range order {
		order[b] = int32(b)
	}
	if g.table.Born == nil {
		return order
	}
	born := make([]int32, len(g.bred))
	for b, i := range g.bred {
		born[b] = int32(g.table.Born[g.rowOf(int(i))])
		for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
			if p >= 0 && (born[p] > born[b] || born[p] == 0) {
				return order
			}
		}
	}
	return countingSort(order, func(b int32) int32 { return born[b] / 100 })
}

// countingSort orders a list by keys from 0, keeping the order of equal ones.
func countingSort(list []int32, key func(int32) int32) []int32 {
	highest := int32(0)
	for _, v := range list {
		highest = max(highest, key(v))
	}
	start := make([]int32, highest+2)
	for _, v := range list {
		start[key(v)+1]++
	}
	for k := range highest {
		start[k+1] += start[k]
	}
	sorted := make([]int32, len(list))
	for _, v := range list {
		k := key(v)
		sorted[start[k]] = v
		start[k]++
	}
	return sorted
}

// finish moves the founders as late as their first bred young allow, and works
// out when each fish leaves, the width and the cost. O(fish).
func (g *tableGraph) finish(s *schedule) *schedule {
	g.delayFounders(s)
	s.last, s.stays = make([]int32, len(s.batch)), make([]bool, len(s.batch))
	copy(s.last, s.batch)
	for b, batch := range s.batch {
		s.batches = max(s.batches, int(batch)+1)
		for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
			if p >= 0 {
				s.last[p], s.stays[p] = max(s.last[p], batch-1), true
			}
		}
	}
	last := g.lookedUp(s.batch)
	for b := range s.last {
		s.last[b] = max(s.last[b], last[b])
		s.stays[b] = s.stays[b] || s.last[b] > s.batch[b]
	}
	s.measure()
	return s
}

// lookedUp returns the last batch in which a fish's young, unbred ones too, have
// a parent entering.
func (g *tableGraph) lookedUp(batch []int32) []int32 {
	lasts := make([][]int32, workers())
	inParallel(g.size(), 1<<17, func(worker, from, to int) {
		last := lasts[worker]
		if last == nil {
			last = make([]int32, len(batch))
			lasts[worker] = last
		}
		for i, sire := range g.sireOf[from:to] {
			if dam := g.damOf[from+i]; sire >= 0 && dam >= 0 {
				if after := batch[sire] - batch[dam]; after > 0 {
					last[dam] = max(last[dam], batch[sire])
				} else if after < 0 {
					last[sire] = max(last[sire], batch[dam])
				}
			}
		}
	})
	all := make([]int32, len(batch))
	for _, last := range lasts {
		for b, t := range last {
			all[b] = max(all[b], t)
		}
	}
	return all
}

// measure works out the width and the expected cost.
func (s *schedule) measure() {
	enter, leave := make([]int, s.batches+1), make([]int, s.batches+1)
	for b := range s.batch {
		if s.stays[b] {
			enter[s.batch[b]]++
			leave[s.last[b]+1]++
		}
	}
	before, width := 0, 0
	for t := range s.batches {
		stay := before - leave[t]
		width = stay + enter[t]
		s.width, s.most = max(s.width, width), max(s.most, enter[t])
		s.cost += float64(enter[t]) * (frontierAdd*float64(before) + frontierGather*float64(width) + frontierStay*float64(stay) + 200)
		before = width
	}
	if s.memory() > nearMemory {
		s.cost *= farAway
	}
}

// delayFounders lets founders enter in the batch before their first bred young,
// or with the first mate.
func (g *tableGraph) delayFounders(s *schedule) {
	const never = int32(1) << 30
	first := make([]int32, len(s.batch))
	for b := range first {
		first[b] = never
	}
	for b := range s.batch {
		if g.isFounder(b) {
			continue
		}
		for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
			if p >= 0 {
				first[p] = min(first[p], s.batch[b]-1)
			}
		}
	}
	g.delayUnbredsParents(s, first)
	for b := range s.batch {
		if g.isFounder(b) {
			s.batch[b] = 0
			if first[b] < never {
				s.batch[b] = max(first[b], 0)
			}
		}
	}
}

// delayUnbredsParents finds the first mate of founders with unbred young only.
func (g *tableGraph) delayUnbredsParents(s *schedule, first []int32) {
	waits, any := make([]bool, len(first)), false
	for b := range first {
		if first[b] == 1<<30 && g.isFounder(b) {
			waits[b], any = true, true
		}
	}
	if !any {
		return
	}
	for i, sire := range g.sireOf {
		dam := g.damOf[i]
		if sire < 0 || dam < 0 {
			continue
		}
		if waits[sire] && !g.isFounder(int(dam)) {
			first[sire] = min(first[sire], s.batch[dam])
		}
		if waits[dam] && !g.isFounder(int(sire)) {
			first[dam] = min(first[dam], s.batch[sire])
		}
	}
}
