package chart

import (
	"strings"

	"roebook/pedigree"
)

// describe writes the lines of a card: its id, who they are, how far from the
// wild and how inbred, where from.
func (a *ancestry) describe(c *card) {
	s := c.stock
	if s == nil {
		return
	}
	head := s.ID
	if s.Name != "" {
		head += " " + s.Name
	}
	c.lines = []string{head}
	if s.Lot {
		c.lines = append(c.lines, census(censusOf(a.state, s)))
	}
	var facts []string
	if g, ok := a.state.Generation(s.ID); ok {
		facts = append(facts, g.Label())
	}
	if f, ok := a.inbreeding(s); ok && f > 0 {
		facts = append(facts, percent(f)+" inbred")
	}
	c.lines = append(c.lines, strings.Join(facts, " · "))
	c.lines = append(c.lines, a.whence(s)...)
}

// inbreeding is that of a record, of a lot also after its fish are gone: then of
// the young of its spawn.
func (a *ancestry) inbreeding(s *pedigree.Stock) (f float64, ok bool) {
	if f, ok = a.state.Inbreeding(s.ID); ok {
		return f, true
	}
	if from := a.book.Beginning(s).FromSpawns; len(from) == 1 {
		return a.state.Inbreeding(from[0].Spawn)
	}
	return 0, false
}

// litterCard is the card of a spawn's young.
func (a *ancestry) litterCard(s *pedigree.Spawn) card {
	c := card{spawn: s, lines: []string{s.ID}}
	what := "young of " + date(s.When())
	if s.IsPlanned() {
		what = "planned for " + date(s.Planned)
	}
	c.lines = append(c.lines, what)
	var facts []string
	if g, ok := a.state.Generation(s.ID); ok {
		facts = append(facts, g.Label())
	}
	if f, ok := a.state.Expected(s); ok {
		facts = append(facts, percent(f)+" inbred")
	}
	c.lines = append(c.lines, strings.Join(facts, " · "))
	if s.Born.Stated {
		c.symbol.number = float64(s.Born.N)
	}
	return c
}

// date writes a date, "unknown date" where there is none.
func date(d pedigree.Date) string {
	if !d.Known() {
		return "unknown date"
	}
	return d.String()
}

// whence says where a record came from, in few words.
func (a *ancestry) whence(s *pedigree.Stock) []string {
	var lines []string
	for range a.book.Stock {
		lot := a.book.StockByID(s.Picked)
		if lot == nil {
			break
		}
		lines = append(lines, "out of "+lot.ID)
		if a.needed[lot.ID] {
			return lines
		}
		s = lot
	}
	if len(lines) > 1 {
		lines = []string{lines[0]}
	}
	switch {
	case s.Wild != nil:
		lines = append(lines, known("wild,", s.Wild.Date))
		if s.Wild.Site != "" {
			lines = append(lines, s.Wild.Site)
		}
	case s.Bought != nil:
		lines = append(lines, known("bought", s.Bought.Date))
		if s.Bought.From != "" {
			lines = append(lines, s.Bought.From)
		}
	case len(s.FromSpawns) == 1:
		if spawn := a.book.SpawnByID(s.FromSpawns[0].Spawn); spawn != nil {
			lines = append(lines, known(spawn.ID+",", spawn.Date))
		}
	case len(s.FromSpawns) > 1:
		lines = append(lines, "of "+counted(len(s.FromSpawns), "spawn"))
	case len(s.Merged) > 0:
		lines = append(lines, known("merged", s.Date))
	}
	return lines
}

// known adds a date to words where there is one.
func known(words string, d pedigree.Date) string {
	if !d.Known() {
		return strings.TrimSuffix(words, ",")
	}
	return words + " " + d.String()
}
