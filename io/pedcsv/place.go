package pedcsv

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// place returns the line and the column of a known column's value in the row
// that starts there. It counts lines on from the last place asked for, and reads
// the row again: only problems and books need it.
func (s *scanned) place(start uint32, k int) (line, column int) {
	if start < s.last.start {
		s.last.start, s.last.lines = 0, 0
	}
	s.last.lines += bytes.Count(s.data[s.last.start:start], []byte("\n"))
	s.last.start = start
	line = 1 + s.last.lines
	cell := 0
	if k < len(s.at) {
		cell = max(s.at[k], 0)
	}
	if s.plain {
		if k == noColumn || s.at[k] < 0 {
			return line, 1
		}
		return line, 1 + afterCommas(s.data[start:], cell)
	}
	reader := csv.NewReader(bytes.NewReader(s.data[start:]))
	reader.FieldsPerRecord = -1
	if _, err := reader.Read(); err != nil {
		return line, 1
	}
	first, _ := reader.FieldPos(0)
	if k < len(s.at) && s.at[k] >= 0 {
		_, column = reader.FieldPos(cell)
	}
	return line + first - 1, max(column, 1)
}

// afterCommas returns how many bytes stand before the end of the n-th comma.
func afterCommas(b []byte, n int) int {
	at := 0
	for range n {
		at += bytes.IndexByte(b[at:], ',') + 1
	}
	return at
}

func (s *scanned) position(line, column, width int) pedigree.Position {
	return pedigree.Position{File: s.name, Line: line, Column: max(column, 1), Width: max(width, 1)}
}

// told makes the problems that are told of the flaws and the loops.
func (s *scanned) told(loops []pedigree.Problem) []pedigree.Problem {
	var problems []pedigree.Problem
	for i, f := range s.flaws {
		line, column := f.line, f.place
		if f.column >= 0 {
			line, column = s.place(f.start, f.column)
		}
		if i == mostProblems {
			f = flaw{rule: f.rule, otherColumn: -1, message: fmt.Sprintf("more than %d problems: the rest is not told", mostProblems)}
		}
		p := pedigree.Problem{
			Position: s.position(line, column, 1), Severity: pedigree.Error, Rule: f.rule, Message: f.message, Hint: f.hint,
		}
		if f.otherColumn >= 0 {
			line, column := s.place(f.other, f.otherColumn)
			p.Places = []pedigree.Place{{Position: s.position(line, column, f.otherWidth), Note: f.note}}
		}
		problems = append(problems, p)
		if i == mostProblems {
			return pedigree.SortProblems(problems)
		}
	}
	for i, p := range loops {
		if len(problems) == mostProblems {
			p.Message, p.Hint, p.Records = fmt.Sprintf("more than %d problems: the rest is not told", mostProblems), "", loops[i].Records
			problems = append(problems, p)
			break
		}
		problems = append(problems, p)
	}
	return pedigree.SortProblems(problems)
}

// loops tells of fish that are their own ancestors.
func (s *scanned) loops(t *pedigree.Table) []pedigree.Problem {
	left := t.OnLoops()
	if left == nil {
		return nil
	}
	var keep []int // those on loops and their full sibs, whose spawns are the same
	row := make(map[string]int)
	for i := range left {
		if left[i] || t.Sire[i] >= 0 && t.Dam[i] >= 0 && left[t.Sire[i]] && left[t.Dam[i]] {
			keep = append(keep, i)
			row[t.IDs[i]] = i
		}
	}
	var problems []pedigree.Problem
	for _, loop := range bookOf(t, keep).Descent().Loops() {
		var fish, round []string
		for _, id := range loop.Members {
			if _, ok := row[id]; ok {
				fish = append(fish, id)
			}
		}
		for _, id := range loop.Round {
			if _, ok := row[id]; ok {
				round = append(round, id)
			}
		}
		if round[0] != round[len(round)-1] {
			round = append(round, round[0]) // the way began at a spawn
		}
		line, column := s.place(s.rows[row[fish[0]]].start, 0)
		problems = append(problems, pedigree.Problem{
			Position: s.position(line, column, 1), Severity: pedigree.Error, Rule: "loop", Records: loop.Members,
			Message: fmt.Sprintf("%s is its own ancestor: %s", fish[0], strings.Join(shortened(round), " > ")), Hint: "one of these parents is wrong",
		})
	}
	return problems
}

// shortened cuts a very long way in the middle.
func shortened(round []string) []string {
	const most = 24
	if len(round) <= most {
		return round
	}
	left := fmt.Sprintf("(%d more)", len(round)-most)
	return slices.Concat(round[:most/2], []string{left}, round[len(round)-most/2:])
}
