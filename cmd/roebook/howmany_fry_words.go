package main

import (
	"fmt"
	"slices"

	"roebook/genetics/sums"
)

// fryAnswer puts a plan for fry in a sentence.
func (l *loaded) fryAnswer(d fryJSON, c course, plan sums.Spawning) string {
	word := broodWord(l.book, d.Line)
	of := 0
	for _, count := range c.counts {
		of += count.Of
	}
	return fmt.Sprintf("%s %s: with odds of %s they bring %s %s or more, where %s are of the usual size (%s on average). With sizes as they were so far, count on %s.",
		grouped(plan.Eggs), c.from.words, plain(d.Odds), grouped(d.Fry), c.until.words, plural(word),
		grouped((of+len(c.counts)/2)/len(c.counts)), groupedCount(plan.Spawns, word))
}

// fryNotes say what the plan rests on.
func (l *loaded) fryNotes(d fryJSON, c course, yield sums.Yield) []string {
	word := broodWord(l.book, d.Line)
	notes := []string{fmt.Sprintf("It rests on %s of %s with both counts, and on the next being like them. On average %s of the %s came to be %s; "+
		"%s.", countWords(d.Recorded, word), d.Line, chance(yield.Mean), c.from.words, c.until.words, d.spreadWords(yield, word))}
	if d.Recorded < 12 {
		notes = append(notes, fmt.Sprintf("So few %s tell little of how they differ: the true odds are lower than said. Set up more if you must have the fry.", plural(word)))
	}
	if c.until.key == "kept" {
		also := "If good fry went elsewhere before, the answer is too high"
		if d.Swimming != nil {
			also += fmt.Sprintf(": counted up to swimming only, it would be %s %s (--until swimming), less what you lose later", grouped(int(*d.Swimming)), c.from.words)
		}
		notes = append(notes, "`kept` counts the fry that you chose to keep. "+also+".")
	} else {
		notes = append(notes, fmt.Sprintf("This is up to %s; what is lost before they can be sold comes on top.", c.until.words))
	}
	return append(notes, "Raise no more than you have room and homes for. How surplus fry are culled is a matter of local welfare law; none are released.")
}

// spreadWords says how much spawns differ.
func (d *fryJSON) spreadWords(y sums.Yield, word string) string {
	low, high := y.Usual(middle)
	if high-low < 0.005 {
		return "one " + word + " was much like another"
	}
	words := fmt.Sprintf("by the curve that fits them best, one %s in ten brings less than %s, and one in ten more than %s; of these %d, %d brought less",
		word, chance(low), chance(high), d.Recorded, d.BelowLow)
	if d.Nothing > 0 {
		words += fmt.Sprintf(", %d of them nothing", d.Nothing)
	}
	return words
}

// tooFew says how much the records hold, and how much it takes.
func (l *loaded) tooFew(d fryJSON, c course) string {
	word := broodWord(l.book, d.Line)
	with, from, key := countWords(d.Recorded, word), c.from.words, "`"+c.from.key+"`"
	if d.Recorded == 0 {
		with = "no " + word
		if c.until.key == "swimming" || c.until.key == "kept" {
			from, key = "eggs (or fry born)", "`eggs` (or `born`)"
		}
	}
	return fmt.Sprintf("no answer for %s: up to %s it has %s with counts of both %s and %s, and it takes %d at least; "+
		"write down %s and `%s` of each, also of those that failed",
		d.Line, l.state.Date(), with, from, c.until.words, sums.LeastSpawns, key, c.until.key)
}

// noFry says why there is no answer.
func (l *loaded) noFry(ask *fryQuestion, d fryJSON, why string) error {
	l.env.complain(why)
	if ask.from.json {
		d.reply = reply{Answer: why, Notes: []string{}}
		if err := l.env.tell(d.reply, d, true); err != nil {
			return err
		}
	}
	l.remark()
	return statusError(saysNo)
}

func (l *loaded) tellFry(d fryJSON, asJSON bool) error {
	p := l.env.page()
	if asJSON {
		if err := p.asJSON(d); err != nil {
			return err
		}
		return l.finish(p)
	}
	p.say("%s", d.Answer)
	p.blank()
	var rows [][]string
	steps := d.Steps
	if len(steps) > 1 {
		steps = append(slices.Clone(steps), *d.Overall)
	}
	for _, s := range steps {
		rows = append(rows, []string{s.From + " to " + s.Until, grouped(s.Spawns), percentCell(s.Mean), percentCell(s.Worst), percentCell(s.Best)})
	}
	p.table([]column{{head: "came through"}, {head: plural(broodWord(l.book, d.Line)), right: true}, {head: "of all", right: true},
		{head: "worst", right: true}, {head: "best", right: true}}, rows)
	if d.Nothing > 0 {
		word := broodWord(l.book, d.Line)
		p.sayAt(2, "%d of %s brought nothing.", d.Nothing, groupedCount(d.Overall.Spawns, word))
	}
	for _, note := range d.Notes {
		p.blank()
		p.say("%s", note)
	}
	return l.finish(p)
}
