package main

import (
	"encoding/json"
	"math"

	"roebook/genetics"
	"roebook/pedigree"
)

// asJSON puts one JSON document on the page. Numbers have full precision; text
// is written as it is, not escaped for web pages.
func (p *page) asJSON(document any) error {
	encoder := json.NewEncoder(p)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(document)
}

// answer prints an answer, as a document or in words as asked.
func (s *source) answer(document any, write func(*page)) error {
	p := s.env.page()
	if !s.json {
		write(p)
	} else if err := p.asJSON(document); err != nil {
		return err
	}
	return s.env.print(&p.Buffer)
}

// number is a number that may have no answer: null.
type number = *float64

// known returns a number, null where it has no answer or is not finite.
func known(value float64, ok bool) number {
	if !ok || math.IsNaN(value) || math.IsInf(value, 0) {
		return nil
	}
	return &value
}

type generationJSON struct {
	Min      int     `json:"min"`
	Mean     float64 `json:"mean"`
	Max      int     `json:"max"`
	Label    string  `json:"label"`
	Declared bool    `json:"declared"`
}

// generationOf is null where there is no answer.
func generationOf(g pedigree.Generation, ok bool) *generationJSON {
	if !ok {
		return nil
	}
	return &generationJSON{g.Min, g.Mean, g.Max, g.Label(), g.Declared}
}

type shareJSON struct {
	ID    string  `json:"id"`
	Share float64 `json:"share"`
}

// sharesOf is never null.
func sharesOf(shares []genetics.Share) []shareJSON {
	list := make([]shareJSON, len(shares))
	for i, s := range shares {
		list[i] = shareJSON(s)
	}
	return list
}

type effectiveSizeJSON struct {
	FromInbreeding number `json:"from_inbreeding"`
	FromParents    number `json:"from_parents"`
}

// text is a string that may be null.
func text(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
