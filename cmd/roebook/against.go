package main

import (
	"fmt"
	"slices"

	"roebook/io/history"
	"roebook/pedigree"
)

// checkAgainst tells what is wrong in the book that was not in a commit, and what
// records say otherwise.
func checkAgainst(from *source, files []string, revision string) error {
	if len(files) > 0 {
		return usageError("--against looks at the whole book: give no files")
	}
	now, on, err := from.readChecked()
	if err != nil {
		return err
	}
	repo, err := from.repository(now.dir)
	if err != nil {
		return err
	}
	v, err := from.readVersion(repo, revision)
	if err != nil {
		return err
	}
	old, problems := v.Book()
	report := against{checked: now, commit: v.Commit, turned: history.TurnedSince(old, now.book)}
	report.problems = newProblems(from.env.check(old, on, problems), now.problems)
	report.before = len(now.problems) - len(report.problems)
	errors, _ := tally(now.problems)
	news, _ := tally(report.problems)
	report.errorsBefore = errors - news
	if err := from.answer(report.document(), report.write); err != nil {
		return err
	}
	if report.errorsBefore > 0 {
		return statusError(saysNo)
	}
	return report.status()
}

// newProblems returns the problems that are not among the old ones, wherever
// these stood.
func newProblems(old, now []pedigree.Problem) []pedigree.Problem {
	type told struct{ rule, message string }
	before := map[told]int{}
	for _, p := range old {
		before[told{p.Rule, p.Message}]++
	}
	return slices.DeleteFunc(slices.Clone(now), func(p pedigree.Problem) bool {
		before[told{p.Rule, p.Message}]--
		return before[told{p.Rule, p.Message}] >= 0
	})
}

// against is what a check against a commit found.
type against struct {
	checked
	commit       history.Commit
	before       int // problems that were there
	errorsBefore int // of these
	turned       []history.Turned
}

func (c *against) write(p *page) {
	c.writeProblems(p)
	for i, t := range c.turned {
		if i == 0 {
			p.say("These records say otherwise than they did:")
		}
		p.sayAt(2, "%s", turnedWords(t))
	}
	p.blank()
	errors, warnings := tally(c.problems)
	since := fmt.Sprintf("since %s of %s (%s)", c.commit.Short(), c.commit.Date, quoted(c.commit.Subject))
	switch {
	case errors+warnings > 0:
		p.say("%s that came in %s", tallyWords(errors, warnings), since)
	case len(c.turned) > 0:
		p.say("Nothing else to correct that came in %s.", since)
	case c.errorsBefore > 0:
		p.say("Nothing to correct that came in %s, but the book had errors before and has them still.", since)
	default:
		p.say("All is well: nothing to correct that came in %s.", since)
	}
	if c.before > 0 {
		p.say("%s there before are not shown; see: roebook check", tallyWords(c.errorsBefore, c.before-c.errorsBefore))
	}
}

// turnedWords says what a record says otherwise.
func turnedWords(t history.Turned) string {
	if t.What == "record" {
		return fmt.Sprintf("%s is no longer in the book (it stood in %s)", t.ID, t.File)
	}
	is := t.Is
	if is == "" {
		is = "not stated"
	}
	return fmt.Sprintf("%s:%d:%d: %s: %s was %s, and is %s", t.File, t.Line, t.Column, t.ID, t.What, t.Was, is)
}

type againstJSON struct {
	problemsJSON
	Against      versionJSON  `json:"against"`
	Before       int          `json:"before"` // problems that were there, of both kinds
	ErrorsBefore int          `json:"errors_before"`
	Changed      []turnedJSON `json:"changed"`
}

type turnedJSON struct {
	ID     string  `json:"id"`
	What   string  `json:"what"`
	Was    string  `json:"was"`
	Is     *string `json:"is"`
	File   string  `json:"file"`
	Line   int     `json:"line"`
	Column int     `json:"column"`
}

func (c *against) document() againstJSON {
	out := againstJSON{c.checked.document(), versionJSON{text(c.commit.Hash), text(c.commit.Subject), c.commit.Date.String()}, c.before, c.errorsBefore, []turnedJSON{}}
	for _, t := range c.turned {
		out.Changed = append(out.Changed, turnedJSON{t.ID, t.What, t.Was, text(t.Is), t.File, t.Line, t.Column})
	}
	return out
}
