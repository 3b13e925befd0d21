package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"roebook/io/history"
	"roebook/io/records"
)

func newMergeBooks(env *environment) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "merge-books BASE OURS THEIRS [PATH]",
		Short: "join two keepers' versions of a record file",
		Long: `Join two versions of one record file, OURS and THEIRS, that were made from BASE, and write the result
into OURS. It is what git calls to merge record files once "roebook init --git" has told it so; PATH is
the file's name in the book, for the words.

Records are joined one by one, and within a record key by key; new counts, sales and loans one by one.
Two keepers who write down different fish, or different keys of one fish, never conflict. What both
changed otherwise is put between marks as git writes them, and told: choose one, take the marks out, and
git add the file. Comments of both sides are kept, and lines that nobody changed stay as they are.

Who bred in a spawn is one statement, as are the numbers of a lot, and is not put together from two. Lines
end as they do in OURS. A file that cannot be read as records is joined line by line, as git does it. Join first and look afterwards: roebook check tells what
two sound books say together that cannot be true.

Ends with status 0 where all is joined, 1 where there are conflicts.`,
		Example: `  roebook init --git
  roebook merge-books lines/candlewick.yaml lines/candlewick.yaml lines/candlewick.yaml --json`,
		Args: takes(3, 4, "three files, and the name of the file in the book"),
		RunE: func(_ *cobra.Command, args []string) error {
			name := args[1]
			if len(args) > 3 {
				name = args[3]
			}
			return mergeBooks(env, args[:3], filepath.ToSlash(name), asJSON)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer as one JSON document")
	return cmd
}

type mergedJSON struct {
	File      string         `json:"file"`
	JoinedBy  string         `json:"joined_by"` // records or lines
	Clean     bool           `json:"clean"`
	Conflicts []conflictJSON `json:"conflicts"`
}

type conflictJSON struct {
	Section *string `json:"section"`
	ID      *string `json:"id"`
	Key     *string `json:"key"`
	Why     string  `json:"why"`
}

func mergeBooks(env *environment, paths []string, name string, asJSON bool) error {
	merged, err := history.MergeFiles(env.path(paths[0]), env.path(paths[1]), env.path(paths[2]), name, env.variables())
	if err != nil {
		return usageError("%s: %s; nothing was written", name, plainError(err))
	}
	if asJSON {
		p := env.page()
		if err := p.asJSON(mergedOf(merged, name)); err != nil {
			return err
		}
		if err := env.print(&p.Buffer); err != nil {
			return err
		}
	}
	env.tellMerged(merged, name)
	if !merged.Clean() {
		return statusError(saysNo)
	}
	return nil
}

func mergedOf(m history.Merged, name string) mergedJSON {
	out := mergedJSON{File: name, JoinedBy: "records", Clean: m.Clean(), Conflicts: []conflictJSON{}}
	if m.ByText != nil {
		out.JoinedBy = "lines"
	}
	for _, c := range m.Conflicts {
		out.Conflicts = append(out.Conflicts, conflictJSON{text(c.Section), text(c.ID), text(c.Key), c.Why})
	}
	return out
}

// tellMerged says what is left to the keeper.
func (env *environment) tellMerged(m history.Merged, name string) {
	switch {
	case m.ByText != nil && m.Clean():
		env.note("%s: joined line by line, as the records could not be read (%s); look it over: roebook check", name, m.ByText)
	case m.ByText != nil:
		words := "it was joined line by line, with conflicts"
		if m.TextClean {
			words = "it was joined line by line instead, which may not be right; look it through, then git add it"
		}
		env.complain(fmt.Sprintf("the records could not be joined one by one (%s); %s", withoutName(m.ByText, name), words))
	case len(m.Conflicts) > 0:
		env.complain(fmt.Sprintf("%s in %s, between marks:", countWords(len(m.Conflicts), "conflict"), name))
		for _, c := range m.Conflicts {
			env.note("  %s", c)
		}
	}
}

func withoutName(err error, name string) string {
	if errors.Is(err, records.ErrUnproved) {
		return name + ": " + records.ErrUnproved.Error()
	}
	return err.Error()
}
