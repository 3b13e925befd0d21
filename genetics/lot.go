package genetics

import "roebook/pedigree"

// addLot adds a lot with the fish and lots picked out of it, and its pools.
func (m *Model) addLot(n int, male, female lotSide) *lotNodes {
	if male.node < 0 {
		male = female // a sex that was never moved in and yet is stated
	}
	if female.node < 0 {
		female = male
	}
	history := m.book.LotHistory(m.book.Stock[n].ID)
	lot := &lotNodes{history: history, side: [2]lotSide{male, female}}
	m.lots[n] = lot
	for i := range history.Events {
		for j := range history.Events[i].Left {
			m.addLeaver(lot, &history.Events[i].Left[j])
		}
	}
	m.addPools(lot)
	return lot
}

// addLeaver adds the record that fish leaving a lot became.
func (m *Model) addLeaver(lot *lotNodes, left *pedigree.Leaver) {
	switch left.Kind {
	case pedigree.PickedFish:
		m.addPicked(lot, m.book.StockNumber(left.ID), left)
	case pedigree.PickedLot:
		m.addLot(m.book.StockNumber(left.ID), lot.side[0], lot.side[1])
	case pedigree.Moved:
		pools := [2]int{-1, -1}
		for i, k := range [2]float64{left.Males, left.Females} {
			if k > 0 {
				pools[i] = m.addPool(Owner{Pool, lot.history.Lot, nil, sexes[i], k}, lot.side[i])
			}
		}
		if lot.moved == nil {
			lot.moved = make(map[string][2]int)
		}
		lot.moved[left.ID] = pools
	}
}

// addPicked adds one fish out of a lot. One never sexed is the mean of a male
// and of a female part, by the sexes' shares of the lot h and 1 − h, with D of
// σ²/h and σ²/(1−h).
func (m *Model) addPicked(lot *lotNodes, n int, left *pedigree.Leaver) {
	s := m.book.Stock[n]
	for i, sex := range sexes {
		share := [2]float64{left.Males, left.Females}[i]
		if s.Sex == sex || s.Sex == pedigree.Unsexed && share >= 1 {
			side := lot.side[i]
			m.addFish(n, side.diag-m.nodes.variance[side.node], side.diag, Link{side.node, 1})
			return
		}
	}
	f := fishNode{halves: [2]int{-1, -1}}
	var links []Link
	for i, side := range lot.side {
		share := [2]float64{left.Males, left.Females}[i]
		common := m.nodes.variance[side.node]
		own := (side.diag - common) / share
		f.halves[i] = m.nodes.add(Owner{HalfSex, s, nil, sexes[i], share}, own, common+own, Link{side.node, 1})
		m.nodes.standFor(f.halves[i], side.diag)
		f.diag += share * side.diag
		links = append(links, Link{f.halves[i], share})
	}
	own := 0.0
	if lot.side[0].node != lot.side[1].node {
		own = f.diag - m.walk.variance(links)
	}
	f.node = m.nodes.add(Owner{Kind: Fish, Stock: s, Fish: 1}, own, f.diag, links...)
	m.fish[n] = f
}

// addPool adds the mean of fish of a lot that are not otherwise known: σ²/k.
func (m *Model) addPool(owner Owner, side lotSide) int {
	common := m.nodes.variance[side.node]
	own := (side.diag - common) / owner.Fish
	pool := m.nodes.add(owner, own, common+own, Link{side.node, 1})
	m.nodes.standFor(pool, side.diag)
	return pool
}

// addPools builds the pools of every state, last state first: the fish before
// an event are those after it, those that left by it, and the dead.
func (m *Model) addPools(lot *lotNodes) {
	states, events := lot.history.States, lot.history.Events
	lot.pools = make([][2]int, len(states))
	for i, sex := range sexes {
		fresh := func(fish float64) int {
			return m.addPool(Owner{Pool, lot.history.Lot, nil, sex, fish}, lot.side[i])
		}
		last := len(states) - 1
		lot.pools[last][i] = -1
		if k := states[last].OfSex(sex); k > 0 {
			lot.pools[last][i] = fresh(k)
		}
		for e := last - 1; e >= 0; e-- {
			lot.pools[e][i] = m.poolBefore(lot, i, states[e].OfSex(sex), states[e+1].OfSex(sex), lot.pools[e+1][i], events[e].Left, fresh)
		}
	}
}

// poolBefore builds one pool: n fish, of which after are still there in the
// pool later, some left, and the rest died or went unrecorded.
func (m *Model) poolBefore(lot *lotNodes, i int, n, after float64, later int, left []pedigree.Leaver, fresh func(float64) int) int {
	if n <= 0 {
		return -1
	}
	links := m.links[:0]
	rest := n
	take := func(node int, fish float64) {
		if node >= 0 && fish > 0 {
			links = append(links, Link{node, fish / n})
			rest -= fish
		}
	}
	take(later, after)
	for j := range left {
		l := &left[j]
		fish := [2]float64{l.Males, l.Females}[i]
		switch l.Kind {
		case pedigree.PickedFish:
			f, _ := m.fishOf(l.ID)
			if half := f.halves[i]; half >= 0 && fish < 1 {
				take(half, fish)
			} else {
				take(f.node, fish)
			}
		case pedigree.PickedLot:
			take(m.lotOf(l.ID).pools[0][i], fish)
		case pedigree.Moved:
			take(lot.moved[l.ID][i], fish)
		}
	}
	if len(links) == 1 && rest < 1e-9 && rest > -1e-9 {
		return links[0].Node
	}
	if rest > 1e-9 || rest < -1e-9 {
		links = append(links, Link{fresh(rest), rest / n})
	}
	side := lot.side[i]
	common := m.nodes.variance[side.node]
	m.links = links[:0] // to be used again
	owner := Owner{Kind: Mixture, Stock: lot.history.Lot, Sex: sexes[i]}
	if m.only != nil {
		return m.mixtureThrough(owner, links)
	}
	return m.nodes.add(owner, 0, common+(side.diag-common)/n, links...)
}
