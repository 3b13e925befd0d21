package chart

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"roebook/genetics"
)

// drawings are all kinds of chart of a book, those of fish and spawns for every
// so many of them.
func drawings(s *genetics.State, outlook *Outlook, every int) map[string]*Drawing {
	book := s.Model().Book()
	list := map[string]*Drawing{}
	for i, stock := range book.Stock {
		if i%every > 0 {
			continue
		}
		list["ancestors "+stock.ID] = Ancestors(s, stock.ID, 4)
		list["founders "+stock.ID] = FoundersOf(s, stock.ID)
		if _, ok := InbredFrom(book, stock.ID); ok {
			list["inbreeding "+stock.ID] = Inbreeding(s, stock.ID)
		}
	}
	for i, spawn := range book.Spawns {
		if i%(2*every) > 0 {
			continue
		}
		list["ancestors "+spawn.ID] = Ancestors(s, spawn.ID, 0)
	}
	for _, line := range book.Lines {
		list["descent "+line.Name] = Descent(s, line.Name)
		list["founders "+line.Name] = FoundersOfLine(s, line.Name)
		list["history "+line.Name] = History(s, line.Name, nil)
		list["outlook "+line.Name] = History(s, line.Name, outlook)
		var ids []string
		for _, member := range s.Living(line.Name).Records {
			ids = append(ids, member.Stock.ID)
		}
		list["kinship "+line.Name] = Kinship(s, "Kinship in "+line.Name, ids)
	}
	return list
}

func someOutlook() *Outlook {
	return &Outlook{Words: "forecast: 8 of 10 runs end in the band",
		Diversity:  []Expected{{2028, 0.7, 0.8, 0.86}, {2029, 0.6, 0.75, 0.85}},
		Inbreeding: []Expected{{2028, 0.01, 0.04, 0.09}, {2029, 0.02, 0.06, 0.14}}}
}

// overlaps are the pairs of texts that stand on each other, and those that reach
// beyond the sheet.
func overlaps(d *Drawing) (list []string) {
	type labelled struct {
		box
		text string
	}
	var boxes []labelled
	for _, s := range d.shapes {
		if s.text == "" {
			continue
		}
		b := s.box()
		if b.x0 < 0 || b.y0 < 0 || b.x1 > d.Width || b.y1 > d.Height {
			list = append(list, fmt.Sprintf("%q reaches beyond the sheet: %v of %.0f × %.0f", s.text, b, d.Width, d.Height))
		}
		boxes = append(boxes, labelled{b, s.text})
	}
	slices.SortFunc(boxes, func(a, b labelled) int { return int(a.y0*100) - int(b.y0*100) })
	for i, a := range boxes {
		for _, b := range boxes[i+1:] {
			if b.y0 >= a.y1 {
				break
			}
			if a.overlaps(b.box) {
				list = append(list, fmt.Sprintf("%q and %q overlap at %.0f,%.0f", a.text, b.text, b.x0, b.y0))
			}
		}
	}
	return list
}

func TestNoTextStandsOnAnother(t *testing.T) {
	for name, list := range map[string]map[string]*Drawing{"demo": drawings(demo(t), someOutlook(), 2), "random": drawings(stateOf(t, bigBook(300)), someOutlook(), 40)} {
		for of, d := range list {
			if bad := overlaps(d); len(bad) > 0 {
				t.Errorf("%s, %s: %d, such as\n%s", name, of, len(bad), strings.Join(bad[:min(3, len(bad))], "\n"))
			}
		}
	}
}

// cards do not stand on each other, and no line ends within one.
func TestCardsStandApart(t *testing.T) {
	state := stateOf(t, bigBook(400))
	a := newAncestry(state, "R300", 12)
	p := a.plan()
	var boxes []box
	for i := range a.cards {
		x, y, h := p.x[p.graph.column[p.card[i]]], p.graph.y[p.card[i]], a.cardSize(i)
		b := box{x, y - h/2, x + cardWidth, y + h/2}
		for k, other := range boxes {
			if b.overlaps(other) {
				t.Errorf("card %d stands on card %d", i, k)
			}
		}
		boxes = append(boxes, b)
	}
	if len(boxes) < 30 {
		t.Errorf("only %d cards", len(boxes))
	}
}
