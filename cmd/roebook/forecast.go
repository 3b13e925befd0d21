package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"roebook/genetics/forecast"
	"roebook/pedigree"
)

// What a forecast takes where nothing is said.
const (
	usualDiversity   = 0.90 // the goal of a line that states none
	usualGenerations = 25
	usualSeed        = 1
	usualPairs       = 4
	usualGroups      = 3
	usualRuns        = 200
	plannedRuns      = 40 // of least-kinship: they take long, and differ little
)

// forecastQuestion is what to play forward, as asked for.
type forecastQuestion struct {
	forecast.Options
	scheme, ratio, failed string
	seed                  int
	colony, goal          bool

	pairsRange string          // in words
	stated     map[string]bool // the options given
	words      string          // those of them that say how the line is bred, to be typed again
}

func newForecast(env *environment) *cobra.Command {
	from := source{env: env}
	ask := forecastQuestion{}
	cmd := &cobra.Command{
		Use:   "forecast [LINE]",
		Short: "what a line will hold in ten or twenty generations",
		Long: `Play a line forward from the fish living today. Each generation some pairs are set up, young are kept,
and these are the next parents. Who is paired with whom, which pairs fail and which young are males is
left to chance, so it is played many times over: the answer is the average, and between what bounds nine
of ten such runs lie. It says when the line falls below its goal of gene diversity (the share of the
founders' variety that it holds), and with --goal what would keep it there: the fewest pairs, or the
fewest new wild fish.

The schemes. random: males and females are paired as chance has it. avoid-siblings: the same, but
brothers and sisters, and half-sibs, only where nothing else is left. least-kinship: the pairs, and the
young kept of each, that leave the most variety, brothers and sisters again only in need. rotate: the line is kept in --groups; daughters stay in
their group, and the males of each go on to the next in a ring (Kincaid 1977). With --colony there are no
pairs: all fish of the line (or group) spawn together, and any male and any female may be the parents of
any young. Colonies where few males do the breeding lose more than that says.

All living fish take part that are neither retired nor lent out. Those too young today are taken as grown
by the time they are needed, those never sexed get a sex by chance. Generations do not mix: parents do not
breed again with their young. New wild fish are taken as unrelated to all others; they are mated first,
each with a fish of the line, and count from the generation in which they come.

Collecting, importing and buying may need permits; keep to fish of the line's own place and species, and
to quarantine. Fish bred in captivity are never released. A forecast is what the records lead one to
expect, without selection, mishaps and DNA, and as if each young had inherited just what is to be
expected of its parents: no promise.`,
		Example: `  roebook forecast tessamora-ford --on 2026-11-24
  roebook forecast glowlight-danio --pairs 8 --failed 20% --on 2026-11-24
  roebook forecast glowlight-danio --pairs 6 --new-wild 2 --on 2026-11-24
  roebook forecast glowlight-danio --scheme rotate --pairs 9 --on 2026-11-24
  roebook forecast glowlight-danio --colony --keep 60 --on 2026-11-24
  roebook forecast glowlight-danio --goal --pairs 20 --on 2026-11-24`,
		Args: takes(0, 1, "the name of one line"),
		RunE: func(cmd *cobra.Command, args []string) error {
			ask.note(cmd.Flags())
			switch {
			case from.table != "" && len(args) > 0:
				return usageError("with --pedigree the whole table is the line: give no name")
			case from.table == "" && (len(args) == 0 || strings.TrimSpace(args[0]) == ""):
				return usageError("forecast takes the name of a line; to list them: %s", from.command("line"))
			}
			if err := ask.read(); err != nil {
				return err
			}
			if err := from.refuseBig("forecasts", mostPairedRows); err != nil {
				return err
			}
			l, err := from.load()
			if err != nil {
				return err
			}
			if l.fromTable {
				return l.forecast(&ask, l.whole.Lines[0].Name)
			}
			return l.forecast(&ask, args[0])
		},
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	ask.flags(cmd)
	return cmd
}

func (ask *forecastQuestion) flags(cmd *cobra.Command) {
	ask.Keep, ask.Every, ask.Generations, ask.Replicates, ask.seed = 0, 5, 0, 0, usualSeed
	flags := cmd.Flags()
	ask.breeding(flags, fmt.Sprintf("1 to %s, or with --keep as many as young are kept, up to %s", grouped(mostPairsOfTen), grouped(forecast.MostFish)))
	flags.Var(wholeNumber{&ask.Groups, 2, 100}, "groups", "with --scheme rotate: how many `groups`")
	flags.BoolVar(&ask.colony, "colony", false, "no pairs: the whole group spawns together")
	flags.Var(toldNumber{wholeNumber{&ask.Keep, 2, forecast.MostFish}}, "keep", "how many `young` are kept a generation, in all (otherwise 10 of each pair; of a colony, as many as it is today)")
	flags.StringVar(&ask.ratio, "sex-ratio", "0.5", "the `share` of males among the young, as 0.4 or 40%")
	flags.BoolVar(&ask.BySex, "by-sex", false, "keep young of each spawn by sex, to that share, and not as they fall")
	flags.StringVar(&ask.failed, "failed", "0", "the `share` of pairs that give no young (of a colony, of the females)")
	flags.Var(wholeNumber{&ask.NewWild, 0, forecast.MostFish}, "new-wild", "how many new wild `fish`, half of each sex, join the line")
	flags.Var(wholeNumber{&ask.Every, 1, forecast.MostGenerations}, "every", "they come every so many `generations`")
	flags.Var(toldNumber{wholeNumber{&ask.Generations, 1, forecast.MostGenerations}}, "generations", "how many `generations` (otherwise those of the line's goal, or 25)")
	flags.Var(toldNumber{wholeNumber{&ask.Replicates, 1, forecast.MostReplicates}}, "replicates", "how many `runs` are played (otherwise 200, or 40 of least-kinship, which takes longer and leaves less to chance)")
	flags.Var(wholeNumber{&ask.seed, 0, 1_000_000_000}, "seed", "another `number` gives other chances; the same one always the same answer")
	flags.BoolVar(&ask.goal, "goal", false, "look for the fewest pairs, and the fewest new wild fish, that keep to the line's goal")
}

// mostPairsOfTen is how many pairs there may be where [keptOfPair] young are kept
// of each.
const mostPairsOfTen = forecast.MostFish / keptOfPair

// breeding adds the options that say how pairs are made, and how many, within the
// range in words.
func (ask *forecastQuestion) breeding(flags *pflag.FlagSet, within string) {
	ask.pairsRange = within
	ask.Groups, ask.Pairs = usualGroups, usualPairs
	flags.StringVar(&ask.scheme, "scheme", string(forecast.Random), "how pairs are made, a `name`: random, avoid-siblings, least-kinship or rotate")
	flags.Var(pairsNumber{wholeNumber{&ask.Pairs, 1, forecast.MostFish}, within}, "pairs", "how many `pairs` are set up a generation, each with another male and female while there are enough; "+within)
}

// pairsNumber is the number of pairs. How many there may be depends on --keep,
// where there is one.
type pairsNumber struct {
	wholeNumber
	within string
}

// Set reads the number.
func (n pairsNumber) Set(text string) error {
	if n.wholeNumber.Set(text) != nil {
		return fmt.Errorf("%q is not a whole number from %s", text, n.within)
	}
	return nil
}

// note takes down which options were given.
func (ask *forecastQuestion) note(flags *pflag.FlagSet) {
	ask.stated = map[string]bool{}
	flags.Visit(func(flag *pflag.Flag) {
		ask.stated[flag.Name] = true
		switch flag.Name {
		case "book", "on", "pedigree", "json", "no-cache", "verbose", "goal", "new-wild", "every":
		case "colony", "by-sex":
			if flag.Value.String() == "true" {
				ask.words += " --" + flag.Name
			}
		case "keep", "generations", "replicates":
			ask.words += fmt.Sprintf(" --%s %d", flag.Name, *flag.Value.(toldNumber).value)
		default:
			ask.words += " --" + flag.Name + " " + shellQuoted(flag.Value.String())
		}
	})
}

// toldNumber is a whole number whose usual value is told in words.
type toldNumber struct{ wholeNumber }

func (toldNumber) String() string { return "" }

// read reads the options that are not whole numbers, and refuses those that do
// not go together.
func (ask *forecastQuestion) read() (err error) {
	ask.Scheme, ask.Seed = forecast.Scheme(ask.scheme), uint64(ask.seed)
	if !slices.Contains(forecast.Schemes, ask.Scheme) {
		var names []string
		for _, s := range forecast.Schemes {
			names = append(names, string(s))
		}
		hint := didYouMean(ask.scheme, names)
		if hint == "" {
			hint = ": choose " + either(names)
		}
		return usageError("--scheme: there is no scheme %q%s", ask.scheme, hint)
	}
	if !ask.stated["replicates"] {
		ask.Replicates = usualRuns
		if ask.Scheme == forecast.LeastKinship {
			ask.Replicates = plannedRuns
		}
	}
	if ask.Males, err = share(ask.ratio); err != nil {
		return usageError("--sex-ratio: %s", err)
	}
	if ask.Failed, err = share(ask.failed); err != nil {
		return usageError("--failed: %s", err)
	}
	switch {
	case ask.stated["groups"] && ask.Scheme != forecast.Rotate:
		return usageError("--groups is for --scheme rotate")
	case ask.colony && ask.stated["pairs"]:
		return usageError("--colony and --pairs cannot be used together: in a colony all spawn with all")
	case !ask.colony && ask.Pairs > mostPairsOfTen && !ask.stated["keep"]:
		return usageError("--pairs: %s is too many: from %s", grouped(ask.Pairs), ask.pairsRange)
	case ask.stated["every"] && ask.NewWild == 0 && !ask.goal:
		return usageError("--every says when new wild fish come; say how many with --new-wild")
	case ask.goal && ask.NewWild > 0:
		return usageError("--goal looks for the number of new wild fish itself: leave out --new-wild")
	}
	return nil
}

// settle fills in what depends on the line.
func (ask *forecastQuestion) settle(line *pedigree.Line, start *forecast.Start) error {
	if ask.colony {
		ask.Pairs = 0
	}
	if !ask.stated["keep"] {
		ask.Keep = keptOfPair * ask.Pairs
		if ask.colony {
			ask.Keep = min(max(int(start.Numbers().Total()), 2), forecast.MostFish)
		}
	}
	if !ask.stated["generations"] {
		ask.Generations = usualGenerations
		if line.Goal.Generations > 0 {
			ask.Generations = min(line.Goal.Generations, forecast.MostGenerations)
		}
	}
	if err := ask.Check(); err != nil {
		return usageError("%s\nsee: roebook forecast --help", err)
	}
	return nil
}

// forecast plays a line forward and prints the answer.
func (l *loaded) forecast(ask *forecastQuestion, name string) error {
	line, err := l.lineNamed(name)
	if err != nil {
		return err
	}
	if why := l.refusal(line.Name); why != "" {
		return l.noForecast(line, why)
	}
	if why := l.headerLost(line.Name); why != "" {
		l.env.complain(why)
	}
	start, err := forecast.From(l.state, line.Name)
	if err != nil {
		return l.noForecast(line, err.Error())
	}
	if err := ask.settle(line, start); err != nil {
		return err
	}
	if err := start.Check(ask.Options); err != nil {
		return l.noForecast(line, line.Name+" cannot be played forward: "+err.Error())
	}
	a := forecastAnswer{loaded: l, line: line, ask: ask, start: start, level: usualDiversity}
	if goal := line.Goal.GeneDiversity; goal != nil {
		a.level = *goal
	}
	if err := a.play(); err != nil {
		return err
	}
	p := l.env.page()
	if l.from.json {
		err = p.asJSON(a.document())
	} else {
		a.write(p)
	}
	if err != nil {
		return err
	}
	if err := l.finish(p); err != nil || !ask.goal || a.least != nil || len(a.wild) > 0 {
		return err
	}
	return statusError(saysNo) // nothing keeps to the goal
}

// noForecast says why there is no answer.
func (l *loaded) noForecast(line *pedigree.Line, why string) error {
	l.env.complain(why)
	p := l.env.page()
	if l.from.json {
		document := forecastJSON{Line: line.Name, LeftOut: []leftOutJSON{}, Generations: []forecastGenerationJSON{}, Refused: text(why), Answer: why}
		if err := p.asJSON(document); err != nil {
			return err
		}
	}
	if err := l.finish(p); err != nil {
		return err
	}
	return statusError(saysNo)
}

// forecastAnswer is a forecast, and what was looked for.
type forecastAnswer struct {
	*loaded
	line     *pedigree.Line
	ask      *forecastQuestion
	start    *forecast.Start
	level    float64 // of gene diversity that is to be kept
	result   *forecast.Result
	least    *forecast.Options // the fewest pairs, or young of a colony; nil: none
	wild     []forecast.Stock
	mostWild int // tried
}

// intervals are the numbers of generations at which new wild fish are looked for.
var intervals = []int{1, 2, 3, 5, 10}

// sure is in what share of the runs a goal must be kept.
const sure = 0.95

// A forecast of more than so many young played (of least-kinship, so many pairs
// compared) takes longer than some seconds.
const (
	manyYoung = 20_000_000
	manyPairs = 100_000_000
)

// forewarn says before a long forecast that it takes a while, where no gauge
// shows how far it is.
func (a *forecastAnswer) forewarn() {
	o := a.ask.Options
	young := o.Replicates * o.Generations * o.Keep
	long := young > manyYoung
	switch {
	case o.Scheme == forecast.LeastKinship:
		long = a.ask.goal || young*o.Keep > manyPairs
	case a.ask.goal && a.ask.colony: // up to that size is tried
		long = o.Replicates*o.Generations*max(o.Keep, forecast.MostTogether) > manyYoung/4
	}
	if long && !a.env.terminal {
		a.env.complain("this takes a while, up to some minutes; fewer --replicates or --generations take less")
	}
}

// play plays the line, and looks for what keeps to the goal where that is asked.
func (a *forecastAnswer) play() (err error) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	a.forewarn()
	bar := a.env.gauge("forecast")
	defer bar.clear()
	if a.result, err = forecast.Run(ctx, a.start, a.ask.Options, bar.show); err != nil || !a.ask.goal {
		return stopped(err)
	}
	search := forecast.Search{Start: a.start, Options: a.ask.Options, Goal: forecast.Goal{GeneDiversity: a.level, Sure: sure}, Progress: bar.show}
	if !a.ask.stated["keep"] {
		search.KeepOfPair = keptOfPair
	}
	bar.what = "fewest pairs"
	least, found, err := search.LeastPairs(ctx)
	if err != nil {
		return stopped(err)
	}
	if found {
		a.least = &least
	}
	a.mostWild = search.MostNewWild()
	at := intervals
	if a.ask.stated["every"] {
		at = []int{a.ask.Every}
	}
	bar.what = "fewest new wild fish"
	a.wild, err = search.LeastNewWild(ctx, at)
	return stopped(err)
}
