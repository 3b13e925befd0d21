package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics/pairing"
	"roebook/pedigree"
)

func newPairs(env *environment) *cobra.Command {
	from := source{env: env}
	ask := pairsQuestion{}
	plan := planQuestion{}
	var most string
	cmd := &cobra.Command{
		Use:   "pairs",
		Short: "which fish to put together next",
		Long: `Rank every pair of a living, mature male and female of a line. Best is the pair whose young would leave
the line with the most of its founders' variety: one that is little related to the rest of the line, and
to each other. A lot stands for any one fish of it. Pairs whose young would be more inbred than the
limit (that of the line's goal, or --max-inbreeding) stand by themselves below.

The best pair and the next best may be of the same family, and then their young are too. --plan N chooses
up to N spawns that serve the line best together, and how many young to keep of each, so that the young
kept hold the most of the founders' variety. It says how good the plan is against the best there could be.
--toward FISH plans for line-breeding: the young are to keep the stamp of one fish, as far as the limit of
inbreeding goes.

Breeding close kin brings weak and crippled fish: keep to the limit, and cull only as humanely as, and
where, local welfare law allows. Fish bred in captivity are never released. Collecting, importing and
selling may need permits, and disease is a matter for a vet. The numbers are what the records lead one
to expect; they are no test of the fish's genes.`,
		Example: `  roebook pairs --line tessamora-ford --on 2026-11-24
  roebook pairs --line candlewick --keep 6 --max-inbreeding 20% --on 2026-11-24
  roebook pairs --most 3 --on 2026-11-24
  roebook pairs --line tessamora-ford --plan 4 --keep 40 --on 2026-11-24
  roebook pairs --line candlewick --plan 3 --with CW-K4 --on 2026-11-24
  roebook pairs --line tessamora-ford --toward TF-D1a --on 2026-11-24`,
		Args: takes(0, 0, "no argument; name a line with --line"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("max-inbreeding") {
				limit, err := share(most)
				if err != nil {
					return usageError("--max-inbreeding: %s", err)
				}
				ask.limit = &limit
			}
			asked, err := plan.asked(cmd)
			switch {
			case err != nil:
				return err
			case asked:
				return planned(&from, &ask, &plan)
			}
			return pairs(&from, &ask)
		},
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	cmd.Flags().StringVar(&ask.line, "line", "", "the `line` to pair up (otherwise each line of the book by itself)")
	ask.keep, ask.most = keptOfPair, 20
	cmd.Flags().Var(wholeNumber{&ask.keep, 1, 1_000_000}, "keep", "how many `young` of a pair will be kept, at least 1")
	cmd.Flags().StringVar(&most, "max-inbreeding", "", "the `limit` for the young, as 0.125 or 12.5% (otherwise that of the line's goal)")
	ask.unwanted.flags(cmd)
	cmd.Flags().Var(wholeNumber{&ask.most, 0, 1_000_000}, "most", "how many `pairs` to print, 0 for all; --json has them all")
	plan.flags(cmd)
	return cmd
}

// decimal is a number as people write it.
var decimal = regexp.MustCompile(`^(\d+(\.\d*)?|\.\d+)$`)

// share reads a number between 0 and 1, or in percent.
func share(text string) (float64, error) {
	number, inPercent := strings.CutSuffix(strings.TrimSpace(text), "%")
	number = strings.TrimSpace(number)
	value, err := strconv.ParseFloat(number, 64)
	if inPercent {
		value /= 100
	}
	if err != nil || !decimal.MatchString(number) || !(value >= 0 && value <= 1) {
		hint := ""
		if err == nil && decimal.MatchString(number) && !inPercent && value <= 100 {
			hint = "; did you mean " + number + "%?"
		}
		return 0, usageError("%q is not a number between 0 and 1 (or 0%% and 100%%)%s", text, hint)
	}
	return value, nil
}

// pairsQuestion is what to rank.
type pairsQuestion struct {
	line  string
	keep  int
	most  int
	limit *float64

	unwanted unwanted
}

type pairJSON struct {
	Line          string          `json:"line"`
	Sire          string          `json:"sire"`
	Dam           string          `json:"dam"`
	Inbreeding    float64         `json:"inbreeding"`
	GeneDiversity float64         `json:"gene_diversity"`
	MeanKinship   float64         `json:"mean_kinship"` // of the young with the living fish of the line
	Generation    *generationJSON `json:"generation"`
	Founders      []shareJSON     `json:"founders"`
	Flags         []pairing.Flag  `json:"flags"`
	Planned       *string         `json:"planned"` // the planned spawn that may be of these two
	// The share of the young that would show each unwanted look, where one was named.
	Unwanted map[string]float64 `json:"unwanted,omitempty"`
}

type pairedLineJSON struct {
	Line          string        `json:"line"`
	Living        number        `json:"living"`
	GeneDiversity number        `json:"gene_diversity"`
	MaxInbreeding number        `json:"max_inbreeding"`
	LeftOut       []leftOutJSON `json:"left_out"`
	KeptApart     *int          `json:"kept_apart,omitempty"` // pairs left out by --apart-carriers
	Refused       *string       `json:"refused,omitempty"`    // why there is no answer
}

type leftOutJSON struct {
	ID  string `json:"id"`
	Why string `json:"why"`
}

type pairsJSON struct {
	Pairs []pairJSON       `json:"pairs"`
	Keep  int              `json:"keep"`
	Lines []pairedLineJSON `json:"lines"`

	ranked []rankedLine // the pairs, until they are written
	count  int
}

func pairs(from *source, ask *pairsQuestion) error {
	switch {
	case from.table != "" && ask.line != "":
		return usageError("with --pedigree the whole table is the line: give no --line")
	}
	if err := from.refuseBig("pairs", mostPairedRows); err != nil {
		return err
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	lines, err := l.linesAsked(ask.line)
	if err != nil {
		return err
	}
	if err := ask.unwanted.read(l, lines); err != nil {
		return err
	}
	document := pairsJSON{Pairs: []pairJSON{}, Keep: ask.keep, Lines: []pairedLineJSON{}}
	p := from.env.page()
	planned, answer, shown, unlimited := l.plannedPairs(), statusError(done), 0, false
	for _, line := range lines {
		why := l.noPairs(line)
		var r pairing.Ranking
		if why == "" {
			r = pairing.Rank(l.state, pairing.Options{Line: line, Keep: ask.keep, MaxInbreeding: ask.limit})
			why = tooMany(line, r)
		}
		risks := ask.unwanted.of(l, line, &r)
		if why != "" {
			l.env.complain(why)
			document.Lines = append(document.Lines, pairedLineJSON{Line: line, LeftOut: []leftOutJSON{}, Refused: text(why)})
			answer = saysNo
			continue
		}
		if len(r.Pairs) == 0 && risks.all() {
			answer = saysNo
		}
		if from.json {
			document.add(line, r, planned, risks)
		} else {
			p.blank()
			writer := pairsWriter{loaded: l, page: p, line: line, ask: ask, r: r, planned: planned, risks: risks}
			writer.write()
			shown += len(r.Pairs)
			unlimited = unlimited || r.Limit == nil
		}
	}
	switch {
	case from.json:
		if err := document.write(from.env, p); err != nil {
			return err
		}
	case shown > 0:
		l.pairsKey(p, ask.keep, unlimited)
	}
	if err := l.finish(p); err != nil || answer == done {
		return err
	}
	return answer
}

// noPairs says why the fish of a line cannot be paired, "" where they can.
func (l *loaded) noPairs(line string) string {
	if why := l.refusal(line); why != "" {
		return why
	}
	if why := l.headerLost(line); why != "" {
		return fmt.Sprintf("no pairs of %s are ranked: %s; mend it first", line, why)
	}
	return ""
}

// tooMany says that a line has more pairs than are ranked, "" where it has not.
func tooMany(line string, r pairing.Ranking) string {
	if r.Possible <= pairing.MostPairs {
		return ""
	}
	return fmt.Sprintf("%s has %s possible pairs, and at most %s are ranked: write down which of its fish died or left, or mark those not to be bred as retired",
		line, grouped(r.Possible), grouped(pairing.MostPairs))
}

// plan is a planned spawn; sole: of just these two records.
type plan struct {
	id   string
	sole bool
}

// plannedPairs are the planned spawns by their possible sires and dams.
func (l *loaded) plannedPairs() map[[2]string]plan {
	planned := make(map[[2]string]plan)
	for _, spawn := range l.book.Spawns {
		if !spawn.IsPlanned() {
			continue
		}
		sires, dams := l.book.Contributors(spawn, pedigree.Male), l.book.Contributors(spawn, pedigree.Female)
		sole := len(sires) == 1 && len(dams) == 1
		for _, sire := range sires {
			for _, dam := range dams {
				pair := [2]string{sire.Stock.ID, dam.Stock.ID}
				if before, ok := planned[pair]; !ok || sole && !before.sole {
					planned[pair] = plan{spawn.ID, sole}
				}
			}
		}
	}
	return planned
}

// linesAsked is the line named, or every line of the book.
func (l *loaded) linesAsked(name string) ([]string, error) {
	if name != "" {
		line, err := l.lineNamed(name)
		if err != nil {
			return nil, err
		}
		return []string{line.Name}, nil
	}
	if len(l.whole.Lines) == 0 {
		return nil, usageError("the book has no line yet")
	}
	var names []string
	for _, line := range l.whole.Lines {
		names = append(names, line.Name)
	}
	return names, nil
}

func (d *pairsJSON) add(line string, r pairing.Ranking, planned map[[2]string]plan, risks *pairRisks) {
	d.ranked = append(d.ranked, rankedLine{line, r.Pairs, planned, risks})
	d.count += len(r.Pairs)
	out := pairedLineJSON{Line: line, Living: known(r.Living, true), GeneDiversity: known(r.GeneDiversity, r.Living > 0),
		MaxInbreeding: r.Limit, LeftOut: []leftOutJSON{}, KeptApart: risks.keptApart()}
	for _, left := range r.LeftOut {
		out.LeftOut = append(out.LeftOut, leftOutJSON(left))
	}
	d.Lines = append(d.Lines, out)
}

// rankedLine is the pairs of a line that are still to be written.
type rankedLine struct {
	line    string
	pairs   []pairing.Pair
	planned map[[2]string]plan
	risks   *pairRisks
}

func (r rankedLine) document(pair pairing.Pair) pairJSON {
	flags := pair.Flags
	if flags == nil {
		flags = []pairing.Flag{}
	}
	return pairJSON{r.line, pair.Sire, pair.Dam, pair.Inbreeding, pair.GeneDiversity, pair.MeanKinship,
		generationOf(pair.Generation(), true), sharesOf(pair.Founders()), flags, text(r.planned[[2]string{pair.Sire, pair.Dam}].id), r.risks.byName(pair)}
}

// wholePairs is up to how many pairs are held as one document; more are written
// one after the other, for each takes kilobytes.
const wholePairs = 20_000

func (d *pairsJSON) write(env *environment, p *page) error {
	if d.count <= wholePairs {
		for _, r := range d.ranked {
			for _, pair := range r.pairs {
				d.Pairs = append(d.Pairs, r.document(pair))
			}
		}
		return p.asJSON(d)
	}
	rest, err := json.Marshal(d) // with no pairs: {"pairs":[],...}
	if err != nil {
		return err
	}
	const begin = `{"pairs":[`
	out := bufio.NewWriterSize(env.out, 1<<16)
	out.WriteString(begin)
	comma := ""
	for _, r := range d.ranked {
		for _, pair := range r.pairs {
			one, err := json.Marshal(r.document(pair))
			if err != nil {
				return err
			}
			out.WriteString(comma)
			out.Write(one)
			comma = ",\n"
		}
	}
	out.Write(rest[len(begin):])
	out.WriteString("\n")
	return out.Flush()
}
