package chart

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roebook/pedigree"
)

// What flows in at the top of a chart of streams is where genetics says that the
// genes are from, for every record of which nothing is left out. (Merged lots
// are left aside: a stream out of one does not tell its males from its females.)
func TestStreamsCarryWhatGeneticsSays(t *testing.T) {
	state := demo(t)
	book := state.Model().Book()
	checked := 0
	for _, stock := range book.Stock {
		want, ok := state.Ancestry(stock.ID)
		s := &streams{ancestryPlan: &ancestryPlan{ancestry: newAncestry(state, stock.ID, 30)}}
		if !ok || s.merges() {
			continue
		}
		s.plan()
		s.share()
		checked++
		var got [4]float64
		for i, c := range s.ancestry.cards {
			if len(c.in) == 0 {
				got[c.symbol.origin] += s.cards[i]
			}
		}
		if math.Abs(got[wild]-want.Wild)+math.Abs(got[bought]-want.Bought)+math.Abs(got[unknown]-want.Unknown) > 1e-9 {
			t.Errorf("%s: wild %v, bought %v, unknown %v; want %+v", stock.ID, got[wild], got[bought], got[unknown], want)
		}
	}
	if checked < 20 {
		t.Errorf("only %d records", checked)
	}
}

func (s *streams) merges() bool {
	for _, c := range s.ancestry.cards {
		if c.stock != nil && len(c.stock.Merged) > 0 {
			return true
		}
	}
	return false
}

// A chart of streams keeps to its strip, whatever the record, and all that its
// legend has words for is a sign of the other charts.
func TestStreamsKeepToTheStrip(t *testing.T) {
	state := demo(t)
	known := map[string]bool{}
	for _, stock := range state.Model().Book().Stock {
		d, shown, back := Streams(state, stock.ID, 4)
		if shown < 1 || shown > 4 {
			t.Errorf("%s: %d generations", stock.ID, shown)
		}
		for id, n := range back {
			if n < 0 || n > shown {
				t.Errorf("%s: %s lies %d generations back", stock.ID, id, n)
			}
		}
		for _, s := range d.shapes {
			if s.text == "" {
				continue
			}
			if b := s.box(); b.x0 < -1 || b.x1 > d.Width+1 || b.y1 > d.Height+1 {
				t.Errorf("%s: %q stands outside, %+v of %v x %v", stock.ID, s.text, b, d.Width, d.Height)
			}
		}
		a := newAncestry(state, stock.ID, 4)
		for _, k := range a.keys() {
			known[k.means] = true
		}
	}
	for means := range shortKeys {
		if !known[means] && !strings.HasPrefix(means, "sex not known") {
			t.Errorf("no chart has a sign for %q", means)
		}
	}
	d, _, _ := Streams(state, "TF-D4", 4)
	golden(t, "streams.txt", words(d))
}

// Sixteen great-great-grandparents, all different, stand side by side, each with
// its whole name, and a sixteenth of the genes comes from each.
func TestStreamsOfSixteen(t *testing.T) {
	book := &pedigree.Book{Name: "sixteen", Lines: []*pedigree.Line{{Name: "x"}}}
	for n := 1; n < 64; n++ {
		s := &pedigree.Stock{ID: fmt.Sprintf("AB-%d", n), Line: "x", Sex: pedigree.Male + pedigree.Sex(n%2), Wild: &pedigree.Wild{}}
		if n < 32 {
			spawn := &pedigree.Spawn{ID: fmt.Sprintf("S%d", n), Line: "x"}
			spawn.Sire.Candidates = []pedigree.Candidate{{ID: fmt.Sprintf("AB-%d", 2*n), Odds: 1}}
			spawn.Dam.Candidates = []pedigree.Candidate{{ID: fmt.Sprintf("AB-%d", 2*n+1), Odds: 1}}
			book.Spawns = append(book.Spawns, spawn)
			s.Wild, s.FromSpawns = nil, []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}
		}
		book.Stock = append(book.Stock, s)
	}
	book.Arrange()
	d, shown, back := Streams(stateOf(t, book), "AB-1", 4)
	if shown != 4 || len(back) != 30 || back["AB-31"] != 4 {
		t.Errorf("%d generations, %d ancestors", shown, len(back))
	}
	var boxes []box
	for _, s := range d.shapes {
		if !strings.HasPrefix(s.text, "AB-") {
			continue
		}
		if strings.HasSuffix(s.text, "…") {
			t.Errorf("a name is cut: %q", s.text)
		}
		for _, other := range boxes {
			if other.overlaps(s.box()) {
				t.Errorf("%q stands on another name", s.text)
			}
		}
		boxes = append(boxes, s.box())
	}
	if len(boxes) != 31 {
		t.Errorf("%d names", len(boxes))
	}
	s := &streams{ancestryPlan: &ancestryPlan{ancestry: newAncestry(stateOf(t, book), "AB-1", 4)}}
	s.share()
	for i, c := range s.ancestry.cards {
		if want := math.Pow(0.5, float64(back[c.stock.ID])); i > 0 && s.cards[i] != want {
			t.Errorf("%s gives %v, want %v", c.stock.ID, s.cards[i], want)
		}
	}
}
