package genetics

import (
	"fmt"

	"roebook/pedigree"
)

// compileSpawn adds the two sides of a spawn and the mean of its fry:
//
//	A_ii of a fry = 1 + ½·Cov(sire side, dam side)
func (m *Model) compileSpawn(n int) error {
	s := m.book.Spawns[n]
	if s.IsPlanned() {
		return nil
	}
	var f family
	if first := m.book.FirstOf(s); first == nil {
		return fmt.Errorf("repeats %q, which leads to no first spawn", s.Repeat)
	} else if first != s {
		same, ok := m.familyOf(first.ID)
		if !ok {
			return fmt.Errorf("repeats spawn %q, which is only planned", first.ID)
		}
		f.sides, f.diag = same.sides, same.diag
	} else {
		f.sides = [2]int{m.addSide(s, pedigree.Male), m.addSide(s, pedigree.Female)}
		f.diag = m.known(f.sides) + m.walk.covariance([]Link{{f.sides[0], 1}}, []Link{{f.sides[1], 1}})/2
	}
	variance := (m.nodes.variance[f.sides[0]]+m.nodes.variance[f.sides[1]])/4 + (f.diag - m.known(f.sides))
	f.node = m.nodes.add(Owner{Kind: Family, Spawn: s}, 0, variance, Link{f.sides[0], 0.5}, Link{f.sides[1], 0.5})
	m.families[n] = f
	return nil
}

// addSide adds one side of a spawn: the mean of its k parents out of M fish,
//
//	D = v·(1/k)·(M−k)/(M−1) ,   v = Σ w·diag − Var(Σ w·u)
//
// with w the candidates' shares: parents drawn without replacement. It is v for
// one parent and 0 where all of them bred. A single known fish is its own side.
func (m *Model) addSide(s *pedigree.Spawn, sex pedigree.Sex) int {
	contributors := m.book.Contributors(s, sex)
	parents := s.ParentsOf(sex)
	if len(contributors) == 0 {
		k := parents.Number(1)
		return m.nodes.add(Owner{Unknown, nil, s, sex, k}, m.founding(1/k), m.founding(1/k))
	}
	links := make([]Link, len(contributors))
	fish, diag := 0.0, 0.0
	for i, c := range contributors {
		node, each := m.bredAs(s, c, sex)
		links[i] = Link{node, c.Share}
		fish += c.Fish
		diag += c.Share * each
	}
	if len(contributors) == 1 && !contributors[0].Stock.Lot && contributors[0].Fish == 1 {
		return links[0].Node
	}
	variance := m.walk.variance(links)
	within, k, own := diag-variance, parents.Number(fish), 0.0
	switch {
	case parents.All:
	case k == 1 || s.SideOf(sex).Odds:
		// One parent has the variance of one fish, whatever it was drawn from: also
		// where fish never sexed leave less than one of that sex.
		own = within
	case k < fish:
		own = within / k * (fish - k) / (fish - 1)
	}
	own = min(own, within) // no mean of parents varies more than one: of part of a fish one bred
	return m.nodes.add(Owner{Parent, nil, s, sex, min(k, fish)}, own, variance+own, links...)
}

// bredAs returns the node that stands for the record as a parent of that sex on
// the spawn's date (or planned day), and the A_ii of one such fish.
func (m *Model) bredAs(s *pedigree.Spawn, c pedigree.Contributor, sex pedigree.Sex) (node int, diag float64) {
	i := int(sex - pedigree.Male)
	if lot := m.lots[c.Number]; lot != nil {
		pool := lot.pools[lot.history.Index(s.When())][i]
		return pool, m.meanDiag(pool, lot.side[i].diag)
	}
	f := m.fish[c.Number]
	if len(s.Group) > 0 && c.Stock.Sex == pedigree.Unsexed && f.halves[i] >= 0 {
		return f.halves[i], f.diag
	}
	return f.node, f.diag
}

// Expected returns the inbreeding to expect of a spawn's fry: of one recorded
// that of [State.Inbreeding], of one only planned that of its possible parents
// on the planned day. ok is false where one of the sides has no fish.
func (s *State) Expected(spawn *pedigree.Spawn) (inbreeding float64, ok bool) {
	first := s.m.book.FirstOf(spawn)
	if first == nil {
		return 0, false
	}
	if !first.IsPlanned() {
		return s.Inbreeding(first.ID)
	}
	var sides [2][]Link
	for i, sex := range sexes {
		contributors := s.m.book.Contributors(first, sex)
		if len(contributors) == 0 && len(first.SideOf(sex).Candidates)+len(first.Group) > 0 {
			return 0, false
		}
		for _, c := range contributors {
			node, _ := s.m.bredAs(first, c, sex)
			sides[i] = append(sides[i], Link{node, c.Share})
		}
	}
	return s.m.walk.covariance(sides[0], sides[1]) / 2, true
}
