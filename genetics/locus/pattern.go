package locus

import (
	"fmt"
	"slices"
	"strings"

	"roebook/pedigree"
)

// anyAllele stands for `-` in a pattern.
const anyAllele = -2

// absent is the allele of a chromosome that does not carry the locus.
const absent = -1

// noAllele is written for a fish that has no copy of a locus, such as a female
// at a locus of the Y.
const noAllele = "none"

// pattern is what a keeper writes of a genotype, locus by locus; nil for the
// pattern `*`, which everything fits.
type pattern []part

// part is the pattern at one locus: none, one or two alleles (or anyAllele), or
// anything at all.
type part struct {
	all     bool
	alleles []int
}

// fits reports whether the alleles on the two chromosomes (absent where one has
// no such locus) are those of the pattern.
func (p part) fits(a, b int) bool {
	if p.all {
		return true
	}
	if a == absent {
		a, b = b, a
	}
	same := func(want, have int) bool { return want == anyAllele && have != absent || want == have }
	switch len(p.alleles) {
	case 0:
		return a == absent
	case 1:
		return b == absent && same(p.alleles[0], a)
	}
	x, y := p.alleles[0], p.alleles[1]
	return b != absent && (same(x, a) && same(y, b) || same(x, b) && same(y, a))
}

// parsePart reads the pattern of one locus: P/p, P/-, P, none or *.
func parsePart(l *locus, text string) (part, error) {
	switch text {
	case "*":
		return part{all: true}, nil
	case noAllele:
		return part{}, nil
	}
	words := strings.Split(text, "/")
	if len(words) > 2 {
		return part{}, fmt.Errorf("%q has more than two alleles", text)
	}
	var p part
	for _, word := range words {
		word = strings.TrimSpace(word)
		i := slices.Index(l.alleles, word)
		switch {
		case i >= 0:
		case word == "-":
			i = anyAllele
		case word == "":
			return part{}, fmt.Errorf("%q lacks an allele", text)
		default:
			return part{}, &unknownAllele{l, word}
		}
		p.alleles = append(p.alleles, i)
	}
	return p, nil
}

// unknownAllele is an allele that the locus does not list.
type unknownAllele struct {
	locus *locus
	word  string
}

func (e *unknownAllele) Error() string {
	return fmt.Sprintf("%s has no allele %q", e.locus.name, e.word)
}

func (e *unknownAllele) hint() string {
	if near := nearestAllele(e.word, e.locus.alleles); near != "" {
		return fmt.Sprintf("did you mean %s? The alleles of %s are %s", near, e.locus.name, strings.Join(e.locus.alleles, ", "))
	}
	return fmt.Sprintf("the alleles of %s are %s", e.locus.name, strings.Join(e.locus.alleles, ", "))
}

// nearestAllele looks for an allele that was meant. Names of alleles are short,
// so one letter may be all there is: the same name in capitals is not a nearer
// one than any other of that length.
func nearestAllele(word string, alleles []string) string {
	if near := pedigree.Nearest(word, alleles); near != "" {
		return near
	}
	for _, a := range alleles {
		if strings.EqualFold(a, word) {
			return a
		}
	}
	return ""
}

// parsePattern reads a pattern over the loci that a trait reads, in their order:
// "p/p D/-", or "*" for all that is left.
func parsePattern(loci []*locus, text string) (pattern, error) {
	words := strings.Fields(text)
	if len(words) == 1 && words[0] == "*" {
		return nil, nil
	}
	if len(words) != len(loci) {
		return nil, fmt.Errorf("%q has %d parts for %d loci", text, len(words), len(loci))
	}
	p := make(pattern, len(loci))
	for i, word := range words {
		var err error
		if p[i], err = parsePart(loci[i], word); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// name writes the alleles of a fish at the locus, in the order the locus lists
// them: P/p, P on a single chromosome, "none".
func (l *locus) nameOf(a, b int) string {
	if a == absent || b != absent && b < a {
		a, b = b, a
	}
	switch {
	case a == absent:
		return noAllele
	case b == absent:
		return l.alleles[a]
	}
	return l.alleles[a] + "/" + l.alleles[b]
}
