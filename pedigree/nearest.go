package pedigree

import (
	"strings"
	"unicode/utf8"
)

// Nearest returns the candidate with the smallest edit distance to word: of
// several the first that is as long as word, else the first. "" where none is
// near enough to be meant: more than a third of the letters would have to
// change. Cost: O(candidates · len²).
func Nearest(word string, candidates []string) string {
	length := utf8.RuneCountInString(word)
	best, bestAt, sameLength := "", length/3+2, false
	for _, c := range candidates {
		limit, same := bestAt, utf8.RuneCountInString(c) == length
		if best != "" && same && !sameLength {
			limit++ // a changed letter before one left out, at the same distance
		}
		if d := editDistance(word, c, limit); d < limit {
			best, bestAt, sameLength = c, d, same
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
