package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

func newCheck(env *environment) *cobra.Command {
	from := source{env: env}
	var rules bool
	cmd := &cobra.Command{
		Use:   "check [FILE...]",
		Short: "hold the records against the rules",
		Long: `Hold the book against the rules: what cannot be true is an error (a loop of descent, a dead parent,
more fish gone than there were), what is doubtful a warning. Each is shown where it stands, with what to
do about it. Given files, the problems of these are shown; the whole book is read all the same.

Ends with status 1 where there are errors, so that it can stand before a commit.`,
		Example: `  roebook check --on 2026-11-24
  roebook check lines/candlewick.yaml --on 2026-11-24
  roebook check --rules`,
		RunE: func(_ *cobra.Command, args []string) error {
			if rules {
				return listRules(env, from.json)
			}
			return check(&from, args)
		},
	}
	from.flags(cmd)
	cmd.Flags().BoolVar(&rules, "rules", false, "list every rule and why it matters, without reading a book")
	return cmd
}

func check(from *source, files []string) error {
	on, err := from.day()
	if err != nil {
		return err
	}
	dir, err := from.folder()
	if err != nil {
		return err
	}
	book, problems, err := records.Read(dir)
	if err != nil {
		return err
	}
	problems = pedigree.SortProblems(append(problems, pedigree.Check(book, on)...))
	if len(files) > 0 {
		if problems, err = only(from.env, dir, files, problems); err != nil {
			return err
		}
	}
	p := from.env.page()
	if from.json {
		err = p.asJSON(problemsDocument(problems))
	} else {
		writeProblems(p, dir, book, problems)
	}
	if err != nil {
		return err
	}
	if err := from.env.print(&p.Buffer); err != nil {
		return err
	}
	if errors, _ := tally(problems); errors > 0 {
		return statusError(saysNo)
	}
	return nil
}

// only keeps the problems of the files given on the command line.
func only(env *environment, dir string, files []string, problems []pedigree.Problem) ([]pedigree.Problem, error) {
	wanted := make(map[string]bool)
	for _, file := range files {
		name, err := inBook(env, dir, file)
		if err != nil {
			return nil, err
		}
		wanted[name] = true
	}
	var list []pedigree.Problem
	for _, p := range problems {
		if wanted[p.File] {
			list = append(list, p)
		}
	}
	return list, nil
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

func writeProblems(p *page, dir string, book *pedigree.Book, problems []pedigree.Problem) {
	sources := make(map[string][]byte)
	for _, problem := range problems {
		text, read := sources[problem.File]
		if !read {
			text = records.Source(dir, problem.File)
			sources[problem.File] = text
		}
		_ = records.Render(p, problem, text) // a page keeps what is written to it
		p.blank()
	}
	errors, warnings := tally(problems)
	in := fmt.Sprintf("%s (%s, %s)", countWords(len(filesOf(book, problems)), "file"),
		countWords(len(book.Stock), "stock record"), countWords(len(book.Spawns), "spawn"))
	if errors+warnings == 0 {
		p.say("All is well: nothing to correct in %s.", in)
		return
	}
	p.say("%s in %s", tallyWords(errors, warnings), in)
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
}

func problemsDocument(problems []pedigree.Problem) problemsJSON {
	document := problemsJSON{Problems: []problemJSON{}}
	for _, p := range problems {
		out := problemJSON{p.File, p.Line, p.Column, p.Severity.String(), p.Rule, p.Message, p.Hint, []placeJSON{}}
		for _, place := range p.Places {
			out.Places = append(out.Places, placeJSON{place.File, place.Line, place.Column, place.Note})
		}
		document.Problems = append(document.Problems, out)
	}
	document.Errors, document.Warnings = tally(problems)
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
	for _, rule := range pedigree.Rules() {
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
