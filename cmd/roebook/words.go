package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// percent writes a share with two decimals: "12.50 %".
func percent(share float64) string {
	if share != 0 && math.Abs(share) < 0.00005 {
		return "under 0.01 %"
	}
	return percentCell(share)
}

// percentCell writes a share for a column.
func percentCell(share float64) string { return fixed(100*share, 2) + " %" }

// kin writes a kinship or a gene diversity, with four decimals.
func kin(value float64) string { return fixed(value, 4) }

// effective writes an effective number, with one decimal.
func effective(n float64) string { return fixed(n, 1) }

// trimmed writes a number with at most so many decimals, and without zeros at
// the end beyond the least.
func trimmed(value float64, most, least int) string {
	text := fixed(value, most)
	for cut := most; cut > least && strings.HasSuffix(text, "0"); cut-- {
		text = text[:len(text)-1]
	}
	return strings.TrimSuffix(text, ".")
}

// fixed writes a number with so many decimals, halves rounded up, never as minus
// nothing.
func fixed(value float64, decimals int) string {
	scale := math.Pow10(decimals)
	value = math.Round(value*scale) / scale
	text := strconv.FormatFloat(value, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// amount writes a number of fish: "3", "2.5".
func amount(n float64) string { return trimmed(n, 2, 0) }

// count writes a number with its noun: "1 male", "3 males".
func count(n float64, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return amount(n) + " " + plural(noun)
}

func plural(noun string) string {
	switch {
	case noun == "fish" || strings.HasSuffix(noun, " fish"):
		return noun
	case strings.HasSuffix(noun, "ch"):
		return noun + "es"
	}
	return noun + "s"
}

// countWords is the same for whole numbers.
func countWords(n int, noun string) string { return count(float64(n), noun) }

// census writes who they are: "2 males, 3 females"; "no fish".
func census(n pedigree.Numbers) string {
	var parts []string
	for _, part := range []struct {
		n    float64
		noun string
	}{{n.Males, "male"}, {n.Females, "female"}, {n.Unsexed, "unsexed fish"}} {
		if part.n > 0 {
			parts = append(parts, count(part.n, part.noun))
		}
	}
	if len(parts) == 0 {
		return "no fish"
	}
	return all(parts)
}

// all joins words: "a", "a and b", "a, b and c".
func all(list []string) string { return joined(list, "and") }

// either joins words: "a, b or c".
func either(list []string) string { return joined(list, "or") }

func joined(list []string, last string) string {
	n := len(list)
	if n < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:n-1], ", ") + " " + last + " " + list[n-1]
}

// onDay writes a date after a verb; "" where it is not known.
func onDay(date pedigree.Date) string {
	switch {
	case !date.Known():
		return ""
	case date%100 == 0:
		return " in " + date.String()
	}
	return " on " + date.String()
}

// ofDay writes a date after a noun; "" where it is not known.
func ofDay(date pedigree.Date) string {
	if !date.Known() {
		return ""
	}
	return " of " + date.String()
}

// broodWord is the line's word for a spawn.
func broodWord(book *pedigree.Book, line string) string {
	if l := book.LineNamed(line); l != nil && l.BroodWord != "" {
		return l.BroodWord
	}
	return "spawn"
}

// spawnWords names a spawn: "litter TF-S5 of 2022-05-07". A table of single
// fish has no spawns of its own.
func spawnWords(book *pedigree.Book, s *pedigree.Spawn) string {
	return broodWord(book, s.Line) + " " + s.ID + ofDay(s.Date)
}

// generationWords says what a generation means and by which rule; wholly: it rests
// on sellers' words alone.
func generationWords(g pedigree.Generation, wholly bool) string {
	words := g.Label() + ": " + generationName(g)
	if g.Min > 0 {
		words += ", counted from the parent nearest the wild, as CITES Conf. 10.16 does"
	}
	if g.Min != g.Max {
		words += fmt.Sprintf("; counted otherwise: least %d, mean %s, greatest %d", g.Min, trimmed(g.Mean, 2, 0), g.Max)
	}
	if g.AtLeast {
		words += "; the + says at least, for an ancestor's origin is not known"
	}
	return words + sellersWord(g, wholly)
}

// sellersWord says what a generation rests on where that is not the book alone.
func sellersWord(g pedigree.Generation, wholly bool) string {
	switch {
	case !g.Declared:
		return ""
	case wholly:
		return "; on a seller's word"
	}
	return "; in part on a seller's word"
}

// generationInShort says the same where there is little room and the label
// stands beside it.
func generationInShort(g pedigree.Generation, wholly bool) string {
	words := generationName(g)
	if g.Min > 0 {
		words += " (CITES Conf. 10.16)"
	}
	if g.Min != g.Max {
		words += fmt.Sprintf("; least %d, mean %s, greatest %d", g.Min, trimmed(g.Mean, 2, 0), g.Max)
	}
	return words + sellersWord(g, wholly)
}

func generationName(g pedigree.Generation) string {
	switch {
	case g.Max == 0 && !g.AtLeast:
		return "wild-caught, or conceived in the wild"
	case g.Min == 0:
		return "part of them wild-caught"
	case g.Min == 1 && !g.AtLeast:
		return "first generation"
	case g.Min == 1:
		return "first generation or later"
	}
	return "second generation or later"
}

// rangeWords says how far from the wild several fish are.
func rangeWords(g pedigree.Generation, wholly bool) string {
	words := g.Label() + ": " + count(g.Mean, "generation") + " from the wild on average"
	if g.AtLeast {
		words += ", at least: the origin of some ancestors is not known"
	}
	return words + sellersWord(g, wholly)
}

// tableGeneration says how far from its founders a fish of a table is.
func tableGeneration(g pedigree.Generation) string {
	words := "a founder"
	switch {
	case g.Min != g.Max:
		words = fmt.Sprintf("%d to %d generations from the founders, %s on average", g.Min, g.Max, trimmed(g.Mean, 2, 0))
	case g.Max > 0:
		words = countWords(g.Max, "generation") + " from the founders"
	}
	if g.AtLeast {
		words += ", at least: some parents are unknown"
	}
	return words
}

// quoted puts a text between quotes, for YAML and for people.
func quoted(text string) string { return strconv.Quote(text) }
