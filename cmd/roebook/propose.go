package main

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"roebook/pedigree"
)

// Where a record is given no id, one is proposed by the pattern of those that
// the line has: the number behind the last one of its kind.

// pattern is an id taken apart at its last number: TF-, 18 of two digits, "".
type pattern struct {
	head, tail string
	number     int
	width      int // of the number where it begins with a zero
}

func patternOf(id string) (p pattern, ok bool) {
	end := len(id)
	for end > 0 && !digit(id[end-1]) {
		end--
	}
	begin := end
	for begin > 0 && digit(id[begin-1]) {
		begin--
	}
	n, err := strconv.Atoi(id[begin:end])
	if err != nil {
		return pattern{head: id}, false
	}
	p = pattern{head: id[:begin], tail: id[end:], number: n}
	if id[begin] == '0' {
		p.width = end - begin
	}
	return p, true
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

func (p pattern) with(number int) string {
	text := strconv.Itoa(number)
	return p.head + strings.Repeat("0", max(p.width-len(text), 0)) + text
}

// proposer makes up ids that are free.
type proposer struct {
	book *pedigree.Book
	line string
}

func (p proposer) free(id string) bool {
	return p.book.StockByID(id) == nil && p.book.SpawnByID(id) == nil
}

// model is a record whose id may serve as a pattern.
type model struct {
	id string
	on pedigree.Date
}

// spawn proposes the id of a spawn.
func (p proposer) spawn() string {
	var models []model
	for _, s := range p.book.Spawns {
		if s.Line == p.line {
			models = append(models, model{s.ID, max(s.Date, s.Planned)})
		}
	}
	return p.next(models, "S")
}

// stock proposes the id of a record that came into the book in that way; fish
// picked out of a lot are called after it.
func (p proposer) stock(origin, lot string) string {
	if origin == "picked" {
		return p.picked(lot)
	}
	var models []model
	for _, s := range p.book.Stock {
		if s.Line == p.line && s.Origin() == origin {
			models = append(models, model{s.ID, p.book.Begins(s)})
		}
	}
	return p.next(models, map[string]string{"wild": "W", "bought": "K", "spawn": "F", "merged": "M"}[origin])
}

// picked proposes LOTa, LOTb and so on.
func (p proposer) picked(lot string) string {
	join := ""
	if n := len(lot); n > 0 && !digit(lot[n-1]) {
		join = "-"
	}
	for n := 0; ; n++ {
		id := lot + join
		if n >= 26 {
			id += string(rune('a' + n/26 - 1))
		}
		if id += string(rune('a' + n%26)); p.free(id) {
			return id
		}
	}
}

// next counts on from the latest of the models; without one, from how the line's
// ids begin and a letter for the kind.
func (p proposer) next(models []model, letter string) string {
	slices.SortStableFunc(models, func(a, b model) int { return cmp.Compare(b.on, a.on) })
	prefix := p.book.IDPrefix
	own := slices.DeleteFunc(slices.Clone(models), func(m model) bool { return !strings.HasPrefix(m.id, prefix) })
	latest := pattern{head: p.stem() + letter}
	for _, m := range slices.Concat(own, models) {
		if found, ok := patternOf(m.id); ok && found.tail == "" {
			latest = found
			break
		}
	}
	if !strings.HasPrefix(latest.head, prefix) {
		latest.head = prefix + latest.head
	}
	number := latest.number
	for _, m := range models {
		if found, ok := patternOf(m.id); ok && (found.head == latest.head || prefix+found.head == latest.head) {
			number = max(number, found.number)
		}
	}
	for number++; ; number++ {
		if id := latest.with(number); p.free(id) {
			return id
		}
	}
}

// stem is how the ids of the line begin, up to the first hyphen; a line without
// ids gives the first letters of its words.
func (p proposer) stem() string {
	heads := map[string]int{}
	best := ""
	count := func(line, id string) {
		if head, _, ok := strings.Cut(strings.TrimPrefix(id, p.book.IDPrefix), "-"); ok && line == p.line {
			if heads[head]++; heads[head] > heads[best] {
				best = head
			}
		}
	}
	for _, s := range p.book.Stock {
		count(s.Line, s.ID)
	}
	for _, s := range p.book.Spawns {
		count(s.Line, s.ID)
	}
	if best != "" {
		return best + "-"
	}
	for _, word := range strings.FieldsFunc(p.line, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		best += strings.ToUpper(string([]rune(word)[:1]))
	}
	return best + "-"
}
