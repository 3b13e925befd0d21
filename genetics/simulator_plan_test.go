package genetics_test

import (
	"fmt"
	"slices"
	"sort"

	"roebook/pedigree"
)

// The simulator plays a book forward with explicit fish. It is written from
// the rules of the records alone, without looking at the compiler: this file
// puts the events in order; simulator_numbers_test.go finds out how many males
// and females each lot held at every moment; simulator_test.go plays them.

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
