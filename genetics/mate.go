package genetics

import "roebook/pedigree"

// Mate is one fish of a record as it could breed today.
type Mate struct {
	ID     string
	Sex    pedigree.Sex
	vector []Link
	diag   float64
}

// Mate returns one fish of a record taken as that sex: the fish, or any one of
// that sex that the lot has on the date. ok is false where there is none.
func (s *State) Mate(id string, sex pedigree.Sex) (mate Mate, ok bool) {
	if f, found := s.m.fishOf(id); found {
		return Mate{id, sex, []Link{{f.node, 1}}, f.diag}, true
	}
	lot := s.m.lotOf(id)
	if lot == nil {
		return mate, false
	}
	i := int(sex - pedigree.Male)
	males, females := s.heads(lot)
	if [2]float64{males, females}[i] <= 0 {
		return mate, false
	}
	pool := lot.pools[lot.history.Index(s.on)][i]
	return Mate{id, sex, []Link{{pool, 1}}, lot.side[i].diag}, true
}

// Inbreeding returns the fish's own inbreeding coefficient.
func (m Mate) Inbreeding() float64 { return m.diag - 1 }

// SelfKinship returns the kinship of the fish with itself, ½(1 + F).
func (m Mate) SelfKinship() float64 { return m.diag / 2 }

// Fellows returns the kinship of two different fish like the mate: of its lot
// and its sex. A single fish has none; for it, that with itself.
func (s *State) Fellows(m Mate) float64 {
	lot := s.m.lotOf(m.ID)
	if lot == nil {
		return m.SelfKinship()
	}
	return s.m.nodes.variance[lot.side[m.Sex-pedigree.Male].node] / 2
}

// Row is the kinship of one fish, or of the mean of a set, with every node.
type Row []float64

// With returns the kinship with a fish.
func (r Row) With(m Mate) float64 { return dot(r, m.vector) }

// KinshipRow returns the kinship of a fish with all others. O(nodes + links).
func (s *State) KinshipRow(m Mate) Row { return s.row(m.vector) }

// MeanKinshipRow returns the mean kinship with a set of living fish of all
// others, and the mean kinship of the set. O(nodes + links).
func (s *State) MeanKinshipRow(living Living) (row Row, mean float64) {
	row = s.row(living.mean)
	return row, dot(row, living.mean)
}

func (s *State) row(x []Link) Row {
	row := s.m.nodes.times(x)
	for i := range row {
		row[i] /= 2
	}
	return row
}

// MeanKinship returns the mean kinship of a record with a set of living fish.
// ok as for [State.Vector].
func (s *State) MeanKinship(id string, row Row) (kinship float64, ok bool) {
	v, ok := s.Vector(id)
	return dot(row, v), ok
}

// FoundersOf returns the founders of a mate with their shares, greatest first.
func (s *State) FoundersOf(m Mate) []Share {
	return s.founders(s.m.nodes.up(m.vector)).shares()
}

// FoundersOfLiving returns the founders of a set of living fish with their
// shares, greatest first.
func (s *State) FoundersOfLiving(living Living) []Share {
	return s.founders(s.m.nodes.up(living.mean)).shares()
}

// GenerationOfPair returns the generation from wild of fry of two records.
func (s *State) GenerationOfPair(sire, dam string) pedigree.Generation {
	return s.m.generations.OfPair(sire, dam)
}
