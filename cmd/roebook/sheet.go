package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/io/sheet"
	"roebook/pedigree"
)

func newSheet(env *environment) *cobra.Command {
	from := source{env: env}
	ask := sheetQuestion{}
	cmd := &cobra.Command{
		Use:   "sheet [SPAWN...]",
		Short: "litter sheets to print or to fill in",
		Long: `Write a workbook (xlsx) with a sheet for each spawn: the parents, what to expect of the young, and room
for the counts. It takes the spawns named, and the pairs given with --pair as proposals; with neither,
all planned spawns and those of the last twelve months.`,
		Example: `  roebook sheet --line tessamora-ford -o litters.xlsx --on 2026-11-24
  roebook sheet GD-S13 TF-S18 --paper letter -o two.xlsx --on 2026-11-24
  roebook sheet --pair TF-D1,TF-K1 -o proposal.xlsx --on 2026-11-24`,
		RunE: func(_ *cobra.Command, args []string) error {
			ask.spawns = args
			return writeSheets(&from, &ask)
		},
	}
	from.flags(cmd)
	cmd.Flags().StringVar(&ask.line, "line", "", "only spawns of that `line`")
	cmd.Flags().StringArrayVar(&ask.pairs, "pair", nil, "a sheet for a proposed pair, as `sire,dam`; may be given several times")
	cmd.Flags().StringVarP(&ask.file, "output", "o", "", "the `file` to write (otherwise litters-DATE.xlsx)")
	cmd.Flags().StringVar(&ask.paper, "paper", "A4", "`size` to print on: A4 or letter")
	cmd.Flags().BoolVar(&ask.force, "force", false, "write over a file that is there already")
	return cmd
}

type sheetQuestion struct {
	spawns, pairs     []string
	line, file, paper string
	force             bool
}

type sheetJSON struct {
	File   string       `json:"file"`
	Sheets []string     `json:"sheets"`
	Beware []bewareJSON `json:"beware"`
}

type bewareJSON struct {
	Sheet string   `json:"sheet"`
	Words []string `json:"words"`
}

func writeSheets(from *source, ask *sheetQuestion) error {
	if !slices.Contains([]string{"A4", "letter"}, ask.paper) {
		return usageError("--paper: %q is neither A4 nor letter", ask.paper)
	}
	if ask.file != "" && !strings.EqualFold(filepath.Ext(ask.file), ".xlsx") {
		return usageError("-o: %q does not end in .xlsx, and a workbook is what is written", ask.file)
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	litters, err := l.litters(ask)
	if err != nil {
		return err
	}
	file := ask.file
	if file == "" {
		file = "litters-" + l.state.Date().String() + ".xlsx"
	}
	if len(litters) == 0 {
		return l.noSheets()
	}
	dir, err := from.folder()
	if err != nil {
		return err
	}
	options := sheet.Options{BookName: l.whole.Name, Keeper: l.whole.Keeper, Fingerprint: fingerprint(dir, l.whole, l.problems),
		On: l.state.Date(), Paper: ask.paper}
	var workbook bytes.Buffer
	if err := sheet.Write(&workbook, litters, options); err != nil {
		return err
	}
	own, err := l.ownFiles()
	if err != nil {
		return err
	}
	if err := save(from.env.path(file), file, workbook.Bytes(), ask.force, own); err != nil {
		return err
	}
	return reportSheets(from, l, file, litters)
}

// noSheets says that there is nothing to write.
func (l *loaded) noSheets() error {
	p := l.env.page()
	if l.from.json {
		if err := p.asJSON(sheetJSON{Sheets: []string{}, Beware: []bewareJSON{}}); err != nil {
			return err
		}
	}
	if l.errors == 0 {
		l.env.complain("there is no spawn to write a sheet for: none is planned, and there was none in the last twelve months")
	}
	if err := l.finish(p); err != nil {
		return err
	}
	return statusError(saysNo)
}

// ownFiles are the files of the book, which nothing is written over.
func (l *loaded) ownFiles() ([]string, error) {
	if l.fromTable {
		return nil, nil
	}
	dir, err := l.from.folder()
	if err != nil {
		return nil, err
	}
	var own []string
	for name := range filesOf(l.whole, l.problems) {
		own = append(own, filepath.Join(dir, filepath.FromSlash(name)))
	}
	return own, nil
}

func reportSheets(from *source, l *loaded, file string, litters []sheet.Litter) error {
	document := sheetJSON{File: file, Beware: []bewareJSON{}}
	var rows [][]string
	for i := range litters {
		document.Sheets = append(document.Sheets, litters[i].ID)
		if words := litters[i].Beware; len(words) > 0 {
			document.Beware = append(document.Beware, bewareJSON{litters[i].ID, words})
		}
		expected := "not known"
		if f := litters[i].Inbreeding; f != nil {
			expected = percentCell(*f)
		}
		rows = append(rows, []string{litters[i].ID, litters[i].Line, litters[i].Status, expected})
	}
	p := from.env.page()
	if from.json {
		if err := p.asJSON(document); err != nil {
			return err
		}
		return l.finish(p)
	}
	p.say("%s holds %s:", file, countWords(len(litters), "sheet"))
	p.table([]column{{head: "sheet"}, {head: "line"}, {head: "what"}, {head: "young\ninbred", right: true}}, rows)
	for _, b := range document.Beware {
		p.blank()
		p.say("Beware of %s: %s.", b.Sheet, strings.Join(b.Words, "; "))
	}
	return l.finish(p)
}

// fingerprint tells one state of the book's files from another.
func fingerprint(dir string, book *pedigree.Book, problems []pedigree.Problem) string {
	sum := sha256.New()
	for _, file := range slices.Sorted(maps.Keys(filesOf(book, problems))) {
		text := records.Source(dir, file)
		fmt.Fprintf(sum, "%s %d\n", file, len(text))
		sum.Write(text)
	}
	return hex.EncodeToString(sum.Sum(nil))[:16]
}

// litters makes the sheets asked for.
func (l *loaded) litters(ask *sheetQuestion) ([]sheet.Litter, error) {
	if ask.line != "" {
		if _, err := l.lineNamed(ask.line); err != nil {
			return nil, err
		}
	}
	var litters []sheet.Litter
	spawns, err := l.spawnsAsked(ask)
	if err != nil {
		return nil, err
	}
	for _, spawn := range spawns {
		litters = append(litters, l.litter(spawn))
	}
	for _, pair := range compact(ask.pairs) {
		litter, ok, err := l.proposal(pair)
		if err != nil {
			return nil, err
		}
		if ok {
			litters = append(litters, litter)
		}
	}
	return litters, nil
}

func (l *loaded) spawnsAsked(ask *sheetQuestion) ([]*pedigree.Spawn, error) {
	var list []*pedigree.Spawn
	for _, id := range ask.spawns {
		if l.whole.StockByID(id) != nil && l.whole.SpawnByID(id) == nil {
			return nil, usageError("%s is not a spawn; a pair of fish is given with --pair SIRE,DAM", id)
		}
	}
	ids, err := l.answerable(compact(ask.spawns))
	if err != nil {
		return nil, err
	}
	for _, id := range ids {
		list = append(list, l.book.SpawnByID(id))
	}
	if len(ask.spawns)+len(ask.pairs) > 0 {
		return list, nil
	}
	on := l.state.Date()
	for _, spawn := range l.book.Spawns {
		recent := spawn.Date.Known() && spawn.Date <= on && spawn.Date > on.AddMonths(-12)
		if (ask.line == "" || spawn.Line == ask.line) && (spawn.IsPlanned() || recent) {
			list = append(list, spawn)
		}
	}
	return list, nil
}

// proposal makes the sheet of a pair that is no record yet; ok is false where
// errors touch one of the two.
func (l *loaded) proposal(pair string) (litter sheet.Litter, ok bool, err error) {
	sire, dam, found := strings.Cut(pair, ",")
	sire, dam = strings.TrimSpace(sire), strings.TrimSpace(dam)
	if !found || sire == "" || dam == "" {
		return litter, false, usageError("--pair: %q is not a pair: write SIRE,DAM", pair)
	}
	ids, err := l.answerable([]string{sire, dam})
	if err != nil || len(ids) < 2 {
		return litter, false, err
	}
	for i, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		stock := l.book.StockByID(ids[i])
		if stock == nil {
			return litter, false, usageError("--pair: %s is a spawn; name a fish or a lot", ids[i])
		}
		if why := l.cannotBreed(stock, sex); why != "" {
			l.env.complain("--pair " + pair + ": " + why + "; nothing was written")
			return litter, false, statusError(saysNo)
		}
	}
	spawn := &pedigree.Spawn{ID: sire + " x " + dam, Line: l.book.StockByID(dam).Line, Planned: l.state.Date()}
	spawn.Sire.Candidates = []pedigree.Candidate{{ID: sire, Odds: 1}}
	spawn.Dam.Candidates = []pedigree.Candidate{{ID: dam, Odds: 1}}
	litter = l.litter(spawn)
	litter.Status, litter.Date = "proposed pair", 0
	g := l.state.GenerationOfPair(sire, dam)
	litter.Generation, litter.GenerationWords = g.Label(), generationInShort(g, l.allBought(spawn) && !g.AtLeast)
	return litter, true, nil
}
