package certificate

import (
	"fmt"
	"strconv"
	"strings"

	"roebook/io/lettering"
)

// content is what a sheet says, in words, in the order of the page: the same for
// every kind of file. It follows from the facts alone.
type content struct {
	Title                     string // for the window, not on the page
	House                     string // the book and its keeper
	Species, Common, Locality string
	ID, Who, Standing         string
	Name                      string
	On                        string

	Label      string // of the generation
	Generation string // in words
	Treaty     string
	Figures    []figure

	Word     string // whose word it is
	Origins  []origin
	Founders []founderRow
	Rest     string // founders that are not listed
	Details  []detail
	Rows     []fishRow // of a sheet of several fish
	RowsNote string
	RowsWhat string // the head of what a fish is
	Lineage  bool

	Not         []string
	State       string // of the book
	Fingerprint string
	Groups      string
	Signing     string
	Program     string
	Code        string // what the QR code holds
}

type figure struct{ Name, Value, Words string }

// origin is a part of the bar; Units are tenths of a percent.
type origin struct {
	Kind, Percent, Words string
	Units                int
}

type founderRow struct {
	Percent, ID, Words, Kind string
	Units                    int
}

type detail struct{ Label, Words string }

// fishRow is one fish of a sheet of several.
type fishRow struct {
	Number                                                       int
	ID, Who, Born, Generation, Inbreeding, Wild, Bought, Unknown string
}

// Limits of a page.
const (
	MostFish     = 24 // rows of a sheet of several
	mostFounders = 7
)

func contentOf(f *Facts) *content {
	first := &f.Fish[0]
	c := &content{Species: orElse(first.Species, "species not stated"), Common: f.Line.CommonName, Locality: first.Locality, On: f.On, House: f.Book.Name,
		State: stateInShort(f), Fingerprint: f.Fingerprint(), Program: f.Program, Lineage: f.Lineage != nil}
	if f.Book.Keeper != "" {
		c.House += " · " + f.Book.Keeper
	}
	if c.Locality == "" {
		c.Locality = "no locality known: an aquarium strain"
	}
	c.Groups = strings.ToUpper(Grouped(c.Fingerprint))
	if f.SigningKey != "" {
		c.Signing = "signed with the SSH key " + f.SigningKey
	}
	c.Code = code(f, c.Fingerprint)
	c.Not = disclaimers(first)
	c.Figures = figuresOf(f, first)
	if len(f.Fish) > 1 || f.Each > 0 {
		c.several(f)
	} else {
		c.single(f, first)
	}
	c.Title = "Provenance of " + c.ID
	return c
}

func figuresOf(f *Facts, first *Fish) []figure {
	var list []figure
	if len(f.Fish) == 1 && first.Inbreeding != nil {
		list = append(list, figure{"inbreeding", percent(*first.Inbreeding), first.inbred()})
	}
	if f.Line.GeneDiversity != nil {
		list = append(list, figure{"gene diversity of the line", decimals(*f.Line.GeneDiversity, 4),
			fmt.Sprintf("so much of the founders' variety its %s living fish still hold; 1 is all of it", trimmed(f.Line.Living, 1))})
	}
	return list
}

func (c *content) single(f *Facts, fish *Fish) {
	c.ID, c.Name, c.Who = fish.ID, fish.Name, fish.who(f.Line.BroodWord)
	if fish.Status != "living" && fish.Status != "recorded" {
		c.Standing = fish.Status
	}
	c.describe(fish)
	c.Details = detailsOf(f, fish)
}

// describe fills what is said of the descent.
func (c *content) describe(fish *Fish) {
	c.Label = fish.Generation.Label
	c.Generation = capital(fish.Generation.inWords()) + "."
	if ends := fish.ends(); ends != "" {
		c.Generation += " " + ends
	}
	c.Treaty = fish.Generation.byTreaty()
	c.Word = fish.word()
	p := partsOf(fish)
	c.Origins = []origin{
		{Kind: Wild, Units: p.wild, Words: "from fish caught by or for this book", Percent: percentOf(p.wild, fish.Ancestry.Wild)},
		{Kind: Bought, Units: p.bought, Words: "from bought fish, by the seller's word", Percent: percentOf(p.bought, fish.Ancestry.Bought)},
		{Kind: "unknown", Units: p.unknown, Words: "unknown", Percent: percentOf(p.unknown, fish.Ancestry.Unknown)},
	}
	if _, only := fish.unseenWildSire(); only {
		c.Origins[2].Words = "unknown: a wild sire"
	}
	rest := 0
	first := map[string]string{} // founder of those words
	for i := range fish.Founders {
		founder := &fish.Founders[i]
		if i >= mostFounders && len(fish.Founders) > mostFounders+1 {
			rest += p.founders[i]
			continue
		}
		words := founder.origin()
		if before := first[words]; before != "" {
			words = "as " + before
		} else {
			first[words] = founder.ID
		}
		c.Founders = append(c.Founders, founderRow{percentOf(p.founders[i], founder.Share), founder.ID, words, founder.Kind, p.founders[i]})
	}
	if more := len(fish.Founders) - len(c.Founders); more > 0 {
		c.Rest = fmt.Sprintf("%s from %d founders more, which are in the file", percentOf(rest, 1), more)
	}
}

func detailsOf(f *Facts, fish *Fish) []detail {
	var list []detail
	add := func(label, words string) {
		if words != "" {
			list = append(list, detail{label, words})
		}
	}
	add("born", fish.Born)
	if fish.BredBy != "" {
		add("bred by", fish.BredBy)
	} else if fish.isFounder() || len(fish.Spawns) == 0 {
		add("came from", fish.Origin)
	}
	for i := range fish.Spawns {
		s := &fish.Spawns[i]
		if i == 2 && len(fish.Spawns) > 3 {
			add("", fmt.Sprintf("and of %d more, which are in the file", len(fish.Spawns)-2))
			break
		}
		add(f.Line.BroodWord, strings.TrimSuffix(s.ID+", "+s.Date, ", "))
		add("sire", s.Sire)
		add("dam", s.Dam)
		add("counted", s.counts())
	}
	add("known loci", orElse(lociWords(fish.Loci), "none stated"))
	return list
}

func (c *content) several(f *Facts) {
	first := &f.Fish[0]
	c.RowsNote = "Caught, bought, unknown: the shares of its genes from fish caught by or for this book, from bought fish by the seller's word, and from parents that nobody knows."
	c.RowsWhat = "what"
	if f.Each > 0 {
		c.RowsWhat = "goes to"
		c.ID, c.Who = first.ID, fmt.Sprintf("%d fish of %s", f.Each, strings.TrimPrefix(first.who(f.Line.BroodWord), "any fish of "))
		if first.Kind == "spawn" {
			c.Who = fmt.Sprintf("%d young of this %s", f.Each, f.Line.BroodWord)
		}
		if f.Each == 1 {
			c.Who = strings.Replace(c.Who, "1 fish", "one fish", 1)
		}
		c.describe(first)
		c.Details = detailsOf(f, first)
		for n := range f.Each {
			row := rowOf(first, n+1)
			row.Who = ""
			c.Rows = append(c.Rows, row)
		}
		return
	}
	c.ID, c.Who = fmt.Sprintf("%d fish", len(f.Fish)), "of the line "+f.Line.Name
	for i := range f.Fish {
		if f.Fish[i].Kind != "fish" {
			c.ID = fmt.Sprintf("%d records", len(f.Fish))
		}
		row := rowOf(&f.Fish[i], i+1)
		if fish := &f.Fish[i]; fish.Status != "living" && fish.Status != "recorded" {
			row.Who += ", " + fish.Status
		}
		c.Rows = append(c.Rows, row)
	}
	c.Treaty = batchTreaty(f)
	var unseen []string
	for i := range f.Fish {
		if some, _ := f.Fish[i].unseenWildSire(); some {
			unseen = append(unseen, f.Fish[i].ID)
		}
	}
	if len(unseen) > 0 {
		c.RowsNote += " The unseen sire of " + few(unseen) + " was a wild fish."
	}
}

func rowOf(fish *Fish, number int) fishRow {
	p := partsOf(fish)
	row := fishRow{Number: number, ID: fish.ID, Born: orElse(fish.Born, "not known"), Generation: fish.Generation.Label,
		Wild: percentOf(p.wild, fish.Ancestry.Wild), Bought: percentOf(p.bought, fish.Ancestry.Bought), Unknown: percentOf(p.unknown, fish.Ancestry.Unknown)}
	row.Who = strings.TrimSuffix(strings.Replace(fish.who("spawn"), "any fish of this lot (", "any of ", 1), ")")
	if fish.Inbreeding != nil {
		row.Inbreeding = percent(*fish.Inbreeding)
	}
	return row
}

// batchTreaty says of several fish what they are in the sense of CITES.
func batchTreaty(f *Facts) string {
	var order []string
	ids := map[string][]string{}
	for i := range f.Fish {
		words := f.Fish[i].Generation.byTreaty()
		if ids[words] == nil {
			order = append(order, words)
		}
		ids[words] = append(ids[words], f.Fish[i].ID)
	}
	if len(order) == 1 {
		return order[0]
	}
	var parts []string
	for _, words := range order {
		parts = append(parts, few(ids[words])+": "+words)
	}
	return strings.Join(parts, " ")
}

func disclaimers(fish *Fish) []string {
	list := []string{
		"This sheet is a copy of a keeper's records. It is not a permit and not a test of DNA; every number is worked out from the records as they stand.",
		"CITES and local law may ask for papers of their own. Keeping, moving and selling wild species is for your law to decide.",
	}
	if fish.Generation.Max >= 2 {
		list = append(list, "Generation numbers above “second or later” are a keeper's convention: here a fry is one more than its parents, and unlike parents give a range.")
	}
	return list
}

func stateInShort(f *Facts) string {
	switch {
	case f.Book.Commit == "":
		return "book not in git"
	case f.Book.Uncommitted:
		return "commit " + f.Book.Commit[:min(12, len(f.Book.Commit))] + " and changes not committed"
	}
	return "commit " + f.Book.Commit[:min(12, len(f.Book.Commit))]
}

// Missing returns the characters of a sheet that the fonts of its PDF lack.
func Missing(f *Facts) []rune {
	c := contentOf(f)
	texts := []string{c.House, c.Species, c.Common, c.Locality, c.ID, c.Name, c.Generation, c.Treaty}
	for _, row := range c.Founders {
		texts = append(texts, row.Words)
	}
	for _, d := range c.Details {
		texts = append(texts, d.Words)
	}
	return lettering.Missing(texts...)
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

func numeral(n int) string { return strconv.Itoa(n) }
