package locus

import (
	"cmp"
	"math"
	"slices"

	"roebook/pedigree"
)

// Influence is how far one piece of evidence moved an answer: by that share of
// the odds, between 0 and 1.
type Influence struct {
	Item  Item
	Moved float64
}

// mostLeftOut is up to how many pieces of evidence, times variables, each is left
// out by itself.
const mostLeftOut = 200_000

// Moved returns the evidence that moved the odds of a record at a locus on a day, the
// strongest first: how far the odds are from those without it (half the sum of
// the differences). nil where the answer is not exact, is impossible, or where
// the evidence is too much to leave out piece by piece. O(evidence · one answer).
func (s *Study) Moved(stock *pedigree.Stock, name string, on pedigree.Date) []Influence {
	systems := s.systems[stock.Line]
	of := slices.IndexFunc(systems, func(sys *system) bool { return sys.locusNamed(name) >= 0 })
	if of < 0 {
		return nil
	}
	in := newInference(s.index, systems)
	a := in.parts[of].ask(stock, on)
	in.evidence()
	if len(in.items)*len(in.net.card) > mostLeftOut {
		return nil
	}
	var scopes [][]int
	for _, v := range a.vars {
		scopes = append(scopes, []int{v})
	}
	odds := func(without int) []Odds {
		sol := in.net.solve(func(item int) bool { return item != without }, scopes, exactOnly)
		if !sol.exact() {
			return nil
		}
		var out Answer
		systems[of].record(a, sol, 0, &out)
		return out.Odds[systems[of].locusNamed(name):]
	}
	whole := odds(len(in.items))
	if whole == nil {
		return nil
	}
	var list []Influence
	for i, item := range in.items {
		if item.Kind == SexTold {
			continue
		}
		less := odds(i)
		if less == nil {
			return nil
		}
		moved := 0.0
		for j, g := range whole[0].Genotypes {
			moved += math.Abs(g.Share-less[0].Genotypes[j].Share) / 2
		}
		if moved > 1e-6 {
			list = append(list, Influence{item, moved})
		}
	}
	slices.SortStableFunc(list, func(a, b Influence) int {
		return cmp.Or(cmp.Compare(b.Moved, a.Moved), cmp.Compare(a.Item.ID, b.Item.ID))
	})
	return list
}

// locusNamed is the place of a locus in the system, -1 where it has none.
func (sys *system) locusNamed(name string) int {
	return slices.IndexFunc(sys.loci, func(l *locus) bool { return l.name == name })
}

// Test is a fish that a test mating would tell most about.
type Test struct {
	ID      string
	Locus   string
	Allele  string
	Chance  float64 // that it carries the allele
	Settles float64 // how much doubt about all living fish of the line it would clear: 1 is one fish of even odds
}

// mostTests is up to how many fish are weighed for a test mating.
const mostTests = 60

// WorthTesting returns the living fish of a line that may carry a recessive
// allele unseen, by how much doubt about the whole line would be cleared if it
// were known of them: the sum over all living fish x of Cov(x, f)²/Var(f), times
// 4. A fish of a lot stands for all of it. O(such fish · one answer).
func (s *Study) WorthTesting(line string, on pedigree.Date) []Test {
	var out []Test
	for of, sys := range s.systems[line] {
		for i := range sys.loci {
			for _, allele := range sys.recessive(i) {
				out = append(out, s.worth(line, of, i, allele, on)...)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Test) int {
		return cmp.Or(cmp.Compare(b.Settles, a.Settles), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// recessive lists the alleles of a locus that a fish with one copy beside the
// wild type does not show, and one with two does.
func (sys *system) recessive(locus int) []int {
	i := slices.IndexFunc(sys.traits, func(t *trait) bool { return len(t.loci) == 1 && t.loci[0] == locus && len(t.shows) > 0 })
	if i < 0 {
		return nil
	}
	t := sys.traits[i]
	look := func(a, b int) int {
		for g := range sys.genotypes {
			x, y := sys.alleles(sys.genotypes[g], locus)
			if x == a && y == b || x == b && y == a {
				return slices.Index(t.shows[g], slices.Max(t.shows[g]))
			}
		}
		return -1
	}
	var list []int
	for a := 1; a < len(sys.loci[locus].alleles); a++ {
		if wild, one, two := look(0, 0), look(0, a), look(a, a); one >= 0 && one == wild && two != wild {
			list = append(list, a)
		}
	}
	return list
}

func (sys *system) copies(g, locus, allele int) int {
	a, b := sys.alleles(sys.genotypes[g], locus)
	n := 0
	if a == allele {
		n++
	}
	if b == allele {
		n++
	}
	return n
}

func (s *Study) worth(line string, of, locus, allele int, on pedigree.Date) []Test {
	in := newInference(s.index, s.systems[line])
	b, sys := in.parts[of], s.systems[line][of]
	var scopes [][]int
	var heads []float64
	var fish []*pedigree.Stock
	var vars []int
	for _, stock := range s.book.Stock {
		if n := s.book.Heads(stock, on).Total(); stock.Line == sys.line.Name && n > 0 {
			a := b.ask(stock, on)
			for i, v := range a.vars {
				scopes, heads = append(scopes, []int{v}), append(heads, n*a.parts[i])
			}
			if !stock.Lot && stock.SetAside(on) == "" {
				fish, vars = append(fish, stock), append(vars, a.vars[0])
			}
		}
	}
	in.evidence()
	first := len(in.items)
	for i, v := range vars {
		table := make([]float64, len(sys.genotypes))
		for g := range table {
			if sys.copies(g, locus, allele) == 0 {
				table[g] = never
			}
		}
		in.net.add(first+i, table, v)
	}
	carriers := func(sol *solution) []float64 {
		out := make([]float64, len(scopes))
		for i := range scopes {
			for g, p := range sol.shares[i] {
				if sys.copies(g, locus, allele) > 0 {
					out[i] += p
				}
			}
		}
		return out
	}
	now := in.net.solve(func(item int) bool { return item < first }, scopes, exactOnly)
	if !now.exact() {
		return nil
	}
	before := carriers(now)
	place := make(map[int]int)
	for i, scope := range scopes {
		place[scope[0]] = i
	}
	var out []Test
	for i, stock := range fish {
		p := before[place[vars[i]]]
		if p < 0.02 || p > 0.98 || len(out) == mostTests {
			continue
		}
		known := in.net.solve(func(item int) bool { return item < first || item == first+i }, scopes, exactOnly)
		if !known.exact() {
			continue
		}
		t := Test{ID: stock.ID, Locus: sys.loci[locus].name, Allele: sys.loci[locus].alleles[allele], Chance: p}
		for j, q := range carriers(known) {
			t.Settles += 4 * heads[j] * p * (q - before[j]) * (q - before[j]) / (1 - p)
		}
		out = append(out, t)
	}
	return out
}
