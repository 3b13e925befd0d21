package main

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// page collects text for people. Everything that goes on it is cleaned of
// control characters, since records may come from anywhere.
type page struct {
	bytes.Buffer
	width int
}

func (env *environment) page() *page { return &page{width: env.width} }

// blank leaves a line free, but not two.
func (p *page) blank() {
	if n := p.Len(); n > 0 && !bytes.HasSuffix(p.Bytes(), []byte("\n\n")) {
		p.WriteByte('\n')
	}
}

// say writes a paragraph, wrapped to the width of the page.
func (p *page) say(format string, args ...any) { p.sayAt(0, format, args...) }

// sayAt writes a paragraph moved in by some columns.
func (p *page) sayAt(indent int, format string, args ...any) {
	for _, line := range wrap(fmt.Sprintf(format, args...), p.width-indent) {
		fmt.Fprintf(p, "%s%s\n", strings.Repeat(" ", indent), line)
	}
}

// asIs writes a line that is to be typed or copied, not wrapped.
func (p *page) asIs(indent int, line string) {
	fmt.Fprintf(p, "%s%s\n", strings.Repeat(" ", indent), strings.ReplaceAll(clean(line), "\n", "?"))
}

// labelWidth is the room for the label of a field.
const labelWidth = 20

// field writes a label and its text beside it.
func (p *page) field(label, format string, args ...any) {
	for i, line := range wrap(fmt.Sprintf(format, args...), p.width-2-labelWidth) {
		if i > 0 {
			label = ""
		}
		fmt.Fprintf(p, "  %s%s\n", padded(label, labelWidth, false), line)
	}
}

// column is one column of a table. A newline in Head makes a second line of
// heading.
type column struct {
	head  string
	right bool // numbers
	wrap  bool // takes the room that the others leave; one column at most
}

// table writes rows under their headings.
func (p *page) table(columns []column, rows [][]string) {
	widths := p.columnWidths(columns, rows)
	depth := 1
	for _, c := range columns {
		depth = max(depth, 1+strings.Count(c.head, "\n"))
	}
	for line := range depth {
		heads := make([]string, len(columns))
		for i, c := range columns {
			parts := strings.Split(c.head, "\n")
			if at := line - (depth - len(parts)); at >= 0 {
				heads[i] = parts[at]
			}
		}
		p.row(columns, widths, heads)
	}
	for _, row := range rows {
		p.row(columns, widths, row)
	}
}

func (p *page) columnWidths(columns []column, rows [][]string) []int {
	widths := make([]int, len(columns))
	wide, taken := -1, 0
	for i, c := range columns {
		for _, part := range strings.Split(c.head, "\n") {
			widths[i] = max(widths[i], columnsOf(part))
		}
		for _, row := range rows {
			widths[i] = max(widths[i], columnsOf(clean(row[i])))
		}
		if c.wrap {
			wide = i
		} else {
			taken += widths[i]
		}
	}
	if wide >= 0 {
		room := p.width - taken - 2*len(columns)
		widths[wide] = max(min(widths[wide], room), 20)
	}
	return widths
}

func (p *page) row(columns []column, widths []int, cells []string) {
	lines := make([][]string, len(columns))
	depth := 1
	for i, c := range columns {
		lines[i] = []string{clean(cells[i])}
		if c.wrap {
			lines[i] = wrap(cells[i], widths[i])
		}
		depth = max(depth, len(lines[i]))
	}
	for n := range depth {
		var out strings.Builder
		for i, c := range columns {
			cell := ""
			if n < len(lines[i]) {
				cell = lines[i][n]
			}
			out.WriteString("  " + padded(cell, widths[i], c.right))
		}
		fmt.Fprintln(p, strings.TrimRight(out.String(), " "))
	}
}

func padded(text string, columns int, right bool) string {
	room := strings.Repeat(" ", max(columns-columnsOf(text), 0))
	if right {
		return room + text
	}
	return text + room
}

// wrap breaks text into lines of at most that many columns, between words. The
// space before a percent sign holds its words together.
func wrap(text string, columns int) []string {
	columns = max(columns, 20)
	var lines []string
	line := ""
	for _, word := range words(clean(text)) {
		switch {
		case line == "":
			line = word
		case columnsOf(line)+1+columnsOf(word) <= columns:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

func words(text string) []string {
	var list []string
	for _, word := range strings.Fields(text) {
		if n := len(list); n > 0 && strings.HasPrefix(word, "%") {
			list[n-1] += " " + word
			continue
		}
		list = append(list, word)
	}
	return list
}

// clean replaces what could steer a terminal: control characters, and marks
// that turn the direction of writing.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t':
			return ' '
		case unicode.IsControl(r), r == utf8.RuneError, 0x202a <= r && r <= 0x202e, 0x2066 <= r && r <= 0x2069:
			return '?'
		}
		return r
	}, text)
}

// columnsOf is how many columns of a terminal the text takes.
func columnsOf(text string) int {
	n := 0
	for _, r := range text {
		switch {
		case r < 0x300:
			n++
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case width.LookupRune(r).Kind() == width.EastAsianWide, width.LookupRune(r).Kind() == width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}
