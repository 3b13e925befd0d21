package sheet

import (
	"math"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// clean drops what XML 1.0 cannot hold: control characters, U+FFFE, U+FFFF and
// bytes that are not UTF-8. Tabs become spaces, other line ends "\n".
func clean(text string) string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029' || r == '\u0085':
			return '\n'
		case r == '\t':
			return ' '
		case r == utf8.RuneError, unicode.IsControl(r), r&0xFFFE == 0xFFFE:
			return -1
		}
		return r
	}, text)
}

// oneLine cleans text and puts it on one line of at most limit digits' width.
func oneLine(text string, limit int) string {
	return clip(strings.Join(strings.Fields(clean(text)), " "), limit)
}

// phrase is oneLine with no break between a number and its percent sign.
func phrase(text string, limit int) string {
	return beforePercent.ReplaceAllString(oneLine(text, limit), "$1\u00a0%")
}

var beforePercent = regexp.MustCompile(`(\d) %`)

// clip cuts text to limit digits' width, with "…" where something is missing.
func clip(text string, limit int) string {
	if columnsOf(text) <= float64(limit) {
		return text
	}
	used := 0.0
	for i, r := range text {
		if used += columnsOf(string(r)); used > float64(limit-1) {
			return strings.TrimSpace(text[:i]) + "…"
		}
	}
	return text
}

// join puts the parts that say something side by side.
func join(between string, parts ...string) string {
	var said []string
	for _, part := range parts {
		if strings.TrimSpace(part) != "" {
			said = append(said, strings.TrimSpace(part))
		}
	}
	return strings.Join(said, between)
}

func capital(word string) string {
	first, size := utf8.DecodeRuneInString(word)
	if size == 0 {
		return ""
	}
	return string(unicode.ToTitle(first)) + word[size:]
}

// lines estimates how many lines text takes in a cell of that many columns'
// width; merged cells do not grow by themselves.
func lines(text string, width float64) int {
	total := 0
	for _, line := range strings.Split(text, "\n") {
		total += max(1, int(math.Ceil(columnsOf(line)/width)))
	}
	return total
}

// columnsOf is how many digits' width text takes; wide scripts count double.
func columnsOf(text string) float64 {
	used := 0.0
	for _, r := range text {
		used++
		if unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul) || r >= 0xFF01 && r <= 0xFF60 || r >= 0x1F300 {
			used++
		}
	}
	return used
}
