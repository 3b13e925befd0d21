package locus

import (
	"fmt"
	"strings"

	"roebook/pedigree"
)

// listText joins words: "a", "a and b", "a, b and c".
func listText(words []string) string { return joined(words, "and") }

// orText joins words: "a, b or c".
func orText(words []string) string { return joined(words, "or") }

func joined(words []string, last string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " " + last + " " + words[n-1]
}

// nearestHint names what may have been meant, else what there is.
func nearestHint(word string, known []string) string {
	if near := pedigree.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %s?", near)
	}
	if len(known) == 0 {
		return "declare it under `loci` of the line"
	}
	return "there are " + listText(known)
}
