package pedigree

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Numbers is a number of fish by sex. Fractions arise where the sex of a fish
// that left was never told.
type Numbers struct{ Males, Females, Unsexed float64 }

// Total is the number of fish of any sex.
func (n Numbers) Total() float64 { return n.Males + n.Females + n.Unsexed }

func (c Count) numbers() Numbers {
	return Numbers{float64(c.Males), float64(c.Females), float64(c.Unsexed)}
}

// LotState is a lot between two events. Stated is its census: the last one
// stated, less what left since. Males and Females divide the same fish with
// sexes told later used earlier, fish never sexed counting half to each.
type LotState struct {
	Stated         Numbers
	Males, Females float64

	told Numbers // those of a sex stated now or later, without the never sexed
}

// OfSex returns the number of fish that may have bred as that sex; for Unsexed
// the number of all.
func (s LotState) OfSex(sex Sex) float64 {
	switch sex {
	case Male:
		return s.Males
	case Female:
		return s.Females
	}
	return s.Males + s.Females
}

// NeverSexed returns how many of the fish were of no sex that was told, then or
// later.
func (s LotState) NeverSexed() float64 {
	return max(0, s.Males+s.Females-s.told.Males-s.told.Females)
}

// LeaverKind says how fish left a lot.
type LeaverKind int8

// The ways of leaving a lot.
const (
	PickedFish LeaverKind = iota // one fish, known from then on
	PickedLot                    // a sublot
	Moved                        // into a merged lot
	Sold
	Died // the whole lot
)

// Leaver is fish that left a lot in one event.
type Leaver struct {
	Kind LeaverKind
	ID   string // the record they became part of; "" for Sold and Died
	Sex  Sex    // of a picked fish

	Stated         Numbers // as written; Unsexed for a bare number of part of the lot
	Males, Females float64 // how many they were of each sex's pool

	bare  bool      // moved by a number without sexes
	sale  int       // of the lot's sales, from 1; 0 where it is none
	begun *LotState // of a sublot that is left out of the book: how it began
}

// LotEvent is a census, or fish leaving a lot.
type LotEvent struct {
	Moment Moment
	Change *Change // a census, else nil
	Left   []Leaver
	Over   float64 // how many more left than there were, 0 in a sound book
}

// Moment places an event in time: the order within a day is that of Phase.
type Moment struct {
	Date  Date
	Phase Phase
}

// Phase orders the events of one day.
type Phase int8

// Within one day picks and moves come before the census, spawns after it; what
// died or was sold counts from the next day.
const (
	AtPick Phase = iota + 1
	AtCensus
	AtSpawn
	AtEnd
)

// Compare orders moments in time.
func (m Moment) Compare(other Moment) int {
	return cmp.Or(cmp.Compare(m.Date, other.Date), cmp.Compare(m.Phase, other.Phase))
}

// LotHistory is what happened to a lot: Events[i] leads from States[i] to
// States[i+1].
type LotHistory struct {
	Lot    *Stock
	States []LotState
	Events []LotEvent

	leavers []*Leaver // sorted by the record they became part of
	played  bool      // set when it is begun, so that a loop of picks ends
}

// leaver finds the fish that became part of a record, nil where there are none.
func (h *LotHistory) leaver(into string) *Leaver {
	i, ok := slices.BinarySearchFunc(h.leavers, into, func(l *Leaver, id string) int { return strings.Compare(l.ID, id) })
	if !ok {
		return nil
	}
	return h.leavers[i]
}

// Index returns the index of the state that holds for spawns on the date and
// for the keeper's question on that day; an unknown date comes before every
// dated event.
func (h *LotHistory) Index(date Date) int {
	at := Moment{date, AtSpawn}
	n, _ := slices.BinarySearchFunc(h.Events, at, func(e LotEvent, m Moment) int {
		if e.Moment.Compare(m) <= 0 {
			return -1
		}
		return 1
	})
	return n
}

// At returns the state that holds for spawns on the date.
func (h *LotHistory) At(date Date) LotState { return h.States[h.Index(date)] }

// playLots plays every lot through its events: of two with one id the first.
// O(n log n).
func (b *Book) playLots() {
	b.lots = make([]*LotHistory, len(b.Stock))
	for i, s := range b.Stock {
		if s.Lot && (i == 0 || b.Stock[i-1].ID != s.ID || b.LotHistory(s.ID) == nil) {
			b.lots[i] = &LotHistory{Lot: s, Events: ownEvents(s)}
		}
	}
	for i, s := range b.Stock {
		if i > 0 && b.Stock[i-1].ID == s.ID {
			continue
		}
		if h := b.LotHistory(s.Picked); h != nil {
			h.Events = append(h.Events, LotEvent{Moment: Moment{s.Date, AtPick}, Left: []Leaver{pickLeaver(s)}})
		}
		for _, part := range s.Merged {
			if h := b.LotHistory(part.ID); h != nil {
				left := Leaver{Kind: Moved, ID: s.ID, Stated: part.Count.numbers(), bare: part.Whole}
				h.Events = append(h.Events, LotEvent{Moment: Moment{s.Date, AtPick}, Left: []Leaver{left}})
			}
		}
	}
	for id, events := range b.taken {
		if h := b.LotHistory(id); h != nil {
			for _, e := range events {
				h.Events = append(h.Events, LotEvent{Moment: e.Moment, Left: slices.Clone(e.Left)})
			}
		}
	}
	for _, h := range b.lots {
		b.play(h)
	}
}

// ownEvents are the events that the lot's own record states.
func ownEvents(s *Stock) []LotEvent {
	var events []LotEvent
	for i := range s.Changes {
		events = append(events, LotEvent{Moment: Moment{s.Changes[i].Date, AtCensus}, Change: &s.Changes[i]})
	}
	for i, sale := range s.Sold {
		left := Leaver{Kind: Sold, Stated: sale.Count.numbers(), sale: i + 1}
		if !sale.Numbered {
			left.Kind = Died // the whole lot went: the same to the lot as dying out
		}
		events = append(events, LotEvent{Moment: Moment{sale.Date, AtEnd}, Left: []Leaver{left}})
	}
	if s.Died.Known() {
		events = append(events, LotEvent{Moment: Moment{s.Died, AtEnd}, Left: []Leaver{{Kind: Died}}})
	}
	return events
}

func pickLeaver(s *Stock) Leaver {
	if s.Lot {
		return Leaver{Kind: PickedLot, ID: s.ID, Stated: s.Count.numbers()}
	}
	left := Leaver{Kind: PickedFish, ID: s.ID, Sex: s.Sex}
	switch s.Sex {
	case Male:
		left.Stated.Males = 1
	case Female:
		left.Stated.Females = 1
	default:
		left.Stated.Unsexed = 1
	}
	return left
}

// play plays a lot, its sublots before it: a sublot leaves as the males and
// females it began with.
func (b *Book) play(h *LotHistory) {
	if h == nil || h.played {
		return
	}
	h.played = true
	h.Events = joinMoments(h.Events)
	for _, e := range h.Events {
		for _, left := range e.Left {
			if left.Kind == PickedLot {
				b.play(b.LotHistory(left.ID))
			}
		}
	}
	h.playForward()
	b.playBack(h)
	for i := range h.Events {
		for j := range h.Events[i].Left {
			if left := &h.Events[i].Left[j]; left.ID != "" {
				h.leavers = append(h.leavers, left)
			}
		}
	}
	slices.SortStableFunc(h.leavers, func(x, y *Leaver) int { return strings.Compare(x.ID, y.ID) })
}

// joinMoments sorts events in time and makes those of one moment one event, so
// that nothing depends on the order in which records were written.
func joinMoments(events []LotEvent) []LotEvent {
	slices.SortStableFunc(events, func(a, b LotEvent) int { return a.Moment.Compare(b.Moment) })
	joined := events[:0]
	for _, e := range events {
		if n := len(joined); n > 0 && joined[n-1].Moment == e.Moment && e.Change == nil && joined[n-1].Change == nil {
			joined[n-1].Left = append(joined[n-1].Left, e.Left...)
			continue
		}
		joined = append(joined, e)
	}
	return joined
}

// playForward fills the stated census of every state.
func (h *LotHistory) playForward() {
	h.States = make([]LotState, len(h.Events)+1)
	now := h.Lot.Count.numbers()
	h.States[0].Stated = now
	for i := range h.Events {
		e := &h.Events[i]
		if e.Change != nil {
			now = e.Change.Count.numbers()
		} else {
			now = e.leave(now)
		}
		h.States[i+1].Stated = now
	}
}

// leave takes the event's leavers out of the census.
func (e *LotEvent) leave(now Numbers) Numbers {
	e.nameTheRest(now)
	var out Numbers
	for i := range e.Left {
		out = out.plus(e.Left[i].Stated)
	}
	now, e.Over = now.less(out)
	return now
}

// nameTheRest gives the sexes of those that went whole: what was left by the
// others of the same moment. Of two that went whole the second had none.
func (e *LotEvent) nameTheRest(now Numbers) {
	var others Numbers
	bare := 0
	for i := range e.Left {
		switch left := &e.Left[i]; {
		case left.bare:
			bare++
		case left.Kind != Died:
			others = others.plus(left.Stated)
		}
	}
	rest, _ := now.less(others)
	for i := range e.Left {
		left := &e.Left[i]
		switch {
		case left.Kind == Died:
			left.Stated, rest = rest, Numbers{}
		case left.bare && bare == 1 && math.Abs(left.Stated.Unsexed-rest.Total()) < few:
			left.Stated = rest
		}
	}
}

func (n Numbers) plus(m Numbers) Numbers {
	return Numbers{n.Males + m.Males, n.Females + m.Females, n.Unsexed + m.Unsexed}
}

// less takes fish out of a census: a sexed fish from its sex's number first,
// then from the unsexed; an unsexed one from the unsexed first, then from both
// sexes in proportion. over is how many more they are than there were.
func (now Numbers) less(out Numbers) (left Numbers, over float64) {
	fromUnsexed := max(0, out.Males-now.Males) + max(0, out.Females-now.Females)
	now.Males = max(0, now.Males-out.Males)
	now.Females = max(0, now.Females-out.Females)
	over = max(0, fromUnsexed-now.Unsexed)
	now.Unsexed = max(0, now.Unsexed-fromUnsexed)

	fromSexed := max(0, out.Unsexed-now.Unsexed)
	now.Unsexed = max(0, now.Unsexed-out.Unsexed)
	if fromSexed > 0 {
		sexed := now.Males + now.Females
		over += max(0, fromSexed-sexed)
		kept := max(0, 1-fromSexed/max(sexed, fromSexed))
		now.Males *= kept
		now.Females *= kept
	}
	return now, over
}

// playBack divides every state by sex, last state first: a fish is of the sex
// that is stated now or later, and of the rest half are of each sex.
func (b *Book) playBack(h *LotHistory) {
	last := &h.States[len(h.Events)]
	last.divide(last.Stated.Males, last.Stated.Females)
	for i := len(h.Events) - 1; i >= 0; i-- {
		e, before, after := &h.Events[i], &h.States[i], h.States[i+1]
		left := b.leftBySex(e)
		before.divide(max(before.Stated.Males, after.told.Males+left.Males), max(before.Stated.Females, after.told.Females+left.Females))
		e.shareOut(*before)
	}
}

// divide fills in the sexes of a state, of which so many were told.
func (s *LotState) divide(males, females float64) {
	s.told = Numbers{Males: males, Females: females}
	rest := max(0, s.Stated.Total()-males-females)
	s.Males, s.Females = males+rest/2, females+rest/2
}

// leftBySex fills in the sexes of those that left, and returns the number of
// those of them whose sex was told, then or later.
func (b *Book) leftBySex(e *LotEvent) (told Numbers) {
	for i := range e.Left {
		left := &e.Left[i]
		if left.begun != nil {
			left.Males, left.Females = left.begun.Males, left.begun.Females
			told = told.plus(left.begun.told)
			continue
		}
		if left.Kind == PickedLot {
			begun := b.LotHistory(left.ID)
			if begun == nil || len(begun.States) == 0 {
				continue // a loop of picks; the rules report it
			}
			left.Males, left.Females = begun.States[0].Males, begun.States[0].Females
			told = told.plus(begun.States[0].told)
			continue
		}
		left.Males = left.Stated.Males + left.Stated.Unsexed/2
		left.Females = left.Stated.Females + left.Stated.Unsexed/2
		told.Males += left.Stated.Males
		told.Females += left.Stated.Females
	}
	return told
}

// shareOut gives each fish picked while unsexed its parts of a male and of a
// female: the sexes' shares of the lot just before.
func (e *LotEvent) shareOut(before LotState) {
	share := 0.5
	if n := before.Males + before.Females; n > 0 {
		share = before.Males / n
	}
	for i := range e.Left {
		if left := &e.Left[i]; left.Kind == PickedFish && left.Sex == Unsexed {
			left.Males, left.Females = share, 1-share
		}
	}
}
