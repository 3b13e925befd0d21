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
	words         []string
	numbers       meaningJSON
}

// meaningJSON is the same for other programs. A number that has no answer, or
// does not arise, is null.
type meaningJSON struct {
	Words         []string        `json:"words"`
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
	m := &meaning{}
	if p.mean == nil {
		return m, nil
	}
	on := r.today().AddDays(1)
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
	words := line + ": " + count(*headsThen, "fish") + " living"
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
	if line := l.book.LineNamed(l.lineOf(id)); line != nil && line.Goal.MaxInbreeding != nil && f > *line.Goal.MaxInbreeding+1e-12 {
		m.words = append(m.words, "That is over the limit of "+line.Name+", "+percent(*line.Goal.MaxInbreeding)+".")
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
