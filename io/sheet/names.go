package sheet

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf16"
)

// longestName is the most UTF-16 units that a worksheet's name may have.
const longestName = 31

// names gives out worksheet names, each of them once whatever the case of its
// letters.
type names struct {
	taken map[string]bool
	next  map[string]int // the number to try next for a name that is taken
}

func newNames(reserved ...string) *names {
	n := &names{taken: map[string]bool{}, next: map[string]int{}}
	for _, name := range append(reserved, "History") { // spreadsheet programs keep History for themselves
		n.taken[strings.ToLower(name)] = true
	}
	return n
}

// give returns a worksheet name made from id: the characters that a name may
// not have become "-", an apostrophe (which would need quoting in formulas) a
// right quotation mark, and what is longer than 31 UTF-16 units is cut. A name
// already given gets a number: "AS-S1 (2)".
func (n *names) give(id string) string {
	base := safeName(id)
	name := base
	for n.taken[fold(name)] {
		count := max(n.next[fold(base)], 2)
		n.next[fold(base)] = count + 1
		suffix := fmt.Sprintf(" (%d)", count)
		name = strings.TrimSpace(cutUnits(base, longestName-len(suffix))) + suffix
	}
	n.taken[fold(name)] = true
	return name
}

// fold makes names equal that differ in case only.
func fold(name string) string { return strings.ToLower(strings.ToUpper(name)) }

// escaped is how workbooks write a character by its number; in a name some
// programs would read it so.
var escaped = regexp.MustCompile(`_([xX][0-9A-Fa-f]{4})_`)

func safeName(id string) string {
	mapped := strings.Map(func(r rune) rune {
		switch {
		case strings.ContainsRune(`[]:*?/\`, r):
			return '-'
		case r == '\'':
			return '’'
		case unicode.IsSpace(r):
			return ' '
		case unicode.In(r, unicode.Cf, unicode.Cc, unicode.Co, unicode.Cs):
			return -1 // would not be seen on the tab
		}
		return r
	}, clean(id))
	mapped = escaped.ReplaceAllString(mapped, "-$1-")
	name := strings.TrimSpace(cutUnits(strings.Join(strings.Fields(mapped), " "), longestName))
	if name == "" {
		return "unnamed"
	}
	return name
}

// cutUnits returns the longest start of text within limit UTF-16 units.
func cutUnits(text string, limit int) string {
	used := 0
	for i, r := range text {
		used += max(utf16.RuneLen(r), 1)
		if used > limit {
			return text[:i]
		}
	}
	return text
}

// quoted returns the name as formulas and links write it.
func quoted(name string) string { return "'" + strings.ReplaceAll(name, "'", "''") + "'" }
