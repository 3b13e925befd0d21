package pedigree

import "fmt"

// Generation is how far fish are from the wild: wild-caught is 0, fry are one
// more than their parents, by the nearest parent (Min), the farthest (Max) and
// on average (Mean).
type Generation struct {
	Min, Max int
	Mean     float64
	AtLeast  bool // an ancestor's origin is not known: the label has a `+`
	Declared bool // it rests on a seller's word
}

// Label writes the generation as keepers do: F2; F2-F4 where parents were
// unlike; F2+ where an ancestor's origin is not known.
func (g Generation) Label() string {
	label := fmt.Sprintf("F%d", g.Min)
	if g.Max != g.Min {
		label = fmt.Sprintf("F%d-F%d", g.Min, g.Max)
	}
	if g.AtLeast {
		label += "+"
	}
	return label
}

// GenerationMix is a weighted mixture of generations, of which Min and Max keep the range.
type GenerationMix struct {
	Generation
	weight float64
}

// Add adds a generation with its weight; one of 0 or less adds nothing.
func (m *GenerationMix) Add(g Generation, weight float64) {
	if weight <= 0 {
		return
	}
	if m.weight == 0 {
		m.Min, m.Max = g.Min, g.Max
	}
	m.Min, m.Max = min(m.Min, g.Min), max(m.Max, g.Max)
	m.Mean = (m.Mean*m.weight + g.Mean*weight) / (m.weight + weight)
	m.weight += weight
	m.AtLeast = m.AtLeast || g.AtLeast
	m.Declared = m.Declared || g.Declared
}

// unknownParent is a fish of unknown origin: it counts as wild, at least.
var unknownParent = Generation{AtLeast: true}

// Generations holds the generation from wild of every record of a book.
type Generations struct {
	book *Book
	// of stock, by sex: the two differ only in merged lots.
	male, female map[string]Generation
	fry          map[string]Generation // of spawns
}

// Generations counts generations from wild over the descent graph; the book
// must be free of loops (records on one get no answer). O(records + references).
func (b *Book) Generations() *Generations {
	order, _ := b.Descent().Order()
	return b.GenerationsInOrder(order)
}

// GenerationsInOrder does the same where an order of descent is at hand.
func (b *Book) GenerationsInOrder(order []int) *Generations {
	g := &Generations{book: b, male: make(map[string]Generation), female: make(map[string]Generation), fry: make(map[string]Generation)}
	for _, n := range order {
		if i := n - len(b.Stock); i >= 0 {
			g.fry[b.Spawns[i].ID] = g.ofFry(b.Spawns[i])
		} else {
			s := b.Stock[n]
			g.male[s.ID], g.female[s.ID] = g.ofSex(s, Male), g.ofSex(s, Female)
		}
	}
	return g
}

// OfFry returns the generation of a spawn's fry; ok is false for an unknown id.
func (g *Generations) OfFry(spawn string) (gen Generation, ok bool) {
	gen, ok = g.fry[spawn]
	return gen, ok
}

// Of returns the generation of a record as it stands on the date: of a merged
// lot the mixture of its males and females.
func (g *Generations) Of(id string, on Date) (gen Generation, ok bool) {
	male, ok := g.male[id]
	if !ok {
		return male, false
	}
	s := g.book.stock[id]
	if !s.Lot {
		return male, true
	}
	state := g.book.lots[id].At(on)
	if state.Males+state.Females == 0 {
		state = g.book.lots[id].States[0]
	}
	var both GenerationMix
	both.Add(male, state.Males)
	both.Add(g.female[id], state.Females)
	return both.Generation, true
}

// OfPair returns the generation of fry of the two records, each taken as the
// sex it would breed as.
func (g *Generations) OfPair(sire, dam string) Generation {
	return nextGeneration(g.male[sire], g.female[dam])
}

func nextGeneration(sire, dam Generation) Generation {
	return Generation{
		Min: 1 + min(sire.Min, dam.Min), Max: 1 + max(sire.Max, dam.Max), Mean: 1 + (sire.Mean+dam.Mean)/2,
		AtLeast: sire.AtLeast || dam.AtLeast, Declared: sire.Declared || dam.Declared,
	}
}

func (g *Generations) ofFry(s *Spawn) Generation {
	if s.ConceivedWild {
		return Generation{}
	}
	return nextGeneration(g.ofSide(s, Male), g.ofSide(s, Female))
}

func (g *Generations) ofSide(s *Spawn, sex Sex) Generation {
	contributors := g.book.Contributors(s, sex)
	if len(contributors) == 0 {
		return unknownParent
	}
	var side GenerationMix
	for _, c := range contributors {
		side.Add(g.bySex(c.Stock.ID, sex), c.Share)
	}
	return side.Generation
}

func (g *Generations) bySex(id string, sex Sex) Generation {
	if sex == Female {
		return g.female[id]
	}
	return g.male[id]
}

func (g *Generations) ofSex(s *Stock, sex Sex) Generation {
	switch {
	case s.Bought != nil && s.Bought.Generation != nil:
		d := s.Bought.Generation
		return Generation{Min: d.Min, Max: d.Max, Mean: float64(d.Min+d.Max) / 2, AtLeast: d.AtLeast, Declared: true}
	case s.Bought != nil:
		return Generation{Min: 1, Max: 1, Mean: 1, AtLeast: true}
	case s.Picked != "" && s.Lot:
		return g.bySex(s.Picked, sex)
	case s.Picked != "":
		return g.ofPicked(s)
	case len(s.FromSpawns) > 0:
		var spawns GenerationMix
		for _, from := range s.FromSpawns {
			spawns.Add(g.fry[from.Spawn], from.Share)
		}
		return spawns.Generation
	case len(s.Merged) > 0:
		return g.ofMerged(s, sex)
	}
	return Generation{}
}

// ofPicked is the generation of the sex that the fish was taken as.
func (g *Generations) ofPicked(s *Stock) Generation {
	var taken GenerationMix
	if left := g.book.leaver(s.Picked, s.ID); left != nil {
		taken.Add(g.male[s.Picked], left.Males)
		taken.Add(g.female[s.Picked], left.Females)
	}
	return taken.Generation
}

func (g *Generations) ofMerged(s *Stock, sex Sex) Generation {
	var parts GenerationMix
	for _, part := range s.Merged {
		males, females := g.book.Moved(part.ID, s.ID)
		number := males
		if sex == Female {
			number = females
		}
		parts.Add(g.bySex(part.ID, sex), number)
	}
	return parts.Generation
}

// leaver finds how fish left a lot for another record, nil where they did not.
func (b *Book) leaver(lot, into string) *Leaver {
	if h := b.lots[lot]; h != nil {
		return h.leavers[into]
	}
	return nil
}

// Moved returns how many males and females a part gave to a merged lot; a fish
// never sexed is as much of each as the lot was that it was picked out of, else
// half of each.
func (b *Book) Moved(part, into string) (males, females float64) {
	s := b.stock[part]
	if s == nil {
		return 0, 0
	}
	if s.Lot {
		left := b.leaver(part, into)
		if left == nil {
			return 0, 0
		}
		return left.Males, left.Females
	}
	switch s.Sex {
	case Male:
		return 1, 0
	case Female:
		return 0, 1
	}
	return b.halfOf(s, Male), b.halfOf(s, Female)
}
