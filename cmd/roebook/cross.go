package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/genetics/locus"
	"roebook/pedigree"
)

func newCross(env *environment) *cobra.Command {
	from := source{env: env}
	cmd := &cobra.Command{
		Use:   "cross ID ID, or cross SPAWN",
		Short: "what the young of two fish will look like",
		Long: `Foretell the young of a male and a female, locus by locus: which genotypes and which looks, in what
shares, by sex where it is sex-linked. The two need not be known for sure: their odds, from all records,
are weighed together. A lot stands for any one of its fish of that sex.

Of a spawn in the book it also holds the counts of young against what was to be expected of such
parents, and says how likely counts so far off are by chance alone: by the exact multinomial test; --json
has the chi-square beside it, where no count to be expected is too small for that.`,
		Example: `  roebook cross CW-H1 CW-H2 --on 2026-11-24
  roebook cross CW-G1 CW-K4 --on 2026-11-24
  roebook cross CW-S13 --on 2026-11-24`,
		Args: takes(1, 2, "two fish or lots, or one spawn"),
		RunE: func(_ *cobra.Command, args []string) error { return cross(&from, args) },
	}
	from.flags(cmd)
	return cmd
}

type crossJSON struct {
	Sire  *string            `json:"sire"`
	Dam   *string            `json:"dam"`
	Spawn *string            `json:"spawn"`
	Loci  []crossedLocusJSON `json:"loci"`
	// Of a spawn, by locus.
	Seen     map[string]map[string]float64 `json:"seen"`
	Expected map[string]map[string]float64 `json:"expected"`
	P        map[string]float64            `json:"p"`
	Refused  []string                      `json:"refused"`
	Parents  []oddsJSON                    `json:"parents"` // of which there are few enough to list
}

type crossedLocusJSON struct {
	Locus      string               `json:"locus"`
	Genotypes  map[string]float64   `json:"genotypes"`
	Phenotypes map[string]float64   `json:"phenotypes"`
	BySex      map[string]ofSexJSON `json:"by_sex"`
	Lost       float64              `json:"lost"`
	Seen       map[string]float64   `json:"seen,omitempty"`
	Expected   map[string]float64   `json:"expected,omitempty"`
	P          number               `json:"p,omitempty"`
	PExact     *bool                `json:"p_exact,omitempty"`
	ChiSquare  number               `json:"chi_square,omitempty"`
	ChiSquareP number               `json:"chi_square_p,omitempty"`
	Method     string               `json:"method"`
	Error      number               `json:"standard_error,omitempty"`
}

type ofSexJSON struct {
	Share      float64            `json:"share"`
	Genotypes  map[string]float64 `json:"genotypes"`
	Phenotypes map[string]float64 `json:"phenotypes"`
}

func cross(from *source, ids []string) error {
	l, err := from.load()
	if err != nil {
		return err
	}
	sound, err := l.answerable(ids)
	if err != nil {
		return err
	}
	if len(sound) < len(ids) {
		return statusError(saysNo)
	}
	c := crossAsked{loaded: l, study: locus.New(l.book)}
	if len(ids) == 2 {
		err = c.pair(ids)
	} else {
		err = c.ofSpawn(ids[0])
	}
	var contradiction *locus.Contradiction
	switch {
	case errors.Is(err, locus.ErrNoLoci):
		return usageError("there is nothing to foretell: the line of %s declares no loci (or they have errors; see: %s)", ids[0], from.command("check"))
	case errors.As(err, &contradiction):
		l.env.complain(contradiction.Error() + "; see: " + from.command("check"))
		c.refused = contradiction.Loci
	case err != nil:
		return err
	}
	p := from.env.page()
	if from.json {
		err = p.asJSON(c.document())
	} else {
		c.write(p)
	}
	if err != nil {
		return err
	}
	if err = l.finish(p); err == nil && len(c.refused) > 0 {
		return statusError(saysNo)
	}
	return err
}

// crossAsked is the answer of cross while it is put together.
type crossAsked struct {
	*loaded
	study   *locus.Study
	sire    *pedigree.Stock
	dam     *pedigree.Stock
	spawn   *pedigree.Spawn
	loci    []locus.Cross
	refused []string
}

// pair finds out which is the male, and foretells the young of the two.
func (c *crossAsked) pair(ids []string) (err error) {
	a, b := c.book.StockByID(ids[0]), c.book.StockByID(ids[1])
	if a == nil || b == nil {
		return usageError("cross takes two fish or lots, or one spawn by itself")
	}
	if !c.hasSex(a, pedigree.Male) || !c.hasSex(b, pedigree.Female) {
		a, b = b, a
	}
	for _, side := range []struct {
		stock *pedigree.Stock
		sex   pedigree.Sex
	}{{a, pedigree.Male}, {b, pedigree.Female}} {
		if !c.hasSex(side.stock, side.sex) {
			return usageError("%s and %s are not a male and a female on %s", ids[0], ids[1], c.state.Date())
		}
	}
	if a == b && !a.Lot {
		return usageError("%s cannot be crossed with itself", a.ID)
	}
	if of, other := c.book.SpeciesOf(a), c.book.SpeciesOf(b); of != other {
		return usageError("%s and %s are of two species (%s, %s): what their young would be cannot be foretold", a.ID, b.ID, of, other)
	}
	if a.Line != b.Line && (!c.study.HasLoci(a.Line) || !c.study.HasLoci(b.Line)) {
		return usageError("%s and %s are of two lines, and one of these declares no loci: what it carries is not known", a.ID, b.ID)
	}
	c.sire, c.dam = a, b
	c.loci, err = c.study.Pair(a, b, c.state.Date())
	return err
}

// hasSex reports whether the record may offer a fish of that sex on the day.
func (c *crossAsked) hasSex(s *pedigree.Stock, sex pedigree.Sex) bool {
	if s.Lot {
		return c.book.LotHistory(s.ID).At(c.state.Date()).OfSex(sex) > 0
	}
	return s.Sex == sex || s.Sex == pedigree.Unsexed
}

func (c *crossAsked) ofSpawn(id string) (err error) {
	if c.spawn = c.book.SpawnByID(id); c.spawn == nil {
		return usageError("%s is a fish or a lot: name the one it is to be crossed with too", id)
	}
	c.loci, err = c.study.Spawn(c.spawn)
	return err
}

func (c *crossAsked) document() crossJSON {
	d := crossJSON{Loci: []crossedLocusJSON{}, Seen: map[string]map[string]float64{}, Expected: map[string]map[string]float64{}, P: map[string]float64{}, Refused: []string{}}
	d.Refused, d.Parents = append(d.Refused, c.refused...), []oddsJSON{}
	for _, o := range c.parents() {
		d.Parents = append(d.Parents, oddsOf(c.book.StockByID(o.ID).Line, o))
	}
	if c.spawn != nil {
		d.Spawn = text(c.spawn.ID)
	} else {
		d.Sire, d.Dam = text(c.sire.ID), text(c.dam.ID)
	}
	for _, x := range c.loci {
		out := crossedLocusJSON{Locus: x.Locus, Genotypes: sharesByName(x.Genotypes), Phenotypes: sharesByName(x.Phenotypes), Lost: x.Lost, Method: method(x.Sampling)}
		if x.Sampled {
			out.Error = known(x.Error, true)
		}
		for _, of := range x.BySex {
			if out.BySex == nil {
				out.BySex = make(map[string]ofSexJSON)
			}
			out.BySex[of.Sex.String()] = ofSexJSON{of.Share, sharesByName(of.Genotypes), sharesByName(of.Phenotypes)}
		}
		if x.Counted {
			out.Seen, out.Expected, out.P, out.PExact = sharesByName(x.Seen), sharesByName(x.Expected), known(x.Test.P, true), &x.Test.Exact
			if x.Test.ChiSquareHolds {
				out.ChiSquare, out.ChiSquareP = known(x.Test.ChiSquare, true), known(x.Test.ChiSquareP, true)
			}
			d.Seen[x.Locus], d.Expected[x.Locus], d.P[x.Locus] = out.Seen, out.Expected, x.Test.P
		}
		d.Loci = append(d.Loci, out)
	}
	return d
}

func (c *crossAsked) write(p *page) {
	if c.spawn != nil {
		p.say("%s: %s x %s", capital(spawnWords(c.book, c.spawn)), parentWords(c.book, c.spawn, pedigree.Male, true), parentWords(c.book, c.spawn, pedigree.Female, true))
	} else {
		p.say("%s x %s", oneOf(c.sire, pedigree.Male), oneOf(c.dam, pedigree.Female))
	}
	for i := range c.loci {
		c.writeLocus(p, &c.loci[i])
	}
	c.writeParents(p)
}

func oneOf(s *pedigree.Stock, sex pedigree.Sex) string {
	if s.Lot {
		return "any " + sex.String() + " of " + s.ID
	}
	return s.ID
}

func (c *crossAsked) writeLocus(p *page, x *locus.Cross) {
	p.blank()
	p.say("%s", x.Locus)
	same := len(x.BySex) == 2 && sameShares(x.BySex[0], x.BySex[1])
	if len(x.BySex) == 0 || same {
		c.writeShares(p, "", x.Genotypes, x.Phenotypes)
	}
	for _, of := range x.BySex {
		if same || of.Share == 0 {
			continue
		}
		c.writeShares(p, fmt.Sprintf("%ss, %s of all", of.Sex, percent(of.Share)), of.Genotypes, of.Phenotypes)
	}
	if x.Lost > 0 {
		p.field("die of it", "%s before they are counted; the shares are of those that live", percent(x.Lost))
	}
	if x.Counted {
		c.writeCounted(p, x)
	}
	if x.Sampled {
		p.field("sampled", "right to about %s either way", percent(2*x.Error))
	}
}

// sameShares reports whether both sexes are alike, and as many.
func sameShares(a, b locus.SexShare) bool {
	near := func(x, y float64) bool { return x-y < 1e-9 && y-x < 1e-9 }
	if !near(a.Share, b.Share) || len(a.Genotypes) != len(b.Genotypes) {
		return false
	}
	for i := range a.Genotypes {
		if a.Genotypes[i].ID != b.Genotypes[i].ID || !near(a.Genotypes[i].Share, b.Genotypes[i].Share) {
			return false
		}
	}
	return true
}

func (c *crossAsked) writeShares(p *page, who string, genotypes, phenotypes []genetics.Share) {
	if who != "" {
		p.sayAt(2, "%s:", who)
	}
	if len(phenotypes) > 0 {
		p.field("look", "%s", oddsWords(phenotypes))
	}
	p.field("genotype", "%s", oddsWords(genotypes))
}

// writeCounted holds the counts against what was to be expected, in words.
func (c *crossAsked) writeCounted(p *page, x *locus.Cross) {
	var seen, expected []string
	for i := range x.Seen {
		if x.Seen[i].Share > 0 || x.Expected[i].Share > 0.005 {
			seen = append(seen, amount(x.Seen[i].Share)+" "+x.Seen[i].ID)
			expected = append(expected, fixed(x.Expected[i].Share, 1))
		}
	}
	p.field("seen", "%s, where %s were to be expected", strings.Join(seen, ", "), strings.Join(expected, ", "))
	if x.Test.Freedom < 1 {
		return
	}
	words := fmt.Sprintf("%s: by chance alone %s of such spawns bring counts as far off, or further", fitWords(x.Test.P), percent(x.Test.P))
	if !x.Test.Exact {
		words += " (nearly: there are too many outcomes to go through one by one)"
	}
	p.field("fits", "%s", words)
}

func fitWords(p float64) string {
	switch {
	case p < 0.001:
		return "badly"
	case p < 0.05:
		return "poorly"
	case p < 0.2:
		return "neither well nor badly"
	}
	return "well"
}

// parents is what the parents have, by all records; none where they are many.
func (c *crossAsked) parents() []locus.Odds {
	ids := make(map[string]map[string]bool) // by line
	add := func(stock *pedigree.Stock) {
		if ids[stock.Line] == nil {
			ids[stock.Line] = make(map[string]bool)
		}
		ids[stock.Line][stock.ID] = true
	}
	if c.spawn == nil {
		add(c.sire)
		add(c.dam)
	} else {
		for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
			if list := c.book.Contributors(c.spawn, sex); len(list) <= 4 {
				for _, one := range list {
					add(one.Stock)
				}
			}
		}
	}
	var odds []locus.Odds
	for _, line := range c.book.Lines {
		if len(ids[line.Name]) > 0 {
			odds = append(odds, c.study.Line(line.Name, ids[line.Name], c.state.Date()).Odds...)
		}
	}
	return odds
}

// writeParents says what the two are taken to be.
func (c *crossAsked) writeParents(p *page) {
	var rows [][]string
	var lines []string
	for _, o := range c.parents() {
		rows = append(rows, []string{o.ID, o.Locus, genotypeWords(o)})
		lines = append(lines, c.book.StockByID(o.ID).Line)
	}
	if len(rows) == 0 {
		return
	}
	p.blank()
	p.say("What the parents have, by all records:")
	p.table([]column{{head: "fish"}, {head: "locus"}, {head: "genotype, and how likely", wrap: true}}, rows)
	for _, line := range compact(lines) {
		writePriors(p, c.study.Priors(line))
	}
}
