package genetics

import (
	"cmp"
	"context"
	"slices"

	"roebook/pedigree"
)

// tableOrigin is where the genes of a fish came from, by its parents.
type tableOrigin struct {
	recorded   float64 // share from founders in the table
	complete   float64 // equivalent complete generations
	generation pedigree.Generation
}

// origins returns the origin of every bred fish; one pass, O(bred fish).
func (g *tableGraph) origins() []tableOrigin {
	all := make([]tableOrigin, len(g.bred))
	for b := range all {
		all[b] = originOf(all, g.bredSireOf[b], g.bredDamOf[b])
	}
	return all
}

// originOf returns the origin of a fish of these parents: see [Ancestry],
// [State.EquivalentGenerations] and [pedigree.Generation].
func originOf(bred []tableOrigin, sire, dam int32) tableOrigin {
	if sire < 0 && dam < 0 {
		return tableOrigin{recorded: 1}
	}
	unknown := tableOrigin{complete: -1, generation: pedigree.Generation{AtLeast: true}}
	s, d := unknown, unknown
	if sire >= 0 {
		s = bred[sire]
	}
	if dam >= 0 {
		d = bred[dam]
	}
	x, y := s.generation, d.generation
	return tableOrigin{
		recorded: (s.recorded + d.recorded) / 2,
		complete: 1 + (s.complete+d.complete)/2,
		generation: pedigree.Generation{
			Min: 1 + min(x.Min, y.Min), Max: 1 + max(x.Max, y.Max), Mean: 1 + (x.Mean+y.Mean)/2, AtLeast: x.AtLeast || y.AtLeast,
		},
	}
}

// TableState is a table as it stands on a date: who is living. It may be used by
// several goroutines at once.
type TableState struct {
	m      *TableModel
	on     pedigree.Date
	origin []tableOrigin // of the bred fish
	own    []float64     // of the bred fish, see ownOf
	all    *tableSet     // the living
}

// On returns the table on a date. One pass, O(rows).
func (m *TableModel) On(date pedigree.Date) *TableState {
	s := &TableState{m: m, on: date, origin: m.g.origins(), own: make([]float64, len(m.g.bred))}
	for b := range s.own {
		s.own[b] = m.g.ownOf(int32(b), m.f)
	}
	s.all = s.set(func(row int) bool { return m.table.LivingOn(row, date) })
	return s
}

// Date returns the date of the state.
func (s *TableState) Date() pedigree.Date { return s.on }

// Model returns the model behind the state.
func (s *TableState) Model() *TableModel { return s.m }

// Living returns how many fish are living.
func (s *TableState) Living() int { return s.all.heads }

// tableSet is a set of fish, each weighing 1: enough to sum over the kinships of
// all of them by passes over the bred fish.
type tableSet struct {
	heads  int
	holds  []bool    // by place in the graph
	weight []float64 // of the bred fish: themselves, and half of each unbred offspring
	unbred float64   // sum of D of the unbred fish
}

// set returns the set of some rows.
func (s *TableState) set(holds func(row int) bool) *tableSet {
	n := s.m.g.size()
	set := s.empty()
	weights, parts := make([][]float64, workers()), make([]tableSet, pieces(n))
	inPieces(n, func(worker, piece, from, to int) {
		if weights[worker] == nil {
			weights[worker] = make([]float64, len(set.weight))
		}
		part := tableSet{holds: set.holds, weight: weights[worker]}
		for i := from; i < to; i++ {
			if holds(s.m.g.rowOf(i)) {
				s.put(&part, i)
			}
		}
		parts[piece] = part
	})
	for i := range parts {
		set.heads += parts[i].heads
		set.unbred += parts[i].unbred
	}
	for _, weight := range weights {
		for b := range weight { // whole and half numbers: in any order
			set.weight[b] += weight[b]
		}
	}
	return set
}

func (s *TableState) empty() *tableSet {
	return &tableSet{holds: make([]bool, s.m.g.size()), weight: make([]float64, len(s.m.g.bred))}
}

// put adds a fish to a set.
func (s *TableState) put(set *tableSet, i int) {
	g := s.m.g
	set.heads++
	set.holds[i] = true
	if b := g.number[i]; b >= 0 {
		set.weight[b]++
		return
	}
	own := 1.0
	for _, p := range [2]int32{g.sireOf[i], g.damOf[i]} {
		if p >= 0 {
			set.weight[p] += 0.5
			own -= (1 + s.m.f[g.bred[p]]) / 4
		}
	}
	set.unbred += own
}

// up spreads weights of bred fish over their ancestors, in place.
func (g *tableGraph) up(y []float64) []float64 {
	for b := len(y) - 1; b >= 0; b-- {
		half := y[b] / 2
		if half == 0 {
			continue
		}
		if s := g.bredSireOf[b]; s >= 0 {
			y[s] += half
		}
		if d := g.bredDamOf[b]; d >= 0 {
			y[d] += half
		}
	}
	return y
}

// meanKinship of a set: ½ Σ y²·D / heads².
func (s *TableState) meanKinship(set *tableSet) float64 {
	sum := set.unbred
	for b, y := range s.m.g.up(slices.Clone(set.weight)) {
		sum += y * y * s.own[b]
	}
	return sum / 2 / float64(set.heads) / float64(set.heads)
}

// MeanKinships returns the mean kinship of every row with the living fish
// (itself included where it lives), and the mean kinship of these; all 0 where
// none are living. One pass up and one down, O(rows).
func (s *TableState) MeanKinships() (kinship []float64, mean float64) {
	g, set := s.m.g, s.all
	kinship = make([]float64, g.size())
	if set.heads == 0 {
		return kinship, 0
	}
	z := g.up(slices.Clone(set.weight))
	for b := range z {
		z[b] *= s.own[b]
		if p := g.bredSireOf[b]; p >= 0 {
			z[b] += z[p] / 2
		}
		if p := g.bredDamOf[b]; p >= 0 {
			z[b] += z[p] / 2
		}
	}
	scale := 0.5 / float64(set.heads)
	for i := range kinship {
		k := 0.0
		if b := g.number[i]; b >= 0 {
			k = z[b]
		} else {
			k = s.parentsOf(z, i)
			if set.holds[i] {
				k += s.ownOf(i)
			}
		}
		kinship[g.rowOf(i)] = k * scale
	}
	return kinship, s.meanKinship(set)
}

// parentsOf is the mean of what the parents of the i-th fish have, 0 for unknown
// ones.
func (s *TableState) parentsOf(z []float64, i int) float64 {
	sum := 0.0
	for _, p := range [2]int32{s.m.g.sireOf[i], s.m.g.damOf[i]} {
		if p >= 0 {
			sum += z[p] / 2
		}
	}
	return sum
}

// ownOf is D of the i-th fish, unknown parents counted in.
func (s *TableState) ownOf(i int) float64 {
	own := 1.0
	for _, p := range [2]int32{s.m.g.sireOf[i], s.m.g.damOf[i]} {
		if p >= 0 {
			own -= (1 + s.m.f[s.m.g.bred[p]]) / 4
		}
	}
	return own
}

// place returns the place of a row in the graph.
func (m *TableModel) place(row int) int {
	if m.g.row == nil {
		return row
	}
	return int(m.at[row])
}

func (s *TableState) originOfRow(row int) tableOrigin {
	i := s.m.place(row)
	return originOf(s.origin, s.m.g.sireOf[i], s.m.g.damOf[i])
}

// Generation returns the generation from wild of a row.
func (s *TableState) Generation(row int) pedigree.Generation { return s.originOfRow(row).generation }

// EquivalentGenerations returns the number of equivalent complete generations
// of recorded ancestry of a row.
func (s *TableState) EquivalentGenerations(row int) float64 { return s.originOfRow(row).complete }

// Ancestry returns where the genes of a row came from: founders of a table are
// taken as wild-caught.
func (s *TableState) Ancestry(row int) Ancestry {
	recorded := s.originOfRow(row).recorded
	return Ancestry{Wild: recorded, Unknown: 1 - recorded}
}

// Inbreeding returns the inbreeding coefficient of a row.
func (s *TableState) Inbreeding(row int) float64 { return s.m.f[s.m.place(row)] }

// Founders returns the founders of a row and their shares of its genes, greatest
// first. O(bred fish).
func (s *TableState) Founders(row int) []Share {
	set := s.empty()
	s.put(set, s.m.place(row))
	return s.founders(set, s.m.g.up(slices.Clone(set.weight)))
}

// founders lists the founders with a share of a set, y being spread up from it.
func (s *TableState) founders(set *tableSet, y []float64) []Share {
	g, heads := s.m.g, float64(set.heads)
	var list []Share
	for i := range g.size() {
		if g.sire[i] >= 0 || g.dam[i] >= 0 {
			continue
		}
		share := 0.0
		if b := g.number[i]; b >= 0 {
			share = y[b]
		} else if set.holds[i] {
			share = 1
		}
		if share != 0 {
			list = append(list, Share{s.m.table.IDs[g.rowOf(i)], share / heads})
		}
	}
	slices.SortFunc(list, func(a, b Share) int { return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.ID, b.ID)) })
	return list
}

// Kinship returns the kinships of some rows with each other, self-kinship on the
// diagonal. O(rows · ancestors of them) time, O(m² + ancestors) memory for m
// rows. It ends early, with the context's error, where that is done.
func (m *TableModel) Kinship(ctx context.Context, rows []int) ([][]float64, error) {
	k := make([][]float64, len(rows))
	cells := make([]float64, len(rows)*len(rows))
	for i := range k {
		k[i] = cells[i*len(rows) : (i+1)*len(rows)]
	}
	sub := m.ancestryOf(rows)
	inParallel(len(rows), 4, func(_, from, to int) {
		z := make([]float64, len(sub.fish))
		for i := from; i < to && ctx.Err() == nil; i++ {
			sub.times(sub.of[i], z)
			for j := range rows {
				k[i][j] = z[sub.of[j]] / 2
			}
		}
	})
	return k, ctx.Err()
}

// subgraph is some fish with all their ancestors, in order.
type subgraph struct {
	fish      []int32 // places in the graph
	sire, dam []int32 // places in fish
	own       []float64
	of        []int // of each row asked for
}

func (m *TableModel) ancestryOf(rows []int) *subgraph {
	g := m.g
	at := make([]int32, g.size()) // 1 + place in fish, once known
	top := -1
	for _, row := range rows {
		i := m.place(row)
		at[i] = 1
		top = max(top, i)
	}
	for i := top; i >= 0; i-- {
		if at[i] == 0 {
			continue
		}
		for _, p := range [2]int32{g.sire[i], g.dam[i]} {
			if p >= 0 {
				at[p] = 1
			}
		}
	}
	sub := &subgraph{}
	find := func(p int32) int32 {
		if p < 0 {
			return -1
		}
		return at[p] - 1
	}
	for i := range top + 1 {
		if at[i] == 0 {
			continue
		}
		sub.fish = append(sub.fish, int32(i))
		at[i] = int32(len(sub.fish))
		own := 1.0
		for _, p := range [2]int32{g.sire[i], g.dam[i]} {
			if p >= 0 {
				own -= (1 + m.f[p]) / 4
			}
		}
		sub.sire, sub.dam, sub.own = append(sub.sire, find(g.sire[i])), append(sub.dam, find(g.dam[i])), append(sub.own, own)
	}
	for _, row := range rows {
		sub.of = append(sub.of, int(at[m.place(row)]-1))
	}
	return sub
}

// times sets z to the relationships of one fish with all (the indirect method of
// Colleau 2002, Genet. Sel. Evol. 34:409).
func (g *subgraph) times(of int, z []float64) {
	clear(z)
	z[of] = 1
	for i := of; i >= 0; i-- {
		half := z[i] / 2
		if half == 0 {
			continue
		}
		if s := g.sire[i]; s >= 0 {
			z[s] += half
		}
		if d := g.dam[i]; d >= 0 {
			z[d] += half
		}
	}
	for i := range z {
		sum := z[i] * g.own[i]
		if s := g.sire[i]; s >= 0 {
			sum += z[s] / 2
		}
		if d := g.dam[i]; d >= 0 {
			sum += z[d] / 2
		}
		z[i] = sum
	}
}
