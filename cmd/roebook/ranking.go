package main

import (
	"fmt"
	"strings"

	"roebook/genetics"
	"roebook/genetics/pairing"
)

// pairsWriter puts the ranking of a line in words.
type pairsWriter struct {
	*loaded
	*page
	line string
	ask  *pairsQuestion
	r    pairing.Ranking

	planned map[[2]string]plan // by sire and dam
	risks   *pairRisks
}

func (w *pairsWriter) write() {
	w.head()
	if w.r.Living == 0 {
		w.say("No fish of it is living on that day.")
		return
	}
	within, over := w.divided()
	switch {
	case len(w.r.Pairs) == 0:
		w.say("There is no pair to rank: it takes a male and a female that are living, mature and not set aside.")
	case len(within) == 0:
		w.say("No pair keeps the limit.")
	default:
		w.pairTable(within)
	}
	if len(over) > 0 {
		w.blank()
		w.say("Over the limit of %s inbred young; only with good reason:", percent(*w.r.Limit))
		w.pairTable(over)
	}
	w.lowers(within)
	w.risks.write(w.page)
	w.leftOut()
}

func (w *pairsWriter) head() {
	name := w.line
	if w.fromTable {
		name = "the pedigree"
	}
	w.say("Pairs of %s as of %s, best first", name, w.state.Date())
	if w.r.Living == 0 {
		return
	}
	words := fmt.Sprintf("%s living; gene diversity %s now", count(w.r.Living, "fish"), kin(w.r.GeneDiversity))
	if line := w.book.LineNamed(w.line); line != nil && line.Goal.GeneDiversity != nil {
		words += ", goal " + kin(*line.Goal.GeneDiversity)
	}
	if w.r.Limit != nil {
		words += "; young at most " + percent(*w.r.Limit) + " inbred"
	}
	w.say("%s.", words)
	switch {
	case w.r.Limit != nil:
	case w.fromTable:
		w.say("No limit is set: use --max-inbreeding.")
	default:
		w.say("No limit is set: write `goal: {max-inbreeding: 0.125}` on the line, or use --max-inbreeding.")
	}
	w.blank()
}

// lowers says why even the best pair may take from the diversity.
func (w *pairsWriter) lowers(within []pairing.Pair) {
	if len(within) == 0 || within[0].GeneDiversity >= w.r.GeneDiversity {
		return
	}
	w.blank()
	w.say("Even the best pair lowers the gene diversity (%s now): young have no genes but their parents', and these become more common in the line. "+
		"Fish that are not related to the line would raise it.", kin(w.r.GeneDiversity))
}

// divided parts the pairs that keep the limit from those over it.
func (w *pairsWriter) divided() (within, over []pairing.Pair) {
	for _, pair := range w.r.Pairs {
		if pair.Has(pairing.OverLimit) {
			over = append(over, pair)
		} else {
			within = append(within, pair)
		}
	}
	return within, over
}

func (w *pairsWriter) pairTable(pairs []pairing.Pair) {
	shown := pairs
	if w.ask.most > 0 && len(shown) > w.ask.most {
		shown = shown[:w.ask.most]
	}
	var rows [][]string
	for _, pair := range shown {
		rows = append(rows, []string{pair.Sire, pair.Dam, percentCell(pair.Inbreeding), kin(pair.GeneDiversity), pair.Generation().Label(), w.why(pair)})
	}
	w.page.table([]column{{head: "sire"}, {head: "dam"}, {head: "young\ninbred", right: true}, {head: "diversity\nafter", right: true},
		{head: "young\nare"}, {head: "why it stands here", wrap: true}}, rows)
	if left := len(pairs) - len(shown); left > 0 {
		w.sayAt(2, "and %s more; --most 0 prints all", countWords(left, "pair"))
	}
}

// why says in words what speaks for a pair and what to beware of.
func (w *pairsWriter) why(pair pairing.Pair) string {
	var parts []string
	if words := cautionWords(pair.Flags); words != "" {
		parts = append(parts, words)
	}
	switch plan := w.planned[[2]string{pair.Sire, pair.Dam}]; {
	case plan.sole:
		parts = append(parts, "planned as "+plan.id)
	case plan.id != "":
		parts = append(parts, "one of the pairs planned as "+plan.id)
	}
	parts = append(parts, w.risks.words(pair)...)
	parts = append(parts, genetics.Relation(pair.Inbreeding))
	if words := rarityWords(pair.MeanKinship, 1-w.r.GeneDiversity); words != "" {
		parts = append(parts, words)
	}
	if words := forwardWords(pair.Forward()); words != "" {
		parts = append(parts, words)
	}
	return strings.Join(parts, "; ")
}

// rarityWords says how the genes of the young stand among those of the line: it
// is what the pair's place mostly hangs on. Within a tenth it says nothing.
func rarityWords(ofYoung, ofLine float64) string {
	switch {
	case ofYoung < 0.9*ofLine:
		return "genes rare in the line"
	case ofYoung > 1.1*ofLine:
		return "genes common in the line"
	}
	return ""
}

// cautionWords is what to beware of; the limit has a table of its own.
func cautionWords(flags []pairing.Flag) string {
	var parts []string
	for _, flag := range flags {
		if words := map[pairing.Flag]string{
			pairing.Hybrid:          "two species",
			pairing.MixedLocalities: "mixes two localities",
			pairing.Quarantine:      "still in quarantine",
			pairing.SexNotTold:      "sex not told yet",
			pairing.BothOfOneLot:    "both of one lot",
			pairing.UnknownAncestor: "some ancestors unknown, so kinship may be higher",
		}[flag]; words != "" {
			parts = append(parts, words)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "Beware: " + all(parts)
}

// forwardWords names the founders that a pair brings forward, the greatest
// gains first.
func forwardWords(forward []pairing.Forward) string {
	var parts []string
	for i, f := range forward {
		if i == 2 {
			break
		}
		parts = append(parts, fmt.Sprintf("%s (%s, line %s)", f.ID, percentCell(f.Share), percentCell(f.ShareOfLine)))
	}
	if len(parts) == 0 {
		return ""
	}
	if more := len(forward) - len(parts); more > 0 {
		parts = append(parts, fmt.Sprintf("%d more", more))
	}
	return "brings forward " + all(parts)
}

// pairsKey explains each column once.
func (l *loaded) pairsKey(p *page, keep int) {
	p.blank()
	p.say("What the columns say:")
	p.field("young inbred", "how inbred the young would be: the kinship of the two")
	p.field("diversity after", "gene diversity of the line with %s of the pair kept: the more, the higher the pair stands", countWords(keep, "young fish"))
	p.field("young are", "their generation from the wild")
	p.field("rare, common", "the mean kinship of the young with the living fish is a tenth below, or above, that of the line")
	p.field("brings forward", "founders that the line has too little of and the young more (their share of the young, and of the line now)")
	p.field("sire, dam", "a lot stands for any one fish of it; two lots may stand in two rows, for a male of the one with a female of the other "+
		"is not the same pair as the other way about")
}

func (w *pairsWriter) leftOut() { w.sayLeftOut(w.r.LeftOut) }

// sayLeftOut says which living fish were not paired, and why.
func (p *page) sayLeftOut(list []pairing.LeftOut) {
	if len(list) == 0 {
		return
	}
	var reasons []string
	byReason := make(map[string][]string)
	for _, left := range list {
		if byReason[left.Why] == nil {
			reasons = append(reasons, left.Why)
		}
		byReason[left.Why] = append(byReason[left.Why], left.ID)
	}
	var parts []string
	for _, why := range reasons {
		parts = append(parts, all(byReason[why])+" ("+why+")")
	}
	p.blank()
	p.say("Not paired: %s.", strings.Join(parts, "; "))
}
