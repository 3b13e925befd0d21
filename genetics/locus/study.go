package locus

import (
	"cmp"
	"slices"

	"roebook/genetics"
	"roebook/pedigree"
)

// Study is a book with its loci made ready for questions. It is not safe for use
// by several goroutines at once.
type Study struct {
	*index
	systems  map[string][]*system // by line
	problems []pedigree.Problem   // of the declarations
}

// New makes the loci of a book ready. The book must be sound: free of loops of
// descent and of references to what is not there. O(records).
func New(book *pedigree.Book) *Study {
	s := &Study{systems: make(map[string][]*system)}
	for _, line := range book.Lines {
		if len(line.Loci) > 0 || line.SexDetermination == "WXY" {
			s.systems[line.Name] = define(line, &s.problems)
		}
	}
	s.index = newIndex(book)
	return s
}

// HasLoci reports whether the line declares loci that can be reckoned with.
func (s *Study) HasLoci(line string) bool { return len(s.systems[line]) > 0 }

// Odds is what a fish, or any one fish of a lot, may have at a locus.
type Odds struct {
	ID        string
	Locus     string
	Genotypes []genetics.Share // every genotype possible in that sex; they sum to 1
	Carries   []genetics.Share // by allele but the wild type: the chance to have a copy
	OnY       []genetics.Share // of a locus on X and Y, by allele: the chance that it stands on the fish's one Y
	Sampling                   // whether the answer was sampled
	Error     float64          // the largest standard error of Genotypes, 0 where exact
}

// ParentOdds is who may have been a parent of a spawn, of several.
type ParentOdds struct {
	Spawn      string
	Side       pedigree.Sex
	Candidates []genetics.Share // a lot stands for those of its fish that are not known by name
	Sampling
	Error float64
}

// Answer is the odds of the fish that were asked for, by record and then locus,
// and of the parents of their spawns.
type Answer struct {
	Odds    []Odds
	Parents []ParentOdds
	// Impossible are the loci of which the records contradict each other, so that
	// there is no answer.
	Impossible []string
}

// asked is a record with the variables that stand for it.
type asked struct {
	stock *pedigree.Stock
	vars  []int
	parts []float64 // of the answer, by variable
}

// Line returns the odds of the records of a line, of all where ids is nil. A lot
// is weighed by the males and females it held on the day; one that had none left
// by those it held last. Alleles of founders are as frequent as the locus says,
// else even.
func (s *Study) Line(name string, ids map[string]bool, on pedigree.Date) Answer {
	var out Answer
	var wanted []*pedigree.Stock
	for _, stock := range s.book.Stock {
		if stock.Line == name && (ids == nil || ids[stock.ID]) {
			wanted = append(wanted, stock)
		}
	}
	s.eachPossible(s.systems[name], func(systems []*system) bool { return s.answer(systems, wanted, on, &out) }, func(sys *system) {
		for _, l := range sys.loci {
			out.Impossible = append(out.Impossible, l.name)
		}
	})
	slices.SortStableFunc(out.Odds, func(a, b Odds) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

// eachPossible asks all systems at once, and where that is impossible each by
// itself; refused hears of those for which that is impossible too.
func (s *Study) eachPossible(systems []*system, ask func([]*system) bool, refused func(*system)) {
	if len(systems) == 0 || ask(systems) {
		return
	}
	for _, sys := range systems {
		if len(systems) == 1 || !ask([]*system{sys}) {
			refused(sys)
		}
	}
}

// ask makes the variables of a record in the network, as it stood on a day.
func (b *builder) ask(stock *pedigree.Stock, on pedigree.Date) asked {
	if !stock.Lot {
		return asked{stock, []int{b.fishVar(stock)}, []float64{1}}
	}
	a := asked{stock: stock}
	held := b.heldOn(stock, on)
	for sex, n := range [...]float64{held.Unsexed, held.Males, held.Females} {
		if n > 1e-9 {
			a.vars, a.parts = append(a.vars, b.member("any", stock, pedigree.Sex(sex))), append(a.parts, n/held.Total())
		}
	}
	if len(a.vars) == 0 {
		a.vars, a.parts = []int{b.member("any", stock, pedigree.Unsexed)}, []float64{1}
	}
	return a
}

// heldOn is the fish of a lot on a day, of sexes told later too, for they were of
// that sex before; where none were left, those that there were last.
func (b *builder) heldOn(lot *pedigree.Stock, on pedigree.Date) pedigree.Numbers {
	h := b.book.LotHistory(lot.ID)
	for i := h.Index(on); i >= 0; i-- {
		state := h.States[i]
		if never := state.NeverSexed(); state.OfSex(pedigree.Unsexed) > 1e-9 {
			return pedigree.Numbers{Males: state.Males - never/2, Females: state.Females - never/2, Unsexed: never}
		}
	}
	return pedigree.Numbers{}
}

// answer works out the odds of records; false where the records contradict each
// other.
func (s *Study) answer(systems []*system, wanted []*pedigree.Stock, on pedigree.Date, out *Answer) bool {
	in := newInference(s.index, systems)
	var scopes [][]int
	list := make([][]asked, len(systems))
	for i, b := range in.parts {
		for _, stock := range wanted {
			a := b.ask(stock, on)
			list[i] = append(list[i], a)
			for _, v := range a.vars {
				scopes = append(scopes, []int{v})
			}
		}
	}
	in.evidence()
	for _, c := range in.choices {
		scopes = append(scopes, []int{c.v})
	}
	sol := in.net.solve(all, scopes, exactOnly)
	if !sol.possible {
		return false
	}
	if !sol.exact() {
		s.fromCore(systems, list, in, sol)
	}
	if !sol.exact() {
		sol.fill(in.net.solve(all, scopes, 1))
	}
	at := 0
	for i, sys := range systems {
		for _, a := range list[i] {
			at = sys.record(a, sol, at, out)
		}
	}
	in.parentOdds(sol, at, out)
	return true
}

// fromCore fills in what can be told exactly from the evidence and the ancestors
// it bears on alone, where the rest of what was asked makes it too wide.
func (s *Study) fromCore(systems []*system, list [][]asked, in *inference, sol *solution) {
	core := newInference(s.index, systems)
	core.evidence()
	var scopes [][]int
	var places []int
	add := func(at, v int) { scopes, places = append(scopes, []int{v}), append(places, at) }
	at := 0
	for i := range systems {
		for _, a := range list[i] {
			if v, ok := core.parts[i].fish[a.stock.ID]; ok && !a.stock.Lot {
				add(at, v)
			}
			at += len(a.vars)
		}
	}
	for i, c := range in.choices {
		if v, ok := core.which[c.what]; ok {
			add(at+i, v)
		}
	}
	exact := core.net.solve(all, scopes, exactOnly)
	for i, place := range places {
		if sol.shares[place] == nil && exact.possible {
			sol.shares[place] = exact.shares[i]
		}
	}
}

// fill takes from another solution what this one lacks.
func (s *solution) fill(from *solution) {
	for i := range s.shares {
		if s.shares[i] == nil && from.possible {
			s.shares[i], s.errors[i] = from.shares[i], from.errors[i]
		}
	}
	s.sampling = from.sampling
}

// record adds the odds of one record, whose scopes begin at that place of the
// solution, and returns the place of the next.
func (sys *system) record(a asked, sol *solution, at int, out *Answer) int {
	chance, errs := make([]float64, len(sys.genotypes)), 0.0
	var sampling Sampling
	for _, part := range a.parts {
		for g, p := range sol.shares[at] {
			chance[g] += part * p
		}
		errs = max(errs, sol.errorOf(at))
		sampling = sampling.with(sol.sampled(at))
		at++
	}
	for i, l := range sys.loci {
		odds := sys.odds(a.stock, i, chance)
		odds.ID, odds.Locus, odds.Sampling, odds.Error = a.stock.ID, l.name, sampling, errs
		out.Odds = append(out.Odds, odds)
	}
	return at
}

func all(int) bool { return true }

// odds sums the chances of a fish's genotypes to those at one locus.
func (sys *system) odds(stock *pedigree.Stock, locus int, chance []float64) Odds {
	l := sys.loci[locus]
	var o Odds
	carries := make([]float64, len(l.alleles))
	type named struct{ a, b int }
	var order []named
	sums := make(map[named]float64)
	onY := make([]float64, len(l.alleles))
	for g, p := range chance {
		sex := sys.genotypes[g].sex
		if stock != nil && !stock.Lot && stock.Sex != pedigree.Unsexed && sex != pedigree.Unsexed && sex != stock.Sex {
			continue
		}
		a, b := sys.alleles(sys.genotypes[g], locus)
		if x, y := sys.gametes[sys.genotypes[g].a].chromosome, sys.gametes[sys.genotypes[g].b].chromosome; l.on == "XY" && x != y {
			if x == 'Y' && a != absent {
				onY[a] += p
			} else if y == 'Y' && b != absent {
				onY[b] += p
			}
		}
		if a == absent || b != absent && b < a {
			a, b = b, a
		}
		if _, ok := sums[named{a, b}]; !ok {
			order = append(order, named{a, b})
		}
		sums[named{a, b}] += p
		for i := range carries {
			if a == i || b == i {
				carries[i] += p
			}
		}
	}
	slices.SortFunc(order, func(x, y named) int {
		return cmp.Or(-cmp.Compare(min(x.b, 0), min(y.b, 0)), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	for _, n := range order {
		o.Genotypes = append(o.Genotypes, genetics.Share{ID: l.nameOf(n.a, n.b), Share: sums[n]})
	}
	if l.name != SexChromosomes {
		for i, allele := range l.alleles[1:] {
			o.Carries = append(o.Carries, genetics.Share{ID: allele, Share: carries[i+1]})
		}
	}
	for i, p := range onY {
		if p > 0 {
			o.OnY = append(o.OnY, genetics.Share{ID: l.alleles[i], Share: p})
		}
	}
	return o
}

// parentOdds adds who the parents were, by spawn and side; scopes of the choices
// begin at that place of the solution.
func (in *inference) parentOdds(sol *solution, at int, out *Answer) {
	first := len(out.Parents)
	for i, c := range in.choices {
		var p *ParentOdds
		for j := range out.Parents[first:] {
			if old := &out.Parents[first+j]; old.Spawn == c.spawn.ID && old.Side == c.sex {
				p = old
			}
		}
		if p == nil {
			out.Parents = append(out.Parents, ParentOdds{Spawn: c.spawn.ID, Side: c.sex})
			p = &out.Parents[len(out.Parents)-1]
		}
		p.Sampling = p.Sampling.with(sol.sampled(at + i))
		p.Error = max(p.Error, sol.errorOf(at+i))
		parts := float64(in.partsOf(c))
		for k, id := range c.ids {
			j := slices.IndexFunc(p.Candidates, func(x genetics.Share) bool { return x.ID == id })
			if j < 0 {
				j = len(p.Candidates)
				p.Candidates = append(p.Candidates, genetics.Share{ID: id})
			}
			p.Candidates[j].Share += sol.shares[at+i][k] / parts
		}
	}
	for _, p := range out.Parents[first:] {
		slices.SortStableFunc(p.Candidates, func(x, y genetics.Share) int {
			return cmp.Or(cmp.Compare(y.Share, x.Share), cmp.Compare(x.ID, y.ID))
		})
	}
}

// partsOf is how many parents of that side of the spawn were chosen.
func (in *inference) partsOf(c choice) int {
	n := 0
	for _, other := range in.choices {
		if other.spawn == c.spawn && other.sex == c.sex {
			n++
		}
	}
	return n
}

// errorOf is the largest standard error of a scope, 0 where it is exact.
func (s *solution) errorOf(scope int) float64 {
	most := 0.0
	for _, e := range s.errors[scope] {
		most = max(most, e)
	}
	return most
}

// sampled says how a scope was sampled, if it was.
func (s *solution) sampled(scope int) Sampling {
	if s.errors[scope] == nil {
		return Sampling{}
	}
	return s.sampling
}

func (s Sampling) with(other Sampling) Sampling {
	if other.Sampled {
		return other
	}
	return s
}

// Prior is how frequent the alleles of a locus are taken to be in founders.
type Prior struct {
	Locus       string
	Frequencies []genetics.Share
	Stated      bool // false: even, for nothing is stated
}

// Priors returns the allele frequencies that answers for the line rest on.
func (s *Study) Priors(line string) []Prior {
	var out []Prior
	for _, sys := range s.systems[line] {
		for _, l := range sys.loci {
			if l.name == SexChromosomes {
				continue
			}
			p := Prior{Locus: l.name, Stated: len(l.record.Frequency) > 0}
			for i, a := range l.alleles {
				p.Frequencies = append(p.Frequencies, genetics.Share{ID: a, Share: l.share[i]})
			}
			out = append(out, p)
		}
	}
	slices.SortFunc(out, func(a, b Prior) int { return cmp.Compare(a.Locus, b.Locus) })
	return out
}
