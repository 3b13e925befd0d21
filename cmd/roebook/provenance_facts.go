package main

import (
	"maps"
	"slices"
	"strings"

	"roebook/genetics"
	"roebook/genetics/locus"
	"roebook/io/certificate"
	"roebook/io/chart"
	"roebook/pedigree"
)

// lineageDepth is how many generations back the chart of a sheet goes.
const lineageDepth = 4

// facts gathers what a sheet says of some records of one line, which must have
// numbers, and draws the ancestors where it is one record.
func (l *loaded) facts(ids []string, each int) (certificate.Facts, *chart.Drawing) {
	s := shower{loaded: l, rows: make(map[string]genetics.Row), means: make(map[string]float64)}
	f := certificate.Facts{Format: certificate.Format, Program: "roebook " + version, On: l.state.Date().String(), Each: each,
		Book: certificate.Book{Name: l.book.Name, Keeper: l.book.Keeper}}
	f.Line = l.provenanceLine(s.card(ids[0]).Line)
	sure := l.sureLoci(f.Line.Name, ids)
	for _, id := range ids {
		f.Fish = append(f.Fish, s.provenance(id, sure[id]))
	}
	if len(ids) > 1 || each > 0 {
		return f, nil
	}
	drawing, shown, back := chart.Streams(l.state, ids[0], lineageDepth)
	if len(back) == 0 {
		return f, nil
	}
	f.Lineage = &certificate.Lineage{Generations: shown, Ancestors: []certificate.Ancestor{}, Drawing: certificate.DrawingDigest(drawing)}
	for _, id := range sortedKeys(back) {
		a := certificate.Ancestor{ID: id, Back: back[id]}
		if g, ok := l.state.Generation(id); ok {
			a.Generation = g.Label()
		}
		a.Inbreeding = known(l.state.Inbreeding(id))
		f.Lineage.Ancestors = append(f.Lineage.Ancestors, a)
	}
	return f, drawing
}

func (l *loaded) provenanceLine(name string) certificate.Line {
	out := certificate.Line{Name: name, BroodWord: broodWord(l.book, name)}
	if line := l.book.LineNamed(name); line != nil {
		out.CommonName = line.CommonName
	}
	if report, living := l.state.Line(name); living && l.refusal(name) == "" {
		out.Living, out.GeneDiversity = report.Living, known(report.GeneDiversity, true)
	}
	return out
}

// provenance is what a sheet says of one record.
func (s *shower) provenance(id string, sure []certificate.Locus) certificate.Fish {
	c := s.card(id)
	f := certificate.Fish{ID: id, Kind: c.Kind, Count: c.Count, Males: c.Males, Females: c.Females, Unsexed: c.Unsexed,
		EquivalentGenerations: c.EquivalentGenerations, Inbreeding: c.Inbreeding, SelfKinship: c.SelfKinship,
		KinshipWithin: c.KinshipWithin, MeanKinship: c.MeanKinship, RecordedAncestry: c.RecordedAncestry,
		Ancestry: certificate.Ancestry(*c.Ancestry), Founders: []certificate.Founder{}, Loci: []certificate.Locus{}, Spawns: []certificate.Spawn{}}
	if c.Generation != nil {
		f.Generation = certificate.Generation{Min: c.Generation.Min, Mean: c.Generation.Mean, Max: c.Generation.Max,
			Label: c.Generation.Label, Declared: c.Generation.Declared, CITES: captivityNames[s.state.Captivity(id)]}
	}
	if !s.founder(id) && c.Inbreeding != nil {
		f.Relation = genetics.Relation(*c.Inbreeding)
	}
	for _, share := range c.Founders {
		f.Founders = append(f.Founders, s.provenanceFounder(share))
	}
	if stock := s.book.StockByID(id); stock != nil {
		s.provenanceOfStock(&f, stock)
		f.Loci = knownLoci(stock, sure)
	} else {
		s.provenanceOfSpawn(&f, s.book.SpawnByID(id))
	}
	return f
}

var captivityNames = map[pedigree.Captivity]string{pedigree.OfTheWild: certificate.FromTheWild,
	pedigree.FirstInCaptivity: certificate.FirstGeneration, pedigree.SecondOrLater: certificate.SecondOrLater,
	pedigree.Uncertain: certificate.NotCertain}

func (s *shower) provenanceOfStock(f *certificate.Fish, stock *pedigree.Stock) {
	f.Name, f.Species, f.Locality = stock.Name, s.book.SpeciesOf(stock), s.book.LocalityOf(stock)
	f.Status = s.standing(stock)
	if !stock.Lot {
		f.Sex = stock.Sex.String()
	}
	if born := s.book.BornOn(stock); born.Known() {
		f.Born = born.String()
	}
	f.Origin = originWords(s.book, stock)
	if first := s.book.Beginning(stock); first != stock {
		f.Origin += "; " + first.ID + " " + originWords(s.book, first)
	}
	if s.bredHere(stock) {
		f.BredBy = s.keeper()
	}
	for _, spawn := range broughtBy(s.book, stock) {
		f.Spawns = append(f.Spawns, s.provenanceSpawn(spawn, !stock.Lot))
	}
}

func (s *shower) provenanceOfSpawn(f *certificate.Fish, spawn *pedigree.Spawn) {
	f.Species, f.Locality = s.speciesWords(spawn), s.localityWords(spawn)
	f.Status, f.BredBy, f.Origin = "recorded", s.keeper(), "young of "+spawnWords(s.book, spawn)
	if spawn.Date.Known() {
		f.Born = spawn.Date.String()
	}
	f.Spawns = append(f.Spawns, s.provenanceSpawn(spawn, false))
}

// keeper is who breeds in the book.
func (s *shower) keeper() string {
	if s.book.Keeper == "" {
		return "the keeper of this book, who is not named in it"
	}
	return s.book.Keeper
}

// bredHere reports whether all fish of a record were bred in the book.
func (s *shower) bredHere(stock *pedigree.Stock) bool {
	first := s.book.Beginning(stock)
	for _, part := range first.Merged {
		if from := s.book.StockByID(part.ID); from == nil || !s.bredHere(from) {
			return false
		}
	}
	return len(first.FromSpawns)+len(first.Merged) > 0
}

// standing is what became of a record, without the names of those who bought it.
func (s *shower) standing(stock *pedigree.Stock) string {
	on := s.state.Date()
	switch {
	case s.book.Heads(stock, on).Total() > 0:
		return "living"
	case stock.Died.Known() && stock.Died < on:
		return "died" + onDay(stock.Died)
	}
	for _, sale := range stock.Sold {
		if sale.Date < on {
			return "sold" + onDay(sale.Date)
		}
	}
	return presence(s.book, stock, on)
}

func (s *shower) provenanceFounder(share shareJSON) certificate.Founder {
	f := certificate.Founder{ID: share.ID, Share: share.Share, Kind: certificate.Bought}
	stock := s.book.StockByID(share.ID)
	if stock == nil {
		return f
	}
	switch first := s.book.Beginning(stock); {
	case first.Wild != nil:
		f.Kind, f.Site, f.Year, f.By = certificate.Wild, first.Wild.Site, yearOf(first.Wild.Date), first.Wild.Collector
		if f.Site == "" {
			f.Site = s.book.LocalityOf(first)
		}
	case first.Bought != nil:
		f.Year, f.By = yearOf(first.Bought.Date), first.Bought.From
		if d := first.Bought.Generation; d != nil {
			f.Generation = pedigree.Generation{Min: d.Min, Max: d.Max, AtLeast: d.AtLeast}.Label()
		}
	}
	return f
}

func yearOf(date pedigree.Date) string {
	year, _, _ := strings.Cut(date.String(), "-")
	return year
}

// sureOdds are the odds that a genotype must exceed to stand on a sheet without
// having been stated.
const sureOdds = 0.9999

// sureLoci are the genotypes that follow from all the records of the line, by
// record. Odds that were sampled are none to vouch for.
func (l *loaded) sureLoci(line string, ids []string) map[string][]certificate.Locus {
	wanted, sure := map[string]bool{}, map[string][]certificate.Locus{}
	for _, id := range ids {
		wanted[id] = true
	}
	for _, odds := range locus.New(l.book).Line(line, wanted, l.state.Date()).Odds {
		for _, g := range odds.Genotypes {
			if g.Share > sureOdds && !odds.Sampled {
				sure[odds.ID] = append(sure[odds.ID], certificate.Locus{Locus: odds.Locus, Genotype: g.ID, Inferred: true})
			}
		}
	}
	return sure
}

// knownLoci is what the book says of a record at its loci: what is stated of it,
// and the genotypes that are sure though nobody stated them. It is the one place
// that a sheet's loci come from.
func knownLoci(stock *pedigree.Stock, sure []certificate.Locus) []certificate.Locus {
	list := []certificate.Locus{}
	at := map[string]int{}
	note := func(traits []pedigree.Trait, set func(*certificate.Locus, string)) {
		for _, t := range traits {
			if _, seen := at[t.Locus]; !seen {
				at[t.Locus] = len(list)
				list = append(list, certificate.Locus{Locus: t.Locus})
			}
			set(&list[at[t.Locus]], t.Value)
		}
	}
	note(stock.Genotype, func(l *certificate.Locus, value string) { l.Genotype = value })
	note(stock.Phenotype, func(l *certificate.Locus, value string) { l.Phenotype = value })
	for _, one := range sure {
		switch i, seen := at[one.Locus]; {
		case !seen:
			list = append(list, one)
		case list[i].Genotype == "":
			list[i].Genotype, list[i].Inferred = one.Genotype, true
		}
	}
	return list
}

func (s *shower) provenanceSpawn(spawn *pedigree.Spawn, ofOne bool) certificate.Spawn {
	out := certificate.Spawn{ID: spawn.ID, Sire: parentWords(s.book, spawn, pedigree.Male, ofOne), Dam: parentWords(s.book, spawn, pedigree.Female, ofOne),
		Eggs: tallied(spawn.Eggs), Fertile: tallied(spawn.Fertile), Hatched: tallied(spawn.Hatched), Born: tallied(spawn.Born),
		Swimming: tallied(spawn.Swimming), Kept: tallied(spawn.Kept), Deformed: tallied(spawn.Deformed),
		Culled: tallied(spawn.Culled), Lost: tallied(spawn.Lost)}
	if spawn.Date.Known() {
		out.Date = spawn.Date.String()
	}
	if spawn.ConceivedWild && len(s.book.Contributors(spawn, pedigree.Male)) == 0 {
		out.Sire, out.UnseenWildSire = "a fish in the wild, which nobody saw: the dam was caught carrying", true
	}
	return out
}

func sortedKeys(m map[string]int) []string { return slices.Sorted(maps.Keys(m)) }
