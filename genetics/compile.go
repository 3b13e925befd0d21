package genetics

import (
	"fmt"
	"sync"

	"roebook/pedigree"
)

// Model is a book compiled to nodes. It does not depend on a date: who bred
// what is read from the whole book.
type Model struct {
	book     *pedigree.Book
	nodes    nodeList
	fish     []fishNode        // by number of the stock record; diag is 0 where it is none
	lots     []*lotNodes       // by number of the stock record
	families []family          // by number of the spawn; diag is 0 of a planned one
	shared   map[string][]Link // of founders: what they share with related ones
	kin      map[string]float64
	walk     walker
	links    []Link            // room for poolBefore
	bred     map[string][2]int // see firstBred

	generations *pedigree.Generations
	origin      origins

	only *onlyThrough // of a model of what came through one fish
}

// fishNode is one fish: its node, and its A_ii.
type fishNode struct {
	node   int
	diag   float64
	halves [2]int // of a fish never sexed, where it stands among both sexes; else -1
}

// lotSide is one sex of a lot: the node that two distinct fish share and the
// expected A_ii of one fish. node is -1 where the lot never had that sex.
type lotSide struct {
	node int
	diag float64
}

// lotNodes is a lot: its two sides, and the pool of each sex in every state of
// its history (-1 where there is no fish of that sex).
type lotNodes struct {
	history *pedigree.LotHistory
	side    [2]lotSide
	pools   [][2]int
	moved   map[string][2]int // pools moved into merged lots, by lot; nil where there are none
	founder bool
}

// family is a spawn: the two sides, the mean of its fry and the A_ii of a fry.
type family struct {
	sides [2]int
	node  int
	diag  float64
}

// The two sexes as places in arrays.
var sexes = [2]pedigree.Sex{pedigree.Male, pedigree.Female}

// Compile builds the model of a book that keeps the record rules. It fails
// where records descend from each other or name records that do not exist; of a
// book that breaks other rules the model is of no use.
// The cost is that of walking the ancestry of each pair of parents once:
// O(spawns · ancestors).
//
// A = T D Tᵀ; Henderson 1976, with the nodes for groups described in doc.go.
func Compile(book *pedigree.Book) (*Model, error) {
	m := newModel(book)
	descent := book.Descent()
	order, ok := descent.Order()
	if !ok {
		loop := descent.Loops()[0]
		return nil, fmt.Errorf("records descend from each other: %v", loop.Round)
	}
	var generations sync.WaitGroup // counted beside, on another processor
	var broken any
	generations.Go(func() {
		defer func() { broken = recover() }()
		m.generations = book.Generations()
	})
	defer func() {
		if generations.Wait(); broken != nil {
			panic(broken) // where the caller can see it
		}
	}()
	if err := m.compile(descent, order); err != nil {
		return nil, err
	}
	m.origin = m.findOrigins()
	return m, nil
}

func newModel(book *pedigree.Book) *Model {
	m := &Model{
		book: book, fish: make([]fishNode, len(book.Stock)), lots: make([]*lotNodes, len(book.Stock)),
		families: make([]family, len(book.Spawns)), shared: make(map[string][]Link), kin: make(map[string]float64),
	}
	m.walk.list = &m.nodes
	m.nodes.room(len(book.Stock) + len(book.Spawns))
	return m
}

// compile makes the nodes of all records, in that order.
func (m *Model) compile(descent *pedigree.Descent, order []int) error {
	m.relateFounders()
	for _, n := range order {
		var err error
		if i := n - len(m.book.Stock); i >= 0 {
			err = m.compileSpawn(i)
		} else {
			err = m.compileStock(n)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", descent.IDOf(n), err)
		}
	}
	return nil
}

// fishOf returns the nodes of a fish; ok is false where the id is of none.
func (m *Model) fishOf(id string) (f fishNode, ok bool) {
	if n := m.book.StockNumber(id); n >= 0 {
		f = m.fish[n]
		ok = f.diag != 0 || m.only != nil && m.only.whole.fish[n].diag != 0
	}
	return f, ok
}

// lotOf returns the nodes of a lot, nil where the id is of none.
func (m *Model) lotOf(id string) *lotNodes {
	if n := m.book.StockNumber(id); n >= 0 {
		return m.lots[n]
	}
	return nil
}

// familyOf returns the nodes of a spawn; ok is false where the id is of none
// that took place.
func (m *Model) familyOf(id string) (f family, ok bool) {
	if n := m.book.SpawnNumber(id); n >= 0 {
		f = m.families[n]
		ok = f.diag != 0 || m.only != nil && m.only.whole.families[n].diag != 0
	}
	return f, ok
}

// Book returns the book that was compiled.
func (m *Model) Book() *pedigree.Book { return m.book }

// Nodes returns a copy of all nodes, parents before offspring.
func (m *Model) Nodes() []Node {
	nodes := make([]Node, m.nodes.size())
	for i := range nodes {
		nodes[i].D = m.nodes.own[i]
		for k := m.nodes.start[i]; k < m.nodes.start[i+1]; k++ {
			nodes[i].Parents = append(nodes[i].Parents, Link{int(m.nodes.parent[k]), m.nodes.weight[k]})
		}
	}
	return nodes
}

// relateFounders makes one shared node for each statement of kinship between
// founders.
func (m *Model) relateFounders() {
	for _, line := range m.book.Lines {
		for i := range line.RelatedFounders {
			r := &line.RelatedFounders[i]
			shared := m.founding(2 * r.Kinship)
			node := m.nodes.add(Owner{Kind: Shared}, shared, shared)
			for _, id := range r.Of {
				m.shared[id] = append(m.shared[id], Link{node, 1})
				m.kin[id] += shared
			}
		}
	}
}

func (m *Model) compileStock(n int) error {
	s := m.book.Stock[n]
	switch {
	case s.Wild != nil:
		return m.compileFounder(n, s.Wild.Related, 0)
	case s.Bought != nil:
		return m.compileFounder(n, s.Bought.Kinship(), s.Bought.Inbreeding)
	case s.Picked != "":
		if _, ok := m.fishOf(s.ID); !ok && m.lots[n] == nil {
			return fmt.Errorf("is picked from %q, which is not a lot in the book", s.Picked)
		}
		return nil // made with its lot
	case len(s.FromSpawns) > 0:
		return m.compileFry(n)
	case len(s.Merged) > 0:
		return m.compileMerged(n)
	}
	return fmt.Errorf("has no origin")
}

func (m *Model) compileFounder(n int, related, inbreeding float64) error {
	s := m.book.Stock[n]
	diag := m.founding(1 + inbreeding)
	variance, kind, fish := diag, Fish, 1.0
	if s.Lot {
		variance, kind, fish = m.founding(2*related), Common, 0
	}
	own := variance - m.kin[s.ID]
	if own < -1e-12 {
		return fmt.Errorf("is more related to other founders than it can be")
	}
	if !s.Lot {
		m.addFish(n, max(own, 0), diag, m.shared[s.ID]...)
		return nil
	}
	c := m.nodes.add(Owner{Kind: kind, Stock: s, Fish: fish}, max(own, 0), variance, m.shared[s.ID]...)
	m.addLot(n, lotSide{c, diag}, lotSide{c, diag}).founder = true
	return nil
}

// addFish adds one fish of known expected A_ii. A fish never sexed that stands
// among both sexes of a group gets a half for each, so that it is never its own
// mate.
func (m *Model) addFish(n int, own, diag float64, parents ...Link) {
	s := m.book.Stock[n]
	if m.only.is(n) {
		own, diag, parents = m.only.diag, m.only.diag, nil
	}
	f := fishNode{diag: diag, halves: [2]int{-1, -1}}
	if s.Sex == pedigree.Unsexed && m.amongBoth(s.ID) {
		base := diag - own
		for i, sex := range sexes {
			f.halves[i] = m.nodes.add(Owner{HalfSex, s, nil, sex, 0.5}, 2*own, base+2*own, parents...)
			m.nodes.standFor(f.halves[i], diag)
		}
		own, parents = 0, []Link{{f.halves[0], 0.5}, {f.halves[1], 0.5}}
	}
	f.node = m.nodes.add(Owner{Kind: Fish, Stock: s, Sex: s.Sex, Fish: 1}, own, diag, parents...)
	m.nodes.standFor(f.node, diag)
	if m.only.is(n) {
		m.nodes.share[f.node] = 1
	}
	m.fish[n] = f
}

// amongBoth reports whether the fish is named in a group or merged into a lot.
func (m *Model) amongBoth(id string) bool {
	return m.book.MergedInto(id) != nil || m.book.InGroup(id)
}

// compileFry makes a fish or a lot from one spawn or from several.
func (m *Model) compileFry(n int) error {
	s := m.book.Stock[n]
	families := make([]family, len(s.FromSpawns))
	total, diag := 0.0, 0.0
	for i, from := range s.FromSpawns {
		f, ok := m.familyOf(from.Spawn)
		if !ok {
			return fmt.Errorf("comes from spawn %q, which is not in the book or only planned", from.Spawn)
		}
		families[i] = f
		total += from.Share
		diag += from.Share * f.diag
	}
	diag /= total
	if !s.Lot {
		links := make([]Link, len(families))
		for i, f := range families {
			links[i] = Link{f.node, s.FromSpawns[i].Share / total}
		}
		m.addFish(n, diag-m.walk.variance(links), diag, links...)
		return nil
	}
	if len(families) == 1 {
		side := lotSide{families[0].node, diag}
		m.addLot(n, side, side)
		return nil
	}
	parts := make([]part, len(families))
	for i, f := range families {
		k := s.FromSpawns[i].Share
		pool := m.addPool(Owner{Kind: Pool, Stock: s, Fish: k}, lotSide{f.node, f.diag})
		parts[i] = part{pool, k, f.diag}
	}
	side := m.mix(s, pedigree.Unsexed, parts)
	m.addLot(n, side, side)
	return nil
}

// part is some fish that went into a mixed or merged lot.
type part struct {
	node int
	fish float64
	diag float64
}

// compileMerged makes a merged lot, once for each sex: its males from the males
// moved in, its females from the females.
func (m *Model) compileMerged(n int) error {
	s := m.book.Stock[n]
	if !s.Lot {
		return fmt.Errorf("is merged of others, but is no lot")
	}
	var sides [2]lotSide
	for i, sex := range sexes {
		var parts []part
		for _, from := range s.Merged {
			males, females := m.book.Moved(from.ID, s.ID)
			k := [2]float64{males, females}[i]
			if k <= 0 {
				continue
			}
			if lot := m.lotOf(from.ID); lot != nil {
				if pool := lot.moved[s.ID][i]; pool >= 0 {
					parts = append(parts, part{pool, k, m.meanDiag(pool, lot.side[i].diag)})
				}
			} else if f, ok := m.fishOf(from.ID); ok {
				node := f.node
				if f.halves[i] >= 0 {
					node = f.halves[i]
				}
				parts = append(parts, part{node, k, f.diag})
			} else {
				return fmt.Errorf("holds fish of %q, which is not in the book", from.ID)
			}
		}
		sides[i] = m.mix(s, sex, parts)
	}
	if sides[0].node < 0 && sides[1].node < 0 {
		return fmt.Errorf("was merged of no fish")
	}
	m.addLot(n, sides[0], sides[1])
	return nil
}

// mix makes the common part of N fish put together, of which u is the mean and
// x the covariance of two distinct fish of them, averaged over all such pairs:
//
//	D = x − Var(u) ;   for whole fish x = (N·Var(u) − diag)/(N−1) , D = −(diag − x)/N
//
// The negative D is not a variance: it takes the mean of N real fish back to
// what two of them share. Half a fish makes no pair with itself.
func (m *Model) mix(s *pedigree.Stock, sex pedigree.Sex, parts []part) lotSide {
	n, diag := 0.0, 0.0
	for _, p := range parts {
		n += p.fish
		diag += p.fish * p.diag
	}
	if n == 0 {
		return lotSide{node: -1}
	}
	diag /= n
	links := make([]Link, len(parts))
	for i, p := range parts {
		links[i] = Link{p.node, p.fish / n}
	}
	variance := m.walk.variance(links)
	pairs, sum := n*n, n*n*variance
	for _, p := range parts {
		square := p.fish * p.fish
		within := square * m.nodes.variance[p.node]
		pairs, sum = pairs-square, sum-within
		if p.fish > 1 {
			pairs, sum = pairs+square-p.fish, sum+within-p.fish*p.diag
		}
	}
	x := variance
	switch {
	case pairs > 1e-9:
		x = sum / pairs
	case n < 1: // part of one fish: what it would share with another of its lot
		x = (n*variance - diag) / (n - 1)
	}
	own := x - variance
	variance = x
	return lotSide{m.nodes.add(Owner{Kind: Common, Stock: s, Sex: sex}, own, variance, links...), diag}
}
