package genetics_test

import (
	"fmt"
	"math"

	"roebook/pedigree"
)

// stage is one change of a lot's number.
type stage struct {
	before, after pedigree.Count // as stated
	left          pedigree.Count // as stated
	sub           *lotPlan       // left as a lot of its own
	census        bool
	unsexedPick   bool // one fish, whose sex nobody ever knew
	// What the lot held, with sexes told later used earlier.
	males, females         float64 // before
	knownMales, knownFems  float64 // before, without the unsexed
	malesAfter, femalAfter float64
}

// lotPlan is the history of a lot's numbers.
type lotPlan struct {
	stock    *pedigree.Stock
	now      pedigree.Count // stated, while the history is being written
	stages   []stage
	spawns   []spawnUse
	resolved bool
	// What it began with, as stage has it.
	males, females, knownMales, knownFems float64
}

type spawnUse struct {
	spawn *pedigree.Spawn
	stage int // number of stages before it
}

// resolve goes back over the lot's history and finds its males and females.
// What is known of a sex is what was stated then, or what is known to be there
// afterwards and to have left; half of the other fish count to each sex.
func (lot *lotPlan) resolve() {
	if lot.resolved {
		return
	}
	lot.resolved = true
	a, b := float64(lot.now.Males), float64(lot.now.Females)
	m, f := halves(a, b, lot.now)
	for i := len(lot.stages) - 1; i >= 0; i-- {
		s := &lot.stages[i]
		s.malesAfter, s.femalAfter = m, f
		leftM, leftF := float64(s.left.Males), float64(s.left.Females)
		if s.sub != nil {
			s.sub.resolve()
			leftM, leftF = s.sub.knownMales, s.sub.knownFems
		}
		a = max(float64(s.before.Males), a+leftM)
		b = max(float64(s.before.Females), b+leftF)
		m, f = halves(a, b, s.before)
		s.males, s.females, s.knownMales, s.knownFems = m, f, a, b
	}
	lot.males, lot.females, lot.knownMales, lot.knownFems = m, f, a, b
}

func halves(a, b float64, stated pedigree.Count) (m, f float64) {
	rest := max(0, float64(stated.Total())-a-b)
	return a + rest/2, b + rest/2
}

// check refuses a lot that explicit fish cannot represent exactly.
func (p *play) check(lot *lotPlan) error {
	if c := lot.stock.Count; min(c.Males, c.Females, c.Unsexed) < 0 || !whole(lot.males) || !whole(lot.females) || int(lot.males+lot.females) != lot.stock.Count.Total() {
		return fmt.Errorf("begins with %g males and %g females", lot.males, lot.females)
	}
	for _, s := range lot.stages {
		if min(s.after.Males, s.after.Females, s.after.Unsexed) < 0 {
			return fmt.Errorf("holds less than no fish")
		}
	}
	first := len(lot.stages) // the first pick of a fish of unknown sex
	for i, s := range lot.stages {
		if s.unsexedPick && first == len(lot.stages) {
			first = i
			if s.before.Males+s.before.Females > 0 || s.males != s.females || !whole(s.males) {
				return fmt.Errorf("a fish of unknown sex leaves a lot that is not half and half")
			}
			// Where the males and the females share different things, the model
			// takes each unsexed fish for male with one half on its own; here
			// they are half and half as a whole.
			if p.fromMerged(lot.stock) {
				return fmt.Errorf("a fish of unknown sex leaves a merged lot")
			}
		}
		if i > first && !s.unsexedPick {
			return fmt.Errorf("something follows a pick of unknown sex")
		}
		if i >= first {
			continue
		}
		if err := s.check(); err != nil {
			return err
		}
	}
	return lot.checkAfterUnsexed(first)
}

func (p *play) fromMerged(s *pedigree.Stock) bool {
	for s.Picked != "" {
		s = p.book.StockByID(s.Picked)
	}
	return s.Merged != nil
}

// checkAfterUnsexed allows only one spawn of one pair after a fish of unknown
// sex has left: the number of males is then a matter of chance, and the mean of
// 1/males is not 1/mean.
func (lot *lotPlan) checkAfterUnsexed(first int) error {
	later := 0
	for _, use := range lot.spawns {
		if use.stage <= first {
			continue
		}
		later++
		s := use.spawn
		if s.Sires.N > 1 || s.Sires.All || s.Dams.N > 1 || s.Dams.All ||
			len(s.Group) > 1 || len(s.Sire.Candidates) > 1 || len(s.Dam.Candidates) > 1 {
			return fmt.Errorf("several parents after a pick of unknown sex")
		}
		if lot.stages[first].males-float64(use.stage-first) < 1 {
			return fmt.Errorf("perhaps no male left after a pick of unknown sex")
		}
	}
	if later > 1 {
		return fmt.Errorf("two spawns after a pick of unknown sex")
	}
	return nil
}

func (s *stage) check() error {
	m, f := s.males-s.malesAfter, s.females-s.femalAfter
	if !whole(s.males) || !whole(s.females) || !whole(m) || !whole(f) || m < 0 || f < 0 {
		return fmt.Errorf("%g males and %g females leave", m, f)
	}
	if s.census {
		return nil
	}
	wantM := float64(s.left.Males) + float64(s.left.Unsexed)/2
	wantF := float64(s.left.Females) + float64(s.left.Unsexed)/2
	if s.sub != nil {
		wantM, wantF = s.sub.males, s.sub.females
	}
	if m != wantM || f != wantF {
		return fmt.Errorf("%g males and %g females leave where %g and %g are told", m, f, wantM, wantF)
	}
	return nil
}

// at returns the males and females in the lot after so many stages.
func (lot *lotPlan) at(stages int) (m, f float64) {
	switch {
	case stages < len(lot.stages):
		return lot.stages[stages].males, lot.stages[stages].females
	case stages == 0:
		return lot.males, lot.females
	}
	return lot.stages[stages-1].malesAfter, lot.stages[stages-1].femalAfter
}

// checkParents refuses a spawn none of whose possible sires, or dams, were there.
func (p *play) checkParents(s *pedigree.Spawn) error {
	sires, dams := s.Group, s.Group
	if s.Group == nil {
		sires, dams = ids(s.Sire), ids(s.Dam)
	}
	var m, f float64
	count := func(list []string, n *float64, sex pedigree.Sex) {
		for _, id := range list {
			lot := p.lots[id]
			if lot == nil {
				if fish := p.book.StockByID(id); s.Group == nil || fish.Sex == sex {
					*n++
				}
				continue
			}
			for _, use := range lot.spawns {
				if use.spawn == s {
					males, females := lot.at(use.stage)
					if sex == pedigree.Male {
						*n += males
					} else {
						*n += females
					}
					break
				}
			}
		}
	}
	count(sires, &m, pedigree.Male)
	count(dams, &f, pedigree.Female)
	if len(sires) > 0 && m == 0 || len(dams) > 0 && f == 0 {
		return fmt.Errorf("%s has nobody to breed", s.ID)
	}
	return nil
}

// checkSpawns refuses parents that were not there, and merged lots whose
// numbers are not those of their parts.
func (p *play) checkSpawns() error {
	for _, s := range p.book.Spawns {
		if err := p.checkParents(s); err != nil {
			return err
		}
	}
	for _, e := range p.events {
		if e.kind != eventBegin || e.stock.Merged == nil {
			continue
		}
		var m, f float64
		for _, t := range e.taken {
			switch {
			case t.lot != nil:
				s := t.lot.stages[t.stage]
				m, f = m+s.males-s.malesAfter, f+s.females-s.femalAfter
			case t.fish.Sex == pedigree.Male:
				m++
			case t.fish.Sex == pedigree.Female:
				f++
			default:
				return fmt.Errorf("%s: a fish of unknown sex is moved in", e.stock.ID)
			}
		}
		if lot := p.lots[e.stock.ID]; m != lot.males || f != lot.females {
			return fmt.Errorf("%s holds %g + %g of %g + %g", e.stock.ID, lot.males, lot.females, m, f)
		}
	}
	return nil
}

func whole(x float64) bool { return x == math.Trunc(x) }
