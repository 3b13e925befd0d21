package forecast

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// Start is the fish that a forecast begins with. Fish that are alike, of a lot
// and of one sex, are one family.
type Start struct {
	Records  []Record
	Kinship  [][]float64 // of two different fish of the families
	Self     []float64   // of a fish of the family with itself
	Founders []string    // by share, greatest first
	Shares   [][]float64 // of the family's genes, by founder; what is short of 1 is unknown
	LeftOut  []LeftOut
}

// Record is a record of the book with its fish, and the family of each sex.
type Record struct {
	ID                      string
	Males, Females, Unsexed float64
	family                  [2]int // of a male, of a female
}

// LeftOut is a living record that takes no part.
type LeftOut struct{ ID, Why string }

// Numbers returns how many fish take part.
func (s *Start) Numbers() (n pedigree.Numbers) {
	for _, r := range s.Records {
		n.Males += r.Males
		n.Females += r.Females
		n.Unsexed += r.Unsexed
	}
	return n
}

// Check says why these fish cannot be bred so, nil where they can.
func (s *Start) Check(o Options) error {
	n := s.Numbers()
	groups := float64(o.groups())
	switch {
	case n.Total() == 0:
		return fmt.Errorf("no fish is living that could breed")
	case n.Males+n.Unsexed < 1:
		return fmt.Errorf("no male is living that could breed")
	case n.Females+n.Unsexed < 1:
		return fmt.Errorf("no female is living that could breed")
	case n.Total() < 2:
		return fmt.Errorf("only one fish is living that could breed")
	case n.Total() > MostLiving:
		return fmt.Errorf("%.0f fish are living, and at most %d are played forward", n.Total(), MostLiving)
	case n.Males+n.Unsexed < groups || n.Females+n.Unsexed < groups || n.Total() < 2*groups:
		return fmt.Errorf("%d groups need a male and a female each, and there are fewer", o.groups())
	}
	return nil
}

// From takes the fish of a line ("" for every fish of the book) that live on the
// state's date and are neither retired nor lent out. Fish still too young or in
// quarantine take part: by the time the next generation is bred they are grown
// and through. Errors: more than [MostFish] families of fish.
// O(families · nodes).
func From(state *genetics.State, line string) (*Start, error) {
	s := &Start{}
	on := state.Date()
	var mates []genetics.Mate
	for _, member := range state.Living(line).Records {
		if why := member.Stock.SetAside(on); why != "" {
			s.LeftOut = append(s.LeftOut, LeftOut{member.Stock.ID, why})
			continue
		}
		mates = s.add(state, member.Stock, mates)
		if len(mates) > MostFish {
			return nil, fmt.Errorf("the line has more than %d different records of living fish: too many to play forward", MostFish)
		}
	}
	s.relate(state, mates)
	s.found(state, mates)
	return s, nil
}

// add takes a record in, with a family for each sex that may be of another
// descent.
func (s *Start) add(state *genetics.State, stock *pedigree.Stock, mates []genetics.Mate) []genetics.Mate {
	r := Record{ID: stock.ID}
	if !stock.Lot {
		r.Males, r.Females, r.Unsexed = bySex(stock.Sex)
		mate, ok := state.Mate(stock.ID, stock.Sex)
		if !ok {
			return s.without(stock, mates)
		}
		r.family = [2]int{len(mates), len(mates)}
		s.Records = append(s.Records, r)
		return append(mates, mate)
	}
	at := state.Model().Book().LotHistory(stock.ID).At(state.Date())
	r.Unsexed = at.NeverSexed()
	r.Males, r.Females = at.Males-r.Unsexed/2, at.Females-r.Unsexed/2
	male, isMale := state.Mate(stock.ID, pedigree.Male)
	female, isFemale := state.Mate(stock.ID, pedigree.Female)
	if !isMale && !isFemale {
		return s.without(stock, mates)
	}
	first := len(mates)
	r.family = [2]int{first, first}
	if isMale {
		mates = append(mates, male)
	}
	if isFemale {
		r.family[1] = len(mates)
		mates = append(mates, female)
	}
	s.Records = append(s.Records, r)
	return mates
}

// without leaves a record out of which no fish can be had.
func (s *Start) without(stock *pedigree.Stock, mates []genetics.Mate) []genetics.Mate {
	s.LeftOut = append(s.LeftOut, LeftOut{stock.ID, "no fish to breed from"})
	return mates
}

func bySex(sex pedigree.Sex) (male, female, unsexed float64) {
	switch sex {
	case pedigree.Male:
		return 1, 0, 0
	case pedigree.Female:
		return 0, 1, 0
	}
	return 0, 0, 1
}

func (s *Start) relate(state *genetics.State, mates []genetics.Mate) {
	s.Kinship, s.Self = make([][]float64, len(mates)), make([]float64, len(mates))
	for i, a := range mates {
		s.Kinship[i] = make([]float64, len(mates))
		s.Self[i] = a.SelfKinship()
		row := state.KinshipRow(a)
		for j, b := range mates {
			s.Kinship[i][j] = row.With(b)
		}
		s.Kinship[i][i] = state.Fellows(a)
	}
}

// found fills in the founders' shares.
func (s *Start) found(state *genetics.State, mates []genetics.Mate) {
	sum := make(map[string]float64)
	lists := make([][]genetics.Share, len(mates))
	heads := s.heads()
	for i, mate := range mates {
		lists[i] = state.FoundersOf(mate)
		for _, share := range lists[i] {
			sum[share.ID] += heads[i] * share.Share
		}
	}
	s.Founders = slices.SortedFunc(maps.Keys(sum), func(a, b string) int {
		return cmp.Or(cmp.Compare(sum[b], sum[a]), cmp.Compare(a, b))
	})
	place := make(map[string]int)
	for i, id := range s.Founders {
		place[id] = i
	}
	s.Shares = make([][]float64, len(mates))
	for i, list := range lists {
		s.Shares[i] = make([]float64, len(s.Founders))
		for _, share := range list {
			s.Shares[i][place[share.ID]] = share.Share
		}
	}
}

// heads is how many fish each family has, one never sexed half to each sex.
func (s *Start) heads() []float64 {
	heads := make([]float64, len(s.Self))
	for _, r := range s.Records {
		heads[r.family[male]] += r.Males + r.Unsexed/2
		heads[r.family[female]] += r.Females + r.Unsexed/2
	}
	return heads
}
