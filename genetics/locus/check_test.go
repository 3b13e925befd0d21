package locus

import (
	"slices"
	"strings"
	"testing"

	"roebook/pedigree"
)

// rulesIn are the rules that a book breaks, once each.
func rulesIn(b *pedigree.Book) (rules []string, problems []pedigree.Problem) {
	problems = Check(b, func() *pedigree.Book { return b })
	for _, p := range problems {
		if !slices.Contains(rules, p.Rule) {
			rules = append(rules, p.Rule)
		}
	}
	return rules, problems
}

// lineOf changes the line with the locus pale.
func lineOf(change func(l *pedigree.Line, pale *pedigree.Locus)) *pedigree.Line {
	line := paleLine()
	change(line, &line.Loci[0])
	return line
}

// TestDeclarations: one mistake in a declaration gives one problem. Common
// practice, no source.
func TestDeclarations(t *testing.T) {
	type edit = func(l *pedigree.Line, pale *pedigree.Locus)
	for _, c := range []struct {
		name string
		edit edit
		want string
		says string
	}{
		{"sound", func(*pedigree.Line, *pedigree.Locus) {}, "", ""},
		{"one allele", func(_ *pedigree.Line, p *pedigree.Locus) { p.Alleles = p.Alleles[:1] }, "locus-alleles", "fewer than two"},
		{"an allele twice", func(_ *pedigree.Line, p *pedigree.Locus) { p.Alleles = []string{"P", "p", "P"} }, "locus-alleles", "twice"},
		{"an allele with a stroke", func(_ *pedigree.Line, p *pedigree.Locus) { p.Alleles = []string{"P", "p/"} }, "locus-alleles", "cannot be the name"},
		{"an allele misspelt", func(_ *pedigree.Line, p *pedigree.Locus) { p.Phenotypes = rulesOf("P/-", "dark", "q/q", "pale") }, "allele-unknown", `no allele "q"`},
		{"three alleles", func(_ *pedigree.Line, p *pedigree.Locus) { p.Phenotypes[0].Pattern = "P/p/p" }, "genotype-unreadable", "more than two"},
		{"a genotype without a look", func(_ *pedigree.Line, p *pedigree.Locus) { p.Phenotypes = rulesOf("P/P", "dark", "p/p", "pale") }, "genotype-without-phenotype", "P/p"},
		{"a look that none has", func(_ *pedigree.Line, p *pedigree.Locus) {
			p.Phenotypes = rulesOf("P/-", "dark", "p/p", "pale", "p/P", "grey")
		}, "phenotype-never", "grey"},
		{"frequencies short of 1", func(_ *pedigree.Line, p *pedigree.Locus) {
			p.Frequency = []pedigree.AlleleShare{{Allele: "P", Share: 0.5}, {Allele: "p", Share: 0.3}}
		}, "frequency-sum", "0.8"},
		{"a frequency of no allele", func(_ *pedigree.Line, p *pedigree.Locus) {
			p.Frequency = []pedigree.AlleleShare{{Allele: "P", Share: 0.5}, {Allele: "r", Share: 0.5}}
		}, "allele-unknown", `"r"`},
		{"Z where there are X and Y", func(_ *pedigree.Line, p *pedigree.Locus) { p.Inheritance = "Z" }, "locus-chromosome", "XY sex chromosomes"},
		{"linked to nothing", func(_ *pedigree.Line, p *pedigree.Locus) { p.LinkedTo = "spotted" }, "locus-link", "spotted"},
		{"linked to itself", func(_ *pedigree.Line, p *pedigree.Locus) { p.LinkedTo = "pale" }, "locus-link", "itself"},
		{"reads an unknown locus", func(l *pedigree.Line, _ *pedigree.Locus) {
			l.Loci = append(l.Loci, pedigree.Locus{Name: "sheen", Loci: []string{"pale", "dense"}, Phenotypes: rulesOf("*", "x")})
		}, "locus-link", "dense"},
		{"all lethal", func(_ *pedigree.Line, p *pedigree.Locus) { p.Lethal = []string{"-/-"} }, "locus-alleles", "lethal"},
		{"too many genotypes", func(_ *pedigree.Line, p *pedigree.Locus) {
			p.Phenotypes, p.Alleles = nil, strings.Split("abcdefghijklmnopqrstuvwxyz", "")
		}, "loci-too-many", "150"},
	} {
		got, problems := rulesIn(bookOf(lineOf(c.edit)))
		if c.want == "" && len(got) == 0 {
			continue
		}
		if len(got) != 1 || got[0] != c.want || !strings.Contains(problems[0].Message, c.says) {
			t.Errorf("%s: %v, want %s saying %q", c.name, problems, c.want, c.says)
		}
	}
}

// TestRecords: one mistake in a record gives one problem.
func TestRecords(t *testing.T) {
	onX := lineOf(func(_ *pedigree.Line, p *pedigree.Locus) {
		p.Inheritance, p.Phenotypes = "X", rulesOf("P/-", "dark", "p/p", "pale", "P", "dark", "p", "pale")
	})
	onY := lineOf(func(_ *pedigree.Line, p *pedigree.Locus) {
		p.Inheritance, p.Phenotypes = "Y", rulesOf("P", "dark", "p", "pale")
	})
	late := lineOf(func(_ *pedigree.Line, p *pedigree.Locus) { p.ScoredFromDays = 30 })
	early := bred("S", "M", "F", counts("pale", "dark", 3, "pale", 30))
	early.SeenDays = pedigree.Tally{N: 20, Stated: true}
	for _, c := range []struct {
		name    string
		line    *pedigree.Line
		records []any
		want    string
		says    string
		hint    string
	}{
		{"a locus misspelt", paleLine(), []any{founder("M", pedigree.Male, "pael", "P/p")}, "trait-unknown-locus", "pael", "did you mean pale?"},
		{"no loci at all", &pedigree.Line{Name: "amber-spring"}, []any{founder("M", pedigree.Male, "pale", "P/p")}, "trait-of-no-locus", "declares no loci", "declare"},
		{"an allele misspelt", paleLine(), []any{founder("M", pedigree.Male, "pale", "P/q")}, "allele-unknown", `"q"`, "P, p"},
		{"a genotype of three", paleLine(), []any{founder("M", pedigree.Male, "pale", "P/p/p")}, "genotype-unreadable", "two alleles", "P/p"},
		{"a look misspelt", paleLine(), []any{shows(founder("M", pedigree.Male), "pale", "plae")}, "phenotype-unknown", "plae", "did you mean pale?"},
		{"a count of a look misspelt", paleLine(), []any{founder("M", pedigree.Male), founder("F", pedigree.Female), bred("S", "M", "F", counts("pale", "drak", 3))}, "phenotype-unknown", "drak", "dark"},
		{"two alleles of a male on the X", onX, []any{founder("M", pedigree.Male, "pale", "P/p")}, "genotype-of-other-sex", "it is a male", "P, p"},
		{"a female with a Y", onY, []any{founder("F", pedigree.Female, "pale", "P")}, "genotype-of-other-sex", "on the Y", "none"},
		{"seen too early", late, []any{founder("M", pedigree.Male), founder("F", pedigree.Female), early}, "seen-too-early", "20 days", "later"},
		{"counts that are improbable", paleLine(), []any{founder("M", pedigree.Male, "pale", "P/p"), founder("F", pedigree.Female, "pale", "p/p"),
			bred("S", "M", "F", counts("pale", "dark", 2, "pale", 30))}, "counts-improbable", "16.0", "sire"},
		{"counts that are possible", paleLine(), []any{founder("M", pedigree.Male, "pale", "P/p"), founder("F", pedigree.Female, "pale", "p/p"),
			bred("S", "M", "F", counts("pale", "dark", 9, "pale", 23))}, "", "", ""},
	} {
		got, problems := rulesIn(bookOf(c.line, c.records...))
		if c.want == "" && len(got) == 0 {
			continue
		}
		if len(got) != 1 || got[0] != c.want || !strings.Contains(problems[0].Message, c.says) || !strings.Contains(problems[0].Hint, c.hint) {
			t.Errorf("%s: %v (%v), want %s saying %q", c.name, problems, hints(problems), c.want, c.says)
		}
	}
}

func hints(problems []pedigree.Problem) (list []string) {
	for _, p := range problems {
		list = append(list, p.Hint)
	}
	return list
}

// TestWrongSire: a sire that cannot be is told with the records that say so, the
// others that were there, and the spawn's young are touched.
func TestWrongSire(t *testing.T) {
	b := bookOf(paleLine(), founder("M", pedigree.Male, "pale", "P/P"), founder("N", pedigree.Male, "pale", "p/p"), founder("O", pedigree.Male, "pale", "P/P"),
		founder("F", pedigree.Female, "pale", "P/p"), bred("S", "M", "F"), shows(young("C", pedigree.Male, "S"), "pale", "pale"))
	rules, problems := rulesIn(b)
	if len(problems) != 1 || rules[0] != "records-contradict" {
		t.Fatal(problems)
	}
	p := problems[0]
	for _, words := range []string{"M has the pale genotype P/P", "S names as its sire M", "C shows pale pale"} {
		if !strings.Contains(p.Message, words) {
			t.Errorf("%q does not say %q", p.Message, words)
		}
	}
	if !strings.Contains(p.Hint, "another sire of S: N (100 %)") || strings.Contains(p.Hint, "O (") || len(p.Places) != 2 {
		t.Errorf("hint %q, places %v", p.Hint, p.Places)
	}
	if !slices.Equal(p.Records, []string{"S"}) {
		t.Errorf("touches %v", p.Records)
	}
}

// TestCountOfTheLethal: counts of fry that the line says die uncounted are told
// with the line's word, not with the parents; without it they may be true.
func TestCountOfTheLethal(t *testing.T) {
	for _, lethal := range []string{"", "p/p"} {
		line := lineOf(func(_ *pedigree.Line, p *pedigree.Locus) {
			if lethal != "" {
				p.Lethal = []string{lethal}
			}
		})
		b := bookOf(line, founder("M", pedigree.Male, "pale", "P/p"), founder("F", pedigree.Female, "pale", "P/p"), bred("S", "M", "F", counts("pale", "pale", 5, "dark", 15)))
		_, problems := rulesIn(b)
		problems = slices.DeleteFunc(problems, func(p pedigree.Problem) bool { return p.Rule == "phenotype-never" })
		if lethal == "" {
			if len(problems) > 0 {
				t.Error(problems)
			}
			continue
		}
		if len(problems) != 1 || !strings.Contains(problems[0].Message, "and the line says that p/p of pale dies before it is counted") ||
			problems[0].Hint != "correct `lethal` of pale, or the count" || len(problems[0].Places) != 1 {
			t.Errorf("%v %v", problems, hints(problems))
		}
	}
}

// TestBetterSire: where counts are improbable, another male that explains them is
// named (derived: 24 pale fry of p/p × p/p rather than of P/p × p/p).
func TestBetterSire(t *testing.T) {
	b := bookOf(paleLine(), founder("M", pedigree.Male, "pale", "P/p"), founder("N", pedigree.Male, "pale", "p/p"),
		founder("F", pedigree.Female, "pale", "p/p"), bred("S", "M", "F", counts("pale", "pale", 24)))
	_, problems := rulesIn(b)
	if len(problems) != 1 || !strings.Contains(problems[0].Hint, "over a million times as likely with N as the sire of S") {
		t.Errorf("%v %v", problems, hints(problems))
	}
}

// TestConflictsApart: of two contradictions both are told.
func TestConflictsApart(t *testing.T) {
	both := func(n string) []any {
		return []any{founder("M"+n, pedigree.Male, "pale", "P/P"), founder("F"+n, pedigree.Female, "pale", "P/P"), bred("S"+n, "M"+n, "F"+n),
			shows(young("C"+n, pedigree.Male, "S"+n), "pale", "pale")}
	}
	_, problems := rulesIn(bookOf(paleLine(), append(both("1"), both("2")...)...))
	if len(problems) != 2 {
		t.Errorf("%v", problems)
	}
}
