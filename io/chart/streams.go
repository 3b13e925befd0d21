package chart

import (
	"slices"

	"roebook/genetics"
)

// Measures of a chart of streams. It is made for a page in upright format, at
// three quarters of a point to the pixel.
const (
	streamsWidth   = 680.0
	streamsCard    = 29.0 // the height of a card
	slimCard       = 33.0 // of one with its sign over its name
	slimFrom       = 80.0 // narrower cards are such
	streamsMost    = 136.0
	streamsGap     = 12.0
	streamsStep    = 21.0 // between two rows
	mostInRow      = 18
	mostRows       = 21 // with those between
	leastStep      = 11.0
	streamsHeight  = 370.0 // without the legend, where rows can be brought together for it
	broadest       = 24.0  // all genes
	streamWild     = "#8fb9bd"
	streamBought   = "#e8c684"
	streamUnknown  = "#c3c9cb"
	streamsCaption = "Time runs downwards. The broader a stream, the more of the genes came that way; its colour tells from whom."
)

// streams draws an ancestry from the top down, as waters that run together: a
// link is as broad as the share of the genes that is expected to have come by it.
type streams struct {
	*ancestryPlan
	wide   []float64 // cards of each row
	cards  []float64
	unions []float64 // shares of the subject's genes; below 0 where not worked out yet
	rowTop []float64
}

// Streams draws the ancestors of a record up to so many generations back, oldest
// on top, on a strip as wide as a page; fewer generations where that many would
// stand too close. It returns how many those are, and the records shown beside
// the subject with how many generations back each lies, the fewest. The id must
// be one of the book's. Cost as of [Ancestors].
func Streams(state *genetics.State, id string, generations int) (d *Drawing, shown int, back map[string]int) {
	s := &streams{}
	for shown = generations; ; shown-- {
		s.ancestryPlan = &ancestryPlan{ancestry: newAncestry(state, id, shown)}
		if s.fits() || shown == 0 {
			break
		}
	}
	a := s.ancestry
	s.plan()
	s.share()
	d = &Drawing{Day: state.Date(), Width: streamsWidth, Title: "Ancestors of " + id, Description: a.inWords()}
	s.rows()
	s.drawStreams(d)
	for i := range a.cards {
		s.drawStreamCard(d, i)
	}
	last := len(s.rowTop) - 1
	d.Height = s.rowTop[last] + s.tall(last) + 6
	s.explain(d)
	back = map[string]int{}
	for i := range a.cards {
		if c := a.cards[i]; i > 0 && c.stock != nil {
			back[c.stock.ID] = a.depth[c.stock.ID] + 1
			if subject := a.cards[0].stock; subject != nil {
				back[c.stock.ID]--
			}
		}
	}
	return d, shown, back
}

// fits reports whether the cards of the fullest row can be read, and whether
// there are not too many rows for a page.
func (s *streams) fits() bool {
	rows := s.inRows()
	return slices.Max(rows) <= mostInRow && len(rows) <= mostRows
}

// inRows counts the cards of every row, oldest first, those of unions between.
func (s *streams) inRows() []int {
	cards, _ := s.distances()
	last := slices.Max(cards)
	rows := make([]int, last+1)
	for _, distance := range cards {
		rows[last-distance]++
	}
	return rows
}

// plan puts the cards into rows, each as wide as its row allows.
func (s *streams) plan() {
	rows := s.inRows()
	s.wide = make([]float64, len(rows))
	for shrink := 1.0; ; shrink *= 0.95 {
		for row, n := range rows {
			s.wide[row] = shrink * min(streamsMost, streamsWidth/float64(max(1, n))-gapOf(n))
		}
		s.layOut(rows)
		if s.graph.height() <= streamsWidth || shrink < 0.6 {
			break
		}
	}
	shift, scale := (streamsWidth-s.graph.height())/2, 1.0
	if shift < 0 {
		shift, scale = 0, streamsWidth/s.graph.height()
	}
	for n := range s.graph.y {
		s.graph.y[n] = s.graph.y[n]*scale + shift
	}
	for row := range s.wide {
		s.wide[row] *= scale
	}
}

// gapOf is the room between the cards of a row of so many.
func gapOf(n int) float64 {
	if n > 7 {
		return 4
	}
	return streamsGap
}

// layOut finds the order in every row, and where each card and union stands.
func (s *streams) layOut(rows []int) {
	cards, unions := s.distances()
	last := len(rows) - 1
	s.graph = layers{columns: make([][]int32, len(rows))}
	s.card, s.union, s.ways = nil, nil, nil
	for _, distance := range cards {
		row := last - distance
		half := (s.wide[row] + gapOf(rows[row])) / 2
		s.card = append(s.card, s.graph.node(row, half, half))
	}
	for _, distance := range unions {
		s.union = append(s.union, s.graph.node(last-distance, 16, 16))
	}
	for _, l := range s.links {
		weight := 1.0
		if l.fromUnion {
			weight = 4
		}
		s.ways = append(s.ways, s.graph.join(s.from(l), s.to(l), weight, 16))
	}
	s.graph.arrange()
}

// tall is the height of the cards of a row; 0 of unions.
func (s *streams) tall(row int) float64 {
	switch {
	case (len(s.wide)-1-row)%2 == 1:
		return 0
	case s.wide[row] < slimFrom:
		return slimCard
	}
	return streamsCard
}

// share works out how much of the subject's genes comes through every card.
func (s *streams) share() {
	s.cards, s.unions = make([]float64, len(s.ancestry.cards)), make([]float64, len(s.ancestry.unions))
	for i := range s.cards {
		s.cards[i] = -1
	}
	for i := range s.unions {
		s.unions[i] = -1
	}
	s.cards[0] = 1
	for i := range s.cards {
		s.throughCard(i)
	}
}

func (s *streams) throughCard(i int) float64 {
	if s.cards[i] < 0 {
		s.cards[i] = 0
		for _, k := range s.ancestry.cards[i].out {
			s.cards[i] += s.through(k)
		}
	}
	return s.cards[i]
}

// through is the share that comes by a link.
func (s *streams) through(k int) float64 {
	l := s.links[k]
	switch {
	case l.toUnion:
		if s.unions[l.to] < 0 {
			s.unions[l.to] = 0
			for _, out := range s.ancestry.unions[l.to].out {
				s.unions[l.to] += s.through(out)
			}
		}
		return s.unions[l.to] * l.share / 2
	case l.fromUnion:
		return s.throughCard(l.to) * l.share
	}
	return s.throughCard(l.to) * s.movedShare(l)
}

// movedShare is how much of a merged lot came from one of its parts; 1 for what
// was picked.
func (s *streams) movedShare(l link) float64 {
	into, from := s.ancestry.cards[l.to].stock, s.ancestry.cards[l.from].stock
	if len(into.Merged) == 0 {
		return 1
	}
	of, total := 0.0, 0.0
	for _, part := range into.Merged {
		males, females := s.book.Moved(part.ID, into.ID)
		total += males + females
		if part.ID == from.ID {
			of = males + females
		}
	}
	if total == 0 {
		return 1
	}
	return of / total
}
