package records

import "strings"

// maxCompared is the most pairs of lines that Diff compares.
const maxCompared = 4_000_000

// Diff returns the lines that differ between two texts of a file: as few as can
// be, except in texts that differ over thousands of lines. Cost: O(n·m) in the
// lines between the first that differs and the last.
func Diff(before, after []byte) []Hunk {
	lines := func(b []byte) []string {
		text := strings.TrimPrefix(strings.ReplaceAll(string(b), "\r\n", "\n"), "\ufeff")
		return textLines(text)
	}
	h := Hunk{OldFirst: 1, First: 1, Old: lines(before), New: lines(after)}
	h.trim()
	if len(h.Old) == 0 && len(h.New) == 0 {
		return nil
	}
	if (len(h.Old)+1)*(len(h.New)+1) > maxCompared {
		return []Hunk{h}
	}
	return h.divide()
}

// divide takes out of a hunk the lines that both sides have, as many as there
// are in one order: the longest common subsequence.
func (h Hunk) divide() []Hunk {
	m, n := len(h.Old), len(h.New)
	longest := make([][]int32, m+1)
	for i := range longest {
		longest[i] = make([]int32, n+1)
	}
	for i := m - 1; i >= 0; i-- {
		for j := n - 1; j >= 0; j-- {
			if h.Old[i] == h.New[j] {
				longest[i][j] = longest[i+1][j+1] + 1
			} else {
				longest[i][j] = max(longest[i+1][j], longest[i][j+1])
			}
		}
	}
	var out []Hunk
	for i, j := 0, 0; i < m || j < n; {
		if i < m && j < n && h.Old[i] == h.New[j] {
			i, j = i+1, j+1
			continue
		}
		x, y := i, j
		for (i < m || j < n) && !(i < m && j < n && h.Old[i] == h.New[j]) {
			if j == n || i < m && longest[i+1][j] >= longest[i][j+1] {
				i++
			} else {
				j++
			}
		}
		out = append(out, Hunk{OldFirst: h.OldFirst + x, First: h.First + y, Old: h.Old[x:i], New: h.New[y:j]})
	}
	return out
}
