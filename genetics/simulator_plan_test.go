package genetics_test

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"roebook/pedigree"
)

// The simulator plays a book forward with explicit fish. It is written from
// the rules of the records alone, without looking at the compiler: this file
// puts the events in order and finds out how many males and females each lot
// held at every moment; simulator_test.go plays them.

type eventKind int

const (
	eventBegin  eventKind = iota // a founder, fry, pick, sublot or merged lot
	eventCensus                  // the fish that are too many die
	eventSpawn
	eventGone // sold, or the whole lot died
)

// The order of the parts of one day.
const (
	phaseMove = iota
	phaseCensus
	phaseSpawn
	phaseEvening // counts from the next day
)

type event struct {
	kind  eventKind
	date  pedigree.Date
	phase int
	stock *pedigree.Stock
	spawn *pedigree.Spawn
	taken []taken // out of which lots, at which stage of each
}

// taken points to one stage of a lot's history, or to one fish.
type taken struct {
	lot   *lotPlan
	stage int
	fish  *pedigree.Stock
}

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

// play is a book whose events are in order.
type play struct {
	book   *pedigree.Book
	events []event
	lots   map[string]*lotPlan
	begun  map[string]bool
	today  map[string]bool // the fry of this day
	spawnt map[string]bool
}

// newPlay orders the events of a book. It returns an error for a book that
// breaks the rules or that explicit fish cannot represent exactly (half a
// male, or a sex that would depend on chance where the model takes its mean).
func newPlay(book *pedigree.Book) (*play, error) {
	p := &play{book: book, lots: map[string]*lotPlan{}, begun: map[string]bool{}, spawnt: map[string]bool{}}
	for _, s := range book.Stock {
		if s.Lot {
			p.lots[s.ID] = &lotPlan{stock: s, now: s.Count}
		}
	}
	if err := p.order(); err != nil {
		return nil, err
	}
	for _, s := range book.Stock {
		if !p.begun[s.ID] {
			return nil, fmt.Errorf("%s never begins", s.ID)
		}
	}
	for _, s := range book.Spawns {
		if !p.spawnt[s.ID] && !s.IsPlanned() {
			return nil, fmt.Errorf("%s never happens", s.ID)
		}
	}
	for _, lot := range p.lots {
		lot.resolve()
	}
	for _, lot := range p.lots {
		if err := p.check(lot); err != nil {
			return nil, fmt.Errorf("%s: %w", lot.stock.ID, err)
		}
	}
	return p, p.checkSpawns()
}

func isFounder(s *pedigree.Stock) bool { return s.Wild != nil || s.Bought != nil }

func (p *play) order() error {
	for _, s := range p.book.Stock {
		if isFounder(s) {
			if err := p.begin(s, 0, phaseMove); err != nil {
				return err
			}
		}
	}
	if err := p.spawnsOf(0); err != nil {
		return err
	}
	for _, date := range p.dates() {
		if err := p.day(date); err != nil {
			return err
		}
	}
	return nil
}

// dates returns every date on which something happens, in order.
func (p *play) dates() []pedigree.Date {
	seen := map[pedigree.Date]bool{}
	for _, s := range p.book.Stock {
		if s.Picked != "" || s.Merged != nil {
			seen[s.Date] = true
		}
		for _, c := range s.Changes {
			seen[c.Date] = true
		}
		for _, c := range s.Sold {
			seen[c.Date] = true
		}
		seen[s.Died] = true
	}
	for _, s := range p.book.Spawns {
		seen[s.Date] = true
	}
	delete(seen, 0)
	dates := make([]pedigree.Date, 0, len(seen))
	for d := range seen {
		dates = append(dates, d)
	}
	slices.Sort(dates)
	return dates
}

// day writes the events of one day: picks and moves, the census, spawns, and
// in the evening what died or was sold.
func (p *play) day(date pedigree.Date) error {
	// Picks first: a lot that moves whole is what the picks of that day left.
	for next := p.nextMove(date); next != nil; next = p.nextMove(date) {
		if err := p.begin(next, date, phaseMove); err != nil {
			return err
		}
	}
	for _, s := range p.book.Stock {
		for _, c := range s.Changes {
			if c.Date != date {
				continue
			}
			lot := p.lots[s.ID]
			if !p.begun[s.ID] {
				return fmt.Errorf("%s is counted before it begins", s.ID)
			}
			lot.stages = append(lot.stages, stage{before: lot.now, after: c.Count, census: true})
			lot.now = c.Count
			p.events = append(p.events, event{kind: eventCensus, date: date, phase: phaseCensus, stock: s,
				taken: []taken{{lot: lot, stage: len(lot.stages) - 1}}})
		}
	}
	if err := p.spawnsOf(date); err != nil {
		return err
	}
	for _, s := range p.book.Stock {
		if err := p.evening(s, date); err != nil {
			return err
		}
	}
	return nil
}

// nextMove returns a record that begins on that day out of others, all of which
// have begun; nil where there is none left. Picks come before moves.
func (p *play) nextMove(date pedigree.Date) *pedigree.Stock {
	var merged *pedigree.Stock
	for _, s := range p.book.Stock {
		if p.begun[s.ID] || s.Date != date || !p.sourcesBegun(s) {
			continue
		}
		if s.Picked != "" {
			return s
		}
		merged = s
	}
	return merged
}

// evening takes away the fish of one record that were sold or died on a day.
func (p *play) evening(s *pedigree.Stock, date pedigree.Date) error {
	lot := p.lots[s.ID]
	if lot == nil {
		return nil
	}
	for _, sale := range s.Sold {
		if sale.Date != date {
			continue
		}
		count := sale.Count
		if !sale.Numbered {
			count = lot.now
		}
		if err := p.gone(lot, count, date); err != nil {
			return err
		}
	}
	if s.Died == date {
		return p.gone(lot, lot.now, date)
	}
	return nil
}

func (p *play) gone(lot *lotPlan, count pedigree.Count, date pedigree.Date) error {
	from, err := lot.leave(count, nil, false)
	if err != nil {
		return err
	}
	p.events = append(p.events, event{kind: eventGone, date: date, phase: phaseEvening, taken: []taken{from}})
	return nil
}

func (p *play) sourcesBegun(s *pedigree.Stock) bool {
	if s.Picked != "" {
		return p.begun[s.Picked]
	}
	for _, part := range s.Merged {
		if !p.begun[part.ID] {
			return false
		}
	}
	return s.Merged != nil
}

// begin writes the beginning of a record, and at once the undated picks of it,
// which are out of the lot before anything else happens to it.
func (p *play) begin(s *pedigree.Stock, date pedigree.Date, phase int) error {
	e := event{kind: eventBegin, date: date, phase: phase, stock: s}
	if s.Picked != "" {
		source := p.lots[s.Picked]
		if source == nil {
			return fmt.Errorf("%s is picked from a fish", s.ID)
		}
		count, sub := s.Count, p.lots[s.ID]
		if sub == nil {
			count = pedigree.Count{}
			switch s.Sex {
			case pedigree.Male:
				count.Males = 1
			case pedigree.Female:
				count.Females = 1
			default:
				count.Unsexed = 1
			}
		}
		from, err := source.leave(count, sub, sub == nil && s.Sex == pedigree.Unsexed)
		if err != nil {
			return err
		}
		e.taken = append(e.taken, from)
	}
	for _, part := range s.Merged {
		source := p.lots[part.ID]
		if source == nil {
			e.taken = append(e.taken, taken{fish: p.book.StockByID(part.ID)})
			continue
		}
		count := part.Count
		if part.Whole && count.Unsexed == source.now.Total() {
			count = source.now
		}
		from, err := source.leave(count, nil, false)
		if err != nil {
			return err
		}
		e.taken = append(e.taken, from)
	}
	p.events = append(p.events, e)
	p.begun[s.ID] = true
	for _, pick := range p.book.Stock {
		if pick.Picked == s.ID && !pick.Date.Known() {
			if err := p.begin(pick, date, phase); err != nil {
				return err
			}
		}
	}
	return nil
}

// leave writes that fish leave the lot. A sexed fish is taken from its sex's
// stated number first, then from the unsexed.
func (lot *lotPlan) leave(count pedigree.Count, sub *lotPlan, unsexedPick bool) (taken, error) {
	after := lot.now
	after.Males -= count.Males
	after.Females -= count.Females
	after.Unsexed -= count.Unsexed
	if after.Males < 0 {
		after.Unsexed, after.Males = after.Unsexed+after.Males, 0
	}
	if after.Females < 0 {
		after.Unsexed, after.Females = after.Unsexed+after.Females, 0
	}
	if after.Unsexed < 0 {
		return taken{}, fmt.Errorf("more fish leave %s than there are", lot.stock.ID)
	}
	lot.stages = append(lot.stages, stage{before: lot.now, after: after, left: count, sub: sub, unsexedPick: unsexedPick})
	lot.now = after
	return taken{lot: lot, stage: len(lot.stages) - 1}, nil
}

// spawnsOf writes the spawns of one day (0: the undated ones) and the fry that
// the book keeps of them.
func (p *play) spawnsOf(date pedigree.Date) error {
	p.today = map[string]bool{}
	for again := true; again; {
		again = false
		for _, s := range p.book.Spawns {
			if p.spawnt[s.ID] || s.Date != date || s.IsPlanned() || !p.parentsBegun(s) {
				continue
			}
			p.spawnt[s.ID], again = true, true
			p.events = append(p.events, event{kind: eventSpawn, date: date, phase: phaseSpawn, spawn: s})
			for _, id := range slices.Concat(s.Group, ids(s.Sire), ids(s.Dam)) {
				if lot := p.lots[id]; lot != nil {
					lot.spawns = append(lot.spawns, spawnUse{s, len(lot.stages)})
				}
			}
			if err := p.births(date); err != nil {
				return err
			}
		}
	}
	return nil
}

func (p *play) births(date pedigree.Date) error {
	for _, s := range p.book.Stock {
		if p.begun[s.ID] || s.FromSpawns == nil {
			continue
		}
		born := true
		for _, from := range s.FromSpawns {
			born = born && p.spawnt[from.Spawn]
		}
		if born {
			if err := p.begin(s, date, phaseSpawn); err != nil {
				return err
			}
			p.today[s.ID] = date.Known()
		}
	}
	return nil
}

func ids(side pedigree.Side) []string {
	var list []string
	for _, c := range side.Candidates {
		list = append(list, c.ID)
	}
	return list
}

func (p *play) parentsBegun(s *pedigree.Spawn) bool {
	if s.Repeat != "" {
		return p.spawnt[s.Repeat]
	}
	for _, id := range slices.Concat(s.Group, ids(s.Sire), ids(s.Dam)) {
		if !p.begun[id] || p.today[id] {
			return false
		}
	}
	return true
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

// beganBy reports whether a record had begun on a date.
func (p *play) beganBy(s *pedigree.Stock, on pedigree.Date) bool {
	date := s.Date
	switch {
	case date.Known():
	case s.Wild != nil:
		date = s.Wild.Date
	case s.Bought != nil:
		date = s.Bought.Date
	case s.Picked != "":
		return p.beganBy(p.book.StockByID(s.Picked), on)
	default:
		for _, from := range s.FromSpawns {
			date = max(date, p.book.SpawnByID(from.Spawn).Date)
		}
	}
	return date <= on
}

// sortedIDs returns the ids of the stock, sorted.
func sortedIDs(book *pedigree.Book) []string {
	list := make([]string, 0, len(book.Stock))
	for _, s := range book.Stock {
		list = append(list, s.ID)
	}
	sort.Strings(list)
	return list
}
