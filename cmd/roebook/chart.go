package main

import (
	"bytes"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics/forecast"
	"roebook/io/chart"
	"roebook/io/pedcsv"
)

func newChart(env *environment) *cobra.Command {
	from := source{env: env}
	ask := newChartQuestion()
	cmd := &cobra.Command{
		Use:   "chart KIND ID|LINE",
		Short: "drawings: ancestors, descent, founders, kinship, history",
		Long: `Draw a picture to look at, print or send, as SVG, PNG or PDF by the ending of the file's name.

The kinds: "ancestors" of a fish, a lot or a litter; "descent" of a line by year; "founders", whose genes
a fish or a line has; "kinship" of a line's living fish, or of those named, ordered by family; "history"
of a line, its variety and inbreeding by year; "inbreeding", by which ancestors it came to a fish.

SVG is drawn in the fonts of whoever looks at it. PNG and PDF bring their own, with the letters of Latin,
Greek, Cyrillic, Armenian, Georgian, Hebrew, Arabic, Chinese and Japanese; what they lack is told.`,
		Example: `  roebook chart ancestors TF-E1 -o e1.svg --on 2026-11-24
  roebook chart descent candlewick -o candlewick.pdf --on 2026-11-24
  roebook chart history candlewick --forward 6 -o cw.svg --on 2026-11-24
  roebook chart kinship TF-D1 TF-D2 TF-D4 TF-K1 -o four.png --on 2026-11-24`,
		Args: takes(1, -1, "a kind of drawing and an id or the name of a line"),
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, option := range []string{"pairs", "scheme"} {
				ask.forecast.stated[option] = cmd.Flags().Changed(option)
			}
			ask.kind, ask.of = args[0], args[1:]
			switch whole := from.table != "" && slices.Contains(lineKinds, ask.kind); {
			case whole && len(ask.of) == 0:
				ask.of = []string{pedcsv.LineName}
			case whole && (ask.kind == "descent" || ask.kind == "history"):
				return usageError("with --pedigree the whole table is the line: give no name")
			case len(ask.of) == 0 && slices.Contains(chartKinds, ask.kind):
				return takes(2, -1, "a kind of drawing and an id or the name of a line")(cmd, args)
			}
			return writeChart(&from, &ask)
		},
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	cmd.Flags().StringVarP(&ask.file, "output", "o", "", "the `file` to write, ending in .svg, .png or .pdf")
	cmd.Flags().IntVar(&ask.generations, "generations", 4, "with ancestors: how `many` generations back; 0 for all")
	cmd.Flags().IntVar(&ask.forward, "forward", 0, "with history: how `many` generations to play the line forward, see roebook forecast")
	ask.forecast.breeding(cmd.Flags(), "1 to "+grouped(mostPairsOfTen))
	for _, option := range []string{"pairs", "scheme"} {
		flag := cmd.Flags().Lookup(option)
		flag.Usage = "with --forward: " + flag.Usage
	}
	cmd.Flags().BoolVar(&ask.force, "force", false, "write over a file that is there already")
	return cmd
}

type chartQuestion struct {
	kind        string
	of          []string
	file        string
	generations int
	forward     int
	forecast    forecastQuestion // how the line is bred then
	force       bool
}

func newChartQuestion() chartQuestion {
	return chartQuestion{forecast: forecastQuestion{Options: forecast.Options{Groups: usualGroups}, ratio: "0.5", failed: "0", seed: usualSeed,
		stated: map[string]bool{"generations": true}}}
}

var (
	chartKinds = []string{"ancestors", "descent", "founders", "kinship", "history", "inbreeding"}
	lineKinds  = []string{"descent", "founders", "kinship", "history"}
)

type chartJSON struct {
	File    string   `json:"file"`
	Kind    string   `json:"kind"`
	Of      []string `json:"of"`
	Missing string   `json:"missing_characters"`
}

func (ask *chartQuestion) check() error {
	switch {
	case !slices.Contains(chartKinds, ask.kind):
		hint := didYouMean(ask.kind, chartKinds)
		if hint == "" {
			hint = "; there are " + all(chartKinds)
		}
		return usageError("there is no chart %q%s", ask.kind, hint)
	case len(ask.of) > 1 && ask.kind != "kinship":
		return usageError("a chart of %s is of one: %s", ask.kind, strings.Join(ask.of, ", ")+" are several")
	case ask.file == "":
		return usageError("say where to: -o FILE, ending in .svg, .png or .pdf")
	case ask.generations < 0:
		return usageError("--generations: %d is less than none; 0 stands for all", ask.generations)
	case ask.forward < 0 || ask.forward > forecast.MostGenerations:
		return usageError("--forward: a line can be played forward for 0 to %d generations, and not %d", forecast.MostGenerations, ask.forward)
	case ask.forward > 0 && ask.kind != "history":
		return usageError("--forward is for a chart of history")
	case ask.forward == 0 && (ask.forecast.stated["pairs"] || ask.forecast.stated["scheme"]):
		return usageError("--pairs and --scheme say how the line is bred from now on: give --forward too")
	case !slices.Contains([]string{".svg", ".png", ".pdf"}, ask.form()):
		return usageError("-o: %q ends in none of .svg, .png and .pdf", ask.file)
	}
	return ask.forecast.read()
}

// form is the kind of file, by its ending.
func (ask *chartQuestion) form() string { return strings.ToLower(filepath.Ext(ask.file)) }

func writeChart(from *source, ask *chartQuestion) error {
	if err := ask.check(); err != nil {
		return err
	}
	if err := from.refuseBig("charts", bookRows); err != nil {
		return err
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	drawing, err := l.drawing(ask)
	if err != nil {
		return err
	}
	if drawing == nil { // why was said
		return l.finish(from.env.page())
	}
	var file bytes.Buffer
	switch ask.form() {
	case ".svg":
		file.Write(drawing.SVG())
	case ".png":
		err = drawing.PNG(&file)
	case ".pdf":
		err = drawing.PDF(&file)
	}
	if err != nil {
		return err
	}
	own, err := l.ownFiles()
	if err != nil {
		return err
	}
	if err := save(from.env.path(ask.file), ask.file, file.Bytes(), ask.force, own); err != nil {
		return err
	}
	return reportChart(from, l, ask, drawing)
}

func reportChart(from *source, l *loaded, ask *chartQuestion, drawing *chart.Drawing) error {
	missing := ""
	if ask.form() != ".svg" {
		missing = string(drawing.Missing())
	}
	if missing != "" {
		l.env.note("the fonts of PNG and PDF lack %s: a question mark stands for each; an SVG is drawn in the fonts of whoever looks at it", missing)
	}
	p := from.env.page()
	if from.json {
		if err := p.asJSON(chartJSON{ask.file, ask.kind, ask.of, missing}); err != nil {
			return err
		}
		return l.finish(p)
	}
	p.say("%s: %s.", ask.file, drawing.Title)
	p.say("%s", drawing.Description)
	return l.finish(p)
}

// drawing makes the drawing asked for; nil where errors touch what it is of,
// which has been said.
func (l *loaded) drawing(ask *chartQuestion) (*chart.Drawing, error) {
	name, kind := ask.of[0], ask.kind
	isLine := l.whole.LineNamed(name) != nil
	either := kind == "founders" || kind == "kinship" // of a line or of fish
	switch {
	case kind == "descent", kind == "history", either && isLine && len(ask.of) == 1 && !l.known(name):
		return l.lineDrawing(ask, name)
	case l.known(name), l.tainted[name]:
	case either:
		return nil, l.unknownName(name)
	case isLine:
		return nil, usageError("%s is a line, and a chart of %s is of a fish, a lot or a spawn; of a line: descent, founders, kinship, history", name, kind)
	}
	ids, err := l.answerable(compact(ask.of))
	if err != nil || len(ids) == 0 {
		return nil, err
	}
	switch kind {
	case "kinship":
		return l.kinshipOf("Kinship of "+some(ids, 4), ids)
	case "founders":
		return chart.FoundersOf(l.state, name), nil
	case "inbreeding":
		if _, ok := chart.InbredFrom(l.book, name); !ok {
			return nil, usageError("%s is not the young of one spawn alone; ask for a spawn, or for a fish or lot of one", name)
		}
		return chart.Inbreeding(l.state, name), nil
	}
	return chart.Ancestors(l.state, name, ask.generations), nil
}

// lineDrawing makes one of a line.
func (l *loaded) lineDrawing(ask *chartQuestion, name string) (*chart.Drawing, error) {
	line, err := l.lineNamed(name)
	if err != nil {
		if l.known(name) {
			return nil, usageError("%s is no line, and a chart of %s is of a line", name, ask.kind)
		}
		return nil, err
	}
	if why := l.refusal(name); why != "" {
		l.env.complain(why)
		return nil, nil
	}
	switch ask.kind {
	case "descent":
		return chart.Descent(l.state, name), nil
	case "history":
		if ask.forward == 0 {
			return chart.History(l.state, name, nil), nil
		}
		outlook, err := l.outlook(line, ask.forecast, ask.forward)
		if err != nil {
			l.env.complain(err.Error())
			return nil, statusError(saysNo)
		}
		return chart.History(l.state, name, outlook), nil
	case "founders":
		return chart.FoundersOfLine(l.state, name), nil
	}
	var ids []string
	for _, member := range l.state.Living(name).Records {
		ids = append(ids, member.Stock.ID)
	}
	if l.fromTable {
		name = l.whole.Name
	}
	return l.kinshipOf("Kinship in "+name, ids)
}

func (l *loaded) kinshipOf(title string, ids []string) (*chart.Drawing, error) {
	if len(ids) > chart.MostKin {
		return nil, usageError("%d records are more than a map of kinship can show; name %d at most", len(ids), chart.MostKin)
	}
	return chart.Kinship(l.state, title, ids), nil
}
