package pairing

import (
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// HiddenRecessives returns a rule for [PlanOptions] by the genotypes that the
// records state: two fish are kept apart that both hide the same allele, having it
// once, beside the wild type, and showing nothing of what two of it do. Where one of
// the two shows it, the keeper knows. A fish is only known to have what its own
// record states.
func HiddenRecessives(book *pedigree.Book) func(sire, dam *pedigree.Stock) string {
	hides := make(map[string][]hidden, len(book.Stock))
	for _, s := range book.Stock {
		if line := book.LineNamed(s.Line); line != nil {
			hides[s.ID] = hiddenIn(line, s)
		}
	}
	return func(sire, dam *pedigree.Stock) string {
		for _, a := range hides[sire.ID] {
			for _, b := range hides[dam.ID] {
				if a == b {
					return fmt.Sprintf("both hide %s of %s", a.allele, a.locus)
				}
			}
		}
		return ""
	}
}

// hidden is an allele that a fish has and does not show.
type hidden struct{ locus, allele string }

func hiddenIn(line *pedigree.Line, s *pedigree.Stock) []hidden {
	var list []hidden
	for _, trait := range s.Genotype {
		at := slices.IndexFunc(line.Loci, func(l pedigree.Locus) bool { return l.Name == trait.Locus })
		first, second, two := strings.Cut(trait.Value, "/")
		if at < 0 || !two || first == second || line.Loci[at].Inheritance != "autosomal" {
			continue
		}
		for _, allele := range []string{first, second} {
			if recessive(&line.Loci[at], allele) {
				list = append(list, hidden{trait.Locus, allele})
			}
		}
	}
	return list
}

// recessive reports whether two of the allele show what one beside the wild type
// does not, or kill.
func recessive(locus *pedigree.Locus, allele string) bool {
	if len(locus.Alleles) == 0 || allele == locus.Alleles[0] || !slices.Contains(locus.Alleles, allele) {
		return false
	}
	wild := locus.Alleles[0]
	if slices.Contains(locus.Lethal, allele+"/"+allele) {
		return true
	}
	one := shows(locus, wild, allele)
	return one == shows(locus, wild, wild) && one != shows(locus, allele, allele)
}

// shows is the phenotype of a genotype, "" where none is stated.
func shows(locus *pedigree.Locus, a, b string) string {
	for _, rule := range locus.Phenotypes {
		x, y, _ := strings.Cut(rule.Pattern, "/")
		if is(x, a) && is(y, b) || is(x, b) && is(y, a) {
			return rule.Phenotype
		}
	}
	return ""
}

func is(pattern, allele string) bool { return pattern == "-" || pattern == allele }
