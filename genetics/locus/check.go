package locus

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"roebook/pedigree"
)

// mostConflicts is how many contradictions of one line are told at once.
const mostConflicts = 10

// tooRare is the chance below which counts of fry are told as improbable.
const tooRare = 0.001

// Check holds what a book says of loci against the rules of [Rules]: the
// declarations of its lines, what is noted of fish and spawns, and whether all of
// it can be true. whole is the book as it was read; sound returns what of it other
// errors do not touch, on which alone can be inferred, and is called only where a
// line has loci. A book without costs one look at each record.
func Check(whole *pedigree.Book, sound func() *pedigree.Book) []pedigree.Problem {
	c := checker{book: whole}
	declared, platyfish := false, false
	for _, line := range whole.Lines {
		declared = declared || len(line.Loci) > 0
		platyfish = platyfish || line.SexDetermination == "WXY"
	}
	seen := slices.ContainsFunc(whole.Stock, func(s *pedigree.Stock) bool { return len(s.Genotype)+len(s.Phenotype) > 0 }) ||
		slices.ContainsFunc(whole.Spawns, func(s *pedigree.Spawn) bool { return len(s.Seen) > 0 })
	switch {
	case seen && (declared || platyfish):
		c.study = New(sound())
		c.problems = c.study.problems
	case declared:
		for _, line := range whole.Lines {
			define(line, &c.problems)
		}
	}
	if !seen {
		return pedigree.SortProblems(c.problems)
	}
	for _, s := range whole.Stock {
		if len(s.Genotype)+len(s.Phenotype) > 0 {
			c.stock(s)
		}
	}
	for _, s := range whole.Spawns {
		if len(s.Seen) > 0 {
			c.spawn(s)
		}
	}
	if c.study != nil {
		for _, line := range c.study.book.Lines {
			if systems := c.study.systems[line.Name]; len(systems) > 0 {
				c.infer(systems)
			}
		}
	}
	return pedigree.SortProblems(c.problems)
}

type checker struct {
	book     *pedigree.Book
	study    *Study // nil where no line has loci
	problems []pedigree.Problem
	told     map[string]bool // ids of fish that contradict themselves, by locus
}

func (c *checker) add(rule string, at pedigree.Position, hint, format string, args ...any) {
	c.problems = append(c.problems, problem(rule, at, hint, format, args...))
}

// trait finds what a record names; nil where it cannot be reckoned with. What is
// wrong with the name is told, what is wrong with the declaration has been.
func (c *checker) trait(line, name string, at pedigree.Position, id string) (*system, *trait) {
	l := c.book.LineNamed(line)
	if l == nil {
		return nil, nil
	}
	if c.study != nil {
		for _, sys := range c.study.systems[line] {
			if t := sys.traitNamed(name); t != nil {
				return sys, t
			}
		}
	}
	var names []string
	for _, record := range l.Loci {
		names = append(names, record.Name)
	}
	switch {
	case slices.Contains(names, name):
	case len(names) == 0:
		c.add("trait-of-no-locus", at, "declare it under `loci` of the line, or move what is meant for people to a `note`",
			"%s notes %s, but %s declares no loci", id, name, line)
	default:
		c.add("trait-unknown-locus", at, nearestHint(name, names), "%s notes %s, a locus that %s does not declare", id, name, line)
	}
	return nil, nil
}

func (c *checker) stock(s *pedigree.Stock) {
	for _, told := range s.Genotype {
		at := s.Where.At("genotype." + told.Locus)
		if sys, t := c.trait(s.Line, told.Locus, at, s.ID); t != nil {
			c.genotype(s, sys, t, told.Value, at)
		}
	}
	for _, told := range s.Phenotype {
		at := s.Where.At("phenotype." + told.Locus)
		if sys, t := c.trait(s.Line, told.Locus, at, s.ID); t != nil {
			likely, ok := c.phenotype(sys, t, told.Value, at, s.ID)
			if ok {
				c.ofItsSex(s, sys, t, likely, at, "shows "+t.name+" "+told.Value)
			}
		}
	}
}

func (c *checker) genotype(s *pedigree.Stock, sys *system, t *trait, text string, at pedigree.Position) {
	likely, err := sys.genotypeTold(t, text)
	var unknown *unknownAllele
	switch {
	case errors.As(err, &unknown):
		c.add("allele-unknown", at, unknown.hint(), "%s: %s", s.ID, unknown)
	case err != nil:
		c.add("genotype-unreadable", at, "write the two alleles as P/p, one unknown as P/-, a single one as P", "%s: %s", s.ID, err)
	default:
		c.ofItsSex(s, sys, t, likely, at, "has the "+t.name+" genotype "+text)
	}
}

func (c *checker) phenotype(sys *system, t *trait, text string, at pedigree.Position, id string) ([]float64, bool) {
	likely, err := sys.phenotypeTold(t, text)
	if err == nil {
		return likely, true
	}
	if len(t.phenotypes) == 0 {
		c.add("phenotype-unknown", at, "add `phenotypes` to the locus", "%s is %s at %s, which lists no phenotypes", id, text, t.name)
	} else {
		c.add("phenotype-unknown", at, nearestHint(text, t.phenotypes), "%s is %q at %s, a phenotype that no genotype of it gives", id, text, t.name)
	}
	return nil, false
}

// ofItsSex tells what no living fish of that sex can have.
func (c *checker) ofItsSex(s *pedigree.Stock, sys *system, t *trait, likely []float64, at pedigree.Position, words string) {
	possible := make(map[pedigree.Sex]bool)
	var names []string
	for g, l := range likely {
		sex := sys.genotypes[g].sex
		if l > 0 {
			possible[sex] = true
		}
		if name := sys.nameAt(sys.genotypes[g], t); sex == s.Sex && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	switch {
	case len(possible) == 0:
		c.add("genotype-of-other-sex", at, "correct it, or the locus", "%s %s, but no living fish can", s.ID, words)
	case sys.sexes == "" || s.Lot || s.Sex == pedigree.Unsexed || possible[s.Sex]:
		return
	default:
		c.add("genotype-of-other-sex", at, fmt.Sprintf("a %s has one of: %s; correct it, or the sex", s.Sex, strings.Join(names, ", ")),
			"%s %s, but it is a %s, and %s is %s", s.ID, words, s.Sex, t.name, sys.standsOn(t))
		p := &c.problems[len(c.problems)-1]
		p.Places = []pedigree.Place{{Position: s.Where.At("sex"), Note: s.ID + " is " + s.Sex.String()}}
	}
	if c.told == nil {
		c.told = make(map[string]bool)
	}
	c.told[s.ID+" "+t.name] = true
}

// standsOn says where the loci of a trait are.
func (sys *system) standsOn(t *trait) string {
	var parts []string
	for _, i := range t.loci {
		switch on := sys.loci[i].on; {
		case len(on) > 1:
			parts = append(parts, "on the sex chromosomes")
		case on != "":
			parts = append(parts, "on the "+on)
		}
	}
	if len(parts) == 0 {
		return "not on the sex chromosomes"
	}
	return parts[0]
}

func (c *checker) spawn(s *pedigree.Spawn) {
	for _, seen := range s.Seen {
		at := s.Where.At("seen." + seen.Locus)
		sys, t := c.trait(s.Line, seen.Locus, at, s.ID)
		if t == nil {
			continue
		}
		for _, count := range seen.Counts {
			c.phenotype(sys, t, count.Phenotype, s.Where.At("seen."+seen.Locus+"."+count.Phenotype), s.ID)
		}
		if tooEarly(s, t.record) {
			c.add("seen-too-early", at, "count again later, or correct `seen-days`, or `scored-from-days` of the locus",
				"fry of %s were looked at for %s at %d days, but it can be told only from %d days on: these counts are not used", s.ID, t.name, s.SeenDays.N, t.record.ScoredFromDays)
		}
	}
}

// infer tells what cannot be true, else which counts are improbable.
func (c *checker) infer(systems []*system) {
	in := newInference(c.study.index, systems)
	in.evidence()
	if len(in.items) == 0 {
		return
	}
	var scopes [][]int
	for _, n := range in.counted {
		scopes = append(scopes, slices.Concat(n.family.sides[0].vars, n.family.sides[1].vars))
	}
	sol := in.net.solve(all, scopes, exactOnly)
	if !sol.possible {
		for _, conflict := range c.study.conflicts(systems, mostConflicts) {
			c.conflict(systems, &conflict)
		}
		return
	}
	for i, n := range in.counted {
		if sol.shares[i] == nil {
			continue // too wide to be worked out exactly
		}
		item := &in.items[n.item]
		parents := n.sys.parentages(n.family, sol.shares[i])
		if test := fit(item.counts, item.trait, parents); test.P < tooRare {
			c.improbable(systems, item, parents, test, sol.weight, len(in.items) <= muchEvidence)
		}
	}
}

func (c *checker) improbable(systems []*system, item *Item, parents []parentage, test FitTest, weight float64, search bool) {
	total := 0.0
	for _, n := range item.counts {
		total += n
	}
	expected := make([]float64, len(item.counts))
	for _, p := range parents {
		for i, s := range item.trait.looksOf(p.fry) {
			expected[i] += p.chance * s.Share * total
		}
	}
	var seen, were []string
	for i, n := range item.counts {
		if n > 0 || expected[i] > 0.05 {
			seen = append(seen, fmt.Sprintf("%.0f %s", n, item.trait.phenotypes[i]))
			were = append(were, fmt.Sprintf("%.1f", expected[i]))
		}
	}
	hint := "look at the parents again (another sire?), at how the fry were told apart, and whether some died before they were counted"
	if search {
		hint = c.betterHint(systems, c.study.book.SpawnByID(item.ID), weight) + hint
	}
	c.add("counts-improbable", item.At, hint,
		"%s has %s fry, where about %s were to be expected of these parents: by chance alone counts so far off come %s", item.ID, listText(seen), listText(were), oftenWords(test.P))
}

// betterHint names another parent that makes all records much more likely; "" for
// none.
func (c *checker) betterHint(systems []*system, spawn *pedigree.Spawn, weight float64) string {
	of, sex, id, gain := c.study.better(systems, spawn, weight)
	if gain < 20 {
		return ""
	}
	side := "sire"
	if sex == pedigree.Female {
		side = "dam"
	}
	return fmt.Sprintf("all records together would be %s likely with %s as the %s of %s; else: ", timesText(gain), id, side, of.ID)
}

func timesText(gain float64) string {
	if gain > 1e6 {
		return "over a million times as"
	}
	return fmt.Sprintf("%.2g times as", gain)
}

func oftenWords(p float64) string {
	if p < 1e-6 {
		return "less than once in a million such spawns"
	}
	digits := fmt.Sprintf("%.0f", 1/p)
	for at := len(digits) - 3; at > 0; at -= 3 {
		digits = digits[:at] + "," + digits[at:]
	}
	return fmt.Sprintf("once in %s such spawns (p = %.2g)", digits, p)
}

// conflict tells a contradiction where the doubt is best cleared: at the parent
// named, at the latest such spawn; where none takes part, at the last record. Of fry
// that the line says die uncounted it tells where it says so.
func (c *checker) conflict(systems []*system, conflict *Conflict) {
	lead := 0
	var spawns []string
	single := true
	for i, item := range conflict.Items {
		single = single && item.ID == conflict.Items[0].ID
		at := &conflict.Items[lead]
		switch {
		case item.Kind != ParentTold:
			if at.Kind != ParentTold && (item.At.File != at.At.File || item.At.Line > at.At.Line) {
				lead = i
			}
			continue
		case at.Kind != ParentTold, c.book.SpawnByID(item.ID).When() > c.book.SpawnByID(at.ID).When(), conflict.offers(item) > conflict.offers(*at):
			lead = i
		}
		if !slices.Contains(spawns, item.ID) {
			spawns = append(spawns, item.ID)
		}
	}
	first := conflict.Items[lead]
	if single {
		for _, item := range conflict.Items {
			if c.told[item.ID+" "+item.Locus] {
				return
			}
		}
	}
	var words []string
	var places []pedigree.Place
	for i, item := range conflict.Items {
		words = append(words, item.ID+" "+item.Words)
		if i != lead {
			places = append(places, pedigree.Place{Position: item.At, Note: item.ID + " " + item.Words})
		}
	}
	hint := conflict.hint()
	for _, item := range conflict.Items {
		for _, t := range lethalTo(systems, item) {
			says := fmt.Sprintf("the line says that %s of %s dies before it is counted", orText(t.record.Lethal), t.name)
			words = append(words, "and "+says)
			places = append(places, pedigree.Place{Position: t.record.Where.At("lethal"), Note: says})
			hint = "correct `lethal` of " + t.name + ", or the count"
		}
	}
	p := problem("records-contradict", first.At, hint, "these cannot all be true: %s", strings.Join(words, "; "))
	p.Places, p.Records = places, spawns
	c.problems = append(c.problems, p)
}

// lethalTo lists the traits whose lethal genotypes leave no living fry with a look
// that an item counts.
func lethalTo(systems []*system, item Item) (list []*trait) {
	if item.Kind != FrySeen {
		return nil
	}
	for i, n := range item.counts {
		if n == 0 || slices.ContainsFunc(item.trait.shows, func(row []float64) bool { return row[i] > 0 }) {
			continue
		}
		for _, sys := range systems {
			if sys.traitNamed(item.Locus) != item.trait {
				continue
			}
			for _, t := range sys.traits {
				if len(t.record.Lethal) > 0 && slices.ContainsFunc(t.loci, func(l int) bool { return slices.Contains(item.trait.loci, l) }) && !slices.Contains(list, t) {
					list = append(list, t)
				}
			}
		}
	}
	return list
}

// offers is how many other fish may have been the parent that an item names.
func (c *Conflict) offers(item Item) int {
	for _, o := range c.Others {
		if o.Spawn == item.ID && o.Side == item.Side {
			return len(o.Candidates)
		}
	}
	return 0
}

// mostNamed is how many other parents a hint names.
const mostNamed = 3

func (c *Conflict) hint() string {
	hint := "one of them is wrong"
	var parts []string
	for _, o := range c.Others {
		var names []string
		for i, candidate := range o.Candidates {
			if i == mostNamed || i > 0 && candidate.Share < 0.01 {
				break
			}
			names = append(names, fmt.Sprintf("%s (%s)", candidate.ID, percentText(candidate.Share)))
		}
		side := "sire"
		if o.Side == pedigree.Female {
			side = "dam"
		}
		part := fmt.Sprintf("another %s of %s: %s", side, o.Spawn, orText(names))
		if more := len(o.Candidates) - len(names); more > 0 {
			part += fmt.Sprintf(", or %d more", more)
		}
		parts = append(parts, part)
	}
	switch {
	case len(parts) > 0:
		hint += ". It would be possible with " + strings.Join(parts, "; or with ") + " (odds among those that were there); or a look or genotype was mistyped; or, rarely, by a mutation"
	default:
		hint += ": a parent, a look or a genotype was mistyped, or, rarely, there was a mutation"
	}
	return hint
}

func percentText(p float64) string {
	if p > 0 && p < 0.005 {
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", math.Round(100*p))
}
