package main

import (
	"errors"

	"github.com/spf13/cobra"

	"roebook/io/journal"
	"roebook/io/records"
)

func newUndo(env *environment) *cobra.Command {
	r := newRecorder(env)
	cmd := &cobra.Command{
		Use:   "undo",
		Short: "take the last change back that a command made",
		Long: `Take back the last change that a command of this program made in the book: its files get the bytes back
that they had before. Only the very last one can be taken back, and only while the files are as it left them;
older ones are in git's history.`,
		Example: `  roebook note TF-D3a "torn dorsal fin"
  roebook undo --dry-run
  roebook undo`,
		Args: takes(0, 0, "no argument"),
		RunE: func(*cobra.Command, []string) error { return r.undo() },
	}
	r.flags(cmd, false)
	return cmd
}

func (r *recorder) undo() error {
	return r.locked(func(j *journal.Journal, _ string) error {
		last, err := j.Last()
		if err != nil {
			return err
		}
		if last == nil || last.Final {
			r.env.complain("there is no change to take back")
			return statusError(saysNo)
		}
		if r.dryRun {
			err = j.Unchanged(last)
		} else {
			_, err = j.Undo(r.env.now())
		}
		if errors.Is(err, journal.ErrChanged) {
			r.env.complain("not taken back (" + last.Words + "): " + err.Error() + " since; look at it with git diff")
			return statusError(saysNo)
		}
		if err != nil {
			return err
		}
		a := &recorded{recorder: r, deed: &deed{id: last.ID, words: "Taken back: " + last.Words}, after: &records.Draft{}, meaning: &meaning{}}
		for _, c := range last.Changes {
			a.changed = append(a.changed, records.Changed{Path: c.Path, Hunks: records.Diff(c.New, c.Old)})
		}
		return a.print()
	})
}
