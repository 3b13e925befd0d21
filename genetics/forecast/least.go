package forecast

import "roebook/genetics/pairing"

// fewOfFamily is how many fish of one family and sex the planner is offered, or
// twice its even share of the pairs if that is more. Of many sibs a good plan
// takes few; five in place of two made plans no better, and took three times as
// long.
const fewOfFamily = 2

// planned sets up the spawns, and keeps the fry of each, that leave the fry the
// most gene diversity, no two of them full sibs where that can be had; then it
// changes mates where that makes the fry less inbred and takes nothing from the
// diversity. Without the rule on sibs two fish half of new blood are mated with
// each other as soon as any.
func planned(b *breeder, spawns []spawn, pairs int) []spawn {
	males, females := b.offered(male, pairs), b.offered(female, pairs)
	all := append(append([]int(nil), males...), females...)
	p := pairing.Problem{Males: len(males), Kinship: make([][]float64, len(all)), Uses: make([]int, len(all)),
		Spawns: pairs, Keep: b.Keep, Least: 1}
	family := func(i int) int {
		if i < len(males) {
			return b.now.sex[male][all[i]].family
		}
		return b.now.sex[female][all[i]].family
	}
	for i := range all {
		p.Kinship[i] = make([]float64, len(all))
		for j := range all {
			p.Kinship[i][j] = b.now.between(family(i), family(j))
		}
		p.Kinship[i][i] = b.now.self[family(i)]
		p.Uses[i] = (pairs + len(females) - 1) / len(females)
		if i < len(males) {
			p.Uses[i] = (pairs + len(males) - 1) / len(males)
		}
	}
	p.Allowed = func(sire, dam int) bool { return b.now.parentsShared(all[sire], all[dam]) < 2 }
	plan, _ := pairing.Quick(&p)
	if len(plan.Spawns) < pairs {
		p.Allowed = nil
		if free, _ := pairing.Quick(&p); len(free.Spawns) > len(plan.Spawns) {
			plan = free
		}
	}
	from := len(spawns)
	for _, s := range plan.Spawns {
		spawns = append(spawns, spawn{sire: all[s.Sire], dam: all[s.Dam], keep: s.Keep})
	}
	b.lessInbred(spawns[from:])
	return spawns
}

// offered lists some fish of each family, enough for so many pairs.
func (b *breeder) offered(sex, pairs int) []int {
	list := b.sides[sex]
	b.chance.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	families := map[int]int{}
	for _, at := range list {
		families[b.now.sex[sex][at].family]++
	}
	few := max(fewOfFamily, (2*pairs+len(families)-1)/len(families))
	taken, offered := map[int]int{}, make([]int, 0, len(list))
	for _, at := range list {
		if family := b.now.sex[sex][at].family; taken[family] < few {
			taken[family]++
			offered = append(offered, at)
		}
	}
	return offered
}

// lessInbred lets spawns of which as many fry are kept change dams for as long as
// that lowers the kinship of mates.
func (b *breeder) lessInbred(chosen []spawn) {
	c := b.now
	for better := true; better; {
		better = false
		for i, x := range chosen {
			for j, y := range chosen[:i] {
				if x.keep != y.keep || has(chosen, x.sire, y.dam) || has(chosen, y.sire, x.dam) {
					continue
				}
				if c.of(x.sire, y.dam)+c.of(y.sire, x.dam) < c.of(x.sire, x.dam)+c.of(y.sire, y.dam)-1e-12 {
					chosen[i].dam, chosen[j].dam = y.dam, x.dam
					x, better = chosen[i], true
				}
			}
		}
	}
}
