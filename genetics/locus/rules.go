package locus

import (
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

var rules = []pedigree.Rule{
	{Name: "allele-unknown", Severity: pedigree.Error, Meaning: "An allele that the locus does not list is mostly a slip of the pen."},
	{Name: "counts-improbable", Severity: pedigree.Warning, Meaning: "Fry far from the expected ratio tell of a wrong parent, a wrong look, or fry that died."},
	{Name: "frequency-sum", Severity: pedigree.Error, Meaning: "The frequencies of all alleles of a locus make up 1."},
	{Name: "genotype-of-other-sex", Severity: pedigree.Error, Meaning: "A fish has the alleles that its sex chromosomes carry, no more and no fewer."},
	{Name: "genotype-unreadable", Severity: pedigree.Error, Meaning: "A genotype is two alleles, P/p, or one on a single sex chromosome."},
	{Name: "genotype-without-phenotype", Severity: pedigree.Error, Meaning: "Every genotype that lives must look like something, or what was seen tells nothing."},
	{Name: "loci-too-many", Severity: pedigree.Error, Meaning: "Linked loci and those one phenotype reads are reckoned together, which has a limit."},
	{Name: "locus-alleles", Severity: pedigree.Error, Meaning: "A locus has two alleles or more, each named once."},
	{Name: "locus-chromosome", Severity: pedigree.Error, Meaning: "A line has X and Y, or Z and W; a locus stands on one that it has."},
	{Name: "locus-link", Severity: pedigree.Error, Meaning: "Loci are linked to, and read, loci that the line declares."},
	{Name: "phenotype-never", Severity: pedigree.Warning, Meaning: "A phenotype that no genotype gets is mostly a slip in the table."},
	{Name: "phenotype-unknown", Severity: pedigree.Error, Meaning: "Only a phenotype that the locus lists can be used."},
	{Name: "records-contradict", Severity: pedigree.Error, Meaning: "What was seen cannot be true of these parents: mostly a wrong sire."},
	{Name: "seen-too-early", Severity: pedigree.Warning, Meaning: "Fry looked at before the trait shows are not counted as evidence."},
	{Name: "trait-of-no-locus", Severity: pedigree.Warning, Meaning: "What is noted of a locus that the line does not declare is not used."},
	{Name: "trait-unknown-locus", Severity: pedigree.Error, Meaning: "A locus is named as the line declares it."},
}

// Rules returns the rules that [Check] holds a book against, sorted by name.
func Rules() []pedigree.Rule { return slices.Clone(rules) }

func severityOf(rule string) pedigree.Severity {
	i := slices.IndexFunc(rules, func(r pedigree.Rule) bool { return r.Name == rule })
	if i < 0 {
		panic("locus: there is no rule " + rule)
	}
	return rules[i].Severity
}

func problem(rule string, at pedigree.Position, hint, format string, args ...any) pedigree.Problem {
	return pedigree.Problem{Position: at, Severity: severityOf(rule), Rule: rule, Message: strings.TrimSpace(fmt.Sprintf(format, args...)), Hint: hint}
}
