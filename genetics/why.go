package genetics

import (
	"cmp"
	"math"
	"slices"

	"roebook/pedigree"
)

// Through is the part of a kinship that came through one ancestor.
type Through struct {
	ID      string       // of a stock record; of a spawn, for its unknown parents
	Sex     pedigree.Sex // of the unknown parents of a spawn, else Unsexed
	Related bool         // what founders share by the keeper's word; ID is ""
	Kinship float64
}

// Why splits the kinship of two records exactly by the ancestor it came
// through,
//
//	k(x, y) = Σ_j ½·T_xj·T_yj·D_j ,
//
// greatest part first; the parts of one record are summed. A negative part is
// that of a lot whose two fish are never the same fish. With itself a lot or a
// spawn stands for two distinct fish of it. nil where [State.Kinship] has no
// answer. O(nodes + links).
func (s *State) Why(a, b string) []Through {
	if _, ok := s.Kinship(a, b); !ok {
		return nil
	}
	parts := make([]float64, s.m.nodes.size())
	if lot := s.m.lotOf(a); lot != nil && a == b {
		males, females := s.heads(lot)
		pairs := s.pairsWithin(lot, males, females)
		whole := pairs[0].weight + pairs[1].weight + pairs[2].weight
		for _, pair := range pairs {
			x, y := s.m.nodes.up([]Link{{pair.a, 1}}), s.m.nodes.up([]Link{{pair.b, 1}})
			s.addParts(parts, x, y, pair.weight/whole)
		}
	} else {
		x, _ := s.Vector(a)
		y, _ := s.Vector(b)
		s.addParts(parts, s.m.nodes.up(x), s.m.nodes.up(y), 1)
	}
	return s.byRecord(parts)
}

// WhyInbred splits the inbreeding of a spawn's fry in the same way: the kinship of
// its two parents, whoever they were. nil for a spawn that is unknown or only
// planned. O(nodes + links).
func (s *State) WhyInbred(spawn string) []Through {
	f, ok := s.m.familyOf(spawn)
	if !ok {
		return nil
	}
	parts := make([]float64, s.m.nodes.size())
	s.addParts(parts, s.m.nodes.up([]Link{{f.sides[0], 1}}), s.m.nodes.up([]Link{{f.sides[1], 1}}), 1)
	return s.byRecord(parts)
}

func (s *State) addParts(parts, x, y []float64, weight float64) {
	for j := range parts {
		parts[j] += weight * x[j] * y[j] * s.m.nodes.own[j] / 2
	}
}

func (s *State) byRecord(parts []float64) []Through {
	sums := make(map[Through]float64)
	for j, part := range parts {
		if part == 0 {
			continue
		}
		owner := s.m.nodes.owner[j]
		switch {
		case owner.Stock != nil:
			sums[Through{ID: owner.Stock.ID}] += part
		case owner.Spawn != nil:
			sums[Through{ID: owner.Spawn.ID, Sex: owner.Sex}] += part
		default:
			sums[Through{Related: true}] += part
		}
	}
	var list []Through
	for through, sum := range sums {
		if math.Abs(sum) > 1e-15 {
			through.Kinship = sum
			list = append(list, through)
		}
	}
	slices.SortFunc(list, func(a, b Through) int {
		return cmp.Or(cmp.Compare(b.Kinship, a.Kinship), cmp.Compare(a.ID, b.ID), cmp.Compare(a.Sex, b.Sex))
	})
	return list
}
