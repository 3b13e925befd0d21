package pedigree

import (
	"cmp"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
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
// day it is are left out where `on` is not known. The rules are asked on all
// processors. O(records + references).
func Check(b *Book, on Date) []Problem {
	rules := Rules()
	found := make([][]Problem, len(rules))
	common := newShared(b, on)
	var next atomic.Int64
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(rules); i = int(next.Add(1)) - 1 {
				c := &checker{shared: common, rule: rules[i]}
				rules[i].check(c)
				found[i] = c.problems
			}
		})
	}
	wait.Wait()
	return SortProblems(slices.Concat(found...))
}

// checker is one rule at work.
type checker struct {
	*shared
	rule     Rule
	problems []Problem
}

// shared is what the rules share, and only read.
type shared struct {
	book *Book
	on   Date // today, 0 where not known

	named []namedParent       // every parent that a spawn names, in the order of the book
	fry   map[string][]*Stock // the records that came from a spawn, by its id

	// Made by the first rule that asks.
	sides func() map[*Spawn][2][]choice
	loops func() []Loop
	byDam func() map[string][]*Spawn
}

func newShared(b *Book, on Date) *shared {
	c := &shared{book: b, on: on, fry: make(map[string][]*Stock)}
	c.sides, c.loops, c.byDam = sync.OnceValue(c.findSides), sync.OnceValue(c.findLoops), sync.OnceValue(c.spawnsByDam)
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

// add notes a problem of the rule.
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
func (c *shared) lots(visit func(s *Stock, h *LotHistory)) {
	for _, h := range c.book.lots {
		if h != nil && !h.Lot.uncounted() {
			visit(h.Lot, h)
		}
	}
}

// line returns the line of that name, an empty one where there is none.
func (c *shared) line(name string) *Line {
	if l := c.book.line[name]; l != nil {
		return l
	}
	return &Line{}
}

// place points at a part of a record.
func (s *Stock) place(path, note string) Place { return Place{s.Where.At(path), note} }

func (s *Spawn) place(path, note string) Place { return Place{s.Where.At(path), note} }
