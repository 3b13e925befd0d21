package pedigree

import "fmt"

// Small records for the tests of this package. All names are invented.

func day(text string) Date {
	d, err := ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

func line(edit func(*Line)) *Line {
	l := &Line{Name: "amber-spring", Species: "Xenotoca variata", Locality: "Amber Spring"}
	if edit != nil {
		edit(l)
	}
	return l
}

// fish makes one wild-caught fish.
func fish(id string, sex Sex, edits ...func(*Stock)) *Stock {
	s := &Stock{ID: id, Line: "amber-spring", Sex: sex, Wild: &Wild{}}
	for _, edit := range edits {
		edit(s)
	}
	return s
}

// lot makes a wild-caught lot.
func lot(id string, males, females, unsexed int, edits ...func(*Stock)) *Stock {
	s := fish(id, Unsexed, edits...)
	s.Lot, s.Count = true, Count{males, females, unsexed}
	return s
}

func begins(date string) func(*Stock) { return func(s *Stock) { s.Date = day(date) } }

func picked(from, date string) func(*Stock) {
	return func(s *Stock) {
		s.Wild, s.Picked = nil, from
		if date != "" {
			s.Date = day(date)
		}
	}
}

func bredFrom(spawns ...string) func(*Stock) {
	return func(s *Stock) {
		s.Wild = nil
		for _, id := range spawns {
			s.FromSpawns = append(s.FromSpawns, FromSpawn{id, 1})
		}
	}
}

func mergedOf(date string, parts ...Part) func(*Stock) {
	return func(s *Stock) { s.Wild, s.Merged, s.Date = nil, parts, day(date) }
}

func part(id string, males, females, unsexed int) Part {
	return Part{ID: id, Count: Count{males, females, unsexed}}
}

// whole is a part given by a bare number.
func whole(id string, n int) Part { return Part{ID: id, Count: Count{Unsexed: n}, Whole: true} }

func died(date string) func(*Stock) { return func(s *Stock) { s.Died = day(date) } }

func soldOn(dates ...string) func(*Stock) {
	return func(s *Stock) {
		for _, date := range dates {
			s.Sold = append(s.Sold, Sale{Date: day(date)})
		}
	}
}

func soldCount(date string, males, females, unsexed int) func(*Stock) {
	return func(s *Stock) {
		s.Sold = append(s.Sold, Sale{Date: day(date), Numbered: true, Count: Count{males, females, unsexed}})
	}
}

func lentOn(date, back string) func(*Stock) {
	return func(s *Stock) {
		loan := Loan{Date: day(date)}
		if back != "" {
			loan.Back = day(back)
		}
		s.Lent = append(s.Lent, loan)
	}
}

func census(date string, males, females, unsexed int) func(*Stock) {
	return func(s *Stock) {
		s.Changes = append(s.Changes, Change{Date: day(date), Count: Count{males, females, unsexed}})
	}
}

func bought(edit func(*Bought)) func(*Stock) {
	return func(s *Stock) {
		s.Wild, s.Bought = nil, &Bought{}
		if edit != nil {
			edit(s.Bought)
		}
	}
}

// pairing makes a spawn of the sires (split at spaces) and dams.
func pairing(id, date, sire, dam string, edits ...func(*Spawn)) *Spawn {
	s := &Spawn{ID: id, Line: "amber-spring", Sire: side(sire), Dam: side(dam)}
	if date != "" {
		s.Date = day(date)
	}
	for _, edit := range edits {
		edit(s)
	}
	return s
}

func side(ids string) (out Side) {
	for _, id := range fields(ids) {
		out.Candidates = append(out.Candidates, Candidate{ID: id, Odds: 1})
	}
	return out
}

func fields(text string) (out []string) {
	word := ""
	for _, r := range text + " " {
		if r != ' ' {
			word += string(r)
		} else if word != "" {
			out, word = append(out, word), ""
		}
	}
	return out
}

func grouping(id, date, lots string, edits ...func(*Spawn)) *Spawn {
	s := pairing(id, date, "", "", edits...)
	s.Group = fields(lots)
	return s
}

func repeating(id, date, of string) *Spawn {
	s := pairing(id, date, "", "")
	s.Repeat = of
	return s
}

func planned(id, date, sire, dam string) *Spawn {
	s := pairing(id, "", sire, dam)
	s.Planned = day(date)
	return s
}

func tally(n int) Tally { return Tally{n, true} }

// bookOf arranges a book of lines, stock and spawns. Each record stands on a
// line of its own, with every key in a column of its own.
func bookOf(records ...any) *Book {
	b := &Book{Name: "test"}
	hasLine := false
	for i, record := range records {
		at := Position{File: "lines/test.yaml", Line: i + 1, Column: 1, Width: 1}
		switch r := record.(type) {
		case *Line:
			r.Where = Where{Position: at}
			for j := range r.RelatedFounders {
				f := &r.RelatedFounders[j]
				f.Where = keysOf(Position{at.File, at.Line, 100 * (j + 1), 1}, "of", "of[0]", "of[1]", "of[2]", "kinship")
			}
			b.Lines = append(b.Lines, r)
			hasLine = true
		case *Stock:
			r.Where = keysOf(at, stockPaths(r)...)
			b.Stock = append(b.Stock, r)
		case *Spawn:
			r.Where = keysOf(at, spawnPaths(r)...)
			b.Spawns = append(b.Spawns, r)
		}
	}
	if !hasLine {
		b.Lines = append(b.Lines, line(nil))
	}
	b.Arrange()
	return b
}

func keysOf(at Position, paths ...string) Where {
	w := Where{Position: at}
	for i, path := range paths {
		at.Column = w.Column + i + 1
		w.Keys = append(w.Keys, Key{path, at})
	}
	w.SortKeys()
	return w
}

func stockPaths(s *Stock) []string {
	paths := []string{"sex", "date", "born", "died", "retired", "quarantine-until", "tank", "species", "locality"}
	if s.Lot {
		paths = append(paths, "males", "females", "unsexed")
	}
	switch {
	case s.Wild != nil:
		paths = append(paths, "wild", "wild.date")
	case s.Bought != nil:
		paths = append(paths, "bought", "bought.date")
		if s.Bought.RelatedStated {
			paths = append(paths, "bought.related")
		}
	case s.Picked != "":
		paths = append(paths, "picked")
	}
	for _, part := range s.Merged {
		paths = append(paths, "merged."+part.ID)
	}
	for _, from := range s.FromSpawns {
		paths = append(paths, "spawn."+from.Spawn)
	}
	for i := range s.Sold {
		paths = append(paths, fmt.Sprintf("sold[%d]", i), fmt.Sprintf("sold[%d].date", i))
	}
	for i := range s.Lent {
		paths = append(paths, fmt.Sprintf("lent[%d]", i), fmt.Sprintf("lent[%d].date", i), fmt.Sprintf("lent[%d].back", i))
	}
	for i := range s.Changes {
		paths = append(paths, fmt.Sprintf("changes[%d]", i), fmt.Sprintf("changes[%d].date", i))
	}
	return paths
}

func spawnPaths(s *Spawn) []string {
	paths := []string{"date", "planned", "sire", "dam", "group", "repeat", "sires", "dams", "virgin", "conceived", "tank",
		"eggs", "fertile", "hatched", "born", "swimming", "kept", "deformed", "culled", "lost"}
	for _, sex := range [...]Sex{Male, Female} {
		side := s.SideOf(sex)
		for i, candidate := range side.Candidates {
			path := fmt.Sprintf("%s[%d]", sideWord(sex), i)
			if side.Odds {
				path = sideWord(sex) + "." + candidate.ID
			}
			paths = append(paths, path)
		}
	}
	for i := range s.Group {
		paths = append(paths, fmt.Sprintf("group[%d]", i))
	}
	for _, seen := range s.Seen {
		paths = append(paths, "seen."+seen.Locus)
	}
	return paths
}

// pathAt finds the key that stands at a position, for telling it in words.
func pathAt(b *Book, at Position) string {
	look := func(name string, w Where) string {
		if w.Line != at.Line {
			return ""
		}
		for _, k := range w.Keys {
			if k.Position == at {
				return name + " " + k.Path
			}
		}
		if w.Position == at {
			return name
		}
		return ""
	}
	for _, s := range b.Stock {
		if text := look(s.ID, s.Where); text != "" {
			return text
		}
	}
	for _, s := range b.Spawns {
		if text := look(s.ID, s.Where); text != "" {
			return text
		}
	}
	for _, l := range b.Lines {
		if text := look("line "+l.Name, l.Where); text != "" {
			return text
		}
		for i, f := range l.RelatedFounders {
			if text := look(fmt.Sprintf("%s related-founders[%d]", l.Name, i), f.Where); text != "" {
				return text
			}
		}
	}
	return "nowhere"
}
