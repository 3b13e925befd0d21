package main

import (
	"fmt"
	"strings"

	"roebook/genetics"
	"roebook/pedigree"
)

// write puts a card on the page in words.
func (s *shower) write(p *page, c *card) {
	if stock := s.book.StockByID(c.ID); stock != nil {
		s.writeStock(p, stock)
	} else {
		s.writeSpawn(p, s.book.SpawnByID(c.ID))
	}
	p.blank()
	s.writeGenerations(p, c)
	spawn := s.book.SpawnByID(c.ID)
	if spawn != nil && spawn.IsPlanned() {
		s.writePlan(p, spawn)
		return
	}
	if c.Inbreeding == nil {
		if c.Kind == "lot" {
			p.field("no numbers", "the lot has no fish on %s; ask with --on for a day when it had", s.state.Date())
		}
		return
	}
	s.writeKinship(p, c)
	s.writeFounders(p, c)
}

func (s *shower) writeStock(p *page, stock *pedigree.Stock) {
	head := stock.ID
	if stock.Name != "" {
		head += " " + quoted(stock.Name)
	}
	what := "one fish, " + stock.Sex.String()
	if stock.Lot {
		what = "a lot, fish kept as a group"
	}
	p.say("%s: %s%s", head, what, s.lineWords(stock.Line))
	p.field("on "+s.state.Date().String(), "%s", presence(s.book, stock, s.state.Date()))
	s.writeKind(p, s.book.SpeciesOf(stock), s.book.LocalityOf(stock), stock.Line)
	s.writeOrigin(p, stock)
	if spawns := broughtBy(s.book, stock); len(spawns) == 1 {
		s.writeParents(p, spawns[0], !stock.Lot)
	}
	if born := s.book.BornOn(stock); born.Known() {
		words := born.String()
		if len(stock.Merged) > 0 {
			words += ", the oldest of them"
		}
		p.field("born", "%s", words)
	}
	s.writeTank(p, stock.Line, stock.Tank)
	s.writeTraits(p, stock)
	s.writeHappened(p, stock)
	if stock.Note != "" {
		p.field("note", "%s", stock.Note)
	}
}

func (s *shower) writeOrigin(p *page, stock *pedigree.Stock) {
	if s.fromTable {
		if stock.Wild != nil {
			p.field("came from", "a founder: the table has no parents of it")
		}
		return
	}
	p.field("came from", "%s", originWords(s.book, stock))
	first := s.book.Beginning(stock)
	if first != stock {
		p.field("", "%s: %s", first.ID, originWords(s.book, first))
	}
	if note := originNote(first); note != "" {
		p.field("", "%s", note)
	}
}

func (s *shower) lineWords(line string) string {
	if s.fromTable {
		return ""
	}
	return ", of the line " + line
}

func (s *shower) writeKind(p *page, species, locality, line string) {
	words := species
	if l := s.book.LineNamed(line); l != nil && l.CommonName != "" && species == l.Species {
		words += ", " + l.CommonName
	}
	if locality != "" {
		words = strings.TrimPrefix(words+"; "+locality, "; ")
	}
	if words != "" {
		p.field("species", "%s", words)
	}
}

func (s *shower) writeParents(p *page, spawn *pedigree.Spawn, ofOne bool) {
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		words := parentWords(s.book, spawn, sex, ofOne)
		if !ofOne && strings.HasPrefix(words, anyOne) {
			words += "; the same for all the young"
		}
		p.field(sideWord(sex), "%s", words)
	}
	if spawn.Repeat != "" {
		p.field("", "%s is a repeat: the same fish as of %s, whoever they were", spawn.ID, spawn.Repeat)
	}
}

func (s *shower) writeTank(p *page, line, id string) {
	if id == "" {
		return
	}
	words := id
	if l := s.book.LineNamed(line); l != nil {
		for _, tank := range l.Tanks {
			if tank.ID != id {
				continue
			}
			if tank.Litres > 0 {
				words += fmt.Sprintf(", %s litres", amount(tank.Litres))
			}
			if tank.Place != "" {
				words += ", " + tank.Place
			}
		}
	}
	p.field("tank", "%s", words)
}

func (s *shower) writeTraits(p *page, stock *pedigree.Stock) {
	for _, kind := range []struct {
		label  string
		traits []pedigree.Trait
	}{{"genotype", stock.Genotype}, {"phenotype", stock.Phenotype}} {
		var parts []string
		for _, t := range kind.traits {
			parts = append(parts, t.Locus+" "+t.Value)
		}
		if len(parts) > 0 {
			p.field(kind.label, "%s", strings.Join(parts, ", "))
		}
	}
}

func (s *shower) writeSpawn(p *page, spawn *pedigree.Spawn) {
	word := broodWord(s.book, spawn.Line)
	p.say("%s: a %s%s", spawn.ID, word, s.lineWords(spawn.Line))
	switch {
	case spawn.IsPlanned():
		p.field("when", "planned for %s; until it happens it counts for nothing", spawn.Planned)
	case spawn.Date.Known():
		p.field("when", "%s", spawn.Date)
	default:
		p.field("when", "not known")
	}
	locality := s.localityWords(spawn)
	if line := s.book.LineNamed(spawn.Line); line != nil && locality == line.Locality {
		locality = ""
	}
	s.writeKind(p, s.speciesWords(spawn), locality, spawn.Line)
	s.writeParents(p, spawn, false)
	if spawn.ConceivedWild {
		p.field("", "conceived in the wild: the dam was caught carrying")
	}
	if counts := countsWords(spawn); counts != "" {
		p.field("counted", "%s", counts)
	}
	s.writeCircumstances(p, spawn)
	var fry []string
	for _, stock := range s.book.Stock {
		for _, from := range stock.FromSpawns {
			if from.Spawn == spawn.ID {
				fry = append(fry, stock.ID)
			}
		}
	}
	if len(fry) > 0 {
		p.field("young kept as", "%s", all(fry))
	}
	s.writeTank(p, spawn.Line, spawn.Tank)
	if spawn.Note != "" {
		p.field("note", "%s", spawn.Note)
	}
}

// writePlan says what is to be expected of a planned spawn and what to beware of.
func (s *shower) writePlan(p *page, spawn *pedigree.Spawn) {
	if f, ok := s.state.Expected(spawn); ok {
		p.field("inbreeding", "%s to be expected of the young: their parents are %s", percent(f), genetics.Relation(f))
	} else {
		p.field("inbreeding", "nothing to be expected: one of the two sides has no fish on %s", spawn.Planned)
	}
	label := "beware"
	for _, words := range s.beware(spawn) {
		p.field(label, "%s", words)
		label = ""
	}
}

func countsWords(spawn *pedigree.Spawn) string {
	var parts []string
	for _, c := range []struct {
		tally pedigree.Tally
		words string
	}{{spawn.Eggs, "eggs"}, {spawn.Fertile, "fertile"}, {spawn.Hatched, "hatched"}, {spawn.Born, "born"},
		{spawn.Swimming, "free-swimming"}, {spawn.Kept, "kept"}, {spawn.Deformed, "deformed"},
		{spawn.Culled, "culled"}, {spawn.Lost, "lost"}} {
		if c.tally.Stated {
			parts = append(parts, fmt.Sprintf("%d %s", c.tally.N, c.words))
		}
	}
	return strings.Join(parts, ", ")
}

func (s *shower) writeGenerations(p *page, c *card) {
	if g, ok := s.state.Generation(c.ID); ok {
		words := generationWords(g, s.wholly(c.ID, g))
		if s.fromTable {
			words = tableGeneration(g)
		}
		p.field("generation", "%s", words)
	}
	if c.EquivalentGenerations != nil && !s.founder(c.ID) {
		p.field("known depth", "%s: so many full generations of ancestors the book knows, founders counting 0",
			count(*c.EquivalentGenerations, "equivalent generation"))
	}
}

// wholly reports whether a generation rests on sellers' words alone: that of a
// bought fish, or of one with no other founders, of all of which it was stated.
func (s *shower) wholly(id string, g pedigree.Generation) bool {
	if spawn := s.book.SpawnByID(id); spawn != nil {
		return s.allBought(spawn) && !g.AtLeast
	}
	from, ok := s.state.Ancestry(id)
	return ok && from.Bought > 1-1e-9 && (s.founder(id) || !g.AtLeast)
}

func (s *shower) founder(id string) bool {
	stock := s.book.StockByID(id)
	if stock == nil {
		return false
	}
	first := s.book.Beginning(stock)
	return first.Wild != nil || first.Bought != nil
}

func (s *shower) writeKinship(p *page, c *card) {
	f := *c.Inbreeding
	words := percent(f) + ": its parents are " + genetics.Relation(f)
	switch {
	case s.founder(c.ID) && f == 0:
		words = percent(0) + ": a founder counts as not inbred"
	case s.founder(c.ID):
		words = percent(f) + ", as declared"
	case c.Kind == "spawn":
		words = percent(f) + " for the young: their parents are " + genetics.Relation(f)
	case c.Kind == "lot":
		words = percent(f) + " on average: their parents are " + genetics.Relation(f)
	}
	p.field("inbreeding", "%s", words)
	if c.KinshipWithin != nil {
		p.field("among themselves", "kinship %s: two of them are %s", kin(*c.KinshipWithin), genetics.Relation(*c.KinshipWithin))
	}
	if c.MeanKinship != nil {
		mean := s.means[c.Line]
		words := "about as close to it as the rest"
		switch {
		case *c.MeanKinship < 0.97*mean:
			words = "its genes are rarer there than most"
		case *c.MeanKinship > 1.03*mean:
			words = "its genes are common there"
		}
		p.field("mean kinship", "%s with the living of %s (%s among themselves): %s", kin(*c.MeanKinship), s.lineWord(), kin(mean), words)
	}
}

func (s *shower) writeFounders(p *page, c *card) {
	if s.founder(c.ID) {
		return
	}
	p.field("genes from", "%s", s.ancestryWords(*c.Ancestry))
	var rows [][]string
	for _, share := range c.Founders {
		rows = append(rows, []string{percentCell(share.Share), share.ID, s.founderWords(share.ID)})
	}
	if len(rows) > 0 {
		p.table([]column{{head: "share", right: true}, {head: "founder"}, {head: "where from", wrap: true}}, rows)
	}
}

// lineWord is the word for the fish that one is compared with.
func (l *loaded) lineWord() string {
	if l.fromTable {
		return "the table"
	}
	return "its line"
}

func (l *loaded) ancestryWords(a ancestryJSON) string {
	wild := "wild-caught fish"
	if l.fromTable {
		wild = "founders"
	}
	var parts []string
	for _, part := range []struct {
		share float64
		words string
	}{{a.Wild, wild}, {a.Bought, "bought fish, whose own ancestors are not in the book"}, {a.Unknown, "unknown parents"}} {
		if part.share > 1e-9 {
			parts = append(parts, percent(part.share)+" "+part.words)
		}
	}
	return strings.Join(parts, "; ")
}
