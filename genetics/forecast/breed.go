package forecast

import (
	"math"
	"math/rand/v2"
)

// spawn is one that gave fry: its parents among the males and the females of the
// generation, and the fry kept of it.
type spawn struct {
	sire, dam int
	keep      int
	group     int // that the fry are of
}

// breeder plays one run.
type breeder struct {
	Options
	floor    float64 // of gene diversity: a run that falls below it is not played on
	from     int     // the first generation in which it counts
	stopped  func() bool
	start    *Start
	founders int // with the new wild fish as the last
	chance   *rand.Rand
	choose   chooser
	now      *cohort
	next     *cohort
	spawns   []spawn
	families [][2]int // of the parents of each spawn
	sides    [2][]int // the males and females of a group, as places in the generation
}

func newBreeder(start *Start, o Options) *breeder {
	return &breeder{Options: o, start: start, founders: len(start.Founders) + 1, choose: choosers[o.Scheme], now: &cohort{}, next: &cohort{},
		stopped: func() bool { return false }}
}

// begin sets up today's fish. Those never sexed are given a sex by chance; parts
// of fish, which stand where the sex of one that left was not told, are rounded
// by chance.
func (b *breeder) begin() {
	s, c := b.start, b.now
	c.resize(len(s.Self), b.founders)
	c.first = true
	copy(c.self, s.Self)
	for i := range s.Self {
		copy(c.kinship[i*c.families:], s.Kinship[i])
		copy(c.share[i*b.founders:], s.Shares[i])
		c.parents[i] = [2]int{-1, -1}
	}
	for _, r := range s.Records {
		total := b.rounded(r.Males + r.Females + r.Unsexed)
		males := min(b.rounded(r.Males), total)
		unsexed := min(b.rounded(r.Unsexed), total-males)
		for i := range total {
			sex := female
			if i < males || i < males+unsexed && b.chance.Float64() < b.Males {
				sex = male
			}
			c.add(sex, fish{family: r.family[sex]})
		}
	}
	b.deal()
}

// rounded is the number, its part of a fish by chance.
func (b *breeder) rounded(x float64) int {
	whole := math.Floor(x + 1e-9)
	if part := x - whole; part > 1e-9 && b.chance.Float64() < part {
		whole++
	}
	return int(whole)
}

// deal puts the fish of each sex into the groups in turn, in an order that chance
// gives.
func (b *breeder) deal() {
	groups := b.groups()
	if groups == 1 {
		return
	}
	for _, list := range b.now.sex {
		for i, at := range b.chance.Perm(len(list)) {
			list[at].group = i % groups
		}
	}
}

// breed makes generation number t of the one before, which has fish of both
// sexes.
func (b *breeder) breed(t int) {
	b.spawns = b.spawns[:0]
	groups := b.groups()
	for group := range groups {
		keep, pairs := part(b.Keep, group, groups), part(b.Pairs, group, groups)
		b.sides[male] = b.membersOf(male, group-1, b.sides[male])
		b.sides[female] = b.membersOf(female, group, b.sides[female])
		from := len(b.spawns)
		if b.Pairs == 0 {
			b.spawnTogether(group, keep)
			continue
		}
		b.spawns = b.choose(b, b.spawns, min(pairs, len(b.sides[male])*len(b.sides[female])))
		b.spawns = b.spawns[:from+b.fail(b.spawns[from:])]
		b.shareOut(b.spawns[from:], group, keep)
	}
	b.raise(t)
	b.now, b.next = b.next, b.now
}

// part is the i-th of n parts of a whole, as equal as may be.
func part(whole, i, n int) int { return whole*(i+1)/n - whole*i/n }

// membersOf lists the fish of a sex in a group, or, where it has none, of the
// nearest group before it in the ring that has.
func (b *breeder) membersOf(sex, group int, list []int) []int {
	groups := b.groups()
	for back := range groups {
		list = list[:0]
		for i, f := range b.now.sex[sex] {
			if f.group == (group-back+2*groups)%groups {
				list = append(list, i)
			}
		}
		if len(list) > 0 {
			break
		}
	}
	return list
}

// spawnTogether draws sire and dam of every fry with replacement.
func (b *breeder) spawnTogether(group, keep int) {
	dams := b.sides[female]
	if b.Failed > 0 {
		n := 0
		for n == 0 {
			b.chance.Shuffle(len(dams), func(i, j int) { dams[i], dams[j] = dams[j], dams[i] })
			n = b.succeeding(len(dams))
		}
		dams = dams[:n]
	}
	for range keep {
		sire := b.sides[male][b.chance.IntN(len(b.sides[male]))]
		b.spawns = append(b.spawns, spawn{sire, dams[b.chance.IntN(len(dams))], 1, group})
	}
}

// succeeding is how many of n spawns give fry.
func (b *breeder) succeeding(n int) (succeed int) {
	for range n {
		if b.chance.Float64() >= b.Failed {
			succeed++
		}
	}
	return succeed
}

// fail moves the spawns that give fry to the front and returns their number, at
// least 1.
func (b *breeder) fail(spawns []spawn) int {
	if b.Failed == 0 {
		return len(spawns)
	}
	n := 0
	for n == 0 {
		n = b.succeeding(len(spawns))
	}
	b.chance.Shuffle(len(spawns), func(i, j int) { spawns[i], spawns[j] = spawns[j], spawns[i] })
	return n
}

// shareOut keeps so many fry of the spawns, as equally as may be, the odd ones
// where chance has it. Spawns that were planned with a number keep their
// proportions.
func (b *breeder) shareOut(spawns []spawn, group, keep int) {
	planned := 0
	for _, s := range spawns {
		planned += s.keep
	}
	b.chance.Shuffle(len(spawns), func(i, j int) { spawns[i], spawns[j] = spawns[j], spawns[i] })
	before := 0
	for i := range spawns {
		s := &spawns[i]
		s.group = group
		if planned == 0 {
			s.keep = part(keep, i, len(spawns))
			continue
		}
		from := before * keep / planned
		before += s.keep
		s.keep = before*keep/planned - from
	}
}

// raise makes the next generation of the spawns, and lets new wild fish join it.
func (b *breeder) raise(t int) {
	c, arriving := b.next, 0
	if b.NewWild > 0 && t%b.Every == 0 {
		arriving = b.NewWild
	}
	c.resize(len(b.spawns)+arriving, b.founders)
	b.relate()
	b.sexFry()
	odd := 0
	if arriving%2 == 1 {
		odd = b.chance.IntN(2)
	}
	groups := b.groups()
	for i := range arriving {
		family := len(b.spawns) + i
		c.self[family] = 0.5
		c.share[(family+1)*b.founders-1] = 1
		c.kinship[family*c.families+family] = 0
		c.parents[family] = [2]int{-1, -1}
		c.add((i+odd)%2, fish{family: family, group: i / 2 % groups, wild: true})
	}
}

// relate fills in the kinships of the fry: of two spawns the average over their
// parents, where they share one that of this fish with itself; of two fry of one
// spawn likewise; of a fry with itself ½(1 + F), F the kinship of its parents.
func (b *breeder) relate() {
	old, c := b.now, b.next
	n := old.families
	b.families = b.families[:0]
	for i, x := range b.spawns {
		sire, dam := old.sex[male][x.sire].family, old.sex[female][x.dam].family
		b.families = append(b.families, [2]int{sire, dam})
		c.self[i] = (1 + old.between(sire, dam)) / 2
		c.parents[i] = [2]int{x.sire, x.dam}
		for j, share := range old.share[sire*b.founders : (sire+1)*b.founders] {
			c.share[i*b.founders+j] = (share + old.share[dam*b.founders+j]) / 2
		}
		bySire, byDam := old.kinship[sire*n:(sire+1)*n], old.kinship[dam*n:(dam+1)*n]
		sameSire, sameDam := old.self[sire]-bySire[sire], old.self[dam]-byDam[dam]
		for j, y := range b.spawns[:i+1] {
			of := b.families[j]
			k := bySire[of[male]] + bySire[of[female]] + byDam[of[male]] + byDam[of[female]]
			if x.sire == y.sire {
				k += sameSire
			}
			if x.dam == y.dam {
				k += sameDam
			}
			c.kinship[i*c.families+j], c.kinship[j*c.families+i] = k/4, k/4
		}
	}
}

// sexFry gives the fry their sexes: each by chance, or so many males that in each
// spawn, and in each group, their share is as near as may be.
func (b *breeder) sexFry() {
	fry, offset, group := 0, b.chance.Float64(), -1
	for family, s := range b.spawns {
		if s.group != group {
			fry, group = 0, s.group
		}
		for range s.keep {
			fry++
			var isMale bool
			if b.BySex {
				upTo := func(n int) float64 { return math.Floor(float64(n)*b.Males + offset + 1e-9) }
				isMale = upTo(fry) > upTo(fry-1)
			} else {
				isMale = b.chance.Float64() < b.Males
			}
			sex := female
			if isMale {
				sex = male
			}
			b.next.add(sex, fish{family: family, group: s.group})
		}
	}
}
