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
	// of stock, by number, as each sex: the two differ only in merged lots.
	stock [2][]Generation
	fry   []Generation // of spawns, by number
}

// Generations counts generations from wild over the descent graph; the book
// must be free of loops (else no record gets an answer). O(records + references).
func (b *Book) Generations() *Generations {
	g := &Generations{book: b}
	order, ok := b.Descent().Order()
	if !ok {
		return g
	}
	g.stock = [2][]Generation{make([]Generation, len(b.Stock)), make([]Generation, len(b.Stock))}
	g.fry = make([]Generation, len(b.Spawns))
	for _, n := range order {
		if i := n - len(b.Stock); i >= 0 {
			g.fry[i] = g.ofFry(b.Spawns[i])
		} else {
			g.ofStock(n)
		}
	}
	return g
}

func (g *Generations) ofStock(n int) {
	s := g.book.Stock[n]
	male := g.ofSex(s, Male)
	g.stock[0][n], g.stock[1][n] = male, male
	if s.Lot {
		g.stock[1][n] = g.ofSex(s, Female)
	}
}

// OfFry returns the generation of a spawn's fry; ok is false for an unknown id.
func (g *Generations) OfFry(spawn string) (gen Generation, ok bool) {
	n := g.book.SpawnNumber(spawn)
	if n < 0 || g.fry == nil {
		return gen, false
	}
	return g.fry[n], true
}

// Of returns the generation of a record as it stands on the date: of a merged
// lot the mixture of its males and females.
func (g *Generations) Of(id string, on Date) (gen Generation, ok bool) {
	n := g.book.StockNumber(id)
	if n < 0 || g.stock[0] == nil {
		return gen, false
	}
	if !g.book.Stock[n].Lot {
		return g.stock[0][n], true
	}
	state := g.book.lots[n].At(on)
	if state.Males+state.Females == 0 {
		state = g.book.lots[n].States[0]
	}
	var both GenerationMix
	both.Add(g.stock[0][n], state.Males)
	both.Add(g.stock[1][n], state.Females)
	return both.Generation, true
}

// OfPair returns the generation of fry of the two records, each taken as the
// sex it would breed as.
func (g *Generations) OfPair(sire, dam string) Generation {
	return nextGeneration(g.bySex(sire, Male), g.bySex(dam, Female))
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
		side.Add(g.stock[sex-Male][c.Number], c.Share)
	}
	return side.Generation
}

func (g *Generations) bySex(id string, sex Sex) Generation {
	n := g.book.StockNumber(id)
	if n < 0 || g.stock[0] == nil {
		return Generation{}
	}
	return g.stock[sex-Male][n]
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
			fry, _ := g.OfFry(from.Spawn)
			spawns.Add(fry, from.Share)
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
		taken.Add(g.bySex(s.Picked, Male), left.Males)
		taken.Add(g.bySex(s.Picked, Female), left.Females)
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
	if h := b.LotHistory(lot); h != nil {
		return h.leaver(into)
	}
	return nil
}

// Moved returns how many males and females a part gave to a merged lot; a fish
// never sexed is as much of each as the lot was that it was picked out of, else
// half of each.
func (b *Book) Moved(part, into string) (males, females float64) {
	s := b.StockByID(part)
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
