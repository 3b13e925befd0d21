package genetics

import (
	"context"
	"math/bits"
)

// families are the different pairs of known parents in a table, by the level of
// the later parent, then by sire: the fish of one pair share one number.
type families struct {
	fish  []int32 // with two known parents, family after family
	start []int32 // of each family in fish, and the end
}

func (f families) size() int { return len(f.start) - 1 }

// families sorts the fish into families. O(fish).
func (g *tableGraph) families(level []int32) families {
	var f families
	for i, sire := range g.sireOf {
		if sire >= 0 && g.damOf[i] >= 0 {
			f.fish = append(f.fish, int32(i))
		}
	}
	f.fish = countingSort(f.fish, func(i int32) int32 { return g.damOf[i] })
	f.fish = countingSort(f.fish, func(i int32) int32 { return g.sireOf[i] })
	f.fish = countingSort(f.fish, func(i int32) int32 { return max(level[g.sireOf[i]], level[g.damOf[i]]) })
	for k, i := range f.fish {
		if k == 0 || g.sireOf[i] != g.sireOf[f.fish[k-1]] || g.damOf[i] != g.damOf[f.fish[k-1]] {
			f.start = append(f.start, int32(k))
		}
	}
	f.start = append(f.start, int32(len(f.fish)))
	return f
}

// inbreedingByWalk fills f with the inbreeding of all fish by walking the
// ancestry of the two parents of each family at once,
//
//	F = ½ Σ_j T_sj·T_dj·D_j
//
// over bred fish j (Quaas 1976, Biometrics 32:949; the walk from the latest
// ancestor as in Meuwissen & Luo 1992, Genet. Sel. Evol. 24:305, but of both
// parents together, and only until one of them has no ancestors left). Where a
// sire has many mates the ancestry of all of them is gone through once, as in
// Colleau 2002. O(families · ancestors) time, O(fish) memory.
func (g *tableGraph) inbreedingByWalk(ctx context.Context, level []int32, all families, f []float64, progress func(done, total int)) error {
	n := len(g.bred)
	nodes := make([]walkNode, n)
	for b := range nodes {
		nodes[b] = walkNode{sire: g.bredSireOf[b], dam: g.bredDamOf[b]}
	}
	byLevel := make([]int32, n)
	for b := range byLevel {
		byLevel[b] = int32(b)
	}
	byLevel = countingSort(byLevel, func(b int32) int32 { return level[b] })
	walkers := make([]pairWalker, workers())
	for i := range walkers {
		walkers[i] = newPairWalker(nodes)
	}
	from, known := 0, 0
	for from < all.size() {
		if err := ctx.Err(); err != nil {
			return err
		}
		now := g.levelOfFamily(level, all, from)
		for ; known < n && level[byLevel[known]] <= now; known++ {
			b := byLevel[known]
			nodes[b].own = g.ownOf(b, f)
		}
		to := from
		for to < all.size() && g.levelOfFamily(level, all, to) == now {
			to++
		}
		if err := g.walkFamilies(ctx, walkers, all, from, to, f); err != nil {
			return err
		}
		from = to
		if progress != nil {
			progress(int(all.start[to]), len(all.fish))
		}
	}
	return nil
}

func (g *tableGraph) levelOfFamily(level []int32, all families, k int) int32 {
	i := all.fish[all.start[k]]
	return max(level[g.sireOf[i]], level[g.damOf[i]])
}

// ownOf is D of a bred fish, unknown parents counted in: 1 − ¼(1 + F) of each
// parent known.
func (g *tableGraph) ownOf(b int32, f []float64) float64 {
	own := 1.0
	for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
		if p >= 0 {
			own -= (1 + f[g.bred[p]]) / 4
		}
	}
	return own
}

// walkFamilies does the families from to to, which need nothing of each other.
func (g *tableGraph) walkFamilies(ctx context.Context, walkers []pairWalker, all families, from, to int, f []float64) error {
	inParallel(to-from, 64, func(worker, first, end int) {
		if ctx.Err() != nil {
			return
		}
		w := &walkers[worker]
		for k := from + first; k < from+end; {
			sire := g.sireOf[all.fish[all.start[k]]]
			same := k + 1
			for same < from+end && g.sireOf[all.fish[all.start[same]]] == sire {
				same++
			}
			g.walkMates(w, all, k, same, f)
			k = same
		}
	})
	return ctx.Err()
}

// manyMates is from how many on the mates of a sire are gone through together.
const manyMates = 3

// walkMates does the families of one sire.
func (g *tableGraph) walkMates(w *pairWalker, all families, from, to int, f []float64) {
	if to-from >= manyMates {
		w.dams = w.dams[:0]
		for k := from; k < to; k++ {
			w.dams = append(w.dams, g.damOf[all.fish[all.start[k]]])
		}
		w.many(g.sireOf[all.fish[all.start[from]]])
	}
	for k := from; k < to; k++ {
		fish := all.fish[all.start[k]:all.start[k+1]]
		inbreeding := 0.0
		if to-from >= manyMates {
			inbreeding = w.kinship[k-from]
		} else {
			inbreeding = w.pair(g.sireOf[fish[0]], g.damOf[fish[0]])
		}
		for _, i := range fish {
			f[i] = inbreeding
		}
	}
}

type walkNode struct {
	sire, dam int32
	own       float64
}

// pairWalker works out kinships of bred fish. Fish that wait to be looked at are
// kept as bits, for parents always come before their offspring.
type pairWalker struct {
	nodes   []walkNode
	value   [][2]float64
	waiting []uint64
	dams    []int32
	kinship []float64 // of the dams, from many
	found   []int32
}

func newPairWalker(nodes []walkNode) pairWalker {
	return pairWalker{nodes: nodes, value: make([][2]float64, len(nodes)), waiting: make([]uint64, len(nodes)/64+1)}
}

// pair returns the kinship of two fish. O(ancestors of both).
func (w *pairWalker) pair(s, d int32) float64 {
	w.value[s][0] = 1
	w.value[d][1] = 1
	w.waiting[s>>6] |= 1 << (s & 63)
	w.waiting[d>>6] |= 1 << (d & 63)
	left := [2]int{1, 1} // how many wait with a value of each
	sum := 0.0
	for word := int(max(s, d) >> 6); word >= 0; word-- {
		for w.waiting[word] != 0 {
			bit := 63 - bits.LeadingZeros64(w.waiting[word])
			w.waiting[word] &^= 1 << bit
			i := word<<6 | bit
			v := w.value[i]
			w.value[i] = [2]float64{}
			if v[0] != 0 {
				left[0]--
			}
			if v[1] != 0 {
				left[1]--
			}
			node := &w.nodes[i]
			sum += v[0] * v[1] * node.own
			if left[0] == 0 && v[0] == 0 || left[1] == 0 && v[1] == 0 {
				continue // nothing more can be shared: only clear what waits
			}
			v[0], v[1] = v[0]/2, v[1]/2
			for _, p := range [2]int32{node.sire, node.dam} {
				if p < 0 {
					continue
				}
				u := &w.value[p]
				if u[0] == 0 && v[0] != 0 {
					left[0]++
				}
				if u[1] == 0 && v[1] != 0 {
					left[1]++
				}
				u[0] += v[0]
				u[1] += v[1]
				w.waiting[p>>6] |= 1 << (p & 63)
			}
		}
	}
	return sum / 2
}

// many sets w.kinship to the kinships of s with w.dams: T_sj·D_j from one walk
// up from s, then down through the ancestors of all the dams. O(ancestors).
func (w *pairWalker) many(s int32) {
	w.value[s][0] = 1
	w.mark(s)
	up := w.found[:0]
	for word := int(s >> 6); word >= 0; word-- {
		for w.waiting[word] != 0 {
			bit := 63 - bits.LeadingZeros64(w.waiting[word])
			w.waiting[word] &^= 1 << bit
			i := int32(word<<6 | bit)
			up = append(up, i)
			node, half := &w.nodes[i], w.value[i][0]/2
			for _, p := range [2]int32{node.sire, node.dam} {
				if p >= 0 {
					w.value[p][0] += half
					w.mark(p)
				}
			}
		}
	}
	from := len(up)
	top := int32(0)
	for _, d := range w.dams {
		w.mark(d)
		top = max(top, d)
	}
	for word := int(top >> 6); word >= 0; word-- {
		for left := w.waiting[word]; left != 0; {
			bit := 63 - bits.LeadingZeros64(left)
			i := int32(word<<6 | bit)
			up = append(up, i)
			node := &w.nodes[i]
			if node.sire >= 0 {
				w.mark(node.sire)
			}
			if node.dam >= 0 {
				w.mark(node.dam)
			}
			left = w.waiting[word] & (1<<bit - 1)
		}
		w.waiting[word] = 0
	}
	down := up[from:]
	for k := len(down) - 1; k >= 0; k-- {
		i := down[k]
		node := &w.nodes[i]
		sum := 2 * w.value[i][0] * node.own
		if node.sire >= 0 {
			sum += w.value[node.sire][1]
		}
		if node.dam >= 0 {
			sum += w.value[node.dam][1]
		}
		w.value[i][1] = sum / 2
	}
	w.kinship = w.kinship[:0]
	for _, d := range w.dams {
		w.kinship = append(w.kinship, w.value[d][1]/2)
	}
	for _, i := range up {
		w.value[i] = [2]float64{}
	}
	w.found = up
}

func (w *pairWalker) mark(i int32) { w.waiting[i>>6] |= 1 << (i & 63) }

// countAncestors returns how many bred fish a walk from the two would look at,
// itself at most limit.
func (w *pairWalker) countAncestors(s, d int32, limit int) (count int) {
	w.mark(s)
	w.mark(d)
	for word := int(max(s, d) >> 6); word >= 0; word-- {
		for w.waiting[word] != 0 {
			if count >= limit {
				w.waiting[word] = 0
				continue
			}
			bit := 63 - bits.LeadingZeros64(w.waiting[word])
			w.waiting[word] &^= 1 << bit
			count++
			node := &w.nodes[word<<6|bit]
			if node.sire >= 0 {
				w.mark(node.sire)
			}
			if node.dam >= 0 {
				w.mark(node.dam)
			}
		}
	}
	return count
}
