// Package lettering is what the drawings and sheets need to know of text: what
// of it can be shown, how wide it is, how it is cut to fit, and which of the
// embedded fonts have its characters.
package lettering

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// longest is the most characters of a text that are looked at.
const longest = 2000

// Clean makes a text from a record fit to be shown on one line: composed
// letters (NFC), single spaces, no control characters and no marks that turn
// the direction of writing, which would let a text pass for another one.
func Clean(text string) string {
	if plain(text) {
		return text
	}
	if len(text) > 4*longest {
		text = strings.ToValidUTF8(text[:4*longest], "")
	}
	var out strings.Builder
	space := false
	for _, r := range norm.NFC.String(text) {
		switch {
		case unicode.IsSpace(r):
			space = true
		case unicode.IsControl(r), steers(r), r == utf8.RuneError:
		default:
			if space && out.Len() > 0 {
				out.WriteByte(' ')
			}
			space = false
			out.WriteRune(r)
		}
	}
	return out.String()
}

// steers reports marks without a look of their own that turn or hide text, and
// characters that no document may hold.
func steers(r rune) bool {
	return 0x202a <= r && r <= 0x202e || 0x2060 <= r && r <= 0x206f || r == 0x200b || r == 0x200e || r == 0x200f ||
		r == 0xfeff || r&0xfffe == 0xfffe || unicode.In(r, unicode.Cs, unicode.Co)
}

// plain reports a text of printable ASCII with single spaces.
func plain(text string) bool {
	for i := range len(text) {
		c := text[i]
		if c < ' ' || c > '~' || c == ' ' && (i == 0 || i == len(text)-1 || text[i-1] == ' ') {
			return false
		}
	}
	return len(text) <= longest
}

// Ellipsis ends a text that was cut.
const Ellipsis = "…"

// Fit cuts a cleaned text to a width, ending it with an ellipsis where
// something was left out. It never parts a letter from its accents. Units as
// of [Width].
func Fit(text string, size float64, bold bool, room float64) string {
	text = Clean(text)
	if Width(text, size, bold) <= room {
		return text
	}
	room -= Width(Ellipsis, size, bold)
	wide, end := 0.0, 0
	for i, r := range text {
		if unicode.In(r, unicode.Mn, unicode.Me) {
			continue // goes with the letter before it
		}
		if wide <= room {
			end = i
		}
		if wide += advance(r, bold) * size * slack; wide > room {
			break
		}
	}
	if room <= 0 {
		return Ellipsis
	}
	return strings.TrimRight(text[:end], " ") + Ellipsis
}

// Wrap breaks a text between words into at most so many lines of a width; the
// last one is cut where there is more.
func Wrap(text string, size float64, bold bool, room float64, most int) []string {
	var lines []string
	line := ""
	words := strings.Fields(Clean(text))
	for i, word := range words {
		longer := strings.TrimPrefix(line+" "+word, " ")
		if line == "" || Width(longer, size, bold) <= room {
			line = longer
			continue
		}
		if len(lines)+1 == most {
			return append(lines, Fit(line+" "+strings.Join(words[i:], " "), size, bold, room))
		}
		lines, line = append(lines, Fit(line, size, bold, room)), word
	}
	return append(lines, Fit(line, size, bold, room))
}
