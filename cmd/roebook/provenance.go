package main

import (
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/certificate"
	"roebook/io/chart"
	"roebook/pedigree"
)

func newProvenance(env *environment) *cobra.Command {
	from := source{env: env}
	ask := provenanceQuestion{}
	cmd := &cobra.Command{
		Use:   "provenance ID...",
		Short: "the sheet that goes with a fish to its buyer",
		Long: `Write one page that tells a buyer what a fish is: where its ancestors were caught, how many generations
ago and by whom it was bred, how inbred it is, and whose word that rests on. Of a lot or a spawn it speaks
of any fish of it; for several fish sold together it is a table, one row a fish (--each N: N fish of one lot).

A fingerprint of all facts stands on the sheet and in its QR code, and the facts are kept inside the file.
--verify FILE reads them back and tells whether the book says so too, at the commit that the sheet names,
whether the page still says what they say, and what has changed in the book since. With --sign KEY the file
carries a signature with your SSH key, as git makes them, which can be checked without a network.

A sheet is a copy of what is in the book: no permit, and no test of DNA.`,
		Example: `  roebook provenance TF-E3 -o tf-e3.pdf --on 2026-11-24
  roebook provenance TF-E3 --each 6 -o six.html --on 2026-11-24
  roebook provenance CW-H1 --json --on 2026-11-24
  roebook provenance --verify tf-e3.pdf`,
		RunE: func(_ *cobra.Command, args []string) error {
			ask.ids = args
			if ask.verify != "" {
				return verifySheet(&from, &ask)
			}
			return writeProvenance(&from, &ask)
		},
	}
	from.flags(cmd)
	cmd.Flags().StringVarP(&ask.file, "output", "o", "", "the `file` to write, ending in .pdf or .html")
	cmd.Flags().BoolVar(&ask.letter, "letter", false, "letter paper in place of A4")
	cmd.Flags().Var(wholeNumber{&ask.each, 1, certificate.MostFish}, "each", "a row each for so `many` fish of one lot or spawn")
	cmd.Flags().StringVar(&ask.key, "sign", "", "sign with the SSH `key` in that file (a public key: by the agent that has the other half)")
	cmd.Flags().StringVar(&ask.verify, "verify", "", "hold a sheet's `file` against the book")
	cmd.Flags().StringVar(&ask.signers, "signers", "", "with --verify: whose keys to believe, an allowed-signers `file` (otherwise the one that git is told of)")
	cmd.Flags().BoolVar(&ask.force, "force", false, "write over a file that is there already")
	return cmd
}

type provenanceQuestion struct {
	ids     []string
	file    string
	letter  bool
	each    int
	key     string
	verify  string
	signers string
	force   bool
}

func (ask *provenanceQuestion) form() string { return strings.ToLower(filepath.Ext(ask.file)) }

func (ask *provenanceQuestion) check(json bool) error {
	switch {
	case len(ask.ids) == 0:
		return usageError("provenance takes the id of a fish, a lot or a spawn, or several; or --verify FILE")
	case ask.file == "" && !json:
		return usageError("say where to: -o FILE, ending in .pdf or .html; or --json")
	case ask.file != "" && !slices.Contains([]string{".pdf", ".html"}, ask.form()):
		return usageError("-o: %q ends in neither .pdf nor .html; the facts as JSON: --json > FILE", ask.file)
	case ask.each > 0 && len(ask.ids) > 1:
		return usageError("--each is for fish of one lot or spawn, and %s are several records", all(ask.ids))
	case len(ask.ids) > certificate.MostFish:
		return usageError("%d records are more than one page holds; name %d at most", len(ask.ids), certificate.MostFish)
	case ask.signers != "":
		return usageError("--signers goes with --verify")
	}
	return nil
}

func writeProvenance(from *source, ask *provenanceQuestion) error {
	ask.ids = compact(ask.ids)
	if err := ask.check(from.json); err != nil {
		return err
	}
	if err := from.refuseDayToCome(); err != nil {
		return err
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	if ready, err := l.fitForSheet(ask); err != nil || !ready {
		return orElse(err, func() error { return statusError(saysNo) })
	}
	facts, drawing := l.facts(ask.ids, ask.each)
	if err := l.pin(&facts); err != nil {
		return err
	}
	if ask.key != "" {
		if facts.SigningKey, err = certificate.KeyFingerprint(from.env.path(ask.key)); err != nil {
			return usageError("--sign: %s", err)
		}
	}
	if ask.file == "" {
		return printFacts(l, ask, &facts)
	}
	file, err := l.sheetFile(ask, &facts, drawing)
	if err != nil {
		return err
	}
	own, err := l.ownFiles()
	if err != nil {
		return err
	}
	if err := save(from.env.path(ask.file), ask.file, file, ask.force, own); err != nil {
		return err
	}
	return reportProvenance(from, l, ask, &facts)
}

// refuseDayToCome: nobody knows yet how things will stand.
func (s *source) refuseDayToCome() error {
	on, err := s.day()
	if today := pedigree.DateOf(s.env.now()); err == nil && on > today {
		return usageError("--on: %s is still to come (today is %s), and a sheet says how things stood", on, today)
	}
	return err
}

// sheetFile makes the file, signed where that is asked for.
func (l *loaded) sheetFile(ask *provenanceQuestion, facts *certificate.Facts, drawing *chart.Drawing) ([]byte, error) {
	file, err := certificate.Write(strings.TrimPrefix(ask.form(), "."), facts, drawing, paperOf(ask.letter))
	if err != nil || ask.key == "" {
		return file, err
	}
	return certificate.Sign(file, l.env.path(ask.key))
}

func paperOf(letter bool) certificate.Paper {
	if letter {
		return certificate.Letter
	}
	return certificate.A4
}

func printFacts(l *loaded, ask *provenanceQuestion, facts *certificate.Facts) error {
	file, err := certificate.Write("json", facts, nil, certificate.A4)
	if err == nil && ask.key != "" {
		file, err = certificate.Sign(file, l.env.path(ask.key))
	}
	if err != nil {
		return err
	}
	p := l.env.page()
	p.Write(file)
	return l.finish(p)
}

type provenanceJSON struct {
	File string `json:"file"`
	certificate.Document
	Missing string `json:"missing_characters"`
}

func reportProvenance(from *source, l *loaded, ask *provenanceQuestion, facts *certificate.Facts) error {
	missing := ""
	if ask.form() == ".pdf" {
		missing = string(certificate.Missing(facts))
	}
	if missing != "" {
		l.env.note("the fonts of the PDF lack %s: a question mark stands for each; an HTML sheet is shown in the fonts of whoever looks at it", missing)
	}
	p := from.env.page()
	if from.json {
		document := provenanceJSON{ask.file, certificate.Document{Facts: facts, Fingerprint: facts.Fingerprint()}, missing}
		if err := p.asJSON(document); err != nil {
			return err
		}
		return l.finish(p)
	}
	p.say("%s: the sheet of %s, as of %s.", ask.file, some(ask.ids, 5), facts.On)
	p.field("fingerprint", "%s", certificate.Grouped(facts.Fingerprint()))
	p.field("book", "%s", certificate.StateOfBook(facts))
	if facts.SigningKey != "" {
		p.field("signed with", "%s", facts.SigningKey)
	}
	return l.finish(p)
}

// fitForSheet refuses what a sheet cannot be made of; ready is false where
// errors touch a record, which has been said.
func (l *loaded) fitForSheet(ask *provenanceQuestion) (ready bool, err error) {
	ids, err := l.answerable(ask.ids)
	if err != nil {
		return false, err
	}
	if len(ids) < len(ask.ids) {
		l.env.complain("no sheet was written")
		return false, nil
	}
	line, kind := "", ""
	for i, id := range ids {
		own, why := l.sheetLine(id, ask.each)
		switch {
		case why != "":
			return false, usageError("%s", why)
		case i > 0 && own != line:
			return false, usageError("%s is of the line %s and %s of %s: a sheet is of one line", ids[0], line, id, own)
		case i > 0 && l.kindWords(id) != kind:
			return false, usageError("%s is %s and %s is %s: a sheet is of one species and locality", ids[0], kind, id, l.kindWords(id))
		}
		line, kind = own, l.kindWords(id)
	}
	if why := l.headerLost(line); why != "" {
		l.env.complain(why + "; no sheet was written")
		return false, nil
	}
	return true, nil
}

// sheetLine returns the line of a record, and why there can be no sheet of it.
func (l *loaded) sheetLine(id string, each int) (line, why string) {
	on := l.state.Date()
	if spawn := l.book.SpawnByID(id); spawn != nil {
		switch {
		case spawn.IsPlanned():
			return spawn.Line, id + " is only planned: there are no fish yet to write a sheet for"
		case spawn.Date > on:
			return spawn.Line, id + " was not there yet on " + on.String() + ": it is of " + spawn.Date.String()
		}
		return spawn.Line, ""
	}
	stock := l.book.StockByID(id)
	heads := l.book.Heads(stock, on).Total()
	begins := l.book.Begins(stock)
	switch _, numbers := l.state.Inbreeding(id); {
	case begins.Known() && begins > pedigree.DateOf(on.Time()):
		why = id + " was not there yet on " + on.String() + ": its record begins" + onDay(begins)
	case !numbers:
		why = "the lot " + id + " has no fish on " + on.String() + "; ask with --on for a day when it had"
	case each > 0 && !stock.Lot:
		why = "--each: " + id + " is one fish, and not a lot"
	case each > 0 && float64(each) > heads:
		why = "--each: " + id + " has only " + count(heads, "fish") + " on " + on.String()
	}
	return stock.Line, why
}

// kindWords is the species and locality of a record.
func (l *loaded) kindWords(id string) string {
	species, locality := "", ""
	if stock := l.book.StockByID(id); stock != nil {
		species, locality = l.book.SpeciesOf(stock), l.book.LocalityOf(stock)
	} else {
		spawn := l.book.SpawnByID(id)
		species, locality = l.speciesWords(spawn), l.localityWords(spawn)
	}
	if species == "" {
		species = "of a species that is not stated"
	}
	if locality != "" {
		species += " of " + locality
	}
	return species
}
