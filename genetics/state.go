package genetics

import "roebook/pedigree"

// State is a model as it stands on a date: who is living, and which fish are
// still in their lots. It is not safe for use by several goroutines at once.
type State struct {
	m  *Model
	on pedigree.Date
}

// On returns the state of the book on a date, as seen by a keeper that evening.
func (m *Model) On(date pedigree.Date) *State { return &State{m, date} }

// Date returns the date of the state.
func (s *State) Date() pedigree.Date { return s.on }

// Model returns the model behind the state.
func (s *State) Model() *Model { return s.m }

// heads returns the males and females of a lot on the date, fish never sexed
// counting half to each; none before it begins.
func (s *State) heads(lot *lotNodes) (males, females float64) {
	if s.on.Known() && s.m.book.Begins(lot.history.Lot) > s.on {
		return 0, 0
	}
	at := lot.history.At(s.on)
	return at.Males, at.Females
}

// Vector returns what a record stands for as a weighted sum of nodes: a fish;
// one fish of a lot, any of those in it on the date; one fry of a spawn, up to
// its own Mendelian sampling. ok is false for an unknown id, a planned spawn
// and a lot that has no fish on the date.
func (s *State) Vector(id string) (v []Link, ok bool) {
	if f, found := s.m.fishOf(id); found {
		return []Link{{f.node, 1}}, true
	}
	if lot := s.m.lotOf(id); lot != nil {
		males, females := s.heads(lot)
		pools := lot.pools[lot.history.Index(s.on)]
		for i, k := range [2]float64{males, females} {
			if k > 0 {
				v = append(v, Link{pools[i], k / (males + females)})
			}
		}
		return v, len(v) > 0
	}
	if f, found := s.m.familyOf(id); found {
		return []Link{{f.node, 1}}, true
	}
	return nil, false
}

// Kinship returns the kinship of two records: the chance that a gene drawn from
// each at the same locus is identical by descent, between 0 and 1. With itself:
// self-kinship for a fish, and for a lot or a spawn the kinship of two distinct
// fish of it. ok is false where a record has no fish (or, with itself, fewer
// than two). O(ancestors).
func (s *State) Kinship(a, b string) (kinship float64, ok bool) {
	if lot := s.m.lotOf(a); lot != nil && a == b {
		return s.within(lot)
	}
	x, okX := s.Vector(a)
	y, okY := s.Vector(b)
	if !okX || !okY {
		return 0, false
	}
	if a == b {
		return s.m.walk.variance(x) / 2, true
	}
	return s.m.walk.covariance(x, y) / 2, true
}

// within is the kinship of two distinct fish of a lot with m males and f
// females:
//
//	½·[m(m−1)·Var c_m + f(f−1)·Var c_f + 2mf·Cov(c_m, c_f)] / (n(n−1))
//
// Where fish never sexed leave less than one fish of a sex, no two are both of
// it: that pair's weight is 0, and the others' make up the whole.
func (s *State) within(lot *lotNodes) (float64, bool) {
	males, females := s.heads(lot)
	if males+females < 2 {
		return 0, false
	}
	sum, weight := 0.0, 0.0
	for _, pair := range s.pairsWithin(lot, males, females) {
		sum += pair.weight * pair.covariance
		weight += pair.weight
	}
	return sum / weight / 2, true
}

// pairWithin is one kind of pair of two fish of a lot.
type pairWithin struct {
	a, b               int // the nodes of their sexes
	weight, covariance float64
}

func (s *State) pairsWithin(lot *lotNodes, males, females float64) [3]pairWithin {
	male, female := lot.side[0].node, lot.side[1].node
	between := s.m.nodes.variance[male]
	if male != female {
		between = s.m.walk.covariance([]Link{{male, 1}}, []Link{{female, 1}})
	}
	return [3]pairWithin{
		{male, male, max(0, males*(males-1)), s.m.nodes.variance[male]},
		{female, female, max(0, females*(females-1)), s.m.nodes.variance[female]},
		{male, female, 2 * males * females, between},
	}
}

// Inbreeding returns the inbreeding coefficient of a fish, the mean one of a
// lot's fish, or that of a spawn's fry: the kinship of the parents, between 0
// and 1. ok is false as for [State.Vector].
func (s *State) Inbreeding(id string) (inbreeding float64, ok bool) {
	if f, found := s.m.fishOf(id); found {
		return f.diag - 1, true
	}
	if f, found := s.m.familyOf(id); found {
		return f.diag - 1, true
	}
	lot := s.m.lotOf(id)
	if lot == nil {
		return 0, false
	}
	males, females := s.heads(lot)
	if males+females == 0 {
		return 0, false
	}
	return (males*lot.side[0].diag+females*lot.side[1].diag)/(males+females) - 1, true
}

// KinshipMatrix returns the kinships of the records as [State.Kinship] does;
// known is false where that has no answer. O(m · nodes) for m records.
func (s *State) KinshipMatrix(ids []string) (kinship [][]float64, known [][]bool) {
	vectors := make([][]Link, len(ids))
	for i, id := range ids {
		vectors[i], _ = s.Vector(id)
	}
	kinship, known = make([][]float64, len(ids)), make([][]bool, len(ids))
	for i := range ids {
		kinship[i], known[i] = make([]float64, len(ids)), make([]bool, len(ids))
	}
	for i := range ids {
		kinship[i][i], known[i][i] = s.Kinship(ids[i], ids[i])
		if vectors[i] == nil {
			continue
		}
		var row []float64
		for j := i + 1; j < len(ids); j++ {
			if vectors[j] == nil {
				continue
			}
			if ids[i] == ids[j] {
				kinship[i][j], known[i][j] = kinship[i][i], known[i][i]
			} else {
				if row == nil {
					row = s.m.nodes.times(vectors[i])
				}
				kinship[i][j], known[i][j] = dot(row, vectors[j])/2, true
			}
			kinship[j][i], known[j][i] = kinship[i][j], known[i][j]
		}
	}
	return kinship, known
}

func dot(row []float64, x []Link) float64 {
	sum := 0.0
	for _, link := range x {
		sum += row[link.Node] * link.Weight
	}
	return sum
}
