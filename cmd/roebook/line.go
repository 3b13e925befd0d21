package main

import (
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/pedigree"
)

func newLine(env *environment) *cobra.Command {
	from := source{env: env}
	cmd := &cobra.Command{
		Use:   "line [NAME]",
		Short: "how a line stands, and how it came to that",
		Long: `Report on a line: what it still holds of the variety of its founders, which founders its genes come
from and how unevenly, how inbred it is, what its effective size is, and how this went year by year.
Without a name it lists the lines of the book. With --pedigree the whole table is the line.`,
		Example: `  roebook line
  roebook line tessamora-ford --on 2026-11-24
  roebook line candlewick --on 2026-11-24 --json`,
		Args: takes(0, 1, "at most one name of a line"),
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case len(args) > 0 && strings.TrimSpace(args[0]) == "":
				return usageError("the name of the line is empty; without a name all lines are listed")
			case from.table != "" && len(args) > 0:
				return usageError("with --pedigree the whole table is the line: give no name")
			}
			if big, err := from.big(false); err != nil || big != nil {
				return orElse(err, func() error { return big.line(from.json) })
			}
			l, err := from.load()
			if err != nil {
				return err
			}
			switch {
			case !l.fromTable && len(args) == 0:
				return listLines(&from, l)
			case l.fromTable:
				return reportLine(&from, l, l.whole.Lines[0].Name)
			}
			return reportLine(&from, l, args[0])
		},
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	return cmd
}

type lineJSON struct {
	Line                     string            `json:"line"`
	Species                  *string           `json:"species"`
	Refused                  *string           `json:"refused,omitempty"` // why there is no answer
	Living                   number            `json:"living"`
	Founders                 *int              `json:"founders"`
	FounderShare             []shareJSON       `json:"founder_share"`
	FounderEquivalents       number            `json:"founder_equivalents"`
	FounderGenomeEquivalents number            `json:"founder_genome_equivalents"`
	EffectiveAncestors       number            `json:"effective_ancestors"`
	MeanKinship              number            `json:"mean_kinship"`
	GeneDiversity            number            `json:"gene_diversity"`
	MeanInbreeding           number            `json:"mean_inbreeding"`
	EffectiveSize            effectiveSizeJSON `json:"effective_size"`
	Generation               *generationJSON   `json:"generation"`
	History                  []yearJSON        `json:"history"`
}

type yearJSON struct {
	Year           int               `json:"year"`
	Living         float64           `json:"living"`
	MeanKinship    number            `json:"mean_kinship"`
	GeneDiversity  number            `json:"gene_diversity"`
	MeanInbreeding number            `json:"mean_inbreeding"`
	EffectiveSize  effectiveSizeJSON `json:"effective_size"`
}

func reportLine(from *source, l *loaded, name string) error {
	line, err := l.lineNamed(name)
	if err != nil {
		return err
	}
	document := lineJSON{Line: line.Name, Species: text(line.Species), FounderShare: []shareJSON{}, History: []yearJSON{}}
	p := from.env.page()
	if why := l.refusal(line.Name); why != "" {
		l.env.complain(why)
		if from.json {
			document.Refused = text(why)
			if err := p.asJSON(document); err != nil {
				return err
			}
		}
		return l.finish(p)
	}
	if why := l.headerLost(line.Name); why != "" {
		l.env.complain(why)
	}
	report, living := l.state.Line(line.Name)
	l.hideTouched(line.Name, &report)
	if from.json {
		document.fill(report, living)
		err = p.asJSON(document)
	} else {
		writer := lineWriter{l, p, line, report}
		writer.write(living)
	}
	if err != nil {
		return err
	}
	return l.finish(p)
}

func (d *lineJSON) fill(r genetics.LineReport, living bool) {
	d.Living = known(r.Living, true)
	d.Founders = &r.Founders
	d.FounderShare = sharesOf(r.FounderShare)
	d.FounderEquivalents = known(r.FounderEquivalents, living)
	d.FounderGenomeEquivalents = known(r.FounderGenomeEquivalents, living)
	d.EffectiveAncestors = known(r.EffectiveAncestors, living)
	d.MeanKinship, d.GeneDiversity = known(r.MeanKinship, living), known(r.GeneDiversity, living)
	d.MeanInbreeding = known(r.MeanInbreeding, living)
	d.EffectiveSize = effectiveSizeJSON(r.EffectiveSize)
	d.Generation = generationOf(r.Generation, living)
	for _, y := range r.History {
		some := y.Answered
		d.History = append(d.History, yearJSON{y.Year, y.Living, known(y.MeanKinship, some), known(y.GeneDiversity, some),
			known(y.MeanInbreeding, some), effectiveSizeJSON(y.EffectiveSize)})
	}
}

type lineSummaryJSON struct {
	Line          string  `json:"line"`
	Species       *string `json:"species"`
	Living        number  `json:"living"`
	GeneDiversity number  `json:"gene_diversity"`
}

func listLines(from *source, l *loaded) error {
	list := make([]lineSummaryJSON, 0, len(l.whole.Lines))
	var rows [][]string
	for _, line := range l.whole.Lines {
		summary := lineSummaryJSON{Line: line.Name, Species: text(line.Species)}
		living, diversity, goal := "", "", goalWords(line.Goal)
		if why := l.refusal(line.Name); why != "" {
			l.env.complain(why)
			goal = "no answer"
		} else {
			heads, variety, ok := l.diversity(line.Name)
			summary.Living, summary.GeneDiversity = known(heads, true), known(variety, ok)
			living = amount(heads)
			if ok {
				diversity = kin(variety)
			}
		}
		list = append(list, summary)
		rows = append(rows, []string{line.Name, line.Species, living, diversity, goal})
	}
	p := from.env.page()
	switch {
	case from.json:
		if err := p.asJSON(map[string][]lineSummaryJSON{"lines": list}); err != nil {
			return err
		}
	case len(rows) == 0 && l.errors > 0:
		p.say("No line of the book could be read.")
	case len(rows) == 0:
		p.say("The book has no line yet.")
	default:
		p.table([]column{{head: "line"}, {head: "species"}, {head: "fish\nliving", right: true}, {head: "gene\ndiversity", right: true},
			{head: "goal", wrap: true}}, rows)
		p.blank()
		p.say("Gene diversity is the share of the founders' variety that the living fish still hold.")
		p.say("More of a line:")
		p.asIs(2, from.command("line NAME"))
	}
	return l.finish(p)
}

// diversity returns the heads and the gene diversity of a line; ok is false
// where none are living.
func (l *loaded) diversity(line string) (heads, diversity float64, ok bool) {
	living := l.state.Living(line)
	if living.Heads == 0 {
		return 0, 0, false
	}
	_, mean := l.state.MeanKinshipRow(living)
	return living.Heads, 1 - mean, true
}

func goalWords(goal pedigree.Goal) string {
	words := ""
	if goal.GeneDiversity != nil {
		words = "keep " + kin(*goal.GeneDiversity)
	}
	if goal.Generations > 0 {
		words += " for " + countWords(goal.Generations, "generation")
	}
	if goal.MaxInbreeding != nil {
		if words != "" {
			words += "; "
		}
		words += "young at most " + percent(*goal.MaxInbreeding) + " inbred"
	}
	return words
}
