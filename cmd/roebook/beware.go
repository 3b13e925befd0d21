package main

import (
	"slices"

	"roebook/pedigree"
)

// beware lists what to look at twice before a planned spawn, or a pair that is
// only proposed, is set up on its day.
func (l *loaded) beware(spawn *pedigree.Spawn) []string {
	var list []string
	f, told := l.state.Expected(spawn)
	if line := l.book.LineNamed(spawn.Line); line != nil && line.Goal.MaxInbreeding != nil {
		limit := *line.Goal.MaxInbreeding
		if told && f > limit+1e-12 {
			list = append(list, "over the limit: young "+percent(f)+" inbred, and the limit of "+line.Name+" is "+percent(limit))
		}
	}
	if mix := l.mixWords(spawn); mix != "" {
		list = append(list, mix)
	}
	if sire, dam := l.book.Contributors(spawn, pedigree.Male), l.book.Contributors(spawn, pedigree.Female); len(sire) == 1 &&
		len(dam) == 1 && sire[0].Stock == dam[0].Stock && (f > 1e-12 || !told) { // fish of a wild lot are no kin
		list = append(list, "both of one lot")
	}
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		for _, c := range l.book.Contributors(spawn, sex) {
			list = append(list, l.bewareOf(c.Stock, sex, spawn)...)
		}
	}
	list = compact(list)
	if l.unknownAncestors(spawn) {
		list = append(list, "some ancestors unknown, so kinship may be higher")
	}
	return list
}

// mixWords says that the possible parents of a spawn are of several species, or
// localities; "" where they are not.
func (l *loaded) mixWords(spawn *pedigree.Spawn) string {
	if kinds := l.kindsOf(spawn, l.book.SpeciesOf); len(kinds) > 1 {
		return "a hybrid, of two species: " + all(orNotStated(kinds))
	}
	if places := l.kindsOf(spawn, l.book.LocalityOf); len(places) > 1 {
		return "mixes localities: " + all(orNotStated(places))
	}
	return ""
}

// unknownAncestors reports whether some genes of the young of a spawn are from
// fish that the book does not know.
func (l *loaded) unknownAncestors(spawn *pedigree.Spawn) bool {
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		contributors := l.book.Contributors(spawn, sex)
		if len(contributors) == 0 {
			return true
		}
		for _, c := range contributors {
			if from, ok := l.state.Ancestry(c.Stock.ID); ok && from.Unknown > 1e-9 {
				return true
			}
		}
	}
	return false
}

// bewareOf lists what speaks against one of the parents on the day.
func (l *loaded) bewareOf(s *pedigree.Stock, sex pedigree.Sex, spawn *pedigree.Spawn) []string {
	on := spawn.When()
	var list []string
	if why := l.gone(s, on); why != "" {
		list = append(list, why)
	}
	if s.QuarantineUntil > on {
		list = append(list, s.ID+" is in quarantine until "+s.QuarantineUntil.String())
	}
	if s.Retired.Known() && s.Retired < on {
		list = append(list, s.ID+" is retired since "+s.Retired.String())
	}
	if words := lastDayWords(s, on); words != "" {
		list = append(list, s.ID+": "+words)
	}
	if s.LentOut(on) {
		list = append(list, s.ID+" is lent out")
	}
	if !l.book.Mature(s, sex, on) {
		list = append(list, s.ID+" is too young"+onDay(on))
	}
	if l.sexNotTold(s, sex, on) {
		list = append(list, s.ID+": sex not told yet")
	}
	return list
}

// gone says why a record has no fish on a day, "" where it has.
func (l *loaded) gone(s *pedigree.Stock, on pedigree.Date) string {
	if l.book.Heads(s, on).Total() > 0 {
		return ""
	}
	return s.ID + ": " + presence(l.book, s, on)
}

// sexNotTold reports whether no fish of the record is told to be of that sex.
func (l *loaded) sexNotTold(s *pedigree.Stock, sex pedigree.Sex, on pedigree.Date) bool {
	now := l.book.Heads(s, on)
	if !s.Lot || now.Total() == 0 {
		return !s.Lot && s.Sex == pedigree.Unsexed
	}
	return sex == pedigree.Male && now.Males < 1 || sex == pedigree.Female && now.Females < 1
}

// kindsOf lists the different species, or localities, of a spawn's possible
// parents, the sires' first.
func (l *loaded) kindsOf(spawn *pedigree.Spawn, of func(*pedigree.Stock) string) []string {
	var kinds []string
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		for _, c := range l.book.Contributors(spawn, sex) {
			if kind := of(c.Stock); !slices.Contains(kinds, kind) {
				kinds = append(kinds, kind)
			}
		}
	}
	return kinds
}

// orNotStated puts words in place of what is not stated.
func orNotStated(kinds []string) []string {
	list := slices.Clone(kinds)
	for i, kind := range list {
		if kind == "" {
			list[i] = "one not stated"
		}
	}
	return list
}

// cannotBreed says why a record cannot be one of a proposed pair today, "" where
// it can.
func (l *loaded) cannotBreed(s *pedigree.Stock, sex pedigree.Sex) string {
	on := l.state.Date()
	if why := l.gone(s, on); why != "" {
		return why
	}
	switch _, offered := l.state.Mate(s.ID, sex); {
	case !s.Lot && s.Sex == pedigree.Unsexed:
		return s.ID + " is not sexed yet"
	case !s.Lot && s.Sex != sex:
		return s.ID + " is " + s.Sex.String() + " and cannot be the " + sideWord(sex) + " (write SIRE,DAM)"
	case s.Lot && (!offered || l.book.LotHistory(s.ID).At(on).OfSex(sex) < 1):
		return "there is no " + sex.String() + " in " + s.ID + onDay(on)
	case !l.book.Mature(s, sex, on):
		return s.ID + " is too young to breed" + onDay(on)
	}
	return ""
}
