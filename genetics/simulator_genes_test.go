package genetics_test

import (
	"math"

	"roebook/pedigree"
)

// founderGenes gives the founders their alleles, locus by locus.
//
// One fish: with chance F its two alleles are the same, else distinct.
//
// A lot whose members have kinship p: with chance t = p/((1+F)/2) all members
// have one genotype at the locus (identical with chance F), else nothing in
// common. Two members' random alleles are then the same with chance
// t·(1+F)/2 = p, and any p up to its bound (1+F)/2 can be had.
//
// Related founders with kinship κ between records: with chance s an event
// happens at the locus, for each group of relations apart from the others. In
// it each fish of the group carries the group's allele with chance
// c/((1+F)/2), c the least (1+F)/2 of the group: on one chromosome, or on both
// with chance F. A random allele of the fish is then the group's with chance c,
// and two fish share it with chance s·c² = κ. Members of one lot have κ from
// this, and p − κ from genotypes in common at loci without an event.
type founderGenes struct {
	groups []founderGroup
	of     map[string][]int // groups of a record
	event  []int            // at each locus of this replicate: the group, or -1
	allele []int32          // of that group there
	total  float64
}

type founderGroup struct{ kinship, share, chance float64 }

func newFounderGenes(book *pedigree.Book) founderGenes {
	g := founderGenes{of: map[string][]int{}}
	for _, line := range book.Lines {
		for _, rel := range line.RelatedFounders {
			group := founderGroup{kinship: rel.Kinship, share: 1}
			for _, id := range rel.Of {
				group.share = min(group.share, (1+founderInbreeding(book.StockByID(id)))/2)
				g.of[id] = append(g.of[id], len(g.groups))
			}
			group.chance = rel.Kinship / (group.share * group.share)
			g.total += group.chance
			g.groups = append(g.groups, group)
		}
	}
	return g
}

// possible reports whether the scheme can give the kinship asked for.
func (g founderGenes) possible(book *pedigree.Book) bool {
	for _, s := range book.Stock {
		if isFounder(s) && s.Lot && g.common(s) > 1 {
			return false
		}
	}
	return g.total <= 1
}

func founderInbreeding(s *pedigree.Stock) float64 {
	if s.Bought != nil {
		return s.Bought.Inbreeding
	}
	return 0
}

// founderKinship is that between two members of a founder lot.
func founderKinship(s *pedigree.Stock) float64 {
	switch {
	case s.Wild != nil:
		return s.Wild.Related
	case s.Bought.RelatedStated:
		return s.Bought.Related
	case s.Bought.Inbreeding == 1:
		return 1
	}
	return 0.25
}

// common returns the chance that a lot's members have one genotype, at a locus
// without an event of the lot's groups; below 0 or above 1 where impossible.
func (g founderGenes) common(s *pedigree.Stock) float64 {
	rest, events := founderKinship(s), 0.0
	for _, i := range g.of[s.ID] {
		rest -= g.groups[i].kinship
		events += g.groups[i].chance
	}
	if rest < -1e-12 {
		return math.Inf(1)
	}
	if rest < 1e-12 {
		return 0
	}
	return rest / ((1 + founderInbreeding(s)) / 2) / (1 - events)
}

// draw decides for every locus which group's event happens there.
func (g *founderGenes) draw(r *replicate) {
	g.event, g.allele = make([]int, r.loci), make([]int32, r.loci)
	for l := range r.loci {
		g.event[l] = -1
		x := r.rng.Float64()
		for i, group := range g.groups {
			if x -= group.chance; x < 0 {
				g.event[l], g.allele[l] = i, r.newAllele(l)
				break
			}
		}
	}
}

// fish makes the fish of a founder record.
func (g *founderGenes) fish(r *replicate, s *pedigree.Stock) []int32 {
	n, together := 1, 0.0
	if s.Lot {
		n, together = s.Count.Total(), g.common(s)
	}
	all := make([]int32, n)
	for i := range all {
		all[i] = r.newFish()
	}
	f := founderInbreeding(s)
	for l := range r.loci {
		shared := false
		for _, i := range g.of[s.ID] {
			shared = shared || g.event[l] == i
		}
		oneGenotype := !shared && r.rng.Float64() < together
		for i, fish := range all {
			at := r.at(fish, l)
			if oneGenotype && i > 0 {
				first := r.at(all[0], l)
				r.genes[at], r.genes[at+1] = r.genes[first], r.genes[first+1]
				continue
			}
			var a int32
			if shared && r.rng.Float64() < g.groups[g.event[l]].share/((1+f)/2) {
				a = g.allele[l]
			} else {
				a = r.newAllele(l)
			}
			b := a
			if r.rng.Float64() >= f {
				b = r.newAllele(l)
			}
			r.genes[at], r.genes[at+1] = a, b
		}
	}
	return all
}

// count adds one replicate: at each locus the copies of every allele in every
// record, from which all chances of identity follow by counting.
func (s *simulation) count(r *replicate, members map[string][]int32) {
	n := len(s.ids)
	kinship := make([]float64, n*n)
	inbred := make([]float64, n)
	loci := float64(r.loci)
	for l := range r.loci {
		alleles := int(r.next[l])
		copies := make([]float64, n*alleles)
		for i, id := range s.ids {
			row := copies[i*alleles : (i+1)*alleles]
			var self float64 // copies of each fish, squared
			for _, fish := range members[id] {
				a, b := r.genes[r.at(fish, l)], r.genes[r.at(fish, l)+1]
				row[a]++
				row[b]++
				self += 2
				if a == b {
					self += 2
					inbred[i] += 1 / loci / float64(len(members[id]))
				}
			}
			count := float64(len(members[id]))
			for j := 0; j <= i; j++ {
				other := copies[j*alleles : (j+1)*alleles]
				var same float64
				for a, x := range row {
					same += x * other[a]
				}
				switch pairs := count * float64(len(members[s.ids[j]])); {
				case i != j:
					kinship[i*n+j] += same / (4 * pairs * loci)
				case r.lots[id] != nil:
					kinship[i*n+j] += (same - self) / (4 * count * (count - 1) * loci)
				default:
					kinship[i*n+j] += same / (4 * loci)
				}
			}
		}
	}
	for i, id := range s.ids {
		s.number[i] = len(members[id])
		s.inbred[i].add(inbred[i])
		for j := 0; j <= i; j++ {
			s.kinship[i][j].add(kinship[i*n+j])
		}
	}
	for id := range r.sires {
		e := s.fry[id]
		e.add(r.fryInbreeding(id))
		s.fry[id] = e
	}
}

// fryInbreeding is the chance that the two alleles of a fry are the same: the
// share of identical alleles over all pairs of its possible parents.
func (r *replicate) fryInbreeding(spawn string) float64 {
	sires, dams := r.sires[spawn], r.dams[spawn]
	var sum float64
	for i, sire := range sires.fish {
		for j, dam := range dams.fish {
			same := 0
			for l := range r.loci {
				a, b := r.at(sire, l), r.at(dam, l)
				for x := range 2 {
					for y := range 2 {
						if r.genes[a+x] == r.genes[b+y] {
							same++
						}
					}
				}
			}
			sum += sires.weight[i] * dams.weight[j] * float64(same) / float64(4*r.loci)
		}
	}
	return sum
}
