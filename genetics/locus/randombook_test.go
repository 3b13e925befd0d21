package locus

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"roebook/pedigree"
)

// randomWorld draws the loci of a line.
func randomWorld(rng *rand.Rand) (*world, string) {
	w := &world{}
	kinds := []string{"autosomal", "autosomal", "series", "X", "Y", "Z", "W", "XY", "platy", "platyX", "linked", "linkedX", "two", "apart"}
	kind := kinds[rng.IntN(len(kinds))]
	first := pedigree.Locus{Name: "pale", Inheritance: "autosomal", Alleles: []string{"P", "p"},
		Phenotypes: []pedigree.PhenotypeRule{{Pattern: "P/-", Phenotype: "dark"}, {Pattern: "P", Phenotype: "dark"}, {Pattern: "p/p", Phenotype: "pale"}, {Pattern: "p", Phenotype: "pale"}}}
	if rng.IntN(3) == 0 { // all three told apart
		first.Phenotypes = []pedigree.PhenotypeRule{{Pattern: "P/P", Phenotype: "dark"}, {Pattern: "P", Phenotype: "dark"},
			{Pattern: "P/p", Phenotype: "grey"}, {Pattern: "p/p", Phenotype: "pale"}, {Pattern: "p", Phenotype: "pale"}}
	}
	switch kind {
	case "series":
		first.Alleles = []string{"P", "q", "p"}
		first.Phenotypes = []pedigree.PhenotypeRule{{Pattern: "P/-", Phenotype: "dark"}, {Pattern: "q/q", Phenotype: "grey"}, {Pattern: "q/p", Phenotype: "grey"}, {Pattern: "p/p", Phenotype: "pale"}}
	case "X", "Y", "XY", "Z", "W":
		first.Inheritance = kind
		w.sexes = map[string]string{"Z": "ZW", "W": "ZW"}[kind]
		if w.sexes == "" {
			w.sexes = "XY"
		}
	case "platy":
		first.Inheritance, w.sexes = "XY", "WXY"
	case "platyX":
		first.Inheritance, w.sexes = "X", "WXY"
	case "linkedX":
		first.Inheritance, w.sexes = "X", "XY"
	}
	if first.Inheritance == "XY" {
		first.Recombination = []float64{0, 0.03, 0.5}[rng.IntN(3)]
	}
	if rng.IntN(3) == 0 {
		first.Frequency = []pedigree.AlleleShare{{Allele: "P", Share: 0.7}, {Allele: "p", Share: 0.3}}
		if kind == "series" {
			first.Frequency = append(first.Frequency, pedigree.AlleleShare{Allele: "q", Share: 0})
		}
	}
	if rng.IntN(4) == 0 {
		first.Lethal = [][]string{{"P/P"}, {"p/p"}}[rng.IntN(2)]
	}
	if rng.IntN(4) == 0 {
		first.Penetrance = []pedigree.GenotypeShare{{Genotype: "p/p", Share: 0.8}}
	}
	w.loci = []pedigree.Locus{first}
	if kind == "linked" || kind == "linkedX" || kind == "two" || kind == "apart" {
		second := pedigree.Locus{Name: "spotted", Inheritance: first.Inheritance, Alleles: []string{"S", "s"},
			Phenotypes: []pedigree.PhenotypeRule{{Pattern: "S/-", Phenotype: "clear"}, {Pattern: "S", Phenotype: "clear"}, {Pattern: "s/s", Phenotype: "spotted"}, {Pattern: "s", Phenotype: "spotted"}}}
		if strings.HasPrefix(kind, "linked") {
			second.LinkedTo, second.LinkedMale, second.LinkedFemale = "pale", 0.1, 0.25
		} else if kind == "two" {
			w.traits = []pedigree.Locus{{Name: "sheen", Loci: []string{"pale", "spotted"},
				Phenotypes: []pedigree.PhenotypeRule{{Pattern: "P/- S/-", Phenotype: "plain"}, {Pattern: "p/p S/-", Phenotype: "silver"}, {Pattern: "*", Phenotype: "gold"}}}}
		}
		w.loci = append(w.loci, second)
	}
	w.prepare()
	return w, kind
}

// line is the line that declares the world's loci.
func (w *world) line() *pedigree.Line {
	l := &pedigree.Line{Name: "amber-spring", Species: "Xenotoca variata", SexDetermination: w.sexes}
	l.Loci = slices.Concat(w.loci, w.traits)
	slices.SortFunc(l.Loci, func(a, b pedigree.Locus) int { return strings.Compare(a.Name, b.Name) })
	return l
}

// maker draws a book together with its beings.
type maker struct {
	rng     *rand.Rand
	w       *world
	book    *pedigree.Book
	beings  []*being
	matings []*mating
	spawns  map[*mating]*pedigree.Spawn
	labels  map[*mating][2][]string
	date    pedigree.Date
	parents [2][]*being // named fish that may breed
	lots    []*madeLot
	n       int
}

// madeLot is a lot with its fish, by sex, that are not named.
type madeLot struct {
	stock *pedigree.Stock
	from  *mating
	rest  [2]int
	only  [2]*being
	seen  []func(x, y strand) float64
	used  [2]int
	named string // the fish picked out of it
	gone  bool   // its males have left it

	parts  []*madeLot // of a merged lot, with how many males of each
	shares []float64
}

func (m *maker) id(prefix string) string { m.n++; return fmt.Sprintf("%s%02d", prefix, m.n) }

func (m *maker) add(name string, sex byte, from *mating, asked bool) *being {
	b := &being{name: name, sex: sex, from: from, asked: asked}
	m.beings = append(m.beings, b)
	return b
}

var letterOf = map[pedigree.Sex]byte{pedigree.Male: 'm', pedigree.Female: 'f'}

// tell states something of a fish: mostly what is true of some fish, sometimes
// anything.
func (m *maker) tell(s *pedigree.Stock) (seen []func(x, y strand) float64) {
	all := slices.Concat(m.w.loci, m.w.traits)
	l := all[m.rng.IntN(len(all))]
	if m.rng.IntN(4) > 0 || len(l.Loci) > 0 {
		look := l.Phenotypes[m.rng.IntN(len(l.Phenotypes))].Phenotype
		s.Phenotype = append(s.Phenotype, pedigree.Trait{Locus: l.Name, Value: look})
		return []func(x, y strand) float64{func(x, y strand) float64 { return m.w.shows(l.Name, look, x, y) }}
	}
	x, y := m.w.strands[m.rng.IntN(len(m.w.strands))], m.w.strands[m.rng.IntN(len(m.w.strands))]
	i := slices.IndexFunc(m.w.loci, func(own pedigree.Locus) bool { return own.Name == l.Name })
	text := m.w.genotypeName(l, x.alleles[i], y.alleles[i])
	if m.rng.IntN(3) == 0 && strings.Contains(text, "/") {
		text = strings.Split(text, "/")[0] + "/-"
	}
	s.Genotype = append(s.Genotype, pedigree.Trait{Locus: l.Name, Value: text})
	return []func(x, y strand) float64{func(x, y strand) float64 {
		if genotypeFits(text, x.alleles[i], y.alleles[i]) {
			return 1
		}
		return 0
	}}
}

func (m *maker) fish(from *mating, spawn string, tellIn int) {
	s := &pedigree.Stock{ID: m.id("F"), Line: "amber-spring", Sex: pedigree.Sex(1 + m.rng.IntN(2)), Wild: &pedigree.Wild{}}
	if from != nil {
		s.Wild, s.FromSpawns = nil, []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}
		if m.rng.IntN(6) == 0 {
			s.Sex = pedigree.Unsexed
		}
	}
	b := m.add(s.ID, letterOf[s.Sex], from, true)
	if m.rng.IntN(tellIn) == 0 {
		b.seen = m.tell(s)
	}
	m.book.Stock = append(m.book.Stock, s)
	if s.Sex != pedigree.Unsexed {
		side := int(s.Sex) - 1
		m.parents[side] = append(m.parents[side], b)
	}
}

// lot makes a small lot; fish of it are picked at once or never.
func (m *maker) lot(from *mating, spawn string) {
	s := &pedigree.Stock{ID: m.id("L"), Line: "amber-spring", Lot: true, Count: pedigree.Count{Males: m.rng.IntN(3), Females: 1 + m.rng.IntN(2)}, Wild: &pedigree.Wild{}}
	if from != nil {
		s.Wild, s.FromSpawns = nil, []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}
	}
	lot := &madeLot{stock: s, from: from, rest: [2]int{s.Count.Males, s.Count.Females}}
	if m.rng.IntN(3) == 0 {
		lot.seen = m.tell(s)
	}
	m.book.Stock = append(m.book.Stock, s)
	m.lots = append(m.lots, lot)
	if m.rng.IntN(3) == 0 { // one of them known from a later day on, a candidate before
		side := m.rng.IntN(2)
		if lot.rest[side] == 0 {
			return
		}
		picked := &pedigree.Stock{ID: m.id("P"), Line: "amber-spring", Sex: pedigree.Sex(side + 1), Picked: s.ID, Date: 20290101}
		b := m.add(picked.ID, "mf"[side], from, true)
		b.seen = slices.Clone(lot.seen)
		if m.rng.IntN(2) == 0 {
			b.seen = append(b.seen, m.tell(picked)...)
		}
		m.book.Stock = append(m.book.Stock, picked)
		lot.used[side]++
		lot.rest[side]--
		lot.named = picked.ID
	}
}

// draw is a fish of the lot that is not named: the same where it is the only one.
func (m *maker) draw(lot *madeLot, side int) *being {
	if lot.only[side] != nil {
		return lot.only[side]
	}
	var copies []*being
	for _, part := range lot.parts {
		copies = append(copies, m.draw(part, side))
	}
	b := m.add(m.id("?"), "mf"[side], lot.from, false)
	b.copies, b.odds = copies, lot.shares
	b.seen = lot.seen
	lot.used[side]++
	if lot.rest[side] == 1 {
		lot.only[side] = b
	}
	return b
}

// side draws who bred: beings with odds, and the labels of the answer.
func (m *maker) side(side int, to *pedigree.Side) (list []*being, odds []float64, labels []string) {
	add := func(b *being, p float64, label string) {
		list, odds, labels = append(list, b), append(odds, p), append(labels, label)
	}
	named := m.parents[side]
	switch x := m.rng.IntN(10); {
	case x < 5 && len(named) > 0:
		b := named[m.rng.IntN(len(named))]
		to.Candidates = []pedigree.Candidate{{ID: b.name, Odds: 1}}
		add(b, 1, b.name)
	case x < 7 && len(named) > 1:
		to.Odds = m.rng.IntN(2) == 0
		for _, i := range m.rng.Perm(len(named))[:2] {
			p := 1.
			if to.Odds {
				p = float64(1 + m.rng.IntN(3))
			}
			to.Candidates = append(to.Candidates, pedigree.Candidate{ID: named[i].name, Odds: p})
			add(named[i], p, named[i].name)
		}
	case x < 9:
		for _, lot := range m.lots {
			picked := slices.IndexFunc(m.beings, func(b *being) bool { return b.name == lot.named && b.sex == "mf"[side] })
			n := lot.rest[side]
			if lot.gone && side == 0 {
				continue
			}
			if n == 0 && picked < 0 {
				continue
			}
			to.Candidates = []pedigree.Candidate{{ID: lot.stock.ID, Odds: 1}}
			if picked >= 0 {
				add(m.beings[picked], 1, lot.named)
			}
			if n > 0 {
				add(m.draw(lot, side), float64(n), lot.stock.ID)
			}
			break
		}
	}
	if len(list) == 0 {
		add(m.add(m.id("?"), "mf"[side], nil, false), 1, "")
	}
	return list, odds, labels
}

func (m *maker) breed() {
	m.date += 100
	s := &pedigree.Spawn{ID: m.id("S"), Line: "amber-spring", Date: m.date}
	mate := &mating{}
	var labels [2][]string
	mate.sides[0], mate.odds[0], labels[0] = m.side(0, &s.Sire)
	mate.sides[1], mate.odds[1], labels[1] = m.side(1, &s.Dam)
	if len(mate.sides[0]) > 1 && !s.Sire.Odds && strings.HasPrefix(s.Sire.Candidates[0].ID, "F") && m.rng.IntN(3) == 0 {
		s.Sires.All, mate.every[0] = true, true
	}
	m.matings = append(m.matings, mate)
	m.spawns[mate], m.labels[mate] = s, labels
	m.book.Spawns = append(m.book.Spawns, s)
	m.raise(mate, s)
	if m.rng.IntN(5) == 0 {
		again := &pedigree.Spawn{ID: m.id("R"), Line: s.Line, Date: m.date + 10, Repeat: s.ID}
		m.book.Spawns = append(m.book.Spawns, again)
		m.raise(mate, again)
	}
	if len(m.matings) > 1 && m.rng.IntN(4) == 0 {
		m.mixed()
	}
	if m.rng.IntN(3) == 0 {
		m.merge()
	}
}

// raise keeps fry of a spawn, and counts them.
func (m *maker) raise(mate *mating, s *pedigree.Spawn) {
	for range m.rng.IntN(3) {
		m.fish(mate, s.ID, 2)
	}
	if m.rng.IntN(4) == 0 {
		m.lot(mate, s.ID)
	}
	if m.rng.IntN(2) == 0 {
		all := slices.Concat(m.w.loci, m.w.traits)
		l := all[m.rng.IntN(len(all))]
		c := tally{s.ID, l.Name, map[string]int{}, map[string]int{}}
		seen := pedigree.Seen{Locus: l.Name}
		for _, rule := range l.Phenotypes {
			if _, done := c.n[rule.Phenotype]; !done && m.rng.IntN(3) > 0 {
				c.n[rule.Phenotype] = m.rng.IntN(5)
				seen.Counts = append(seen.Counts, pedigree.SeenCount{Phenotype: rule.Phenotype, N: c.n[rule.Phenotype]})
			}
		}
		s.Seen = []pedigree.Seen{seen}
		mate.counts = append(mate.counts, c)
	}
}

// mixed adds a fish that is of one spawn or another, with odds.
func (m *maker) mixed() {
	s := &pedigree.Stock{ID: m.id("F"), Line: "amber-spring", Sex: pedigree.Sex(1 + m.rng.IntN(2))}
	b := m.add(s.ID, letterOf[s.Sex], nil, true)
	for _, i := range m.rng.Perm(len(m.matings))[:2] {
		odds := float64(1 + m.rng.IntN(3))
		s.FromSpawns = append(s.FromSpawns, pedigree.FromSpawn{Spawn: m.spawns[m.matings[i]].ID, Share: odds})
		b.spawns, b.odds = append(b.spawns, m.matings[i]), append(b.odds, odds)
	}
	if m.rng.IntN(2) == 0 {
		b.seen = m.tell(s)
	}
	m.book.Stock = append(m.book.Stock, s)
	m.parents[int(s.Sex)-1] = append(m.parents[int(s.Sex)-1], b)
}

// merge puts all males of two lots together.
func (m *maker) merge() {
	s := &pedigree.Stock{ID: m.id("M"), Line: "amber-spring", Lot: true, Date: m.date + 20}
	merged := &madeLot{stock: s}
	for _, lot := range m.lots {
		if n := lot.rest[0]; n > 0 && !lot.gone && lot.parts == nil && len(merged.parts) < 2 {
			s.Merged = append(s.Merged, pedigree.Part{ID: lot.stock.ID, Count: pedigree.Count{Males: n}})
			s.Count.Males += n
			merged.parts, merged.shares = append(merged.parts, lot), append(merged.shares, float64(n))
		}
	}
	if len(merged.parts) < 2 {
		return
	}
	for _, lot := range merged.parts {
		lot.gone = true
	}
	merged.rest[0] = s.Count.Males
	m.book.Stock = append(m.book.Stock, s)
	m.lots = append([]*madeLot{merged}, m.lots...)
}

// randomBook draws a small book: the same seed gives the same one.
func randomBook(seed uint64) *maker {
	rng := rand.New(rand.NewPCG(seed, 0x10c1))
	w, _ := randomWorld(rng)
	m := &maker{rng: rng, w: w, spawns: make(map[*mating]*pedigree.Spawn), labels: make(map[*mating][2][]string), date: 20220101}
	m.book = &pedigree.Book{Name: "random", Lines: []*pedigree.Line{w.line()}}
	for range 1 + rng.IntN(2) {
		m.fish(nil, "", 3)
	}
	if rng.IntN(3) == 0 {
		m.lot(nil, "")
	}
	for range 1 + rng.IntN(3) {
		if m.cost() < 2e3 {
			m.breed()
		}
	}
	// The fish of a lot that have no name and bred nothing show what the lot shows.
	for _, lot := range m.lots {
		for side, n := range [...]int{lot.stock.Count.Males, lot.stock.Count.Females} {
			tells := lot.seen != nil || lot.from != nil && w.sexes != "" && (w.sexes == "WXY" || len(w.loci[0].Lethal) > 0)
			for ; tells && lot.used[side] < n && (lot.from != nil || lot.used[side] == 0); lot.used[side]++ {
				m.add(m.id("?"), "mf"[side], lot.from, false).seen = lot.seen
			}
		}
	}
	m.book.Arrange()
	for _, mate := range m.matings {
		for _, c := range mate.counts {
			for _, s := range m.book.Stock {
				if len(s.FromSpawns) == 1 && s.FromSpawns[0].Spawn == c.spawn {
					m.known(s, c)
				}
			}
		}
	}
	return m
}

// cost is about how many assignments there are.
func (m *maker) cost() float64 {
	n := 1.
	for _, b := range m.beings {
		if b.from == nil {
			n *= float64(len(m.w.strands)*len(m.w.strands)) / 2
		} else {
			n *= 2.5
		}
	}
	return n
}

// known notes the look of a fish on record, or of the fish of a lot, that was
// among those counted.
func (m *maker) known(s *pedigree.Stock, c tally) {
	look := ""
	for _, told := range s.Phenotype {
		if told.Locus == c.locus {
			look = told.Value
		}
	}
	for _, told := range s.Genotype {
		if told.Locus != c.locus || look != "" {
			continue
		}
		looks := make(map[string]bool)
		for _, x := range m.w.strands {
			for _, y := range m.w.strands {
				if m.w.lives(x, y) && m.w.textFits(m.w.named(c.locus), told.Value, x, y) {
					for _, rule := range m.w.named(c.locus).Phenotypes {
						if p := m.w.shows(c.locus, rule.Phenotype, x, y); p > 0 {
							looks[rule.Phenotype] = true
						}
					}
				}
			}
		}
		if len(looks) == 1 {
			for only := range looks {
				look = only
			}
		}
	}
	switch {
	case look != "" && s.Lot:
		c.known[look] += s.Count.Total()
	case look != "":
		c.known[look]++
	case s.Lot:
		for _, other := range m.book.Stock {
			if other.Picked == s.ID {
				m.known(other, c)
			}
		}
	}
}
