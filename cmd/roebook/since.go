package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"roebook/io/history"
	"roebook/io/records"
	"roebook/pedigree"
)

func newSince(env *environment) *cobra.Command {
	from := source{env: env}
	line := ""
	cmd := &cobra.Command{
		Use:   "since REV [REV2]",
		Short: "what happened to the lines since a commit",
		Long: `Tell what happened to the book between two commits in the terms of breeding: which fish came in, were
bred and were lost, line by line; what that did to the living fish, to the founders' variety they hold
and to their inbreeding; which founders have no gene left, or hang on one fish; and how much each change
did by itself.

REV and REV2 are whatever git takes: a hash, a branch, a tag, HEAD~3. Before is the book of REV on the
day of that commit; after is the book of REV2 on its day, or without REV2 the book as it is in the
folder, saved or not, on the day given with --on (otherwise today).

The effect of a change is found by leaving it out: the gene diversity of the line as it is, less that of
the line with the records in question as they were before. Effects do not add up exactly, for fish are
kin of each other; the rest is told. Fish taken out of one record into another are one change with what
else happened to those two. What is known better now of the fish of then is told apart.`,
		Example: `  roebook since HEAD~1 --on 2026-11-24
  roebook since HEAD~3 HEAD~1 --line tessamora-ford
  roebook since HEAD~2 --on 2026-11-24 --json`,
		Args: takes(1, 2, "one revision, or two"),
		RunE: func(_ *cobra.Command, args []string) error { return tellSince(&from, args, line) },
	}
	from.flags(cmd)
	cmd.Flags().StringVar(&line, "line", "", "only the line of that `name`")
	return cmd
}

// bookAt is a book at one end of a comparison.
type bookAt struct {
	*loaded
	commit *history.Commit // nil for the book in the folder
}

// readVersion reads the book as a commit has it.
func (s *source) readVersion(repo *history.Repository, revision string) (v history.Version, err error) {
	c, err := repo.Commit(revision)
	if err != nil {
		return v, err
	}
	reader, err := repo.Reader(s.cacheOptions())
	if err != nil {
		return v, err
	}
	defer reader.Close()
	if v, err = reader.Version(c); err == nil && !v.HasBook() {
		err = usageError("the commit %s of %s has no book in this folder: there is no %s", c.Short(), c.Date, records.BookFile)
	}
	return v, err
}

// versionAt makes the book of a commit ready for questions, as of its day.
func (s *source) versionAt(repo *history.Repository, revision string) (bookAt, error) {
	v, err := s.readVersion(repo, revision)
	if err != nil {
		return bookAt{}, err
	}
	book, problems := v.Book()
	l, err := s.ofVersion(book, problems, v.Date)
	return bookAt{l, &v.Commit}, err
}

func tellSince(from *source, revisions []string, line string) error {
	dir, err := from.folder()
	if err != nil {
		return err
	}
	if len(revisions) == 2 && from.on != "" {
		return usageError("--on goes with one revision: with two, each is as of the day of its commit")
	}
	repo, err := from.repository(dir)
	if err != nil {
		return err
	}
	before, err := from.versionAt(repo, revisions[0])
	if err != nil {
		return err
	}
	var after bookAt
	if len(revisions) == 2 {
		after, err = from.versionAt(repo, revisions[1])
	} else {
		after.loaded, err = from.load()
	}
	if err != nil {
		return err
	}
	if after.state.Date() < before.state.Date() {
		return usageError("what comes after is of %s, before %s, the day of the commit %s: give the earlier one first, or a later --on",
			after.state.Date(), before.state.Date(), before.commit.Short())
	}
	told := sinceTold{before: before, after: after}
	if err := told.compare(line); err != nil {
		return err
	}
	if err := from.answer(told.document(), told.write); err != nil {
		return err
	}
	before.remarkOfCommit()
	if after.commit == nil {
		return after.finish(from.env.page())
	}
	if after.remarkOfCommit(); after.errors > 0 {
		return statusError(saysNo)
	}
	return nil
}

// remarkOfCommit says on the error stream that the book of a commit had errors.
func (v bookAt) remarkOfCommit() {
	if v.errors > 0 {
		v.env.complain(fmt.Sprintf("the book of %s had %s; what they touch is left out", v.commit.Short(), countWords(v.errors, "error")))
	}
}

// sinceTold is what happened between two versions.
type sinceTold struct {
	before, after bookAt
	changes       []history.LineChange
}

// compare goes through the lines that either version has, or the one named.
func (t *sinceTold) compare(only string) error {
	var names []string
	for _, line := range t.after.whole.Lines {
		names = append(names, line.Name)
	}
	for _, line := range t.before.whole.Lines {
		if t.after.whole.LineNamed(line.Name) == nil {
			names = append(names, line.Name)
		}
	}
	if only != "" {
		if t.before.whole.LineNamed(only) == nil {
			if _, err := t.after.lineNamed(only); err != nil {
				return err
			}
		}
		names = []string{only}
	}
	for _, name := range names {
		figures := [2]history.Figures{t.before.figuresAt(name), t.after.figuresAt(name)}
		t.changes = append(t.changes, history.Compare(name, t.before.side(), t.after.side(), figures))
	}
	return nil
}

func (v bookAt) side() history.Side { return history.Side{Book: v.book, State: v.state} }

// figuresAt are the figures of a line, which this version may not have.
func (v bookAt) figuresAt(line string) history.Figures {
	if v.whole.LineNamed(line) == nil {
		return history.Figures{}
	}
	return v.figures(line)
}

type sinceJSON struct {
	Since versionJSON      `json:"since"`
	Until versionJSON      `json:"until"`
	Lines []lineChangeJSON `json:"lines"`
}

type versionJSON struct {
	Commit  *string `json:"commit"` // null: the book in the folder
	Subject *string `json:"subject"`
	Date    string  `json:"date"`
}

type lineChangeJSON struct {
	Line       string              `json:"line"`
	Before     figuresJSON         `json:"before"`
	After      figuresJSON         `json:"after"`
	Added      []passageJSON       `json:"added"`
	Lost       []passageJSON       `json:"lost"`
	Warnings   []changeWarningJSON `json:"warnings"`
	Difference *differenceJSON     `json:"difference"`
}

type passageJSON struct {
	ID    string  `json:"id"`
	How   string  `json:"how"`
	Heads float64 `json:"heads"`
	Date  *string `json:"date"`
	Spawn *string `json:"spawn,omitempty"`
	Why   *string `json:"why,omitempty"`
}

type changeWarningJSON struct {
	Warning string  `json:"warning"`
	Founder *string `json:"founder,omitempty"`
	Fish    *string `json:"fish,omitempty"`
	Message string  `json:"message"`
}

type differenceJSON struct {
	GeneDiversity float64        `json:"gene_diversity"`
	Decisions     []decisionJSON `json:"decisions"`
	Together      float64        `json:"together"`
	Corrected     float64        `json:"corrected"`
}

type decisionJSON struct {
	Spawn         *string  `json:"spawn"`
	Records       []string `json:"records"`
	Came          float64  `json:"came"`
	Left          float64  `json:"left"`
	GeneDiversity float64  `json:"gene_diversity"`
}

func (v bookAt) document() versionJSON {
	out := versionJSON{Date: v.state.Date().String()}
	if v.commit != nil {
		out.Commit, out.Subject = text(v.commit.Hash), text(v.commit.Subject)
	}
	return out
}

func (t *sinceTold) document() sinceJSON {
	document := sinceJSON{Since: t.before.document(), Until: t.after.document(), Lines: []lineChangeJSON{}}
	for _, c := range t.changes {
		out := lineChangeJSON{Line: c.Line, Before: figuresOf(c.Before), After: figuresOf(c.After),
			Added: passagesOf(c.Added), Lost: passagesOf(c.Lost), Warnings: t.warnings(c)}
		if c.Before.Known && c.After.Known {
			out.Difference = &differenceJSON{c.After.GeneDiversity - c.Before.GeneDiversity, []decisionJSON{}, c.Together, c.Corrected}
			for _, d := range c.Decisions {
				out.Difference.Decisions = append(out.Difference.Decisions, decisionJSON{text(d.Spawn), d.Records, d.Came, d.Left, d.Effect})
			}
		}
		document.Lines = append(document.Lines, out)
	}
	return document
}

func passagesOf(list []history.Passage) []passageJSON {
	out := []passageJSON{}
	for _, p := range list {
		out = append(out, passageJSON{p.ID, p.How, p.Heads, dayText(p.On), text(p.Spawn), text(p.Why)})
	}
	return out
}

func dayText(d pedigree.Date) *string { return text(d.String()) }

// warnings are what a keeper must know of a line's change.
func (t *sinceTold) warnings(c history.LineChange) []changeWarningJSON {
	list := []changeWarningJSON{}
	for _, id := range c.FoundersLost {
		list = append(list, changeWarningJSON{"founder_lost", text(id), nil,
			id + " has no gene left in the line: its last descendants are gone" + t.elsewhere(id, c.Line)})
	}
	for _, r := range c.AtRisk {
		words := "the genes of " + r.Founder + " now hang on one fish, " + r.Fish
		switch {
		case r.Fish == r.Founder && r.Already:
			words = r.Founder + " still has no young in the line: its genes hang on itself"
		case r.Fish == r.Founder:
			words = r.Founder + " has no young in the line: its genes hang on itself"
		case r.Already:
			words = "the genes of " + r.Founder + " still hang on one fish, " + r.Fish
		}
		list = append(list, changeWarningJSON{"founder_at_risk", text(r.Founder), text(r.Fish), words})
	}
	line := t.after.whole.LineNamed(c.Line)
	if line == nil || !c.After.Known || !c.Before.Known {
		return list
	}
	if goal := line.Goal.GeneDiversity; goal != nil && c.After.GeneDiversity < *goal-1e-12 && c.Before.GeneDiversity >= *goal-1e-12 {
		list = append(list, changeWarningJSON{"goal_missed", nil, nil,
			"the gene diversity has fallen below the line's goal of " + kin(*goal)})
	}
	if limit := line.Goal.MaxInbreeding; limit != nil && c.After.MeanInbreeding > *limit && c.Before.MeanInbreeding <= *limit {
		list = append(list, changeWarningJSON{"inbreeding_over_limit", nil, nil,
			"the living fish are now inbred beyond the line's limit of " + percent(*limit) + " on average"})
	}
	return list
}

// elsewhere says where a founder's genes are still to be had.
func (t *sinceTold) elsewhere(founder, line string) string {
	for _, other := range t.after.whole.Lines {
		if other.Name == line {
			continue
		}
		for _, c := range t.after.state.Carried(other.Name) {
			if c.Founder == founder {
				return "; fish of " + other.Name + " still have some"
			}
		}
	}
	return ""
}
