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
	r.Diversity = s.diversity(set, s.sums(set), newParentWindow(s.m.g).size(s.on))
	r.FounderShare = s.founders(set, y)
	r.Founders = len(r.FounderShare)
	r.FounderEquivalents = s.founderEquivalents(set, r.FounderShare, y)
	r.FounderGenomeEquivalents = 1 / (2 * r.MeanKinship)
	r.Generation = s.generationOf(set)
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

// generationOf is the range over the fish of a set, and their mean.
func (s *TableState) generationOf(set *tableSet) pedigree.Generation {
	g := s.m.g
	var all pedigree.Generation
	first, sum := true, 0.0
	for i, holds := range set.holds {
		if !holds {
			continue
		}
		one := originOf(s.origin, g.sireOf[i], g.damOf[i]).generation
		if first {
			all.Min, all.Max, first = one.Min, one.Max, false
		}
		all.Min, all.Max, all.AtLeast = min(all.Min, one.Min), max(all.Max, one.Max), all.AtLeast || one.AtLeast
		sum += one.Mean
	}
	all.Mean = sum / float64(set.heads)
	return all
}

// inbreedingSums are over the fish of a set.
type inbreedingSums struct {
	inbreeding float64
	increase   float64 // Σ ΔF over fish with more than one equivalent generation
	counted    int     // these fish
}

// of adds the i-th fish; see [EffectiveSize].
func (sum *inbreedingSums) of(s *TableState, i int) {
	f := s.m.f[i]
	sum.inbreeding += f
	if t := originOf(s.origin, s.m.g.sireOf[i], s.m.g.damOf[i]).complete; t > 1 {
		sum.counted++
		if f != 0 {
			sum.increase += 1 - math.Pow(1-f, 1/(t-1))
		}
	}
}

func (sum *inbreedingSums) add(more inbreedingSums) {
	sum.inbreeding += more.inbreeding
	sum.increase += more.increase
	sum.counted += more.counted
}

// sums adds up a set in pieces of a fixed size, so that the number of cores does
// not change the rounding.
func (s *TableState) sums(set *tableSet) (all inbreedingSums) {
	const piece = 1 << 14
	n := len(set.holds)
	parts := make([]inbreedingSums, (n+piece-1)/piece)
	inParallel(len(parts), 1, func(_, from, to int) {
		for part := from; part < to; part++ {
			for i := part * piece; i < min((part+1)*piece, n); i++ {
				if set.holds[i] {
					parts[part].of(s, i)
				}
			}
		}
	})
	for _, part := range parts {
		all.add(part)
	}
	return all
}

func (s *TableState) diversity(set *tableSet, sums inbreedingSums, fromParents *float64) Diversity {
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
	set := s.set(func(int) bool { return false })
	window := newParentWindow(g)
	var sums inbreedingSums
	var years []Year
	at := 0
	take := func(until int32) {
		var these inbreedingSums
		for ; at < len(fish) && year(fish[at]) <= until; at++ {
			if i := int(fish[at]); table.Living == nil || table.Living[g.rowOf(i)] {
				s.put(set, i)
				these.of(s, i)
			}
		}
		sums.add(these)
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
			years = append(years, Year{y, true, s.diversity(set, sums, window.size(pedigree.Date(y*10000+1231)))})
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
	a := s.ancestry()
	return a.effective(ctx, a.q, float64(s.all.heads), progress)
}

// ancestry makes the graph in which ancestors are chosen: bred fish, each after
// its unknown parent, then the living unbred ones. q is as it stands before the
// first choice, in fish: as whole and half numbers, which are added exactly.
func (s *TableState) ancestry() *ancestry {
	g := s.m.g
	y := g.up(slices.Clone(s.all.weight))
	a := &ancestry{start: []int32{0}}
	add := func(q float64, parents ...int32) int32 {
		for _, p := range parents {
			a.parent, a.weight = append(a.parent, p), append(a.weight, 0.5)
		}
		a.start, a.fish, a.q = append(a.start, int32(len(a.parent))), append(a.fish, 1), append(a.q, q)
		return int32(len(a.fish) - 1)
	}
	at := make([]int32, len(g.bred))
	bred := func(q float64, sire, dam int32) (parents [2]int32, n int) {
		for _, p := range [2]int32{sire, dam} {
			if p >= 0 {
				parents[n] = at[p]
				n++
			}
		}
		if n == 1 {
			parents[1] = add(q / 2)
			n = 2
		}
		return parents, n
	}
	for b := range at {
		parents, n := bred(y[b], g.bredSireOf[b], g.bredDamOf[b])
		at[b] = add(y[b], parents[:n]...)
	}
	for i, holds := range s.all.holds { // unknown parents of unbred fish
		if holds && g.number[i] < 0 && (g.sire[i] < 0) != (g.dam[i] < 0) {
			add(0.5)
		}
	}
	unknown := int32(len(a.fish))
	a.inner = len(a.fish)
	for i := len(s.all.holds) - 1; i >= 0; i-- {
		if !s.all.holds[i] || g.number[i] >= 0 {
			continue
		}
		sire, dam := g.sireOf[i], g.damOf[i]
		switch {
		case sire >= 0 && dam >= 0:
			add(1, at[sire], at[dam])
		case sire < 0 && dam < 0:
			add(1)
		default:
			unknown--
			add(1, at[max(sire, dam)], unknown)
		}
	}
	return a
}
