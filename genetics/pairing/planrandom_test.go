package pairing

import (
	"math/rand/v2"
)

// randomFish is the kinship matrix of fish of a random closed population, by the
// tabular method, with the sibs of some families being of one lot. Males first.
type randomFish struct {
	males   int
	kinship [][]float64
	lot     []int
}

// newRandomFish breeds founders for some generations at random and takes its fish
// from the last two.
func newRandomFish(rng *rand.Rand, males, females, founders, generations, width int, lots bool) randomFish {
	var k [][]float64
	var parents [][2]int
	add := func(sire, dam int) int {
		n := len(k)
		parents = append(parents, [2]int{sire, dam})
		row := make([]float64, n+1)
		for i := range n {
			if sire >= 0 {
				row[i] += k[sire][i] / 2
			}
			if dam >= 0 {
				row[i] += k[dam][i] / 2
			}
			k[i] = append(k[i], row[i])
		}
		row[n] = 0.5
		if sire >= 0 && dam >= 0 {
			row[n] += k[sire][dam] / 2
		}
		k = append(k, row)
		return n
	}
	var old, young []int
	for range founders {
		young = append(young, add(-1, -1))
	}
	for range generations {
		old, young = young, nil
		for len(young) < width {
			sire, dam := old[rng.IntN(len(old))], old[rng.IntN(len(old))]
			if sire == dam {
				dam = -1
			}
			for range 1 + rng.IntN(3) {
				young = append(young, add(sire, dam))
			}
		}
	}
	n := males + females
	f := randomFish{males: males, lot: make([]int, n)}
	var chosen []int
	pool := append(append([]int(nil), old...), young...)
	rng.Shuffle(len(pool), func(i, j int) { pool[i], pool[j] = pool[j], pool[i] })
	sib := func(one int) int { return add(parents[one][0], parents[one][1]) }
	for len(chosen) < n {
		one := sib(pool[rng.IntN(len(pool))])
		if len(pool) > 1 {
			one, pool = pool[0], pool[1:]
		}
		chosen = append(chosen, one)
		at := len(chosen) - 1
		if !lots || rng.IntN(3) > 0 {
			continue
		}
		for size := rng.IntN(3); size > 0 && len(chosen) < n && len(chosen) != males; size-- {
			// A lot of sibs that have not bred. The first may have: then it is no lot.
			chosen = append(chosen, sib(one))
			last := len(chosen) - 1
			if size == 1 && last-at > 1 {
				chosen[at] = sib(one)
				for i := at; i <= last; i++ {
					f.lot[i] = at + 1
				}
			}
		}
	}
	f.kinship = make([][]float64, n)
	for i := range n {
		f.kinship[i] = make([]float64, n)
		for j := range n {
			f.kinship[i][j] = k[chosen[i]][chosen[j]]
		}
	}
	return f
}

// randomProblem is a small problem with all kinds of limits.
func randomProblem(rng *rand.Rand, most, spawns int) *Problem {
	males, females := 1+rng.IntN(most), 1+rng.IntN(most)
	f := newRandomFish(rng, males, females, 2+rng.IntN(8), 1+rng.IntN(4), 4+rng.IntN(10), rng.IntN(2) == 0)
	n := males + females
	p := &Problem{Males: males, Kinship: f.kinship, Spawns: 1 + rng.IntN(spawns), Keep: 1 + rng.IntN(14), Least: 1}
	switch rng.IntN(3) {
	case 0:
		p.Least = 1 + rng.IntN(4)
	case 1:
		p.Most = 1 + p.Keep/p.Spawns + rng.IntN(3)
	}
	if rng.IntN(3) == 0 {
		p.Uses = make([]int, n)
		for i := range p.Uses {
			p.Uses[i] = 1
			if rng.IntN(2) == 0 {
				p.Uses[i] = 1 + rng.IntN(3)
			}
		}
		for i := 1; i < n; i++ {
			if f.lot[i] > 0 && f.lot[i] == f.lot[i-1] {
				p.Uses[i] = p.Uses[i-1]
			}
		}
	}
	if rng.IntN(2) == 0 {
		limit := []float64{0, 0.0625, 0.125, 0.2}[rng.IntN(4)]
		p.Allowed = func(i, j int) bool { return p.Kinship[i][j] <= limit }
	}
	if rng.IntN(4) == 0 {
		p.With = []int{rng.IntN(n)}
	}
	if rng.IntN(6) == 0 {
		p.Together = [][2]int{{rng.IntN(males), males + rng.IntN(females)}}
	}
	if rng.IntN(3) == 0 {
		living := &Standing{Heads: float64(n), With: make([]float64, n)}
		for i := range n {
			for j := range n {
				living.With[i] += p.Kinship[i][j] / float64(n)
			}
			living.MeanKinship += living.With[i] / float64(n)
		}
		p.Living = living
	}
	return p
}

// enumerate finds the best plan by trying every one. ok is false where there is
// none. It knows nothing of the solver: the mean kinship is summed over fry.
func enumerate(p *Problem) (best Plan, ok bool) {
	n := len(p.Kinship)
	var pairs [][2]int
	for i := range p.Males {
		for j := p.Males; j < n; j++ {
			if p.Allowed == nil || p.Allowed(i, j) {
				pairs = append(pairs, [2]int{i, j})
			}
		}
	}
	between := make([][]float64, len(pairs)) // kinship of fry of two pairs
	alone := make([]float64, len(pairs))     // of one fry with itself, less that of two
	living := make([]float64, len(pairs))
	for a, x := range pairs {
		between[a] = make([]float64, len(pairs))
		for b, y := range pairs {
			between[a][b] = (p.Kinship[x[0]][y[0]] + p.Kinship[x[0]][y[1]] + p.Kinship[x[1]][y[0]] + p.Kinship[x[1]][y[1]]) / 4
		}
		alone[a] = (1+p.Kinship[x[0]][x[1]])/2 - between[a][a]
		if p.Living != nil {
			living[a] = (p.Living.With[x[0]] + p.Living.With[x[1]]) / 2
		}
	}
	most := p.Most
	if most == 0 {
		most = p.Keep
	}
	used := make([]int, n)
	var chosen []int
	var keeps []int
	good := func() bool {
		for _, i := range p.With {
			if used[i] == 0 {
				return false
			}
		}
		for _, t := range p.Together {
			found := false
			for _, at := range chosen {
				found = found || pairs[at] == t
			}
			if !found {
				return false
			}
		}
		return true
	}
	best.GeneDiversity, best.Share = -1, 0
	var allot func(at, left int, sum float64)
	allot = func(at, left int, sum float64) {
		if at == len(chosen) {
			if left > 0 {
				return
			}
			heads := float64(p.Keep)
			if l := p.Living; l != nil {
				heads += l.Heads
				sum += l.Heads * l.Heads * l.MeanKinship
			}
			d, share := 1-sum/(heads*heads), 0.0
			for i, c := range chosen {
				if p.Toward != nil {
					share += float64(keeps[i]) * (p.Toward[pairs[c][0]] + p.Toward[pairs[c][1]]) / 2 / float64(p.Keep)
				}
			}
			if share > best.Share+1e-12 || share > best.Share-1e-12 && d > best.GeneDiversity {
				best.GeneDiversity, best.Share, ok = d, share, true
				best.Spawns = nil
				for i, c := range chosen {
					best.Spawns = append(best.Spawns, Choice{pairs[c][0], pairs[c][1], keeps[i]})
				}
			}
			return
		}
		last := at == len(chosen)-1
		for k := p.Least; k <= min(most, left); k++ {
			if last && k != left {
				continue
			}
			me := chosen[at]
			more := float64(k)*float64(k)*between[me][me] + float64(k)*alone[me]
			if p.Living != nil {
				more += 2 * p.Living.Heads * float64(k) * living[me]
			}
			for b, c := range chosen[:at] {
				more += 2 * float64(k*keeps[b]) * between[me][c]
			}
			keeps = append(keeps[:at], k)
			allot(at+1, left-k, sum+more)
		}
	}
	var choose func(from int)
	choose = func(from int) {
		if len(chosen) > 0 && good() {
			allot(0, p.Keep, 0)
		}
		if len(chosen) == p.Spawns {
			return
		}
		for at := from; at < len(pairs); at++ {
			i, j := pairs[at][0], pairs[at][1]
			if uses := p.Uses; uses == nil && (used[i] > 0 || used[j] > 0) || uses != nil && (used[i] >= uses[i] || used[j] >= uses[j]) {
				continue
			}
			used[i]++
			used[j]++
			chosen = append(chosen, at)
			choose(at + 1)
			chosen = chosen[:len(chosen)-1]
			used[i]--
			used[j]--
		}
	}
	choose(0)
	return best, ok
}
