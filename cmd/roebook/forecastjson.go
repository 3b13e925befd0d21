package main

import (
	"roebook/genetics/forecast"
)

type forecastJSON struct {
	Line        string                   `json:"line"`
	Scheme      string                   `json:"scheme"`
	Groups      *int                     `json:"groups"` // null but for rotate
	Colony      bool                     `json:"colony"`
	Pairs       *int                     `json:"pairs"` // a generation; null for a colony
	Keep        int                      `json:"keep"`  // young a generation, in all
	SexRatio    float64                  `json:"sex_ratio"`
	BySex       bool                     `json:"by_sex"`
	Failed      float64                  `json:"failed"`
	NewWild     int                      `json:"new_wild"`
	Every       *int                     `json:"every"` // null without new wild fish
	Replicates  int                      `json:"replicates"`
	Seed        int                      `json:"seed"`
	Living      number                   `json:"living"` // heads that take part
	LeftOut     []leftOutJSON            `json:"left_out"`
	Goal        *forecastGoalJSON        `json:"goal"`
	Generations []forecastGenerationJSON `json:"generations"`
	Below       *forecastBelowJSON       `json:"below_goal"`
	DiedOut     int                      `json:"died_out"` // runs
	Search      *forecastSearchJSON      `json:"search,omitempty"`
	Refused     *string                  `json:"refused,omitempty"` // why there is no answer
	Answer      string                   `json:"answer"`
}

type bandJSON struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`  // the 5 % point of the runs
	High float64 `json:"high"` // the 95 % point
}

type forecastGenerationJSON struct {
	Generation    int         `json:"generation"`
	Runs          int         `json:"runs"` // in which the line lives
	Inbreeding    bandJSON    `json:"inbreeding"`
	GeneDiversity bandJSON    `json:"gene_diversity"`
	EffectiveSize number      `json:"effective_size"` // since generation 0, by the loss of gene diversity
	NewWild       bandJSON    `json:"new_wild_share"`
	FounderShare  []shareJSON `json:"founder_share"` // of today's founders, mean
}

type forecastGoalJSON struct {
	GeneDiversity float64 `json:"gene_diversity"`
	Stated        bool    `json:"stated"` // false: the line states none
}

// forecastBelowJSON is when the runs fall below the goal for the first time.
type forecastBelowJSON struct {
	Runs   int  `json:"runs"`
	Median *int `json:"median"` // null: not by the end
	Low    *int `json:"low"`
	High   *int `json:"high"`
}

type forecastSearchJSON struct {
	Pairs   *int            `json:"pairs"` // fewest without new wild fish; null: none found, or a colony
	Keep    *int            `json:"keep"`  // young kept with them
	NewWild []forecastStock `json:"new_wild"`
}

type forecastStock struct {
	NewWild int `json:"new_wild"`
	Every   int `json:"every"`
	From    int `json:"from"` // the generation from which the goal is kept
}

// document is the answer as JSON.
func (a *forecastAnswer) document() forecastJSON {
	o := a.ask.Options
	d := forecastJSON{
		Line: a.line.Name, Scheme: string(o.Scheme), Colony: a.ask.colony, Pairs: whole(o.Pairs), Keep: o.Keep, SexRatio: o.Males,
		BySex: o.BySex, Failed: o.Failed, NewWild: o.NewWild, Replicates: o.Replicates, Seed: a.ask.seed,
		Living: known(a.start.Numbers().Total(), true), LeftOut: []leftOutJSON{},
		Goal: &forecastGoalJSON{a.level, a.line.Goal.GeneDiversity != nil}, Generations: []forecastGenerationJSON{},
		DiedOut: a.result.DiedOut, Answer: a.answer(),
	}
	if o.Scheme == forecast.Rotate {
		d.Groups = &o.Groups
	}
	if o.NewWild > 0 {
		d.Every = &o.Every
	}
	for _, left := range a.start.LeftOut {
		d.LeftOut = append(d.LeftOut, leftOutJSON(left))
	}
	for _, g := range a.result.Generations {
		d.Generations = append(d.Generations, forecastGenerationJSON{g.Number, g.Runs, bandJSON(g.Inbreeding), bandJSON(g.GeneDiversity),
			g.EffectiveSize, bandJSON(g.NewWild), sharesOf(g.FounderShare)})
	}
	fall := a.result.Below(a.level)
	below := forecastBelowJSON{Runs: fall.Runs}
	for to, at := range map[**int]int{&below.Median: fall.Median, &below.Low: fall.Low, &below.High: fall.High} {
		if at <= o.Generations {
			*to = &at
		}
	}
	d.Below = &below
	if a.ask.goal {
		d.Search = a.searched()
	}
	return d
}

func (a *forecastAnswer) searched() *forecastSearchJSON {
	s := &forecastSearchJSON{NewWild: []forecastStock{}}
	if a.least != nil {
		s.Pairs, s.Keep = whole(a.least.Pairs), &a.least.Keep
	}
	for _, stock := range a.wild {
		s.NewWild = append(s.NewWild, forecastStock(stock))
	}
	return s
}

// whole is a whole number, null where it is 0.
func whole(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}
