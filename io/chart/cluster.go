package chart

import "slices"

// family is a branch of the tree that joins the nearest of kin first.
type family struct {
	members []int   // in the order of the map
	kinship float64 // between its two halves
	parts   [2]*family
}

// families joins records step by step, always the two groups with the greatest
// kinship between them on average (average linkage: Sokal & Michener 1958,
// Univ. Kansas Sci. Bull. 38:1409), and orders them so that what is joined
// stands together, the nearer ends side by side. O(n³), n being some hundreds.
func families(kinship [][]float64) *family {
	n := len(kinship)
	groups := make([]*family, n)
	between := make([][]float64, n)
	for i := range n {
		groups[i] = &family{members: []int{i}, kinship: 1}
		between[i] = slices.Clone(kinship[i])
	}
	for range n - 1 {
		a, b := -1, -1
		for i := range n {
			for j := i + 1; groups[i] != nil && j < n; j++ {
				if groups[j] != nil && (a < 0 || between[i][j] > between[a][b]) {
					a, b = i, j
				}
			}
		}
		x, y := float64(len(groups[a].members)), float64(len(groups[b].members))
		joined := &family{kinship: between[a][b], parts: [2]*family{groups[a], groups[b]}, members: beside(groups[a].members, groups[b].members, kinship)}
		for k := range n {
			if groups[k] != nil {
				mean := (x*between[a][k] + y*between[b][k]) / (x + y)
				between[a][k], between[k][a] = mean, mean
			}
		}
		groups[a], groups[b] = joined, nil
	}
	return groups[0]
}

// beside puts two groups beside each other, each turned so that the two that
// meet are the nearest.
func beside(a, b []int, kinship [][]float64) []int {
	var best []int
	nearest := -1.0
	for _, x := range [2]bool{false, true} {
		for _, y := range [2]bool{false, true} {
			left, right := slices.Clone(a), slices.Clone(b)
			if x {
				slices.Reverse(left)
			}
			if y {
				slices.Reverse(right)
			}
			if k := kinship[left[len(left)-1]][right[0]]; k > nearest {
				nearest, best = k, append(left, right...)
			}
		}
	}
	return best
}

// closer returns the largest branches whose halves are at least that close.
func (f *family) closer(least float64) []*family {
	switch {
	case f.kinship >= least:
		return []*family{f}
	case f.parts[0] == nil:
		return nil
	}
	return append(f.parts[0].closer(least), f.parts[1].closer(least)...)
}
