package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/journal"
	"roebook/io/records"
)

func newFormat(env *environment) *cobra.Command {
	r := newRecorder(env)
	var check bool
	cmd := &cobra.Command{
		Use:   "format [FILE...]",
		Short: "put the files of the book into one form",
		Long: `Put the files of the book, or some of them, into one form: the keys of a record in one order, records by
their id, the same spaces and quotes everywhere. Comments stay with what they stand beside, and what the
files say stays the same. No other command does this: they leave your writing as it is.

With --check nothing is written; it ends with status 1 where a file is not in that form.`,
		Example: `  roebook format lines/candlewick.yaml --dry-run
  roebook format
  roebook format --check`,
		RunE: func(_ *cobra.Command, args []string) error { return r.format(args, check) },
	}
	r.flags(cmd, false)
	cmd.Flags().BoolVar(&check, "check", false, "only say which files are not in that form")
	return cmd
}

type formatJSON struct {
	Files   []string `json:"files"`   // that are not in the form
	Refused []string `json:"refused"` // that could not be put into it
	DryRun  bool     `json:"dry_run"`
}

func (r *recorder) format(files []string, check bool) error {
	if check || r.dryRun {
		draft, dir, err := r.read()
		if err != nil {
			return err
		}
		return r.formatIn(draft, dir, files, check, func(journal.Entry) error { return nil })
	}
	return r.locked(func(j *journal.Journal, dir string) error {
		draft, err := records.ReadDraft(dir, r.cacheOptions())
		if err != nil {
			return err
		}
		return r.formatIn(draft, dir, files, false, j.Commit)
	})
}

// formatIn puts files into form, hands them to whoever writes them, and answers.
func (r *recorder) formatIn(draft *records.Draft, dir string, files []string, check bool, write func(journal.Entry) error) error {
	names := draft.Paths()
	if len(files) > 0 {
		names = nil
	}
	for _, file := range files {
		name, err := inBook(r.env, dir, file)
		if err != nil {
			return err
		}
		names = append(names, name)
	}
	entry, refused := r.formatted(draft, compact(names))
	if len(entry.Changes) > 0 {
		if err := write(*entry); err != nil {
			return err
		}
	}
	p := r.env.page()
	if r.json {
		document := formatJSON{Files: []string{}, Refused: refused, DryRun: r.dryRun || check}
		for _, c := range entry.Changes {
			document.Files = append(document.Files, c.Path)
		}
		if err := p.asJSON(document); err != nil {
			return err
		}
	} else {
		r.writeFormat(p, entry, refused, check)
	}
	if err := r.env.print(&p.Buffer); err != nil {
		return err
	}
	if len(refused) > 0 || check && len(entry.Changes) > 0 {
		return statusError(saysNo)
	}
	return nil
}

// formatted gives the files that are not in form, and those that cannot be put
// into it.
func (r *recorder) formatted(draft *records.Draft, names []string) (entry *journal.Entry, refused []string) {
	entry, refused = &journal.Entry{At: r.env.now()}, []string{}
	for _, name := range names {
		old := draft.File(name)
		text, err := records.Format(records.File{Path: name, Text: old})
		if err != nil {
			r.env.complain(err.Error())
			refused = append(refused, name)
		} else if !bytes.Equal(text, old) {
			entry.Changes = append(entry.Changes, journal.Change{Path: name, Old: old, New: text})
		}
	}
	entry.Words = countWords(len(entry.Changes), "file") + " formatted"
	return entry, refused
}

func (r *recorder) writeFormat(p *page, entry *journal.Entry, refused []string, check bool) {
	switch {
	case len(entry.Changes) == 0 && len(refused) > 0:
		p.say("Nothing was put into form.")
	case len(entry.Changes) == 0:
		p.say("All is in form.")
	case check:
		p.say("Not in form:")
	case r.dryRun:
		p.say("Not written: %s.", entry.Words)
	default:
		p.say("%s.", capital(entry.Words))
	}
	for _, c := range entry.Changes {
		hunks := records.Diff(c.Old, c.New)
		lines := 0
		for _, h := range hunks {
			lines += len(h.New)
		}
		if check || !r.dryRun {
			p.asIs(2, fmt.Sprintf("%s: %s", c.Path, countWords(lines, "line")))
		} else {
			writeHunks(p, c.Path, hunks)
		}
	}
	if len(refused) > 0 {
		p.say("Left as %s: %s.", map[bool]string{true: "it is", false: "they are"}[len(refused) == 1], strings.Join(refused, ", "))
	}
}
