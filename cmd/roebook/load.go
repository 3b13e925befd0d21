package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/genetics/locus"
	"roebook/io/journal"
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

	verbose bool
	noCache bool
	rows    *pedigree.Table // of --pedigree, once they are read
}

// flags adds the flags that every command on a book has.
func (s *source) flags(cmd *cobra.Command) {
	s.bookFlags(cmd)
	cmd.Flags().StringVar(&s.on, "on", "", "how things stood on that `date`, as 2024-03-05 (otherwise today)")
}

// bookFlags are those of them that are about no date.
func (s *source) bookFlags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.book, "book", "", "the book's `folder` (otherwise the nearest one upwards that holds roebook.yaml)")
	cmd.Flags().BoolVar(&s.json, "json", false, "answer as one JSON document")
	cmd.Flags().BoolVar(&s.noCache, "no-cache", false, "read every file anew, without the snapshots in your cache folder")
}

// readFolder reads a book, with the snapshots of files that are as they were.
func (s *source) readFolder(dir string) (*pedigree.Book, []pedigree.Problem, error) {
	var book *pedigree.Book
	var problems []pedigree.Problem
	told, err := journal.Read(dir, s.env.holder(), lockWait, func() (err error) {
		book, problems, err = records.ReadCached(dir, s.cacheOptions())
		return err
	})
	s.env.noteAll(told)
	return book, problems, err
}

// cacheOptions says where snapshots are kept; --no-cache keeps none.
func (s *source) cacheOptions() records.Options {
	if s.noCache {
		return records.Options{}
	}
	return records.Options{CacheDir: s.env.cache, Now: s.env.now()}
}

// tableFlag adds --pedigree, for commands that can do without a book.
func (s *source) tableFlag(cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.table, "pedigree", "",
		"in place of a book, a table `file.csv` with the columns id,sire,dam and optionally sex, born, living")
	cmd.Flags().BoolVar(&s.verbose, "verbose", false, "with --pedigree: say how the inbreeding was worked out")
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
	dir := s.env.path(s.book)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return "", usageError("--book: there is no folder %s", s.book)
	}
	if _, err := os.Stat(filepath.Join(dir, records.BookFile)); errors.Is(err, fs.ErrNotExist) {
		return "", usageError("--book: %s is not a book: there is no %s in it; to begin one: roebook init %s",
			s.book, records.BookFile, shellQuoted(s.book))
	}
	return dir, nil
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
	from      *source
	whole     *pedigree.Book // all that could be read
	book      *pedigree.Book // what the errors do not touch
	state     *genetics.State
	problems  []pedigree.Problem
	tainted   map[string]bool
	fromTable bool // read from a pedigree table
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
	l := &loaded{env: s.env, from: s, fromTable: s.table != ""}
	switch {
	case s.table != "" && s.book != "":
		return nil, usageError("--book and --pedigree cannot be used together: the answer comes from one of them")
	case s.table != "":
		err = l.readTable(s)
	default:
		err = l.readBook(s)
	}
	if err != nil {
		return nil, err
	}
	return l, l.answerAsOf(on)
}

// ofVersion makes some version of the book ready for questions as of a day.
func (s *source) ofVersion(book *pedigree.Book, problems []pedigree.Problem, on pedigree.Date) (*loaded, error) {
	l := &loaded{env: s.env, from: s, whole: book, problems: problems}
	return l, l.answerAsOf(on)
}

// answerAsOf holds what was read against the rules, leaves out what errors
// touch, and works out the rest.
func (l *loaded) answerAsOf(on pedigree.Date) error {
	var ahead func() (*genetics.Model, error)
	if !l.fromTable { // a table is held against the rules as it is read
		if l.errors, _ = tally(l.problems); l.errors == 0 {
			ahead = compileAhead(l.whole)
		}
		l.problems = l.env.check(l.whole, on, l.problems)
	}
	return l.compile(on, ahead)
}

// compile leaves out what errors touch and works the rest out; where nothing is
// left out, ahead (if any) has the model of the whole book.
func (l *loaded) compile(on pedigree.Date, ahead func() (*genetics.Model, error)) error {
	l.errors, l.warnings = tally(l.problems)
	if l.leaveOut(); l.book != l.whole || ahead == nil {
		ahead = func() (*genetics.Model, error) { return genetics.Compile(l.book) }
	}
	model, err := ahead()
	if err != nil {
		return fmt.Errorf("the records cannot be worked out: %w", err)
	}
	l.state = model.On(on)
	return nil
}

// compileAhead compiles a book while it is held against the rules, and returns
// what waits for the model. A book that turns out to break them may hold
// anything; what became of it, be it a panic, is then not asked for.
func compileAhead(book *pedigree.Book) (wait func() (*genetics.Model, error)) {
	var model *genetics.Model
	var err error
	finished, done := false, make(chan struct{})
	go func() {
		defer close(done)
		defer func() { _ = recover() }()
		model, err = genetics.Compile(book)
		finished = true
	}()
	return func() (*genetics.Model, error) {
		<-done
		if !finished {
			return genetics.Compile(book) // to panic where it is seen
		}
		return model, err
	}
}

// check holds a book against the rules as of a day, and returns what was wrong
// with reading it too. Of a day that is past, what came later is no mistake.
func (env *environment) check(book *pedigree.Book, on pedigree.Date, read []pedigree.Problem) []pedigree.Problem {
	problems := pedigree.Check(book, on)
	if on < pedigree.DateOf(env.now()) {
		problems = slices.DeleteFunc(problems, func(p pedigree.Problem) bool { return p.Rule == "date-in-future" })
	}
	problems = append(problems, read...)
	ofLoci := locus.Check(book, func() *pedigree.Book {
		if tainted := pedigree.Tainted(book, problems); len(tainted) > 0 {
			return book.Without(tainted)
		}
		return book
	})
	return pedigree.SortProblems(append(problems, ofLoci...))
}

func (l *loaded) readBook(s *source) error {
	dir, err := s.folder()
	if err != nil {
		return err
	}
	l.whole, l.problems, err = s.readFolder(dir)
	return err
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

// leaveOut takes out of the book what the errors touch.
func (l *loaded) leaveOut() {
	l.book, l.tainted = l.whole, pedigree.Tainted(l.whole, l.problems)
	if len(l.tainted) > 0 {
		l.book = l.whole.Without(l.tainted)
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
		l.env.complain("the book has " + words + "; run: " + l.from.command("check"))
	case l.warnings > 0:
		l.env.note("%s; see: %s", countWords(l.warnings, "warning"), l.from.command("check"))
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
// of it that are living, or records of it may be among what could not be read.
func (l *loaded) refusal(line string) string {
	var ids []string
	for _, s := range l.whole.Stock {
		if s.Line == line && l.tainted[s.ID] && l.whole.Heads(s, l.state.Date()).Total() > 0 {
			ids = append(ids, s.ID)
		}
	}
	if len(ids) > 0 {
		return fmt.Sprintf("the line %s has no answer: errors in the book touch %s, now living in it", line, some(ids, 5))
	}
	if why := l.lost(line); why != "" {
		return fmt.Sprintf("the line %s has no answer: records of it may be missing (%s)", line, why)
	}
	return ""
}

// lost says why records of a line may be missing, "" where all could be read.
func (l *loaded) lost(line string) string {
	for _, p := range l.problems {
		if p.About(line) && p.RecordsLost {
			return fmt.Sprintf("%s:%d: %s", p.File, p.Line, p.Message)
		}
	}
	return ""
}

// headerLost says what of a line could not be read that is said of the line as a
// whole (its limit, its goal, its ages at maturity), "" where all could.
func (l *loaded) headerLost(line string) string {
	for _, p := range l.problems {
		switch {
		case !p.About(line):
		case slices.Contains(p.Lines, line):
			return fmt.Sprintf("what is said of %s as a whole, such as its limit or its ages, could not be read (%s:%d)", line, p.File, p.Line)
		default:
			return fmt.Sprintf("part of %s could not be read (line %d), and it may be about %s", p.File, p.Line, line)
		}
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
