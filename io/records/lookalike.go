package records

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"roebook/pedigree"
)

// lookAlikes lists letters and digits that look like what stands before them:
// those of Latin, Greek and Cyrillic script in confusables.txt, version 13.0.0,
// of Unicode Technical Standard #39, without those that differ in a mark alone.
// Of each set any may stand for the others; here one that is common in ids does.
var lookAlikes = func() map[rune]string {
	alike := make(map[rune]string)
	for _, set := range [...][2]string{
		{"0", "OΟО"}, {"1", "lI|ƖǀΙІӀ"}, {"2", "ƧϨ"}, {"3", "ƷȜЗӠ"}, {"5", "Ƽ"}, {"6", "б"}, {"8", "Ȣȣ"}, {"?", "Ɂ"},
		{"A", "ΑА"}, {"B", "ΒВ"}, {"C", "ϹС"}, {"E", "ΕЕ"}, {"F", "Ϝ"}, {"G", "Ԍ"}, {"H", "ΗН"}, {"J", "ͿЈ"}, {"K", "ΚК"}, {"M", "ΜϺМ"},
		{"N", "Ν"}, {"P", "ΡР"}, {"R", "Ʀ"}, {"S", "Ѕ"}, {"T", "ΤТ"}, {"V", "Ѵ"}, {"W", "Ԝ"}, {"X", "ΧХ"}, {"Y", "ΥϒУҮ"}, {"Z", "Ζ"},
		{"a", "αа"}, {"b", "ƄЬ"}, {"c", "ϲс"}, {"d", "ԁ"}, {"e", "еҽ"}, {"f", "ſ"}, {"g", "ƍ"}, {"h", "һ"}, {"i", "ıιіӏ"}, {"j", "ϳј"},
		{"o", "οσо"}, {"p", "ρϱр"}, {"q", "ԛ"}, {"r", "г"}, {"rn", "m"}, {"s", "ƽѕ"}, {"u", "υ"}, {"v", "νѵ"}, {"w", "ѡԝ"}, {"x", "х"}, {"y", "γуү"},
		{"AE", "ÆӔ"}, {"ae", "æӕ"}, {"0E", "Œ"}, {"oe", "œ"}, {"b1", "Ы"}, {"10", "Ю"}, {"DZ", "Ǳ"}, {"Dz", "ǲ"}, {"dz", "ǳ"}, {"LJ", "Ǉ"},
		{"Lj", "ǈ"}, {"1j", "ǉ"}, {"NJ", "Ǌ"}, {"Nj", "ǋ"}, {"nj", "ǌ"}, {"ij", "ĳ"}, {"1J", "Ĳ"}, {"11", "ǁ"},
		{"Þ", "Ϸ"}, {"ß", "βϐ"}, {"þ", "ƿϸ"}, {"ĸ", "κϰк"}, {"ƅ", "ь"}, {"ƅi", "ы"}, {"Ɔ", "Ͻ"}, {"Ə", "Ә"}, {"Ɛ", "Ԑ"}, {"ƨ", "ϩ"}, {"Ʃ", "Σ"},
		{"ǝ", "ә"}, {"Ƕ", "Ԋ"}, {"ȝ", "ӡ"}, {"Ʌ", "ΛЛ"}, {"Γ", "Г"}, {"Π", "П"}, {"Φ", "Ф"}, {"Ψ", "Ѱ"}, {"π", "ϖп"}, {"ς", "ϛ"}, {"ψ", "ѱ"}, {"И", "Ͷ"},
	} {
		for _, c := range set[1] {
			alike[c] = set[0]
		}
	}
	return alike
}()

// skeleton returns a text that is the same for ids that look alike (the skeleton
// of UTS #39, section 4, with the table above), and whether it is another one
// than the id. O(length).
func skeleton(id string) (text string, other bool) {
	if strings.IndexFunc(id, func(c rune) bool { return c >= utf8.RuneSelf || strings.ContainsRune("OlI|m", c) }) < 0 {
		return id, false
	}
	var b strings.Builder
	for _, c := range norm.NFD.String(id) {
		if alike := lookAlikes[c]; alike != "" {
			b.WriteString(alike)
		} else {
			b.WriteRune(c)
		}
	}
	text = norm.NFD.String(b.String())
	return text, text != id
}

// checkLookAlikes tells ids that cannot be told apart by eye. O(records).
func (a *assembly) checkLookAlikes() {
	alike := make(map[string][]recordAt) // by skeleton
	first := func(text string) {
		if s := a.book.StockByID(text); s != nil {
			alike[text] = append(alike[text], recordAt{s.ID, s.Where.Position})
		} else if s := a.book.SpawnByID(text); s != nil {
			alike[text] = append(alike[text], recordAt{s.ID, s.Where.Position})
		}
	}
	for r := range a.records {
		text, other := skeleton(r.id)
		if !other {
			continue
		}
		if alike[text] == nil {
			first(text)
		}
		if !slices.ContainsFunc(alike[text], func(x recordAt) bool { return x.id == r.id }) {
			alike[text] = append(alike[text], r)
		}
	}
	for _, records := range alike {
		slices.SortFunc(records, recordAt.compare)
		for _, r := range records[1:] {
			x, y := differ(r.id, records[0].id)
			a.problems = append(a.problems, pedigree.Problem{
				Position: r.at, Severity: pedigree.Warning, Rule: "look-alike-id",
				Message: fmt.Sprintf("the id %s looks like %s, but is another: it has %s where that has %s", quote(r.id), quote(records[0].id), x, y),
				Hint:    "write one of them otherwise, so that nobody takes one fish for the other",
				Places:  []pedigree.Place{{Position: records[0].at, Note: quote(records[0].id) + " is here"}},
			})
		}
	}
}

// differ describes the first characters in which two ids differ.
func differ(a, b string) (x, y string) {
	for {
		c, n := utf8.DecodeRuneInString(a)
		d, m := utf8.DecodeRuneInString(b)
		if c != d || n == 0 {
			return characterText(c, n), characterText(d, m)
		}
		a, b = a[n:], b[m:]
	}
}

// characterText names a character that may look like another: "a Cyrillic А".
func characterText(c rune, size int) string {
	switch {
	case size == 0:
		return "nothing"
	case unicode.IsDigit(c):
		return "the digit " + string(c)
	case unicode.Is(unicode.Latin, c):
		return "the Latin letter " + string(c)
	case unicode.Is(unicode.Cyrillic, c):
		return "the Cyrillic letter " + string(c)
	case unicode.Is(unicode.Greek, c):
		return "the Greek letter " + string(c)
	}
	return fmt.Sprintf("the character U+%04X", c)
}

// recordAt is the id of a record and where it stands.
type recordAt struct {
	id string
	at pedigree.Position
}

func (r recordAt) compare(other recordAt) int {
	x, y := r.at, other.at
	return cmp.Or(cmp.Compare(x.File, y.File), cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column))
}

// records calls yield for every stock record and every spawn.
func (a *assembly) records(yield func(recordAt) bool) {
	for _, s := range a.book.Stock {
		if !yield(recordAt{s.ID, s.Where.Position}) {
			return
		}
	}
	for _, s := range a.book.Spawns {
		if !yield(recordAt{s.ID, s.Where.Position}) {
			return
		}
	}
}
