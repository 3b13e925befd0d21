package genetics

import (
	"cmp"
	"maps"
	"slices"

	"roebook/pedigree"
)

// Share is a founder record's expected share of some genes.
type Share struct {
	ID    string
	Share float64
}

// Founders returns the founders of a record and their shares of its genes,
// greatest first; they sum to [State.RecordedAncestry]. A fish picked out of a
// founder lot counts as itself, the lot as the rest. nil for a record without
// an answer. O(nodes + links).
func (s *State) Founders(id string) []Share {
	v, ok := s.Vector(id)
	if !ok {
		return nil
	}
	return s.founders(s.m.nodes.up(v)).shares()
}

// contribution is what founders gave to a combination of nodes.
type contribution struct {
	fish    map[string]float64    // founder fish, and fish picked out of founder lots
	rest    map[string][2]float64 // founder lots, less the fish picked out, by sex
	unknown []unknownShare
}

// unknownShare is the share of unknown parents, of which there are fish.
type unknownShare struct{ share, fish float64 }

// founders collects the shares from y = Tᵀx.
func (s *State) founders(y []float64) contribution {
	c := contribution{fish: make(map[string]float64), rest: make(map[string][2]float64)}
	l := &s.m.nodes
	for i, share := range y {
		if share == 0 {
			continue
		}
		owner := l.owner[i]
		switch owner.Kind {
		case Unknown:
			c.unknown = append(c.unknown, unknownShare{share, owner.Fish})
			continue
		case Fish, HalfSex, Pool:
		default:
			continue
		}
		if isFounder(owner.Stock) && !owner.Stock.Lot {
			if f, _ := s.m.fishOf(owner.Stock.ID); owner.Kind == HalfSex || f.halves[0] < 0 {
				c.fish[owner.Stock.ID] += share
			}
			continue
		}
		lot := s.founderLot(i)
		switch {
		case lot == nil:
		case owner.Kind == Pool:
			sums := c.rest[lot.ID]
			sums[owner.Sex-pedigree.Male] += share
			c.rest[lot.ID] = sums
		default:
			c.fish[owner.Stock.ID] += share
		}
	}
	s.settle(c)
	return c
}

// settle mends the shares of a lot out of which fish never sexed took more of a
// sex than it had: what its rest is short of comes off the fish picked out of
// it, so that no share is negative and the sum stays.
func (s *State) settle(c contribution) {
	for id, rest := range c.rest {
		short := min(rest[0], 0) + min(rest[1], 0)
		if short == 0 {
			continue
		}
		var picked []string
		sum := 0.0
		for _, fish := range slices.Sorted(maps.Keys(c.fish)) {
			if s.pickedFrom(fish) == id {
				picked = append(picked, fish)
				sum += c.fish[fish]
			}
		}
		for _, fish := range picked {
			c.fish[fish] *= max(0, 1+short/sum)
		}
		for i := range rest {
			rest[i] = max(0, rest[i])
			if rest[i] > 0 {
				rest[i] += min(0, sum+short)
			}
		}
		c.rest[id] = rest
	}
}

// pickedFrom returns the founder lot that a fish was picked out of, through
// sublots, or "".
func (s *State) pickedFrom(id string) string {
	from := ""
	for stock := s.m.book.StockByID(id); stock != nil && stock.Picked != ""; stock = s.m.book.StockByID(from) {
		from = stock.Picked
	}
	return from
}

func isFounder(s *pedigree.Stock) bool { return s != nil && (s.Wild != nil || s.Bought != nil) }

// founderLot returns the founder lot that the node's fish came straight out of,
// nil where there is none.
func (s *State) founderLot(node int) *pedigree.Stock {
	l := &s.m.nodes
	if l.start[node+1]-l.start[node] != 1 {
		return nil
	}
	parent := l.owner[l.parent[l.start[node]]]
	if parent.Kind == Common && isFounder(parent.Stock) {
		return parent.Stock
	}
	return nil
}

// shares lists the founder records, greatest share first.
func (c contribution) shares() []Share {
	var list []Share
	for id, share := range c.fish {
		list = append(list, Share{id, share})
	}
	for id, rest := range c.rest {
		if sum := rest[0] + rest[1]; sum > 1e-15 {
			list = append(list, Share{id, sum})
		}
	}
	slices.SortFunc(list, func(a, b Share) int { return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.ID, b.ID)) })
	return list
}

// founderEquivalents is 1/Σ share² over founder fish (Lacy 1989, Zoo Biology
// 8:111), unknown ones each as one; the rest of a founder lot is split, each
// sex by itself, over its fish in the first pool that bred.
func (s *State) founderEquivalents(c contribution) float64 {
	sum := 0.0
	for _, share := range c.fish {
		sum += share * share
	}
	for id, rest := range c.rest {
		for i, share := range rest {
			if share != 0 {
				sum += share * share / max(s.restFish(id, i), minimumFish)
			}
		}
	}
	for _, u := range c.unknown {
		sum += u.share * u.share / u.fish
	}
	return 1 / sum
}

// minimumFish guards against a share that no counted fish could have given:
// half a fish is the least that a lot can hold of a sex.
const minimumFish = 0.5

// restFish is how many fish of one sex the rest of a founder lot is split over:
// those of the first pool that bred, less those counted as themselves; of a lot
// that has not bred by the date those that are there then or were moved on.
func (s *State) restFish(id string, i int) float64 {
	lot := s.m.lotOf(id)
	if lot == nil {
		return 0
	}
	history := lot.history
	first := history.Index(s.on)
	if bred := s.m.firstBred(id)[i]; bred >= 0 {
		first = min(first, bred)
	}
	fish := history.States[first].OfSex(sexes[i])
	for e, event := range history.Events {
		for _, left := range event.Left {
			number := [2]float64{left.Males, left.Females}[i]
			was := e >= first // was still in that pool
			switch {
			case left.Kind == pedigree.PickedFish && was:
				fish -= number
			case left.Kind == pedigree.PickedLot && was:
				fish -= s.pickedOut(left.ID, i)
			case left.Kind == pedigree.PickedLot:
				fish += s.restFish(left.ID, i)
			case left.Kind == pedigree.Moved && !was:
				fish += number
			}
		}
	}
	return fish
}

// pickedOut is how many fish of one sex were picked out of a lot, or out of its
// sublots, to be known from then on.
func (s *State) pickedOut(id string, i int) float64 {
	lot := s.m.lotOf(id)
	if lot == nil {
		return 0
	}
	fish := 0.0
	for _, event := range lot.history.Events {
		for _, left := range event.Left {
			switch left.Kind {
			case pedigree.PickedFish:
				fish += [2]float64{left.Males, left.Females}[i]
			case pedigree.PickedLot:
				fish += s.pickedOut(left.ID, i)
			}
		}
	}
	return fish
}

// firstBred returns, by sex, the state of a lot's history in which it first
// stood among the parents of a spawn, -1 where it never did.
func (m *Model) firstBred(lot string) [2]int {
	if m.bred == nil {
		m.bred = m.findFirstBred()
	}
	if first, ok := m.bred[lot]; ok {
		return first
	}
	return [2]int{-1, -1}
}

func (m *Model) findFirstBred() map[string][2]int {
	bred := make(map[string][2]int)
	for _, spawn := range m.book.Spawns {
		if spawn.IsPlanned() || spawn.Repeat != "" {
			continue
		}
		for i, sex := range sexes {
			for _, c := range m.book.Contributors(spawn, sex) {
				lot := m.lots[c.Number]
				if lot == nil {
					continue
				}
				first, seen := bred[c.Stock.ID]
				if !seen {
					first = [2]int{-1, -1}
				}
				if at := lot.history.Index(spawn.Date); first[i] < 0 || at < first[i] {
					first[i] = at
				}
				bred[c.Stock.ID] = first
			}
		}
	}
	return bred
}
