package history

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"roebook/genetics"
	"roebook/pedigree"
)

// Side is a book at one end of a comparison, as of a day.
type Side struct {
	Book  *pedigree.Book
	State *genetics.State // of it
}

// How fish came into a line or left it.
const (
	Caught   = "caught"
	Purchase = "bought"
	Bred     = "bred"
	Counted  = "counted" // more, or fewer, than there were at the last count
	Dead     = "died"
	Given    = "sold" // or given away
	Gone     = "gone" // since when, and how, is not said
	Struck   = "struck"
)

// Passage is fish that came into a line or left it.
type Passage struct {
	ID    string // the record
	How   string
	Heads float64
	On    pedigree.Date // 0 where not known
	Spawn string        // of fish bred
	Why   string        // as written, with a count or a sale
}

// Risk is a founder whose genes are held, among the living, by one fish alone.
type Risk struct {
	Founder string
	Fish    string // the record of that fish
	Already bool   // so it was before
}

// Decision is one change in a line that stands by itself: the young of a spawn, a
// death, fish sold. Records that took fish from each other are one decision.
type Decision struct {
	Spawn      string   // whose young they are, "" for others
	Records    []string // by id
	Came, Left float64  // heads; what moved between the records is in neither
	Effect     float64  // on gene diversity: what there is, less what there were without it
	from       map[string]bool
}

// LineChange is what happened to a line between two versions of a book.
type LineChange struct {
	Line          string
	Before, After Figures
	Added, Lost   []Passage
	FoundersLost  []string
	FoundersNew   []string
	AtRisk        []Risk

	// The change of gene diversity, split: what is known otherwise now of the
	// fish of then; each decision by itself, the greatest first; and what they
	// did together, beyond the sum. All are 0 and none where one end has no fish.
	Corrected float64
	Decisions []Decision
	Together  float64
}

// Compare works out what happened to a line between two versions of a book. The
// figures of both ends are given. Decisions are found by leaving each out: the
// line as it is, less the line as it would be had the records of the decision
// stayed as they were on the day before. O(records of the line · (nodes +
// links)).
func Compare(line string, before, after Side, figures [2]Figures) LineChange {
	c := comparison{line: line, before: before, after: after}
	out := LineChange{Line: line, Before: figures[0], After: figures[1]}
	if out.Before.Refused != "" || out.After.Refused != "" {
		return out
	}
	c.passages(&out)
	c.founders(&out)
	if out.Before.Known && out.After.Known {
		c.decisions(&out)
	}
	return out
}

type comparison struct {
	line          string
	before, after Side
}

func (s Side) heads(stock *pedigree.Stock) float64 {
	if stock == nil {
		return 0
	}
	return s.Book.Heads(stock, s.State.Date()).Total()
}

// then is the day of the version before.
func (c *comparison) then() pedigree.Date { return c.before.State.Date() }

// passages lists what came and went, by record.
func (c *comparison) passages(out *LineChange) {
	for _, s := range c.after.Book.Stock {
		if s.Line != c.line || c.after.Book.StockByID(s.ID) != s {
			continue
		}
		begins := c.after.Book.Begins(s)
		if begins > c.after.State.Date() {
			continue
		}
		old := c.before.Book.StockByID(s.ID)
		since := c.then()
		if old == nil || begins > since {
			if begins <= since {
				since = 0 // written down late: all that happened to it is news
			}
			if p, ok := c.arrival(s, begins); ok {
				out.Added = append(out.Added, p)
			}
		}
		c.departures(out, s, since)
	}
	for _, s := range c.before.Book.Stock {
		if s.Line == c.line && c.after.Book.StockByID(s.ID) == nil && c.before.heads(s) > 0 {
			out.Lost = append(out.Lost, Passage{ID: s.ID, How: Struck, Heads: c.before.heads(s)})
		}
	}
	for _, list := range [][]Passage{out.Added, out.Lost} {
		slices.SortStableFunc(list, func(a, b Passage) int { return cmp.Or(cmp.Compare(a.On, b.On), strings.Compare(a.ID, b.ID)) })
	}
}

// arrival says how a record came into the line; ok is false where its fish were
// in the book before, in other records.
func (c *comparison) arrival(s *pedigree.Stock, on pedigree.Date) (p Passage, ok bool) {
	p = Passage{ID: s.ID, On: on, Heads: 1}
	if h := c.after.Book.LotHistory(s.ID); s.Lot && h != nil {
		p.Heads = h.States[0].Stated.Total()
	}
	switch {
	case s.Wild != nil:
		p.How = Caught
	case s.Bought != nil:
		p.How = Purchase
	case len(s.FromSpawns) > 0:
		p.How = Bred
		if len(s.FromSpawns) == 1 {
			p.Spawn = s.FromSpawns[0].Spawn
		}
	default:
		return p, false
	}
	return p, p.Heads > 0
}

// departures lists how fish of a record left the line after a day, and what
// counts found.
func (c *comparison) departures(out *LineChange, s *pedigree.Stock, since pedigree.Date) {
	lost := func(how string, heads float64, on pedigree.Date, why string) {
		out.Lost = append(out.Lost, Passage{ID: s.ID, How: how, Heads: heads, On: on, Why: why})
	}
	h := c.after.Book.LotHistory(s.ID)
	if !s.Lot || h == nil {
		c.fishLeft(s, since, lost)
		return
	}
	first := 0
	if since.Known() {
		first = h.Index(since)
	}
	for i := first; i < h.Index(c.after.State.Date()); i++ {
		e := h.Events[i]
		left := 0.0
		for _, l := range e.Left {
			left += l.Stated.Total()
			switch {
			case l.Stated.Total() == 0:
			case l.Kind == pedigree.Sold:
				lost(Given, l.Stated.Total(), e.Moment.Date, "")
			case l.Kind == pedigree.Died:
				lost(Dead, l.Stated.Total(), e.Moment.Date, "")
			}
		}
		missing := h.States[i].Stated.Total() - left - h.States[i+1].Stated.Total()
		switch {
		case e.Change == nil || math.Abs(missing) < 1e-9:
		case missing > 0:
			lost(Counted, missing, e.Moment.Date, e.Change.Why)
		default:
			out.Added = append(out.Added, Passage{ID: s.ID, How: Counted, Heads: -missing, On: e.Moment.Date, Why: e.Change.Why})
		}
	}
}

// fishLeft says how a single fish left after a day.
func (c *comparison) fishLeft(s *pedigree.Stock, since pedigree.Date, lost func(how string, heads float64, on pedigree.Date, why string)) {
	until := c.after.State.Date()
	within := func(d pedigree.Date) bool { return d.Known() && d >= since && d < until }
	if old := c.before.Book.StockByID(s.ID); old != nil && since.Known() && c.before.heads(old) == 0 && c.after.Book.Begins(s) <= since {
		return // gone before
	}
	switch {
	case within(s.Died):
		lost(Dead, 1, s.Died, "")
	case slices.ContainsFunc(s.Sold, func(x pedigree.Sale) bool { return within(x.Date) }):
		i := slices.IndexFunc(s.Sold, func(x pedigree.Sale) bool { return within(x.Date) })
		lost(Given, 1, s.Sold[i].Date, "")
	case s.Gone || c.before.heads(c.before.Book.StockByID(s.ID)) > 0 && c.after.heads(s) == 0 && c.after.Book.MergedInto(s.ID) == nil:
		lost(Gone, 1, max(s.Died, 0), "")
	}
}

// founders tells which founders have no gene left in the line, which are new,
// and which hang on one fish.
func (c *comparison) founders(out *LineChange) {
	was, is := c.before.State.Carried(c.line), c.after.State.Carried(c.line)
	find := func(list []genetics.Carried, id string) *genetics.Carried {
		i, ok := slices.BinarySearchFunc(list, id, func(x genetics.Carried, id string) int { return strings.Compare(x.Founder, id) })
		if !ok {
			return nil
		}
		return &list[i]
	}
	for _, f := range was {
		if find(is, f.Founder) == nil {
			out.FoundersLost = append(out.FoundersLost, f.Founder)
		}
	}
	for _, f := range is {
		old := find(was, f.Founder)
		if old == nil {
			out.FoundersNew = append(out.FoundersNew, f.Founder)
		}
		if len(f.By) == 1 && f.Heads == 1 {
			out.AtRisk = append(out.AtRisk, Risk{f.Founder, f.By[0].Stock.ID, old != nil && len(old.By) == 1 && old.Heads == 1})
		}
	}
}
