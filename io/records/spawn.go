package records

import (
	"cmp"
	"slices"

	"roebook/pedigree"
)

// spawnDraft is a spawn while it is read.
type spawnDraft struct {
	pedigree.Spawn
	cells map[string]cell
}

// keep notes where a key stands, for the checks between keys.
func (d *spawnDraft) keep(c cell) {
	if d.cells == nil {
		d.cells = make(map[string]cell, 8)
	}
	d.cells[c.name] = c
}

// kept makes a field note where it stands.
func kept(f field[spawnDraft]) field[spawnDraft] {
	read := f.read
	f.read = func(c cell, d *spawnDraft) {
		d.keep(c)
		read(c, d)
	}
	return f
}

func countField(key, meaning string, to func(*pedigree.Spawn) *pedigree.Tally) field[spawnDraft] {
	return kept(tallyField(key, meaning, func(d *spawnDraft) *pedigree.Tally { return to(&d.Spawn) }))
}

func sideField(key, meaning string, to func(*spawnDraft) *pedigree.Side) field[spawnDraft] {
	return kept(field[spawnDraft]{Field{Key: key, Kind: Various, Meaning: meaning}, func(c cell, d *spawnDraft) { *to(d) = readSide(c) }})
}

func parentsField(key, meaning string, to func(*spawnDraft) *pedigree.Parents) field[spawnDraft] {
	return kept(field[spawnDraft]{Field{Key: key, Kind: Various, Meaning: meaning}, func(c cell, d *spawnDraft) { *to(d) = readParents(c) }})
}

var spawnFields = []field[spawnDraft]{
	kept(dateField("date", "when it was laid or born", func(d *spawnDraft) *pedigree.Date { return &d.Date })),
	kept(dateField("planned", "in place of date: only intended", func(d *spawnDraft) *pedigree.Date { return &d.Planned })),
	sideField("sire", "the father: an id, a list (any one of them) or ids with odds", func(d *spawnDraft) *pedigree.Side { return &d.Sire }),
	sideField("dam", "the mother: an id, a list (any one of them) or ids with odds", func(d *spawnDraft) *pedigree.Side { return &d.Dam }),
	kept(field[spawnDraft]{Field{Key: "group", Kind: Various, Meaning: "both parents came from this lot, or from these"},
		func(c cell, d *spawnDraft) { d.Group = c.ids(needStock) }}),
	kept(field[spawnDraft]{Field{Key: "repeat", Kind: ID, Meaning: "the same parents as this spawn, whoever they were"},
		func(c cell, d *spawnDraft) { d.Repeat = c.id(needSpawn) }}),
	parentsField("sires", "how many fathers the fry have: a number, or all", func(d *spawnDraft) *pedigree.Parents { return &d.Sires }),
	parentsField("dams", "how many mothers the fry have: a number, or all", func(d *spawnDraft) *pedigree.Parents { return &d.Dams }),
	countField("eggs", "eggs laid", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Eggs }),
	countField("fertile", "eggs that were fertile", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Fertile }),
	countField("hatched", "fry hatched", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Hatched }),
	countField("born", "fry born, of livebearers", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Born }),
	countField("swimming", "fry that came to swim freely", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Swimming }),
	countField("kept", "fry kept to grow", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Kept }),
	countField("deformed", "fry deformed", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Deformed }),
	countField("culled", "fry culled", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Culled }),
	countField("lost", "fry lost", func(s *pedigree.Spawn) *pedigree.Tally { return &s.Lost }),
	{Field{Key: "seen", Kind: Named, Meaning: "for each locus, how many fry showed each phenotype"},
		func(c cell, d *spawnDraft) { d.Seen = readSeen(c) }},
	tallyField("seen-days", "age in days at that count", func(d *spawnDraft) *pedigree.Tally { return &d.SeenDays }),
	yesNoField("virgin", "the dam had met no other male", func(d *spawnDraft) *bool { return &d.Virgin }),
	{Field{Key: "conceived", Kind: Word, Meaning: "wild: the dam was caught carrying"},
		func(c cell, d *spawnDraft) { d.ConceivedWild = c.word([]string{"wild"}) == "wild" }},
	yesNoField("intended", "an odd pairing that was meant", func(d *spawnDraft) *bool { return &d.Intended }),
	textField("note", "any remark", func(d *spawnDraft) *string { return &d.Note }),
	textField("tank", "where it happened", func(d *spawnDraft) *string { return &d.Tank }),
	{Field{Key: "conditions", Kind: Named, Meaning: "how it came about, in words of your own"},
		func(c cell, d *spawnDraft) { d.Conditions = readConditions(c) }},
}

// readSpawn reads one spawn.
func readSpawn(r *reader, c cell) *pedigree.Spawn {
	d := &spawnDraft{Spawn: pedigree.Spawn{ID: r.record}}
	r.where = &d.Where
	r.where.Position = r.position(c.keyAt)
	switch c.n.kind {
	case mapping:
		readFields(c, spawnFields, d)
		d.Where.SortKeys()
		d.check()
	case missing:
		c.r.problem(d.Where.Position, "no-value", "where nothing is known of it write `"+d.ID+": {}`", "%s has no value", quote(d.ID))
	default:
		c.is(mapping)
	}
	out := d.Spawn
	return &out
}

func readSide(c cell) pedigree.Side {
	var side pedigree.Side
	if c.n.kind != mapping {
		for _, id := range c.ids(needStock) {
			side.Candidates = append(side.Candidates, pedigree.Candidate{ID: id, Odds: 1})
		}
		return side
	}
	side.Odds = true
	c.eachID(needStock, func(key cell) {
		if key.n.kind == missing {
			key.noValue()
			return
		}
		if odds, ok := key.odds(); ok {
			side.Candidates = append(side.Candidates, pedigree.Candidate{ID: key.name, Odds: odds})
		}
	})
	return side
}

func readParents(c cell) pedigree.Parents {
	if c.n.kind == scalar && !c.n.quoted && c.n.text == "all" {
		return pedigree.Parents{All: true}
	}
	if _, isNumber := parseNumber(c.n.text); c.n.kind == scalar && !isNumber {
		c.wrongKind("a number of parents, or all")
		return pedigree.Parents{}
	}
	n, ok := c.whole()
	if ok && n == 0 {
		c.problem("no-parents", "leave the key out for one unknown parent", "%s must be 1 or more, or all", quote(c.name))
	}
	return pedigree.Parents{N: n}
}

func readSeen(c cell) []pedigree.Seen {
	var out []pedigree.Seen
	c.each(func(locus cell) {
		seen := pedigree.Seen{Locus: locus.name}
		locus.each(func(key cell) {
			if n, ok := key.whole(); ok {
				seen.Counts = append(seen.Counts, pedigree.SeenCount{Phenotype: key.name, N: n})
			}
		})
		slices.SortFunc(seen.Counts, func(a, b pedigree.SeenCount) int { return cmp.Compare(a.Phenotype, b.Phenotype) })
		out = append(out, seen)
	})
	slices.SortFunc(out, func(a, b pedigree.Seen) int { return cmp.Compare(a.Locus, b.Locus) })
	return out
}

func readConditions(c cell) []pedigree.Condition {
	if !c.is(mapping) {
		return nil
	}
	var out []pedigree.Condition
	c.eachKey(func(key cell) {
		if key.n.kind == missing || key.n.kind == broken {
			return
		}
		key.mark()
		value := key.n.text
		if key.n.kind != scalar {
			value = key.n.canon()
		}
		out = append(out, pedigree.Condition{Key: key.name, Value: value})
	})
	slices.SortFunc(out, func(a, b pedigree.Condition) int { return cmp.Compare(a.Key, b.Key) })
	return out
}

// check tells what cannot be true between the keys of a spawn.
func (d *spawnDraft) check() {
	d.apart("group", "group-and-parents", "`group` means that both parents came from it: keep `group`, or `sire` and `dam`", "sire", "dam")
	d.apart("repeat", "repeat-and-parents", "`repeat` means the same parents as before: keep `repeat`, or name the parents", "sire", "dam", "group", "sires", "dams")
	d.apart("planned", "date-and-planned", "once it has happened, keep `date` alone", "date")
	d.checkOdds("sires", d.Sires, d.Sire, "sire")
	d.checkOdds("dams", d.Dams, d.Dam, "dam")
	d.checkChain()
	d.checkLosses()
}

// apart tells keys that stand beside one that excludes them.
func (d *spawnDraft) apart(key, rule, hint string, others ...string) {
	c, ok := d.cells[key]
	if !ok {
		return
	}
	var found []pedigree.Place
	name := ""
	for _, other := range others {
		if o, ok := d.cells[other]; ok {
			if name == "" {
				name = other
			}
			found = append(found, pedigree.Place{Position: c.r.position(o.keyAt), Note: quote(other) + " is here"})
		}
	}
	if found != nil {
		c.r.problem(c.r.position(c.keyAt), rule, hint, "%s stands beside %s", quote(key), quote(name)).Places = found
	}
}

// checkOdds holds the number of parents to 1 or all where their odds are
// stated: how several draws share stated odds is not defined.
func (d *spawnDraft) checkOdds(key string, parents pedigree.Parents, side pedigree.Side, sideKey string) {
	if side.Odds && parents.N > 1 {
		c := d.cells[key]
		p := c.problem("sires-with-odds", "with stated odds write 1 or all, or name the parents in a list", "%s is %d, but the odds are stated", quote(key), parents.N)
		p.Places = []pedigree.Place{{Position: d.cells[sideKey].at(), Note: "the odds are here"}}
	}
}

// tallies returns the counts of the keys that are stated, in that order.
func (d *spawnDraft) tallies(keys ...string) []stated {
	values := map[string]pedigree.Tally{
		"eggs": d.Eggs, "fertile": d.Fertile, "hatched": d.Hatched, "born": d.Born, "swimming": d.Swimming, "kept": d.Kept,
		"deformed": d.Deformed, "culled": d.Culled, "lost": d.Lost,
	}
	var out []stated
	for _, key := range keys {
		if t := values[key]; t.Stated {
			out = append(out, stated{d.cells[key], t.N})
		}
	}
	return out
}

type stated struct {
	cell
	n int
}

// checkChain tells a count that is greater than the one before it.
func (d *spawnDraft) checkChain() {
	chain := d.tallies("eggs", "fertile", "hatched", "born", "swimming", "kept")
	for i := 1; i < len(chain); i++ {
		tooMany(chain[i], chain[i-1], "counts-rise", "each count is at most the one before it")
	}
}

// checkLosses tells more deformed, culled or lost than there were. Eggs can be
// lost too; only fry can be deformed or culled.
func (d *spawnDraft) checkLosses() {
	for _, loss := range d.tallies("deformed", "culled") {
		for _, key := range []string{"born", "hatched", "fertile", "eggs"} {
			if of := d.tallies(key); of != nil {
				tooMany(loss, of[0], "more-than-there-were", "")
				break
			}
		}
	}
	if of := d.tallies("eggs", "fertile", "hatched", "born"); of != nil {
		for _, loss := range d.tallies("lost") {
			tooMany(loss, of[0], "more-than-there-were", "")
		}
	}
}

func tooMany(c, of stated, rule, hint string) {
	if c.n > of.n {
		p := c.problem(rule, hint, "%s is %d, more than the %d of %s", quote(c.name), c.n, of.n, quote(of.name))
		p.Places = []pedigree.Place{{Position: of.at(), Note: quote(of.name) + " is here"}}
	}
}
