package records

import (
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// sectionWords are what keepers may call a section.
var sectionWords = map[string]string{
	"fish": "stock", "lots": "stock", "litters": "spawns", "broods": "spawns", "clutches": "spawns", "locus": "loci",
}

// misspelt returns the section that a key of the top level was to be, "" where
// it is something else.
func (f *fileParse) misspelt(e entry) string {
	known := keysOf(lineFields)
	if f.src.name == BookFile || e.value.kind != mapping || slices.Contains(known, e.key) {
		return ""
	}
	name := sectionWords[e.key]
	if name == "" {
		name = pedigree.Nearest(e.key, known)
	}
	if !sectionNames[name] {
		return ""
	}
	return name
}

// misspelt tells the key of a section that is not spelt right, and reads its
// records.
func (d *decoded) misspelt(f *fileParse, name string, e entry) {
	r := &reader{file: f.src.name}
	if name == "stock" || name == "spawns" {
		for _, record := range e.value.entries {
			r.taints = append(r.taints, record.key)
		}
	}
	p := r.problem(r.position(e.at), "unknown-key", "did you mean "+quote(name)+"?", "the key %s is not known here", quote(e.key))
	p.KeepsSources = true // its records are read
	d.problems = append(d.problems, r.problems...)
	d.section(f, name, e.value.entries)
}

// The keys that only one of the two kinds of record has.
var (
	stockOnly = lacking(keysOf(stockFields), keysOf(spawnFields))
	spawnOnly = lacking(keysOf(spawnFields), keysOf(stockFields))
)

// lacking returns the keys that are not among the others.
func lacking(keys, others []string) []string {
	return slices.DeleteFunc(keys, func(key string) bool { return slices.Contains(others, key) })
}

// belongsTo returns the section of records that look like this one: stock says
// where it came from, a spawn who bred or how many fry there were. "" where it
// looks like neither, or like both.
func belongsTo(n *node) string {
	var origin, stock, spawn bool
	for i := range n.entries {
		key := n.entries[i].key
		origin = origin || slices.Contains(originKeys, key)
		stock = stock || slices.Contains(stockOnly, key)
		spawn = spawn || slices.Contains(spawnOnly, key) || key == "born" && n.entries[i].value.isFew()
	}
	switch {
	case origin && !spawn:
		return "stock"
	case spawn && !stock:
		return "spawns"
	}
	return ""
}

// isFew reports whether a value is a number of fish and not a year.
func (n *node) isFew() bool {
	v, ok := parseNumber(n.text)
	return n.kind == scalar && ok && v < 1800
}

const misplacedRule = "misplaced-record"

// misplaced tells that the record belongs into another section.
func (r *reader) misplaced(section, belongs string, e *entry) {
	what := "a fish or a lot"
	if belongs == "spawns" {
		what = "a spawn"
	}
	r.taints = []string{e.key}
	r.problem(r.position(e.at), misplacedRule, "is the line `"+belongs+":` missing above it?", "%s looks like %s, but stands under `%s`", quote(e.key), what, section)
}

// joinMisplaced makes one problem of all records that stand under a wrong
// section of the file because the line of their own is missing.
func (f *fileContent) joinMisplaced() {
	type join struct {
		first int // its problem
		more  int
	}
	joins := map[string]*join{} // by the text behind the id, which names both sections
	var out []pedigree.Problem
	for _, p := range f.problems {
		if p.Rule == misplacedRule {
			text := strings.TrimPrefix(p.Message, quote(p.Records[0])) + p.Hint
			if j := joins[text]; j != nil {
				out[j.first].Records = append(out[j.first].Records, p.Records...)
				j.more++
				continue
			}
			joins[text] = &join{first: len(out)}
			p.Records = slices.Clip(p.Records) // to be appended to, here alone
		}
		out = append(out, p)
	}
	for _, j := range joins {
		switch j.more {
		case 0:
		case 1:
			out[j.first].Message += ", and so does 1 more below it"
		default:
			out[j.first].Message += fmt.Sprintf(", and so do %d more below it", j.more)
		}
	}
	f.problems = out
}
