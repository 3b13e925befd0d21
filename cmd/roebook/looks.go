package main

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"roebook/io/records"
	"roebook/pedigree"
)

// What is noted of looks and genes, as it is given on the command line.

// traitsValue reads LOCUS=WORD, once for each locus.
func traitsValue(flag, example string, given []string) (records.Value, error) {
	var pairs []records.Pair
	for _, text := range given {
		locus, word, _ := strings.Cut(text, "=")
		locus, word = strings.TrimSpace(locus), strings.TrimSpace(word)
		if locus == "" || word == "" {
			return records.Value{}, usageError("--%s: %q does not say what of which locus; write it as %s", flag, text, example)
		}
		if hasKey(pairs, locus) {
			return records.Value{}, usageError("--%s: %s is given twice", flag, locus)
		}
		pairs = append(pairs, scalarPair(locus, word))
	}
	return records.Map(pairs...), nil
}

func hasKey(pairs []records.Pair, key string) bool {
	return slices.ContainsFunc(pairs, func(p records.Pair) bool { return p.Key == key })
}

// seenValue reads LOCUS:PHENOTYPE=N, and adds what is on record already: a number
// that is given anew takes the place of the old.
func seenValue(given []string, old []pedigree.Seen) (records.Value, error) {
	counts := map[string]map[string]int{}
	put := func(locus, phenotype string, n int) {
		if counts[locus] == nil {
			counts[locus] = map[string]int{}
		}
		counts[locus][phenotype] = n
	}
	for _, seen := range old {
		for _, c := range seen.Counts {
			put(seen.Locus, c.Phenotype, c.N)
		}
	}
	told := map[string]bool{}
	for _, text := range given {
		at := strings.LastIndex(text, "=")
		name, number := text[:max(at, 0)], strings.TrimSpace(text[at+1:])
		locus, phenotype, _ := strings.Cut(name, ":")
		locus, phenotype = strings.TrimSpace(locus), strings.TrimSpace(phenotype)
		n, err := strconv.Atoi(number)
		if locus == "" || phenotype == "" || err != nil || n < 0 {
			return records.Value{}, usageError("--seen: %q is no count of a look; write it as pale:dark=30", text)
		}
		if told[locus+":"+phenotype] {
			return records.Value{}, usageError("--seen: %s:%s is given twice", locus, phenotype)
		}
		told[locus+":"+phenotype] = true
		put(locus, phenotype, n)
	}
	var loci []records.Pair
	for locus, looks := range counts {
		var pairs []records.Pair
		for phenotype, n := range looks {
			pairs = append(pairs, records.Pair{Key: phenotype, Value: records.Int(n)})
		}
		slices.SortFunc(pairs, byKey)
		loci = append(loci, records.Pair{Key: locus, Value: records.Map(pairs...)})
	}
	slices.SortFunc(loci, byKey)
	return records.Map(loci...), nil
}

func byKey(a, b records.Pair) int { return cmp.Compare(a.Key, b.Key) }
