package locus

import (
	"fmt"
	"math"
	"slices"

	"roebook/pedigree"
)

// maxAlike is how many fish of a lot whose parents are not one family are
// reckoned one by one for what was seen of the lot.
const maxAlike = 4

// index is what is looked up again and again in a book.
type index struct {
	book   *pedigree.Book
	stored map[string][]*pedigree.Spawn
	picks  map[string][]*pedigree.Stock // by the lot they were taken out of
	young  map[string][]*pedigree.Stock // by the one spawn they came from
}

func newIndex(book *pedigree.Book) *index {
	x := &index{book: book, stored: book.StoredFrom(), picks: make(map[string][]*pedigree.Stock), young: make(map[string][]*pedigree.Stock)}
	for _, s := range book.Stock {
		if s.Picked != "" {
			x.picks[s.Picked] = append(x.picks[s.Picked], s)
		}
		if len(s.FromSpawns) == 1 {
			x.young[s.FromSpawns[0].Spawn] = append(x.young[s.FromSpawns[0].Spawn], s)
		}
	}
	return x
}

// evidence brings all that the records state of the loci into the network, with
// the ancestors it bears on. What is asked for must have been made before.
func (b *builder) evidence() {
	var lots []*pedigree.Stock
	for _, s := range b.book.Stock {
		if b.book.StockByID(s.ID) != s || len(b.sys.told(b.book, s)) == 0 && !b.sexTells(s) {
			continue
		}
		if s.Lot {
			lots = append(lots, s)
		} else {
			b.fishVar(s)
		}
	}
	for _, s := range b.book.Spawns {
		if b.book.SpawnByID(s.ID) == s && !s.IsPlanned() {
			for _, seen := range b.sys.seen(b.book, s) {
				b.count(s, seen)
			}
		}
	}
	depth := func(s *pedigree.Stock) int {
		n := 0
		for ; s != nil && n < len(b.book.Stock); n++ {
			s = b.book.StockByID(s.Picked)
		}
		return n
	}
	slices.SortStableFunc(lots, func(x, y *pedigree.Stock) int { return depth(y) - depth(x) })
	for _, lot := range lots { // all parents first: they may be fish of these lots
		if root := b.rootOf(lot); root != nil {
			b.rootFamily(root)
		}
	}
	anonymous := make(map[onlyOne]float64)
	for _, lot := range lots {
		for sex, n := range b.unnamed(lot, anonymous) {
			b.allOf(lot, pedigree.Sex(sex), n)
			for s := lot; s != nil && s.Picked != ""; s = b.book.StockByID(s.Picked) {
				anonymous[onlyOne{s.Picked, pedigree.Sex(sex)}] += n
			}
		}
	}
}

// sexTells reports whether the sex of a record's fish tells of their parents: it
// does with platyfish, and where a genotype of one sex is lethal.
func (b *builder) sexTells(s *pedigree.Stock) bool {
	return b.sys.sexTells && s.Wild == nil && s.Bought == nil && len(s.Merged) == 0 && (s.Sex != pedigree.Unsexed || s.Count.Males+s.Count.Females > 0)
}

// unnamed is how many of the fish that a lot began with have no variable of their
// own, by sex.
func (b *builder) unnamed(lot *pedigree.Stock, anonymous map[onlyOne]float64) (rest [3]float64) {
	over := 0.0
	for sex, n := range [...]int{lot.Count.Unsexed, lot.Count.Males, lot.Count.Females} {
		key := onlyOne{lot.ID, pedigree.Sex(sex)}
		rest[sex] = float64(n-b.made[key]) - anonymous[key]
		over += max(0, -rest[sex])
		rest[sex] = max(0, rest[sex])
	}
	for sex := range rest { // fish whose sex was told only when they left
		taken := min(over, rest[sex])
		rest[sex] -= taken
		over -= taken
	}
	return rest
}

// count ties the counts of fry to their parents: with p the chance of each
// phenotype by the parents' genotypes, the weight is Π p^n. Of those fry that
// have a record of their own, the record speaks.
func (b *builder) count(spawn *pedigree.Spawn, seen Item) {
	f := b.familyOf(spawn)
	seen.others = slices.Clone(seen.counts)
	for _, s := range b.young[spawn.ID] {
		b.leaveOut(&seen, s)
	}
	item := b.item(seen)
	b.counted = append(b.counted, countedFry{b.sys, f, item})
	b.ofFamily(item, f, func(chance []float64) float64 {
		weight := 0.0
		for i, n := range seen.counts {
			p := 0.0
			for g, row := range seen.trait.shows {
				p += chance[g] * row[i]
			}
			switch {
			case n > 0 && p == 0:
				return never
			case n > 0 && seen.others[i] > 0:
				weight += seen.others[i] * math.Log(p)
			}
		}
		return weight
	})
}

// leaveOut takes fish on record out of the counts that they were part of.
func (b *builder) leaveOut(seen *Item, s *pedigree.Stock) {
	for _, told := range b.sys.told(b.book, s) {
		if told.trait != seen.trait {
			continue
		}
		if shown := seen.trait.looks(told.likely); shown >= 0 || told.Kind == PhenotypeTold {
			if told.Kind == PhenotypeTold {
				shown = slices.Index(seen.trait.phenotypes, phenotypeOf(s, seen.trait.name))
			}
			n := 1.0
			if s.Lot {
				n = float64(s.Count.Total())
			}
			seen.others[shown] = max(0, seen.others[shown]-n)
			return
		}
	}
	if s.Lot {
		for _, picked := range b.picks[s.ID] {
			b.leaveOut(seen, picked)
		}
	}
}

func phenotypeOf(s *pedigree.Stock, locus string) string {
	for _, t := range s.Phenotype {
		if t.Locus == locus {
			return t.Value
		}
	}
	return ""
}

// ofFamily adds a factor over all parents of a family: the logarithm of a weight
// that depends on the chance of each genotype in their fry.
func (b *builder) ofFamily(item int, f *family, weight func(chance []float64) float64) {
	sires, dams := f.sides[0], f.sides[1]
	vars := append(slices.Clone(sires.vars), dams.vars...)
	n := len(b.sys.genotypes)
	table := make([]float64, size(cards(vars, b.net.card), math.MaxInt/2))
	chance := make([]float64, n)
	genotype := make([]int, len(vars))
	for at := range table {
		rest := at
		for i := len(vars) - 1; i >= 0; i-- {
			genotype[i] = rest % n
			rest /= n
		}
		clear(chance)
		for i, x := range sires.weights {
			for j, y := range dams.weights {
				row := b.sys.fry[(genotype[i]*n+genotype[len(sires.vars)+j])*n:][:n]
				for g, p := range row {
					chance[g] += x * y * p
				}
			}
		}
		table[at] = weight(chance)
	}
	b.net.add(item, table, vars...)
}

// allOf ties what was seen of all fish of a lot to its parents, for those n of
// one sex that have no variable of their own.
func (b *builder) allOf(lot *pedigree.Stock, sex pedigree.Sex, n float64) {
	if n <= 0 {
		return
	}
	root := b.rootOf(lot)
	if root == nil {
		return
	}
	told := b.sys.told(b.book, lot)
	for s := lot; s != root; {
		s = b.book.StockByID(s.Picked)
		told = append(told, b.sys.told(b.book, s)...)
	}
	f, related := b.rootFamily(root)
	switch {
	case len(told) == 0 && (sex == pedigree.Unsexed || !b.sexTells(root)):
		return
	case !related:
		b.member("alone", lot, sex) // nothing follows for any other fish, but it must be possible
		return
	}
	if f == nil || len(told) > 1 {
		for i := range min(int(n+0.5), maxAlike) {
			b.member(fmt.Sprintf("fish %d", i), lot, sex)
		}
		return
	}
	if len(told) == 0 {
		told = []Item{{Kind: SexTold, ID: lot.ID, Words: fmt.Sprintf("has %d males and %d females", lot.Count.Males, lot.Count.Females), At: lot.Where.Position}}
	}
	b.ofFamily(b.itemOnce(told[0]), f, func(chance []float64) float64 {
		p := 0.0
		for g, x := range chance {
			if sex == pedigree.Unsexed || b.sys.sexes == "" || b.sys.genotypes[g].sex == sex {
				if told[0].likely != nil {
					x *= told[0].likely[g]
				}
				p += x
			}
		}
		return n * math.Log(p)
	})
}

// rootOf is the lot that a lot was first part of, nil where picks lead nowhere.
func (b *builder) rootOf(lot *pedigree.Stock) *pedigree.Stock {
	for lot.Picked != "" {
		if lot = b.book.StockByID(lot.Picked); lot == nil || !lot.Lot {
			return nil
		}
	}
	return lot
}

// rootFamily is the one family that the fish of a lot are of, nil where they are
// of none or of several; related is false where they have no parents in common.
func (b *builder) rootFamily(root *pedigree.Stock) (f *family, related bool) {
	switch {
	case len(root.FromSpawns) == 1:
		return b.familyOf(b.book.SpawnByID(root.FromSpawns[0].Spawn)), true
	case root.Wild == nil && root.Bought == nil:
		return nil, true
	case math.Abs(kinshipOf(root)-0.25) < 1e-9:
		return b.virtual(root.ID), true
	}
	return nil, kinshipOf(root) > 0
}
