package pairing

import (
	"cmp"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// Options say which pairs to rank and by what.
type Options struct {
	Line string // "" for every fish of the book as one line
	Keep int    // fry kept, at least 1
	// MaxInbreeding is the limit for the fry; nil for the line's goal. A limit
	// is kept at exactly its value.
	MaxInbreeding *float64
}

// Flag is a reason to look twice at a pair.
type Flag string

// The flags.
const (
	OverLimit       Flag = "over_limit"       // inbreeding of the fry above the limit
	Hybrid          Flag = "hybrid"           // two species
	MixedLocalities Flag = "mixed_localities" // two localities
	Quarantine      Flag = "quarantine"       // one of them is still in quarantine
	LastDay         Flag = "last_day"         // one of them died, was sold, lent or retired that day, which counts from the next
	SexNotTold      Flag = "sex_not_told"     // out of a lot with no fish told to be of that sex
	BothOfOneLot    Flag = "one_lot"          // both out of one lot
	UnknownAncestor Flag = "unknown_ancestor" // some genes are from unknown fish, taken as related to no other
)

// Pair is one possible spawn.
type Pair struct {
	Sire, Dam     string
	Inbreeding    float64 // of the fry: the kinship of the two
	GeneDiversity float64 // of the line if this spawn were added
	MeanKinship   float64 // of the fry with the living fish of the line
	Flags         []Flag

	sire, dam *candidate
	line      *lineFacts
}

// Founders returns the founders of the fry with their shares, greatest first.
// O(founders log founders).
func (p Pair) Founders() []genetics.Share { return average(p.sire.founders, p.dam.founders) }

// Generation returns the generation from wild of the fry.
func (p Pair) Generation() pedigree.Generation {
	return p.line.state.GenerationOfPair(p.Sire, p.Dam)
}

// Forward returns the founders of which the fry hold more than the line does on
// average, although the line holds less of them than an equal share; the
// greatest gain first.
func (p Pair) Forward() []Forward { return forward(p.Founders(), p.line.shares) }

// Has reports whether the pair is flagged so.
func (p Pair) Has(f Flag) bool { return slices.Contains(p.Flags, f) }

// Forward is a founder that a pair brings forward.
type Forward struct {
	ID          string
	Share       float64 // of the fry
	ShareOfLine float64
}

// Ranking is every possible pair of a line, best first.
type Ranking struct {
	Pairs         []Pair
	Living        float64  // heads
	GeneDiversity float64  // of the line as it stands
	Limit         *float64 // nil: no limit
	LeftOut       []LeftOut
	// Possible is the number of pairs there are. Above MostPairs none is ranked:
	// Pairs is empty.
	Possible int
}

// MostPairs is how many pairs are ranked at the most.
const MostPairs = 4_000_000

// LeftOut is a living record that was not paired.
type LeftOut struct{ ID, Why string }

// Rank pairs every living, mature, unretired male of a line with every such
// female and orders them by the gene diversity that the line would have with
// Keep fry of the pair added,
//
//	1 − [N²·k̄ + 2NK·k̄(fry) + K(K−1)·k(two fry) + K·½(1+F)] / (N+K)²
//
// with k̄ the mean kinship of the N living fish and k̄(fry) that of a fry with
// them. A lot offers one of its fish.
// O((males + females) · nodes + pairs · log pairs).
func Rank(state *genetics.State, o Options) Ranking {
	book := state.Model().Book()
	living := state.Living(o.Line)
	r := Ranking{Living: living.Heads, Limit: limit(book, o)}
	if living.Heads == 0 {
		return r
	}
	males, females, leftOut := candidates(state, living)
	r.LeftOut = leftOut
	mean, meanKinship := state.MeanKinshipRow(living)
	r.GeneDiversity = 1 - meanKinship
	line := &lineFacts{state, lineShares(state, living)}
	n, k := living.Heads, float64(o.Keep)
	if r.Possible = len(males) * len(females); r.Possible > MostPairs {
		return r
	}
	r.Pairs = make([]Pair, 0, r.Possible)
	for i := range males {
		sire := &males[i]
		row := state.KinshipRow(sire.Mate)
		for j := range females {
			dam := &females[j]
			f := row.With(dam.Mate)
			ofFry := (mean.With(sire.Mate) + mean.With(dam.Mate)) / 2
			twoFry := (sire.SelfKinship()+dam.SelfKinship())/4 + f/2
			sum := n*n*meanKinship + 2*n*k*ofFry + k*(k-1)*twoFry + k*(1+f)/2
			p := Pair{
				Sire: sire.ID, Dam: dam.ID, Inbreeding: f, GeneDiversity: 1 - sum/((n+k)*(n+k)), MeanKinship: ofFry,
				Flags: flags(state.Date(), sire, dam, f, r.Limit), sire: sire, dam: dam, line: line,
			}
			r.Pairs = append(r.Pairs, p)
		}
	}
	slices.SortFunc(r.Pairs, func(a, b Pair) int {
		return cmp.Or(cmp.Compare(b.GeneDiversity, a.GeneDiversity), cmp.Compare(a.Inbreeding, b.Inbreeding),
			cmp.Compare(a.Sire, b.Sire), cmp.Compare(a.Dam, b.Dam))
	})
	return r
}

func limit(book *pedigree.Book, o Options) *float64 {
	if o.MaxInbreeding != nil {
		return o.MaxInbreeding
	}
	if line := book.LineNamed(o.Line); line != nil {
		return line.Goal.MaxInbreeding
	}
	return nil
}

// candidate is a fish, or one fish of a lot, that could be set up to breed.
type candidate struct {
	genetics.Mate
	stock    *pedigree.Stock
	untold   bool // of a lot with no fish told to be of that sex
	lastDay  bool // from the next day it is gone, or not to be bred
	founders []genetics.Share
	recorded float64 // share of its genes that those founders account for
	species  string
	locality string
}

// lineFacts is what the pairs of a line have in common.
type lineFacts struct {
	state  *genetics.State
	shares map[string]float64 // of the living fish, by founder
}

func candidates(state *genetics.State, living genetics.Living) (males, females []candidate, leftOut []LeftOut) {
	book, on := state.Model().Book(), state.Date()
	for _, member := range living.Records {
		s := member.Stock
		if why := s.SetAside(on); why != "" {
			leftOut = append(leftOut, LeftOut{s.ID, why})
			continue
		}
		var offered, young bool
		for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
			c, ok := offer(state, s, sex)
			if !ok {
				continue
			}
			if !book.Mature(s, sex, on) {
				young = true
				continue
			}
			offered = true
			c.lastDay = lastDay(book, s, sex, on)
			c.founders = state.FoundersOf(c.Mate)
			c.recorded = recorded(c.founders)
			c.species, c.locality = book.SpeciesOf(s), book.LocalityOf(s)
			if sex == pedigree.Male {
				males = append(males, c)
			} else {
				females = append(females, c)
			}
		}
		switch {
		case young:
			leftOut = append(leftOut, LeftOut{s.ID, "too young"})
		case !offered:
			leftOut = append(leftOut, LeftOut{s.ID, "sex not told"})
		}
	}
	return males, females, leftOut
}

// lastDay reports whether the record may breed on the day but not on the next, for
// what happened to it that day.
func lastDay(book *pedigree.Book, s *pedigree.Stock, sex pedigree.Sex, on pedigree.Date) bool {
	if !on.Known() {
		return false
	}
	next := on.AddDays(1)
	left := s.Died == on
	for _, sale := range s.Sold {
		left = left || sale.Date == on
	}
	if left && s.Lot {
		left = book.LotHistory(s.ID).At(next).OfSex(sex) < 1
	}
	return left || s.Retired == on || s.LentOut(next) && !s.LentOut(on)
}

// offer returns one fish of the record as that sex. A lot offers a fish of a
// sex that it may hold at least one whole fish of.
func offer(state *genetics.State, s *pedigree.Stock, sex pedigree.Sex) (c candidate, ok bool) {
	c.stock = s
	if s.Lot {
		at := state.Model().Book().LotHistory(s.ID).At(state.Date())
		if at.OfSex(sex) < 1 {
			return c, false
		}
		c.untold = sex == pedigree.Male && at.Stated.Males < 1 || sex == pedigree.Female && at.Stated.Females < 1
	} else if s.Sex != sex {
		return c, false
	}
	c.Mate, ok = state.Mate(s.ID, sex)
	return c, ok
}

func flags(on pedigree.Date, sire, dam *candidate, inbreeding float64, limit *float64) []Flag {
	var list []Flag
	if limit != nil && inbreeding > *limit+1e-12 {
		list = append(list, OverLimit)
	}
	if sire.species != dam.species {
		list = append(list, Hybrid)
	} else if sire.locality != dam.locality {
		list = append(list, MixedLocalities)
	}
	if sire.stock.QuarantineUntil > on || dam.stock.QuarantineUntil > on {
		list = append(list, Quarantine)
	}
	if sire.lastDay || dam.lastDay {
		list = append(list, LastDay)
	}
	if sire.untold || dam.untold {
		list = append(list, SexNotTold)
	}
	if sire.ID == dam.ID {
		list = append(list, BothOfOneLot)
	}
	if sire.recorded < 1-1e-9 || dam.recorded < 1-1e-9 {
		list = append(list, UnknownAncestor)
	}
	return list
}

// lineShares are the founders' shares of the living fish.
func lineShares(state *genetics.State, living genetics.Living) map[string]float64 {
	shares := make(map[string]float64)
	for _, share := range state.FoundersOfLiving(living) {
		shares[share.ID] = share.Share
	}
	return shares
}

// forward lists the founders below an equal share of the line that the fry hold
// more of, the greatest gain first.
func forward(fry []genetics.Share, line map[string]float64) []Forward {
	equal := 1 / float64(max(len(line), 1))
	var list []Forward
	for _, share := range fry {
		if now := line[share.ID]; now < equal-1e-12 && share.Share > now+1e-12 {
			list = append(list, Forward{share.ID, share.Share, now})
		}
	}
	slices.SortStableFunc(list, func(a, b Forward) int {
		return cmp.Compare(b.Share-b.ShareOfLine, a.Share-a.ShareOfLine)
	})
	return list
}

// recorded is the share of genes that founders in the book account for.
func recorded(founders []genetics.Share) float64 {
	sum := 0.0
	for _, share := range founders {
		sum += share.Share
	}
	return sum
}

// average is the founder shares of fry of two fish, greatest first.
func average(sire, dam []genetics.Share) []genetics.Share {
	sum := make(map[string]float64, len(sire)+len(dam))
	for _, list := range [][]genetics.Share{sire, dam} {
		for _, share := range list {
			sum[share.ID] += share.Share / 2
		}
	}
	return sortedShares(sum)
}

// sortedShares lists shares, greatest first.
func sortedShares(sum map[string]float64) []genetics.Share {
	shares := make([]genetics.Share, 0, len(sum))
	for id, share := range sum {
		shares = append(shares, genetics.Share{ID: id, Share: share})
	}
	slices.SortFunc(shares, func(a, b genetics.Share) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.ID, b.ID))
	})
	return shares
}
