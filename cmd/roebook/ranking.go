package main

import (
	"fmt"
	"slices"
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

	planned  map[[2]string]plan // by sire and dam
	risks    *pairRisks
	founders []pairing.Forward // brought forward by a pair that is printed
}

func (w *pairsWriter) write() {
	w.head()
	if w.r.Living == 0 {
		w.say("No fish of it is living on that day.")
		return
	}
	within, over := w.divided()
	switch {
	case len(w.r.Pairs) == 0 && w.risks.all():
		w.say("Every pair is kept apart; without --apart-carriers they are listed with what their young risk.")
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
	w.forward()
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
		"So for its sake the best choice may be to set up none now. Fish that are not related to the line would raise it; where old fish must be replaced, "+
		"the pairs on top cost least.", kin(w.r.GeneDiversity))
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
	reasons := make([][]string, len(shown))
	for i, pair := range shown {
		reasons[i] = w.why(pair)
	}
	common := shared(reasons)
	if len(common) > 0 {
		w.sayAt(2, "All of these: %s.", strings.Join(common, "; "))
	}
	var rows [][]string
	for i, pair := range shown {
		own := beyond(common, reasons[i])
		if mirror := slices.IndexFunc(shown[:i], func(p pairing.Pair) bool { return p.Sire == pair.Dam && p.Dam == pair.Sire }); mirror >= 0 && len(own) > 0 &&
			slices.Equal(reasons[i], reasons[mirror]) {
			words := "as " + pair.Dam + " x " + pair.Sire
			if strings.HasPrefix(own[0], bewareWord) {
				words = bewareWord + words
			}
			own = []string{words}
		}
		rows = append(rows, []string{pair.Sire, pair.Dam, percentCell(pair.Inbreeding), kin(pair.GeneDiversity), pair.Generation().Label(), strings.Join(own, "; ")})
	}
	w.page.table([]column{{head: "sire"}, {head: "dam"}, {head: "young\ninbred", right: true}, {head: "diversity\nafter", right: true},
		{head: "young\nare"}, {head: "why it stands here", wrap: true}}, rows)
	if left := len(pairs) - len(shown); left > 0 {
		w.sayAt(2, "and %s more; --most 0 prints all", countWords(left, "pair"))
	}
}

// fewToShare is up to how many rows each says its own reasons.
const fewToShare = 2

// shared are the reasons that all rows of a table have.
func shared(reasons [][]string) (common []string) {
	if len(reasons) <= fewToShare {
		return nil
	}
	for _, reason := range reasons[0] {
		if !slices.ContainsFunc(reasons, func(row []string) bool { return !slices.Contains(row, reason) }) {
			common = append(common, reason)
		}
	}
	return common
}

// beyond are the reasons of a row that are not common to all.
func beyond(common, list []string) (rest []string) {
	for _, one := range list {
		if !slices.Contains(common, one) {
			rest = append(rest, one)
		}
	}
	return rest
}

// why says in words what to beware of with a pair, and what speaks for it.
func (w *pairsWriter) why(pair pairing.Pair) []string {
	var parts []string
	cautions := cautions(pair.Flags)
	if w.r.Limit == nil && pair.Inbreeding >= nearKin-1e-12 {
		cautions = append(cautions, "near kin")
	}
	if len(cautions) > 0 {
		parts = append(parts, bewareOfAll(cautions))
	}
	switch plan := w.planned[[2]string{pair.Sire, pair.Dam}]; {
	case plan.sole:
		parts = append(parts, "planned as "+plan.id)
	case plan.id != "":
		parts = append(parts, "one of the pairs planned as "+plan.id)
	}
	if pair.Has(pairing.BothOfOneLot) {
		parts = append(parts, twoOfLot)
	}
	parts = append(parts, w.risks.words(pair)...)
	parts = append(parts, strings.TrimSuffix(genetics.Relation(pair.Inbreeding), asFarAsKnown))
	if words := rarityWords(pair.MeanKinship, 1-w.r.GeneDiversity); words != "" {
		parts = append(parts, words)
	}
	if words := w.forwardWords(pair.Forward()); words != "" {
		parts = append(parts, words)
	}
	return parts
}

const (
	twoOfLot     = "two fish of that lot"
	asFarAsKnown = ", as far as the book knows" // said once, below the table

	// nearKin is from what kinship on a pair is warned of where no limit is set:
	// that of half-sibs.
	nearKin = 0.125
)

// rarityWords says how the genes of the young stand among those of the line: it
// is what the pair's place mostly hangs on. Within a tenth it says nothing.
func rarityWords(ofYoung, ofLine float64) string {
	switch {
	case ofYoung < 0.9*ofLine:
		return "rare genes"
	case ofYoung > 1.1*ofLine:
		return "common genes"
	}
	return ""
}

// cautionWords is what to beware of; the limit has a table of its own.
func cautionWords(flags []pairing.Flag) string {
	if parts := cautions(flags); len(parts) > 0 {
		return bewareOfAll(parts)
	}
	return ""
}

const bewareWord = "Beware: "

func bewareOfAll(parts []string) string { return bewareWord + all(parts) }

func cautions(flags []pairing.Flag) (parts []string) {
	for _, flag := range flags {
		if words := map[pairing.Flag]string{
			pairing.Hybrid:          "two species",
			pairing.MixedLocalities: "mixes two localities",
			pairing.Quarantine:      "still in quarantine",
			pairing.LastDay:         "one of them died, was sold, lent or retired that day",
			pairing.SexNotTold:      "sex not told yet",
			pairing.UnknownAncestor: "some ancestors unknown",
		}[flag]; words != "" {
			parts = append(parts, words)
		}
	}
	return parts
}

// forwardWords names the founders that a pair brings forward, the greatest
// gains first, with their shares of the young.
func (w *pairsWriter) forwardWords(forward []pairing.Forward) string {
	var parts []string
	for i, f := range forward {
		if i == 2 {
			break
		}
		parts = append(parts, fmt.Sprintf("%s (%s)", f.ID, inPercent(f.Share, 1)))
		if !slices.ContainsFunc(w.founders, func(told pairing.Forward) bool { return told.ID == f.ID }) {
			w.founders = append(w.founders, f)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	if more := len(forward) - len(parts); more > 0 {
		parts = append(parts, fmt.Sprintf("%d more", more))
	}
	return "brings forward " + all(parts)
}

// forward says once how much the line holds of the founders that pairs bring
// forward.
func (w *pairsWriter) forward() {
	var parts []string
	for _, f := range w.founders {
		parts = append(parts, f.ID+" "+inPercent(f.ShareOfLine, 1))
	}
	if len(parts) > 0 {
		w.blank()
		w.say("Founders brought forward, with their share of the living fish's genes now: %s.", all(parts))
	}
}

// pairsKey explains each column once.
func (l *loaded) pairsKey(p *page, keep int, unlimited bool) {
	p.blank()
	p.say("What the columns say:")
	p.field("young inbred", "how inbred the young would be: the kinship of the two")
	p.field("diversity after", "gene diversity of the line with %s of the pair kept: the more, the higher the pair stands", countWords(keep, "young fish"))
	if l.fromTable {
		p.field("young are", "how far from the founders: F1 are the young of two founders. How far those are from the wild a table does not say")
	} else {
		p.field("young are", "their generation from the wild")
	}
	p.field("not related", "as far as the book knows; where some ancestors are unknown, the two may be nearer kin than the number says")
	if unlimited {
		p.field("near kin", "half-sibs or nearer: their young are more often crippled, weak and few")
	}
	p.field("rare, common genes", "the young have genes that are rarer, or more common, in the line than those of its fish are on average, by a tenth of the mean kinship at least")
	p.field("brings forward", "these founders have less than an equal share in the line, and a greater one in the young (the number)")
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
