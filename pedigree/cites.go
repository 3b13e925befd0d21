package pedigree

// Captivity is what fish are in the sense of CITES Resolution Conf. 10.16 (Rev.):
// first generation (F1) are those of which at least one parent was taken from the
// wild or conceived there, whatever the other is; second or later those of which
// neither was.
type Captivity int8

// The kinds of [Captivity]. Uncertain: a parent that the book does not know, or
// fish of several kinds in one record.
const (
	Uncertain Captivity = iota
	OfTheWild           // caught, or conceived there
	FirstInCaptivity
	SecondOrLater
)

// Captivity returns what a record's fish are, or a spawn's fry. Bought fish of
// which nothing was declared are taken as bred in captivity; what they are
// themselves is uncertain. O(parents).
func (g *Generations) Captivity(id string) Captivity {
	if spawn := g.book.SpawnByID(id); spawn != nil {
		return g.captivityOfFry(spawn)
	}
	s := g.book.StockByID(id)
	if s == nil {
		return Uncertain
	}
	switch s = g.book.Beginning(s); {
	case s.Wild != nil:
		return OfTheWild
	case s.Bought != nil:
		return g.captivityDeclared(s.Bought.Generation)
	}
	var all []Captivity
	for _, from := range s.FromSpawns {
		all = append(all, g.Captivity(from.Spawn))
	}
	for _, part := range s.Merged {
		all = append(all, g.Captivity(part.ID))
	}
	for _, c := range all {
		if c != all[0] {
			return Uncertain
		}
	}
	if len(all) == 0 {
		return Uncertain
	}
	return all[0]
}

func (g *Generations) captivityDeclared(d *Declared) Captivity {
	switch {
	case d == nil:
		return Uncertain
	case d.Max == 0 && !d.AtLeast:
		return OfTheWild
	case d.Min == 1 && d.Max == 1 && !d.AtLeast:
		return FirstInCaptivity
	case d.Min >= 2:
		return SecondOrLater
	}
	return Uncertain
}

func (g *Generations) captivityOfFry(s *Spawn) Captivity {
	if s.ConceivedWild {
		return OfTheWild
	}
	captive := true
	for _, sex := range []Sex{Male, Female} {
		contributors := g.book.Contributors(s, sex)
		wild := len(contributors) > 0
		captive = captive && len(contributors) > 0
		for _, c := range contributors {
			parent := g.bySex(c.Stock.ID, sex)
			wild = wild && parent.Max == 0 && !parent.AtLeast
			captive = captive && parent.Min >= 1
		}
		if wild {
			return FirstInCaptivity
		}
	}
	if captive {
		return SecondOrLater
	}
	return Uncertain
}
