package pedigree

import (
	"fmt"
	"slices"
	"strings"
)

var sideRules = []Rule{
	{"parent-of-wrong-sex", Error, "A sire is male, a dam female.", checkWrongSex},
	{"parents-none-of-sex", Error, "A lot without a male cannot sire, and one without a female cannot bear.", checkNoneOfSex},
	{"candidate-none-of-sex", Warning, "A lot that had no fish of the needed sex counts for nothing among the possible parents.", checkCandidateNoneOfSex},
	{"parents-same-fish", Error, "One fish is not both sire and dam.", checkSameFish},
	{"parent-named-twice", Warning, "A fish named twice counts twice among fish that are all equally likely.", checkNamedTwice},
	{"parents-more-than-there-were", Warning, "More sires or dams than there were to choose from means all of them.", checkMoreThanThereWere},
	{"parents-all-of-unknown", Warning, "All of an unknown number is taken as one unknown fish.", checkAllOfUnknown},
}

func checkWrongSex(c *checker) {
	for _, p := range c.named {
		if p.sex == Unsexed || p.stock.Lot || p.stock.Sex == Unsexed || p.stock.Sex == p.sex || c.bothParents(p.spawn) == p.stock {
			continue // one fish on both sides is told as such
		}
		c.add(Problem{
			Position: p.at(),
			Message:  fmt.Sprintf("%s is %s and stands here as the %s", p.stock.ID, p.stock.Sex, sideWord(p.sex)),
			Hint:     "correct the sex of the fish, or change the two sides about",
			Places:   []Place{p.stock.place("sex", fmt.Sprintf("%s is %s", p.stock.ID, p.stock.Sex))},
			Records:  []string{p.spawn.ID},
		})
	}
}

// choice is a record on one side of a spawn, with the fish of the side's sex
// that it held: as the book reads its dates, and at most.
type choice struct {
	stock        *Stock
	history      *LotHistory // nil for a fish
	index        int
	fish, atMost float64
}

// choices lists the records of one side (or of the group) that exist.
func (c *checker) choices(s *Spawn, sex Sex) []choice {
	return c.sides()[s][sex-Male]
}

func (c *shared) findSides() map[*Spawn][2][]choice {
	sides := make(map[*Spawn][2][]choice, len(c.book.Spawns))
	for _, s := range c.book.Spawns {
		sides[s] = [2][]choice{c.findChoices(s, Male), c.findChoices(s, Female)}
	}
	return sides
}

func (c *shared) findChoices(s *Spawn, sex Sex) []choice {
	var out []choice
	add := func(i int, id string, inGroup bool) {
		stock := c.book.StockByID(id)
		if stock == nil {
			return
		}
		ch := choice{stock: stock, history: c.book.LotHistory(id), index: i, fish: 1, atMost: 1}
		switch {
		case stock.uncounted():
		case stock.Lot && ch.history != nil:
			ch.fish = ch.history.At(s.When()).OfSex(sex)
			ch.atMost = c.mostOf(ch.history, s.When(), sex)
		case inGroup && stock.Sex != Unsexed && stock.Sex != sex:
			ch.fish, ch.atMost = 0, 0
		}
		if !stock.Lot || stock.uncounted() {
			ch.history = nil
		}
		out = append(out, ch)
	}
	for i, id := range s.Group {
		add(i, id, true)
	}
	for i, candidate := range s.SideOf(sex).Candidates {
		add(i, candidate.ID, false)
	}
	return out
}

func atMost(choices []choice) float64 {
	sum := 0.0
	for _, ch := range choices {
		sum += ch.atMost
	}
	return sum
}

func checkNoneOfSex(c *checker) {
	c.bred(func(s *Spawn) {
		var lacking []string
		var of []choice
		for _, sex := range [...]Sex{Male, Female} {
			choices := c.choices(s, sex)
			if len(choices) == 0 || atMost(choices) > few {
				continue
			}
			lacking = append(lacking, sex.String())
			if len(of) == 0 || len(s.Group) == 0 {
				of = append(of, choices...)
			}
		}
		if len(lacking) == 0 {
			return
		}
		var held []string
		var places []Place
		for _, ch := range of {
			held = append(held, c.heldText(ch, s.Date))
			places = append(places, c.whyHeld(ch, s.Date)...)
		}
		path := "sire"
		switch {
		case len(s.Group) > 0:
			path = "group"
		case lacking[0] == "female":
			path = "dam"
		}
		c.add(Problem{
			Position: s.Where.At(path),
			Message:  fmt.Sprintf("there was no %s for this spawn%s: %s", strings.Join(lacking, " and no "), ofDay(s.Date), strings.Join(held, "; ")),
			Hint:     "correct the numbers or the dates of the lot, or name the record that the parent was in",
			Places:   places, Records: []string{s.ID},
		})
	})
}

func (c *checker) heldText(ch choice, date Date) string {
	if ch.history != nil {
		return stateText(ch.history, date)
	}
	return fmt.Sprintf("%s is %s", ch.stock.ID, ch.stock.Sex)
}

// whyHeld points at what left the lot as it was on the date.
func (c *checker) whyHeld(ch choice, date Date) []Place {
	if ch.history == nil {
		return []Place{ch.stock.place("sex", fmt.Sprintf("%s is %s", ch.stock.ID, ch.stock.Sex))}
	}
	return []Place{c.eventPlace(ch.history, ch.history.Index(date)-1)}
}

func checkCandidateNoneOfSex(c *checker) {
	c.bred(func(s *Spawn) {
		sexes := []Sex{Male, Female}
		if len(s.Group) > 0 && len(s.Sire.Candidates)+len(s.Dam.Candidates) == 0 {
			sexes = sexes[:1] // the one list is asked for fish of any sex
		}
		for _, sex := range sexes {
			choices := c.choices(s, sex)
			if atMost(choices) <= few {
				continue // an error of its own
			}
			for _, ch := range choices {
				number := ch.fish
				if ch.history != nil && len(s.Group) > 0 {
					number = ch.history.At(s.Date).OfSex(Unsexed)
				}
				if ch.history == nil || number > few {
					continue
				}
				c.addEmptyChoice(s, sex, ch)
			}
		}
	})
}

func (c *checker) addEmptyChoice(s *Spawn, sex Sex, ch choice) {
	p := namedParent{s, ch.stock, sex, ch.index}
	none := sexWord(sex)
	if len(s.Group) > 0 {
		p.sex, none = Unsexed, "fish"
	}
	c.add(Problem{
		Position: p.at(),
		Message: fmt.Sprintf("%s had no %s for this spawn%s and counts for nothing in it: %s",
			ch.stock.ID, none, ofDay(s.Date), stateText(ch.history, s.Date)),
		Hint:   "take it out of the list, correct its numbers, or give the full dates where only a month or a year stands",
		Places: c.whyHeld(ch, s.Date),
	})
}

// bothParents returns the one record named on both sides of a spawn, nil where
// another is named or a side is empty.
func (c *checker) bothParents(s *Spawn) *Stock {
	males, females := c.choices(s, Male), c.choices(s, Female)
	if s.Repeat != "" || atMost(males) <= few || atMost(females) <= few {
		return nil
	}
	only := males[0].stock
	another := func(ch choice) bool { return ch.stock != only }
	if slices.ContainsFunc(males, another) || slices.ContainsFunc(females, another) {
		return nil
	}
	if only.uncounted() {
		return nil
	}
	return only
}

func checkSameFish(c *checker) {
	for _, s := range c.book.Spawns {
		only := c.bothParents(s)
		if only == nil {
			continue
		}
		message := fmt.Sprintf("%s is one fish and cannot be both parents of this spawn", only.ID)
		if h := c.choices(s, Male)[0].history; h != nil {
			if c.mostOf(h, s.When(), Unsexed) > 1+few {
				continue
			}
			message = fmt.Sprintf("%s, and one fish cannot be both parents of this spawn", stateText(h, s.When()))
		}
		path := "dam"
		if len(s.Group) > 0 {
			path = "group"
		}
		c.add(Problem{
			Position: s.Where.At(path), Message: message,
			Hint:    "name the other parent, or leave that side out if it is not known",
			Places:  []Place{only.place("", "the record of "+only.ID)},
			Records: []string{s.ID},
		})
	}
}

func checkNamedTwice(c *checker) {
	type seat struct {
		spawn *Spawn
		sex   Sex
		stock *Stock
	}
	first := make(map[seat]namedParent, len(c.named))
	for _, p := range c.named {
		key := seat{p.spawn, p.sex, p.stock}
		before, twice := first[key]
		if !twice {
			first[key] = p
			continue
		}
		c.add(Problem{
			Position: p.at(),
			Message:  fmt.Sprintf("%s is named twice here", p.stock.ID),
			Hint:     "take one out; for unlike odds write a map, such as {" + p.stock.ID + ": 2, ...: 1}",
			Places:   []Place{{before.at(), p.stock.ID + " stands here first"}},
		})
	}
}

func checkMoreThanThereWere(c *checker) {
	c.bred(func(s *Spawn) {
		for _, sex := range [...]Sex{Male, Female} {
			want := s.ParentsOf(sex)
			if want.All || want.N < 2 || s.SideOf(sex).Odds {
				continue
			}
			fish, unknown := 0.0, false
			choices := c.choices(s, sex)
			for _, ch := range choices {
				fish += ch.fish
				unknown = unknown || ch.stock.uncounted()
			}
			if unknown || fish <= few || float64(want.N) <= fish+few {
				continue
			}
			c.add(Problem{
				Position: s.Where.At(sideWord(sex) + "s"),
				Message: fmt.Sprintf("`%ss: %d`, but there %s to choose from at this spawn%s; it is taken as all of them", sideWord(sex), want.N,
					wereText(fish, sex), ofDay(s.Date)),
				Hint:   fmt.Sprintf("write `%ss: all`, or correct the numbers (an unsexed fish counts as half a %s)", sideWord(sex), sex),
				Places: c.whyHeld(choices[0], s.Date),
			})
		}
	})
}

func wereText(fish float64, sex Sex) string {
	text := plural(fish, sex.String(), sex.String()+"s")
	if strings.HasPrefix(text, "1 ") {
		return "was " + text
	}
	return "were " + text
}

func checkAllOfUnknown(c *checker) {
	for _, s := range c.book.Spawns {
		for _, sex := range [...]Sex{Male, Female} {
			if s.ParentsOf(sex).All && len(s.Group) == 0 && len(s.SideOf(sex).Candidates) == 0 && s.Repeat == "" {
				c.add(Problem{
					Position: s.Where.At(sideWord(sex) + "s"),
					Message:  fmt.Sprintf("`%ss: all`, but no %s is named; it is taken as one unknown %s", sideWord(sex), sideWord(sex), sex),
					Hint:     "name the records they may have been, or write how many unknown ones there were",
				})
			}
		}
	}
}
