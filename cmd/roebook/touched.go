package main

import (
	"roebook/genetics"
	"roebook/pedigree"
)

// hideTouched takes out of a line's report what errors touch: the years in which
// fish were living that they touch, and the size by parents where they touch a
// spawn of those twelve months. Of such a year only the heads remain.
func (l *loaded) hideTouched(line string, r *genetics.LineReport) {
	if len(l.tainted) == 0 {
		return
	}
	hidden := false
	for i := range r.History {
		y := &r.History[i]
		end := pedigree.Date(y.Year*10000 + 1231)
		if l.parentsTouched(line, end) {
			y.EffectiveSize.FromParents = nil
		}
		if heads := l.touchedHeads(line, end); heads > 0 {
			*y = genetics.Year{Year: y.Year, Diversity: genetics.Diversity{Living: y.Living + heads}}
			hidden = true
		}
	}
	if l.parentsTouched(line, l.state.Date()) {
		r.EffectiveSize.FromParents = nil
		hidden = true
	}
	if hidden {
		l.env.complain("some numbers of " + line + " are missing, for errors in the book touch them")
	}
}

// touchedHeads is how many fish of a line errors touched that were living on a
// date.
func (l *loaded) touchedHeads(line string, on pedigree.Date) float64 {
	heads := 0.0
	for _, s := range l.whole.Stock {
		if s.Line == line && l.tainted[s.ID] {
			heads += l.whole.Heads(s, on).Total()
		}
	}
	return heads
}

// parentsTouched reports whether errors touch one of the spawns of the last
// twelve months with spawns.
func (l *loaded) parentsTouched(line string, on pedigree.Date) bool {
	var last, touched pedigree.Date
	for _, s := range l.whole.Spawns {
		if s.Line != line || s.Date > on {
			continue
		}
		last = max(last, s.Date)
		if l.tainted[s.ID] {
			touched = max(touched, s.Date)
		}
	}
	return touched.Known() && touched > last.AddMonths(-12)
}
