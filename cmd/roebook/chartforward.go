package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	"roebook/genetics/forecast"
	"roebook/io/chart"
	"roebook/pedigree"
)

// outlook plays a line forward for so many generations, and puts them on the
// calendar. What ask does not state is as a forecast takes it.
func (l *loaded) outlook(line *pedigree.Line, ask forecastQuestion, generations int) (*chart.Outlook, error) {
	start, err := forecast.From(l.state, line.Name)
	if err != nil {
		return nil, err
	}
	ask.Generations, ask.Every = generations, 1
	if err := ask.settle(line, start); err != nil {
		return nil, err
	}
	if err := start.Check(ask.Options); err != nil {
		return nil, fmt.Errorf("%s cannot be played forward: %w", line.Name, err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	result, err := forecast.Run(ctx, start, ask.Options, nil)
	if err != nil {
		return nil, stopped(err)
	}
	months := l.generationMonths(line)
	o := &chart.Outlook{Words: fmt.Sprintf("forecast: %s a generation (%s), %d young kept of each, a generation every %s months as so far. "+
		"The dots are the mean, nine of ten runs lie in the band", countWords(ask.Pairs, "pair"), schemeWords(ask.Options), keptOfPair, amount(months))}
	for _, g := range result.Generations {
		when := chart.When(l.state.Date()) + float64(g.Number)*months/12
		if g.Number > 0 && g.Runs > 0 {
			o.Diversity = append(o.Diversity, chart.Expected{When: when, Low: g.GeneDiversity.Low, Middle: g.GeneDiversity.Mean, High: g.GeneDiversity.High})
			o.Inbreeding = append(o.Inbreeding, chart.Expected{When: when, Low: g.Inbreeding.Low, Middle: g.Inbreeding.Mean, High: g.Inbreeding.High})
		}
	}
	return o, nil
}

// generationMonths is the mean age of parents at the spawns of a line, in whole
// months, over those whose birth is known; a year where there are none.
func (l *loaded) generationMonths(line *pedigree.Line) float64 {
	days, weight := 0.0, 0.0
	for _, spawn := range l.book.Spawns {
		if spawn.Line != line.Name || !spawn.Date.Known() || spawn.Date > l.state.Date() {
			continue
		}
		for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
			for _, c := range l.book.Contributors(spawn, sex) {
				if born := l.book.BornOn(c.Stock); born.Known() && born < spawn.Date {
					days += c.Share * spawn.Date.Time().Sub(born.Time()).Hours() / 24
					weight += c.Share
				}
			}
		}
	}
	if weight == 0 {
		return 12
	}
	return max(1, float64(int(days/weight/30.44+0.5)))
}
