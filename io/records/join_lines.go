package records

import (
	"slices"
	"strings"
)

// hunk is lines from..to-1 of a text that stand for lines otherFrom..otherTo-1
// of another.
type lineHunk struct{ from, to, otherFrom, otherTo int }

// mostEdits bounds the search for the shortest difference; texts that differ in
// more lines are told as one.
const mostEdits = 1000

// diffLines returns the lines in which two texts differ, by the shortest script
// of insertions and deletions (Myers 1986, Algorithmica 1:251). O((n + m) · d)
// for d of them.
func diffLines(a, b []string) []lineHunk {
	head := 0
	for head < min(len(a), len(b)) && a[head] == b[head] {
		head++
	}
	endA, endB := len(a), len(b)
	for endA > head && endB > head && a[endA-1] == b[endB-1] {
		endA, endB = endA-1, endB-1
	}
	if head == endA && head == endB {
		return nil
	}
	kept, ok := commonLines(a[head:endA], b[head:endB])
	if !ok {
		return []lineHunk{{head, endA, head, endB}}
	}
	var out []lineHunk
	x, y := head, head
	for _, pair := range append(kept, [2]int{endA - head, endB - head}) {
		if i, k := pair[0]+head, pair[1]+head; i > x || k > y {
			out = append(out, lineHunk{x, i, y, k})
		}
		x, y = pair[0]+head+1, pair[1]+head+1
	}
	return out
}

// commonLines returns the places of the lines that stay; false where too many
// differ.
func commonLines(a, b []string) ([][2]int, bool) {
	n, m := len(a), len(b)
	most := min(n+m, mostEdits)
	furthest := make([]int, 2*most+3)
	at := func(k int) *int { return &furthest[k+most+1] }
	var trace [][]int
	for d := 0; d <= most; d++ {
		trace = append(trace, slices.Clone(furthest[most+1-d:most+2+d]))
		for k := -d; k <= d; k += 2 {
			x := 0
			if k == -d || k != d && *at(k - 1) < *at(k + 1) {
				x = *at(k + 1)
			} else {
				x = *at(k - 1) + 1
			}
			for x < n && x-k < m && a[x] == b[x-k] {
				x++
			}
			*at(k) = x
			if x >= n && x-k >= m {
				return backtrack(trace, d, n, m), true
			}
		}
	}
	return nil, false
}

// backtrack goes back through the furthest points of each number of edits:
// trace[d] has those of the diagonals from -d to d.
func backtrack(trace [][]int, d, x, y int) [][2]int {
	var kept [][2]int
	for ; d >= 0; d-- {
		startX, startY := 0, 0
		if d > 0 {
			k := x - y
			from := k - 1
			if k == -d || k != d && trace[d][k-1+d] < trace[d][k+1+d] {
				from = k + 1
			}
			startX = trace[d][from+d]
			startY = startX - from
		}
		for x > startX && y > startY {
			x, y = x-1, y-1
			kept = append(kept, [2]int{x, y})
		}
		x, y = startX, startY
	}
	slices.Reverse(kept)
	return kept
}

// unionLines joins lines that no record is lost with, such as comments: what
// either side wrote is kept, what either took out and the other left is gone.
func unionLines(b, o, t string) string {
	switch {
	case o == t, t == b:
		return o
	case o == b:
		return t
	}
	base, ours, theirs := textLines(b), textLines(o), textLines(t)
	newO, goneO := newLines(base, ours)
	newT, goneT := newLines(base, theirs)
	var out []string
	for i := range len(base) + 1 {
		out = append(out, newO[i]...)
		if !slices.Equal(newO[i], newT[i]) {
			out = append(out, newT[i]...)
		}
		if i < len(base) && !goneO[i] && !goneT[i] {
			out = append(out, base[i])
		}
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "\n") + "\n"
}

// newLines returns the lines that stand in a text before each line of the base
// and are not of it, and which lines of the base are gone.
func newLines(base, text []string) (before map[int][]string, gone map[int]bool) {
	before, gone = map[int][]string{}, map[int]bool{}
	for _, h := range diffLines(base, text) {
		for i := h.from; i < h.to; i++ {
			gone[i] = true
		}
		before[h.from] = append(before[h.from], text[h.otherFrom:h.otherTo]...)
	}
	return before, gone
}
