package pairing

import (
	"errors"
	"fmt"
)

// follow finds what the candidates have of the fish that the plan is toward.
func (l *linePlanner) follow() (err error) {
	if l.o.Toward == "" {
		return nil
	}
	if l.o.IncludeLiving {
		return errors.New("--include-living has no part in a plan --toward a fish: its share is sought in the young")
	}
	if l.stamp, err = l.state.Model().Stamp(l.o.Toward); err != nil {
		return fmt.Errorf("--toward: %s %w", l.o.Toward, err)
	}
	for i := range l.candidates {
		row := l.stamp.Row(l.candidates[i].Mate)
		l.shares = append(l.shares, l.stamp.Share(l.candidates[i].Mate))
		l.through = append(l.through, nil)
		for j := range l.candidates {
			l.through[i] = append(l.through[i], row.With(l.candidates[j].Mate))
		}
	}
	return nil
}

// spread lets the fry be spread over as many spawns as there can be.
func (l *linePlanner) spread() {
	for number := l.o.Spawns; number > 0; number-- {
		l.o.Most = (l.o.Keep + number - 1) / number
		if l.feasible(l.o) {
			return
		}
	}
}

// compare says what the plan towards a fish gives up.
func (l *linePlanner) compare(p *LinePlan, best Plan, stop func() bool) {
	p.Share, p.ShareBound, p.ShareNow = best.Share, best.ShareBound, l.stamp.ShareOf(l.living)
	free := *l
	free.o.Toward = ""
	without, _, _ := free.solve(stop)
	p.Without, p.Bound = max(without.GeneDiversity, best.GeneDiversity), without.Bound
}
