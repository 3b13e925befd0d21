package main

import (
	"fmt"
	"math"
	"strings"

	"roebook/pedigree"
)

// role is how an ancestor stands to a fish by the nearest way: so many
// generations back, on which side, and whether for certain.
type role struct {
	depth   int          // -1: not an ancestor
	sex     pedigree.Sex // of the ancestor as a parent; Unsexed: both
	certain bool
	surely  bool // it is an ancestor for certain, be it by another way
	self    bool
	picked  bool // only in that its fish were picked out of the ancestor
}

// forebear is the depth from which ancestors have no name of their own.
const forebear = 4

const outOf = "out of which came "

// both says how an ancestor stands to two fish, for a sentence that begins with
// its id.
func (r *roles) both(a, b string, ancestor *pedigree.Stock) string {
	x, y := r.of(a, ancestor), r.of(b, ancestor)
	switch {
	case x.self:
		return " itself, " + y.words(ancestor.Lot, b)
	case y.self:
		return " itself, " + x.words(ancestor.Lot, a)
	case x == y && x.depth == 0:
		return ", which both came out of"
	case x == y:
		return ", " + x.words(ancestor.Lot, r.together(a, b, x))
	case x.depth >= forebear && y.depth >= forebear:
		x.surely = x.surely && y.surely
		return ", " + x.lead(ancestor.Lot) + "forebear of both, " + fmt.Sprintf("%d and %d generations back", x.depth, y.depth)
	}
	second := y.words(ancestor.Lot, b)
	if x.depth > 0 {
		second = strings.TrimPrefix(second, outOf)
	}
	return ", " + x.words(ancestor.Lot, a) + " and " + second
}

// together names two fish by their spawns where the ancestor is a parent:
// "both litters".
func (r *roles) together(a, b string, x role) string {
	if x.depth != 1 {
		return "both"
	}
	first, second := r.spawnOf(a), r.spawnOf(b)
	if first == nil || second == nil || broodWord(r.book, first.Line) != broodWord(r.book, second.Line) {
		return "both"
	}
	word := broodWord(r.book, first.Line)
	if first == second {
		return "their " + word
	}
	return "both " + plural(word)
}

// spawnOf is the one spawn that a fish is of, nil where there is not just one.
func (r *roles) spawnOf(id string) *pedigree.Spawn {
	if spawn := r.book.SpawnByID(id); spawn != nil {
		return spawn
	}
	if spawns := broughtBy(r.book, r.book.StockByID(id)); len(spawns) == 1 {
		return spawns[0]
	}
	return nil
}

// words says how the ancestor stands to whom.
func (r role) words(lot bool, whom string) string {
	switch {
	case r.depth < 0:
		return "kin of " + whom
	case r.depth == 0:
		return "which " + whom + " came out of"
	case r.depth >= forebear:
		return r.lead(lot) + "forebear of " + whom + fmt.Sprintf(", %d generations back", r.depth)
	}
	return r.lead(lot) + r.noun() + " of " + whom
}

// lead is the article of a role, with its doubt.
func (r role) lead(lot bool) string {
	switch {
	case lot:
		return outOf + "a "
	case r.depth == 1 && r.certain && r.sex != pedigree.Unsexed:
		return "the "
	case !r.certain && (r.depth < forebear || !r.surely):
		return "possibly a "
	}
	return "a "
}

func (r role) noun() string {
	base := [3]string{"parent", "sire", "dam"}[r.sex]
	switch r.depth {
	case 2:
		return "grand" + base
	case 3:
		return "great-grand" + base
	}
	return base
}

// roles finds how ancestors stand to fish.
type roles struct {
	book  *pedigree.Book
	found map[string]map[string]role
	taken map[string][]*pedigree.Stock // what was picked out of a lot
}

func newRoles(book *pedigree.Book) *roles {
	r := &roles{book: book, found: make(map[string]map[string]role), taken: make(map[string][]*pedigree.Stock)}
	for _, s := range book.Stock {
		if s.Picked != "" {
			r.taken[s.Picked] = append(r.taken[s.Picked], s)
		}
	}
	return r
}

func (r *roles) of(id string, ancestor *pedigree.Stock) role {
	if r.found[id] == nil {
		r.found[id] = r.search(id)
	}
	if found, ok := r.found[id][ancestor.ID]; ok {
		found.picked = false
		return found
	}
	return role{depth: -1}
}

// step is one record reached on the way up.
type step struct {
	id   string
	role role
}

// search walks up from a record, nearest first. A record is walked from a
// second time only where it turns out to be an ancestor for certain.
func (r *roles) search(id string) map[string]role {
	found := make(map[string]role)
	queue := []step{{id, role{certain: true, self: true}}}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		before, seen := found[at.id]
		switch same := before.depth == at.role.depth && !before.self; {
		case !seen:
			before = at.role
		case same && before.picked && !at.role.picked:
			at.role.surely = before.surely
			before = at.role
		case same && before.picked == at.role.picked && before.sex != at.role.sex:
			before.sex = pedigree.Unsexed
		}
		news := !seen || at.role.certain && !before.surely
		before.surely = before.surely || at.role.certain
		found[at.id] = before
		if news {
			queue = append(queue, r.up(at)...)
		}
	}
	return found
}

// up lists what a record came from.
func (r *roles) up(at step) []step {
	same := at.role
	same.self = false
	if spawn := r.book.SpawnByID(at.id); spawn != nil {
		return append(r.parents(spawn, pedigree.Male, same), r.parents(spawn, pedigree.Female, same)...)
	}
	s := r.book.StockByID(at.id)
	var list []step
	if s.Picked != "" {
		lot := same
		lot.picked = true
		list = append(list, step{s.Picked, lot})
	}
	if len(s.Merged) > 1 || len(s.FromSpawns) > 1 {
		same.certain = false
	}
	for _, part := range s.Merged {
		list = append(list, step{part.ID, same})
	}
	for _, from := range s.FromSpawns {
		if spawn := r.book.SpawnByID(from.Spawn); spawn != nil {
			list = append(list, r.parents(spawn, pedigree.Male, same)...)
			list = append(list, r.parents(spawn, pedigree.Female, same)...)
		}
	}
	return list
}

// parents lists the possible parents of one side, and the fish picked later out
// of the lots among them.
func (r *roles) parents(spawn *pedigree.Spawn, sex pedigree.Sex, below role) []step {
	contributors := r.book.Contributors(spawn, sex)
	up := role{depth: below.depth + 1, sex: sex, certain: below.certain}
	if len(contributors) != 1 || contributors[0].Stock.Lot && math.Abs(contributors[0].Fish-1) > 1e-9 {
		up.certain = false
	}
	first := r.book.FirstOf(spawn)
	var list []step
	for _, c := range contributors {
		list = append(list, step{c.Stock.ID, up})
		maybe := up
		maybe.certain = false
		list = append(list, r.later(c.Stock.ID, first, sex, maybe)...)
	}
	return list
}

// later lists what was picked out of a lot after it had bred.
func (r *roles) later(lot string, spawn *pedigree.Spawn, sex pedigree.Sex, up role) []step {
	var list []step
	for _, s := range r.taken[lot] {
		if s.Date <= spawn.When() || !s.Lot && s.Sex != sex && s.Sex != pedigree.Unsexed {
			continue
		}
		list = append(list, step{s.ID, up})
		list = append(list, r.later(s.ID, spawn, sex, up)...)
	}
	return list
}
