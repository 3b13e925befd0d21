package locus

import (
	"math"

	"roebook/pedigree"
)

// inference is a network of all loci of a line. What hangs on more than one of
// them, such as who the sire was, is one variable for all.
type inference struct {
	*index
	net     network
	items   []Item
	noted   map[itemKey]int
	which   map[string]int // the variable of a choice, by what is chosen
	choices []choice
	parts   []*builder // of each system
	counted []countedFry

	// How many parents of a side are told apart: a table over the parents of both
	// sides must stay small. The same for all parts, for choices are shared.
	mostParents int

	// Who is tried as the one parent on a side of a spawn, in place of those named.
	instead map[sideKey]string
	// Every parent may as well be an unknown fish, unless an item says it is the
	// one named.
	doubt bool
}

// builder makes the part of a system: a variable for the genotype of every fish
// that matters, asked for one by one; with a fish come its ancestors. Fish
// without a name are called by what they are wanted for, so that those of one
// system are those of the next.
type builder struct {
	*inference
	sys *system

	fish     map[string]int
	only     map[onlyOne]int // the last fish of a sex in a lot
	strain   map[onlyOne]int // whom the fish of an inbred lot are copies of
	families map[string]*family
	made     map[onlyOne]int // members of a lot that have a variable of their own
}

func newInference(x *index, systems []*system) *inference {
	in := &inference{index: x, net: network{limit: maxTable, sweeps: mostSweeps}, noted: make(map[itemKey]int), which: make(map[string]int)}
	most := 2
	for _, sys := range systems {
		most = max(most, len(sys.genotypes))
	}
	in.mostParents = min(maxParents, max(1, int(math.Log(2e5)/math.Log(float64(most))/2)))
	for _, sys := range systems {
		in.parts = append(in.parts, &builder{inference: in, sys: sys, fish: make(map[string]int), only: make(map[onlyOne]int),
			strain: make(map[onlyOne]int), families: make(map[string]*family), made: make(map[onlyOne]int)})
	}
	return in
}

// evidence brings in all that the records state. What is asked for must have been
// made before.
func (in *inference) evidence() {
	for _, b := range in.parts {
		b.evidence()
	}
}

// countedFry is counts of fry with the parents that they are held against.
type countedFry struct {
	sys    *system
	family *family
	item   int
}

type sideKey struct {
	spawn string
	sex   pedigree.Sex
}

// onlyOne is the one fish of a sex that a lot is down to.
type onlyOne struct {
	lot string
	sex pedigree.Sex
}

// choice is a parent that may be one of several.
type choice struct {
	spawn *pedigree.Spawn
	sex   pedigree.Sex
	what  string // its name in the network
	v     int
	ids   []string // by value
}

// family is the parents of a spawn: on each side one fish, or several with the
// shares they gave.
type family struct{ sides [2]side }

type side struct {
	vars    []int
	weights []float64
}

// item notes evidence and returns its number.
func (in *inference) item(i Item) int {
	in.items = append(in.items, i)
	return len(in.items) - 1
}

// genotypes makes a variable of the genotypes of a fish.
func (b *builder) genotype() int { return b.net.variable(len(b.sys.genotypes)) }

// founder makes a fish of which no parents are known.
func (b *builder) founder(sex pedigree.Sex, inbreeding float64) int {
	v := b.genotype()
	prior := b.sys.founder(inbreeding)
	if b.sys.sexes != "" && sex != pedigree.Unsexed {
		sum := 0.0
		for i, g := range b.sys.genotypes {
			if g.sex != sex {
				prior[i] = 0
			}
			sum += prior[i]
		}
		for i := range prior {
			prior[i] /= sum
		}
	}
	b.net.given(v, logs(prior), v)
	return v
}

// ofSex says of a fish what sex it is, where that has to do with the loci. Where
// half are of each sex whatever the parents, it says nothing of these.
func (b *builder) ofSex(v int, sex pedigree.Sex, item int) {
	if b.sys.sexes == "" || sex == pedigree.Unsexed {
		return
	}
	weight, child := 0.0, none
	if !b.sys.sexTells {
		weight, child = math.Ln2, v
	}
	table := make([]float64, len(b.sys.genotypes))
	for i, g := range b.sys.genotypes {
		table[i] = weight
		if g.sex != sex {
			table[i] = never
		}
	}
	b.net.factors = append(b.net.factors, factor{[]int{v}, table, item, child})
}

// observe ties what a record states to a fish of it.
func (b *builder) observe(v int, stock *pedigree.Stock) {
	for _, told := range b.sys.told(b.book, stock) {
		b.net.add(b.itemOnce(told), logs(told.likely), v)
	}
}

type itemKey struct {
	kind  ItemKind
	id    string
	locus string
	side  pedigree.Sex
}

// itemOnce returns the number of an item that may have been noted before, of
// another fish of a lot.
func (in *inference) itemOnce(i Item) int {
	key := itemKey{i.Kind, i.ID, i.Locus, i.Side}
	n, ok := in.noted[key]
	if !ok {
		n = in.item(i)
		in.noted[key] = n
	}
	return n
}

// fry makes one of the young of a family.
func (b *builder) fry(who string, f *family) int {
	sire := b.choose(who+" sire", f.sides[0].vars, f.sides[0].weights, nil)
	dam := b.choose(who+" dam", f.sides[1].vars, f.sides[1].weights, nil)
	v := b.genotype()
	if b.sys.logFry == nil {
		b.sys.logFry = logs(b.sys.fry)
	}
	if b.sys.barren {
		b.net.add(structure, b.sys.logFry, sire, dam, v) // that it lives says something of them
	} else {
		b.net.given(v, b.sys.logFry, sire, dam, v)
	}
	return v
}

// choose makes a fish that is one of several, with such odds; it is that fish
// itself where there is only one. what names the choice; told is how it is
// reported, nil where it is not.
func (b *builder) choose(what string, vars []int, weights []float64, told *choice) int {
	if len(vars) == 1 {
		return vars[0]
	}
	which, known := b.which[what]
	if !known {
		which = b.net.variable(len(vars))
		b.which[what] = which
		b.net.given(which, logs(evened(weights)), which)
		if told != nil {
			told.what, told.v = what, which
			b.choices = append(b.choices, *told)
		}
	}
	v := b.genotype()
	n := len(b.sys.genotypes)
	for i, from := range vars {
		table := make([]float64, len(vars)*n*n)
		for x := range n {
			for y := range n {
				if x != y {
					table[(i*n+x)*n+y] = never
				}
			}
		}
		b.net.given(v, table, which, v, from)
	}
	return v
}

// evened makes weights sum to 1.
func evened(weights []float64) []float64 {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	out := make([]float64, len(weights))
	for i, w := range weights {
		out[i] = w / sum
	}
	return out
}

// fishVar is the variable of a single fish.
func (b *builder) fishVar(s *pedigree.Stock) int {
	if v, ok := b.fish[s.ID]; ok {
		if v < 0 { // it descends from itself: the rules of descent tell
			return b.founder(s.Sex, 0)
		}
		return v
	}
	b.fish[s.ID] = -1
	v := b.origin(s.ID, s, s.Sex)
	b.fish[s.ID] = v
	if s.Sex != pedigree.Unsexed && b.sys.sexes != "" {
		b.ofSex(v, s.Sex, b.itemOnce(Item{Kind: SexTold, ID: s.ID, Words: "is " + s.Sex.String(), At: s.Where.At("sex")}))
	}
	b.observe(v, s)
	return v
}

// member makes one fish of a lot, another one each time.
func (b *builder) member(who string, lot *pedigree.Stock, sex pedigree.Sex) int {
	b.made[onlyOne{lot.ID, sex}]++
	v := b.origin(who+" of "+lot.ID, lot, sex)
	b.ofSex(v, sex, structure)
	b.observe(v, lot)
	return v
}

// origin makes a fish that came from where the record says, before anything
// that was seen of it.
func (b *builder) origin(who string, s *pedigree.Stock, sex pedigree.Sex) int {
	switch {
	case s.Picked != "" && b.book.StockByID(s.Picked) != nil:
		lot := b.book.StockByID(s.Picked)
		if !lot.Lot {
			return b.founder(sex, 0)
		}
		return b.member(who, lot, sex)
	case len(s.FromSpawns) > 0:
		var vars []int
		var weights []float64
		for _, from := range s.FromSpawns {
			vars = append(vars, b.fry(who+" in "+from.Spawn, b.familyOf(b.book.SpawnByID(from.Spawn))))
			weights = append(weights, from.Share)
		}
		return b.choose(who+" spawn", vars, weights, nil)
	case len(s.Merged) > 0:
		return b.merged(who, s, sex)
	case s.Lot:
		return b.founderOfLot(who, s, sex)
	case s.Bought != nil:
		return b.founder(sex, s.Bought.Inbreeding)
	}
	return b.founder(sex, 0)
}

// merged makes a fish of a merged lot: out of one of its parts, as many of its
// sex as each gave.
func (b *builder) merged(who string, s *pedigree.Stock, sex pedigree.Sex) int {
	var vars []int
	var weights []float64
	for _, part := range s.Merged {
		from := b.book.StockByID(part.ID)
		if from == nil {
			continue
		}
		if !from.Lot {
			if from.Sex == sex || from.Sex == pedigree.Unsexed || sex == pedigree.Unsexed {
				vars, weights = append(vars, b.fishVar(from)), append(weights, 1)
			}
			continue
		}
		n, only := float64(part.Count.Total()), false
		if h := b.book.LotHistory(part.ID); h != nil {
			if left, at := leaver(h, s.ID); left != nil {
				n = ofSex(left, sex)
				only = sex != pedigree.Unsexed && math.Abs(b.unpicked(h, at, sex)-1) < 1e-9
			}
		}
		switch {
		case n <= 0:
			continue
		case only:
			vars = append(vars, b.onlyOf(from, sex))
		default:
			vars = append(vars, b.member(who, from, sex))
		}
		weights = append(weights, n)
	}
	if len(vars) == 0 {
		return b.founder(sex, 0)
	}
	return b.choose(who+" part", vars, weights, nil)
}

// leaver is how a record's fish left a lot, and the state they left; nil where
// they did not.
func leaver(h *pedigree.LotHistory, id string) (left *pedigree.Leaver, state int) {
	for i := range h.Events {
		for j := range h.Events[i].Left {
			if left := &h.Events[i].Left[j]; left.ID == id {
				return left, i
			}
		}
	}
	return nil, 0
}

func ofSex(left *pedigree.Leaver, sex pedigree.Sex) float64 {
	switch sex {
	case pedigree.Male:
		return left.Males
	case pedigree.Female:
		return left.Females
	}
	return left.Males + left.Females
}

// unpicked is how many fish of a sex a lot held in a state that were not picked
// out of it then or later.
func (b *builder) unpicked(h *pedigree.LotHistory, state int, sex pedigree.Sex) float64 {
	n := h.States[state].OfSex(sex)
	for _, e := range h.Events[state:] {
		for i := range e.Left {
			if left := &e.Left[i]; left.Kind == pedigree.PickedFish || left.Kind == pedigree.PickedLot {
				n -= ofSex(left, sex)
			}
		}
	}
	return n
}
