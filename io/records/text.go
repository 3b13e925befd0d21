package records

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// source is the text of one file: without byte order mark, lines ended by \n
// alone. Lines and columns in it are those of the file as the keeper sees it.
type source struct {
	name  string
	text  string
	start []int  // where each line starts; one more than there are lines
	flaws []flaw // by line, once the layout has been scanned
}

// flaw is an issue of one line that keeps the parser away from its record.
type flaw struct{ issue }

// newSource takes the text of a file. Lines that are not valid UTF-8 or hold
// control characters are told as flaws and blanked.
func newSource(name string, text []byte) *source {
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	s := &source{name: name}
	if bytes.HasPrefix(text, []byte{0xff, 0xfe}) || bytes.HasPrefix(text, []byte{0xfe, 0xff}) {
		s.index()
		s.flaw(span{1, 1, 1}, "file-encoding", "this file is saved as UTF-16", "save it as UTF-8")
		return s
	}
	if bytes.IndexByte(text, '\r') >= 0 {
		text = bytes.TrimSuffix(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")), []byte("\r"))
	}
	clean := make([]byte, 0, len(text))
	number := 1
	for line := range bytes.Lines(text) {
		clean = s.cleanLine(clean, line, number)
		number++
	}
	s.text = string(clean)
	s.index()
	return s
}

// cleanLine appends a line to clean with _ in place of what cannot be text, and
// tells the first such place. The record it stands in is not given to the parser.
func (s *source) cleanLine(clean, line []byte, number int) []byte {
	if len(bytes.Trim(line, " \t\n")) == 0 { // a blank line: a tab in it would stop the parser
		return append(clean, bytes.ReplaceAll(line, []byte("\t"), []byte(" "))...)
	}
	told, col := false, 1
	for at := 0; at < len(line); col++ {
		if b := line[at]; b >= ' ' && b < 0x7f || b == '\t' || b == '\n' {
			clean = append(clean, b)
			at++
			continue
		}
		r, size := utf8.DecodeRune(line[at:])
		notUTF8 := r == utf8.RuneError && size == 1
		if !notUTF8 && !isControl(r) {
			clean = append(clean, line[at:at+size]...)
			at += size
			continue
		}
		if !told {
			s.badCharacter(span{number, col, 1}, line[at], r, notUTF8)
			told = true
		}
		clean = append(clean, '_')
		at += size
	}
	return clean
}

func (s *source) badCharacter(at span, b byte, r rune, notUTF8 bool) {
	switch {
	case notUTF8:
		s.flaw(at, "file-encoding", fmt.Sprintf("this is not UTF-8 text: byte 0x%02x", b), "save the file as UTF-8")
	case r == '\r':
		s.flaw(at, "control-character", "a carriage return stands here without a line feed", "save the file with the line ends of Linux, macOS or Windows")
	default:
		s.flaw(at, "control-character", "a control character stands here: "+runeName(r), "take it out")
	}
}

func isControl(r rune) bool {
	return unicode.IsControl(r) || r == 0xfffe || r == 0xffff || r == 0xfeff || 0x202a <= r && r <= 0x202e || 0x2066 <= r && r <= 0x2069
}

func runeName(r rune) string { return fmt.Sprintf("U+%04X", r) }

func (s *source) flaw(at span, rule, message, hint string) {
	s.flaws = append(s.flaws, flaw{issue{at, rule, message, hint}})
}

func (s *source) index() {
	s.start = append(s.start[:0], 0)
	for i := 0; i < len(s.text); i++ {
		if s.text[i] == '\n' {
			s.start = append(s.start, i+1)
		}
	}
	if s.start[len(s.start)-1] < len(s.text) {
		s.start = append(s.start, len(s.text)+1)
	}
}

// lines is the number of lines.
func (s *source) lines() int { return len(s.start) - 1 }

// line returns the text of a 1-based line without its end, "" beyond the file.
func (s *source) line(n int) string {
	if n < 1 || n > s.lines() {
		return ""
	}
	return strings.TrimSuffix(s.text[s.start[n-1]:min(s.start[n], len(s.text))], "\n")
}

// part returns the text of lines from..to-1 (1-based).
func (s *source) part(from, to int) string {
	return s.text[s.start[from-1]:min(s.start[to-1], len(s.text))]
}
