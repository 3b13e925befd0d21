package pedigree

import (
	"fmt"
	"slices"
)

var founderRules = []Rule{
	{"bought-lot-kinship-unknown", Warning, "How close bought fish are decides how inbred their fry will be.", checkBoughtRelated},
	{"related-founders-not-founder", Error, "Kinship can be stated only of fish whose parents are not in the book: the others' is worked out.", checkNotFounder},
	{"related-founders-too-close", Error, "Founders cannot be more kin to others than to themselves.", checkTooClose},
	{"conceived-wild-dam", Warning, "Only a dam that was caught can have been caught carrying.", checkConceivedWild},
}

func checkBoughtRelated(c *checker) {
	for _, s := range c.book.Stock {
		if s.Bought == nil || !s.Lot || s.Bought.RelatedStated || s.Count.Total() < 2 || s.Where.Has("bought.related") {
			continue // a word that cannot be read is told already
		}
		message := fmt.Sprintf("%s was bought without a word on how its fish are related; they are taken as siblings", s.ID)
		if s.Bought.Kinship() == strainKinship {
			message = fmt.Sprintf("%s was bought without a word on how its fish are related; they are taken as one inbred strain (kinship 1)", s.ID)
		}
		c.add(Problem{
			Position: s.Where.At("bought"), Message: message,
			Hint: "ask the seller, and write `related: unrelated`, `half-siblings`, `siblings` or a number",
		})
	}
}

func checkNotFounder(c *checker) {
	for _, line := range c.book.Lines {
		for _, related := range line.RelatedFounders {
			for i, id := range related.Of {
				s := c.book.StockByID(id)
				if s == nil || s.Wild != nil || s.Bought != nil {
					continue
				}
				c.add(Problem{
					Position: related.Where.At(fmt.Sprintf("of[%d]", i)),
					Message:  fmt.Sprintf("%s is no founder: the book knows what it came from", id),
					Hint:     "name the wild or bought records that it comes from",
					Places:   []Place{s.place("", "the record of "+id)}, Records: slices.Clone(related.Of), KeepsSources: true,
				})
			}
		}
	}
}

// ownVariance is what a founder's own part of the model holds: one more than
// its inbreeding; for the fish of a lot together twice what two of them share.
func (s *Stock) ownVariance() float64 {
	related, inbreeding := 0.0, 0.0
	switch {
	case s.Wild != nil:
		related = s.Wild.Related
	case s.Bought != nil:
		related, inbreeding = s.Bought.Kinship(), s.Bought.Inbreeding
	}
	if s.Lot {
		return 2 * related
	}
	return 1 + inbreeding
}

func checkTooClose(c *checker) {
	left := make(map[string]float64)
	told := make(map[string]Place)
	for _, line := range c.book.Lines {
		for _, related := range line.RelatedFounders {
			for i, id := range related.Of {
				s := c.book.StockByID(id)
				if s == nil || s.Wild == nil && s.Bought == nil || slices.Contains(related.Of[:i], id) {
					continue
				}
				if _, begun := left[id]; !begun {
					left[id] = s.ownVariance()
				}
				before := left[id]
				left[id] -= 2 * related.Kinship
				if before < 0 || left[id] >= -1e-12 {
					told[id] = Place{related.Where.Position, fmt.Sprintf("kinship %g stated here", related.Kinship)}
					continue
				}
				places := []Place{s.place("", id+" is a founder")}
				if earlier, ok := told[id]; ok {
					places = append(places, earlier)
				}
				c.add(Problem{
					Position: related.Where.At("kinship"),
					Message:  tooCloseText(s, before, related.Kinship),
					Hint:     "state a lower kinship here, or how the fish of the record are related among themselves (`related`)",
					Places:   places, Records: slices.Clone(related.Of), KeepsSources: true,
				})
			}
		}
	}
}

func tooCloseText(s *Stock, before, kinship float64) string {
	if s.Lot {
		return fmt.Sprintf("kinship %g is more than %s can have with others: two of its own fish share only %g, of which %g is left",
			kinship, s.ID, s.ownVariance()/2, before/2)
	}
	return fmt.Sprintf("kinship %g is more than %s can have with others: its kinship with itself is %g, of which %g is left",
		kinship, s.ID, s.ownVariance()/2, before/2)
}

func checkConceivedWild(c *checker) {
	for _, p := range c.named {
		if !p.spawn.ConceivedWild || p.sex == Male {
			continue
		}
		caught := c.pickedFrom(p.stock, func(*Stock) bool { return false })
		if caught.Wild != nil {
			continue
		}
		c.add(Problem{
			Position: p.spawn.Where.At("conceived"),
			Message:  fmt.Sprintf("`conceived: wild`, but %s was not caught in the wild", p.role()),
			Hint:     "take `conceived` out, or name the dam that was caught carrying",
			Places:   []Place{caught.place("", caught.ID+" is where it came from")},
		})
	}
}
