package genetics

import (
	"context"
	"slices"
)

// EffectiveAncestorsBothWays returns the effective number of ancestors of a
// line as the program finds it, and by the plain method that works everything
// out anew before each choice.
func (s *State) EffectiveAncestorsBothWays(line string) (fast, plain float64) {
	living := s.Living(line)
	g := &ancestry{start: s.m.nodes.start, parent: s.m.nodes.parent, weight: s.m.nodes.weight}
	for _, owner := range s.m.nodes.owner {
		g.fish = append(g.fish, owner.Fish)
	}
	return s.m.effectiveAncestors(living.mean), g.effectivePlainly(living.mean, 1)
}

// EffectiveAncestorsBothWays does the same for the living of a table.
func (s *TableState) EffectiveAncestorsBothWays() (fast, plain float64) {
	g, q := s.ancestry()
	all := &ancestry{start: slices.Clone(g.start), parent: slices.Clone(g.parent), weight: slices.Clone(g.weight), fish: slices.Clone(g.fish)}
	through := slices.Clone(q)
	for _, parents := range g.childless {
		all.add(1, parents[:]...)
		through = append(through, 1)
	}
	var living []Link
	for i := range all.fish { // what is left of q when the offspring's halves are taken away
		own := through[i]
		for k := range all.parent {
			if int(all.parent[k]) == i {
				own -= all.weight[k] * through[childOf(all.start, k)]
			}
		}
		if own > 1e-9 {
			living = append(living, Link{i, own})
		}
	}
	fast, _ = g.effective(context.Background(), q, float64(s.all.heads), nil)
	return fast, all.effectivePlainly(living, float64(s.all.heads))
}

func childOf(start []int32, link int) int {
	child, _ := slices.BinarySearch(start, int32(link)+1)
	return child - 1
}
