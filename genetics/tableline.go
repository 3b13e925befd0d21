package genetics

import (
	"context"
	"math"
	"slices"

	"roebook/pedigree"
)

// Line reports on the living fish of the table, as [State.Line] does on those of
// a line. ok is false where none are living; the history is told even then.
// O(rows + years · bred fish), and for the effective number of ancestors the
// ancestors of those looked at, see [TableState.EffectiveAncestors].
func (s *TableState) Line(ctx context.Context, progress func(done, total int)) (r LineReport, ok bool, err error) {
	if r.History, err = s.history(ctx); err != nil {
		return r, false, err
	}
	set := s.all
	if set.heads == 0 {
		return r, false, nil
	}
	y := s.m.g.up(slices.Clone(set.weight))
	sums := s.sums(set)
	r.Diversity = s.diversity(set, &sums, newParentWindow(s.m.g).size(s.on))
	r.FounderShare = s.founders(set, y)
	r.Founders = len(r.FounderShare)
	r.FounderEquivalents = s.founderEquivalents(set, r.FounderShare, y)
	r.FounderGenomeEquivalents = 1 / (2 * r.MeanKinship)
	r.Generation = sums.generation
	r.Generation.Mean /= float64(set.heads)
	r.EffectiveAncestors, err = s.EffectiveAncestors(ctx, progress)
	return r, err == nil, err
}

// founderEquivalents is 1/Σ share² over founders, unknown ones each as one (Lacy
// 1989, Zoo Biology 8:111).
func (s *TableState) founderEquivalents(set *tableSet, known []Share, y []float64) float64 {
	g, sum := s.m.g, 0.0
	for _, founder := range known {
		sum += founder.Share * founder.Share
	}
	for i := range g.size() {
		if (g.sire[i] < 0) == (g.dam[i] < 0) {
			continue
		}
		share := 0.0
		if b := g.number[i]; b >= 0 {
			share = y[b]
		} else if set.holds[i] {
			share = 1
		}
		share /= 2 * float64(set.heads)
		sum += share * share
	}
	return 1 / sum
}

// setSums are over the fish of a set.
type setSums struct {
	fish       int
	inbreeding float64
	increase   float64             // Σ ΔF over fish with more than one equivalent generation
	counted    int                 // these fish
	generation pedigree.Generation // range, and the sum of the means
}

// of adds the i-th fish; see [EffectiveSize].
func (sum *setSums) of(s *TableState, i int) {
	f, origin := s.m.f[i], originOf(s.origin, s.m.g.sireOf[i], s.m.g.damOf[i])
	one := setSums{fish: 1, inbreeding: f, generation: origin.generation}
	if t := origin.complete; t > 1 {
		one.counted = 1
		if f != 0 {
			one.increase = -math.Expm1(math.Log1p(-f) / (t - 1))
		}
	}
	sum.add(&one)
}

func (sum *setSums) add(more *setSums) {
	if more.fish == 0 {
		return
	}
	all, g := &sum.generation, &more.generation
	if sum.fish == 0 {
		all.Min, all.Max = g.Min, g.Max
	}
	all.Min, all.Max, all.AtLeast = min(all.Min, g.Min), max(all.Max, g.Max), all.AtLeast || g.AtLeast
	all.Mean += g.Mean
	sum.fish += more.fish
	sum.inbreeding += more.inbreeding
	sum.increase += more.increase
	sum.counted += more.counted
}

// sums adds up a set.
func (s *TableState) sums(set *tableSet) (all setSums) {
	parts := make([]setSums, pieces(len(set.holds)))
	inPieces(len(set.holds), func(_, piece, from, to int) {
		for i := from; i < to; i++ {
			if set.holds[i] {
				parts[piece].of(s, i)
			}
		}
	})
	for i := range parts {
		all.add(&parts[i])
	}
	return all
}

func (s *TableState) diversity(set *tableSet, sums *setSums, fromParents *float64) Diversity {
	d := Diversity{Living: float64(set.heads), MeanKinship: s.meanKinship(set)}
	d.GeneDiversity = 1 - d.MeanKinship
	d.MeanInbreeding = sums.inbreeding / d.Living
	d.EffectiveSize.FromParents = fromParents
	if sums.increase > 0 {
		size := float64(sums.counted) / (2 * sums.increase)
		d.EffectiveSize.FromInbreeding = &size
	}
	return d
}

// history reports on each year end up to the date, from the first on which fish
// were living: those living now and born by then, for a table does not say when
// fish died. O(rows + years · bred fish).
func (s *TableState) history(ctx context.Context) ([]Year, error) {
	g, table := s.m.g, s.m.table
	last := s.on.Year()
	if s.on < pedigree.Date(last*10000+1231) {
		last--
	}
	if table.Born == nil || last <= 0 {
		return nil, nil
	}
	fish := make([]int32, g.size())
	for i := range fish {
		fish[i] = int32(i)
	}
	year := func(i int32) int32 { return int32(table.Born[g.rowOf(int(i))].Year()) }
	fish = countingSort(fish, year)
	set := s.empty()
	window := newParentWindow(g)
	var sums setSums
	var years []Year
	at := 0
	take := func(until int32) {
		var these setSums
		for ; at < len(fish) && year(fish[at]) <= until; at++ {
			if i := int(fish[at]); table.Living == nil || table.Living[g.rowOf(i)] {
				s.put(set, i)
				these.of(s, i)
			}
		}
		sums.add(&these)
	}
	take(0)
	if at == len(fish) {
		return nil, nil
	}
	for y := int(year(fish[at])); y <= last; y++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		take(int32(y))
		if set.heads > 0 {
			years = append(years, Year{y, true, s.diversity(set, &sums, window.size(pedigree.Date(y*10000+1231)))})
		}
	}
	return years, nil
}

// parentWindow counts the different parents of the last twelve months in which
// fish were born.
type parentWindow struct {
	g     *tableGraph
	fish  []int32 // with a birth date and a known parent, by birth
	born  []pedigree.Date
	seen  [2][]int32 // of each bred fish the last count in which it was a parent
	count int32
	until pedigree.Date // of the last count
	last  *float64
}

func newParentWindow(g *tableGraph) *parentWindow {
	w := &parentWindow{g: g}
	if g.table.Born == nil {
		return w
	}
	for i := range g.size() {
		if g.table.Born[g.rowOf(i)].Known() && (g.sire[i] >= 0 || g.dam[i] >= 0) {
			w.fish = append(w.fish, int32(i))
		}
	}
	born := func(i int32) int32 { return int32(g.table.Born[g.rowOf(int(i))]) }
	w.fish = countingSort(w.fish, func(i int32) int32 { return born(i) % 100 })
	w.fish = countingSort(w.fish, func(i int32) int32 { return born(i) / 100 })
	for _, i := range w.fish {
		w.born = append(w.born, pedigree.Date(born(i)))
	}
	w.seen = [2][]int32{make([]int32, len(g.bred)), make([]int32, len(g.bred))}
	return w
}

// size is 4·Nm·Nf/(Nm + Nf) on a date (unknown: at the end), nil where there are
// no parents of one sex; see [EffectiveSize].
func (w *parentWindow) size(on pedigree.Date) *float64 {
	end := len(w.born)
	if on.Known() {
		end, _ = slices.BinarySearch(w.born, on+1)
	}
	if end == 0 {
		return nil
	}
	last := w.born[end-1]
	if last == w.until {
		return w.last
	}
	from, _ := slices.BinarySearch(w.born, last.AddMonths(-12)+1)
	w.count++
	var number [2]float64
	for _, i := range w.fish[from:end] {
		for side, p := range [2]int32{w.g.sireOf[i], w.g.damOf[i]} {
			switch {
			case p < 0:
				number[side]++
			case w.seen[side][p] != w.count:
				w.seen[side][p] = w.count
				number[side]++
			}
		}
	}
	size := 4 * number[0] * number[1] / (number[0] + number[1])
	w.until, w.last = last, &size
	return w.last
}

// EffectiveAncestors returns the effective number of ancestors of the living
// fish (Boichard, Maignel & Verrier 1997, Genet. Sel. Evol. 29:5), NaN where
// none are living. The cost is that of choosing each ancestor once: its own
// unchosen ancestors, and those of the few that come into question.
func (s *TableState) EffectiveAncestors(ctx context.Context, progress func(done, total int)) (float64, error) {
	if s.all.heads == 0 {
		return math.NaN(), nil
	}
	a, q := s.ancestry()
	return a.effective(ctx, q, float64(s.all.heads), progress)
}

// ancestry makes the graph in which ancestors are chosen: bred fish, each after
// its unknown parent, then the unknown parents of the living unbred ones, and
// those of these that are founders, together. q is as it stands before the first
// choice, in fish: as whole and half numbers, which are added exactly.
func (s *TableState) ancestry() (a *ancestry, q []float64) {
	g := s.m.g
	y := g.up(slices.Clone(s.all.weight))
	a, q = &ancestry{start: []int32{0}}, make([]float64, 0, len(y))
	add := func(through, fish float64, parents ...int32) int32 {
		q = append(q, through)
		return a.add(fish, parents...)
	}
	at := make([]int32, len(g.bred))
	for b := range at {
		var parents []int32
		for _, p := range [2]int32{g.bredSireOf[b], g.bredDamOf[b]} {
			if p >= 0 {
				parents = append(parents, at[p])
			}
		}
		if len(parents) == 1 {
			parents = append(parents, add(y[b]/2, 1))
		}
		at[b] = add(y[b], 1, parents...)
	}
	founders := 0.0
	a.childless = make([]parentPair, 0, s.all.heads)
	for i, holds := range s.all.holds {
		if !holds || g.number[i] >= 0 {
			continue
		}
		switch sire, dam := g.sireOf[i], g.damOf[i]; {
		case sire >= 0 && dam >= 0:
			a.childless = append(a.childless, parentPair{at[sire], at[dam]})
		case sire < 0 && dam < 0:
			founders++
		default:
			a.childless = append(a.childless, parentPair{at[max(sire, dam)], add(0.5, 1)})
		}
	}
	if founders > 0 {
		add(founders, founders)
	}
	return a, q
}
