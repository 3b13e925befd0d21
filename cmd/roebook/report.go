package main

import (
	"fmt"
	"strings"

	"roebook/genetics"
	"roebook/pedigree"
)

// lineWriter puts a line's report in words.
type lineWriter struct {
	*loaded
	*page
	line   *pedigree.Line
	report genetics.LineReport
}

func (w *lineWriter) write(living bool) {
	if w.fromTable {
		w.say("The pedigree as of %s", w.state.Date())
	} else {
		w.say("%s as of %s", w.line.Name, w.state.Date())
	}
	kind := w.line.Species
	if w.line.CommonName != "" {
		kind += ", " + w.line.CommonName
	}
	if w.line.Locality != "" {
		kind += "; " + w.line.Locality
	}
	if kind != "" {
		w.say("%s", kind)
	}
	w.blank()
	if !living {
		w.say("No fish of it is living on that day, so there is nothing to work out.")
	} else {
		w.standing()
		w.founders()
		w.sizes()
	}
	w.history()
}

func (w *lineWriter) standing() {
	r := w.report
	w.field("living", "%s in %s", count(r.Living, "fish"), countWords(len(w.state.Living(w.line.Name).Records), "record"))
	w.field("gene diversity", "%s: the share of the founders' variety that the living fish still hold%s", kin(r.GeneDiversity), w.againstGoal())
	w.field("mean kinship", "%s, over every two of them and each with itself; gene diversity is 1 less this", kin(r.MeanKinship))
	inbred := percent(r.MeanInbreeding) + " on average"
	if limit := w.line.Goal.MaxInbreeding; limit != nil {
		inbred += "; the line's limit for young is " + percent(*limit)
	}
	w.field("inbreeding", "%s", inbred)
	words := rangeWords(r.Generation)
	if w.fromTable {
		words = tableGeneration(r.Generation)
	}
	w.field("generation", "%s", words)
}

func (w *lineWriter) againstGoal() string {
	goal := w.line.Goal.GeneDiversity
	if goal == nil {
		return ""
	}
	words := fmt.Sprintf(". The goal is %s", kin(*goal))
	if w.line.Goal.Generations > 0 {
		words += " for " + countWords(w.line.Goal.Generations, "generation")
	}
	if w.report.GeneDiversity >= *goal-1e-12 {
		return words + ": it is kept"
	}
	return words + ": it is missed by " + kin(*goal-w.report.GeneDiversity)
}

// barWidth is how long the mark of a share of one half is.
const barWidth = 24

func (w *lineWriter) founders() {
	w.blank()
	w.say("Its genes come from %s:", countWords(w.report.Founders, "founder record"))
	var rows [][]string
	rest := 1.0
	for _, share := range w.report.FounderShare {
		rest -= share.Share
		rows = append(rows, []string{percentCell(share.Share), share.ID, bar(share.Share), w.founderWords(share.ID)})
	}
	if rest > 1e-9 {
		rows = append(rows, []string{percentCell(rest), "unknown", bar(rest), "parents that the book does not know"})
	}
	w.page.table([]column{{head: "share", right: true}, {head: "founder"}, {head: ""}, {head: "where from", wrap: true}}, rows)
}

func bar(share float64) string {
	return strings.Repeat("=", int(2*barWidth*share+0.5))
}

func (w *lineWriter) sizes() {
	r := w.report
	w.blank()
	w.say("What it amounts to:")
	w.field("founders, evened", "%s founder equivalents: so many founders, had all given the same", trimmed(r.FounderEquivalents, 2, 1))
	w.field("founders, intact", "%s founder genome equivalents: so many unrelated founders hold as much variety as is left", trimmed(r.FounderGenomeEquivalents, 2, 1))
	w.field("ancestors", "%s effective ancestors: so many fish, each giving the same, explain it all; a small number tells of a bottleneck",
		trimmed(r.EffectiveAncestors, 2, 1))
	w.field("size by inbreeding", "%s", sizeWords(r.EffectiveSize.FromInbreeding,
		"inbreeding has risen over the generations as in a steady line of so many", "no living fish is inbred over more than one known generation"))
	w.field("size by parents", "%s", sizeWords(r.EffectiveSize.FromParents,
		"the parents of the last twelve months with spawns count as so many, with as many males as females", "no dated spawns"))
}

func sizeWords(size *float64, meaning, none string) string {
	if size == nil {
		return "no number: " + none
	}
	return trimmed(*size, 1, 0) + " fish: " + meaning
}

func (w *lineWriter) history() {
	if len(w.report.History) == 0 {
		return
	}
	w.blank()
	w.say("On 31 December of each year:")
	var rows [][]string
	for _, y := range w.report.History {
		row := []string{fmt.Sprint(y.Year), amount(y.Living), "", "", "", "", ""}
		if y.Living > 0 && y.MeanKinship > 0 {
			row = []string{fmt.Sprint(y.Year), amount(y.Living), kinCell(y.GeneDiversity), kinCell(y.MeanKinship), percentCell(y.MeanInbreeding),
				sizeCell(y.EffectiveSize.FromInbreeding), sizeCell(y.EffectiveSize.FromParents)}
		}
		rows = append(rows, row)
	}
	w.page.table([]column{{head: "year"}, {head: "fish\nliving", right: true}, {head: "gene\ndiversity", right: true}, {head: "mean\nkinship", right: true},
		{head: "mean\ninbreeding", right: true}, {head: "size by\ninbreeding", right: true}, {head: "size by\nparents", right: true}}, rows)
}

func sizeCell(size *float64) string {
	if size == nil {
		return "-"
	}
	return fixed(*size, 1)
}
