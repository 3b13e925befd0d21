package pedigree

import (
	"fmt"
	"strings"
)

var kindRules = []Rule{
	{"hybrid", Warning, "Parents of two species give hybrids, which end a pure line.", func(c *checker) { c.unlike(speciesKind) }},
	{"mixed-localities", Warning, "Populations of two places, once mixed, cannot be told apart again.", func(c *checker) { c.unlike(localityKind) }},
}

// checkLineSpecies reports lines that leave the species of some of their fish
// open.
// kind is what fish bred together should have in common.
type kind struct {
	key   string
	of    func(*Book, *Stock) string
	spawn string // what a spawn of unlike parents is
	lot   string // what a lot of unlike fish holds
	is    string // between a record and its kind
	none  string // said of a record without one; "" if that says nothing
}

var speciesKind = kind{"species", (*Book).SpeciesOf, "a hybrid", "fish of different species, whose fry will be hybrid", "is", ""}

var localityKind = kind{"locality", (*Book).LocalityOf, "of mixed localities", "fish of mixed localities", "is of", "no stated locality"}

// unlike reports spawns and merged lots of fish that differ in a kind, unless
// the spawn says that it was intended.
func (c *checker) unlike(k kind) {
	var group kindGroup
	for i, p := range c.named {
		if i == 0 || c.named[i-1].spawn != p.spawn {
			c.reportSpawn(group, k)
			group = kindGroup{spawn: p.spawn}
		}
		if !p.spawn.Intended {
			group.add(c.book, k, p.stock, p.path)
		}
	}
	c.reportSpawn(group, k)
	for _, s := range c.book.Stock {
		group = kindGroup{}
		for _, part := range s.Merged {
			if from := c.book.StockByID(part.ID); from != nil {
				group.add(c.book, k, from, func() string { return "merged." + from.ID })
			}
		}
		if group.other != nil {
			c.reportUnlike(group, k, s.Where, fmt.Sprintf("%s puts together %s", s.ID, k.lot),
				"keep them apart, unless this is meant: once together they cannot be told apart")
		}
	}
}

// kindGroup is fish that breed together: the first of them, and the first that
// is not like it.
type kindGroup struct {
	spawn        *Spawn
	first, other *Stock
	kinds        [2]string
	path         func() string // where the other is named
}

func (g *kindGroup) add(b *Book, k kind, s *Stock, path func() string) {
	text := strings.TrimSpace(k.of(b, s))
	switch {
	case text == "" && k.none == "" || g.other != nil:
	case g.first == nil:
		g.first, g.kinds[0] = s, text
	case !strings.EqualFold(text, g.kinds[0]):
		g.other, g.kinds[1], g.path = s, text, path
	}
}

func (c *checker) reportSpawn(g kindGroup, k kind) {
	if g.other != nil {
		c.reportUnlike(g, k, g.spawn.Where, fmt.Sprintf("this spawn%s is %s", ofDay(g.spawn.Date), k.spawn),
			"if this was meant, write `intended: true` on the spawn, and keep its fry as a line of their own")
	}
}

func (c *checker) reportUnlike(g kindGroup, k kind, where Where, begin, hint string) {
	var says [2]string
	var places []Place
	for i, s := range [...]*Stock{g.first, g.other} {
		text := g.kinds[i]
		if text == "" {
			text = k.none
		}
		says[i] = fmt.Sprintf("%s %s %s", s.ID, k.is, text)
		places = append(places, s.place(k.key, says[i]))
	}
	c.add(Problem{
		Position: where.At(g.path()),
		Message:  fmt.Sprintf("%s: %s, %s", begin, says[0], says[1]),
		Hint:     hint, Places: places,
	})
}
