package chart

import (
	"strconv"
	"strings"

	"roebook/genetics"
	"roebook/pedigree"
)

func (a *ancestry) line() string {
	if s := a.cards[0].stock; s != nil {
		return s.Line
	}
	return a.cards[0].spawn.Line
}

// factsLine says in words what the numbers of the subject are.
func (a *ancestry) factsLine() string {
	words := "As of " + a.state.Date().String()
	if g, ok := a.state.Generation(a.subject()); ok {
		words += ". Generation from " + wildOr(a.book, "the wild", "the founders") + ": " + g.Label()
		if g.AtLeast {
			words += " (at least)"
		}
		if from, ok := a.state.Ancestry(a.subject()); g.Declared && ok && from.Bought > 1-1e-9 {
			words += ", by a seller's word"
		} else if g.Declared {
			words += ", in part by a seller's word"
		}
	}
	c := a.cards[0]
	f, ok := 0.0, false
	if c.stock != nil {
		f, ok = a.inbreeding(c.stock)
	} else {
		f, ok = a.state.Expected(c.spawn)
	}
	switch {
	case !ok, f == 0 && c.symbol.origin != bred:
	case c.symbol.origin != bred:
		words += ". Inbreeding " + percent(f) + ", as declared"
	default:
		words += ". Inbreeding " + percent(f) + ": its parents are " + genetics.Relation(f)
	}
	return words + "."
}

// subject is the id of what the chart is of.
func (a *ancestry) subject() string {
	if s := a.cards[0].stock; s != nil {
		return s.ID
	}
	return a.cards[0].spawn.ID
}

// wildOr is the one of two words for fish that were caught, the other for the
// founders of a plain table, of which that is not known.
func wildOr(book *pedigree.Book, wild, founders string) string {
	if book.Table {
		return founders
	}
	return wild
}

// describe writes the lines of a card: its id, who they are, how far from the
// wild and how inbred, where from.
func (a *ancestry) describe(i int) {
	c := &a.cards[i]
	s := c.stock
	if s == nil {
		return
	}
	c.symbol = symbolOf(a.state, s, pedigree.Numbers{})
	head := s.ID
	if s.Name != "" {
		head += " " + s.Name
	}
	c.lines = []string{head}
	if s.Lot {
		held := a.asParent(i)
		c.symbol = symbolOf(a.state, s, held)
		for _, k := range c.out { // stored sperm of males that were gone
			if l := a.links[k]; l.toUnion && l.sex != c.symbol.sex {
				c.symbol.sex = pedigree.Unsexed
			}
		}
		c.lines = append(c.lines, census(held))
		if now := a.book.Heads(s, a.state.Date()); now.Total() > 0 && now != held {
			c.lines = append(c.lines, "now "+census(now))
		}
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

// asParent is who a lot held at the first of the spawns shown of which its fish
// may be parents; of no such spawn, on the day.
func (a *ancestry) asParent(i int) pedigree.Numbers {
	c := a.cards[i]
	first, parent := pedigree.Date(0), false
	for _, k := range c.out {
		if l := a.links[k]; l.toUnion {
			if on := a.unions[l.to].first.When(); !parent || on < first {
				first, parent = on, true
			}
		}
	}
	if parent {
		if held := a.book.Heads(c.stock, first); held.Total() > 0 {
			return held
		}
	}
	return censusOf(a.state, c.stock)
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

// relatedFounders tells which of the founders shown are kin by the keeper's word,
// which no line shows.
func (a *ancestry) relatedFounders() string {
	words := ""
	for _, l := range a.book.Lines {
		for _, related := range l.RelatedFounders {
			var shown []string
			for _, id := range related.Of {
				if _, ok := a.byID[id]; ok {
					shown = append(shown, id)
				}
			}
			if len(shown) > 1 {
				words += " Related by the keeper's word: " + strings.Join(shown, ", ") + ", kinship " + strconv.FormatFloat(related.Kinship, 'g', 4, 64) + "."
			}
		}
	}
	return strings.TrimPrefix(words, " ")
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
	case a.book.Table:
		if born := a.book.BornOn(s); born.Known() {
			lines = append(lines, known("born", born))
		}
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
