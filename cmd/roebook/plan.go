package main

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"roebook/genetics/pairing"
)

// planQuestion is what a plan may hold.
type planQuestion struct {
	spawns, least, most  int
	perMale, perFemale   int
	together, apart      []string
	with, without        []string
	includeLiving        bool
	seconds              string
	toward               string
	keep                 int // as given; 0 for the usual
	limited              time.Duration
	pairsTogether, split [][2]string
}

// keptOfSpawn is how many young of a spawn a plan reckons with where no total is
// given.
const keptOfSpawn = 10

// spawnsToward is how many spawns a plan toward a fish has where nothing is said.
const spawnsToward = 3

// planOptions are the options that only a plan has a use for.
var planOptions = []string{"keep-least", "keep-most", "per-male", "per-female", "together", "apart", "with", "without", "include-living", "seconds"}

func (q *planQuestion) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	q.least, q.perMale, q.perFemale = 1, 1, 1
	f.Var(wholeNumber{&q.spawns, 1, 100}, "plan", "choose up to so many `spawns` that serve the line best together; then --keep is the young kept in all, "+
		strconv.Itoa(keptOfSpawn)+" a spawn if not given")
	f.Var(wholeNumber{&q.least, 1, 1_000_000}, "keep-least", "with --plan: at least so many `young` of each spawn")
	f.Var(wholeNumber{&q.most, 1, 1_000_000}, "keep-most", "with --plan: at most so many `young` of each spawn (otherwise as is best)")
	f.Var(wholeNumber{&q.perMale, 1, 100}, "per-male", "with --plan: at most so many `spawns` of each male, also of each one of a lot")
	f.Var(wholeNumber{&q.perFemale, 1, 100}, "per-female", "with --plan: at most so many `spawns` of each female")
	f.StringArrayVar(&q.together, "together", nil, "with --plan: these `two` must be a pair, as AS-M1,AS-F2 (may be given again)")
	f.StringArrayVar(&q.apart, "apart", nil, "with --plan: these `two` must be no pair, as AS-M1,AS-F2 (may be given again)")
	f.StringSliceVar(&q.with, "with", nil, "with --plan: this `fish` or lot must have a spawn (may be given again)")
	f.StringSliceVar(&q.without, "without", nil, "with --plan: this `fish` or lot must have none (may be given again)")
	f.BoolVar(&q.includeLiving, "include-living", false, "with --plan: seek the diversity of the line with the young, not of the young alone")
	f.StringVar(&q.toward, "toward", "", "plan for line-breeding: the young are to have as much as can be of the genes of this `fish`, dead or alive, "+
		"while every spawn keeps the limit of inbreeding; "+strconv.Itoa(spawnsToward)+" spawns if --plan is not given")
	f.StringVar(&q.seconds, "seconds", "", "with --plan: go on looking for so many `seconds`; what is found then may differ from one computer to another")
}

// asked reads the options of a plan, and reports whether one is wanted.
func (q *planQuestion) asked(cmd *cobra.Command) (bool, error) {
	var first string
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if first == "" && slices.Contains(planOptions, f.Name) {
			first = f.Name
		}
	})
	if q.spawns == 0 && q.toward != "" {
		q.spawns = spawnsToward
	}
	if q.spawns == 0 {
		if first != "" {
			return false, usageError("--%s belongs to a plan: say also how many spawns, as --plan 4", first)
		}
		return false, nil
	}
	if cmd.Flags().Changed("keep") {
		q.keep, _ = strconv.Atoi(cmd.Flags().Lookup("keep").Value.String())
	}
	if q.seconds != "" {
		seconds, err := strconv.ParseFloat(q.seconds, 64)
		if err != nil || !decimal.MatchString(q.seconds) || seconds <= 0 || seconds > 86_400 {
			return false, usageError("--seconds: %q is not a number of seconds above 0", q.seconds)
		}
		q.limited = time.Duration(seconds * float64(time.Second))
	}
	var err error
	if q.pairsTogether, err = twos("--together", q.together); err == nil {
		q.split, err = twos("--apart", q.apart)
	}
	return true, err
}

// twos reads pairs of ids.
func twos(option string, list []string) (pairs [][2]string, err error) {
	for _, text := range list {
		ids := strings.Split(text, ",")
		for i := range ids {
			ids[i] = strings.TrimSpace(ids[i])
		}
		if len(ids) != 2 || ids[0] == "" || ids[1] == "" {
			return nil, usageError("%s takes two ids with a comma between, as %s AS-M1,AS-F2; %q is not that", option, option, text)
		}
		if pair := [2]string{ids[0], ids[1]}; !slices.Contains(pairs, pair) {
			pairs = append(pairs, pair)
		}
	}
	return pairs, nil
}

// options puts the question for a line.
func (q *planQuestion) options(l *loaded, line string, limit *float64) pairing.PlanOptions {
	keep := q.keep
	if keep == 0 {
		keep = max(keptOfSpawn*q.spawns, q.least)
		if q.most > 0 {
			keep = min(keep, q.most*q.spawns)
		}
	}
	return pairing.PlanOptions{
		Line: line, Spawns: q.spawns, Keep: keep, Least: q.least, Most: q.most, PerMale: q.perMale, PerFemale: q.perFemale,
		MaxInbreeding: limit, Together: q.pairsTogether, Apart: q.split, With: q.with, Without: q.without,
		IncludeLiving: q.includeLiving, Toward: q.toward, Harmful: pairing.HiddenRecessives(l.book),
	}
}

// named are the ids that the options name.
func (q *planQuestion) named() []string {
	ids := slices.Concat(q.with, q.without)
	if q.toward != "" {
		ids = append(ids, q.toward)
	}
	for _, pair := range slices.Concat(q.pairsTogether, q.split) {
		ids = append(ids, pair[:]...)
	}
	return ids
}

// planned answers with a plan for one line.
func planned(from *source, ask *pairsQuestion, q *planQuestion) error {
	if from.table != "" && ask.line != "" {
		return usageError("with --pedigree the whole table is the line: give no --line")
	}
	if err := from.refuseBig("pairs", mostPairedRows); err != nil {
		return err
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	line, err := l.planLine(ask.line)
	if err != nil {
		return err
	}
	ids := q.named()
	fit, err := l.answerable(ids)
	if err != nil {
		return err
	}
	o := q.options(l, line, ask.limit)
	if o.Harmful, err = ask.unwanted.harmful(l, line, o.Harmful); err != nil {
		return err
	}
	why := l.noPairs(line)
	if why == "" && len(fit) < len(ids) {
		why = "errors in the book touch fish that are named"
	}
	if why != "" {
		l.env.complain(why)
		p := from.env.page()
		if from.json {
			if err := p.asJSON(planDocument(line, o, pairing.LinePlan{Reasons: []string{why}})); err != nil {
				return err
			}
		}
		if err := l.finish(p); err != nil {
			return err
		}
		return statusError(saysNo)
	}
	var stop func() bool
	if q.limited > 0 {
		deadline := from.env.now().Add(q.limited)
		stop = func() bool { return !from.env.now().Before(deadline) }
	}
	plan, err := pairing.PlanLine(l.state, o, stop)
	if err != nil {
		return usageError("%s", err)
	}
	p := from.env.page()
	if from.json {
		if err := p.asJSON(planDocument(line, o, plan)); err != nil {
			return err
		}
	} else {
		w := planWriter{l, p, line, o, plan, ask.unwanted.apart}
		w.write()
	}
	if err := l.finish(p); err != nil {
		return err
	}
	if len(plan.Spawns) == 0 {
		return statusError(saysNo)
	}
	return nil
}

// planLine is the line to plan for: the one named, or the only one.
func (l *loaded) planLine(name string) (string, error) {
	lines, err := l.linesAsked(name)
	if err != nil {
		return "", err
	}
	if len(lines) > 1 {
		return "", usageError("a plan is for one line: name it with --line; the book has %s", some(lines, 8))
	}
	return lines[0], nil
}

type planJSON struct {
	Line              string             `json:"line"`
	Plan              []plannedSpawnJSON `json:"plan"`
	PlanGeneDiversity number             `json:"plan_gene_diversity"`
	PlanBound         number             `json:"plan_bound"` // no plan has more
	Exact             bool               `json:"exact"`      // no plan is better
	Of                string             `json:"of"`         // what the two above are of: `young` or `line`
	Spawns            int                `json:"spawns"`     // at most
	Keep              int                `json:"keep"`       // in all
	OfYoung           number             `json:"gene_diversity_young"`
	Now               number             `json:"gene_diversity_now"`
	After             number             `json:"gene_diversity_after"` // of the line with the young
	MeanInbreeding    number             `json:"mean_inbreeding"`      // of the young kept
	MaxInbreeding     number             `json:"max_inbreeding"`       // the limit
	Living            float64            `json:"living"`
	Founders          []shareJSON        `json:"founders"` // of the young kept
	LeftOut           []leftOutJSON      `json:"left_out"`
	KeptApart         []string           `json:"kept_apart"`
	Toward            *towardJSON        `json:"toward"`   // null where the plan is toward no fish
	Reasons           []string           `json:"reasons"`  // why there is no plan, where no limit is to blame
	Remedies          []remedyJSON       `json:"remedies"` // limits that, changed by themselves, let a plan be
}

type plannedSpawnJSON struct {
	Sire       string         `json:"sire"`
	Dam        string         `json:"dam"`
	Keep       int            `json:"keep"`
	Inbreeding float64        `json:"inbreeding"`
	SireFish   int            `json:"sire_fish"` // which fish of the lot, from 1; 0 for a single fish
	DamFish    int            `json:"dam_fish"`
	Flags      []pairing.Flag `json:"flags"`
	Share      number         `json:"share"`              // with toward: its share of the young's genes
	Through    number         `json:"inbreeding_through"` // with toward: the part of the inbreeding that came through it
	Others     number         `json:"inbreeding_others"`  // with toward: the rest
}

type towardJSON struct {
	ID         string  `json:"id"`
	Share      float64 `json:"share"`                   // of the genes of the young kept
	ShareBound float64 `json:"share_bound"`             // no plan has a greater one
	ShareNow   float64 `json:"share_now"`               // of the living fish of the line
	Through    float64 `json:"mean_inbreeding_through"` // of the young kept, the part through it
	Without    float64 `json:"gene_diversity_without"`  // of the young of the best plan without toward
}

type remedyJSON struct {
	Limit pairing.Limit `json:"limit"`
	Value float64       `json:"value"`
}

func planDocument(line string, o pairing.PlanOptions, plan pairing.LinePlan) planJSON {
	is := len(plan.Spawns) > 0
	d := planJSON{
		Line: line, Plan: []plannedSpawnJSON{}, PlanGeneDiversity: known(plan.GeneDiversity, is), PlanBound: known(plan.Bound, is), Exact: plan.Exact && is,
		Of: "young", Spawns: o.Spawns, Keep: o.Keep, OfYoung: known(plan.OfFry, is), Now: known(plan.Now, plan.Living > 0), After: known(plan.After, is),
		MeanInbreeding: known(plan.Inbreeding, is), MaxInbreeding: plan.Limit, Living: plan.Living, Founders: sharesOf(plan.FounderFry),
		LeftOut: []leftOutJSON{}, KeptApart: append([]string{}, plan.KeptApart...), Reasons: append([]string{}, plan.Reasons...), Remedies: []remedyJSON{},
	}
	if o.IncludeLiving {
		d.Of = "line"
	}
	for _, s := range plan.Spawns {
		toward := o.Toward != ""
		d.Plan = append(d.Plan, plannedSpawnJSON{s.Sire, s.Dam, s.Keep, s.Inbreeding, s.SireFish, s.DamFish, append([]pairing.Flag{}, s.Flags...),
			known(s.Share, toward), known(s.Through, toward), known(max(0, s.Inbreeding-s.Through), toward)})
	}
	if o.Toward != "" && is {
		d.Toward = &towardJSON{o.Toward, plan.Share, plan.ShareBound, plan.ShareNow, plan.Through, plan.Without}
	}
	for _, left := range plan.LeftOut {
		d.LeftOut = append(d.LeftOut, leftOutJSON(left))
	}
	for _, r := range plan.Remedies {
		d.Remedies = append(d.Remedies, remedyJSON(r))
	}
	return d
}
