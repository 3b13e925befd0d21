package main

import (
	"roebook/genetics"
	"roebook/pedigree"
)

// expected is the inbreeding to expect of a spawn's young: as recorded, or of a
// planned one that of the fish named, as they are on the day of the question.
// ok is false where one of the sides has no fish.
func (l *loaded) expected(spawn *pedigree.Spawn) (inbreeding float64, ok bool) {
	first := l.book.FirstOf(spawn)
	if first == nil {
		return 0, false
	}
	if !first.IsPlanned() {
		return l.state.Inbreeding(first.ID)
	}
	today := *first
	today.Date = l.state.Date()
	sires, okSires := l.mates(&today, pedigree.Male)
	dams, okDams := l.mates(&today, pedigree.Female)
	if !okSires || !okDams {
		return 0, false
	}
	for _, sire := range sires {
		row := l.state.KinshipRow(sire.Mate)
		for _, dam := range dams {
			inbreeding += sire.share * dam.share * row.With(dam.Mate)
		}
	}
	return inbreeding, true
}

// mate is a possible parent with its odds.
type mate struct {
	genetics.Mate
	share float64
}

// mates lists the possible parents of one side; none, and ok, where that side
// is one unknown fish.
func (l *loaded) mates(spawn *pedigree.Spawn, sex pedigree.Sex) (list []mate, ok bool) {
	contributors := l.book.Contributors(spawn, sex)
	if len(contributors) == 0 {
		return nil, len(spawn.SideOf(sex).Candidates) == 0 && len(spawn.Group) == 0
	}
	for _, c := range contributors {
		m, ok := l.state.Mate(c.Stock.ID, sex)
		if !ok {
			return nil, false
		}
		list = append(list, mate{m, c.Share})
	}
	return list, true
}
