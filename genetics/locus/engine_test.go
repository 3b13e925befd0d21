package locus

import (
	"flag"
	"math"
	"testing"

	"roebook/pedigree"
)

var long = flag.Bool("long", false, "hold the engine against the enumerator on 8,000 random books")

// TestAgainstEnumeration: on random books with loops, lots, unknown parents, all
// kinds of inheritance, lethal genotypes and linkage, the odds of every genotype
// and of every parent are those of going through all that may have happened.
func TestAgainstEnumeration(t *testing.T) {
	books := 1000
	if *long {
		books = 8_000
	}
	impossible := 0
	for seed, done := uint64(0), 0; done < books; seed++ {
		m := randomBook(seed)
		want := m.w.enumerate(m.beings, m.matings)
		if want == nil {
			continue
		}
		done++
		if want.total == 0 {
			impossible++
		}
		compare(t, seed, m, want)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%d of %d books are impossible", impossible, books)
}

func compare(t *testing.T, seed uint64, m *maker, want *outcome) {
	t.Helper()
	var problems []pedigree.Problem
	found := make(map[string]map[string]map[string]float64)
	chances := make(map[*mating]*[2]map[string]float64)
	systems := define(m.book.Lines[0], &problems)
	in := newInference(newIndex(m.book), systems)
	var scopes [][]int
	for _, b := range in.parts {
		for _, being := range m.beings {
			if being.asked {
				scopes = append(scopes, []int{b.fishVar(m.book.StockByID(being.name))})
			}
		}
	}
	in.evidence()
	for _, c := range in.choices {
		scopes = append(scopes, []int{c.v})
	}
	s := in.net.solve(all, scopes, 0)
	if s.possible {
		at := 0
		for _, b := range in.parts {
			for _, being := range m.beings {
				if !being.asked {
					continue
				}
				if found[being.name] == nil {
					found[being.name] = make(map[string]map[string]float64)
				}
				for j, l := range b.sys.loci {
					sums := make(map[string]float64)
					for g, p := range s.shares[at] {
						x, y := b.sys.alleles(b.sys.genotypes[g], j)
						sums[l.nameOf(x, y)] += p
					}
					found[being.name][l.name] = sums
				}
				at++
			}
		}
		for i, c := range in.choices {
			for mate, spawn := range m.spawns {
				if spawn != c.spawn {
					continue
				}
				if chances[mate] == nil {
					chances[mate] = &[2]map[string]float64{}
				}
				odds := make(map[string]float64)
				for k, id := range c.ids {
					odds[id] += s.shares[at+i][k]
				}
				chances[mate][int(c.sex)-1] = odds
			}
		}
	}
	possible := s.possible
	for _, p := range problems {
		if p.Severity == pedigree.Error {
			t.Fatalf("seed %d: %s", seed, p)
		}
	}
	if possible != (want.total > 0) {
		t.Fatalf("seed %d: possible %v, but by enumeration it weighs %g", seed, possible, want.total)
	}
	if !possible {
		return
	}
	for name, loci := range want.fish {
		for locus, genotypes := range loci {
			for g, p := range genotypes {
				if got := found[name][locus][g]; math.Abs(got-p/want.total) > 1e-10 {
					t.Errorf("seed %d: %s is %s with %.12f, by enumeration %.12f", seed, name, g, got, p/want.total)
				}
			}
		}
	}
	for mate, sides := range chances {
		for side, odds := range sides {
			if odds == nil {
				continue
			}
			byLabel := make(map[string]float64)
			for i, p := range want.choices[mate][side] {
				byLabel[m.labels[mate][side][i]] += p / want.total
			}
			for id, p := range byLabel {
				if math.Abs(odds[id]-p) > 1e-10 {
					t.Errorf("seed %d: %s was a parent of %s with %.12f, by enumeration %.12f", seed, id, m.spawns[mate].ID, odds[id], p)
				}
			}
		}
	}
}
