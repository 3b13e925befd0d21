package certificate

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

var ordinals = []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}

func ordinal(n int) string {
	if n < len(ordinals) {
		return ordinals[n]
	}
	suffix := "th"
	if n/10%10 != 1 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return strconv.Itoa(n) + suffix
}

func (g Generation) atLeast() bool { return strings.HasSuffix(g.Label, "+") }

// inWords says how far from the wild, without a full stop.
func (g Generation) inWords() string {
	words := ""
	switch {
	case g.CITES == FromTheWild:
		return "from the wild itself"
	case g.Max == 0:
		return "not known; perhaps from the wild itself"
	case g.Min == g.Max:
		words = ordinal(g.Min) + " generation from the wild"
	case g.Min == 0:
		words = "from the wild itself to " + ordinal(g.Max) + " generation"
	default:
		words = ordinal(g.Min) + " to " + ordinal(g.Max) + " generation from the wild"
	}
	if g.atLeast() {
		words = "at least " + words + ", for the origin of an ancestor is not known"
	}
	return words
}

// byTreaty says what that is in the sense of CITES.
func (g Generation) byTreaty() string {
	const rule = "CITES Resolution Conf. 10.16 (Rev.)"
	words := ""
	switch g.CITES {
	case FromTheWild:
		words = "Caught in the wild, or conceived there, and so of the wild in the sense of " + rule + "."
	case FirstGeneration:
		words = "First generation (F1) in the sense of " + rule + ": at least one parent was of the wild, whatever the other was."
	case SecondOrLater:
		words = "Second generation or later in the sense of " + rule + ": neither parent was of the wild"
		if g.atLeast() {
			words += ", as far as the book knows"
		}
		words += "."
	default:
		words = "Whether it is first generation or later in the sense of " + rule + " cannot be told: the book does not know all its parents."
	}
	return words
}

// ends says where the lines of descent end, in full sentences.
func (f *Fish) ends() string {
	if f.isFounder() {
		return ""
	}
	var caught, bought []string
	for _, founder := range f.Founders {
		if founder.Kind == Wild {
			caught = appendNew(caught, join(", ", orElse(founder.Site, "place not stated"), founder.Year))
		} else {
			bought = appendNew(bought, join(", ", orElse(founder.By, "seller not named"), founder.Year, declared(founder.Generation)))
		}
	}
	unseen, onlyUnseen := f.unseenWildSire()
	unknown := f.Ancestry.Unknown > 1e-9 && !onlyUnseen
	switch {
	case unseen: // said below
	case len(bought) == 0 && !unknown && len(caught) > 0:
		return "Every line of descent ends in wild-caught fish (" + few(caught) + ")."
	case len(caught)+len(bought) == 0:
		return "No line of descent is known to its end."
	}
	var parts []string
	if len(caught) > 0 {
		parts = append(parts, "in wild-caught fish ("+few(caught)+")")
	}
	if len(bought) > 0 {
		parts = append(parts, "in bought fish whose own ancestors are not in the book ("+few(bought)+")")
	}
	if unseen {
		parts = append(parts, "in a wild sire that nobody saw")
	}
	if unknown {
		parts = append(parts, "in parents that the book does not know")
	}
	return "Its lines of descent end " + and(parts) + "."
}

// unseenWildSire reports whether a sire that is not on record was a wild fish,
// and whether nothing else of the fish is unknown.
func (f *Fish) unseenWildSire() (some, only bool) {
	only = len(f.Spawns) > 0 && f.Ancestry.Unknown <= 0.5+1e-9
	for i := range f.Spawns {
		some = some || f.Spawns[i].UnseenWildSire
		only = only && f.Spawns[i].UnseenWildSire
	}
	return some, only
}

func declared(label string) string {
	if label == "" {
		return ""
	}
	return label + " by the seller's word"
}

// join joins the texts that are not empty.
func join(separator string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(text string) bool { return text == "" }), separator)
}

// word says whose word the sheet rests on, in one sentence.
func (f *Fish) word() string {
	a, nobody := f.Ancestry, "nobody knows"
	if _, only := f.unseenWildSire(); only {
		nobody = "is from a wild sire that nobody saw"
	}
	switch whole := 1 - 1e-9; {
	case a.Wild > whole:
		return "All of it is on record: every founder was caught by or for this book."
	case a.Bought > whole:
		return "All of it goes back to bought fish, of which the book knows what the sellers said."
	case a.Unknown > whole:
		return "None of it is known."
	case a.Unknown <= 1e-9:
		return "Part of it is on record, part of it rests on what sellers said."
	case a.Bought <= 1e-9:
		return "Part of it is on record, and part of it " + nobody + "."
	case a.Wild <= 1e-9:
		return "Part of it rests on what sellers said, and part of it " + nobody + "."
	}
	return "Part of it is on record, part rests on what sellers said, and part " + nobody + "."
}

func (f *Fish) isFounder() bool { return f.Relation == "" }

// inbred says what the inbreeding means.
func (f *Fish) inbred() string {
	if f.Inbreeding == nil {
		return ""
	}
	switch {
	case f.isFounder() && *f.Inbreeding == 0:
		return "a founder counts as not inbred"
	case f.isFounder():
		return "as declared of a founder"
	case f.Kind != "fish":
		return "on average; the parents are " + f.Relation
	}
	return "its parents are " + f.Relation
}

// who says what the fish is: "female", "any fish of this lot, 12 unsexed".
func (f *Fish) who(broodWord string) string {
	switch f.Kind {
	case "fish":
		return orElse(f.Sex, "unsexed")
	case "spawn":
		return "any young of this " + broodWord
	}
	return "any fish of this lot (" + f.census() + ")"
}

func (f *Fish) census() string {
	var parts []string
	for _, part := range []struct {
		n              *float64
		one, different string
	}{{f.Males, "male", "males"}, {f.Females, "female", "females"}, {f.Unsexed, "unsexed", "unsexed"}} {
		switch {
		case part.n == nil || *part.n == 0:
		case *part.n == 1:
			parts = append(parts, "1 "+part.one)
		default:
			parts = append(parts, trimmed(*part.n, 2)+" "+part.different)
		}
	}
	return orElse(and(parts), "none left")
}

// origin says where a founder came from.
func (f *Founder) origin() string {
	if f.Kind == Bought {
		return join("; ", join(", ", join(" ", "bought", withWord("from", f.By)), f.Year), declared(f.Generation))
	}
	return join(", ", "wild-caught", f.Site, f.Year, withWord("by", f.By))
}

func withWord(word, text string) string {
	if text == "" {
		return ""
	}
	return word + " " + text
}

// counts lists what was counted of a spawn.
func (s *Spawn) counts() string {
	var parts []string
	for _, c := range []struct {
		n     *int
		words string
	}{{s.Eggs, "eggs"}, {s.Fertile, "fertile"}, {s.Hatched, "hatched"}, {s.Born, "born"}, {s.Swimming, "free-swimming"},
		{s.Kept, "kept"}, {s.Deformed, "deformed"}, {s.Culled, "culled"}, {s.Lost, "lost"}} {
		if c.n != nil {
			parts = append(parts, fmt.Sprintf("%d %s", *c.n, c.words))
		}
	}
	return strings.Join(parts, ", ")
}

// lociWords lists what is stated of loci, then what follows from the records.
func lociWords(loci []Locus) string {
	var stated, inferred []string
	for i := range loci {
		if l := &loci[i]; l.Inferred {
			inferred = append(inferred, l.words())
		} else {
			stated = append(stated, l.words())
		}
	}
	if len(inferred) > 0 {
		stated = append(stated, "inferred from the records: "+strings.Join(inferred, ", "))
	}
	return strings.Join(stated, "; ")
}

func (l *Locus) words() string {
	words := l.Locus + " " + l.Genotype
	if l.Genotype == "" {
		words = l.Locus + ": looks " + l.Phenotype
	} else if l.Phenotype != "" {
		words += " (looks " + l.Phenotype + ")"
	}
	return words
}

// StateOfBook says which state of the book the facts are from.
func StateOfBook(f *Facts) string {
	switch {
	case f.Book.Commit == "":
		return "not in git: there is no commit to check this against"
	case f.Book.Uncommitted:
		return "commit " + f.Book.Commit + ", with changes that were not committed"
	}
	return "commit " + f.Book.Commit
}

func orElse(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

func appendNew(list []string, text string) []string {
	if slices.Contains(list, text) {
		return list
	}
	return append(list, text)
}

// few lists the first of what is given.
func few(list []string) string {
	const most = 4
	if len(list) > most+1 {
		list = append(slices.Clone(list[:most]), fmt.Sprintf("%d more", len(list)-most))
	}
	return strings.Join(list, "; ")
}

func and(list []string) string {
	n := len(list)
	if n < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
}
