package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/genetics/locus"
	"roebook/pedigree"
)

func newTraits(env *environment) *cobra.Command {
	from := source{env: env}
	cmd := &cobra.Command{
		Use:   "traits [ID...]",
		Short: "what every fish carries of the loci of its line",
		Long: `Work out what fish carry, seen and unseen, from all records at once: the looks and genotypes noted of
fish, the counts of young by look, and what follows for parents, sibs and young. A parent that may be one
of several fish is weighed too: its odds are shown. Without ids the living fish are shown; --json then
has every fish of the lines. A lot stands for any one fish of it.

The odds hold if the loci work as the line declares them and the records are true. They are no test of a
fish's DNA. Cull only as humanely as, and where, local welfare law allows.`,
		Example: `  roebook traits CW-G3 CW-H2 --on 2026-11-24
  roebook traits --on 2026-11-24
  roebook traits CW-H3 --json --on 2026-11-24`,
		RunE: func(_ *cobra.Command, args []string) error { return traits(&from, args) },
	}
	from.flags(cmd)
	return cmd
}

type traitsJSON struct {
	Fish    []oddsJSON    `json:"fish"`
	Parents []parentsJSON `json:"parents"`
	// Where the records of a locus contradict each other it has no answer.
	Refused []refusedLocusJSON `json:"refused"`
	Tests   []testMatingJSON   `json:"test_matings"`
	Priors  []priorJSON        `json:"founder_frequencies"`
}

type oddsJSON struct {
	ID        string             `json:"id"`
	Line      string             `json:"line"`
	Locus     string             `json:"locus"`
	Genotypes map[string]float64 `json:"genotypes"`
	Carries   map[string]float64 `json:"carries"`
	OnY       map[string]float64 `json:"on_y,omitempty"` // of loci on X and Y: which allele is on its Y
	Method    string             `json:"method"`
	Error     number             `json:"standard_error,omitempty"`
	Agreement number             `json:"agreement,omitempty"`
	Evidence  []evidenceJSON     `json:"evidence,omitempty"`

	odds locus.Odds
}

type evidenceJSON struct {
	ID    string  `json:"id"`
	Words string  `json:"words"`
	Moved float64 `json:"moved"`
}

type parentsJSON struct {
	Spawn      string             `json:"spawn"`
	Side       string             `json:"side"`
	Candidates map[string]float64 `json:"candidates"`
	Method     string             `json:"method"`

	odds locus.ParentOdds
}

type refusedLocusJSON struct {
	Line  string `json:"line"`
	Locus string `json:"locus"`
}

type testMatingJSON struct {
	ID      string  `json:"id"`
	Locus   string  `json:"locus"`
	Allele  string  `json:"allele"`
	Chance  float64 `json:"chance"`
	Settles float64 `json:"settles"`
}

type priorJSON struct {
	Line        string             `json:"line"`
	Locus       string             `json:"locus"`
	Frequencies map[string]float64 `json:"frequencies"`
	Stated      bool               `json:"stated"`
}

// mostExplained is for up to how many fish the evidence is told.
const mostExplained = 8

func traits(from *source, ids []string) error {
	l, err := from.load()
	if err != nil {
		return err
	}
	t := traitsAsked{loaded: l, study: locus.New(l.book), document: traitsJSON{Fish: []oddsJSON{}, Parents: []parentsJSON{},
		Refused: []refusedLocusJSON{}, Tests: []testMatingJSON{}, Priors: []priorJSON{}}}
	if err := t.choose(ids); err != nil {
		return err
	}
	for _, line := range l.book.Lines {
		t.line(line)
	}
	p := from.env.page()
	if from.json {
		err = p.asJSON(t.document)
	} else {
		t.write(p)
	}
	if err != nil {
		return err
	}
	return l.finish(p)
}

// traitsAsked is the answer of traits while it is put together.
type traitsAsked struct {
	*loaded
	study    *locus.Study
	ids      map[string]bool // nil: all
	named    bool
	document traitsJSON
}

// choose looks up the fish that were asked for.
func (t *traitsAsked) choose(ids []string) error {
	if len(t.book.Lines) == 0 {
		return usageError("the book has no line yet")
	}
	some := false
	for _, line := range t.book.Lines {
		some = some || t.study.HasLoci(line.Name)
	}
	if !some {
		return usageError("no line of the book declares loci (or they have errors; see: %s)", t.from.command("check"))
	}
	sound, err := t.answerable(ids)
	if err != nil || len(ids) == 0 {
		return err
	}
	t.named, t.ids = true, make(map[string]bool)
	for _, id := range sound {
		stock := t.book.StockByID(id)
		switch {
		case stock == nil:
			return usageError("%s is a spawn; for what its young are to be expected to look like: %s", id, t.from.command("cross "+id))
		case !t.study.HasLoci(stock.Line):
			t.env.complain(id + " has no answer: its line " + stock.Line + " declares no loci")
			continue
		}
		t.ids[id] = true
	}
	if len(t.ids) == 0 && len(sound) > 0 {
		return statusError(badUsage)
	}
	return nil
}

func (t *traitsAsked) line(line *pedigree.Line) {
	if !t.study.HasLoci(line.Name) || t.named && !slices.ContainsFunc(t.book.Stock, func(s *pedigree.Stock) bool { return t.ids[s.ID] && s.Line == line.Name }) {
		return
	}
	ids := t.ids
	if !t.named && !t.from.json {
		ids = make(map[string]bool)
		for _, s := range t.book.Stock {
			ids[s.ID] = t.book.Heads(s, t.state.Date()).Total() > 0
		}
	}
	answer := t.study.Line(line.Name, ids, t.state.Date())
	for _, o := range answer.Odds {
		made := oddsOf(line.Name, o)
		if t.named && len(t.ids) <= mostExplained {
			for _, i := range t.study.Moved(t.book.StockByID(o.ID), o.Locus, t.state.Date()) {
				made.Evidence = append(made.Evidence, evidenceJSON{i.Item.ID, i.Item.Words, i.Moved})
			}
		}
		t.document.Fish = append(t.document.Fish, made)
	}
	for _, parents := range answer.Parents {
		t.document.Parents = append(t.document.Parents, parentsJSON{parents.Spawn, sideWord(parents.Side), sharesByName(parents.Candidates), method(parents.Sampling), parents})
	}
	for _, name := range answer.Impossible {
		t.document.Refused = append(t.document.Refused, refusedLocusJSON{line.Name, name})
	}
	for _, test := range t.study.WorthTesting(line.Name, t.state.Date()) {
		t.document.Tests = append(t.document.Tests, testMatingJSON{test.ID, test.Locus, test.Allele, test.Chance, test.Settles})
	}
	for _, prior := range t.study.Priors(line.Name) {
		t.document.Priors = append(t.document.Priors, priorJSON{line.Name, prior.Locus, sharesByName(prior.Frequencies), prior.Stated})
	}
}

func oddsOf(line string, o locus.Odds) oddsJSON {
	made := oddsJSON{ID: o.ID, Line: line, Locus: o.Locus, Genotypes: sharesByName(o.Genotypes), Carries: sharesByName(o.Carries), OnY: sharesByName(o.OnY), Method: method(o.Sampling), odds: o}
	if o.Sampled {
		made.Error, made.Agreement = known(o.Error, true), known(o.Agreement, true)
	}
	return made
}

func method(s locus.Sampling) string {
	if s.Sampled {
		return "sampled"
	}
	return "exact"
}

func sharesByName(list []genetics.Share) map[string]float64 {
	out := make(map[string]float64, len(list))
	for _, s := range list {
		out[s.ID] = s.Share
	}
	return out
}

// surely writes odds; what is certain is said to be so.
func surely(p float64) string {
	if p > 1-1e-12 {
		return "sure"
	}
	return chance(p)
}

// oddsWords writes odds, the greatest first, without what cannot be.
func oddsWords(list []genetics.Share) string {
	list = slices.DeleteFunc(slices.Clone(list), func(s genetics.Share) bool { return s.Share < 1e-12 })
	slices.SortStableFunc(list, func(a, b genetics.Share) int {
		switch {
		case a.Share > b.Share+1e-12:
			return -1
		case a.Share < b.Share-1e-12:
			return 1
		}
		return 0
	})
	var parts []string
	for _, s := range list {
		if len(list) == 1 {
			return s.ID
		}
		parts = append(parts, s.ID+" "+surely(s.Share))
	}
	return strings.Join(parts, ", ")
}

func (t *traitsAsked) write(p *page) {
	lines := t.linesShown()
	for _, line := range lines {
		p.blank()
		t.writeOdds(p, line)
		t.writeEvidence(p, line)
		t.writeRefused(p, line)
		t.writeParentOdds(p, line)
		t.writeTests(p, line)
		writePriors(p, t.study.Priors(line))
	}
	if len(lines) == 0 {
		p.say("No fish of a line with loci is living on %s; name those you ask for.", t.state.Date())
	}
}

func (t *traitsAsked) linesShown() []string {
	var lines []string
	for _, o := range t.document.Fish {
		lines = append(lines, o.Line)
	}
	for _, r := range t.document.Refused {
		lines = append(lines, r.Line)
	}
	return compact(lines)
}

func (t *traitsAsked) writeOdds(p *page, line string) {
	what := "the living fish"
	if t.named {
		what = "the fish asked for"
	}
	p.say("What %s of %s have at each locus", what, line)
	p.blank()
	var rows [][]string
	sampled, last := false, ""
	for _, o := range t.document.Fish {
		if o.Line != line {
			continue
		}
		name := o.ID
		if name == last {
			name = ""
		}
		last = o.ID
		rows = append(rows, []string{name, o.Locus, genotypeWords(o.odds), carriesWords(o.odds)})
		sampled = sampled || o.odds.Sampled
	}
	p.table([]column{{head: "fish"}, {head: "locus"}, {head: "genotype, and how likely", wrap: true}, {head: "carries"}}, rows)
	if sampled {
		worst := 0.0
		for _, o := range t.document.Fish {
			worst = max(worst, o.odds.Error)
		}
		p.blank()
		p.say("Sampled, for the pedigree is too much entwined to work it out exactly: the odds are right to about %s either way.", percent(2*worst))
	}
}

// genotypeWords says what a fish has, and which of it stands on the Y.
func genotypeWords(o locus.Odds) string {
	words := oddsWords(o.Genotypes)
	if len(o.OnY) > 0 {
		words += "; on the Y " + oddsWords(o.OnY)
	}
	return words
}

// carriesWords says which alleles besides the wild type a fish has, or may have.
func carriesWords(o locus.Odds) string {
	var parts []string
	for _, c := range o.Carries {
		switch {
		case c.Share < 1e-12:
		case c.Share > 1-1e-12:
			parts = append(parts, c.ID)
		default:
			parts = append(parts, c.ID+" "+surely(c.Share))
		}
	}
	if len(parts) == 0 {
		return "-"
	}
	return strings.Join(parts, ", ")
}

// writeEvidence says what an answer rests on.
func (t *traitsAsked) writeEvidence(p *page, line string) {
	var rows [][]string
	for _, o := range t.document.Fish {
		if o.Line != line {
			continue
		}
		for i, e := range o.Evidence {
			if i == 3 || e.Moved < 0.005 && i > 0 {
				break
			}
			rows = append(rows, []string{o.ID, o.Locus, e.ID + " " + e.Words, percentCell(e.Moved)})
		}
	}
	if len(rows) == 0 {
		return
	}
	p.blank()
	p.say("What moved it most, and how much of the odds would be otherwise without that record:")
	p.table([]column{{head: "fish"}, {head: "locus"}, {head: "record", wrap: true}, {head: "moved", right: true}}, rows)
}

func (t *traitsAsked) writeRefused(p *page, line string) {
	for _, r := range t.document.Refused {
		if r.Line == line {
			p.say("There is no answer for %s: its records cannot all be true; see: %s", r.Locus, t.from.command("check"))
		}
	}
}

func (t *traitsAsked) writeParentOdds(p *page, line string) {
	first := true
	for _, parents := range t.document.Parents {
		if spawn := t.book.SpawnByID(parents.Spawn); spawn == nil || spawn.Line != line {
			continue
		}
		if first {
			p.blank()
			p.say("Who bred, where it may have been one of several:")
			first = false
		}
		p.field(parents.Side+" of "+parents.Spawn, "%s", oddsWords(parents.odds.Candidates))
	}
}

func (t *traitsAsked) writeTests(p *page, line string) {
	var rows [][]string
	more := 0
	for _, test := range t.document.Tests {
		if stock := t.book.StockByID(test.ID); stock == nil || stock.Line != line {
			continue
		}
		if len(rows) == 5 {
			more++
			continue
		}
		rows = append(rows, []string{test.ID, test.Locus, test.Allele + " " + surely(test.Chance), trimmed(test.Settles, 2, 2)})
	}
	if len(rows) == 0 {
		return
	}
	p.blank()
	p.say("Most worth a test mating:")
	p.table([]column{{head: "fish"}, {head: "locus"}, {head: "may carry"}, {head: "doubt cleared", right: true}}, rows)
	if more > 0 {
		p.sayAt(2, "and %d more", more)
	}
	p.say("Doubt cleared: how much of the not knowing, over all living fish of the line, would be gone once this one is tested. A fish that is as likely as not to carry it, and tells nothing of the others, counts 1. " +
		"How many young a test takes: roebook how-many test-mating --with recessive")
}

// writePriors says of which loci nothing is known of the founders.
func writePriors(p *page, priors []locus.Prior) {
	var even []string
	for _, prior := range priors {
		if !prior.Stated {
			even = append(even, prior.Locus)
		}
	}
	if len(even) == 0 {
		return
	}
	p.blank()
	p.say("Alleles in founders are taken as equally frequent for %s: write `frequency` on the locus where you know better.", all(even))
}
