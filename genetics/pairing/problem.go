package pairing

import (
	"fmt"
	"math"
)

// Problem is a choice of spawns in plain numbers: which fish to put together and
// how many fry to keep of each spawn, so that the fry kept hold the most gene
// diversity. Fish 0 to Males−1 are the males, those after them the females. A
// fish out of a lot is a fish like any other.
type Problem struct {
	Males int
	// Kinship is the symmetric matrix of all fish, each with itself on the
	// diagonal: ½(1 + F). Two fish of a lot have the kinship of two distinct
	// members.
	Kinship [][]float64
	// Uses is how many spawns a fish may have; nil for one each. A pair of the
	// same two fish stands at most once in a plan.
	Uses []int
	// Allowed reports whether a male and a female (numbers of fish) may be put
	// together; nil where every two may.
	Allowed func(sire, dam int) bool

	Spawns int // at most
	Keep   int // fry kept in all
	Least  int // kept of a spawn that is set up: at least 1
	Most   int // kept of a spawn; 0 for no limit

	With     []int    // fish that must have a spawn
	Together [][2]int // pairs that must be set up: sire, dam

	// Toward, where given, are the shares of each fish's genes that came from one
	// ancestor. The plan then seeks the greatest share in the fry, and only of plans
	// alike in that, to about a millionth, the most diverse.
	Toward []float64

	// Living, where there are any, are fish that the fry are added to: the plan
	// then seeks the diversity of both together.
	Living *Standing
}

// Standing is a group of living fish as the fry would find it.
type Standing struct {
	Heads       float64
	MeanKinship float64   // over all ordered pairs, each fish with itself
	With        []float64 // mean kinship of each fish of the problem with the group
}

// Choice is a spawn of a plan.
type Choice struct{ Sire, Dam, Keep int }

// Plan is an answer to a [Problem].
type Plan struct {
	Spawns        []Choice // by sire, then dam
	GeneDiversity float64  // of the fry kept, or of them and the living
	Bound         float64  // no plan has more; 1 where it was not asked for
	Exact         bool     // no plan is better, up to rounding
	Share         float64  // of the fry's genes, with Toward
	ShareBound    float64  // no plan has a greater share, with Toward
}

// check panics on a malformed problem: that is a mistake of the caller's.
func (p *Problem) check() {
	n := len(p.Kinship)
	switch {
	case p.Males < 0 || p.Males > n:
		panic(fmt.Sprintf("pairing: %d males of %d fish", p.Males, n))
	case p.Toward != nil && p.Living != nil:
		panic("pairing: a share is sought in the fry alone")
	case p.Spawns < 1 || p.Keep < 1 || p.Least < 1:
		panic(fmt.Sprintf("pairing: %d spawns, %d kept, at least %d of each", p.Spawns, p.Keep, p.Least))
	case p.Uses != nil && len(p.Uses) != n || p.Living != nil && len(p.Living.With) != n,
		p.Toward != nil && len(p.Toward) != n:
		panic("pairing: a list is not as long as there are fish")
	}
}

// instance is a problem made ready for counting. With y the fry of each fish, n
// of them kept in all, and K the kinships, the sum of the kinships of all ordered
// pairs of fry is
//
//	¼·yᵀKy + cᵀy ,   c_i = (1 − K_ii)/4
//
// for two fry of spawns s and t have the mean of four kinships of parents, also
// where s = t, but a fry has ½(1+F) with itself, which is more by the Mendelian
// sampling of its two parents, ½ − (K_ii + K_jj)/4. So a plan is worth what its
// fish give, whoever is put with whom; the pairs matter for what is allowed. L
// living fish of mean kinship k̄ add L²k̄ to the sum and L·m_i to c_i, m_i the mean
// kinship of the fish with them.
type instance struct {
	n, males int
	k        []float64 // n × n
	c        []float64
	uses     []int
	allowed  []bool // males × females
	spawns   int
	keep     int
	least    int
	most     int
	must     []bool // must have a spawn
	fixed    [][2]int
	single   bool    // one use for every fish
	base     float64 // what the living have among themselves
	scale    float64 // ordered pairs in all
	weight   float64 // of kinship in the cost: 1, or next to nothing beside Toward
	toward   []float64
}

// besideShare is the weight of kinship where a share comes first.
const besideShare = 1e-6

func (p *Problem) instance() *instance {
	p.check()
	n := len(p.Kinship)
	in := &instance{
		n: n, males: p.Males, k: make([]float64, n*n), c: make([]float64, n), uses: p.Uses,
		allowed: make([]bool, p.Males*(n-p.Males)), spawns: p.Spawns, keep: p.Keep, least: p.Least, most: p.Most,
		must: make([]bool, n), fixed: p.Together, single: true, scale: float64(p.Keep) * float64(p.Keep),
		weight: 1, toward: p.Toward,
	}
	for i, row := range p.Kinship {
		copy(in.k[i*n:], row)
		in.c[i] = (1 - row[i]) / 4
	}
	if in.uses == nil {
		in.uses = make([]int, n)
		for i := range in.uses {
			in.uses[i] = 1
		}
	}
	for _, uses := range in.uses {
		in.single = in.single && uses <= 1
	}
	if in.most == 0 || in.most > in.keep {
		in.most = in.keep
	}
	in.spawns = min(in.spawns, in.keep/in.least)
	for i := range in.males {
		for j := in.males; j < n; j++ {
			in.allowed[in.pair(i, j)] = in.uses[i] > 0 && in.uses[j] > 0 && (p.Allowed == nil || p.Allowed(i, j))
		}
	}
	for _, i := range p.With {
		in.must[i] = true
	}
	for _, pair := range p.Together {
		in.must[pair[0]], in.must[pair[1]] = true, true
	}
	if l := p.Living; l != nil {
		in.base = l.Heads * l.Heads * l.MeanKinship
		in.scale = (l.Heads + float64(p.Keep)) * (l.Heads + float64(p.Keep))
		for i := range in.c {
			in.c[i] += l.Heads * l.With[i]
		}
	}
	if p.Toward != nil {
		in.seekShare()
	}
	return in
}

// seekShare makes the cost that of a share first: the cost of a plan is then the
// ordered pairs times (besideShare · mean kinship − share).
func (in *instance) seekShare() {
	in.weight = besideShare
	for i := range in.k {
		in.k[i] *= in.weight
	}
	for i := range in.c {
		in.c[i] = in.weight*in.c[i] - in.toward[i]*float64(in.keep)/2
	}
}

// share is the share of the fry's genes that a plan seeks, 0 where it seeks none.
func (in *instance) share(plan []Choice) (share float64) {
	if in.toward == nil {
		return 0
	}
	for _, s := range plan {
		share += float64(s.Keep) * (in.toward[s.Sire] + in.toward[s.Dam]) / 2
	}
	return share / float64(in.keep)
}

// pair is the place of a pair among all.
func (in *instance) pair(sire, dam int) int { return sire*(in.n-in.males) + dam - in.males }

func (in *instance) kin(i, j int) float64 { return in.k[i*in.n+j] }

func (in *instance) row(i int) []float64 { return in.k[i*in.n : (i+1)*in.n] }

// cost is ¼·yᵀKy + cᵀy of a plan. O(spawns²).
func (in *instance) cost(plan []Choice) float64 {
	sum := 0.0
	for a, s := range plan {
		own := in.kin(s.Sire, s.Sire) + in.kin(s.Dam, s.Dam) + 2*in.kin(s.Sire, s.Dam)
		sum += float64(s.Keep) * (float64(s.Keep)*own/4 + in.c[s.Sire] + in.c[s.Dam])
		for _, t := range plan[:a] {
			cross := in.kin(s.Sire, t.Sire) + in.kin(s.Sire, t.Dam) + in.kin(s.Dam, t.Sire) + in.kin(s.Dam, t.Dam)
			sum += float64(s.Keep) * float64(t.Keep) * cross / 2
		}
	}
	return sum
}

// diversity is the gene diversity that a cost comes to.
func (in *instance) diversity(cost float64) float64 { return 1 - (in.base+cost)/in.scale }

// Value returns the gene diversity of a plan of the problem, whether or not it
// keeps the limits. O(n² + spawns²).
func (p *Problem) Value(plan []Choice) float64 {
	q := *p
	q.Toward = nil
	in := q.instance()
	return in.diversity(in.cost(plan))
}

// Feasible says which rule of the problem a plan breaks, "" for none.
func (p *Problem) Feasible(plan []Choice) string {
	in := p.instance()
	used, seen, kept := make([]int, in.n), map[[2]int]bool{}, 0
	for _, s := range plan {
		switch pair := [2]int{s.Sire, s.Dam}; {
		case s.Keep < in.least || s.Keep > in.most:
			return fmt.Sprintf("%d kept of a spawn", s.Keep)
		case s.Sire >= in.males || s.Dam < in.males || !in.allowed[in.pair(s.Sire, s.Dam)]:
			return fmt.Sprintf("the pair %v is not allowed", pair)
		case seen[pair]:
			return fmt.Sprintf("the pair %v stands twice", pair)
		default:
			seen[pair] = true
		}
		used[s.Sire]++
		used[s.Dam]++
		kept += s.Keep
	}
	for i := range used {
		if used[i] > in.uses[i] || in.must[i] && used[i] == 0 {
			return fmt.Sprintf("fish %d has %d spawns", i, used[i])
		}
	}
	for _, pair := range in.fixed {
		if !seen[pair] {
			return fmt.Sprintf("the pair %v is missing", pair)
		}
	}
	if len(plan) > in.spawns || kept != in.keep {
		return fmt.Sprintf("%d spawns with %d kept", len(plan), kept)
	}
	return ""
}

// tiny is what costs may differ by rounding alone.
func (in *instance) tiny() float64 { return 1e-13 * math.Max(in.scale, 1) }
