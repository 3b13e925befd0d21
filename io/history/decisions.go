package history

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"roebook/genetics"
)

// Who decided what is not in a book; what changed is. Both ends are looked at in
// the book of today, so that what is known better now is told apart from what
// was done: the fish of then, weighed by what is known now, and the fish of now.

// decisions splits the change of gene diversity.
func (c *comparison) decisions(out *LineChange) {
	model := c.after.State.Model()
	then := model.On(c.then())
	was, is := weigh(then, c.line), weigh(c.after.State, c.line)
	start, ok := model.MeanKinship(was.all(nil, nil))
	if !ok {
		return
	}
	end := out.After.MeanKinship
	out.Corrected = out.Before.MeanKinship - start
	out.Together = start - end
	for _, d := range c.changes(was, is) {
		without, ok := model.MeanKinship(is.all(d.from, was))
		if !ok {
			continue // the line is nothing but this
		}
		d.Effect = without - end
		out.Together -= d.Effect
		out.Decisions = append(out.Decisions, d)
	}
	slices.SortStableFunc(out.Decisions, func(a, b Decision) int { return cmp.Compare(math.Abs(b.Effect), math.Abs(a.Effect)) })
}

// weighed are the living records of a line on a day.
type weighed map[string]genetics.Weighed

func weigh(s *genetics.State, line string) weighed {
	out := weighed{}
	for _, m := range s.Living(line).Records {
		if v, ok := s.Vector(m.Stock.ID); ok {
			out[m.Stock.ID] = genetics.Weighed{Vector: v, Heads: m.Heads}
		}
	}
	return out
}

// all lists the records, with those of a decision as they are in another list.
func (w weighed) all(except map[string]bool, instead weighed) []genetics.Weighed {
	var list []genetics.Weighed
	for _, id := range slices.Sorted(maps.Keys(w)) { // in one order, so that the sums are the same each time
		if !except[id] {
			list = append(list, w[id])
		}
	}
	for _, id := range slices.Sorted(maps.Keys(except)) {
		if fish, ok := instead[id]; ok {
			list = append(list, fish)
		}
	}
	return list
}

// changes groups the records that are not as they were: young by their spawn,
// and records that took fish from each other.
func (c *comparison) changes(was, is weighed) []Decision {
	book := c.after.Book
	changed := map[string]bool{}
	for id, fish := range is {
		changed[id] = was[id].Heads != fish.Heads
	}
	for id := range was {
		changed[id] = changed[id] || is[id].Heads != was[id].Heads
	}
	groups := newGroups()
	for id, yes := range changed {
		s := book.StockByID(id)
		if !yes || s == nil {
			continue
		}
		groups.join(id, id)
		_, old := was[id]
		if len(s.FromSpawns) == 1 && !old {
			groups.join(id, "spawn "+s.FromSpawns[0].Spawn)
		}
		if changed[s.Picked] {
			groups.join(id, s.Picked)
		}
		for _, part := range s.Merged {
			if changed[part.ID] {
				groups.join(id, part.ID)
			}
		}
	}
	var list []Decision
	for _, members := range groups.all() {
		list = append(list, decisionOf(members, was, is))
	}
	slices.SortFunc(list, func(a, b Decision) int { return strings.Compare(a.Records[0], b.Records[0]) })
	return list
}

func decisionOf(members []string, was, is weighed) Decision {
	d := Decision{from: map[string]bool{}}
	spawns := 0
	for _, id := range members {
		if spawn, ok := strings.CutPrefix(id, "spawn "); ok { // no id holds a space
			d.Spawn = spawn
			spawns++
			continue
		}
		d.Records = append(d.Records, id)
		d.from[id] = true
		if more := is[id].Heads - was[id].Heads; more > 0 {
			d.Came += more
		} else {
			d.Left -= more
		}
	}
	if spawns > 1 {
		d.Spawn = ""
	}
	slices.Sort(d.Records)
	if len(d.Records) > 1 && d.Spawn == "" { // what moved between them
		moved := min(d.Came, d.Left)
		d.Came, d.Left = d.Came-moved, d.Left-moved
	}
	return d
}

// groups joins names that belong together.
type groups map[string]string

func newGroups() groups { return groups{} }

func (g groups) find(name string) string {
	if g[name] == "" {
		g[name] = name
	}
	for g[name] != name {
		name = g[name]
	}
	return name
}

func (g groups) join(a, b string) { g[g.find(a)] = g.find(b) }

func (g groups) all() map[string][]string {
	out := map[string][]string{}
	for name := range g {
		root := g.find(name)
		out[root] = append(out[root], name)
	}
	return out
}
