package main

import (
	"errors"
	"fmt"
	"os"
	"os/user"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"roebook/io/journal"
	"roebook/io/records"
	"roebook/pedigree"
)

// lockWait is how long a command waits for another that writes the book.
const lockWait = 10 * time.Second

// holder says who is writing, for others who want to.
func (env *environment) holder() journal.Holder {
	h := journal.Holder{PID: os.Getpid(), Since: env.now(), Host: "this computer", User: "somebody"}
	if name, err := os.Hostname(); err == nil {
		h.Host = name
	}
	if who, err := user.Current(); err == nil {
		h.User = who.Username
	}
	return h
}

// noteAll says what was found half done.
func (env *environment) noteAll(told []string) {
	for _, words := range told {
		env.note("%s", words)
	}
}

// recorder is a command that writes into the book.
type recorder struct {
	source
	date   string
	dryRun bool
}

func newRecorder(env *environment) *recorder { return &recorder{source: source{env: env}} }

// flags adds the flags that every command has that writes; dated: also the day.
func (r *recorder) flags(cmd *cobra.Command, dated bool) {
	flags := cmd.Flags()
	flags.StringVar(&r.book, "book", "", "the book's `folder` (otherwise the nearest one upwards that holds roebook.yaml)")
	if dated {
		flags.StringVar(&r.date, "date", "today", "the `day` it happened: today, yesterday, or as 2024-03-05")
		r.offerFor(cmd, "date", func(*completer) []string { return []string{"today", "yesterday"} })
	}
	flags.BoolVar(&r.dryRun, "dry-run", false, "show what would be written, and write nothing")
	flags.BoolVar(&r.json, "json", false, "answer as one JSON document")
	flags.BoolVar(&r.noCache, "no-cache", false, "read every file anew, without the snapshots in your cache folder")
}

func (r *recorder) today() pedigree.Date { return pedigree.DateOf(r.env.now()) }

// on reads a day as it is given on the command line.
func (r *recorder) on(flag, text string) (pedigree.Date, error) {
	switch text {
	case "today":
		return r.today(), nil
	case "yesterday":
		return r.today().AddDays(-1), nil
	}
	date, err := pedigree.ParseDate(text)
	if err != nil {
		return 0, usageError("--%s: %s", flag, err)
	}
	return date, nil
}

// day is the day on which it happened, which has come.
func (r *recorder) day() (pedigree.Date, error) {
	on, err := r.on("date", r.date)
	if err == nil && on > r.today() {
		err = usageError("--date: %s has not come yet", on)
	}
	return on, err
}

// deed is what a command is to write.
type deed struct {
	id    string // of the record that it is about
	words string // what is done, as a sentence without its full stop
	edits []records.Edit
	// mean adds to what the change means, in words and numbers.
	mean func(m *meaning)
	// became is the new id of a record that is renamed.
	became string
}

// run makes a plan for the book as it is, and writes it: all of it, or nothing
// where a rule is broken by it that was not before. A file that was changed by
// another hand while the plan was made is read again, and the plan made anew.
func (r *recorder) run(make func(book *pedigree.Book) (*deed, error)) error {
	if r.dryRun {
		return r.peek(make)
	}
	return r.locked(func(j *journal.Journal, dir string) error {
		for tries := 1; ; tries++ {
			draft, err := records.ReadDraft(dir, r.cacheOptions())
			if err != nil {
				return err
			}
			answer, err := r.prepare(draft, make)
			if err != nil {
				return err
			}
			if len(answer.changed) == 0 {
				return answer.print()
			}
			entry := journal.Entry{Words: answer.deed.words, ID: answer.deed.id, At: r.env.now()}
			for _, c := range answer.changed {
				entry.Changes = append(entry.Changes, journal.Change{Path: c.Path, Old: c.Old, New: c.New})
			}
			err = j.Commit(entry)
			switch {
			case err == nil:
				return shown(answer.print())
			case !errors.Is(err, journal.ErrChanged) || tries == 5:
				return err
			}
		}
	})
}

// shown says of an answer that could not be printed that its change is made all
// the same: who tries again would make it twice.
func shown(err error) error {
	var status statusError
	if err == nil || errors.As(err, &status) {
		return err
	}
	return fmt.Errorf("it is written in the book, but the answer could not be shown: %w", err)
}

// locked does something while no other program can write the book.
func (r *recorder) locked(do func(j *journal.Journal, dir string) error) error {
	dir, err := r.folder()
	if err != nil {
		return err
	}
	j, err := journal.Open(dir, r.env.holder(), lockWait)
	if err != nil {
		return err
	}
	r.env.noteAll(j.Told)
	return errors.Join(do(j, dir), j.Close())
}

// read reads the text of the book for a command that will not write.
func (r *recorder) read() (draft *records.Draft, dir string, err error) {
	if dir, err = r.folder(); err != nil {
		return nil, "", err
	}
	told, err := journal.Read(dir, r.env.holder(), lockWait, func() (err error) {
		draft, err = records.ReadDraft(dir, r.cacheOptions())
		return err
	})
	r.env.noteAll(told)
	return draft, dir, err
}

// peek shows what would be written.
func (r *recorder) peek(make func(book *pedigree.Book) (*deed, error)) error {
	draft, _, err := r.read()
	if err != nil {
		return err
	}
	answer, err := r.prepare(draft, make)
	if err != nil {
		return err
	}
	return answer.print()
}

// prepare makes a plan, the text that it gives and what that means. Where the
// book cannot hold it, it says so.
func (r *recorder) prepare(draft *records.Draft, make func(book *pedigree.Book) (*deed, error)) (*recorded, error) {
	hidden := hiddenRecord(draft)
	d, err := make(draft.Book)
	if err == nil {
		err = newIDs(d.edits, hidden)
	}
	if err != nil && hidden != nil {
		return nil, fmt.Errorf("%w\n%s:%d could not be read, and a record stands there: mend that first; see: %s",
			err, hidden.File, hidden.Line, r.command("check"))
	}
	if err != nil {
		return nil, err
	}
	after, changed, err := draft.Edit(d.edits...)
	if err != nil {
		return nil, usageError("%s; nothing was written", err)
	}
	answer := &recorded{recorder: r, deed: d, changed: changed, after: after}
	old := r.env.check(draft.Book, r.today(), draft.Problems)
	problems := r.env.check(after.Book, r.today(), after.Problems)
	answer.fresh = freshProblems(old, problems, d)
	if count, _ := tally(answer.fresh); count > 0 {
		return nil, answer.refuse()
	}
	if answer.meaning, err = r.meaning(d, draft.Book, old, after.Book, problems); err != nil {
		return nil, err
	}
	if d.became != "" {
		answer.meaning.words = append(answer.meaning.words, mentions(after, d.id)...)
	}
	return answer, nil
}

// mentions says where an id that is no more still stands, in remarks and comments.
func mentions(draft *records.Draft, id string) []string {
	var places []string
	for _, at := range draft.Mentions(id) {
		places = append(places, at.File+":"+strconv.Itoa(at.Line))
	}
	if len(places) == 0 {
		return nil
	}
	return []string{"Remarks and comments that still say " + id + ": " + some(places, 6) + "."}
}

// freshProblems are those that were not there before, wherever they stand, and
// with whatever numbers in their words: an error of the same rule about the same
// records is no new one.
func freshProblems(before, after []pedigree.Problem, p *deed) []pedigree.Problem {
	key := func(problem pedigree.Problem) string {
		text := problem.Rule + " " + problem.Message
		if problem.Severity == pedigree.Error && len(problem.Records) > 0 {
			text = problem.Rule + " " + strings.Join(problem.Records, " ")
		}
		if p.became != "" {
			text = strings.ReplaceAll(text, p.became, p.id)
		}
		return text
	}
	seen := map[string]int{}
	for _, problem := range before {
		seen[key(problem)]++
	}
	return slices.DeleteFunc(slices.Clone(after), func(problem pedigree.Problem) bool {
		seen[key(problem)]--
		return seen[key(problem)] >= 0
	})
}
