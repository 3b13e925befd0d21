package history

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// Turned is what a record says otherwise than it did: who it is, whose young, and
// when. Counts, tanks and notes are not among it; they change every evening.
type Turned struct {
	ID   string
	What string // sex, origin, born, date, sire, dam, group, repeat; record: it is gone
	Was  string
	Is   string // "" for nothing
	pedigree.Position
}

// TurnedSince lists what records of a book say otherwise than in an earlier
// version of it, by place, and then the records that are gone, by id. What was
// not stated and is now is no contradiction and not listed. O(n).
func TurnedSince(before, after *pedigree.Book) []Turned {
	var list []Turned
	compare := func(id string, where pedigree.Where, was, is []statement) {
		for i, s := range was {
			if now := is[i]; s.says != now.says && s.says != "" {
				list = append(list, Turned{id, s.what, s.says, now.says, where.At(now.key)})
			}
		}
	}
	for _, s := range after.Stock {
		if old := before.StockByID(s.ID); old != nil && after.StockByID(s.ID) == s {
			compare(s.ID, s.Where, ofStock(old), ofStock(s))
		}
	}
	for _, s := range after.Spawns {
		if old := before.SpawnByID(s.ID); old != nil && after.SpawnByID(s.ID) == s {
			compare(s.ID, s.Where, ofSpawn(old), ofSpawn(s))
		}
	}
	slices.SortStableFunc(list, func(a, b Turned) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		return a.Line - b.Line
	})
	gone := func(id string, at pedigree.Position) {
		if after.StockByID(id) == nil && after.SpawnByID(id) == nil {
			list = append(list, Turned{ID: id, What: "record", Was: "in " + at.File, Position: pedigree.Position{File: at.File}})
		}
	}
	for _, s := range before.Stock {
		gone(s.ID, s.Where.Position)
	}
	for _, s := range before.Spawns {
		gone(s.ID, s.Where.Position)
	}
	return list
}

// statement is one thing that a record says, with the key that says it.
type statement struct{ what, key, says string }

func ofStock(s *pedigree.Stock) []statement {
	sex := s.Sex.String()
	if s.Lot {
		sex = "" // its counts change
	}
	if s.Sex == pedigree.Unsexed {
		sex = "" // and then it is told
	}
	origin, key := originOf(s)
	return []statement{{"sex", "sex", sex}, {"origin", key, origin}, {"born", "born", s.Born.String()}, {"date", "date", s.Date.String()}}
}

// originOf says where a record came from, in short.
func originOf(s *pedigree.Stock) (says, key string) {
	switch {
	case s.Wild != nil:
		return strings.TrimSpace("caught " + s.Wild.Date.String()), "wild"
	case s.Bought != nil:
		return strings.TrimSpace("bought " + s.Bought.Date.String()), "bought"
	case s.Picked != "":
		return "picked out of " + s.Picked, "picked"
	case len(s.FromSpawns) > 0:
		var parts []string
		for _, from := range s.FromSpawns {
			parts = append(parts, withShare(from.Spawn, from.Share, len(s.FromSpawns) > 1))
		}
		return "young of " + strings.Join(parts, ", "), "spawn"
	case len(s.Merged) > 0:
		var parts []string
		for _, part := range s.Merged {
			parts = append(parts, part.ID)
		}
		return "put together from " + strings.Join(parts, ", "), "merged"
	}
	return "", ""
}

func withShare(id string, share float64, stated bool) string {
	if !stated {
		return id
	}
	return fmt.Sprintf("%s (%s)", id, strconv.FormatFloat(share, 'g', -1, 64))
}

func ofSpawn(s *pedigree.Spawn) []statement {
	side := func(x pedigree.Side) string {
		var parts []string
		for _, c := range x.Candidates {
			parts = append(parts, withShare(c.ID, c.Odds, x.Odds))
		}
		slices.Sort(parts)
		return strings.Join(parts, " or ")
	}
	group := slices.Clone(s.Group)
	slices.Sort(group)
	return []statement{{"date", "date", s.Date.String()}, {"sire", "sire", side(s.Sire)}, {"dam", "dam", side(s.Dam)},
		{"group", "group", strings.Join(group, " or ")}, {"repeat", "repeat", s.Repeat}}
}
