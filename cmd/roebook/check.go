package main

import (
	"bytes"
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics/locus"
	"roebook/io/records"
	"roebook/pedigree"
)

func newCheck(env *environment) *cobra.Command {
	from := source{env: env}
	var rules bool
	against := ""
	cmd := &cobra.Command{
		Use:   "check [FILE...]",
		Short: "hold the records against the rules",
		Long: `Hold the book against the rules: what cannot be true is an error (a loop of descent, a dead parent,
more fish gone than there were), what is doubtful a warning. Each is shown where it stands, with what to
do about it. Given files, the problems of these are shown; the whole book is read all the same.

With --against, after a pull say, only what is wrong now and was not in that commit is shown, and which
records say otherwise than they did who a fish is, whose young, or when. Both are held against the rules
as of one day, so that what is new is new in the text.

Ends with status 1 where there are errors, shown or there before, so that it can stand before a commit.`,
		Example: `  roebook check --on 2026-11-24
  roebook check --against HEAD~1 --on 2026-11-24
  roebook check lines/candlewick.yaml --on 2026-11-24
  roebook check --rules`,
		RunE: func(_ *cobra.Command, args []string) error {
			if rules {
				return listRules(env, from.json)
			}
			if against != "" {
				return checkAgainst(&from, args, against)
			}
			return check(&from, args)
		},
	}
	from.flags(cmd)
	cmd.Flags().StringVar(&against, "against", "", "only what was not so in the commit that this `revision` names")
	cmd.Flags().BoolVar(&rules, "rules", false, "list every rule and why it matters, without reading a book")
	return cmd
}

func check(from *source, files []string) error {
	report, _, err := from.readChecked()
	if err != nil {
		return err
	}
	if len(files) > 0 {
		if err = report.only(from.env, files); err != nil {
			return err
		}
	}
	if err := from.answer(report.document(), report.write); err != nil {
		return err
	}
	return report.status()
}

// readChecked reads the book and holds it against the rules as of the day asked
// for.
func (s *source) readChecked() (c checked, on pedigree.Date, err error) {
	if on, err = s.day(); err != nil {
		return c, on, err
	}
	if c.dir, err = s.folder(); err != nil {
		return c, on, err
	}
	if c.book, c.problems, err = s.readFolder(c.dir); err != nil {
		return c, on, err
	}
	c.problems = s.env.check(c.book, on, c.problems)
	return c, on, nil
}

// status is what the command ends with.
func (c *checked) status() error {
	if errors, _ := tally(c.problems); errors > 0 {
		return statusError(saysNo)
	}
	return nil
}

// checked is what a check found.
type checked struct {
	book      *pedigree.Book
	dir       string
	problems  []pedigree.Problem
	files     []string // asked for; none: all of the book
	elsewhere []pedigree.Problem
}

// only parts the problems of the files given on the command line from others.
func (c *checked) only(env *environment, files []string) error {
	for _, file := range files {
		name, err := inBook(env, c.dir, file)
		if err != nil {
			return err
		}
		c.files = append(c.files, name)
	}
	c.files = compact(c.files)
	found := c.problems
	c.problems = nil
	for _, p := range found {
		if slices.Contains(c.files, p.File) {
			c.problems = append(c.problems, p)
		} else {
			c.elsewhere = append(c.elsewhere, p)
		}
	}
	return nil
}

// inBook returns the name that a file has in the book: a path from the working
// folder, or from the book's.
func inBook(env *environment, dir, file string) (string, error) {
	for _, at := range []string{env.path(file), filepath.Join(dir, file)} {
		name, err := filepath.Rel(dir, at)
		if err == nil && filepath.IsLocal(name) && records.Source(dir, filepath.ToSlash(name)) != nil {
			return filepath.ToSlash(name), nil
		}
	}
	return "", usageError("%s is not a file of the book in %s", file, dir)
}

// writeProblems shows each problem where it stands.
func (c *checked) writeProblems(p *page) {
	var source *records.Lines
	for i, problem := range c.problems {
		if i == 0 || c.problems[i-1].File != problem.File {
			source = records.IndexLines(records.Source(c.dir, problem.File))
		}
		writeProblem(p, problem, source)
		p.blank()
	}
}

func (c *checked) write(p *page) {
	c.writeProblems(p)
	errors, warnings := tally(c.problems)
	in := fmt.Sprintf("%s (%s, %s)", countWords(len(filesOf(c.book, c.problems)), "file"),
		countWords(len(c.book.Stock), "stock record"), countWords(len(c.book.Spawns), "spawn"))
	if len(c.files) > 0 {
		in = some(c.files, 6) + c.elsewhereWords()
	}
	switch {
	case errors+warnings > 0:
		p.say("%s in %s", tallyWords(errors, warnings), in)
	case len(c.files) > 0:
		p.say("Nothing to correct in %s.", in)
	default:
		p.say("All is well: nothing to correct in %s.", in)
	}
}

// elsewhereWords says what problems the other files of the book have.
func (c *checked) elsewhereWords() string {
	var parts []string
	errors, warnings := tally(c.elsewhere)
	if errors > 0 {
		parts = append(parts, countWords(errors, "error"))
	}
	if warnings > 0 {
		parts = append(parts, countWords(warnings, "warning"))
	}
	if len(parts) == 0 {
		return ""
	}
	return "; " + all(parts) + " elsewhere in the book"
}

// writeProblem puts a problem on the page with its words wrapped; the line of
// the source with its mark stays as it is.
func writeProblem(p *page, problem pedigree.Problem, source *records.Lines) {
	var rendered bytes.Buffer
	_ = source.Render(&rendered, problem) // a buffer keeps what is written to it
	for i, line := range strings.Split(strings.TrimRight(rendered.String(), "\n"), "\n") {
		if i > 0 && strings.HasPrefix(line, "    ") {
			p.asIs(0, line)
			continue
		}
		indent := len(line) - len(strings.TrimLeft(line, " "))
		for j, part := range wrap(line, p.width-indent-4) {
			more := 0
			if j > 0 {
				more = 4
			}
			p.asIs(indent+more, part)
		}
	}
}

// filesOf lists the files that the book's records stand in.
func filesOf(book *pedigree.Book, problems []pedigree.Problem) map[string]bool {
	files := map[string]bool{records.BookFile: true}
	for _, line := range book.Lines {
		files[line.Where.File] = true
	}
	for _, s := range book.Stock {
		files[s.Where.File] = true
	}
	for _, s := range book.Spawns {
		files[s.Where.File] = true
	}
	for _, p := range problems {
		files[p.File] = true
	}
	return files
}

type problemJSON struct {
	File     string      `json:"file"`
	Line     int         `json:"line"`
	Column   int         `json:"column"`
	Severity string      `json:"severity"`
	Rule     string      `json:"rule"`
	Message  string      `json:"message"`
	Hint     string      `json:"hint"`
	Places   []placeJSON `json:"places"`
}

type placeJSON struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Note   string `json:"note"`
}

type problemsJSON struct {
	Problems []problemJSON `json:"problems"`
	Errors   int           `json:"errors"`
	Warnings int           `json:"warnings"`
	// Of the other files, where some were asked for.
	Elsewhere *elsewhereJSON `json:"elsewhere,omitempty"`
}

type elsewhereJSON struct {
	Errors   int `json:"errors"`
	Warnings int `json:"warnings"`
}

func (c *checked) document() problemsJSON {
	document := problemsJSON{Problems: []problemJSON{}}
	for _, p := range c.problems {
		document.Problems = append(document.Problems, problemOf(p))
	}
	document.Errors, document.Warnings = tally(c.problems)
	if len(c.files) > 0 {
		errors, warnings := tally(c.elsewhere)
		document.Elsewhere = &elsewhereJSON{errors, warnings}
	}
	return document
}

type ruleJSON struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Meaning  string `json:"meaning"`
}

func listRules(env *environment, asJSON bool) error {
	list := []ruleJSON{}
	var rows [][]string
	rules := slices.Concat(records.Rules(), pedigree.Rules(), locus.Rules())
	slices.SortStableFunc(rules, func(a, b pedigree.Rule) int { return cmp.Compare(a.Name, b.Name) })
	for _, rule := range rules {
		list = append(list, ruleJSON{rule.Name, rule.Severity.String(), rule.Meaning})
		rows = append(rows, []string{rule.Name, rule.Severity.String(), rule.Meaning})
	}
	p := env.page()
	if asJSON {
		if err := p.asJSON(map[string][]ruleJSON{"rules": list}); err != nil {
			return err
		}
	} else {
		p.table([]column{{head: "rule"}, {head: "kind"}, {head: "why it matters", wrap: true}}, rows)
	}
	return env.print(&p.Buffer)
}
