package locus

import (
	"fmt"
	"math"
	"math/rand/v2"
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
const mostCalls = 10_000

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
