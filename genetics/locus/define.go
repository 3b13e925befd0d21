package locus

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// definer makes systems of what a line declares, and notes what is wrong.
type definer struct {
	line     *pedigree.Line
	problems *[]pedigree.Problem
	sexes    string
	loci     map[string]*locus
	broken   map[string]bool
}

// define returns the systems of a line, those that could be made.
func define(line *pedigree.Line, problems *[]pedigree.Problem) []*system {
	d := &definer{line: line, problems: problems, loci: make(map[string]*locus), broken: make(map[string]bool)}
	d.chooseSexes()
	for i := range line.Loci {
		if record := &line.Loci[i]; len(record.Loci) == 0 {
			d.base(record)
		}
	}
	if d.sexes == "WXY" {
		d.loci[SexChromosomes] = &locus{name: SexChromosomes, alleles: []string{"W", "X", "Y"}, on: "WXY"}
	}
	var systems []*system
	for _, names := range d.together() {
		if s := d.system(names); s != nil {
			systems = append(systems, s)
		}
	}
	return systems
}

func (d *definer) tell(rule string, record *pedigree.Locus, path, hint, format string, args ...any) {
	d.broken[record.Name] = d.broken[record.Name] || severityOf(rule) == pedigree.Error
	*d.problems = append(*d.problems, problem(rule, record.Where.At(path), hint, format, args...))
}

// chooseSexes finds the sex chromosomes of the line: as stated, else those that
// its loci stand on.
func (d *definer) chooseSexes() {
	stated := d.line.SexDetermination
	first := make(map[string]*pedigree.Locus)
	for i := range d.line.Loci {
		record := &d.line.Loci[i]
		kind := map[string]string{"X": "XY", "Y": "XY", "XY": "XY", "Z": "ZW", "W": "ZW"}[record.Inheritance]
		switch {
		case kind == "":
		case stated == "WXY" && record.Inheritance != "Z", stated == kind:
		case stated == "WXY", stated == "XY", stated == "ZW":
			d.tell("locus-chromosome", record, "inheritance", "correct `inheritance`, or `sex-determination` of the line",
				"%s is said to be on the %s, but %s has %s sex chromosomes", record.Name, record.Inheritance, d.line.Name, stated)
		default:
			first[kind] = cmp.Or(first[kind], record)
		}
	}
	switch {
	case stated == "XY" || stated == "ZW" || stated == "WXY":
		d.sexes = stated
	case first["XY"] != nil && first["ZW"] != nil:
		d.tell("locus-chromosome", first["ZW"], "inheritance", "a line has X and Y, or Z and W: say which with `sex-determination`",
			"%s is on the %s and %s on the %s", first["ZW"].Name, first["ZW"].Inheritance, first["XY"].Name, first["XY"].Inheritance)
		d.sexes = "XY"
	case first["ZW"] != nil:
		d.sexes = "ZW"
	default:
		d.sexes = "XY"
	}
}

// base reads a locus with alleles of its own.
func (d *definer) base(record *pedigree.Locus) {
	l := &locus{name: record.Name, record: record, alleles: record.Alleles, against: record.Recombination}
	if in := record.Inheritance; in != "" && in != "autosomal" {
		l.on = in
	}
	if len(l.alleles) < 2 {
		d.tell("locus-alleles", record, "alleles", "name its alleles, the wild type first: alleles: [P, p]", "%s has fewer than two alleles", l.name)
	}
	for i, a := range l.alleles {
		switch {
		case slices.Contains(l.alleles[:i], a):
			d.tell("locus-alleles", record, "alleles", "take one of the two out", "%s lists the allele %s twice", l.name, a)
		case a == "" || a == "-" || a == noAllele || strings.ContainsAny(a, "/* \t"):
			d.tell("locus-alleles", record, "alleles", "use letters, digits and marks other than / and *", "%q cannot be the name of an allele of %s", a, l.name)
		}
	}
	d.frequencies(l)
	d.loci[l.name] = l
}

func (d *definer) frequencies(l *locus) {
	l.share = make([]float64, len(l.alleles))
	for i := range l.share {
		l.share[i] = 1 / float64(len(l.share))
	}
	if len(l.record.Frequency) == 0 {
		return
	}
	clear(l.share)
	sum := 0.0
	for _, f := range l.record.Frequency {
		i := slices.Index(l.alleles, f.Allele)
		if i < 0 {
			e := &unknownAllele{l, f.Allele}
			d.tell("allele-unknown", l.record, "frequency."+f.Allele, e.hint(), "%s", e.Error())
			return
		}
		l.share[i] = f.Share
		sum += f.Share
	}
	if math.Abs(sum-1) > 1e-6 {
		d.tell("frequency-sum", l.record, "frequency", "of all alleles together it must be 1; leave `frequency` out for even ones",
			"the frequencies of the alleles of %s sum to %s", l.name, strconv.FormatFloat(sum, 'g', 6, 64))
	}
}

// together groups the loci that must be reckoned together, by name.
func (d *definer) together() [][]string {
	var names []string
	for name := range d.loci {
		names = append(names, name)
	}
	slices.Sort(names)
	group := make(map[string]string)
	for _, name := range names {
		group[name] = name
	}
	join := func(a, b string) {
		from, to := group[a], group[b]
		for name, g := range group {
			if g == from {
				group[name] = to
			}
		}
	}
	for i := range d.line.Loci {
		record := &d.line.Loci[i]
		if record.LinkedTo != "" && d.linkable(record) {
			join(record.Name, record.LinkedTo)
		}
		if len(record.Loci) > 0 && d.readable(record) {
			for _, name := range record.Loci[1:] {
				join(record.Loci[0], name)
			}
		}
		if l := d.loci[record.Name]; d.sexes == "WXY" && l != nil && l.on != "" {
			join(l.name, SexChromosomes)
		}
	}
	members := make(map[string][]string)
	var order []string
	for _, name := range names {
		if members[group[name]] == nil {
			order = append(order, group[name])
		}
		members[group[name]] = append(members[group[name]], name)
	}
	var out [][]string
	for _, g := range order {
		out = append(out, members[g])
	}
	return out
}

func (d *definer) names() []string {
	var names []string
	for i := range d.line.Loci {
		if len(d.line.Loci[i].Loci) == 0 {
			names = append(names, d.line.Loci[i].Name)
		}
	}
	return names
}

func (d *definer) linkable(record *pedigree.Locus) bool {
	other := d.loci[record.LinkedTo]
	switch {
	case len(record.Loci) > 0:
		d.tell("locus-link", record, "linked", "link the loci that it reads", "%s reads other loci and stands on no chromosome itself", record.Name)
	case record.LinkedTo == record.Name:
		d.tell("locus-link", record, "linked.to", "name the other locus", "%s is linked to itself", record.Name)
	case other == nil:
		d.tell("locus-link", record, "linked.to", nearestHint(record.LinkedTo, d.names()), "%s is linked to %s, which %s does not declare", record.Name, record.LinkedTo, d.line.Name)
	case (other.on == "") != (d.loci[record.Name].on == ""):
		d.tell("locus-link", record, "linked.to", "correct `inheritance` of one of the two",
			"%s is linked to %s, but only one of the two is on a sex chromosome", record.Name, record.LinkedTo)
	case len(record.Where.Keys) > 0 && !record.Where.Has("linked.recombination"):
		d.tell("locus-link", record, "linked", "write `recombination: 0.1`, the share of gametes that recombine, or {male: 0.1, female: 0.2}",
			"%s is linked to %s, but it is not said how closely", record.Name, record.LinkedTo)
	default:
		return true
	}
	return false
}

func (d *definer) readable(record *pedigree.Locus) bool {
	for i, name := range record.Loci {
		path := fmt.Sprintf("loci[%d]", i)
		switch {
		case d.loci[name] == nil || name == SexChromosomes:
			d.tell("locus-link", record, path, nearestHint(name, d.names()), "%s reads the locus %s, which %s does not declare with alleles", record.Name, name, d.line.Name)
		case slices.Contains(record.Loci[:i], name):
			d.tell("locus-link", record, path, "take one of the two out", "%s reads the locus %s twice", record.Name, name)
		default:
			continue
		}
		return false
	}
	if len(record.Alleles) > 0 {
		d.tell("locus-link", record, "alleles", "take `alleles` out: it has those of the loci it reads", "%s reads other loci and has alleles of its own", record.Name)
		return false
	}
	return true
}

// system makes one system, nil where a declaration is broken.
func (d *definer) system(names []string) *system {
	s := &system{line: d.line}
	at := make(map[string]int)
	for _, name := range names {
		if d.broken[name] {
			return nil
		}
		l := d.loci[name]
		if l.on != "" {
			s.sexes = d.sexes
		}
		at[name] = len(s.loci)
		s.loci = append(s.loci, l)
	}
	var lethal []struct {
		loci []int
		p    pattern
	}
	broken := false
	for i := range d.line.Loci {
		record := &d.line.Loci[i]
		t := &trait{name: record.Name, record: record}
		reads := record.Loci
		if len(reads) == 0 {
			reads = []string{record.Name}
		}
		for _, name := range reads {
			if j, ok := at[name]; ok {
				t.loci = append(t.loci, j)
			}
		}
		if len(t.loci) != len(reads) || d.broken[record.Name] {
			continue
		}
		s.traits = append(s.traits, t)
		for j, text := range record.Lethal {
			p, ok := d.pattern(s, t, fmt.Sprintf("lethal[%d]", j), text)
			if broken = broken || !ok; ok {
				lethal = append(lethal, struct {
					loci []int
					p    pattern
				}{t.loci, p})
			}
		}
		if other, ok := at[record.LinkedTo]; ok && len(record.Loci) == 0 {
			s.links = append(s.links, link{at[record.Name], other, [2]float64{record.LinkedMale, record.LinkedFemale}})
		}
	}
	if broken {
		return nil
	}
	small := s.build(func(g genotype) bool {
		return slices.ContainsFunc(lethal, func(l struct {
			loci []int
			p    pattern
		}) bool {
			return s.matches(g, l.loci, l.p)
		})
	})
	if !small || len(s.genotypes) == 0 {
		last := s.traits[len(s.traits)-1].record
		if !small {
			d.tell("loci-too-many", last, "", "declare fewer alleles, or fewer loci linked or read together",
				"%s have more than %d genotypes together, too many to reckon with", listText(names), maxGenotypes)
		} else {
			d.tell("locus-alleles", last, "lethal", "correct `lethal`", "every genotype of %s is lethal", listText(names))
		}
		return nil
	}
	return d.withPhenotypes(s)
}

// pattern reads a pattern of a declaration.
func (d *definer) pattern(s *system, t *trait, path, text string) (pattern, bool) {
	var loci []*locus
	for _, i := range t.loci {
		loci = append(loci, s.loci[i])
	}
	p, err := parsePattern(loci, text)
	if err == nil {
		return p, true
	}
	rule, hint := "genotype-unreadable", "write the two alleles as P/p, one unknown as P/-, a single one as P"
	if len(loci) > 1 {
		hint = "write one genotype for each locus it reads, in their order: p/p D/-, or \"*\" for all that is left"
	}
	var unknown *unknownAllele
	if errors.As(err, &unknown) {
		rule, hint = "allele-unknown", unknown.hint()
	}
	d.tell(rule, t.record, path, hint, "%s: %s", t.name, err)
	return nil, false
}
