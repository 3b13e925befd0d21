package main

import (
	"cmp"
	"encoding/csv"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"roebook/genetics"
)

func newInbreeding(env *environment) *cobra.Command {
	from := source{env: env}
	var asCSV bool
	cmd := &cobra.Command{
		Use:   "inbreeding",
		Short: "how inbred every fish and lot is",
		Long: `List how inbred every fish and lot of the book is: the chance that the two genes of a fish at one
place are copies of one gene of an ancestor, which is the kinship of its parents. Of a lot it is the
mean of its fish; a lot with none left has no answer.`,
		Example: `  roebook inbreeding --on 2026-11-24
  roebook inbreeding --csv --on 2026-11-24`,
		Args: takes(0, 0, "no argument"),
		RunE: func(_ *cobra.Command, _ []string) error { return inbreeding(&from, asCSV) },
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	cmd.Flags().BoolVar(&asCSV, "csv", false, "answer as a table id,inbreeding, empty where there is no answer")
	return cmd
}

type inbreedingJSON struct {
	ID         string `json:"id"`
	Inbreeding number `json:"inbreeding"`
}

func inbreeding(from *source, asCSV bool) error {
	if from.json && asCSV {
		return usageError("--json and --csv cannot be used together")
	}
	if big, err := from.big(from.json || asCSV); err != nil || big != nil {
		return orElse(err, func() error { return big.inbreeding(from.json, asCSV) })
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	list := make([]inbreedingJSON, 0, len(l.book.Stock))
	for _, s := range l.book.Stock {
		list = append(list, inbreedingJSON{s.ID, known(l.state.Inbreeding(s.ID))})
	}
	if left := len(l.whole.Stock) - len(list); left > 0 {
		l.env.complain(countWords(left, "record") + " left out, for errors in the book touch them")
	}
	p := from.env.page()
	switch {
	case from.json:
		err = p.asJSON(map[string][]inbreedingJSON{"inbreeding": list})
	case asCSV:
		err = inbreedingCSV(p, list)
	default:
		inbreedingTable(p, l, list)
	}
	if err != nil {
		return err
	}
	return l.finish(p)
}

func inbreedingCSV(p *page, list []inbreedingJSON) error {
	w := csv.NewWriter(p)
	_ = w.Write([]string{"id", "inbreeding"})
	for _, row := range list {
		value := ""
		if row.Inbreeding != nil {
			value = strconv.FormatFloat(*row.Inbreeding, 'g', -1, 64)
		}
		_ = w.Write([]string{row.ID, value})
	}
	w.Flush()
	return w.Error()
}

func inbreedingTable(p *page, l *loaded, list []inbreedingJSON) {
	slices.SortStableFunc(list, func(a, b inbreedingJSON) int {
		return cmp.Compare(orNone(b.Inbreeding), orNone(a.Inbreeding))
	})
	var rows [][]string
	for _, row := range list {
		s := l.book.StockByID(row.ID)
		what := s.Sex.String()
		now := l.book.Heads(s, l.state.Date())
		if s.Lot {
			what = "lot of " + amount(now.Total())
		}
		here := "living"
		if now.Total() == 0 {
			here = "gone"
		}
		value, words := "", ""
		if row.Inbreeding != nil {
			f := *row.Inbreeding
			value, words = percentCell(f), genetics.Relation(f)
			if first := l.book.Beginning(s); first.Wild != nil || first.Bought != nil {
				words = "not in the book"
			}
		}
		rows = append(rows, []string{row.ID, what, here, value, words})
	}
	p.table([]column{{head: "record"}, {head: "what"}, {head: "now"}, {head: "inbreeding", right: true}, {head: "its parents are", wrap: true}}, rows)
	p.blank()
	p.say("Inbreeding is the kinship of a fish's parents: young of full sibs have 25 %%, of half-sibs 12.5 %%, of first cousins 6.25 %%.")
}

func orNone(value number) float64 {
	if value == nil {
		return -1
	}
	return *value
}
