package locus

import (
	"fmt"

	"roebook/pedigree"
)

// Look is a phenotype of a locus; with no Phenotype, to die of it.
type Look struct{ Locus, Phenotype string }

// Looks returns the phenotypes of a line by locus, and of loci with lethal
// genotypes one with an empty Phenotype.
func (s *Study) Looks(line string) []Look {
	var out []Look
	for _, sys := range s.systems[line] {
		for _, t := range sys.traits {
			for _, name := range t.phenotypes {
				out = append(out, Look{t.name, name})
			}
			if len(t.record.Lethal) > 0 {
				out = append(out, Look{Locus: t.name})
			}
		}
	}
	return out
}

// Risks returns, for every pair of a sire and a dam of a line on a day, the share
// of their young that would show each look; of lethal genotypes, the share of
// zygotes that die. What one of the two has is weighed with what the other has.
// Pairs of lines whose records contradict each other are left out.
// O(sires · genotypes · one answer).
func (s *Study) Risks(line string, sires, dams []string, looks []Look, on pedigree.Date) map[[2]string][]float64 {
	out := make(map[[2]string][]float64)
	for at, look := range looks {
		for of, sys := range s.systems[line] {
			if t := sys.traitNamed(look.Locus); t != nil {
				s.risk(line, of, sys.riskOf(t, look.Phenotype), sires, dams, on, func(sire, dam string, risk float64) {
					key := [2]string{sire, dam}
					if out[key] == nil {
						out[key] = make([]float64, len(looks))
					}
					out[key][at] = risk
				})
			}
		}
	}
	return out
}

// riskOf is the share of young that show a phenotype, by the genotypes of sire
// and dam.
func (sys *system) riskOf(t *trait, phenotype string) []float64 {
	n := len(sys.genotypes)
	out := make([]float64, n*n)
	for both := range out {
		if phenotype == "" {
			out[both] = 1 - sys.alive[both]
			continue
		}
		for i, name := range t.phenotypes {
			for g, p := range sys.fry[both*n:][:n] {
				if name == phenotype {
					out[both] += p * t.shows[g][i]
				}
			}
		}
	}
	return out
}

func (s *Study) risk(line string, of int, risk []float64, sires, dams []string, on pedigree.Date, tell func(sire, dam string, risk float64)) {
	in := newInference(s.index, s.systems[line])
	b := in.parts[of]
	n := len(b.sys.genotypes)
	vars := func(ids []string, sex pedigree.Sex) (list []int, scopes [][]int) {
		for _, id := range ids {
			v := b.parent(&pedigree.Spawn{ID: fmt.Sprintf("young of %s", id)}, sex, 0, b.candidatesOf(s.book.StockByID(id), sex, on, 1))
			list, scopes = append(list, v), append(scopes, []int{v})
		}
		return list, scopes
	}
	sireVars, sireScopes := vars(sires, pedigree.Male)
	_, damScopes := vars(dams, pedigree.Female)
	in.evidence()
	first := len(in.items)
	for i, v := range sireVars {
		for g := range n {
			table := make([]float64, n)
			for other := range table {
				if other != g {
					table[other] = never
				}
			}
			in.net.add(first+i*n+g, table, v)
		}
	}
	now := in.net.solve(func(item int) bool { return item < first }, append(sireScopes, damScopes...), 1)
	if !now.possible {
		return
	}
	for i, sire := range sires {
		sums := make([]float64, len(dams))
		for g, p := range now.shares[i] {
			if p == 0 {
				continue
			}
			given := now.shares[len(sires):]
			if p < 1 && !now.sampling.Sampled { // sampled odds are taken as apart from each other
				sol := in.net.solve(func(item int) bool { return item < first || item == first+i*n+g }, damScopes, 1)
				if !sol.possible {
					continue
				}
				given = sol.shares
			}
			for j := range dams {
				for h, q := range given[j] {
					sums[j] += p * q * risk[g*n+h]
				}
			}
		}
		for j, dam := range dams {
			tell(sire, dam, sums[j])
		}
	}
}
