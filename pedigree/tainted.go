package pedigree

// Tainted returns the ids of the records whose answers the errors among the
// problems touch: those that the errors name, also where the book has no record
// of the id, what these took fish from (picked or merged), and all descendants
// of either. A lot counts differently without
// the fish that left it, so it is touched together with the lots it was picked
// from in turn, up to the first, and so with all that was ever taken from that.
// Where what it names cannot hold fish to take, it may have been any lot.
// Errors that keep the sources touch only what they name and its descendants.
// O(records + references).
func Tainted(b *Book, problems []Problem) map[string]bool {
	var ids []string
	wrong := make(map[string]bool) // records that may have taken other fish than they say
	for _, p := range problems {
		if p.Severity != Error {
			continue
		}
		ids = append(ids, p.Records...)
		for _, id := range p.Records {
			wrong[id] = wrong[id] || !p.KeepsSources
		}
	}
	if len(ids) == 0 {
		return map[string]bool{}
	}
	named := ids
	up := make(map[string]bool)
	for _, s := range b.Stock { // of two records with one id, both
		if wrong[s.ID] {
			b.sourcesOf(s, up)
		}
	}
	for id := range up {
		ids = append(ids, id)
	}
	tainted := b.Descent().Descendants(ids)
	for _, id := range named {
		tainted[id] = true
	}
	return tainted
}

// sourcesOf notes what a record took fish from, and what that was picked from.
func (b *Book) sourcesOf(s *Stock, up map[string]bool) {
	if s.Picked != "" && s.Picked == s.ID || b.fromFish(s) {
		b.anyLot(up)
	}
	b.pickedUp(s.Picked, up)
	for _, part := range s.Merged {
		if part.ID == s.ID {
			b.anyLot(up)
		}
		if from := b.StockByID(part.ID); from != nil && !from.Lot {
			up[part.ID] = true // a fish: where it came from has lost it before
			continue
		}
		b.pickedUp(part.ID, up)
	}
}

// fromFish reports whether a record is picked out of what is one fish.
func (b *Book) fromFish(s *Stock) bool {
	from := b.StockByID(s.Picked)
	return s.Picked != "" && from != nil && !from.Lot && !from.likeLot()
}

func (b *Book) anyLot(up map[string]bool) {
	for _, s := range b.Stock {
		if s.Lot {
			up[s.ID] = true
		}
	}
}

func (b *Book) pickedUp(id string, up map[string]bool) {
	for id != "" && !up[id] {
		up[id] = true
		if s := b.StockByID(id); s != nil {
			id = s.Picked
		} else {
			id = ""
		}
	}
}
