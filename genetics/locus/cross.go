package locus

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// Cross is what is to be expected of the fry of two fish at one locus, or by one
// phenotype that reads several.
type Cross struct {
	Locus      string
	Genotypes  []genetics.Share // among fry that live
	Phenotypes []genetics.Share // the same; in the order the locus lists them
	BySex      []SexShare       // where the loci hang on sex: males, females
	Lost       float64          // the share of zygotes that die of it
	Sampling
	Error float64

	// Of a recorded spawn with counts:
	Seen     []genetics.Share // numbers, by phenotype
	Expected []genetics.Share // numbers, given all that is known of the parents
	Test     FitTest
	Counted  bool
}

// SexShare is the fry of one sex: their share of all, and what they are.
type SexShare struct {
	Sex        pedigree.Sex
	Share      float64
	Genotypes  []genetics.Share
	Phenotypes []genetics.Share
}

// ErrNoLoci is returned where the lines of the fish declare no loci.
var ErrNoLoci = errors.New("the line declares no loci")

// Contradiction is returned where records contradict each other at a locus.
type Contradiction struct{ Loci []string }

func (e *Contradiction) Error() string {
	return fmt.Sprintf("the records of %s cannot all be true", listText(e.Loci))
}

// Pair returns what to expect of the fry of two records on a day, by locus. A lot
// stands for any one of its fish of that sex. The genotypes of the two are weighed
// together: what one is tells of the other where they are kin.
func (s *Study) Pair(sire, dam *pedigree.Stock, on pedigree.Date) ([]Cross, error) {
	return s.crosses([]string{sire.Line, dam.Line}, func(b *builder) *family {
		f := &family{}
		for i, parent := range [...]*pedigree.Stock{sire, dam} {
			sex := [...]pedigree.Sex{pedigree.Male, pedigree.Female}[i]
			f.sides[i] = side{[]int{b.parent(&pedigree.Spawn{}, sex, 0, b.candidatesOf(parent, sex, on, 1))}, []float64{1}}
		}
		return f
	}, nil)
}

// Spawn returns the same for a spawn, planned or not, with the counts seen beside
// those to be expected given all that is known of its parents.
func (s *Study) Spawn(spawn *pedigree.Spawn) ([]Cross, error) {
	return s.crosses([]string{spawn.Line}, func(b *builder) *family { return b.familyOf(spawn) }, spawn)
}

func (s *Study) crosses(lines []string, parents func(b *builder) *family, spawn *pedigree.Spawn) ([]Cross, error) {
	var systems []*system
	for _, line := range lines {
		for _, sys := range s.systems[line] {
			if !slices.ContainsFunc(systems, func(other *system) bool { return other.traitNamed(sys.loci[0].name) != nil }) {
				systems = append(systems, sys)
			}
		}
	}
	if len(systems) == 0 {
		return nil, ErrNoLoci
	}
	var out []Cross
	var impossible []string
	s.eachPossible(systems, func(systems []*system) bool {
		in := newInference(s.index, systems)
		var families []*family
		var scopes [][]int
		for _, b := range in.parts {
			f := parents(b)
			families, scopes = append(families, f), append(scopes, slices.Concat(f.sides[0].vars, f.sides[1].vars))
		}
		in.evidence()
		sol := in.net.solve(all, scopes, 1)
		if !sol.possible {
			return false
		}
		for i, sys := range systems {
			out = append(out, sys.crossed(families[i], sol, i, spawn, s.book)...)
		}
		return true
	}, func(sys *system) {
		for _, l := range sys.loci {
			impossible = append(impossible, l.name)
		}
	})
	slices.SortStableFunc(out, func(a, b Cross) int { return cmp.Compare(a.Locus, b.Locus) })
	if len(impossible) > 0 {
		return out, &Contradiction{impossible}
	}
	return out, nil
}

// parentage is one combination of the parents' genotypes with its chance, and
// what their fry are.
type parentage struct {
	chance float64
	fry    []float64
	alive  float64
}

// parentages lists the combinations of parents' genotypes that are possible.
func (sys *system) parentages(f *family, joint []float64) []parentage {
	n := len(sys.genotypes)
	sires, dams := f.sides[0], f.sides[1]
	genotype := make([]int, len(sires.vars)+len(dams.vars))
	var list []parentage
	for at, chance := range joint {
		if chance <= 0 {
			continue
		}
		for i, rest := len(genotype)-1, at; i >= 0; i-- {
			genotype[i] = rest % n
			rest /= n
		}
		p := parentage{chance: chance, fry: make([]float64, n)}
		for i, x := range sires.weights {
			for j, y := range dams.weights {
				both := genotype[i]*n + genotype[len(sires.vars)+j]
				p.alive += x * y * sys.alive[both]
				for g, share := range sys.fry[both*n:][:n] {
					p.fry[g] += x * y * share
				}
			}
		}
		list = append(list, p)
	}
	return list
}

// crossed puts together what the fry are, for every locus and trait.
func (sys *system) crossed(f *family, sol *solution, scope int, spawn *pedigree.Spawn, book *pedigree.Book) []Cross {
	parents := sys.parentages(f, sol.shares[scope])
	fry := make([]float64, len(sys.genotypes))
	lost := 0.0
	for _, p := range parents {
		lost += p.chance * (1 - p.alive)
		for g, share := range p.fry {
			fry[g] += p.chance * share
		}
	}
	if lost < 1e-12 {
		lost = 0
	}
	var out []Cross
	for _, t := range sys.traits {
		c := Cross{Locus: t.name, Lost: lost, Sampling: sol.sampled(scope), Error: sol.errorOf(scope)}
		c.Genotypes, c.Phenotypes = sys.genotypeShares(t, fry), t.looksOf(fry)
		for _, sex := range [...]pedigree.Sex{pedigree.Male, pedigree.Female} {
			if sys.sexes == "" {
				break
			}
			of := SexShare{Sex: sex}
			part := make([]float64, len(fry))
			for g, share := range fry {
				if sys.genotypes[g].sex == sex {
					part[g] = share
					of.Share += share
				}
			}
			for g := range part {
				if of.Share > 0 {
					part[g] /= of.Share
				}
			}
			of.Genotypes, of.Phenotypes = sys.genotypeShares(t, part), t.looksOf(part)
			c.BySex = append(c.BySex, of)
		}
		if spawn != nil {
			for _, seen := range sys.seen(book, spawn) {
				if seen.trait == t {
					c.held(seen.counts, t, parents)
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// genotypeShares sums the shares of genotypes by what they are at the loci of a
// trait, those there are.
func (sys *system) genotypeShares(t *trait, chance []float64) []genetics.Share {
	if len(t.loci) == 1 {
		list := sys.odds(nil, t.loci[0], chance).Genotypes
		return slices.DeleteFunc(list, func(s genetics.Share) bool { return s.Share == 0 })
	}
	var list []genetics.Share
	for g, share := range chance {
		if share == 0 {
			continue
		}
		name := sys.nameAt(sys.genotypes[g], t)
		if i := slices.IndexFunc(list, func(s genetics.Share) bool { return s.ID == name }); i >= 0 {
			list[i].Share += share
		} else {
			list = append(list, genetics.Share{ID: name, Share: share})
		}
	}
	return list
}

// looksOf is the share of each phenotype among fish of such genotypes.
func (t *trait) looksOf(chance []float64) []genetics.Share {
	list := make([]genetics.Share, len(t.phenotypes))
	for i, name := range t.phenotypes {
		list[i].ID = name
		for g, row := range t.shows {
			list[i].Share += chance[g] * row[i]
		}
	}
	return list
}

// held holds counts against what each possible pair of parents leads one to
// expect, weighted with their odds given all records, these counts included.
func (c *Cross) held(counts []float64, t *trait, parents []parentage) {
	c.Counted = true
	n := 0.0
	for _, x := range counts {
		n += x
	}
	for i, name := range t.phenotypes {
		c.Seen = append(c.Seen, genetics.Share{ID: name, Share: counts[i]})
		c.Expected = append(c.Expected, genetics.Share{ID: name, Share: n * c.Phenotypes[i].Share})
	}
	c.Test = fit(counts, t, parents)
}

// fit tests counts against the ratio of each pair of parents, and weighs the
// answers.
func fit(counts []float64, t *trait, parents []parentage) FitTest {
	type ratio struct {
		shares []float64
		chance float64
	}
	var ratios []ratio
	for _, p := range parents {
		shares := make([]float64, len(t.phenotypes))
		for i, s := range t.looksOf(p.fry) {
			shares[i] = s.Share
		}
		i := slices.IndexFunc(ratios, func(r ratio) bool {
			return slices.EqualFunc(r.shares, shares, func(a, b float64) bool { return a-b < 1e-12 && b-a < 1e-12 })
		})
		if i < 0 {
			i = len(ratios)
			ratios = append(ratios, ratio{shares: shares})
		}
		ratios[i].chance += p.chance
	}
	var whole FitTest
	most := 0.0
	p, exact := 0.0, true
	for _, r := range ratios {
		if r.chance < 1e-9 {
			continue
		}
		one := TestRatio(counts, r.shares)
		p += r.chance * one.P
		exact = exact && one.Exact
		if r.chance > most {
			most, whole = r.chance, one
		}
	}
	whole.P, whole.Exact = min(p, 1), exact
	return whole
}
