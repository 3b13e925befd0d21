package pairing

import (
	"fmt"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// PlanOptions say what spawns a plan for a line may hold.
type PlanOptions struct {
	Line   string // "" for every fish of the book as one line
	Spawns int    // at most
	Keep   int    // fry kept in all
	Least  int    // kept of a spawn, at least 1
	Most   int    // kept of a spawn; 0 for no limit
	// PerMale and PerFemale are how many spawns one fish may have, at least 1.
	PerMale, PerFemale int
	// MaxInbreeding is the limit for the fry of every spawn; nil for the line's
	// goal. A limit is kept at exactly its value.
	MaxInbreeding *float64
	// Together are pairs that must be set up, Apart pairs that must not, in either
	// order; With are records that must have a spawn, Without those that must not.
	Together, Apart [][2]string
	With, Without   []string
	// IncludeLiving asks for the diversity of the line with the fry, not of the
	// fry alone.
	IncludeLiving bool
	// Toward is a fish of whose genes the fry are to have the greatest share; ""
	// for none. Spawns of two fish without any do not count, and the fry are spread
	// as evenly over the spawns as can be, unless Most is given.
	Toward string
	// Harmful says why two fish should not be put together besides being kin, ""
	// where nothing speaks against it; nil for no such reason.
	Harmful func(sire, dam *pedigree.Stock) string
}

// PlannedSpawn is a spawn of a plan.
type PlannedSpawn struct {
	Sire, Dam string
	// SireFish and DamFish number the fish of a lot that the plan uses, from 1; 0
	// for a single fish.
	SireFish, DamFish int
	Keep              int
	Inbreeding        float64 // of the fry
	Flags             []Flag
	// With Toward: the fish's share of the fry's genes, and the part of their
	// inbreeding that came through it.
	Share, Through float64

	sire, dam *candidate
}

// LinePlan is a plan for a line.
type LinePlan struct {
	Spawns []PlannedSpawn // by sire, then dam; none where no plan keeps the limits
	// GeneDiversity is of the fry kept, or, with IncludeLiving, of the line with
	// them; no plan has more than Bound. Exact: none is better at all.
	GeneDiversity, Bound float64
	Exact                bool

	OfFry       float64   // gene diversity of the fry kept
	Now, After  float64   // of the line now, and with the fry
	Living      float64   // heads
	Limit       *float64  // of inbreeding; nil: none
	Inbreeding  float64   // of the fry kept, on average
	LeftOut     []LeftOut // fish that could not be set up
	Reasons     []string  // why no plan can be, where it is no limit's doing
	Remedies    []Remedy  // what would let a plan be, where a limit is in the way
	KeptApart   []string  // pairs that Harmful kept apart, and why
	FounderFry  []genetics.Share
	FounderLine map[string]float64 // shares of the living fish

	// With Toward: the fish's share of the fry kept and of the living fish, the
	// inbreeding through it of the fry kept, on average, and the gene diversity that
	// the fry of the best plan without Toward would hold. No plan has a greater share
	// than ShareBound, and none more diversity than Bound.
	Share, ShareBound, ShareNow float64
	Through                     float64
	Without                     float64
}

// MostPlanned is how many fish a plan is chosen from at the most, the fish of a
// lot counted up to the number of spawns.
const MostPlanned = 800

// PlanLine chooses the spawns of a line that hold the most gene diversity: living,
// mature, unretired fish as in [Rank], lots offering as many males and females as
// they have. Two species, or two localities, are put together only where Together
// says so. stop is as in [Solve].
//
// The error says what is wrong with the options.
// O(candidates · nodes) beside [Solve].
func PlanLine(state *genetics.State, o PlanOptions, stop func() bool) (plan LinePlan, err error) {
	l, err := newLinePlanner(state, o)
	if err != nil {
		return plan, err
	}
	plan = l.begin()
	if len(plan.Reasons) > 0 {
		return plan, nil
	}
	if l.o.Toward != "" && l.o.Most == 0 {
		l.spread()
	}
	best, problem, ok := l.solve(stop)
	if !ok {
		plan.Remedies = l.remedies()
		return plan, nil
	}
	l.fill(&plan, best, problem)
	if l.o.Toward != "" {
		l.compare(&plan, best, stop)
	}
	return plan, nil
}

// linePlanner holds what a plan for a line is made of.
type linePlanner struct {
	state      *genetics.State
	o          PlanOptions
	living     genetics.Living
	candidates []candidate // males, then females
	males      int
	count      []int       // fish that each candidate has
	kinship    [][]float64 // of candidates, as two different fish
	leftOut    []LeftOut
	limit      *float64
	harmful    []string
	mean       float64   // kinship of the living
	withLiving []float64 // mean kinship of each candidate with them

	stamp   *genetics.Stamp // of Toward
	shares  []float64       // of each candidate's genes that came from it
	through [][]float64     // kinship by it
}

func newLinePlanner(state *genetics.State, o PlanOptions) (*linePlanner, error) {
	l := &linePlanner{state: state, o: o, living: state.Living(o.Line)}
	l.limit = limit(state.Model().Book(), Options{Line: o.Line, MaxInbreeding: o.MaxInbreeding})
	males, females, leftOut := candidates(state, l.living)
	l.leftOut, l.males = leftOut, len(males)
	l.candidates = append(males, females...)
	if err := l.checkNames(); err != nil {
		return nil, err
	}
	if err := l.checkNumbers(); err != nil {
		return nil, err
	}
	l.candidates = slices.DeleteFunc(l.candidates, func(c candidate) bool { return slices.Contains(o.Without, c.ID) })
	l.males = 0
	fish := 0
	for i := range l.candidates {
		c := &l.candidates[i]
		number := 1
		if c.stock.Lot {
			number = int(state.Model().Book().LotHistory(c.ID).At(state.Date()).OfSex(c.Sex))
		}
		l.count = append(l.count, number)
		fish += min(number, o.Spawns)
		if c.Sex == pedigree.Male {
			l.males++
		}
	}
	if fish > MostPlanned {
		return nil, fmt.Errorf("the line has %d fish that could be set up, and a plan is chosen from at most %d: mark those not to be bred as retired, or leave some out with --without",
			fish, MostPlanned)
	}
	l.relate()
	return l, l.follow()
}

// relate works out the kinships of the candidates.
func (l *linePlanner) relate() {
	n := len(l.candidates)
	l.kinship = make([][]float64, n)
	for i := range l.candidates {
		l.kinship[i] = make([]float64, n)
		row := l.state.KinshipRow(l.candidates[i].Mate)
		for j := range l.candidates {
			l.kinship[i][j] = row.With(l.candidates[j].Mate)
		}
		l.kinship[i][i] = l.state.Fellows(l.candidates[i].Mate)
	}
	for i := range n {
		for j := range i {
			l.kinship[i][j] = l.kinship[j][i]
		}
	}
	if l.living.Heads == 0 {
		return
	}
	row, mean := l.state.MeanKinshipRow(l.living)
	l.mean = mean
	for i := range l.candidates {
		l.withLiving = append(l.withLiving, row.With(l.candidates[i].Mate))
	}
}

// begin fills in what is known before a plan is sought.
func (l *linePlanner) begin() LinePlan {
	p := LinePlan{Living: l.living.Heads, Limit: l.limit, LeftOut: l.leftOut, Now: 1 - l.mean}
	females := len(l.candidates) - l.males
	switch {
	case l.living.Heads == 0:
		p.Reasons = append(p.Reasons, "no fish of the line is living")
	case l.males == 0 && females == 0:
		p.Reasons = append(p.Reasons, "no living fish of the line is mature, of known sex and not set aside")
	case females == 0:
		p.Reasons = append(p.Reasons, "the line has no living, mature female that is not set aside")
	case l.males == 0:
		p.Reasons = append(p.Reasons, "the line has no living, mature male that is not set aside")
	case l.o.Toward != "" && slices.Max(l.shares) <= 0:
		p.Reasons = append(p.Reasons, "no fish that could be set up has any genes from "+l.o.Toward)
	}
	return p
}

// slot is one fish that a plan may use.
type slot struct{ candidate, number int }

// slots are the fish in all, up to as many of a lot as there are spawns.
func (l *linePlanner) slots(o PlanOptions) []slot {
	var list []slot
	for i := range l.candidates {
		for number := range min(l.count[i], o.Spawns) {
			list = append(list, slot{i, number})
		}
	}
	return list
}

// problem puts the question in plain numbers, without what must be in the plan.
func (l *linePlanner) problem(o PlanOptions, slots []slot) *Problem {
	n := len(slots)
	p := &Problem{Kinship: make([][]float64, n), Uses: make([]int, n),
		Spawns: o.Spawns, Keep: o.Keep, Least: o.Least, Most: o.Most}
	for a, s := range slots {
		c := &l.candidates[s.candidate]
		p.Uses[a] = o.PerFemale
		if c.Sex == pedigree.Male {
			p.Males++
			p.Uses[a] = o.PerMale
		}
		p.Kinship[a] = make([]float64, n)
		for b, t := range slots {
			p.Kinship[a][b] = l.kinship[s.candidate][t.candidate]
		}
		p.Kinship[a][a] = c.SelfKinship()
	}
	may := l.allowed(o)
	females := len(l.candidates) - l.males
	p.Allowed = func(sire, dam int) bool {
		return may[slots[sire].candidate*females+slots[dam].candidate-l.males]
	}
	if o.IncludeLiving {
		p.Living = l.standing(slots)
	}
	if o.Toward != "" {
		for _, s := range slots {
			p.Toward = append(p.Toward, l.shares[s.candidate])
		}
	}
	return p
}

func (l *linePlanner) standing(slots []slot) *Standing {
	standing := &Standing{Heads: l.living.Heads, MeanKinship: l.mean}
	for _, s := range slots {
		standing.With = append(standing.With, l.withLiving[s.candidate])
	}
	return standing
}

// allowed tells which candidates may be put together.
func (l *linePlanner) allowed(o PlanOptions) []bool {
	limit := o.MaxInbreeding
	if limit == nil {
		limit = l.limit
	}
	var may []bool
	l.harmful = nil
	for i := range l.males {
		for j := l.males; j < len(l.candidates); j++ {
			sire, dam := &l.candidates[i], &l.candidates[j]
			ok := limit == nil || l.kinship[i][j] <= *limit+1e-12
			wanted := among(o.Together, sire.ID, dam.ID)
			ok = ok && !among(o.Apart, sire.ID, dam.ID) && (wanted || sire.species == dam.species && sire.locality == dam.locality)
			ok = ok && (o.Toward == "" || l.shares[i]+l.shares[j] > 0)
			if ok && !wanted && o.Harmful != nil {
				if why := o.Harmful(sire.stock, dam.stock); why != "" {
					l.harmful = append(l.harmful, fmt.Sprintf("%s with %s (%s)", sire.ID, dam.ID, why))
					ok = false
				}
			}
			may = append(may, ok)
		}
	}
	return may
}

// among reports whether two ids are one of the pairs, in either order.
func among(pairs [][2]string, a, b string) bool {
	return slices.Contains(pairs, [2]string{a, b}) || slices.Contains(pairs, [2]string{b, a})
}

// solve finds the best plan over all ways to meet what must be in it: a lot of both
// sexes may give a male or a female. ok is false where there is none.
func (l *linePlanner) solve(stop func() bool) (best Plan, problem *Problem, ok bool) {
	exact, bound, share := true, 0.0, 0.0
	for _, p := range l.ways(l.o) {
		plan, found := Solve(p, stop)
		if !found {
			continue
		}
		if !ok || plan.Share > best.Share || plan.Share == best.Share && plan.GeneDiversity > best.GeneDiversity {
			best, problem = plan, p
		}
		exact, bound, share, ok = exact && plan.Exact, max(bound, plan.Bound), max(share, plan.ShareBound), true
	}
	best.Exact, best.Bound, best.ShareBound = exact, bound, share
	return best, problem, ok
}

// fill puts a plan in terms of the line.
func (l *linePlanner) fill(p *LinePlan, best Plan, problem *Problem) {
	slots := l.slots(l.o)
	p.GeneDiversity, p.Bound, p.Exact = best.GeneDiversity, best.Bound, best.Exact
	alone, joined := *problem, *problem
	alone.Living, joined.Living, joined.Toward = nil, l.standing(slots), nil
	p.OfFry, p.After = alone.Value(best.Spawns), joined.Value(best.Spawns)
	p.KeptApart = l.harmful
	numbers := map[int]int{}
	number := func(at int) int {
		s := slots[at]
		if !l.candidates[s.candidate].stock.Lot {
			return 0
		}
		if numbers[at] == 0 {
			count := 1
			for other := range numbers {
				if slots[other].candidate == s.candidate {
					count++
				}
			}
			numbers[at] = count
		}
		return numbers[at]
	}
	shares := map[string]float64{}
	for _, c := range best.Spawns {
		sire, dam := &l.candidates[slots[c.Sire].candidate], &l.candidates[slots[c.Dam].candidate]
		f := l.kinship[slots[c.Sire].candidate][slots[c.Dam].candidate]
		p.Spawns = append(p.Spawns, PlannedSpawn{Sire: sire.ID, Dam: dam.ID, SireFish: number(c.Sire), DamFish: number(c.Dam),
			Keep: c.Keep, Inbreeding: f, Flags: flags(l.state.Date(), sire, dam, f, l.limit), sire: sire, dam: dam})
		part := float64(c.Keep) / float64(l.o.Keep)
		p.Inbreeding += part * f
		if l.stamp != nil {
			s, d, last := slots[c.Sire].candidate, slots[c.Dam].candidate, &p.Spawns[len(p.Spawns)-1]
			last.Share, last.Through = (l.shares[s]+l.shares[d])/2, l.through[s][d]
			p.Through += part * last.Through
		}
		for _, share := range average(sire.founders, dam.founders) {
			shares[share.ID] += part * share.Share
		}
	}
	p.FounderFry, p.FounderLine = sortedShares(shares), lineShares(l.state, l.living)
}
