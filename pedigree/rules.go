package pedigree

import (
	"cmp"
	"slices"
)

// Rule is one thing that records must keep to. Rules are small functions in a
// list, each independent of the others.
type Rule struct {
	Name     string // stable, kebab-case
	Severity Severity
	Meaning  string // one line: why it matters to a keeper

	check func(*checker)
}

// Rules returns every rule, sorted by name.
func Rules() []Rule {
	rules := slices.Concat(loopRules, parentRules, sideRules, storedRules, repeatRules, originRules, lotRules, lifeRules,
		fryRules, countRules, kindRules, founderRules, keepingRules)
	slices.SortFunc(rules, func(a, b Rule) int { return cmp.Compare(a.Name, b.Name) })
	return rules
}

// Check holds the book against every rule and returns the problems, sorted. The
// book must have been arranged; it may hold any mistake, such as references to
// records that do not exist or loops of descent. Rules that need to know what
// day it is are left out where `on` is not known. O(records + references).
func Check(b *Book, on Date) []Problem {
	c := newChecker(b, on)
	for _, rule := range Rules() {
		c.rule = rule
		rule.check(c)
	}
	return SortProblems(c.problems)
}

// checker holds what the rules share.
type checker struct {
	book     *Book
	on       Date // today, 0 where not known
	rule     Rule // the one now at work
	problems []Problem

	named []namedParent       // every parent that a spawn names, in the order of the book
	fry   map[string][]*Stock // the records that came from a spawn, by its id
	sides map[*Spawn]*[2][]choice

	looked bool // for loops
	found  []Loop
	byDam  map[string][]*Spawn // filled by the first rule that asks
}

func newChecker(b *Book, on Date) *checker {
	c := &checker{book: b, on: on, fry: make(map[string][]*Stock), sides: make(map[*Spawn]*[2][]choice, len(b.Spawns))}
	for _, s := range b.Spawns {
		c.named = appendNamed(c.named, b, s)
	}
	for _, s := range b.Stock {
		for _, from := range s.FromSpawns {
			c.fry[from.Spawn] = append(c.fry[from.Spawn], s)
		}
	}
	return c
}

// add notes a problem of the rule now at work.
func (c *checker) add(p Problem) {
	p.Rule, p.Severity = c.rule.Name, c.rule.Severity
	if p.Severity == Warning {
		p.Records = nil
	}
	c.problems = append(c.problems, p)
}

// uncounted reports whether the numbers of a lot could not be read, which is
// told already: no lot begins empty.
func (s *Stock) uncounted() bool { return s.Lot && s.Count.Total() == 0 }

// lots calls visit for every lot whose numbers are known, with its history.
func (c *checker) lots(visit func(s *Stock, h *LotHistory)) {
	for _, s := range c.book.Stock {
		if h := c.book.lots[s.ID]; s.Lot && !s.uncounted() && h != nil && h.Lot == s {
			visit(s, h)
		}
	}
}

// line returns the line of that name, an empty one where there is none.
func (c *checker) line(name string) *Line {
	if l := c.book.line[name]; l != nil {
		return l
	}
	return &Line{}
}

// place points at a part of a record.
func (s *Stock) place(path, note string) Place { return Place{s.Where.At(path), note} }

func (s *Spawn) place(path, note string) Place { return Place{s.Where.At(path), note} }
