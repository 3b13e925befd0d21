package genetics

import (
	"errors"
	"fmt"
)

// Stamp is what one fish left in others: the share of its genes that they have, and
// the kinship that is by two copies of a gene that both came from it (partial
// inbreeding; Lacy, Alaks & Walsh 1996, Evolution 50:2187, from memory). What
// others share by its ancestors beside it does not count; what it has twice itself
// does.
type Stamp struct{ m *Model }

// onlyThrough makes a model count only what came through one fish: the fish is
// taken as a founder of its A_ii, its parents are cut, every other founder has
// nothing, and the 1 in the A_ii of a fry is the share of its genes that came
// through the fish.
type onlyThrough struct {
	number int // of the fish's stock record
	diag   float64
	whole  *Model
}

func (o *onlyThrough) is(n int) bool { return o != nil && o.number == n }

// Stamp works out what came through a fish. It fails for a lot, whose fish are
// not told apart, and for a fish never sexed that stands among both sexes of a
// group. The cost is that of [Compile].
func (m *Model) Stamp(id string) (*Stamp, error) {
	fish, ok := m.fishOf(id)
	switch {
	case m.lotOf(id) != nil:
		return nil, errors.New("is a lot: pick the fish out of it, and give it a record of its own")
	case !ok:
		return nil, errors.New("is no fish in the book")
	case fish.halves[0] >= 0:
		return nil, errors.New("was never sexed, and stands among both sexes of a group")
	}
	part := newModel(m.book)
	part.only = &onlyThrough{m.book.StockNumber(id), fish.diag, m}
	part.nodes.share, part.nodes.diag = []float64{}, []float64{}
	descent := m.book.Descent()
	order, _ := descent.Order() // there is one: the book was compiled
	if err := part.compile(descent, order); err != nil {
		return nil, err
	}
	if part.nodes.size() != m.nodes.size() {
		return nil, fmt.Errorf("%d nodes, not %d", part.nodes.size(), m.nodes.size())
	}
	return &Stamp{part}, nil
}

// Share returns the share of a fish's genes that came through the fish, 1 for
// itself.
func (s *Stamp) Share(m Mate) float64 { return dot(s.m.nodes.share, m.vector) }

// ShareOf returns the mean share of the genes of some living fish.
func (s *Stamp) ShareOf(living Living) float64 { return dot(s.m.nodes.share, living.mean) }

// Row returns the kinship by genes that came through the fish, of one mate with
// all others. O(nodes + links).
func (s *Stamp) Row(m Mate) Row { return (&State{m: s.m}).row(m.vector) }

// founding is what a founder has of its own.
func (m *Model) founding(own float64) float64 {
	if m.only != nil {
		return 0
	}
	return own
}

// known is the share of the genes of a spawn's fry that count.
func (m *Model) known(sides [2]int) float64 {
	if m.only == nil {
		return 1
	}
	return (m.nodes.share[sides[0]] + m.nodes.share[sides[1]]) / 2
}

// standFor notes the mean A_ii of the fish of a pool, where those of one lot may
// differ: only some of them may be the fish that all is to come through.
func (l *nodeList) standFor(node int, diag float64) {
	if l.diag != nil {
		l.diag[node] = diag
	}
}

// meanDiag is the mean A_ii of the fish of a pool, that of the lot where all are
// alike.
func (m *Model) meanDiag(pool int, ofLot float64) float64 {
	if m.only == nil {
		return ofLot
	}
	return m.nodes.diag[pool]
}

// mixtureThrough is the pool of fish that are not alike.
func (m *Model) mixtureThrough(owner Owner, links []Link) int {
	diag := 0.0
	for _, link := range links {
		diag += link.Weight * m.nodes.diag[link.Node]
	}
	pool := m.nodes.add(owner, 0, m.walk.variance(links), links...)
	m.nodes.standFor(pool, diag)
	return pool
}
