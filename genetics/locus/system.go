package locus

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"roebook/pedigree"
)

// SexChromosomes is the locus whose alleles are the sex chromosomes of a
// platyfish themselves: W, X and Y.
const SexChromosomes = "sex-chromosomes"

// maxGenotypes is how many genotypes the loci that belong together may have: the
// table of one fry by its parents has that number cubed.
const maxGenotypes = 150

// locus is a place on a chromosome.
type locus struct {
	name    string
	record  *pedigree.Locus // nil for the sex chromosomes themselves
	alleles []string
	share   []float64 // of the alleles in founders
	on      string    // the sex chromosomes that carry it; "" where it is on others
	against float64   // recombination against sex, where two kinds carry it
}

// trait is something that can be seen or known of a fish: a locus, or a
// phenotype that reads several loci.
type trait struct {
	name       string
	record     *pedigree.Locus
	loci       []int // of the system, in the order that patterns have
	phenotypes []string
	shows      [][]float64 // by genotype and phenotype: the chance to look so
}

// gamete is one allele at every locus, and a sex chromosome.
type gamete struct {
	alleles    []int
	chromosome byte // 0 where the loci do not hang on sex
	chance     float64
}

// genotype is two gametes; which came from whom makes no difference.
type genotype struct {
	a, b int
	sex  pedigree.Sex // Unsexed where the loci do not hang on sex
}

// system is the loci of a line that can only be reckoned together: linked ones,
// and those that one phenotype reads. Its genotypes are those that live.
type system struct {
	line      *pedigree.Line
	loci      []*locus
	traits    []*trait
	links     []link
	sexes     string // the sex chromosomes of the line; "" where none matters
	gametes   []gamete
	genotypes []genotype
	pair      [][]int      // of gametes: the genotype, -1 where there is none that lives
	meiosis   [2][]meiosis // of males and of females, by genotype; nil for the other sex
	fry       []float64    // by sire, dam and fry: chance among those that live
	alive     []float64    // by sire and dam: the share that lives
	sexTells  bool         // the share of males hangs on the parents
	barren    bool         // of some parents no young live
	logFry    []float64    // of fry, once it is needed
}

// link joins two loci of one chromosome.
type link struct {
	a, b int
	rate [2]float64 // in males, in females
}

// meiosis is the chance of each gamete of a genotype.
type meiosis []float64

// sexOf is the sex that two sex chromosomes make, Unsexed where there is no such
// fish.
func sexOf(sexes string, a, b byte) pedigree.Sex {
	two := string([]byte{min(a, b), max(a, b)})
	switch sexes + " " + two {
	case "XY XY", "ZW ZZ", "WXY XY", "WXY YY":
		return pedigree.Male
	case "XY XX", "ZW WZ", "WXY XX", "WXY WX", "WXY WY":
		return pedigree.Female
	}
	return pedigree.Unsexed
}

// chromosomeChance is how common a pair of sex chromosomes is among founders:
// half are of each sex, and of one sex each kind is as likely.
func chromosomeChance(sexes string, a, b byte) float64 {
	if sexes != "WXY" {
		return 0.5
	}
	if sexOf(sexes, a, b) == pedigree.Male {
		return 1. / 4
	}
	return 1. / 6
}

// build fills in gametes, genotypes, meiosis and crosses. It reports whether the
// system is small enough.
func (s *system) build(lethal func(g genotype) bool) bool {
	if !s.listGametes() {
		return false
	}
	s.pair = make([][]int, len(s.gametes))
	for a := range s.gametes {
		s.pair[a] = make([]int, len(s.gametes))
	}
	for a := range s.gametes {
		for b := a; b < len(s.gametes); b++ {
			s.pair[a][b], s.pair[b][a] = -1, -1
			g := genotype{a: a, b: b}
			if s.sexes != "" {
				g.sex = sexOf(s.sexes, s.gametes[a].chromosome, s.gametes[b].chromosome)
				if g.sex == pedigree.Unsexed {
					continue
				}
			}
			if lethal(g) {
				continue
			}
			s.pair[a][b], s.pair[b][a] = len(s.genotypes), len(s.genotypes)
			s.genotypes = append(s.genotypes, g)
			if len(s.genotypes) > maxGenotypes {
				return false
			}
		}
	}
	for i, sex := range [...]pedigree.Sex{pedigree.Male, pedigree.Female} {
		s.meiosis[i] = make([]meiosis, len(s.genotypes))
		for j, g := range s.genotypes {
			if g.sex == sex || g.sex == pedigree.Unsexed {
				s.meiosis[i][j] = s.divide(g, i)
			}
		}
	}
	s.cross()
	return true
}

// listGametes reports whether the gametes are few enough.
func (s *system) listGametes() bool {
	chromosomes := s.sexes
	if chromosomes == "" {
		chromosomes = "\x00"
	}
	for i := range len(chromosomes) {
		list := []gamete{{chromosome: chromosomes[i], chance: 1}}
		for _, l := range s.loci {
			var next []gamete
			for _, g := range list {
				for _, allele := range l.allelesOn(g.chromosome) {
					chance := g.chance
					if allele != absent && l.name != SexChromosomes {
						chance *= l.share[allele]
					}
					next = append(next, gamete{append(slices.Clone(g.alleles), allele), g.chromosome, chance})
				}
			}
			if list = next; len(list) > 2*maxGenotypes {
				return false
			}
		}
		s.gametes = append(s.gametes, list...)
	}
	return true
}

// allelesOn lists the alleles that the locus may have on a chromosome.
func (l *locus) allelesOn(chromosome byte) []int {
	switch {
	case l.name == SexChromosomes:
		return []int{slices.Index(l.alleles, string(chromosome))}
	case !l.carriedBy(chromosome):
		return []int{absent}
	}
	list := make([]int, len(l.alleles))
	for i := range list {
		list[i] = i
	}
	return list
}

func (l *locus) carriedBy(chromosome byte) bool {
	return l.on == "" || strings.IndexByte(l.on, chromosome) >= 0
}

// divide returns the gametes of a genotype. Loci of one chromosome hang together
// in a tree of the shortest stretches, over which crossing-over happens without
// interference.
func (s *system) divide(g genotype, parent int) meiosis {
	a, b := &s.gametes[g.a], &s.gametes[g.b]
	places := len(s.loci) + 1 // and the sex chromosome, last
	stretches := s.stretches(a.chromosome, b.chromosome, parent)
	trees := places - len(stretches)
	out := make(meiosis, len(s.gametes))
	for from := range uint(1) << places { // the places that come from b
		chance := math.Pow(0.5, float64(trees))
		for _, e := range stretches {
			if from>>e.a&1 == from>>e.b&1 {
				chance *= 1 - e.rate[parent]
			} else {
				chance *= e.rate[parent]
			}
		}
		if chance > 0 {
			out[s.recombine(a, b, from)] += chance
		}
	}
	return out
}

// recombine finds the gamete with each part from a, or from b where so told.
func (s *system) recombine(a, b *gamete, from uint) int {
	made := gamete{alleles: make([]int, len(s.loci)), chromosome: a.chromosome}
	if from>>len(s.loci)&1 == 1 {
		made.chromosome = b.chromosome
	}
	for i, l := range s.loci {
		made.alleles[i] = a.alleles[i]
		if from>>i&1 == 1 {
			made.alleles[i] = b.alleles[i]
		}
		if l.name == SexChromosomes {
			made.alleles[i] = l.allelesOn(made.chromosome)[0]
		}
	}
	return slices.IndexFunc(s.gametes, func(g gamete) bool {
		return g.chromosome == made.chromosome && slices.Equal(g.alleles, made.alleles)
	})
}

// stretches are the trees of shortest stretches (Kruskal 1956) of a fish with
// these two sex chromosomes. Where the two differ, a locus that only one of them
// carries never leaves it.
func (s *system) stretches(x, y byte, parent int) []link {
	sex := len(s.loci)
	var all []link
	both := func(i int) bool { l := s.loci[i]; return l.on == "" || l.carriedBy(x) && l.carriedBy(y) }
	for _, e := range s.links {
		if both(e.a) && both(e.b) {
			all = append(all, e)
		}
	}
	if x != y {
		for i, l := range s.loci {
			switch {
			case l.on == "":
			case both(i):
				all = append(all, link{i, sex, [2]float64{l.against, l.against}})
			default:
				all = append(all, link{i, sex, [2]float64{}})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b link) int { return cmp.Compare(a.rate[parent], b.rate[parent]) })
	tree := make([]int, sex+1)
	for i := range tree {
		tree[i] = i
	}
	var kept []link
	for _, e := range all {
		if from, to := tree[e.a], tree[e.b]; from != to {
			kept = append(kept, e)
			for i := range tree {
				if tree[i] == from {
					tree[i] = to
				}
			}
		}
	}
	return kept
}

// cross fills in the chance of each fry by the genotypes of sire and dam, and
// the share of zygotes that live.
func (s *system) cross() {
	n := len(s.genotypes)
	s.fry, s.alive = make([]float64, n*n*n), make([]float64, n*n)
	for i, sire := range s.meiosis[0] {
		for j, dam := range s.meiosis[1] {
			if sire == nil || dam == nil {
				continue
			}
			row := s.fry[(i*n+j)*n:][:n]
			sum := 0.0
			for a, x := range sire {
				if x == 0 {
					continue
				}
				for b, y := range dam {
					if g := s.pair[a][b]; g >= 0 && y > 0 {
						row[g] += x * y
						sum += x * y
					}
				}
			}
			s.alive[i*n+j] = sum
			s.barren = s.barren || sum == 0
			males := 0.0
			for g := range row {
				if sum > 0 {
					row[g] /= sum
				}
				if s.genotypes[g].sex == pedigree.Male {
					males += row[g]
				}
			}
			s.sexTells = s.sexTells || s.sexes != "" && sum > 0 && math.Abs(males-0.5) > 1e-9
		}
	}
}

// founder is the chance of each genotype in a founder of so much inbreeding.
func (s *system) founder(inbreeding float64) []float64 {
	out := make([]float64, len(s.genotypes))
	sum := 0.0
	for i, g := range s.genotypes {
		a, b := &s.gametes[g.a], &s.gametes[g.b]
		chance := a.chance * b.chance
		if a.chromosome == b.chromosome {
			if g.a != g.b {
				chance *= 2
			}
			chance *= 1 - inbreeding
			if g.a == g.b {
				chance += inbreeding * a.chance
			}
		}
		if s.sexes != "" {
			chance *= chromosomeChance(s.sexes, a.chromosome, b.chromosome)
		}
		out[i] = chance
		sum += chance
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// alleles returns what a genotype has at a locus of the system.
func (s *system) alleles(g genotype, locus int) (a, b int) {
	return s.gametes[g.a].alleles[locus], s.gametes[g.b].alleles[locus]
}

// matches reports whether a genotype fits a pattern over those loci.
func (s *system) matches(g genotype, loci []int, p pattern) bool {
	for i, part := range p {
		if a, b := s.alleles(g, loci[i]); !part.fits(a, b) {
			return false
		}
	}
	return true
}
