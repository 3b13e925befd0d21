package main

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"roebook/genetics/sums"
	"roebook/pedigree"
)

func newFry(env *environment) *cobra.Command {
	ask := fryQuestion{from: source{env: env}, sure: 0.9}
	cmd := &cobra.Command{
		Use:   "fry FRY",
		Short: "eggs and spawns to set up for so many fry, by the line's own records",
		Long: `Work out how many eggs to set up (of livebearers: how many fry must be born), and how many spawns that
is, so that so many fry come through with the odds you want. It goes by what the spawns of this line
brought so far, and by how much they differed: one spawn is eaten by fungus, the next thrives, and that
matters more than the mean.

Formula: of a spawn of n eggs a beta-binomial number comes through: each spawn has a chance of its own, and
these chances follow a Beta distribution, fitted to the spawns on record by maximum likelihood (Skellam
1948, J. R. Stat. Soc. B 10:257; Griffiths 1973, Biometrics 29:637). Eggs are taken as laid in spawns of the
line's mean size; spawns as of the sizes on record. The number is the smallest whose odds, by summing over
all spawns, are at least those asked for.

The line needs 5 spawns with both counts, a choice of this program. Few spawns tell little: in trials with
made-up spawns, what was set up for 90 % brought the fry in 81 % of cases after 5 spawns on record, 85-86 %
after 12, 88-90 % after 40. What is to come must be like what was: the same pairs, tanks, food and hand.`,
		Example: `  roebook how-many fry 40 --line glowlight-danio --on 2026-11-24
  roebook how-many fry 40 --line glowlight-danio --until hatched --on 2026-11-24
  roebook how-many fry 20 --line tessamora-ford --odds 80% --on 2026-11-24`,
		Args: takes(1, 1, "the number of fry that you want"),
		RunE: func(_ *cobra.Command, args []string) error {
			n, err := strconv.Atoi(args[0])
			if err != nil || n < 1 || n > sums.MostFry {
				return usageError("%q is not a whole number of fry from 1 to %s", args[0], grouped(sums.MostFry))
			}
			ask.fry = n
			return fry(&ask)
		},
	}
	ask.from.flags(cmd)
	cmd.Flags().StringVar(&ask.line, "line", "", "the `line` to breed (may be left out where the book has only one)")
	cmd.Flags().Var(shareValue{&ask.sure}, "odds", "how sure you want to be: the `odds`, as 80%")
	cmd.Flags().StringVar(&ask.until, "until", "", "the `count` that the fry must come to: fertile, hatched, born, swimming or kept (otherwise kept, or swimming where too few spawns say how many were kept)")
	return cmd
}

type fryQuestion struct {
	from        source
	fry         int
	line, until string
	sure        float64
}

// unfitError says that the spawns on record lead to no yield.
type unfitError struct{ error }

// stage is one of the counts of a spawn, in the order of growth.
type stage struct {
	key   string
	words string // "640 eggs"
	of    func(*pedigree.Spawn) pedigree.Tally
}

var stages = []stage{
	{"eggs", "eggs", func(s *pedigree.Spawn) pedigree.Tally { return s.Eggs }},
	{"fertile", "fertile eggs", func(s *pedigree.Spawn) pedigree.Tally { return s.Fertile }},
	{"hatched", "hatched fry", func(s *pedigree.Spawn) pedigree.Tally { return s.Hatched }},
	{"born", "fry born", func(s *pedigree.Spawn) pedigree.Tally { return s.Born }},
	{"swimming", "swimming fry", func(s *pedigree.Spawn) pedigree.Tally { return s.Swimming }},
	{"kept", "kept fry", func(s *pedigree.Spawn) pedigree.Tally { return s.Kept }},
}

// counted lists what came through of each spawn that has both counts.
func counted(spawns []*pedigree.Spawn, from, until stage) []sums.Count {
	var list []sums.Count
	for _, s := range spawns {
		if a, b := from.of(s), until.of(s); a.Stated && b.Stated && a.N > 0 {
			list = append(list, sums.Count{Of: a.N, Through: b.N})
		}
	}
	return list
}

// course is from which count to which the records lead.
type course struct {
	from, until stage
	counts      []sums.Count
}

// courseOf finds the earliest first count, up to the last count asked for, that
// enough spawns have; enough is false where none has, and the best is returned.
func courseOf(spawns []*pedigree.Spawn, until string) (best course, enough bool, err error) {
	last := []int{5, 4}
	if until != "" {
		last = nil
		for i, s := range stages[1:] {
			if s.key == until {
				last = []int{i + 1}
			}
		}
		if last == nil {
			return course{}, false, usageError("--until: %q is neither fertile, hatched, born, swimming nor kept", until)
		}
	}
	best = course{from: stages[0], until: stages[last[0]]}
	for _, end := range last {
		for _, from := range stages[:end] {
			found := course{from, stages[end], counted(spawns, from, stages[end])}
			if len(found.counts) >= sums.LeastSpawns {
				return found, true, nil
			}
			if len(found.counts) > len(best.counts) {
				best = found
			}
		}
	}
	return best, false, nil
}

type stepJSON struct {
	From   string  `json:"from"`
	Until  string  `json:"until"`
	Spawns int     `json:"spawns"`
	Mean   float64 `json:"mean"` // of all together
	Worst  float64 `json:"worst"`
	Best   float64 `json:"best"`
}

type fryJSON struct {
	reply
	Line     string     `json:"line"`
	Fry      int        `json:"fry"`
	Odds     float64    `json:"odds"`
	From     string     `json:"from"`
	Until    string     `json:"until"`
	Spawns   *int       `json:"spawns"`          // to set up; null where there is no answer
	Recorded int        `json:"recorded_spawns"` // with both counts
	Mean     number     `json:"mean_share"`      // that comes through, by the fit
	Spread   number     `json:"spread"`          // the part of the variance that lies between spawns
	Steps    []stepJSON `json:"steps"`
	Overall  *stepJSON  `json:"overall"`         // from the first count to the last; null where there is no answer
	Nothing  int        `json:"brought_nothing"` // spawns of which none came through
	BelowLow int        `json:"below_low"`       // spawns that brought less than one in ten do by the fit
	Swimming number     `json:"number_swimming"` // where kept is reckoned with unasked: the number up to swimming
}

func fry(ask *fryQuestion) error {
	l, err := ask.from.load()
	if err != nil {
		return err
	}
	line, err := l.lineOrOnly(ask.line)
	if err != nil {
		return err
	}
	spawns := l.spawnsSoFar(line.Name)
	found, enough, err := courseOf(spawns, ask.until)
	if err != nil {
		return err
	}
	document := fryJSON{Line: line.Name, Fry: ask.fry, Odds: ask.sure, From: found.from.key, Until: found.until.key,
		Recorded: len(found.counts), Steps: stepsOf(spawns, found)}
	if !enough {
		return l.noFry(ask, document, l.tooFew(document, found))
	}
	yield, plan, err := ask.plan(found)
	var unfit *unfitError
	switch {
	case errors.As(err, &unfit):
		return l.noFry(ask, document, fmt.Sprintf("no answer for %s: %s", line.Name, unfit))
	case err != nil:
		return err
	}
	document.Spawns, document.Mean, document.Spread = &plan.Spawns, &yield.Mean, &yield.Spread
	document.overall(found, yield)
	if found.until.key == "kept" && ask.until == "" {
		document.Swimming = ask.upToSwimming(spawns)
	}
	document.reply = replied(float64(plan.Eggs), l.fryAnswer(document, found, plan), l.fryNotes(document, found, yield)...)
	return l.tellFry(document, ask.from.json)
}

// overall says what came through from the first count to the last, and of how many
// spawns little or nothing.
func (d *fryJSON) overall(c course, yield sums.Yield) {
	step := stepOf(c.counts, c.from, c.until)
	d.Overall = &step
	low, _ := yield.Usual(middle)
	for _, count := range c.counts {
		if count.Through == 0 {
			d.Nothing++
		}
		if float64(count.Through) < low*float64(count.Of) {
			d.BelowLow++
		}
	}
}

// middle is the share of spawns that is told of as the usual: one in ten lies
// below it, and one above.
const middle = 0.8

// upToSwimming is the number where fry need only come to swim; null where the
// records do not say.
func (ask *fryQuestion) upToSwimming(spawns []*pedigree.Spawn) number {
	found, enough, err := courseOf(spawns, "swimming")
	if !enough || err != nil {
		return nil
	}
	_, plan, err := ask.plan(found)
	return known(float64(plan.Eggs), err == nil)
}

// plan fits the yield of the spawns counted, and says what to set up.
func (ask *fryQuestion) plan(c course) (sums.Yield, sums.Spawning, error) {
	yield, err := sums.FitYield(c.counts)
	if err != nil {
		return sums.Yield{}, sums.Spawning{}, &unfitError{err}
	}
	sizes := make([]int, len(c.counts))
	for i, count := range c.counts {
		sizes[i] = count.Of
	}
	plan, err := yield.SpawningFor(ask.fry, sizes, ask.sure)
	return yield, plan, err
}

// lineOrOnly is the line named, or the book's only one.
func (l *loaded) lineOrOnly(name string) (*pedigree.Line, error) {
	if name != "" || len(l.whole.Lines) == 0 {
		return l.lineNamed(name)
	}
	if len(l.whole.Lines) == 1 {
		return l.whole.Lines[0], nil
	}
	var names []string
	for _, line := range l.whole.Lines {
		names = append(names, line.Name)
	}
	return nil, usageError("name the line with --line: the book has %s", some(names, 8))
}

// spawnsSoFar lists the spawns of a line up to the day asked for that no error
// touches, and says how many are left out.
func (l *loaded) spawnsSoFar(line string) []*pedigree.Spawn {
	var list []*pedigree.Spawn
	left := 0
	for _, s := range l.whole.Spawns {
		switch {
		case s.Line != line || s.IsPlanned() || s.Date > l.state.Date():
		case l.tainted[s.ID]:
			left++
		default:
			list = append(list, s)
		}
	}
	if left > 0 {
		l.env.complain(countWords(left, "spawn") + " left out, for errors in the book touch them")
	}
	if why := l.lost(line); why != "" {
		l.env.complain("spawns of " + line + " may be missing: " + why)
	}
	return list
}

// stepsOf says what came through from each count to the next.
func stepsOf(spawns []*pedigree.Spawn, c course) []stepJSON {
	steps := []stepJSON{}
	var before *stage
	within := false
	for i := range stages {
		s := &stages[i]
		within = within || s.key == c.from.key
		if !within {
			continue
		}
		if before == nil {
			before = s
		} else if counts := counted(spawns, *before, *s); len(counts) > 0 {
			steps = append(steps, stepOf(counts, *before, *s))
			before = s
		}
		if s.key == c.until.key {
			break
		}
	}
	return steps
}

func stepOf(counts []sums.Count, from, until stage) stepJSON {
	step := stepJSON{From: from.key, Until: until.key, Spawns: len(counts), Worst: 1}
	of, through := 0, 0
	for _, c := range counts {
		of, through = of+c.Of, through+c.Through
		step.Worst = min(step.Worst, float64(c.Through)/float64(c.Of))
		step.Best = max(step.Best, float64(c.Through)/float64(c.Of))
	}
	step.Mean = float64(through) / float64(of)
	return step
}
