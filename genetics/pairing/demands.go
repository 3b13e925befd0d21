package pairing

import (
	"errors"
	"fmt"
	"slices"

	"roebook/pedigree"
)

// mostWays is in how many ways lots of both sexes may be meant at the most.
const mostWays = 64

// checkNames holds the records named in the options against the fish there are.
func (l *linePlanner) checkNames() error {
	named := func(option string, ids ...string) error {
		for _, id := range ids {
			if why := l.absent(id); why != "" {
				return fmt.Errorf("%s: %s cannot be set up: %s", option, id, why)
			}
		}
		return nil
	}
	o := &l.o
	if err := named("--with", o.With...); err != nil {
		return err
	}
	for _, id := range o.With {
		if slices.Contains(o.Without, id) {
			return fmt.Errorf("--with and --without both name %s", id)
		}
	}
	for _, pair := range o.Together {
		if err := named("--together", pair[:]...); err != nil {
			return err
		}
		for _, id := range pair {
			if slices.Contains(o.Without, id) {
				return fmt.Errorf("--together %s,%s and --without %s contradict each other", pair[0], pair[1], id)
			}
		}
		if among(o.Apart, pair[0], pair[1]) {
			return fmt.Errorf("--together and --apart both name %s and %s", pair[0], pair[1])
		}
		if len(l.couples(pair)) == 0 {
			return fmt.Errorf("--together %s,%s: a spawn takes a male and a female, and %s", pair[0], pair[1], l.sexesOf(pair))
		}
	}
	return nil
}

// absent says why a record has no fish to set up, "" where it has.
func (l *linePlanner) absent(id string) string {
	if slices.ContainsFunc(l.candidates, func(c candidate) bool { return c.ID == id }) {
		return ""
	}
	for _, left := range l.leftOut {
		if left.ID == id {
			return left.Why
		}
	}
	book, on := l.state.Model().Book(), l.state.Date()
	stock := book.StockByID(id)
	switch {
	case stock == nil:
		return "it is no fish and no lot"
	case book.Heads(stock, on).Total() == 0 && stock.Died.Known() && stock.Died < on:
		return "it died on " + stock.Died.String()
	case book.Heads(stock, on).Total() == 0:
		return "none of it is living on " + on.String()
	}
	return "it is of the line " + stock.Line
}

// sexesOf says of what sex the fish of a pair are that cannot spawn.
func (l *linePlanner) sexesOf(pair [2]string) string {
	sex := func(id string) pedigree.Sex {
		at := slices.IndexFunc(l.candidates, func(c candidate) bool { return c.ID == id })
		return l.candidates[at].Sex
	}
	if pair[0] == pair[1] {
		return fmt.Sprintf("%s is one fish, or of one sex", pair[0])
	}
	return fmt.Sprintf("both are %ss", sex(pair[0]))
}

// couples are the candidates of a pair of records as sire and dam.
func (l *linePlanner) couples(pair [2]string) [][2]int {
	var list [][2]int
	for _, ids := range [][2]string{pair, {pair[1], pair[0]}} {
		sire, dam := l.candidateOf(ids[0], pedigree.Male), l.candidateOf(ids[1], pedigree.Female)
		if sire >= 0 && dam >= 0 && !slices.Contains(list, [2]int{sire, dam}) {
			list = append(list, [2]int{sire, dam})
		}
	}
	return list
}

func (l *linePlanner) candidateOf(id string, sex pedigree.Sex) int {
	return slices.IndexFunc(l.candidates, func(c candidate) bool { return c.ID == id && c.Sex == sex })
}

// checkNumbers finds numbers that no plan could keep, whatever the fish.
func (l *linePlanner) checkNumbers() error {
	o := &l.o
	switch {
	case o.Least > o.Keep:
		return fmt.Errorf("--keep-least %d is more than the %d kept in all", o.Least, o.Keep)
	case o.Most > 0 && o.Least > o.Most:
		return fmt.Errorf("--keep-least %d is more than --keep-most %d", o.Least, o.Most)
	case o.Most > 0 && o.Most*o.Spawns < o.Keep:
		return fmt.Errorf("%d spawns with at most %d kept of each give %d, and %d are to be kept: raise --keep-most to %d, allow %d spawns, or keep fewer",
			o.Spawns, o.Most, o.Most*o.Spawns, o.Keep, (o.Keep+o.Spawns-1)/o.Spawns, (o.Keep+o.Most-1)/o.Most)
	case len(o.Together) > o.Spawns:
		return fmt.Errorf("--together names %d pairs, more than the spawns of --plan %d", len(o.Together), o.Spawns)
	case len(o.With) > 2*o.Spawns:
		return fmt.Errorf("--with names %d fish, and --plan %d has room for %d", len(o.With), o.Spawns, 2*o.Spawns)
	}
	ways := 1
	for _, pair := range o.Together {
		ways *= len(l.couples(pair))
	}
	for _, id := range o.With {
		if l.candidateOf(id, pedigree.Male) >= 0 && l.candidateOf(id, pedigree.Female) >= 0 {
			ways *= 2
		}
	}
	if ways > mostWays {
		return errors.New("--with and --together name many lots that have both sexes: name fewer")
	}
	return nil
}

// ways are the problems that the options come to: one for each choice of sexes
// where a lot of both is named. The fish of a lot that must be set up are its
// first ones.
func (l *linePlanner) ways(o PlanOptions) []*Problem {
	slots := l.slots(o)
	first := make([]int, len(l.candidates))
	for at := len(slots) - 1; at >= 0; at-- {
		first[slots[at].candidate] = at
	}
	base := l.problem(o, slots)
	type way struct {
		pairs [][2]int // of candidates
		with  []int
	}
	ways := []way{{}}
	widen := func(n int, more func(w *way, choice int)) {
		var next []way
		for _, w := range ways {
			for choice := range n {
				one := way{slices.Clone(w.pairs), slices.Clone(w.with)}
				more(&one, choice)
				next = append(next, one)
			}
		}
		ways = next
	}
	for _, pair := range o.Together {
		couples := l.couples(pair)
		widen(len(couples), func(w *way, choice int) { w.pairs = append(w.pairs, couples[choice]) })
	}
	for _, id := range o.With {
		var of []int
		for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
			if c := l.candidateOf(id, sex); c >= 0 {
				of = append(of, c)
			}
		}
		widen(len(of), func(w *way, choice int) { w.with = append(w.with, of[choice]) })
	}
	var list []*Problem
	for _, w := range ways {
		p := *base
		named := make([]int, len(l.candidates)) // spawns that each must have
		fits := true
		place := func(c int) int {
			at := named[c] / p.Uses[first[c]]
			named[c]++
			fits = fits && at < min(l.count[c], o.Spawns)
			return first[c] + at
		}
		for _, pair := range w.pairs {
			together := [2]int{place(pair[0]), place(pair[1])}
			if !slices.Contains(p.Together, together) {
				p.Together = append(p.Together, together)
			}
		}
		for _, c := range w.with {
			if named[c] == 0 {
				p.With = append(p.With, place(c))
			}
		}
		if fits {
			list = append(list, &p)
		}
	}
	return list
}
