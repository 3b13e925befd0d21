package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roebook/io/history"
)

// write tells what happened, line by line.
func (t *sinceTold) write(p *page) {
	p.say("From %s to %s", t.before.words(), t.after.words())
	quiet := []string{}
	for _, c := range t.changes {
		if quietLine(c) {
			quiet = append(quiet, c.Line)
			continue
		}
		p.blank()
		p.say("%s", c.Line)
		t.writeLine(p, c)
	}
	if len(quiet) > 0 {
		p.blank()
		p.say("Nothing happened to %s.", all(quiet))
	}
}

// words name a version: its day and commit.
func (v bookAt) words() string {
	day := v.state.Date().String()
	if v.commit == nil {
		return day + " (the book as it is in the folder)"
	}
	return fmt.Sprintf("%s (%s, %s)", day, v.commit.Short(), quoted(v.commit.Subject))
}

// quietLine reports whether nothing is to be told of a line.
func quietLine(c history.LineChange) bool {
	same := c.Before == c.After && c.Before.Refused == ""
	return same && len(c.Added)+len(c.Lost)+len(c.FoundersLost)+len(c.FoundersNew)+len(c.Decisions) == 0
}

func (t *sinceTold) writeLine(p *page, c history.LineChange) {
	for _, end := range []struct {
		when    string
		figures history.Figures
	}{{"before", c.Before}, {"after", c.After}} {
		if end.figures.Refused != "" {
			p.field("no answer", "%s: %s", end.when, end.figures.Refused)
		}
	}
	if c.Before.Refused+c.After.Refused != "" {
		return
	}
	p.field("living", "%s, before %s", count(c.After.Living, "fish"), amount(c.Before.Living))
	p.field("gene diversity", "%s", fromTo(c, kin, func(f history.Figures) float64 { return f.GeneDiversity }))
	p.field("inbreeding", "%s", fromTo(c, percent, func(f history.Figures) float64 { return f.MeanInbreeding })+" on average")
	founders := fmt.Sprintf("%d, before %d", c.After.Founders, c.Before.Founders)
	if len(c.FoundersNew) > 0 {
		founders += "; new: " + some(c.FoundersNew, 6)
	}
	p.field("founders", "%s", founders)
	t.writePassages(p, "came in", c.Added)
	t.writePassages(p, "lost", c.Lost)
	label := "beware"
	for _, w := range t.warnings(c) {
		p.field(label, "%s", w.Message)
		label = ""
	}
	t.writeDecisions(p, c)
}

func fromTo(c history.LineChange, write func(float64) string, of func(history.Figures) float64) string {
	side := func(f history.Figures) string {
		if !f.Known {
			return "no number"
		}
		return write(of(f))
	}
	return side(c.After) + ", before " + side(c.Before)
}

// passageWords are the ways of coming and going, as a keeper says them.
var passageWords = map[string]string{history.Caught: "caught", history.Purchase: "bought", history.Bred: "bred", history.Dead: "died",
	history.Given: "sold or given away", history.Gone: "gone, not said how", history.Struck: "no longer in the book"}

// writePassages adds up the fish by how they came or went, with the records.
func (t *sinceTold) writePassages(p *page, label string, list []history.Passage) {
	var order []string
	heads, records := map[string]float64{}, map[string][]string{}
	for _, x := range list {
		how := passageWords[x.How]
		switch {
		case x.How == history.Counted && label == "lost":
			how = "missing at a count"
		case x.How == history.Counted:
			how = "more at a count"
		case x.How == history.Bred && x.Spawn != "":
			how = "young of " + x.Spawn
			if spawn := t.after.whole.SpawnByID(x.Spawn); spawn != nil {
				how = "young of " + spawnWords(t.after.whole, spawn)
			}
		}
		if !slices.Contains(order, how) {
			order = append(order, how)
		}
		heads[how] += x.Heads
		if !slices.Contains(records[how], x.ID) {
			records[how] = append(records[how], x.ID)
		}
	}
	for _, how := range order {
		p.field(label, "%s %s: %s", amount(heads[how]), how, some(records[how], 8))
		label = ""
	}
}

// mostDecisions is how many changes are told one by one.
const mostDecisions = 8

func (t *sinceTold) writeDecisions(p *page, c history.LineChange) {
	if len(c.Decisions) == 0 && math.Abs(c.Corrected) < 0.00005 {
		return
	}
	p.blank()
	p.sayAt(2, "What made the difference of %s in gene diversity, each change left out by itself:", signed(c.After.GeneDiversity-c.Before.GeneDiversity))
	var rows [][]string
	rest, restCount := 0.0, 0
	for i, d := range c.Decisions {
		if i >= mostDecisions && len(c.Decisions) > mostDecisions+1 {
			rest += d.Effect
			restCount++
			continue
		}
		rows = append(rows, []string{signed(d.Effect), t.decisionWords(c, d)})
	}
	if restCount > 0 {
		rows = append(rows, []string{signed(rest), countWords(restCount, "smaller change")})
	}
	if math.Abs(c.Together) >= 0.00005 {
		rows = append(rows, []string{signed(c.Together), "what they did together, beyond the sum of each by itself"})
	}
	if math.Abs(c.Corrected) >= 0.00005 {
		rows = append(rows, []string{signed(c.Corrected), "what is known otherwise now of the fish of then"})
	}
	p.table([]column{{head: "effect", right: true}, {head: "change", wrap: true}}, rows)
}

func signed(x float64) string {
	words := kin(x)
	if strings.Trim(words, "-0.") != "" && x > 0 {
		words = "+" + words
	}
	return words
}

// decisionWords says what changed.
func (t *sinceTold) decisionWords(c history.LineChange, d history.Decision) string {
	var parts []string
	switch {
	case d.Spawn != "" && d.Came > 0:
		words := count(d.Came, "young fish") + " of " + d.Spawn
		if spawn := t.after.whole.SpawnByID(d.Spawn); spawn != nil {
			words = count(d.Came, "young fish") + " of " + spawnWords(t.after.whole, spawn) + parentsOf(t, d.Spawn)
		}
		parts = append(parts, words)
	case d.Came > 0:
		parts = append(parts, amount(d.Came)+" "+howWords(c.Added, d.Records, "more"))
	}
	if d.Left > 0 {
		parts = append(parts, amount(d.Left)+" "+howWords(c.Lost, d.Records, "fewer"))
	}
	if len(parts) == 0 {
		parts = append(parts, "moved between records")
	}
	return all(parts) + ": " + some(d.Records, 6)
}

// howWords says how the fish of some records came or went, where they all did so
// in one way.
func howWords(list []history.Passage, records []string, otherwise string) string {
	words := ""
	for _, x := range list {
		how := passageWords[x.How]
		if x.How == history.Counted {
			how = otherwise + " at a count"
		}
		if slices.Contains(records, x.ID) && words != how {
			if words != "" {
				return otherwise
			}
			words = how
		}
	}
	if words == "" {
		return otherwise
	}
	return words
}

// parentsOf names the parents of a spawn, where both are known fish.
func parentsOf(t *sinceTold, id string) string {
	spawn := t.after.whole.SpawnByID(id)
	if len(spawn.Sire.Candidates) != 1 || len(spawn.Dam.Candidates) != 1 {
		return ""
	}
	return " (" + spawn.Sire.Candidates[0].ID + " x " + spawn.Dam.Candidates[0].ID + ")"
}
