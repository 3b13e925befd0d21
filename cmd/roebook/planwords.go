package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"roebook/genetics"
	"roebook/genetics/pairing"
)

// planWriter puts a plan in words.
type planWriter struct {
	*loaded
	*page
	line string
	o    pairing.PlanOptions
	plan pairing.LinePlan

	apartCarriers bool // pairs were kept apart for their young's looks too
}

func (w *planWriter) write() {
	w.head()
	switch {
	case len(w.plan.Reasons) > 0:
		w.say("There is no plan: %s.", all(w.plan.Reasons))
		w.sayLeftOut(w.plan.LeftOut)
		return
	case len(w.plan.Spawns) == 0:
		w.noPlan()
		w.sayLeftOut(w.plan.LeftOut)
		return
	}
	if w.o.Toward != "" {
		w.spawnsToward()
		w.blank()
		w.worthToward()
	} else {
		w.spawns()
		w.blank()
		w.worth()
		w.founders()
	}
	if len(w.plan.KeptApart) > 0 {
		w.blank()
		w.say("Kept apart, for some of the young would be expected to show, or die of, what their parents hide: %s.", some(w.plan.KeptApart, 6))
	}
	w.sayLeftOut(w.plan.LeftOut)
}

func (w *planWriter) head() {
	name := w.line
	if w.fromTable {
		name = "the pedigree"
	}
	toward := ""
	if w.o.Toward != "" {
		toward = " toward " + w.o.Toward
	}
	w.say("Plan for %s%s as of %s: up to %s, %s kept", name, toward, w.state.Date(), countWords(w.o.Spawns, "spawn"), countWords(w.o.Keep, "young fish"))
	if w.plan.Living == 0 {
		return
	}
	words := fmt.Sprintf("%s living; gene diversity %s now", count(w.plan.Living, "fish"), kin(w.plan.Now))
	if line := w.book.LineNamed(w.line); line != nil && line.Goal.GeneDiversity != nil {
		words += ", goal " + kin(*line.Goal.GeneDiversity)
	}
	if w.plan.Limit != nil {
		words += "; young at most " + percent(*w.plan.Limit) + " inbred"
	} else {
		words += "; no limit on inbreeding: set one with --max-inbreeding"
	}
	w.say("%s.", words)
	w.blank()
}

func (w *planWriter) spawns() {
	var rows [][]string
	for _, s := range w.plan.Spawns {
		why := genetics.Relation(s.Inbreeding)
		if s.Sire == s.Dam {
			why = twoOfLot + "; " + why
		}
		if words := cautionWords(slices.DeleteFunc(slices.Clone(s.Flags), isUnknown)); words != "" {
			why = words + "; " + why
		}
		rows = append(rows, []string{w.fish(s.Sire, s.SireFish), w.fish(s.Dam, s.DamFish), strconv.Itoa(s.Keep), percentCell(s.Inbreeding),
			w.state.GenerationOfPair(s.Sire, s.Dam).Label(), why})
	}
	w.page.table([]column{{head: "sire"}, {head: "dam"}, {head: "keep", right: true}, {head: "young\ninbred", right: true},
		{head: "young\nare"}, {head: "the two", wrap: true}}, rows)
	w.below()
}

// below says what holds for the table as a whole.
func (w *planWriter) below() {
	if left := w.o.Spawns - len(w.plan.Spawns); left > 0 {
		w.sayAt(2, "These are all that serve: %s more would add nothing, or cannot be.", countWords(left, "spawn"))
	}
	if unknown := w.unknown(); len(unknown) > 0 {
		w.sayAt(2, "Beware: some ancestors of %s are unknown, so kinship may be higher.", some(unknown, 6))
	}
	if w.usesLots() {
		w.sayAt(2, "Where a lot stands more than once, take another fish of it each time%s, and pick each out under an id of its own (roebook add --picked): by the lot's id alone the book cannot know that they are different fish, and would show less.", map[bool]string{true: ", as numbered", false: ""}[w.numbered()])
	}
}

func isUnknown(f pairing.Flag) bool { return f == pairing.UnknownAncestor }

// unknown are the parents of the plan with unknown ancestors.
func (w *planWriter) unknown() (ids []string) {
	for _, s := range w.plan.Spawns {
		for _, id := range [2]string{s.Sire, s.Dam} {
			if a, ok := w.state.Ancestry(id); ok && a.Unknown > 1e-9 && !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
	}
	slices.Sort(ids)
	return ids
}

// numbered reports whether a fish of a lot may have several spawns, so that it
// matters which is which.
func (w *planWriter) numbered() bool { return w.o.PerMale > 1 || w.o.PerFemale > 1 }

func (w *planWriter) fish(id string, number int) string {
	if number > 0 && w.numbered() && w.often(id) {
		return fmt.Sprintf("%s no. %d", id, number)
	}
	return id
}

// often reports whether a record stands more than once in the plan.
func (w *planWriter) often(id string) bool {
	times := 0
	for _, s := range w.plan.Spawns {
		for _, parent := range [2]string{s.Sire, s.Dam} {
			if parent == id {
				times++
			}
		}
	}
	return times > 1
}

func (w *planWriter) usesLots() bool {
	for _, s := range w.plan.Spawns {
		if s.SireFish > 1 || s.DamFish > 1 {
			return true
		}
	}
	return false
}

// spawnsToward lists the spawns of a plan toward a fish.
func (w *planWriter) spawnsToward() {
	var rows [][]string
	for _, s := range w.plan.Spawns {
		var remarks []string
		if words := cautionWords(slices.DeleteFunc(slices.Clone(s.Flags), isUnknown)); words != "" {
			remarks = append(remarks, words)
		}
		if s.Sire == s.Dam {
			remarks = append(remarks, twoOfLot)
		}
		rows = append(rows, []string{w.fish(s.Sire, s.SireFish), w.fish(s.Dam, s.DamFish), strconv.Itoa(s.Keep), percentCell(s.Share),
			percentCell(s.Inbreeding), percentCell(s.Through), percentCell(s.Inbreeding - s.Through),
			strings.Join(remarks, "; ")})
	}
	id := w.o.Toward
	w.page.table([]column{{head: "sire"}, {head: "dam"}, {head: "keep", right: true}, {head: "genes\nof " + id, right: true}, {head: "young\ninbred", right: true},
		{head: "of it by\n" + id, right: true}, {head: "by\nothers", right: true}, {head: "", wrap: true}}, rows)
	w.below()
}

// worthToward says what the plan leads to, and what the line gives up.
func (w *planWriter) worthToward() {
	p, id := &w.plan, w.o.Toward
	w.field("share of "+id, "%s of the genes of the young kept come from it; of the living fish %s", percent(p.Share), percent(p.ShareNow))
	words := "the most there is: no plan within these limits, with as many spawns, gives the young a greater share"
	if p.ShareBound-p.Share > 2e-6 {
		words = fmt.Sprintf("no plan within these limits could give the young a share above %s", percent(p.ShareBound))
	}
	if used, option := w.usedOnce(); used {
		words += fmt.Sprintf(". More spawns of %s itself would: %s %d", id, option, w.o.Spawns)
	}
	w.field("how good", "%s", words)
	if p.Inbreeding < 1e-9 {
		w.field("inbreeding", "none: no two parents are related, as far as the book knows")
	} else {
		w.field("inbreeding", "%s of the young kept, on average: %s because both parents have genes of %s, %s by other ancestors",
			percent(p.Inbreeding), percent(p.Through), id, percent(p.Inbreeding-p.Through))
	}
	if slices.ContainsFunc(p.Spawns, func(s pairing.PlannedSpawn) bool { return s.Inbreeding >= 0.125 }) {
		w.field("beware", "young of near kin are more often crippled, weak and few: count them, and turn back where they suffer")
	}
	w.field("what it costs", "the young hold a gene diversity (the share of the founders' variety) of %s by themselves; those of the best plan "+
		"without --toward would hold %s. So %s of their variety is given up for %s", kin(p.OfFry), kin(p.Without), percent(1-p.OfFry/p.Without), id)
	w.field("the line", "gene diversity %s with them, %s now", kin(p.After), kin(p.Now))
}

// usedOnce reports whether the fish that the plan is toward breeds itself and could
// do so more often.
func (w *planWriter) usedOnce() (used bool, option string) {
	for _, s := range w.plan.Spawns {
		switch {
		case s.Sire == w.o.Toward && w.o.PerMale == 1:
			return len(w.plan.Spawns) > 1, "--per-male"
		case s.Dam == w.o.Toward && w.o.PerFemale == 1:
			return len(w.plan.Spawns) > 1, "--per-female"
		}
	}
	return false, ""
}

// worth says what the plan leads to and how good it is.
func (w *planWriter) worth() {
	p := &w.plan
	w.field("the young", "gene diversity %s: the share of the founders' variety that the %s kept hold by themselves", kin(p.OfFry), countWords(w.o.Keep, "young fish"))
	w.field("the line", "gene diversity %s with them, %s now", kin(p.After), kin(p.Now))
	if p.After < p.Now {
		w.field("", "It falls, for young have no genes but their parents'. Fish not related to the line would raise it")
	}
	w.field("inbreeding", "%s of the young kept, on average", percent(p.Inbreeding))
	w.field("how good", "%s", goodWords(p, w.o.IncludeLiving))
}

// goodWords holds a plan against the best there could be.
func goodWords(p *pairing.LinePlan, ofLine bool) string {
	of := "the young"
	if ofLine {
		of = "the line"
	}
	if p.Exact {
		return "the best there is: it is proved that no plan within these limits gives " + of + " a higher gene diversity"
	}
	return fmt.Sprintf("no plan within these limits could give %s more than %s, so this one is within %s of the best; --seconds 60 looks further",
		of, fixed(p.Bound, 5), percentCell(max((p.Bound-p.GeneDiversity)/p.Bound, 0.0001)))
}

// founders names those of which the young hold much more, or less, than the line.
func (w *planWriter) founders() {
	var more, less []string
	for _, share := range w.plan.FounderFry {
		now := w.plan.FounderLine[share.ID]
		words := fmt.Sprintf("%s (%s, line %s)", share.ID, percentCell(share.Share), percentCell(now))
		switch {
		case share.Share > now+0.02:
			more = append(more, words)
		case share.Share < now-0.02:
			less = append(less, words)
		}
	}
	for id, now := range w.plan.FounderLine {
		if now > 0.02 && !hasShare(w.plan.FounderFry, id) {
			less = append(less, fmt.Sprintf("%s (none, line %s)", id, percentCell(now)))
		}
	}
	if len(more) > 0 {
		w.field("brings forward", "%s", some(more, 3))
	}
	if len(less) > 0 {
		w.field("holds less of", "%s", some(less, 3))
	}
}

func hasShare(shares []genetics.Share, id string) bool {
	for _, s := range shares {
		if s.ID == id {
			return true
		}
	}
	return false
}

// noPlan says which limit is in the way.
func (w *planWriter) noPlan() {
	w.say("No plan keeps all the limits.")
	if len(w.plan.Remedies) == 0 {
		w.say("No one limit alone is in the way: allow fewer demands (--with, --together), more spawns for a fish (--per-male, --per-female), " +
			"or more inbreeding (--max-inbreeding) together.")
		return
	}
	w.say("There would be one with any of these changes by itself, the least that will do:")
	for _, r := range w.plan.Remedies {
		if r.Limit == pairing.LimitHarmful && w.apartCarriers {
			w.field("--apart-carriers", "without it, for it keeps all pairs apart that would serve; two with the same hidden gene on record take --together as well")
			continue
		}
		w.field(remedyOption(r.Limit), "%s", remedyWords(w.o, w.plan.Limit, r))
	}
}

func remedyOption(limit pairing.Limit) string {
	return map[pairing.Limit]string{
		pairing.LimitInbreeding: "--max-inbreeding", pairing.LimitSpawns: "--plan", pairing.LimitKeep: "--keep", pairing.LimitLeast: "--keep-least",
		pairing.LimitMost: "--keep-most", pairing.LimitPerMale: "--per-male", pairing.LimitPerFemale: "--per-female", pairing.LimitApart: "--apart",
		pairing.LimitHarmful: "--together",
	}[limit]
}

func remedyWords(o pairing.PlanOptions, limit *float64, r pairing.Remedy) string {
	n := strconv.Itoa(int(r.Value))
	switch r.Limit {
	case pairing.LimitInbreeding:
		return fmt.Sprintf("%s: over the limit of %s; only with good reason", limitWords(r.Value), percent(*limit))
	case pairing.LimitSpawns:
		return n + " spawns"
	case pairing.LimitKeep:
		return "only " + n + " young fish kept in all"
	case pairing.LimitLeast:
		return "at least " + n + " kept of a spawn, not " + strconv.Itoa(o.Least)
	case pairing.LimitMost:
		return "up to " + n + " kept of a spawn"
	case pairing.LimitPerMale:
		return n + " spawns for a male"
	case pairing.LimitPerFemale:
		return n + " spawns for a female"
	case pairing.LimitApart:
		return "without it"
	}
	return "with two that are kept apart because both have the same hidden gene on record"
}

// limitWords writes a limit so that it can be typed and is not below the value.
func limitWords(value float64) string {
	for decimals := 2; decimals < 12; decimals++ {
		scale := math.Pow10(decimals)
		if up := math.Ceil(100*value*scale-1e-9) / scale; math.Abs(up/100-value) < 1e-6 || decimals == 6 {
			return trimmed(up, decimals, 2) + "%"
		}
	}
	return percent(value)
}
