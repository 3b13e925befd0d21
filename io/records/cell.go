package records

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// reader reads one record.
type reader struct {
	file     string
	record   string   // its id, "" for a line's header
	taints   []string // ids that an error here makes unreliable
	where    *pedigree.Where
	problems []pedigree.Problem
	refs     []reference
}

// reference is an id used in a record.
type reference struct {
	id     string
	at     pedigree.Position
	need   need
	taints []string // what is unreliable where the id is not defined
}

// need says what an id must belong to.
type need int8

const (
	needStock need = iota
	needSpawn
	needFounder // stock that is kin of others
)

// cell is one value of a record: where it stands and how to read it. Its
// methods tell what is wrong and return zero values then.
type cell struct {
	r     *reader
	path  string
	name  string // the key, or the key of the list it stands in
	n     *node
	keyAt span
}

func (r *reader) position(at span) pedigree.Position {
	return pedigree.Position{File: r.file, Line: at.line, Column: at.col, Width: max(at.width, 1)}
}

// valueSpan is the place of the value where it begins on the key's line, else
// the key's.
func (c cell) valueSpan() span {
	if c.n.kind != missing && c.n.line == c.keyAt.line {
		return c.n.span
	}
	return c.keyAt
}

func (c cell) at() pedigree.Position { return c.r.position(c.valueSpan()) }

func (c cell) mark() { c.markAt(c.valueSpan()) }

func (c cell) markAt(at span) {
	if c.r.where.Keys == nil {
		c.r.where.Keys = make([]pedigree.Key, 0, 8)
	}
	c.r.where.Keys = append(c.r.where.Keys, pedigree.Key{Path: c.path, Position: c.r.position(at)})
}

// problem tells an error at a place; it makes the record unreliable.
func (r *reader) problem(at pedigree.Position, rule, hint, format string, args ...any) *pedigree.Problem {
	r.problems = append(r.problems, pedigree.Problem{
		Position: at, Severity: pedigree.Error, Rule: rule, Message: fmt.Sprintf(format, args...), Hint: hint, Records: r.taints})
	return &r.problems[len(r.problems)-1]
}

func (c cell) problem(rule, hint, format string, args ...any) *pedigree.Problem {
	return c.r.problem(c.at(), rule, hint, format, args...)
}

// is reports whether the value is of the kind, and tells where it is not.
func (c cell) is(kind nodeKind) bool {
	if c.n.kind == kind {
		return true
	}
	switch c.n.kind {
	case broken:
	case missing:
		c.noValue()
	default:
		c.wrongKind(nodeWords[kind])
	}
	return false
}

var nodeWords = map[nodeKind]string{scalar: "a single value", mapping: "keys with values", sequence: "a list"}

func (c cell) noValue() {
	hint := "write a value, or take the key out"
	if c.name == "wild" || c.name == "bought" {
		hint = "where nothing more is known write `" + c.name + ": {}`"
	}
	c.r.problem(c.r.position(c.keyAt), "no-value", hint, "%s has no value", quote(c.name))
}

func (c cell) wrongKind(want string) {
	c.problem("wrong-kind", c.example(), "%s must be %s, not %s", quote(c.name), want, c.n.describe())
}

func (c cell) example() string {
	if e := examples[c.name]; e != "" {
		return "for example `" + c.name + ": " + e + "`"
	}
	return ""
}

var examples = map[string]string{
	"wild": "{site: upper pool, date: 2021-05-03}", "bought": "{from: a keeper, date: 2022-02-01, related: siblings}",
	"merged": "{AS-F1: {males: 2, females: 6}, AS-F2: 4}", "changes": "[{date: 2022-08-01, males: 1, females: 3, why: one died}]",
	"sold": "[{date: 2023-01-05, to: a keeper}]", "lent": "[{date: 2023-01-05, to: a keeper, back: 2023-04-01}]",
	"seen": "{pale: {dark: 30, pale: 10}}", "genotype": "{pale: P/p}", "phenotype": "{pale: dark}",
	"goal": "{gene-diversity: 0.90, generations: 25}", "mature-months": "{male: 4, female: 6}",
	"related-founders": "[{of: [AS-K1, AS-K2], kinship: 0.25}]", "conditions": "{water: 22 degrees}",
	"linked": "{to: spotted, recombination: 0.1}", "date": "2024-03-05", "alleles": "[P, p]",
}

func (n *node) describe() string {
	switch n.kind {
	case mapping:
		return "keys with values"
	case sequence:
		return "a list"
	case scalar:
		if n.quoted {
			return "the text " + quote(n.text)
		}
		return quote(n.text)
	}
	return "nothing"
}

// quote puts a word of the keeper in quotes, shortened and harmless.
func quote(text string) string {
	text = oneLine(text)
	if r := []rune(text); len(r) > 60 {
		text = string(r[:57]) + "..."
	}
	return "`" + text + "`"
}

func oneLine(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case isControl(r):
			return '_'
		}
		return r
	}, text)
}

// eachKey calls do for every key of a mapping, and tells the doubled ones.
func (c cell) eachKey(do func(key cell)) {
	seen := make(map[string]span, len(c.n.entries))
	for i := range c.n.entries {
		e := &c.n.entries[i]
		key := cell{r: c.r, path: e.key, name: e.key, n: &e.value, keyAt: e.at}
		if c.path != "" {
			key.path = c.path + "." + e.key
		}
		if first, ok := seen[e.key]; ok {
			c.r.duplicateKey(e.key, first, e.at)
			continue
		}
		seen[e.key] = e.at
		do(key)
	}
}

func (r *reader) duplicateKey(key string, first, second span) {
	p := r.problem(r.position(second), "duplicate-key", "keep one of them", "the key %s stands twice", quote(key))
	p.Places = []pedigree.Place{{Position: r.position(first), Note: "first here"}}
}

func (c cell) unknownKey(known []string) {
	hint := "the keys here are " + strings.Join(known, ", ")
	if key, value, ok := strings.Cut(c.name, " "); ok && c.n.kind == missing && slices.Contains(known, key) {
		hint = "the key has no colon: did you mean " + quote(key+": "+strings.TrimSpace(value)) + "?"
	} else if near := pedigree.Nearest(c.name, known); near != "" {
		hint = "did you mean " + quote(near) + "?"
	}
	if slices.Contains(known, "picked") && (c.name == "sire" || c.name == "dam") {
		hint = "parents stand in a spawn: write one under `spawns`, and here `spawn:` with its id"
	}
	c.r.problem(c.r.position(c.keyAt), "unknown-key", hint, "the key %s is not known here", quote(c.name))
}

// eachItem calls do for every item of a list; one mapping may stand for a list
// of one where single is set.
func (c cell) eachItem(single bool, do func(item cell)) {
	if single && c.n.kind == mapping {
		item := c
		item.path += "[0]"
		item.markAt(c.valueSpan())
		do(item)
		return
	}
	if !c.is(sequence) {
		return
	}
	for i := range c.n.items {
		n := &c.n.items[i]
		item := cell{r: c.r, path: c.path + "[" + strconv.Itoa(i) + "]", name: c.name, n: n, keyAt: n.span}
		if n.kind == missing {
			item.noValue()
			continue
		}
		item.mark()
		do(item)
	}
}
