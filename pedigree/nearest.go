package pedigree

import "strings"

// Nearest returns the candidate with the smallest edit distance to word, the
// first of several; "" where none is near enough to be meant: more than a third
// of the letters would have to change. Cost: O(candidates · len²).
func Nearest(word string, candidates []string) string {
	best, bestAt := "", len([]rune(word))/3+2
	for _, c := range candidates {
		if d := editDistance(word, c, bestAt); d < bestAt {
			best, bestAt = c, d
		}
	}
	return best
}

// editDistance counts the letters to insert, delete, replace or swap with their
// neighbour to turn a into b, case aside (Damerau 1964, Levenshtein 1966, in the
// restricted form: no letter is changed twice). It gives up at limit.
func editDistance(a, b string, limit int) int {
	x, y := []rune(strings.ToLower(a)), []rune(strings.ToLower(b))
	if d := len(x) - len(y); d >= limit || -d >= limit {
		return limit
	}
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least >= limit {
			return limit
		}
		before, last, row = last, row, before
	}
	return last[len(y)]
}
