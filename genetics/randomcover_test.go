package genetics_test

import (
	"testing"

	"roebook/pedigree"
)

// features returns what a book holds of all that records can say.
func features(book *pedigree.Book, p *play) map[string]bool {
	has := map[string]bool{}
	for _, line := range book.Lines {
		if line.RelatedFounders != nil {
			has["related founders"] = true
		}
		has["two groups of related founders"] = has["two groups of related founders"] || len(line.RelatedFounders) > 1
	}
	for _, s := range book.Stock {
		stockFeatures(s, book, has)
	}
	for _, lot := range p.lots {
		lotFeatures(lot, has)
	}
	for _, s := range book.Spawns {
		spawnFeatures(s, p, has)
	}
	return has
}

func stockFeatures(s *pedigree.Stock, book *pedigree.Book, has map[string]bool) {
	kind := map[bool]string{false: "fish ", true: "lot "}[s.Lot]
	switch {
	case s.Wild != nil:
		has[kind+"wild"] = true
		has["wild lot, related"] = has["wild lot, related"] || s.Wild.Related > 0
	case s.Bought != nil:
		has[kind+"bought"] = true
		has["bought lot, nothing stated"] = has["bought lot, nothing stated"] || s.Lot && !s.Bought.RelatedStated
		switch s.Bought.Inbreeding {
		case 0.5:
			has[kind+"half inbred"] = true
		case 1:
			has[kind+"fully inbred"] = true
		}
	case len(s.FromSpawns) == 1:
		has[kind+"of a spawn"] = true
	case len(s.FromSpawns) > 1:
		has[kind+"of several spawns"] = true
		total := 0
		for _, from := range s.FromSpawns {
			total += int(from.Share)
		}
		has["mixed lot of fewer fish"] = has["mixed lot of fewer fish"] || s.Lot && s.Count.Total() < total
	case s.Picked != "":
		has[kind+"picked "+map[bool]string{true: "dated", false: "undated"}[s.Date.Known()]] = true
		if !s.Lot {
			has["picked "+s.Sex.String()] = true
		} else if s.Count.Unsexed > 0 {
			has["unsexed sublot"] = true
		}
	case s.Merged != nil:
		mergedFeatures(s, book, has)
	}
	has[kind+"died"] = has[kind+"died"] || s.Died.Known()
	has["retired"] = has["retired"] || s.Retired.Known()
	for _, sale := range s.Sold {
		has[map[bool]string{true: "sold some", false: "sold all"}[sale.Numbered]] = true
	}
}

func mergedFeatures(s *pedigree.Stock, book *pedigree.Book, has map[string]bool) {
	has["merged"] = true
	for _, part := range s.Merged {
		from := book.StockByID(part.ID)
		switch {
		case !from.Lot:
			has["fish merged"] = true
			for _, other := range s.Merged {
				has["fish put back"] = has["fish put back"] || other.ID == from.Picked
			}
		case part.Whole:
			has["moved by a bare number"] = true
		default:
			has["moved by sex"] = true
		}
		has["merged lot merged"] = has["merged lot merged"] || from.Merged != nil
	}
}

func lotFeatures(lot *lotPlan, has map[string]bool) {
	for i, s := range lot.stages {
		if s.census {
			has["census"] = true
			if s.after.Total() < s.before.Total() {
				has["deaths at a census"] = true
				has["deaths in a merged lot"] = has["deaths in a merged lot"] || lot.stock.Merged != nil
			}
			if s.before.Unsexed > s.after.Unsexed+s.before.Total()-s.after.Total() {
				has["sexes told"] = true
				for _, use := range lot.spawns {
					has["sexes told after a spawn"] = has["sexes told after a spawn"] || use.stage <= i && s.before.Males != int(s.males)
				}
			}
		}
		for _, use := range lot.spawns {
			if use.stage <= i && !s.census {
				has["taken out after a spawn"] = true
				has["unsexed picked after a spawn"] = has["unsexed picked after a spawn"] || s.unsexedPick
			}
			if use.stage > i {
				has["bred after a change"] = true
				has["bred after an unsexed pick"] = has["bred after an unsexed pick"] || s.unsexedPick
			}
		}
	}
	for _, use := range lot.spawns {
		has["bred in a merged lot"] = has["bred in a merged lot"] || lot.stock.Merged != nil
		has["bred in a mixed lot"] = has["bred in a mixed lot"] || len(lot.stock.FromSpawns) > 1
		has["bred in a sublot"] = has["bred in a sublot"] || lot.stock.Picked != ""
		has["bred in an unsexed lot"] = has["bred in an unsexed lot"] || lot.stock.Count.Unsexed > 0 && use.spawn.Group != nil
		has["bred in a lot twice"] = has["bred in a lot twice"] || len(lot.spawns) > 2
	}
}

func spawnFeatures(s *pedigree.Spawn, p *play, has map[string]bool) {
	has["repeat"] = has["repeat"] || s.Repeat != ""
	has["planned"] = has["planned"] || s.IsPlanned()
	has["undated spawn"] = has["undated spawn"] || !s.Date.Known() && !s.IsPlanned()
	if s.Repeat != "" {
		return
	}
	if s.Group != nil {
		has["group"] = true
		has["group of several"] = has["group of several"] || len(s.Group) > 1
	} else {
		has["both parents unknown"] = has["both parents unknown"] || len(s.Sire.Candidates)+len(s.Dam.Candidates) == 0
	}
	for i, side := range []pedigree.Side{s.Sire, s.Dam} {
		k := []pedigree.Parents{s.Sires, s.Dams}[i]
		who := "one"
		switch {
		case s.Group != nil:
			who = "group"
		case len(side.Candidates) == 0:
			who = "unknown"
		case side.Odds:
			who = "odds"
		case len(side.Candidates) > 1:
			who = "list"
		case p.lots[side.Candidates[0].ID] != nil:
			who = "lot"
		}
		many := ", one parent"
		if k.All {
			many = ", all parents"
		} else if k.N > 1 {
			many = ", several parents"
		}
		has[who+many] = true
	}
}

// Every feature must be met in the random books, or the comparison with the
// simulator says nothing about it.
func TestRandomBooksCoverTheRecords(t *testing.T) {
	const books = 300
	seen := map[string]int{}
	for seed := range uint64(books) {
		for f, yes := range features(randomBook(seed)) {
			if yes {
				seen[f]++
			}
		}
	}
	want := []string{
		"related founders", "two groups of related founders", "fish wild", "lot wild", "wild lot, related", "fish bought", "lot bought",
		"bought lot, nothing stated", "fish half inbred", "lot half inbred", "fish fully inbred", "lot fully inbred",
		"fish of a spawn", "lot of a spawn", "fish of several spawns", "lot of several spawns", "mixed lot of fewer fish",
		"fish picked dated", "fish picked undated", "lot picked dated", "lot picked undated",
		"picked male", "picked female", "picked unsexed", "unsexed sublot",
		"merged", "fish merged", "fish put back", "moved by a bare number", "moved by sex", "merged lot merged",
		"fish died", "lot died", "retired", "sold some", "sold all",
		"census", "deaths at a census", "deaths in a merged lot", "sexes told", "sexes told after a spawn",
		"taken out after a spawn", "unsexed picked after a spawn", "bred after a change", "bred after an unsexed pick",
		"bred in a merged lot", "bred in a mixed lot", "bred in a sublot", "bred in an unsexed lot", "bred in a lot twice",
		"repeat", "planned", "undated spawn", "group", "group of several", "both parents unknown",
		"one, one parent", "one, several parents", "one, all parents",
		"lot, one parent", "lot, several parents", "lot, all parents",
		"list, one parent", "list, several parents", "list, all parents",
		"odds, one parent", "odds, all parents",
		"group, one parent", "group, several parents", "group, all parents",
		"unknown, one parent", "unknown, several parents",
	}
	for _, f := range want {
		t.Logf("%4d %s", seen[f], f)
		if seen[f] < 2 {
			t.Errorf("%s: in %d of %d random books", f, seen[f], books)
		}
	}
}
