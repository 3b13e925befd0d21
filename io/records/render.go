package records

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"roebook/pedigree"
)

const (
	shownColumns = 96 // of a source line, without its margin
	margin       = "    "
)

// Render writes a problem for people: where it is and what is wrong, the line
// with a mark under the place, the hint and the other places that took part.
// source is the text of the problem's file (see [Source]), nil where there is
// none. Nothing in it can move the cursor or colour the screen.
//
// Each call looks through the source. For many problems of one file use [Lines].
func Render(w io.Writer, p pedigree.Problem, source []byte) error {
	return IndexLines(source).Render(w, p)
}

// Lines is the text of a file whose lines are found at once.
type Lines struct {
	text  []byte
	start []int // of each line
}

// IndexLines finds the lines of a source as it was read from disk; nil where
// there is none. O(length).
func IndexLines(source []byte) *Lines {
	l := &Lines{text: bytes.TrimPrefix(source, []byte("\xef\xbb\xbf"))}
	for at := 0; at < len(l.text); {
		l.start = append(l.start, at)
		end := bytes.IndexByte(l.text[at:], '\n')
		if end < 0 {
			end = len(l.text) - at
		}
		at += end + 1
	}
	return l
}

// Render does what [Render] does, in time that does not grow with the file.
func (l *Lines) Render(w io.Writer, p pedigree.Problem) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s: %s\n", at(p.Position), p.Severity, oneLine(p.Message))
	if text, ok := l.line(p.Line); ok {
		shown, mark := excerpt(text, p.Column, p.Width)
		if strings.TrimSpace(shown) != "" {
			b.WriteString(margin + shown + "\n" + margin + mark + "\n")
		}
	}
	if p.Hint != "" {
		b.WriteString("  hint: " + oneLine(p.Hint) + "\n")
	}
	for _, place := range p.Places {
		fmt.Fprintf(&b, "  %s: %s\n", at(place.Position), oneLine(place.Note))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func at(p pedigree.Position) string {
	return fmt.Sprintf("%s:%d:%d", oneLine(p.File), p.Line, p.Column)
}

// line returns a 1-based line without its end.
func (l *Lines) line(n int) (string, bool) {
	if n < 1 || n > len(l.start) {
		return "", false
	}
	text := l.text[l.start[n-1]:]
	if n < len(l.start) {
		text = l.text[l.start[n-1]:l.start[n]]
	}
	return string(bytes.TrimSuffix(bytes.TrimSuffix(text, []byte("\n")), []byte("\r"))), true
}

// glyph is one character as it is shown, and the columns it takes.
type glyph struct {
	text  string
	width int
}

// excerpt returns the line as shown, cut to a window around the mark, and the
// line of carets below it.
func excerpt(text string, column, width int) (shown, mark string) {
	glyphs, column := glyphsAround(text, column)
	from, to := window(glyphs, column-1)
	var line, carets strings.Builder
	if from > 0 {
		line.WriteString("...")
		carets.WriteString("   ")
	}
	carets.WriteString(strings.Repeat(" ", columns(glyphs[from:min(column-1, to)])))
	for _, g := range glyphs[from:to] {
		line.WriteString(g.text)
	}
	carets.WriteString(strings.Repeat("^", max(1, columns(glyphs[min(column-1, to):min(column-1+width, to)]))))
	if to < len(glyphs) {
		line.WriteString("...")
	}
	return strings.TrimRight(line.String(), " "), carets.String()
}

// glyphsAround returns the characters of a line, for very long ones only those
// near the mark, and the column of the mark among them.
func glyphsAround(text string, column int) ([]glyph, int) {
	skip := max(0, column-1-2*shownColumns)
	for range skip {
		_, size := utf8.DecodeRuneInString(text)
		text = text[size:]
	}
	column -= skip
	var out []glyph
	shown := 0
	for _, r := range text {
		g := show(r, shown)
		out = append(out, g)
		shown += g.width
		if len(out) > column+2*shownColumns {
			break
		}
	}
	return out, max(1, min(column, len(out)+1))
}

func show(r rune, column int) glyph {
	switch {
	case r == '\t':
		n := 4 - column%4
		return glyph{strings.Repeat(" ", n), n}
	case r == utf8.RuneError, isControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r):
		return glyph{"\ufffd", 1}
	case unicode.In(r, unicode.Mn, unicode.Me):
		return glyph{string(r), 0}
	case wide(r):
		return glyph{string(r), 2}
	}
	return glyph{string(r), 1}
}

// wide reports whether terminals give a character two columns: the blocks of
// Unicode Standard Annex 11 that hold nothing but wide ones.
func wide(r rune) bool {
	return 0x1100 <= r && r <= 0x115f || 0x2e80 <= r && r <= 0xa4cf && r != 0x303f || 0xac00 <= r && r <= 0xd7a3 ||
		0xf900 <= r && r <= 0xfaff || 0xfe30 <= r && r <= 0xfe6f || 0xff00 <= r && r <= 0xff60 || 0xffe0 <= r && r <= 0xffe6 ||
		0x1f300 <= r && r <= 0x1f64f || 0x1f900 <= r && r <= 0x1f9ff || 0x20000 <= r && r <= 0x3fffd
}

func columns(glyphs []glyph) int {
	n := 0
	for _, g := range glyphs {
		n += g.width
	}
	return n
}

// window chooses the characters to show: all if they fit, else those around the
// mark at from, a third of the room before it.
func window(glyphs []glyph, from int) (int, int) {
	if columns(glyphs) <= shownColumns {
		return 0, len(glyphs)
	}
	room := shownColumns - len("......")
	start := min(from, len(glyphs))
	after := columns(glyphs[start:])
	for before := max(room/3, room-after); start > 0 && before >= glyphs[start-1].width; start-- {
		before -= glyphs[start-1].width
	}
	end := start
	for left := room; end < len(glyphs) && left >= glyphs[end].width; end++ {
		left -= glyphs[end].width
	}
	return start, end
}
