package locus

import (
	"math"
	"slices"
	"strings"

	"roebook/pedigree"
)

// The enumerator is the yardstick: it goes through every assignment of genotypes
// to explicit fish, each with a strand from its sire and a strand from its dam,
// and through every choice of parents. It shares nothing with the engine but the
// values of package pedigree, and reads declarations in its own way.

// world is the loci of the random books: how strands look and are passed on.
type world struct {
	sexes   string // "XY", "ZW", "WXY" or "" where sex makes no difference
	loci    []pedigree.Locus
	traits  []pedigree.Locus // that read several
	strands []strand
	gametes map[[2]int][2]map[int]float64 // of two strands, by parent's sex
	fry     map[[4]int][]weighted         // of two fish
	looks   map[look]float64
	shared  map[cross]float64
	names   [][][]string // of genotypes, by locus and two strands
	calls   int
}

// strand is one chromosome: its sex letter (0 for none) and alleles, "" where it
// has no such locus.
type strand struct {
	letter  byte
	alleles [2]string
	chance  float64
}

// being is a fish of the enumeration.
type being struct {
	name  string
	sex   byte // 'm', 'f' or 0
	from  *mating
	seen  []func(x, y strand) float64
	x, y  int
	asked bool
	// In place of from: it is of one of these spawns, or one of these fish, with
	// such odds.
	spawns []*mating
	copies []*being
	odds   []float64
}

// mating is a spawn: candidates of each side, with odds.
type mating struct {
	sides  [2][]*being
	odds   [2][]float64
	every  [2]bool // each fry has its own parent out of the candidates
	chosen [2]int
	counts []tally
}

type tally struct {
	spawn string
	locus string
	n     map[string]int
	known map[string]int // those of them that have records of their own
}

type weighted struct {
	x, y int
	p    float64
}

func (w *world) prepare() {
	letters := w.sexes
	if letters == "" {
		letters = "-"
	}
	for _, letter := range letters {
		list := []strand{{letter: byte(letter), chance: 1}}
		for i, l := range w.loci {
			var next []strand
			for _, s := range list {
				if !w.on(l, byte(letter)) {
					next = append(next, s)
					continue
				}
				for _, a := range l.Alleles {
					t := s
					t.alleles[i] = a
					t.chance *= w.frequency(l, a)
					next = append(next, t)
				}
			}
			list = next
		}
		w.strands = append(w.strands, list...)
	}
	for i, l := range w.loci {
		w.names = append(w.names, nil)
		for _, x := range w.strands {
			var row []string
			for _, y := range w.strands {
				row = append(row, w.genotypeName(l, x.alleles[i], y.alleles[i]))
			}
			w.names[i] = append(w.names[i], row)
		}
	}
	w.gametes = make(map[[2]int][2]map[int]float64)
	w.looks, w.shared = make(map[look]float64), make(map[cross]float64)
	w.fry = make(map[[4]int][]weighted)
}

func (w *world) on(l pedigree.Locus, letter byte) bool {
	return l.Inheritance == "autosomal" || strings.IndexByte(l.Inheritance, letter) >= 0
}

func (w *world) frequency(l pedigree.Locus, allele string) float64 {
	for _, f := range l.Frequency {
		if f.Allele == allele {
			return f.Share
		}
	}
	if len(l.Frequency) > 0 {
		return 0
	}
	return 1 / float64(len(l.Alleles))
}

// sexOf tells the sex of two letters: 'm', 'f', '?' where sex does not matter, 0
// for none.
func (w *world) sexOf(a, b byte) byte {
	if a > b {
		a, b = b, a
	}
	both := [2]byte{a, b}
	switch w.sexes {
	case "":
		return '?'
	case "ZW":
		switch both {
		case [2]byte{'Z', 'Z'}:
			return 'm'
		case [2]byte{'W', 'Z'}:
			return 'f'
		}
		return 0
	}
	switch both {
	case [2]byte{'X', 'X'}, [2]byte{'W', 'X'}, [2]byte{'W', 'Y'}:
		return 'f'
	case [2]byte{'X', 'Y'}:
		return 'm'
	case [2]byte{'Y', 'Y'}:
		if w.sexes == "WXY" {
			return 'm'
		}
	}
	return 0
}

// founderChance: each kind of sex chromosomes of a sex is as common as another.
func (w *world) founderChance(x, y strand) float64 {
	p := x.chance * y.chance
	if w.sexes == "" {
		return p
	}
	sex := w.sexOf(x.letter, y.letter)
	if sex == 0 {
		return 0
	}
	kinds := 1.
	if w.sexes == "WXY" {
		kinds = map[byte]float64{'m': 2, 'f': 3}[sex]
	}
	p /= 2 * kinds
	if x.letter != y.letter {
		p /= 2 // either strand may come from the sire
	}
	return p
}

// genotypeFits matches the text of a genotype at one locus.
func genotypeFits(text, a, b string) bool {
	if text == "*" {
		return true
	}
	var have []string
	for _, allele := range []string{a, b} {
		if allele != "" {
			have = append(have, allele)
		}
	}
	if text == "none" {
		return len(have) == 0
	}
	want := strings.Split(text, "/")
	if len(want) != len(have) {
		return false
	}
	for _, order := range [][]int{{0, 1}, {1, 0}} {
		ok := true
		for i, allele := range have {
			wanted := want[order[i]%len(want)]
			ok = ok && (wanted == "-" || wanted == allele)
		}
		if ok {
			return true
		}
	}
	return false
}

func (w *world) textFits(l *pedigree.Locus, text string, x, y strand) bool {
	parts := strings.Fields(text)
	if len(l.Loci) == 0 {
		for i, own := range w.loci {
			if own.Name == l.Name {
				return genotypeFits(text, x.alleles[i], y.alleles[i])
			}
		}
	}
	if text == "*" {
		return true
	}
	for j, name := range l.Loci {
		for i, own := range w.loci {
			if own.Name == name && !genotypeFits(parts[j], x.alleles[i], y.alleles[i]) {
				return false
			}
		}
	}
	return true
}

func (w *world) lives(x, y strand) bool {
	if w.sexOf(x.letter, y.letter) == 0 {
		return false
	}
	for _, l := range w.loci {
		for _, text := range l.Lethal {
			if w.textFits(&l, text, x, y) {
				return false
			}
		}
	}
	return true
}

func (w *world) named(locus string) *pedigree.Locus {
	for _, list := range [][]pedigree.Locus{w.loci, w.traits} {
		for i := range list {
			if list[i].Name == locus {
				return &list[i]
			}
		}
	}
	panic(locus)
}

type look struct {
	locus, phenotype string
	x, y             strand
}

// shows is the chance that a fish looks so.
func (w *world) shows(locus, phenotype string, x, y strand) float64 {
	key := look{locus, phenotype, x, y}
	p, ok := w.looks[key]
	if !ok {
		p = w.showsAnew(locus, phenotype, x, y)
		w.looks[key] = p
	}
	return p
}

func (w *world) showsAnew(locus, phenotype string, x, y strand) float64 {
	l := w.named(locus)
	look := func(x, y strand) string {
		for _, rule := range l.Phenotypes {
			if w.textFits(l, rule.Pattern, x, y) {
				return rule.Phenotype
			}
		}
		return l.Phenotypes[0].Phenotype // the random loci list the wild type first
	}
	own, share := look(x, y), 1.
	for _, p := range l.Penetrance {
		if w.textFits(l, p.Genotype, x, y) {
			share = p.Share
		}
	}
	p := 0.
	if own == phenotype {
		p += share
	}
	if l.Phenotypes[0].Phenotype == phenotype {
		p += 1 - share
	}
	return p
}

// passes lists the strands that a fish passes on: it starts on either strand and
// changes over between places with the stated recombination.
func (w *world) passes(x, y int, sex byte) map[int]float64 {
	parent := 0
	if sex == 'f' {
		parent = 1
	}
	if made, ok := w.gametes[[2]int{x, y}]; ok && made[parent] != nil {
		return made[parent]
	}
	out := make(map[int]float64)
	two := [2]strand{w.strands[x], w.strands[y]}
	for which := range 8 { // sex letter, first locus, second locus
		from := [3]int{which & 1, which >> 1 & 1, which >> 2 & 1}
		p := 0.5
		for i, l := range w.loci {
			r := 0.5 // with what stands before it
			to := from[0]
			switch {
			case l.Inheritance == "autosomal":
				if i == 1 && l.LinkedTo != "" {
					to, r = from[1], []float64{l.LinkedMale, l.LinkedFemale}[parent]
				}
			case two[0].letter == two[1].letter:
				if i == 1 && l.LinkedTo != "" {
					to, r = from[1], []float64{l.LinkedMale, l.LinkedFemale}[parent]
				}
			case w.on(l, two[0].letter) && w.on(l, two[1].letter):
				r = l.Recombination
			default:
				r = 0
			}
			if from[i+1] != to {
				p *= r
			} else {
				p *= 1 - r
			}
		}
		if len(w.loci) == 1 && from[2] == 1 {
			continue
		}
		s := strand{letter: two[from[0]].letter}
		for i := range w.loci {
			s.alleles[i] = two[from[i+1]].alleles[i]
		}
		if p > 0 {
			out[slices.IndexFunc(w.strands, func(t strand) bool { return t.letter == s.letter && t.alleles == s.alleles })] += p
		}
	}
	made := w.gametes[[2]int{x, y}]
	made[parent] = out
	w.gametes[[2]int{x, y}] = made
	return out
}

// young lists the fry of two fish that live, with their chances among these.
func (w *world) young(sire, dam *being) []weighted {
	key := [4]int{sire.x, sire.y, dam.x, dam.y}
	if list, ok := w.fry[key]; ok {
		return list
	}
	var list []weighted
	sum := 0.
	for x, p := range w.passes(sire.x, sire.y, 'm') {
		for y, q := range w.passes(dam.x, dam.y, 'f') {
			if w.lives(w.strands[x], w.strands[y]) {
				list = append(list, weighted{x, y, p * q})
				sum += p * q
			}
		}
	}
	slices.SortFunc(list, func(a, b weighted) int { return (a.x-b.x)*1000 + a.y - b.y })
	for i := range list {
		list[i].p /= sum
	}
	w.fry[key] = list
	return list
}

func (w *world) is(sex byte, x, y strand) bool {
	have := w.sexOf(x.letter, y.letter)
	return sex == 0 || have == '?' || have == sex
}

// outcome is the sums of the enumeration.
type outcome struct {
	total   float64
	fish    map[string]map[string]map[string]float64 // by name, locus, genotype
	choices map[*mating]*[2][]float64
}

// mostCalls is how many partial assignments a book may have to be of use.
const mostCalls = 5_000

// enumerate sums over everything that may have happened; nil where that is too
// much.
func (w *world) enumerate(beings []*being, matings []*mating) *outcome {
	out := &outcome{fish: make(map[string]map[string]map[string]float64), choices: make(map[*mating]*[2][]float64)}
	for _, m := range matings {
		out.choices[m] = &[2][]float64{make([]float64, len(m.sides[0])), make([]float64, len(m.sides[1]))}
	}
	w.calls = 0
	w.chooseParents(beings, matings, 0, 1, out)
	if w.calls > mostCalls {
		return nil
	}
	return out
}

func (w *world) chooseParents(beings []*being, matings []*mating, at int, p float64, out *outcome) {
	if w.calls > mostCalls {
		return
	}
	if at == 2*len(matings) {
		w.assign(beings, matings, 0, p, out)
		return
	}
	m, side := matings[at/2], at%2
	if m.every[side] {
		w.chooseParents(beings, matings, at+1, p, out)
		return
	}
	sum := 0.
	for _, odds := range m.odds[side] {
		sum += odds
	}
	for i, odds := range m.odds[side] {
		m.chosen[side] = i
		w.chooseParents(beings, matings, at+1, p*odds/sum, out)
	}
}

// couples lists the pairs that may be the parents of one fry.
func (m *mating) couples() (list [][2]*being, p []float64) {
	pick := func(side int) ([]*being, []float64) {
		if !m.every[side] {
			return []*being{m.sides[side][m.chosen[side]]}, []float64{1}
		}
		sum := 0.
		for _, odds := range m.odds[side] {
			sum += odds
		}
		var shares []float64
		for _, odds := range m.odds[side] {
			shares = append(shares, odds/sum)
		}
		return m.sides[side], shares
	}
	sires, x := pick(0)
	dams, y := pick(1)
	for i, s := range sires {
		for j, d := range dams {
			list, p = append(list, [2]*being{s, d}), append(p, x[i]*y[j])
		}
	}
	return list, p
}

// fit reports whether the parents chosen are of the sex that they must be.
func (m *mating) fit(w *world) bool {
	for side, sex := range []byte{'m', 'f'} {
		list := m.sides[side]
		if !m.every[side] {
			list = list[m.chosen[side] : m.chosen[side]+1]
		}
		for _, b := range list {
			if !w.is(sex, w.strands[b.x], w.strands[b.y]) {
				return false
			}
		}
	}
	return true
}

func (w *world) assign(beings []*being, matings []*mating, at int, p float64, out *outcome) {
	if w.calls++; p == 0 || w.calls > mostCalls {
		return
	}
	if at == len(beings) {
		for _, m := range matings {
			if !m.fit(w) {
				return
			}
			p *= w.counted(m)
		}
		w.record(beings, matings, p, out)
		return
	}
	b := beings[at]
	try := func(x, y int, chance float64) {
		s, t := w.strands[x], w.strands[y]
		if chance == 0 || !w.is(b.sex, s, t) {
			return
		}
		for _, seen := range b.seen {
			chance *= seen(s, t)
		}
		b.x, b.y = x, y
		w.assign(beings, matings, at+1, p*chance, out)
	}
	total := 0.
	for _, odds := range b.odds {
		total += odds
	}
	for i, copied := range b.copies {
		try(copied.x, copied.y, b.odds[i]/total)
	}
	for i, from := range b.spawns {
		w.born(from, b.odds[i]/total, try)
	}
	switch {
	case len(b.odds) > 0:
	case b.from != nil:
		w.born(b.from, 1, try)
	default:
		sum := 0.
		for x, s := range w.strands {
			for y, t := range w.strands {
				if w.lives(s, t) && w.is(b.sex, s, t) {
					sum += w.founderChance(s, t)
				}
				_, _ = x, y
			}
		}
		for x, s := range w.strands {
			for y, t := range w.strands {
				if w.lives(s, t) {
					try(x, y, w.founderChance(s, t)/sum)
				}
			}
		}
	}
}

// born tries every genotype that a fry of the spawn may have.
func (w *world) born(from *mating, p float64, try func(x, y int, chance float64)) {
	couples, shares := from.couples()
	for i, c := range couples {
		if !w.is('m', w.strands[c[0].x], w.strands[c[0].y]) || !w.is('f', w.strands[c[1].x], w.strands[c[1].y]) {
			continue
		}
		for _, f := range w.young(c[0], c[1]) {
			try(f.x, f.y, p*shares[i]*f.p)
		}
	}
}

// counted is the weight of the counts of a spawn.
func (w *world) counted(m *mating) float64 {
	weight := 1.
	couples, shares := m.couples()
	for _, c := range m.counts {
		for phenotype, n := range c.n {
			p := 0.
			for i, two := range couples {
				p += shares[i] * w.share(two, c.locus, phenotype)
			}
			if p == 0 && n > 0 {
				return 0
			}
			weight *= math.Pow(p, float64(max(0, n-c.known[phenotype])))
		}
	}
	return weight
}

type cross struct {
	locus, phenotype string
	of               [4]int
}

// share is the share of the fry of two fish that look so.
func (w *world) share(two [2]*being, locus, phenotype string) float64 {
	key := cross{locus, phenotype, [4]int{two[0].x, two[0].y, two[1].x, two[1].y}}
	p, ok := w.shared[key]
	if !ok {
		for _, f := range w.young(two[0], two[1]) {
			p += f.p * w.shows(locus, phenotype, w.strands[f.x], w.strands[f.y])
		}
		w.shared[key] = p
	}
	return p
}

func (w *world) record(beings []*being, matings []*mating, p float64, out *outcome) {
	out.total += p
	for _, b := range beings {
		if !b.asked {
			continue
		}
		if out.fish[b.name] == nil {
			out.fish[b.name] = make(map[string]map[string]float64)
		}
		for i, l := range w.loci {
			if out.fish[b.name][l.Name] == nil {
				out.fish[b.name][l.Name] = make(map[string]float64)
			}
			out.fish[b.name][l.Name][w.names[i][b.x][b.y]] += p
		}
	}
	for _, m := range matings {
		for side := range 2 {
			if !m.every[side] {
				out.choices[m][side][m.chosen[side]] += p
			}
		}
	}
}

func (w *world) genotypeName(l pedigree.Locus, a, b string) string {
	var have []string
	for _, allele := range l.Alleles {
		for _, own := range []string{a, b} {
			if own == allele {
				have = append(have, allele)
			}
		}
	}
	if len(have) == 0 {
		return "none"
	}
	return strings.Join(have, "/")
}
