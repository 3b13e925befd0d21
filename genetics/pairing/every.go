package pairing

// mostSets is how many sets of pairs are tried one by one at the most.
const mostSets = 400_000

// fewSets reports whether the sets of pairs are few enough to try every one.
func (in *instance) fewSets() bool {
	pairs := 0
	for _, allowed := range in.allowed {
		if allowed {
			pairs++
		}
	}
	sets, all := 1.0, 0.0
	for k := 1; k <= min(in.spawns, pairs) && all <= mostSets; k++ {
		sets *= float64(pairs-k+1) / float64(k)
		all += sets
	}
	return all <= mostSets && in.spawns <= mostAllotted
}

// everySet finds the best plan by the best numbers of fry for every set of pairs.
// Where fish may have several spawns and there are few of them that is sooner done
// than bounds. It reports whether it came to the end.
func (s *solver) everySet() bool {
	in := s.in
	females := in.n - in.males
	used := make([]int, in.n)
	chosen := make([][2]int, 0, in.spawns)
	whole := true
	var choose func(from int)
	choose = func(from int) {
		if len(chosen) > 0 && !s.allotPairs(chosen) {
			whole = false
		}
		if len(chosen) == in.spawns {
			return
		}
		for at := from; at < len(in.allowed) && whole; at++ {
			i, j := at/females, in.males+at%females
			if !in.allowed[at] || used[i] == in.uses[i] || used[j] == in.uses[j] {
				continue
			}
			if s.relax.work += 1000; s.stop() {
				whole = false
				return
			}
			used[i]++
			used[j]++
			chosen = append(chosen, [2]int{i, j})
			choose(at + 1)
			chosen = chosen[:len(chosen)-1]
			used[i]--
			used[j]--
		}
	}
	choose(0)
	return whole
}
