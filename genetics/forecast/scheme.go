package forecast

import "slices"

// chooser adds so many spawns, of different pairs, among the males and females
// of b.sides.
type chooser func(b *breeder, spawns []spawn, pairs int) []spawn

var choosers = map[Scheme]chooser{Random: byChance, AvoidSiblings: apart, LeastKinship: planned, Rotate: byChance}

// byChance pairs males and females as chance has it. New wild fish come first,
// each with a fish of the line. A fish is used again only when all of its sex
// have been.
func byChance(b *breeder, spawns []spawn, pairs int) []spawn {
	males, females := b.sides[male], b.sides[female]
	wildMales, wildFemales := b.shuffle(male), b.shuffle(female)
	// Wild females go behind the wild males' mates.
	if ahead := min(wildMales, len(females)-wildFemales); ahead > 0 {
		wild := slices.Clone(females[:wildFemales])
		copy(females, females[wildFemales:wildFemales+ahead])
		copy(females[ahead:], wild)
	}
	m, f := len(males), len(females)
	round := leastCommonMultiple(m, f)
	for i := range pairs {
		spawns = append(spawns, spawn{sire: males[i%m], dam: females[(i+i/round)%f]})
	}
	return spawns
}

// shuffle puts one sex in an order that chance gives, new wild fish first, and
// returns their number.
func (b *breeder) shuffle(sex int) (wild int) {
	list := b.sides[sex]
	b.chance.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	for i, at := range list {
		if b.now.sex[sex][at].wild {
			list[wild], list[i] = list[i], list[wild]
			wild++
		}
	}
	return wild
}

func leastCommonMultiple(a, b int) int {
	x, y := a, b
	for y > 0 {
		x, y = y, x%y
	}
	return a / x * b
}

// apart pairs as byChance does, and then changes mates for as long as that makes
// fewer pairs of sibs: with another pair, or with a fish that has no mate.
func apart(b *breeder, spawns []spawn, pairs int) []spawn {
	from := len(spawns)
	spawns = byChance(b, spawns, pairs)
	chosen := spawns[from:]
	var spare [2][]int
	for sex, list := range b.sides {
		spare[sex] = list[min(pairs, len(list)):]
	}
	for better := true; better; {
		better = false
		for i := range chosen {
			if b.now.parentsShared(chosen[i].sire, chosen[i].dam) > 0 {
				better = b.changeMates(chosen, i, spare) || better
			}
		}
	}
	return spawns
}

// changeMates makes the one change for pair i that takes away most sibs; false
// where none does.
func (b *breeder) changeMates(chosen []spawn, i int, spare [2][]int) bool {
	c, x := b.now, chosen[i]
	was := c.parentsShared(x.sire, x.dam)
	best, apply := 0, func() {}
	for j, y := range chosen {
		if j == i || has(chosen, x.sire, y.dam) || has(chosen, y.sire, x.dam) {
			continue
		}
		gain := was + c.parentsShared(y.sire, y.dam) - c.parentsShared(x.sire, y.dam) - c.parentsShared(y.sire, x.dam)
		if gain > best {
			best, apply = gain, func() { chosen[i].dam, chosen[j].dam = y.dam, x.dam }
		}
	}
	for k, dam := range spare[female] {
		if gain := was - c.parentsShared(x.sire, dam); gain > best {
			best, apply = gain, func() { chosen[i].dam, spare[female][k] = dam, x.dam }
		}
	}
	for k, sire := range spare[male] {
		if gain := was - c.parentsShared(sire, x.dam); gain > best {
			best, apply = gain, func() { chosen[i].sire, spare[male][k] = sire, x.sire }
		}
	}
	apply()
	return best > 0
}

func has(chosen []spawn, sire, dam int) bool {
	return slices.ContainsFunc(chosen, func(s spawn) bool { return s.sire == sire && s.dam == dam })
}

// Kinships from which today's fish, whose parents are not looked up, are taken
// as full sibs and as half-sibs.
const (
	fullSibs = 0.25 - 1e-9
	halfSibs = 0.125 - 1e-9
)

// parentsShared is how many parents a male and a female have in common.
func (c *cohort) parentsShared(sire, dam int) (n int) {
	x, y := c.sex[male][sire].family, c.sex[female][dam].family
	if c.first {
		switch k := c.between(x, y); {
		case k >= fullSibs:
			return 2
		case k >= halfSibs:
			return 1
		}
		return 0
	}
	for side, parent := range c.parents[x] {
		if parent >= 0 && parent == c.parents[y][side] {
			n++
		}
	}
	return n
}
