package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/io/pedcsv"
	"roebook/io/records"
	"roebook/pedigree"
)

// source is where the records of an answer come from, as given by flags.
type source struct {
	env   *environment
	book  string
	table string
	on    string
	json  bool
}

// flags adds the flags that every command on a book has.
func (s *source) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.book, "book", "", "the book's `folder` (otherwise the nearest one upwards that holds roebook.yaml)")
	cmd.Flags().StringVar(&s.on, "on", "", "how things stood on that `date`, as 2024-03-05 (otherwise today)")
	cmd.Flags().BoolVar(&s.json, "json", false, "answer as one JSON document")
}

// tableFlag adds --pedigree, for commands that can do without a book.
func (s *source) tableFlag(cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.table, "pedigree", "",
		"in place of a book, a table `file.csv` with the columns id,sire,dam and optionally sex, born, living")
}

// day returns the date of the question.
func (s *source) day() (pedigree.Date, error) {
	if s.on == "" {
		return pedigree.DateOf(s.env.now()), nil
	}
	date, err := pedigree.ParseDate(s.on)
	if err != nil {
		return 0, usageError("--on: %s", err)
	}
	return pedigree.DateOf(date.Time()), nil
}

// folder returns the folder of the book.
func (s *source) folder() (string, error) {
	if s.book == "" {
		return records.Find(s.env.dir)
	}
	return s.env.path(s.book), nil
}

// path makes a path given on the command line one that can be opened.
func (env *environment) path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(env.dir, name)
}

// loaded is a book ready for questions.
type loaded struct {
	env       *environment
	whole     *pedigree.Book // all that could be read
	book      *pedigree.Book // what the errors do not touch
	state     *genetics.State
	problems  []pedigree.Problem
	tainted   map[string]bool
	lost      map[string]bool // lines with records that could not be read
	fromTable bool            // read from a pedigree table
	errors    int
	warnings  int
}

// load reads the book or the table, holds it against the rules, and leaves out
// what errors touch.
func (s *source) load() (*loaded, error) {
	on, err := s.day()
	if err != nil {
		return nil, err
	}
	l := &loaded{env: s.env, fromTable: s.table != ""}
	switch {
	case s.table != "" && s.book != "":
		return nil, usageError("--book and --pedigree cannot be used together: the answer comes from one of them")
	case s.table != "":
		err = l.readTable(s.env.path(s.table), s.table)
	default:
		err = l.readBook(s)
	}
	if err != nil {
		return nil, err
	}
	l.problems = pedigree.SortProblems(append(l.problems, pedigree.Check(l.whole, max(on, pedigree.DateOf(s.env.now())))...))
	l.errors, l.warnings = tally(l.problems)
	l.leaveOut()
	model, err := genetics.Compile(l.book)
	if err != nil {
		return nil, fmt.Errorf("the book cannot be worked out: %w; run: roebook check", err)
	}
	l.state = model.On(on)
	return l, nil
}

func (l *loaded) readBook(s *source) error {
	dir, err := s.folder()
	if err != nil {
		return err
	}
	l.whole, l.problems, err = records.Read(dir)
	return err
}

// readTable reads a pedigree table. A table with mistakes is not answered from:
// which rows they touch is not known.
func (l *loaded) readTable(path, name string) error {
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("the table cannot be read: %w", err)
	}
	defer file.Close()
	book, problems := pedcsv.Read(file, name)
	l.whole = book
	if len(problems) == 0 {
		return nil
	}
	status := statusError(saysNo)
	for _, p := range problems {
		l.env.note("%s", p.String())
		if p.Hint != "" {
			l.env.note("    %s", p.Hint)
		}
		if strings.HasPrefix(p.Rule, "table-") {
			status = badUsage
		}
	}
	return status
}

func tally(problems []pedigree.Problem) (errors, warnings int) {
	for _, p := range problems {
		if p.Severity == pedigree.Error {
			errors++
		} else {
			warnings++
		}
	}
	return errors, warnings
}

// leaveOut takes out of the book what the errors touch, and marks the lines of
// records that could not be read at all.
func (l *loaded) leaveOut() {
	l.book, l.lost = l.whole, map[string]bool{}
	l.tainted = pedigree.Tainted(l.whole, l.problems)
	for _, p := range l.problems {
		if p.Severity != pedigree.Error {
			continue
		}
		if len(p.Records) == 0 && unread[p.Rule] {
			l.lose(p.File)
		}
		for _, id := range p.Records {
			if l.whole.StockByID(id) == nil && l.whole.SpawnByID(id) == nil {
				l.tainted[id] = true
				l.lose(p.File)
			}
		}
	}
	if len(l.tainted) > 0 {
		l.book = l.whole.Without(l.tainted)
	}
}

// unread are the rules of text that could not be read, in which records may
// have stood.
var unread = map[string]bool{"yaml": true, "file-size": true, "nesting": true, "file-encoding": true,
	"control-character": true, "unreadable-file": true}

// lose marks the lines that a file has records of; all lines where it is not
// known which.
func (l *loaded) lose(file string) {
	n := len(l.lost)
	defer func() {
		if len(l.lost) == n {
			for _, line := range l.whole.Lines {
				l.lost[line.Name] = true
			}
		}
	}()
	for _, line := range l.whole.Lines {
		if line.Where.File == file {
			l.lost[line.Name] = true
		}
	}
	for _, s := range l.whole.Stock {
		if s.Where.File == file {
			l.lost[s.Line] = true
		}
	}
}

// remark says on the error stream how many problems the book has.
func (l *loaded) remark() {
	switch {
	case l.errors > 0:
		words := countWords(l.errors, "error")
		if l.warnings > 0 {
			words += " and " + countWords(l.warnings, "warning")
		}
		l.env.complain("the book has " + words + "; run: roebook check")
	case l.warnings > 0 && !l.fromTable:
		l.env.note("%s; see: roebook check", countWords(l.warnings, "warning"))
	}
}

func tallyWords(errors, warnings int) string {
	return countWords(errors, "error") + ", " + countWords(warnings, "warning")
}

// finish prints an answer and returns what the command ends with.
func (l *loaded) finish(answer *page) error {
	if err := l.env.print(&answer.Buffer); err != nil {
		return err
	}
	l.remark()
	if l.errors > 0 {
		return statusError(saysNo)
	}
	return nil
}

// refusal says why a line has no answer, "" where it has one: errors touch fish
// of it that are living.
func (l *loaded) refusal(line string) string {
	var ids []string
	for _, s := range l.whole.Stock {
		if s.Line == line && l.tainted[s.ID] && l.whole.Heads(s, l.state.Date()).Total() > 0 {
			ids = append(ids, s.ID)
		}
	}
	switch {
	case len(ids) > 0:
		return fmt.Sprintf("the line %s has no answer: errors in the book touch %s, now living in it", line, some(ids, 5))
	case l.lost[line]:
		return fmt.Sprintf("the line %s has no answer: records in its files could not be read", line)
	}
	return ""
}

// some lists the first few words: "a, b, c and 4 more".
func some(list []string, most int) string {
	if len(list) <= most+1 {
		return all(list)
	}
	return strings.Join(list[:most], ", ") + fmt.Sprintf(" and %d more", len(list)-most)
}
