package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"time"

	"roebook/genetics"
	"roebook/io/pedcsv"
	"roebook/pedigree"
)

const (
	// bookRows is up to how many rows a table is held as a book, for all that can
	// be said of it in words; above, only the numbers are worked out.
	bookRows = 20_000
	// mostPairedRows is up to how many rows pairs can be ranked, or kinships split.
	mostPairedRows = 100_000
)

// bigTable answers from a table by numbers alone.
type bigTable struct {
	env   *environment
	table *pedigree.Table
	model *genetics.TableModel
	on    pedigree.Date
	state *genetics.TableState // on that date, once a question needs it
}

// readRows reads the rows of --pedigree and tells all that is wrong with them.
func (s *source) readRows() error {
	if s.rows != nil {
		return nil
	}
	if s.book != "" {
		return usageError("--book and --pedigree cannot be used together: the answer comes from one of them")
	}
	file, err := openTable(s.env.path(s.table), s.table)
	if err != nil {
		return err
	}
	defer file.Close()
	table, problems := pedcsv.ReadTable(tableReader(file), s.table)
	if err := s.env.tellTable(problems); err != nil {
		return err
	}
	s.rows = table
	return nil
}

// tableReader lets a file be read as one, of known size and with room for its
// table, and a pipe up to the limit.
func tableReader(file *os.File) io.Reader {
	if info, err := file.Stat(); err == nil && info.Mode().IsRegular() {
		pedcsv.MakeRoom(info.Size())
		return file
	}
	return &limited{file, maxTable}
}

// big works out a table, where it is one that is answered by numbers alone;
// nil for a book and for a smaller table, unless always is set.
func (s *source) big(always bool) (*bigTable, error) {
	if s.table == "" {
		return nil, nil
	}
	on, err := s.day()
	if err != nil {
		return nil, err
	}
	if err := s.readRows(); err != nil {
		return nil, err
	}
	if !always && s.rows.Len() <= bookRows {
		return nil, nil
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	bar := s.env.gauge("inbreeding")
	model, err := genetics.CompileTable(ctx, s.rows, genetics.TableOptions{Progress: bar.show})
	bar.clear()
	if err != nil {
		return nil, stopped(err)
	}
	if s.verbose {
		s.env.note("%d fish: %s", s.rows.Len(), model.Plan())
	}
	return &bigTable{env: s.env, table: s.rows, model: model, on: on}, nil
}

// orElse returns the error, or what the answer returns where there is none.
func orElse(err error, answer func() error) error {
	if err != nil {
		return err
	}
	return answer()
}

// stopped says in words that the keeper ended the work.
func stopped(err error) error {
	if errors.Is(err, context.Canceled) {
		return usageError("stopped before the end; there is no answer")
	}
	return err
}

// refuseBig refuses what would take a table of this size too long.
func (s *source) refuseBig(what string, most int) error {
	if s.table == "" {
		return nil
	}
	if err := s.readRows(); err != nil {
		return err
	}
	if s.rows.Len() > most {
		s.env.complain(fmt.Sprintf("%s are worked out for tables of up to %d fish, and this one has %d: take a part of it", what, most, s.rows.Len()))
		return statusError(saysNo)
	}
	return nil
}

// gauge shows on a terminal how far a long work is.
type gauge struct {
	env   *environment
	what  string
	next  time.Time
	shown bool
}

func (env *environment) gauge(what string) *gauge {
	return &gauge{env: env, what: what, next: env.now().Add(time.Second / 2)}
}

func (b *gauge) show(done, total int) {
	if !b.env.terminal || total == 0 || b.env.now().Before(b.next) {
		return
	}
	b.next = b.env.now().Add(time.Second / 10)
	b.shown = true
	const width = 40
	full := width * done / total
	fmt.Fprintf(b.env.err, "\r%s [%-*s] %3d %%", b.what, width, string(slices.Repeat([]byte{'='}, full)), 100*done/total)
}

func (b *gauge) clear() {
	if b.shown {
		fmt.Fprintf(b.env.err, "\r%*s\r", len(b.what)+50, "")
	}
}

// places returns the rows of the ids; an unknown one is a usage error.
func (b *bigTable) places(ids []string) ([]int, error) {
	rows := b.table.Rows(ids...)
	for i, row := range rows {
		if row < 0 {
			return nil, usageError("no fish of the table is called %s", ids[i])
		}
	}
	return rows, nil
}

func (b *bigTable) inbreeding(asJSON, asCSV bool) error {
	f := b.model.Inbreeding()
	if asCSV {
		return pedcsv.WriteInbreeding(b.env.out, b.table, f)
	}
	p := b.env.page()
	if asJSON {
		list := make([]inbreedingJSON, len(f))
		for i := range f {
			list[i] = inbreedingJSON{b.table.IDs[i], &f[i]}
		}
		if err := p.asJSON(map[string][]inbreedingJSON{"inbreeding": list}); err != nil {
			return err
		}
		return b.env.print(&p.Buffer)
	}
	order := make([]int, len(f))
	sum := 0.0
	for i := range f {
		order[i] = i
		sum += f[i]
	}
	slices.SortStableFunc(order, func(a, b int) int { return compareDown(f[a], f[b]) })
	const most = 20
	var rows [][]string
	for _, i := range order[:min(most, len(order))] {
		rows = append(rows, []string{b.table.IDs[i], percentCell(f[i]), genetics.Relation(f[i])})
	}
	p.say("%d fish; %s inbred on average. The most inbred:", len(f), percent(sum/float64(max(len(f), 1))))
	p.blank()
	p.table([]column{{head: "fish"}, {head: "inbreeding", right: true}, {head: "its parents are", wrap: true}}, rows)
	p.say("--csv writes all of them.")
	return b.env.print(&p.Buffer)
}

func compareDown(a, b float64) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}

func (b *bigTable) kinship(ids []string, asJSON bool) error {
	places, err := b.places(ids)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	matrix, err := b.model.Kinship(ctx, places)
	if err != nil {
		return stopped(err)
	}
	document := kinshipJSON{IDs: ids, Kinship: make([][]number, len(ids))}
	columns, rows := []column{{head: ""}}, make([][]string, len(ids))
	for i := range ids {
		columns = append(columns, column{head: ids[i], right: true})
		rows[i] = []string{ids[i]}
		for j := range ids {
			document.Kinship[i] = append(document.Kinship[i], &matrix[i][j])
			rows[i] = append(rows[i], kin(matrix[i][j]))
		}
	}
	p := b.env.page()
	if asJSON {
		if err := p.asJSON(document); err != nil {
			return err
		}
		return b.env.print(&p.Buffer)
	}
	p.table(columns, rows)
	return b.env.print(&p.Buffer)
}

func (b *bigTable) line(asJSON bool) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	b.state = b.model.On(b.on)
	bar := b.env.gauge("line")
	report, living, err := b.state.Line(ctx, bar.show)
	bar.clear()
	if err != nil {
		return stopped(err)
	}
	p := b.env.page()
	if asJSON {
		document := lineJSON{Line: pedcsv.LineName, FounderShare: []shareJSON{}, History: []yearJSON{}}
		document.fill(report, living)
		if err := p.asJSON(document); err != nil {
			return err
		}
		return b.env.print(&p.Buffer)
	}
	p.say("The pedigree as of %s", b.state.Date())
	p.blank()
	if !living {
		p.say("No fish of it is living on that day, so there is nothing to work out.")
		return b.env.print(&p.Buffer)
	}
	p.field("living", "%s", count(report.Living, "fish"))
	p.field("gene diversity", "%s: the share of the founders' variety that the living fish still hold", kin(report.GeneDiversity))
	p.field("mean kinship", "%s, over every two of them and each with itself", kin(report.MeanKinship))
	p.field("inbreeding", "%s on average", percent(report.MeanInbreeding))
	p.field("founders", "%s with a share; the greatest %s, of %s", countWords(report.Founders, "founder"),
		percent(report.FounderShare[0].Share), report.FounderShare[0].ID)
	w := lineWriter{loaded: &loaded{env: b.env, fromTable: true}, page: p, report: report}
	w.sizes()
	w.history()
	return b.env.print(&p.Buffer)
}

func (b *bigTable) show(ids []string, asJSON bool) error {
	places, err := b.places(ids)
	if err != nil {
		return err
	}
	b.state = b.model.On(b.on)
	kinships, ofAll := b.state.MeanKinships()
	p := b.env.page()
	cards := make([]card, len(ids))
	for i, row := range places {
		cards[i] = b.card(row)
		if b.state.Living() > 0 {
			cards[i].MeanKinship = &kinships[row]
		}
		if !asJSON {
			b.write(p, &cards[i], ofAll)
		}
	}
	if asJSON {
		if err := p.asJSON(cards); err != nil {
			return err
		}
	}
	return b.env.print(&p.Buffer)
}

func (b *bigTable) card(row int) card {
	s, f := b.state, b.state.Inbreeding(row)
	heads := 0.0
	if b.table.LivingOn(row, s.Date()) {
		heads = 1
	}
	ancestry := s.Ancestry(row)
	c := card{
		ID: b.table.IDs[row], Kind: "fish", Line: pedcsv.LineName, Sex: text(b.table.Sex[row].String()), Count: &heads,
		Inbreeding: &f, SelfKinship: known((1+f)/2, true), Generation: generationOf(s.Generation(row), true),
		EquivalentGenerations: known(s.EquivalentGenerations(row), true),
		RecordedAncestry:      known(ancestry.Wild+ancestry.Bought, true),
		Ancestry:              &ancestryJSON{ancestry.Wild, ancestry.Bought, ancestry.Unknown},
		Founders:              sharesOf(s.Founders(row)),
	}
	return c
}

func (b *bigTable) write(p *page, c *card, ofAll float64) {
	p.blank()
	p.say("%s: one fish, %s", c.ID, *c.Sex)
	p.field("inbreeding", "%s: its parents are %s", percent(*c.Inbreeding), genetics.Relation(*c.Inbreeding))
	p.field("generation", "%s from the founders", c.Generation.Label)
	p.field("known depth", "%s equivalent generations", fixed(*c.EquivalentGenerations, 2))
	if c.MeanKinship != nil {
		p.field("mean kinship", "%s with the living (%s among themselves)", kin(*c.MeanKinship), kin(ofAll))
	}
	p.field("founders", "%d with a share in it; %s of its ancestry is recorded", len(c.Founders), percent(*c.RecordedAncestry))
}
