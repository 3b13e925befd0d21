package main

import (
	"fmt"
	"slices"
	"strings"

	"roebook/genetics"
	"roebook/genetics/pairing"
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
		w.inReach()
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
	words := rangeWords(r.Generation, w.lineBought() && !r.Generation.AtLeast)
	if w.fromTable {
		words = tableGeneration(r.Generation)
	}
	w.field("generation", "%s", words)
}

// lineBought reports whether all genes of the line are from bought fish.
func (w *lineWriter) lineBought() bool {
	sum := 0.0
	for _, share := range w.report.FounderShare {
		if s := w.book.StockByID(share.ID); s != nil && w.book.Beginning(s).Bought != nil {
			sum += share.Share
		}
	}
	return sum > 1-1e-9
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
	w.say("What is left of the founders:")
	each := ". Each fish of a founder lot that bred is a founder here"
	if w.fromTable {
		each = ""
	}
	w.field("founders, evened", "%s founder equivalents: the genes are as mixed as if so many founders had given the same%s", effective(r.FounderEquivalents), each)
	w.field("founders, intact", "%s founder genome equivalents: so many unrelated founders hold as much variety as is left", effective(r.FounderGenomeEquivalents))
	w.field("ancestors", "%s effective ancestors: the genes came down as through so many fish, founders or not, that gave the same%s",
		effective(r.EffectiveAncestors), narrowed(r))
	w.blank()
	w.say("%s:", effectiveSizeMeans)
	w.field("by parents", "%s", sizeWords(r.EffectiveSize.FromParents,
		"from the parents of the last twelve months with spawns", "no dated spawns"))
	w.field("by inbreeding", "%s", sizeWords(r.EffectiveSize.FromInbreeding,
		"inbreeding rose over all generations so far as in a line of that size", "no living fish is inbred over more than one known generation"))
	if size := r.EffectiveSize.FromParents; size != nil {
		w.say("Act on the one by parents, for what is past cannot be mended: bred on as in those months the line loses %s of its gene diversity in each generation. "+
			"More parents, with as many males as females, lose less.", percent(min(1/(2**size), 1)))
	}
}

// narrowed says that the genes went through few fish, "" where they did not.
func narrowed(r genetics.LineReport) string {
	if r.EffectiveAncestors > 0.8*r.FounderEquivalents {
		return ""
	}
	return "; that is well below the founder equivalents, for at some time few fish bred (a bottleneck)"
}

func sizeWords(size *float64, meaning, none string) string {
	if size == nil {
		return "no number: " + none
	}
	return effective(*size) + " fish: " + meaning
}

// keptOfPair is how many young a pair is reckoned with where nothing is asked.
const keptOfPair = 10

// mostToPair is how many living records are paired for a remark; more take their
// time.
const mostToPair = 500

// inReach says, where the goal is missed, what the best pair of today would do.
func (w *lineWriter) inReach() {
	goal := w.line.Goal.GeneDiversity
	if goal == nil || w.report.GeneDiversity >= *goal-1e-12 || w.headerLost(w.line.Name) != "" {
		return
	}
	w.blank()
	if len(w.state.Living(w.line.Name).Records) > mostToPair {
		w.say("What next? The pairs that would bring the line nearer to the goal:")
		w.asIs(2, w.from.command("pairs --line "+shellQuoted(w.line.Name)))
		return
	}
	r := pairing.Rank(w.state, pairing.Options{Line: w.line.Name, Keep: keptOfPair})
	i := slices.IndexFunc(r.Pairs, func(p pairing.Pair) bool { return !p.Has(pairing.OverLimit) })
	if i < 0 {
		w.say("What next? No pair can be set up today that keeps the limit: %s", newBlood)
		return
	}
	best := r.Pairs[i]
	two := best.Sire + " x " + best.Dam
	if best.Sire == best.Dam {
		two = "two fish of " + best.Sire
	}
	pair := fmt.Sprintf("the best pair, %s, with %d young kept, would", two, keptOfPair)
	switch {
	case best.GeneDiversity >= *goal-1e-12:
		w.say("What next? %s reach the goal: %s.", capital(pair), kin(best.GeneDiversity))
	case best.GeneDiversity > w.report.GeneDiversity:
		w.say("What next? No one pair of today's fish reaches the goal: %s bring the gene diversity to %s. The rest takes further spawns, or new blood.",
			pair, kin(best.GeneDiversity))
	default:
		w.say("What next? No pair of today's fish brings the line nearer to the goal: %s bring the gene diversity to %s. %s",
			pair, kin(best.GeneDiversity), capital(newBlood))
	}
}

// newBlood is what is left to do where no pair helps.
const newBlood = "it takes new blood, fish that are not related to the line."

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// capitalUnless leaves a sentence as it is that begins with an id.
func capitalUnless(id bool, text string) string {
	if id {
		return text
	}
	return capital(text)
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
		if y.Answered {
			row = []string{fmt.Sprint(y.Year), amount(y.Living), kin(y.GeneDiversity), kin(y.MeanKinship), percentCell(y.MeanInbreeding),
				sizeCell(y.EffectiveSize.FromParents), sizeCell(y.EffectiveSize.FromInbreeding)}
		}
		rows = append(rows, row)
	}
	w.page.table([]column{{head: "year"}, {head: "fish\nliving", right: true}, {head: "gene\ndiversity", right: true}, {head: "mean\nkinship", right: true},
		{head: "mean\ninbreeding", right: true}, {head: "effective size\nby parents", right: true}, {head: "\nby inbreeding", right: true}}, rows)
}

func sizeCell(size *float64) string {
	if size == nil {
		return "-"
	}
	return effective(*size)
}
