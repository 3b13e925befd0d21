package genetics_test

import (
	"math"
	"math/rand/v2"

	"roebook/pedigree"
)

// simulation holds what a book's fish were found to share. NaN stands where
// nothing can be said (a lot without fish, or itself with fewer than two).
type simulation struct {
	ids     []string
	index   map[string]int
	began   []bool       // the record had begun on the date
	number  []int        // fish of a lot on the date; 1 for a fish
	kinship [][]estimate // of two records; on the diagonal of two distinct members, or of a fish with itself
	inbred  []estimate   // of the fish of a record
	fry     map[string]estimate
}

// estimate is a mean over replicates, each an independent play of the whole
// book, with its standard error.
type estimate struct {
	sum, squares float64
	n            int
}

func (e *estimate) add(x float64) { e.sum += x; e.squares += x * x; e.n++ }

func (e estimate) mean() float64 { return e.sum / float64(e.n) }

func (e estimate) stderr() float64 {
	n := float64(e.n)
	return math.Sqrt(max(0, e.squares/n-e.mean()*e.mean()) / (n - 1))
}

// z returns how many standard errors the estimate lies above the expected
// value: 0 where they are equal, ±Inf where every replicate gave the same and
// it was something else.
func (e estimate) z(want float64) float64 {
	diff := e.mean() - want
	if math.Abs(diff) < 1e-9 {
		return 0
	}
	return diff / e.stderr()
}

// drawn are the parents of one side of a spawn and each one's share of the fry.
type drawn struct {
	fish   []int32
	weight []float64
}

// replicate is one play of the book.
type replicate struct {
	*play
	rng            *rand.Rand
	loci           int
	genes          []int32 // two alleles at each locus of each fish
	next           []int32 // the next new allele of each locus
	fish           map[string]int32
	males, females map[string][]int32
	sires, dams    map[string]drawn
	founders       founderGenes
}

// simulate plays the book many times and looks at it on a date. Identity by
// descent is counted at unlinked loci, all founder alleles distinct but for
// declared kinship and inbreeding. The loci of one replicate share the parents
// drawn, so the spread between replicates, not loci, gives the errors.
func (p *play) simulate(on pedigree.Date, replicates, loci int, seed uint64) *simulation {
	s := &simulation{ids: sortedIDs(p.book), index: map[string]int{}, fry: map[string]estimate{}}
	n := len(s.ids)
	s.began, s.number, s.inbred = make([]bool, n), make([]int, n), make([]estimate, n)
	s.kinship = make([][]estimate, n)
	for i, id := range s.ids {
		s.index[id] = i
		s.kinship[i] = make([]estimate, n)
		s.began[i] = p.beganBy(p.book.StockByID(id), on)
	}
	r := &replicate{play: p, rng: rand.New(rand.NewPCG(seed, 0x5eed)), loci: loci, next: make([]int32, loci)}
	r.founders = newFounderGenes(p.book)
	for range replicates {
		members := r.run(on)
		s.count(r, members)
	}
	return s
}

// run plays the book once and returns the fish of each record on the date.
func (r *replicate) run(on pedigree.Date) map[string][]int32 {
	r.genes = r.genes[:0]
	clear(r.next)
	r.fish = map[string]int32{}
	r.males, r.females = map[string][]int32{}, map[string][]int32{}
	r.sires, r.dams = map[string]drawn{}, map[string]drawn{}
	r.founders.draw(r)
	members := map[string][]int32{}
	looked := false
	for _, e := range r.events {
		if !looked && (e.date > on || e.date == on && e.phase > phaseSpawn) {
			r.look(members)
			looked = true
		}
		switch e.kind {
		case eventBegin:
			r.begin(e)
		case eventSpawn:
			r.spawn(e.spawn)
		default:
			t := e.taken[0]
			s := t.lot.stages[t.stage]
			r.take(t.lot.stock.ID, s.males-s.malesAfter, s.females-s.femalAfter)
		}
	}
	if !looked {
		r.look(members)
	}
	for id, fish := range r.fish { // a fish is itself, dead or alive
		members[id] = []int32{fish}
	}
	return members
}

func (r *replicate) look(members map[string][]int32) {
	for id := range r.lots {
		members[id] = append(append([]int32(nil), r.males[id]...), r.females[id]...)
	}
}

// begin makes or moves the fish of a record.
func (r *replicate) begin(e event) {
	s := e.stock
	var males, females []int32
	switch {
	case s.Picked != "" && !s.Lot:
		r.fish[s.ID] = r.pickOne(s)
		return
	case e.taken != nil:
		for _, t := range e.taken {
			if t.lot == nil {
				if t.fish.Sex == pedigree.Male {
					males = append(males, r.fish[t.fish.ID])
				} else {
					females = append(females, r.fish[t.fish.ID])
				}
				continue
			}
			st := t.lot.stages[t.stage]
			m, f := r.take(t.lot.stock.ID, st.males-st.malesAfter, st.females-st.femalAfter)
			males, females = append(males, m...), append(females, f...)
		}
	default:
		var all []int32
		if isFounder(s) {
			all = r.founders.fish(r, s)
		} else {
			all = r.fry(s)
		}
		if !s.Lot {
			r.fish[s.ID] = all[0]
			return
		}
		r.rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		lot := r.lots[s.ID]
		m, f := int(lot.males), int(lot.females)
		males, females = all[:m:m], all[m:m+f:m+f]
	}
	r.males[s.ID], r.females[s.ID] = males, females
}

// fry makes the fish that a record keeps of its spawns, before sexing.
func (r *replicate) fry(s *pedigree.Stock) []int32 {
	if !s.Lot {
		var total float64
		for _, from := range s.FromSpawns {
			total += from.Share
		}
		x := r.rng.Float64() * total
		for _, from := range s.FromSpawns {
			if x -= from.Share; x < 0 {
				return []int32{r.oneFry(from.Spawn)}
			}
		}
		return []int32{r.oneFry(s.FromSpawns[0].Spawn)}
	}
	var all []int32
	for _, from := range s.FromSpawns {
		n := int(from.Share)
		if len(s.FromSpawns) == 1 {
			n = s.Count.Total()
		}
		for range n {
			all = append(all, r.oneFry(from.Spawn))
		}
	}
	return all
}

// oneFry draws its sire and its dam among the parents of the spawn, each on
// its own (mixed eggs), and one allele of each at every locus.
func (r *replicate) oneFry(spawn string) int32 {
	sire, dam := r.sires[spawn].one(r.rng), r.dams[spawn].one(r.rng)
	fish := r.newFish()
	bits := r.rng.Uint64()
	for l := range r.loci {
		r.genes[r.at(fish, l)] = r.genes[r.at(sire, l)+int(bits&1)]
		r.genes[r.at(fish, l)+1] = r.genes[r.at(dam, l)+int(bits>>1&1)]
		bits >>= 2
	}
	return fish
}

func (d drawn) one(rng *rand.Rand) int32 {
	if len(d.fish) == 1 {
		return d.fish[0]
	}
	x := rng.Float64()
	for i, w := range d.weight {
		if x -= w; x < 0 {
			return d.fish[i]
		}
	}
	return d.fish[len(d.fish)-1]
}

// newFish makes room for a fish; loci are at most 32, two bits of a draw each.
func (r *replicate) newFish() int32 {
	fish := int32(len(r.genes) / (2 * r.loci))
	for range 2 * r.loci {
		r.genes = append(r.genes, -1)
	}
	return fish
}

func (r *replicate) at(fish int32, locus int) int { return 2 * (int(fish)*r.loci + locus) }

func (r *replicate) newAllele(locus int) int32 {
	r.next[locus]++
	return r.next[locus] - 1
}

// unknown makes a fish unrelated to all others.
func (r *replicate) unknown() int32 {
	fish := r.newFish()
	for l := range r.loci {
		r.genes[r.at(fish, l)], r.genes[r.at(fish, l)+1] = r.newAllele(l), r.newAllele(l)
	}
	return fish
}

// take removes random males and females of a lot and returns them.
func (r *replicate) take(id string, m, f float64) (males, females []int32) {
	r.males[id], males = r.split(r.males[id], int(m))
	r.females[id], females = r.split(r.females[id], int(f))
	return males, females
}

func (r *replicate) split(fish []int32, n int) (stay, go_ []int32) {
	fish = append([]int32(nil), fish...)
	for i := range n {
		j := i + r.rng.IntN(len(fish)-i)
		fish[i], fish[j] = fish[j], fish[i]
	}
	return fish[n:], fish[:n:n]
}

// pickOne takes one fish out of a lot: a random one of its sex, or any one.
func (r *replicate) pickOne(s *pedigree.Stock) int32 {
	male := s.Sex == pedigree.Male
	if s.Sex == pedigree.Unsexed {
		m, f := len(r.males[s.Picked]), len(r.females[s.Picked])
		male = r.rng.IntN(m+f) < m
	}
	if male {
		m, _ := r.take(s.Picked, 1, 0)
		return m[0]
	}
	_, f := r.take(s.Picked, 0, 1)
	return f[0]
}

// spawn draws the parents.
func (r *replicate) spawn(s *pedigree.Spawn) {
	if s.Repeat != "" {
		r.sires[s.ID], r.dams[s.ID] = r.sires[s.Repeat], r.dams[s.Repeat]
		return
	}
	sire, dam := s.Sire, s.Dam
	if s.Group != nil {
		sire, dam = pedigree.Side{}, pedigree.Side{}
		for _, id := range s.Group {
			sire.Candidates = append(sire.Candidates, pedigree.Candidate{ID: id, Odds: 1})
		}
		dam.Candidates = sire.Candidates
	}
	r.sires[s.ID] = r.side(sire, s.Sires, pedigree.Male, s.Group != nil)
	r.dams[s.ID] = r.side(dam, s.Dams, pedigree.Female, s.Group != nil)
}

func (r *replicate) side(side pedigree.Side, k pedigree.Parents, sex pedigree.Sex, group bool) drawn {
	if len(side.Candidates) == 0 {
		var d drawn
		for range max(k.N, 1) {
			d.fish = append(d.fish, r.unknown())
		}
		return d.even()
	}
	var each [][]int32
	var odds []float64
	var total float64
	for _, c := range side.Candidates {
		fish := r.candidates(c.ID, sex, group)
		if len(fish) > 0 {
			each, odds = append(each, fish), append(odds, c.Odds)
			total += c.Odds
		}
	}
	var d drawn
	switch {
	case side.Odds && k.All:
		for i, fish := range each {
			for _, x := range fish {
				d.fish = append(d.fish, x)
				d.weight = append(d.weight, odds[i]/total/float64(len(fish)))
			}
		}
		return d
	case side.Odds:
		x := r.rng.Float64() * total
		i := 0
		for ; i < len(each)-1; i++ {
			if x -= odds[i]; x < 0 {
				break
			}
		}
		d.fish = []int32{each[i][r.rng.IntN(len(each[i]))]}
		return d.even()
	}
	for _, fish := range each {
		d.fish = append(d.fish, fish...)
	}
	if n := max(k.N, 1); !k.All && n < len(d.fish) {
		_, d.fish = r.split(d.fish, n)
	}
	return d.even()
}

func (d drawn) even() drawn {
	d.weight = make([]float64, len(d.fish))
	for i := range d.weight {
		d.weight[i] = 1 / float64(len(d.fish))
	}
	return d
}

// candidates returns the fish of one sex that a record stands for. A single
// fish named as a parent is one; in a group it is only of its own sex.
func (r *replicate) candidates(id string, sex pedigree.Sex, group bool) []int32 {
	if r.lots[id] == nil {
		if group && r.book.StockByID(id).Sex != sex {
			return nil
		}
		return []int32{r.fish[id]}
	}
	if sex == pedigree.Male {
		return r.males[id]
	}
	return r.females[id]
}
