package main

import (
	"math"

	"roebook/genetics"
	"roebook/pedigree"
)

// meaning is what follows from a change: how things stood before it, and how
// they stand after it.
type meaning struct {
	before, after *loaded
	line          string
	later         bool // what was written counts from the day after today
	words         []string
	numbers       meaningJSON
}

// meaningJSON is the same for other programs. A number that has no answer, or
// does not arise, is null.
type meaningJSON struct {
	Words         []string        `json:"words"`
	On            string          `json:"on"` // the day that the numbers are of
	Line          string          `json:"line"`
	Living        *beforeAfter    `json:"living"`
	GeneDiversity *beforeAfter    `json:"gene_diversity"`
	Inbreeding    number          `json:"inbreeding"` // of the record, or of a spawn's fry
	Generation    *generationJSON `json:"generation"`
	// GeneDiversityIfKept is that of the line were the fry of a spawn grown on.
	GeneDiversityIfKept number `json:"gene_diversity_if_kept"`
}

type beforeAfter struct {
	Before number `json:"before"`
	After  number `json:"after"`
}

func (m *meaning) document() *meaningJSON {
	d := m.numbers
	d.Words, d.Line = m.words, m.line
	if d.Words == nil {
		d.Words = []string{}
	}
	return &d
}

// meaning works out what a change means, on the day after today: what died or
// was sold today counts from then.
func (r *recorder) meaning(p *deed, before *pedigree.Book, old []pedigree.Problem, after *pedigree.Book, problems []pedigree.Problem) (*meaning, error) {
	on := r.today().AddDays(1)
	m := &meaning{numbers: meaningJSON{On: on.String()}}
	if p.mean == nil {
		return m, nil
	}
	m.before = &loaded{env: r.env, from: &r.source, whole: before, problems: old}
	m.after = &loaded{env: r.env, from: &r.source, whole: after, problems: problems}
	if err := m.before.compile(on, nil); err != nil {
		return nil, err
	}
	if err := m.after.compile(on, nil); err != nil {
		return nil, err
	}
	p.mean(m)
	return m, nil
}

// fromTomorrow says that what happened on a day counts from the next, where that
// has not come yet.
func (m *meaning) fromTomorrow(on pedigree.Date, what string) {
	next := on.AddDays(1)
	if next != m.after.state.Date() {
		return
	}
	m.later = true
	m.words = append(m.words, "That counts from tomorrow, "+next.String()+"; "+map[string]string{
		"died":    "until then still counted as living",
		"sold":    "until then still counted as living",
		"lent":    "until then still proposed for pairs",
		"retired": "until then still proposed for pairs",
	}[what]+".")
}

// fromTomorrow gives what it means that a record was sold or lent on a day.
func fromTomorrow(s *pedigree.Stock, on pedigree.Date, what string) func(m *meaning) {
	return func(m *meaning) {
		m.fromTomorrow(on, what)
		m.ofLine(s.Line)
	}
}

// standing is the heads and the gene diversity of a line, null where there is
// no answer.
func (l *loaded) standing(line string) (heads, diversity number) {
	living := l.state.Living(line)
	if line == "" || l.refusal(line) != "" {
		return nil, nil
	}
	if living.Heads == 0 {
		return known(0, true), nil
	}
	_, mean := l.state.MeanKinshipRow(living)
	return known(living.Heads, true), known(1-mean, true)
}

// ofLine says how the change alters a line.
func (m *meaning) ofLine(line string) {
	m.line = line
	heads, diversity := m.before.standing(line)
	headsThen, diversityThen := m.after.standing(line)
	m.numbers.Living = &beforeAfter{heads, headsThen}
	m.numbers.GeneDiversity = &beforeAfter{diversity, diversityThen}
	if heads == nil || headsThen == nil {
		m.words = append(m.words, "What it means for "+line+" cannot be said: errors in the book touch it.")
		return
	}
	words := line
	if m.later {
		words += " from tomorrow"
	}
	words += ": " + count(*headsThen, "fish") + " living"
	if *heads != *headsThen {
		words += ", " + amount(*heads) + " before"
	}
	if diversity != nil && diversityThen != nil {
		words += "; gene diversity " + changeWords(*diversity, *diversityThen)
	} else if diversityThen != nil {
		words += "; gene diversity " + kin(*diversityThen)
	}
	m.words = append(m.words, words+".")
}

// changeWords says how a number changes, as far as it is shown.
func changeWords(before, after float64) string {
	switch {
	case kin(before) == kin(after):
		return "stays " + kin(after)
	case before < after:
		return "rises from " + kin(before) + " to " + kin(after)
	}
	return "falls from " + kin(before) + " to " + kin(after)
}

// ofRecord says how inbred a record is, and how far from the wild.
func (m *meaning) ofRecord(id string) {
	l := m.after
	if l.tainted[id] {
		return
	}
	f, ok := l.state.Inbreeding(id)
	if spawn := l.book.SpawnByID(id); spawn != nil && spawn.IsPlanned() {
		f, ok = l.state.Expected(spawn)
	}
	g, told := l.state.Generation(id)
	m.numbers.Inbreeding = known(f, ok)
	m.numbers.Generation = generationOf(g, told)
	if !ok {
		return
	}
	words := id + ": "
	if l.book.SpawnByID(id) != nil {
		words = "Fry: "
	}
	words += "inbreeding " + percent(f)
	if told {
		words += ", " + g.Label()
	}
	if !(&shower{loaded: l}).founder(id) {
		words += "; the parents are " + genetics.Relation(f)
	}
	m.words = append(m.words, words+".")
	if why := l.atLeast(id); why != "" {
		m.words = append(m.words, "Beware: "+why+" and taken as related to no other fish, so "+percent(f)+" is the least it can be.")
	}
	if line := l.book.LineNamed(l.lineOf(id)); line != nil && line.Goal.MaxInbreeding != nil && f > *line.Goal.MaxInbreeding+1e-12 {
		m.words = append(m.words, "That is over the limit of "+line.Name+", "+percent(*line.Goal.MaxInbreeding)+".")
	}
}

// atLeast says who of the ancestors of a record is unknown, "" where nobody is.
func (l *loaded) atLeast(id string) string {
	if spawn := l.book.SpawnByID(id); spawn != nil {
		var sides []string
		for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
			if len(l.book.Contributors(spawn, sex)) == 0 {
				sides = append(sides, "the "+sideWord(sex))
			}
		}
		switch len(sides) {
		case 1:
			return sides[0] + " is unknown"
		case 2:
			return all(sides) + " are unknown"
		}
		if l.unknownAncestors(spawn) {
			return "some ancestors are unknown"
		}
		return ""
	}
	if from, ok := l.state.Ancestry(id); ok && from.Unknown > 1e-9 {
		return "some ancestors are unknown"
	}
	return ""
}

// takenAsTwo says that a spawn out of several fish counts as of one male and one
// female where nobody stated how many bred.
func (m *meaning) takenAsTwo(id string) {
	l := m.after
	spawn := l.book.SpawnByID(id)
	if spawn == nil || spawn.Repeat != "" {
		return
	}
	var flags []string
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		fish := 0.0
		for _, c := range l.book.Contributors(spawn, sex) {
			fish += c.Fish
		}
		if parents := spawn.ParentsOf(sex); fish > 1 && !parents.All && parents.N < 2 {
			flags = append(flags, "--"+sideWord(sex)+"s")
		}
	}
	if len(flags) > 0 {
		m.words = append(m.words, "Taken as the young of one male and one female, whichever they were. If more of them bred, say so with "+
			all(flags)+": a number, or all.")
	}
}

// lineOf is the line that a record belongs to.
func (l *loaded) lineOf(id string) string {
	if s := l.book.StockByID(id); s != nil {
		return s.Line
	}
	return l.book.SpawnByID(id).Line
}

// ifKept says what the line would gain were the fry of a spawn grown on: as
// many as are kept, else born, else as many as pairs are reckoned with.
func (m *meaning) ifKept(spawn *pedigree.Spawn) {
	l := m.after
	spawn = l.book.SpawnByID(spawn.ID)
	if spawn == nil || spawn.IsPlanned() || l.refusal(spawn.Line) != "" {
		return
	}
	for _, s := range l.book.Stock {
		for _, from := range s.FromSpawns {
			if from.Spawn == spawn.ID {
				return // the fry are on record
			}
		}
	}
	n := keptOfPair
	for _, t := range []pedigree.Tally{spawn.Kept, spawn.Swimming, spawn.Born, spawn.Hatched} {
		if t.Stated && t.N > 0 {
			n = t.N
			break
		}
	}
	grown := *l.book
	grown.Stock = append(append([]*pedigree.Stock(nil), l.book.Stock...), &pedigree.Stock{ID: "\x00fry", Line: spawn.Line, Lot: true,
		Count: pedigree.Count{Unsexed: n}, FromSpawns: []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}})
	grown.Lines, grown.Spawns = append([]*pedigree.Line(nil), l.book.Lines...), append([]*pedigree.Spawn(nil), l.book.Spawns...)
	grown.Arrange()
	model, err := genetics.Compile(&grown)
	if err != nil {
		return
	}
	with := &loaded{book: &grown, whole: &grown, state: model.On(l.state.Date())}
	_, now := l.standing(spawn.Line)
	if _, then := with.standing(spawn.Line); now != nil && then != nil && !math.IsNaN(*then) {
		m.numbers.GeneDiversityIfKept = then
		m.words = append(m.words, "With "+amount(float64(n))+" of them grown on, the line's gene diversity "+changeWords(*now, *then)+
			" (they count once a record says spawn: "+spawn.ID+").")
	}
}
