package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// InbredFrom returns the spawn whose parents a record's inbreeding comes from:
// that of the spawn itself, or the one spawn that a fish or lot is of. ok is
// false for founders and for records of several spawns or lots.
func InbredFrom(book *pedigree.Book, id string) (spawn *pedigree.Spawn, ok bool) {
	if s := book.SpawnByID(id); s != nil {
		return s, !s.IsPlanned()
	}
	s := book.StockByID(id)
	if s == nil {
		return nil, false
	}
	from := book.Beginning(s).FromSpawns
	if len(from) != 1 {
		return nil, false
	}
	spawn = book.SpawnByID(from[0].Spawn)
	return spawn, spawn != nil
}

// mostParts is how many ancestors are told apart.
const mostParts = 14

// Inbreeding draws where the inbreeding of a record comes from: the parts by the
// ancestor that the parents share, and the ways from these to the record.
// [InbredFrom] must know a spawn for it.
func Inbreeding(state *genetics.State, id string) *Drawing {
	book := state.Model().Book()
	spawn, _ := InbredFrom(book, id)
	parts := state.WhyInbred(spawn.ID)
	total := 0.0
	for _, p := range parts {
		total += p.Kinship
	}
	a := newAncestry(state, id, math.MaxInt)
	title := "Where the inbreeding of " + id + " comes from"
	facts := "As of " + state.Date().String() + ". Inbreeding " + percent(total) + ": its parents are " + genetics.Relation(total) + "."
	if len(parts) == 0 {
		d := begin(state.Date(), 560, title, place(book.LineNamed(spawn.Line)), facts)
		d.paragraph("Its parents have no ancestor in common, as far as the book knows.", textSize+1, ink, 3)
		d.Description = "No inbreeding."
		return d.close(nil, expectation)
	}
	list := tell(book, parts, total)
	a.keepWays(list)
	p := a.plan()
	d := begin(state.Date(), max(p.width+2*margin, 640), title, place(book.LineNamed(spawn.Line)), facts)
	d.paragraph("Each part is what the two parents share by that ancestor itself, over what they share by its own ancestors. Together they are the whole.", textSize, faint, 3)
	d.Height += 10
	d.partBars(list, total)
	d.Height += 18
	d.write(point{margin, d.Height + 12}, "The ways by which it came", word{size: textSize + 2, bold: true})
	d.Height += 28
	p.draw(d)
	d.Description = fmt.Sprintf("%s by ancestor, greatest first, and below them the lines of descent from these ancestors to %s.", counted(len(list), "part"), id)
	return d.close(a.keys(), a.relatedFounders(), expectation)
}

// inbredPart is a part of the inbreeding as it is shown.
type inbredPart struct {
	id, words string
	value     float64
	origin    origin
	stock     string // the record that it came through, "" for none
	spawn     string // the spawn whose parent it was
}

// tell puts the parts into words, those beyond the greatest together.
func tell(book *pedigree.Book, parts []genetics.Through, total float64) []inbredPart {
	var list []inbredPart
	rest, small := 0.0, 0
	for i, t := range parts {
		if i >= mostParts || math.Abs(t.Kinship) < 0.01*total && len(parts) > 8 {
			rest += t.Kinship
			small++
			continue
		}
		list = append(list, tellOne(book, t))
	}
	slices.SortStableFunc(list, func(a, b inbredPart) int { return cmp.Compare(b.value, a.value) })
	if small > 0 {
		list = append(list, inbredPart{id: "others", words: counted(small, "smaller part") + " together", value: rest})
	}
	return list
}

func tellOne(book *pedigree.Book, t genetics.Through) inbredPart {
	p := inbredPart{id: t.ID, value: t.Kinship}
	stock := book.StockByID(t.ID)
	switch {
	case t.Related:
		p.id, p.words = "founders", "what founders share by the keeper's word"
	case t.Sex != pedigree.Unsexed:
		p.spawn = t.ID
		p.id = side(t.Sex) + " of " + t.ID
		p.words = "whichever of its candidates it was"
		if len(book.Contributors(book.SpawnByID(t.ID), t.Sex)) == 0 {
			p.words = "whom the book does not know"
		}
	case t.Kinship < 0:
		p.stock, p.words = t.ID, "taken off: two fish of this lot are never the same fish"
	case stock != nil:
		p.stock, p.origin, p.words = t.ID, originOf(book, stock), founderWords(book, stock)
		if p.words == "" || p.words == "born" {
			p.words = wildOr(book, "bred in the book", "")
		}
	}
	return p
}

// partBars lists the parts, each with its bar.
func (d *Drawing) partBars(list []inbredPart, total float64) {
	const bar, barRoom = 250.0, 200.0
	most := 0.0
	for _, p := range list {
		most = max(most, math.Abs(p.value))
	}
	for _, p := range list {
		y := d.Height + 12
		d.write(point{margin, y}, p.id, word{size: textSize + 0.5, bold: true, room: 160})
		d.write(point{margin + bar - 12, y}, signed(p.value), word{size: textSize + 0.5, anchor: end})
		w := math.Abs(p.value) / most * barRoom
		fill := p.origin.fill()
		if p.value < 0 {
			fill = paper
		}
		d.draw(rectangle(margin+bar, y-10, w, 12), look{fill: fill, stroke: ink, width: 0.8})
		d.write(point{margin + bar + barRoom + 14, y}, p.words, word{size: textSize, room: d.Width - 2*margin - bar - barRoom - 14})
		d.Height += 20
	}
	d.draw(polyline(point{margin, d.Height + 2}, point{margin + bar + barRoom, d.Height + 2}), look{stroke: ink, width: 1})
	d.write(point{margin, d.Height + 17}, "in all", word{size: textSize + 0.5, bold: true})
	d.write(point{margin + bar - 12, d.Height + 17}, signed(total), word{size: textSize + 0.5, bold: true, anchor: end})
	d.Height += 22
}

func signed(v float64) string {
	if v < 0 {
		return "−" + decimals(-100*v, 2) + " %"
	}
	return decimals(100*v, 2) + " %"
}

// keepWays leaves only the cards and unions on the ways from the ancestors of
// the parts to the subject.
func (a *ancestry) keepWays(parts []inbredPart) {
	seed, seedUnion := map[int]bool{}, map[int]bool{}
	for _, p := range parts {
		if i, ok := a.byID[p.stock]; ok {
			seed[i] = true
		}
		if s := a.book.SpawnByID(p.spawn); s != nil {
			if u, ok := a.bySpawn[s.ID]; ok {
				seedUnion[u] = true
			}
		}
	}
	cards, unions := map[int]bool{}, map[int]bool{}
	var stack []int
	keepCard := func(i int) {
		if !cards[i] {
			cards[i] = true
			stack = append(stack, i)
		}
	}
	keepUnion := func(u int) {
		if !unions[u] {
			unions[u] = true
			for _, k := range a.unions[u].out {
				keepCard(a.links[k].to)
			}
		}
	}
	keepCard(0)
	for i := range seed {
		keepCard(i)
	}
	for u := range seedUnion {
		keepUnion(u)
	}
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for _, k := range a.cards[i].out {
			if l := a.links[k]; l.toUnion {
				keepUnion(l.to)
			} else {
				keepCard(l.to)
			}
		}
	}
	a.reduce(cards, unions)
}

// reduce renumbers what is kept.
func (a *ancestry) reduce(cards, unions map[int]bool) {
	old := a.links
	keptCards, keptUnions := a.cards, a.unions
	newCard, newUnion := make([]int, len(a.cards)), make([]int, len(a.unions))
	a.cards, a.unions, a.links = nil, nil, nil
	for i, c := range keptCards {
		if newCard[i] = -1; cards[i] {
			newCard[i] = len(a.cards)
			c.in, c.out, c.cut = nil, nil, 0
			a.cards = append(a.cards, c)
		}
	}
	for i, u := range keptUnions {
		if newUnion[i] = -1; unions[i] {
			newUnion[i] = len(a.unions)
			u.in, u.out = nil, nil
			a.unions = append(a.unions, u)
		}
	}
	renumber := func(n int, union bool) int {
		if union {
			return newUnion[n]
		}
		return newCard[n]
	}
	for _, l := range old {
		l.from, l.to = renumber(l.from, l.fromUnion), renumber(l.to, l.toUnion)
		if l.from >= 0 && l.to >= 0 {
			a.connect(l)
		}
	}
	a.byID = map[string]int{}
	for i, c := range a.cards {
		if c.stock != nil {
			a.byID[c.stock.ID] = i
		}
	}
	a.recur()
}
