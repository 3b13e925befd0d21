package pairing

import (
	"slices"
	"sort"
)

// Limit names a limit of a plan.
type Limit string

// The limits that may be in the way of a plan.
const (
	LimitInbreeding Limit = "max_inbreeding"
	LimitSpawns     Limit = "spawns"
	LimitKeep       Limit = "keep"
	LimitLeast      Limit = "keep_least"
	LimitMost       Limit = "keep_most"
	LimitPerMale    Limit = "per_male"
	LimitPerFemale  Limit = "per_female"
	LimitApart      Limit = "apart"
	LimitHarmful    Limit = "harmful"
)

// Remedy is a limit which, changed by itself to a value, lets a plan be: the least
// value that does, or, for the fry kept, the greatest.
type Remedy struct {
	Limit Limit
	Value float64 // nothing for LimitApart and LimitHarmful: to be dropped
}

// feasible reports whether some plan keeps the limits.
func (l *linePlanner) feasible(o PlanOptions) bool {
	return slices.ContainsFunc(l.ways(o), func(p *Problem) bool { return p.instance().newDraft().begin() })
}

// remedies tries each limit by itself.
func (l *linePlanner) remedies() []Remedy {
	var list []Remedy
	try := func(limit Limit, values []float64, change func(o *PlanOptions, value float64)) {
		can := func(at int) bool {
			o := l.o
			change(&o, values[at])
			return l.feasible(o)
		}
		if len(values) == 0 || !can(len(values)-1) {
			return
		}
		list = append(list, Remedy{limit, values[sort.Search(len(values)-1, can)]})
	}
	up := func(from, to int) (values []float64) {
		for v := from; v <= to; v++ {
			values = append(values, float64(v))
		}
		return values
	}
	down := func(from, to int) []float64 {
		values := up(to, from)
		slices.Reverse(values)
		return values
	}
	o := &l.o
	if l.limit != nil {
		var values []float64
		for i := range l.males {
			for _, f := range l.kinship[i][l.males:] {
				if f > *l.limit+1e-12 {
					values = append(values, f)
				}
			}
		}
		slices.Sort(values)
		try(LimitInbreeding, slices.Compact(values), func(o *PlanOptions, v float64) { o.MaxInbreeding = &v })
	}
	try(LimitSpawns, up(o.Spawns+1, min(4*o.Spawns+16, o.Keep)), func(o *PlanOptions, v float64) { o.Spawns = int(v) })
	if o.Most > 0 {
		try(LimitMost, up(o.Most+1, o.Keep), func(o *PlanOptions, v float64) { o.Most = int(v) })
	}
	try(LimitLeast, down(o.Least-1, 1), func(o *PlanOptions, v float64) { o.Least = int(v) })
	for number := o.Spawns; number > 0; number-- { // so many spawns, each with as many as may be
		keep := o.Keep - 1
		if o.Most > 0 {
			keep = min(keep, number*o.Most)
		}
		before := len(list)
		if keep >= number*o.Least {
			try(LimitKeep, []float64{float64(keep)}, func(o *PlanOptions, v float64) { o.Spawns, o.Keep = number, int(v) })
		}
		if len(list) > before {
			break
		}
	}
	try(LimitPerMale, up(o.PerMale+1, o.Spawns), func(o *PlanOptions, v float64) { o.PerMale = int(v) })
	try(LimitPerFemale, up(o.PerFemale+1, o.Spawns), func(o *PlanOptions, v float64) { o.PerFemale = int(v) })
	if len(o.Apart) > 0 {
		try(LimitApart, []float64{0}, func(o *PlanOptions, _ float64) { o.Apart = nil })
	}
	if o.Harmful != nil {
		try(LimitHarmful, []float64{0}, func(o *PlanOptions, _ float64) { o.Harmful = nil })
	}
	return list
}
