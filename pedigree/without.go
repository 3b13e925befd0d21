package pedigree

import "slices"

// Without returns a book of the remaining records, arranged. The records
// themselves are shared with b. Fish that those left out had taken from lots
// that remain are still gone from these, with the sexes that they were told to
// be of, and a fish merged into a lot left out is still gone. So the census of
// every lot that remains, its kinship with all that remain, and their
// inbreeding and generations stay what they were.
//
// What counts over many records does not: means, founder shares and gene
// diversity of a line are those of the records that remain. The founder
// equivalents of a lot may change as well, where what was left out bred or was
// known fish by fish: it then counts with the rest of the lot.
//
// No record that remains may refer to one left out; what [Tainted] returns
// keeps to that.
func (b *Book) Without(ids map[string]bool) *Book {
	out := &Book{
		Name: b.Name, Keeper: b.Keeper, IDPrefix: b.IDPrefix, Where: b.Where,
		taken: make(map[string][]LotEvent), mergedOut: make(map[string][]*Stock),
	}
	for _, line := range b.Lines {
		out.Lines = append(out.Lines, line.without(ids))
	}
	for _, s := range b.Spawns {
		if !ids[s.ID] {
			out.Spawns = append(out.Spawns, s)
		}
	}
	for id, events := range b.taken {
		out.taken[id] = append(out.taken[id], events...)
	}
	for id, lots := range b.mergedOut {
		out.mergedOut[id] = append(out.mergedOut[id], lots...)
	}
	for _, s := range b.Stock {
		if !ids[s.ID] {
			out.Stock = append(out.Stock, s)
			continue
		}
		if b.StockByID(s.ID) == s {
			out.keepGone(b, s, ids)
		}
	}
	out.Arrange()
	return out
}

// keepGone notes what a record that is left out had taken from the others.
func (out *Book) keepGone(b *Book, s *Stock, ids map[string]bool) {
	take := func(lot string) {
		if left := b.leaver(lot, s.ID); left != nil && !ids[lot] {
			gone := Leaver{Kind: Sold, Stated: left.Stated}
			if h := b.LotHistory(s.ID); left.Kind == PickedLot && h != nil {
				begun := h.States[0]
				gone.begun = &begun
			}
			out.taken[lot] = append(out.taken[lot], LotEvent{Moment: Moment{s.Date, AtPick}, Left: []Leaver{gone}})
		}
	}
	if s.Picked != "" {
		take(s.Picked)
	}
	for _, part := range s.Merged {
		take(part.ID)
		if from := b.StockByID(part.ID); from != nil && !from.Lot && !ids[part.ID] {
			out.mergedOut[part.ID] = append(out.mergedOut[part.ID], s)
		}
	}
}

// without returns the line with related founders only of the remaining records;
// to each of these the loss of the others makes no difference.
func (l *Line) without(ids map[string]bool) *Line {
	touched := slices.ContainsFunc(l.RelatedFounders, func(r RelatedFounders) bool {
		return slices.ContainsFunc(r.Of, func(id string) bool { return ids[id] })
	})
	if !touched {
		return l
	}
	line := *l
	line.RelatedFounders = nil
	for _, related := range l.RelatedFounders {
		related.Of = slices.DeleteFunc(slices.Clone(related.Of), func(id string) bool { return ids[id] })
		if len(related.Of) > 1 {
			line.RelatedFounders = append(line.RelatedFounders, related)
		}
	}
	return &line
}
