package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/history"
	"roebook/pedigree"
)

func newHistory(env *environment) *cobra.Command {
	from := source{env: env}
	by, to := "commit", "HEAD"
	cmd := &cobra.Command{
		Use:   "history LINE",
		Short: "how a line stood at each commit of the book",
		Long: `Follow a line through the book's git history: at each commit that changed the book, or at the last
of each year, how many fish were living in it, how much of the founders' variety they held, and how
inbred they were, on the day of that commit and by what the book said then. "line NAME" tells the past
as today's book knows it; history tells what you knew at the time.

The day of a commit is the one that "git log" shows. Of a merge, the side is followed that was merged
into. Nothing is checked out, and nothing in the book or its repository is changed; the figures are
kept in your cache folder, so that the next time is quicker.`,
		Example: `  roebook history tessamora-ford
  roebook history tessamora-ford --by year
  roebook history candlewick --by year --json`,
		Args: takes(1, 1, "the name of a line"),
		RunE: func(_ *cobra.Command, args []string) error {
			if by != "commit" && by != "year" {
				return usageError("--by: %q is neither commit nor year", by)
			}
			return tellHistory(&from, args[0], by, to)
		},
	}
	from.bookFlags(cmd)
	cmd.Flags().StringVar(&by, "by", by, "`commit` or year: each commit, or the last of each year")
	cmd.Flags().StringVar(&to, "to", to, "the `revision` to end with")
	return cmd
}

// repository opens the git repository that the book stands in.
func (s *source) repository(dir string) (*history.Repository, error) {
	return history.Open(dir, s.env.variables())
}

func tellHistory(from *source, name, by, to string) error {
	dir, err := from.folder()
	if err != nil {
		return err
	}
	repo, err := from.repository(dir)
	if err != nil {
		return err
	}
	last, err := repo.Commit(to)
	if err != nil {
		return err
	}
	commits, err := repo.Commits(last)
	if err != nil {
		return err
	}
	if by == "year" {
		commits = history.LastOfYears(commits)
	}
	moments, err := repo.Series(commits, name, from.cacheOptions(), from.assess(name))
	if err != nil {
		return err
	}
	told := historyTold{line: name, by: by, moments: moments}
	if !slices.ContainsFunc(moments, func(m history.Moment) bool { return m.Known || m.Refused != "" }) {
		if err := from.lineKnown(dir, name); err != nil {
			return err
		}
	}
	if repo.Shallow {
		from.env.note("this clone was cut off when it was made: the history before %s is not in it; git fetch --unshallow brings the rest", firstDay(commits))
	}
	return from.answer(told.document(), told.write)
}

func firstDay(commits []history.Commit) string {
	if len(commits) == 0 {
		return "its first commit"
	}
	return commits[0].Date.String()
}

// lineKnown refuses a name that is no line of the book as it is now.
func (s *source) lineKnown(dir, name string) error {
	book, _, err := s.readFolder(dir)
	if err != nil {
		return err
	}
	_, err = (&loaded{env: s.env, from: s, whole: book}).lineNamed(name)
	return err
}

// assess works out the figures of a line from a version of the book.
func (s *source) assess(line string) history.Assess {
	return func(book *pedigree.Book, problems []pedigree.Problem, on pedigree.Date) history.Figures {
		if book.LineNamed(line) == nil {
			return history.Figures{}
		}
		l, err := s.ofVersion(book, problems, on)
		if err != nil {
			return history.Figures{Refused: err.Error()}
		}
		return l.figures(line)
	}
}

// figures are those of a line, with the reason where there are none.
func (l *loaded) figures(line string) history.Figures {
	if why := l.refusal(line); why != "" {
		return history.Figures{Refused: why}
	}
	return history.FiguresOf(l.state.Standing(line))
}

// historyTold puts a line's history in words.
type historyTold struct {
	line, by string
	moments  []history.Moment
}

type historyJSON struct {
	Line    string       `json:"line"`
	By      string       `json:"by"`
	History []momentJSON `json:"history"`
}

type momentJSON struct {
	Commit  string `json:"commit"`
	Date    string `json:"date"`
	Author  string `json:"author"`
	Subject string `json:"subject"`
	figuresJSON
}

type figuresJSON struct {
	Refused                  *string `json:"refused,omitempty"`
	Living                   number  `json:"living"`
	Founders                 *int    `json:"founders"`
	FounderGenomeEquivalents number  `json:"founder_genome_equivalents"`
	MeanKinship              number  `json:"mean_kinship"`
	GeneDiversity            number  `json:"gene_diversity"`
	MeanInbreeding           number  `json:"mean_inbreeding"`
}

func figuresOf(f history.Figures) figuresJSON {
	out := figuresJSON{Refused: text(f.Refused), Living: known(f.Living, f.Refused == ""),
		FounderGenomeEquivalents: known(f.FounderGenomeEquivalents, f.Known), MeanKinship: known(f.MeanKinship, f.Known),
		GeneDiversity: known(f.GeneDiversity, f.Known), MeanInbreeding: known(f.MeanInbreeding, f.Known)}
	if f.Refused == "" {
		out.Founders = &f.Founders
	}
	return out
}

func (h historyTold) document() historyJSON {
	document := historyJSON{Line: h.line, By: h.by, History: []momentJSON{}}
	for _, m := range h.moments {
		document.History = append(document.History, momentJSON{m.Hash, m.Date.String(), m.Author, m.Subject, figuresOf(m.Figures)})
	}
	return document
}

func (h historyTold) write(p *page) {
	which := "at each commit"
	if h.by == "year" {
		which = "at the last commit of each year"
	}
	p.say("%s %s, as the book stood then and on that day", h.line, which)
	p.blank()
	h.bars(p)
	var rows [][]string
	same := 0
	for i, m := range h.moments {
		if i > 0 && h.by == "commit" && m.Figures == h.moments[i-1].Figures {
			same++
			continue
		}
		row := []string{m.Date.String(), m.Short(), "", "", "", "", m.Subject}
		switch {
		case m.Refused != "":
			row[6] = "no answer: " + m.Refused
		case m.Known:
			row = []string{m.Date.String(), m.Short(), amount(m.Living), kin(m.GeneDiversity), percentCell(m.MeanInbreeding), fmt.Sprint(m.Founders), m.Subject}
		default:
			row[2] = "0"
		}
		rows = append(rows, row)
	}
	p.table([]column{{head: "day"}, {head: "commit"}, {head: "fish\nliving", right: true}, {head: "gene\ndiversity", right: true},
		{head: "mean\ninbreeding", right: true}, {head: "founders", right: true}, {head: "what the commit says", wrap: true}}, rows)
	if same > 0 {
		p.blank()
		p.say("%s that changed nothing in these figures %s left out.", countWords(same, "commit"), either(isAre(same)))
	}
}

func isAre(n int) []string {
	if n == 1 {
		return []string{"is"}
	}
	return []string{"are"}
}

// bars draws the gene diversity from the first commit to the last as one line
// of bars.
func (h historyTold) bars(p *page) {
	var values []float64
	for _, m := range h.moments {
		if m.Known {
			values = append(values, m.GeneDiversity)
		}
	}
	if len(values) < 2 {
		return
	}
	least, most := slices.Min(values), slices.Max(values)
	p.field("gene diversity", "%s", bars(values, p.width-2-labelWidth))
	p.field("", "from %s on the left to %s; lowest %s, highest %s", kin(values[0]), kin(values[len(values)-1]), kin(least), kin(most))
	p.blank()
}

// heights are the marks of a line of bars, from the least value to the greatest.
var heights = []rune("▁▂▃▄▅▆▇█")

// bars draws values as bars, the least lowest; where there are more values than
// columns each column shows the last of its share.
func bars(values []float64, columns int) string {
	least, most := slices.Min(values), slices.Max(values)
	columns = min(columns, len(values))
	var out strings.Builder
	for i := range columns {
		v := values[(i+1)*len(values)/columns-1]
		height := len(heights) / 2
		if most-least > 1e-12 {
			height = min(int((v-least)/(most-least)*float64(len(heights))), len(heights)-1)
		}
		out.WriteRune(heights[height])
	}
	return out.String()
}
