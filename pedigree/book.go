package pedigree

import (
	"slices"
	"strings"
	"sync"
)

// Book is everything a keeper has recorded: the lines, the stock and the
// spawns. Lines are sorted by name, Stock and Spawns by id, whatever the order
// and the files they were written in. Call [Book.Arrange] after filling it.
type Book struct {
	Name     string
	Keeper   string
	IDPrefix string
	Table    bool // made of a plain table: its founders need not be wild-caught, its spawns have no ids of their own

	Lines  []*Line
	Stock  []*Stock
	Spawns []*Spawn

	Where Where // of roebook.yaml

	line    map[string]*Line
	stock   map[string]int32    // numbers: see StockNumber
	spawn   map[string]int32    // the same
	lots    []*LotHistory       // by number; nil for a fish
	born    []Date              // by number
	kinds   [2][]string         // by number: species and locality, followed through descent
	merged  map[string][]*Stock // merged lots by the id of a part
	grouped map[string]bool     // records named in the group of a spawn
	descent *Descent

	// What records left out by Without had taken from those that are still here.
	taken     map[string][]LotEvent // out of lots
	mergedOut map[string][]*Stock   // merged lots left out, by the id of a fish
}

// Arrange sorts the records and makes them findable by id. Of two records with
// one id the first in (file, line) order is kept findable. O(n log n).
func (b *Book) Arrange() {
	var parts sync.WaitGroup
	parts.Go(b.arrangeStock)
	parts.Go(b.arrangeSpawns)
	slices.SortStableFunc(b.Lines, func(x, y *Line) int { return strings.Compare(x.Name, y.Name) })
	b.line = make(map[string]*Line, len(b.Lines))
	for _, l := range b.Lines {
		if b.line[l.Name] == nil {
			b.line[l.Name] = l
		}
	}
	parts.Wait()
	b.derive()
}

func (b *Book) arrangeStock() {
	slices.SortStableFunc(b.Stock, func(x, y *Stock) int { return strings.Compare(x.ID, y.ID) })
	b.stock = make(map[string]int32, len(b.Stock))
	b.merged = make(map[string][]*Stock)
	for i, s := range b.Stock {
		if i == 0 || b.Stock[i-1].ID != s.ID {
			b.stock[s.ID] = int32(i)
		}
		for _, part := range s.Merged {
			b.merged[part.ID] = append(b.merged[part.ID], s)
		}
	}
	for id, lots := range b.mergedOut {
		b.merged[id] = append(b.merged[id], lots...)
	}
}

func (b *Book) arrangeSpawns() {
	slices.SortStableFunc(b.Spawns, func(x, y *Spawn) int { return strings.Compare(x.ID, y.ID) })
	b.spawn = make(map[string]int32, len(b.Spawns))
	b.grouped = make(map[string]bool)
	for i, s := range b.Spawns {
		if i == 0 || b.Spawns[i-1].ID != s.ID {
			b.spawn[s.ID] = int32(i)
		}
		for _, id := range s.Group {
			b.grouped[id] = true
		}
	}
}

// derive works out what follows from the records, each part by itself: none
// reads what another writes.
func (b *Book) derive() {
	var parts sync.WaitGroup
	parts.Go(b.playLots)
	parts.Go(func() { b.born = b.birthDates() })
	parts.Go(func() { b.descent = newDescent(b) })
	parts.Go(func() {
		b.kinds[0] = b.follow(func(s *Stock) string { return s.Species }, func(l *Line) string { return l.Species })
	})
	parts.Go(func() {
		b.kinds[1] = b.follow(func(s *Stock) string { return s.Locality }, func(l *Line) string { return l.Locality })
	})
	parts.Wait()
}

// LineNamed returns the line of that name, nil where there is none.
func (b *Book) LineNamed(name string) *Line { return b.line[name] }

// Line is one breeding line: a species, usually of one locality.
type Line struct {
	Name              string
	Species           string
	CommonName        string
	Locality          string
	BroodWord         string // litter, spawn, clutch or brood; "" is spawn
	SexDetermination  string // XY, ZW, WXY or unknown; "" is unknown
	StoresSpermMonths float64
	MatureMonths      MatureMonths
	Goal              Goal
	Tanks             []Tank // sorted by ID
	RelatedFounders   []RelatedFounders
	Loci              []Locus // sorted by Name
	Note              string
	Where             Where
}

// MatureMonths is the age at maturity in months; 0 where it is not known.
type MatureMonths struct{ Male, Female float64 }

// Goal is what the keeper wants to hold the line to; each part may be unstated
// (nil, or 0 for Generations).
type Goal struct {
	GeneDiversity *float64
	Generations   int
	MaxInbreeding *float64
}

// Tank is a place where fish are kept.
type Tank struct {
	ID     string
	Litres float64 // 0 where not stated
	Place  string
	Note   string
	Where  Where
}

// RelatedFounders says that separate founder records are kin: any two fish of
// different records in Of have the stated Kinship.
type RelatedFounders struct {
	Of      []string
	Kinship float64
	Why     string
	Where   Where
}

// Sex of one fish.
type Sex int8

// The sexes of a fish.
const (
	Unsexed Sex = iota
	Male
	Female
)

func (s Sex) String() string { return [...]string{"unsexed", "male", "female"}[s] }

// Count is a number of fish by sex.
type Count struct{ Males, Females, Unsexed int }

// Total is the number of fish of any sex.
func (c Count) Total() int { return c.Males + c.Females + c.Unsexed }

// Stock is one fish, or (if Lot) a lot of exchangeable fish. Exactly one of
// Wild, Bought, FromSpawns, Picked and Merged says where it came from.
type Stock struct {
	ID    string
	Line  string
	Lot   bool
	Sex   Sex   // of a fish
	Count Count // of a lot, as it began

	Wild       *Wild
	Bought     *Bought
	FromSpawns []FromSpawn // one, or several with their numbers or odds
	Picked     string      // id of the lot it was taken out of
	Merged     []Part      // sorted by ID

	Date            Date // when the record begins, as stated under `date`
	Born            Date // as stated
	Name            string
	Species         string // where it differs from the line's
	Locality        string // where it differs from the line's
	Tank            string
	Note            string
	Genotype        []Trait // sorted by Locus
	Phenotype       []Trait // sorted by Locus
	Died            Date
	Gone            bool // not living, and since when is not known
	Retired         Date
	QuarantineUntil Date
	Sold            []Sale
	Lent            []Loan
	Changes         []Change

	Where Where
}

// Wild says that the fish were caught.
type Wild struct {
	Site      string
	Date      Date
	Collector string
	Permit    string
	Related   float64 // kinship of two members, 0 where nothing is stated
	Note      string
}

// Bought says that the fish's own parents are not in the book.
type Bought struct {
	From          string
	Date          Date
	Generation    *Declared // the seller's word, nil where none was given
	Related       float64   // kinship of two members; see RelatedStated
	RelatedStated bool      // false: taken as siblings (or one strain where Inbreeding is 1)
	Inbreeding    float64   // the founder's declared inbreeding coefficient
	Note          string
}

// Declared is a generation from wild as a seller states it: F3, F2-F4 or F2+.
type Declared struct {
	Min, Max int
	AtLeast  bool // F2+
}

// FromSpawn is one spawn a record came from. Share is the number of fry in a
// lot, or the odds for one fish; 1 where only one spawn is named.
type FromSpawn struct {
	Spawn string
	Share float64
}

// Part is what one record gave to a merged lot.
type Part struct {
	ID    string
	Count Count
	Whole bool // a bare number was written: Count.Unsexed holds it
}

// Trait is a genotype or phenotype at a named locus, as written.
type Trait struct{ Locus, Value string }

// Sale is fish sold or given away. For a lot without numbers (Numbered false)
// the whole lot went.
type Sale struct {
	Date     Date
	To       string
	Count    Count
	Numbered bool
	Note     string
}

// Loan is a fish or lot lent out from Date until Back (0: still away).
type Loan struct {
	Date, Back Date
	To         string
	Note       string
}

// Change is a full new census of a lot.
type Change struct {
	Date  Date
	Count Count
	Why   string
}

// Tally is a number that may not have been stated.
type Tally struct {
	N      int
	Stated bool
}

// Parents is how many different parents of one side gave to the fry.
type Parents struct {
	N   int  // 0 where not stated: one
	All bool // every candidate gave its share
}

// Number returns how many parents there were, at least 1; candidates is the
// number there were to choose from.
func (p Parents) Number(candidates float64) float64 {
	switch {
	case p.All:
		return max(candidates, 1)
	case p.N == 0:
		return 1
	}
	return float64(p.N)
}

// Candidate is one record that may have been a parent, with its odds (1 where
// none are stated).
type Candidate struct {
	ID   string
	Odds float64
}

// Side is the sire side or the dam side of a spawn: the records that may have
// been the parent. Empty: one unknown fish.
type Side struct {
	Candidates []Candidate // in the order written
	Odds       bool        // the odds were stated, record by record
}

// Spawn says who bred. Group means both parents came from those lots; Repeat
// names an earlier spawn of the same parents.
type Spawn struct {
	ID      string
	Line    string
	Date    Date
	Planned Date // only intended: no part in kinship

	Sire, Dam   Side
	Group       []string
	Repeat      string
	Sires, Dams Parents

	Eggs, Fertile, Hatched, Born, Swimming, Kept Tally
	Deformed, Culled, Lost                       Tally

	Seen     []Seen // sorted by Locus
	SeenDays Tally
	Virgin   bool
	// ConceivedWild: the dam was caught carrying, so the fry count as wild.
	ConceivedWild bool
	Intended      bool
	Tank          string
	Conditions    []Condition // sorted by Key
	Note          string

	Where Where
}

// IsPlanned reports whether the spawn is only intended.
func (s *Spawn) IsPlanned() bool { return s.Planned.Known() && !s.Date.Known() }

// Seen is how many fry showed each phenotype at a locus.
type Seen struct {
	Locus  string
	Counts []SeenCount // sorted by Phenotype
}

// SeenCount is the number of fry of one phenotype.
type SeenCount struct {
	Phenotype string
	N         int
}

// Condition is one remark on how a spawn came about, as written.
type Condition struct{ Key, Value string }

// Locus is the keeper's declaration of a Mendelian locus.
type Locus struct {
	Name           string
	Inheritance    string          // autosomal, X, Y, Z, W or XY; "" where Loci are read
	Recombination  float64         // with XY: against sex
	Alleles        []string        // first is wild type
	Loci           []string        // of a phenotype that reads several loci
	Phenotypes     []PhenotypeRule // in the order written
	Lethal         []string
	Penetrance     []GenotypeShare // in the order written
	ScoredFromDays int
	Frequency      []AlleleShare // in the order written
	LinkedTo       string
	LinkedMale     float64
	LinkedFemale   float64
	Source         string
	Note           string
	Where          Where
}

// PhenotypeRule gives the phenotype of the genotypes that match a pattern.
type PhenotypeRule struct{ Pattern, Phenotype string }

// GenotypeShare is a share between 0 and 1 for a genotype.
type GenotypeShare struct {
	Genotype string
	Share    float64
}

// AlleleShare is the frequency of an allele among founders.
type AlleleShare struct {
	Allele string
	Share  float64
}
