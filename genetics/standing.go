package genetics

import (
	"slices"
	"strings"
)

// Standing is how a line stands, in the figures that are followed over time.
type Standing struct {
	Diversity
	FounderGenomeEquivalents float64 // 1/(2·mean kinship) (Lacy 1989)
	FounderShare             []Share // greatest first
}

// Standing returns the standing of the living fish of a line ("" for the whole
// book), which [State.Line] gives too, with more. ok is false where none are
// living. O(nodes + links).
func (s *State) Standing(line string) (r Standing, ok bool) {
	living := s.Living(line)
	if living.Heads == 0 {
		return r, false
	}
	y := s.m.nodes.up(living.mean)
	r.Diversity = s.diversity(line, living, y)
	r.FounderShare = s.founders(y).shares()
	r.FounderGenomeEquivalents = 1 / (2 * r.MeanKinship)
	return r, true
}

// Carried is a founder record with the living records that hold genes of it, as
// far as descent tells.
type Carried struct {
	Founder string
	By      []Member // by id
	Heads   float64  // of them all
}

// Carried lists the founders of the living fish of a line, by id, each with the
// fish that hold genes of it. O(living records · (nodes + links)).
func (s *State) Carried(line string) []Carried {
	at := map[string]int{}
	var list []Carried
	for _, member := range s.Living(line).Records {
		for _, share := range s.Founders(member.Stock.ID) {
			if share.Share <= 1e-12 {
				continue
			}
			i, ok := at[share.ID]
			if !ok {
				i = len(list)
				at[share.ID] = i
				list = append(list, Carried{Founder: share.ID})
			}
			list[i].By = append(list[i].By, member)
			list[i].Heads += member.Heads
		}
	}
	slices.SortFunc(list, func(a, b Carried) int { return strings.Compare(a.Founder, b.Founder) })
	return list
}

// Weighed is fish of one record, as it stood on the date of some state of the
// model, with their number.
type Weighed struct {
	Vector []Link // see [State.Vector]
	Heads  float64
}

// MeanKinship returns the mean kinship of a set of fish, over all ordered pairs,
// each with itself included. ok is false for a set without fish. O(nodes +
// links).
func (m *Model) MeanKinship(set []Weighed) (mean float64, ok bool) {
	heads := 0.0
	for _, w := range set {
		heads += w.Heads
	}
	if heads <= 0 {
		return 0, false
	}
	var all []Link
	for _, w := range set {
		for _, link := range w.Vector {
			all = append(all, Link{link.Node, link.Weight * w.Heads / heads})
		}
	}
	return m.nodes.quadratic(m.nodes.up(all)) / 2, true
}
