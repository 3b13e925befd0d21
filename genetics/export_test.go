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
	g := s.ancestry()
	var living []Link
	for i := range g.fish { // what is left of q when the offspring's halves are taken away
		own := g.q[i]
		for k := range g.parent {
			if int(g.parent[k]) == i {
				own -= g.weight[k] * g.q[childOf(g.start, k)]
			}
		}
		if own > 1e-9 {
			living = append(living, Link{i, own})
		}
	}
	fast, _ = (&ancestry{start: g.start, parent: g.parent, weight: g.weight, fish: g.fish, inner: g.inner}).
		effective(context.Background(), slices.Clone(g.q), float64(s.all.heads), nil)
	return fast, g.effectivePlainly(living, float64(s.all.heads))
}

func childOf(start []int32, link int) int {
	child, _ := slices.BinarySearch(start, int32(link)+1)
	return child - 1
}
