package genetics

import "roebook/pedigree"

// Ancestry is the shares of a record's genes by the kind of founder they came
// from; the three sum to 1.
type Ancestry struct{ Wild, Bought, Unknown float64 }

// origins holds, for every node, where its genes came from.
type origins struct {
	wild, bought []float64
	// generations is the number of equivalent complete generations: for each
	// parent known, half of one plus that parent's (Maignel, Boichard & Verrier
	// 1996; Boichard, Maignel & Verrier 1997, Genet. Sel. Evol. 29:5).
	generations []float64
}

// findOrigins passes once down the nodes. O(nodes + links).
func (m *Model) findOrigins() origins {
	n := m.nodes.size()
	o := origins{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range n {
		owner := m.nodes.owner[i]
		if owner.Stock != nil && (owner.Kind == Fish || owner.Kind == HalfSex || owner.Kind == Common) {
			if owner.Stock.Wild != nil {
				o.wild[i] = 1
				continue
			}
			if owner.Stock.Bought != nil {
				o.bought[i] = 1
				continue
			}
		}
		for k := m.nodes.start[i]; k < m.nodes.start[i+1]; k++ {
			p, w := m.nodes.parent[k], m.nodes.weight[k]
			o.wild[i] += w * o.wild[p]
			o.bought[i] += w * o.bought[p]
			o.generations[i] += w * o.generations[p]
			if owner.Kind == Family && m.nodes.owner[p].Kind != Unknown {
				o.generations[i] += w
			}
		}
	}
	return o
}

// Ancestry returns where the genes of a record came from. ok as for
// [State.Vector].
func (s *State) Ancestry(id string) (a Ancestry, ok bool) {
	v, ok := s.Vector(id)
	if !ok {
		return a, false
	}
	a.Wild, a.Bought = dot(s.m.origin.wild, v), dot(s.m.origin.bought, v)
	a.Unknown = 1 - a.Wild - a.Bought
	if a.Unknown < 1e-12 && a.Unknown > -1e-12 {
		a.Unknown = 0
	}
	return a, true
}

// RecordedAncestry returns the share of a record's genes that came from founders
// in the book, between 0 and 1; the rest came from unknown fish. 0 for a record
// without an answer.
func (s *State) RecordedAncestry(id string) float64 {
	a, _ := s.Ancestry(id)
	return a.Wild + a.Bought
}

// EquivalentGenerations returns the number of equivalent complete generations
// of recorded ancestry. ok as for [State.Vector].
func (s *State) EquivalentGenerations(id string) (t float64, ok bool) {
	v, ok := s.Vector(id)
	return dot(s.m.origin.generations, v), ok
}

// Generation returns the generation from wild of a stock record, or of a
// spawn's fry. ok is false for an unknown id.
func (s *State) Generation(id string) (pedigree.Generation, bool) {
	if g, ok := s.m.generations.Of(id, s.on); ok {
		return g, true
	}
	return s.m.generations.OfFry(id)
}

// Captivity returns what a record's fish, or a spawn's fry, are in the sense of
// CITES Resolution Conf. 10.16 (Rev.).
func (s *State) Captivity(id string) pedigree.Captivity { return s.m.generations.Captivity(id) }
