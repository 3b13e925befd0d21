package records

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// The canonical form has lines of at most this many characters, where words
// allow it.
const formatWidth = 120

// printer writes the canonical form.
type printer struct{ strings.Builder }

func (r *reading) print() string {
	p := &printer{}
	for i, w := range r.root.parts {
		if i > 0 && (w.blank || sectionNames[w.key]) {
			p.WriteByte('\n')
		}
		p.entry(w, 0)
	}
	p.comments(r.root.below, 0)
	return p.String()
}

func (p *printer) comments(list []string, indent int) {
	for _, words := range list {
		p.WriteString(strings.Repeat(" ", indent) + words + "\n")
	}
}

// entry writes a key and its value.
func (p *printer) entry(w *written, indent int) {
	p.comments(w.above, indent)
	p.WriteString(strings.Repeat(" ", indent))
	p.keyed(w, indent)
}

// keyed writes a key and its value where the line has been begun.
func (p *printer) keyed(w *written, indent int) {
	p.WriteString(scalarText(w.key) + ":")
	p.comments(w.below, p.value(w, indent, indent+len(scalarText(w.key))+2))
}

// value writes what stands behind a key, from a column on, and ends the line. It
// returns the column of comments at its end.
func (p *printer) value(w *written, indent, at int) int {
	switch {
	case w.n.kind == scalar:
		return p.text(w, indent, at)
	case w.n.kind == missing:
		p.end(w)
	case len(w.parts) == 0 || w.fits(at): // an empty one may have comments in it, which follow
		p.WriteString(" " + w.flow())
		p.end(w)
	default:
		p.end(w)
		for i, part := range w.parts {
			if i > 0 && part.blank && sectionNames[w.key] && w.up != nil && w.up.up == nil {
				p.WriteByte('\n')
			}
			if w.list {
				p.item(part, indent+2)
			} else {
				p.entry(part, indent+2)
			}
		}
	}
	return indent + 2
}

// end ends a line, with the comment that stands on it.
func (p *printer) end(w *written) {
	if w.after != "" {
		p.WriteString("  " + w.after)
	}
	p.WriteByte('\n')
}

// item writes an item of a list.
func (p *printer) item(w *written, indent int) {
	p.comments(w.above, indent)
	p.WriteString(strings.Repeat(" ", indent) + "-")
	end := indent + 2
	switch {
	case w.n.kind == mapping && !w.fits(indent+2) && len(w.parts) > 0 && w.after == "" && len(w.parts[0].above) == 0:
		for i, part := range w.parts {
			if i == 0 {
				p.WriteByte(' ')
				p.keyed(part, indent+2)
			} else {
				p.entry(part, indent+2)
			}
		}
	default:
		end = p.value(w, indent, indent+2)
	}
	p.comments(w.below, end)
}

// fits reports whether a group or list stands in brackets on the rest of a line
// from a column on. One with comments in it does not, nor a list of groups, nor
// the sections.
func (w *written) fits(at int) bool {
	if w.n.kind != mapping && w.n.kind != sequence {
		return false
	}
	if w.up != nil && w.up.up == nil && sectionNames[w.key] && len(w.parts) > 0 {
		return false
	}
	return len(w.below) == 0 && w.bare() && at+utf8.RuneCountInString(w.flow()) <= formatWidth
}

// bare reports whether all within can stand on one line.
func (w *written) bare() bool {
	for _, part := range w.parts {
		switch {
		case len(part.above)+len(part.below) > 0 || part.after != "" || strings.Contains(part.n.text, "\n"):
			return false
		case w.list && part.n.kind == mapping:
			return false
		case !part.bare():
			return false
		}
	}
	return true
}

// flow writes a value on one line.
func (w *written) flow() string {
	if w.n.kind == scalar {
		return keptScalar(w.n)
	}
	if w.n.kind == missing {
		return "~"
	}
	parts := make([]string, len(w.parts))
	for i, part := range w.parts {
		parts[i] = part.flow()
		if !w.list {
			parts[i] = scalarText(part.key) + ": " + parts[i]
		}
	}
	if w.list {
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// keptScalar writes a text as the canonical form has it: without quotes where
// none are needed.
func keptScalar(n *node) string {
	if needsQuotes(n.text) && (n.quoted || !numberLike(n.text)) || n.quoted && numberLike(n.text) {
		return strconv.Quote(n.text)
	}
	return n.text
}

// text writes a text, over several lines where it has them or is too long. It
// returns the column of comments at its end: they must not look like its lines.
func (p *printer) text(w *written, indent, at int) int {
	text := keptScalar(w.n)
	if !w.n.quoted || !numberLike(w.n.text) {
		text = blockText(w.n.text)
	}
	body := strings.TrimRight(w.n.text, "\n")
	inner := strings.Repeat(" ", indent+2)
	simple := body != "" && body[0] != ' ' && body[0] != '\t' && !strings.Contains(body, "\n ") && !strings.ContainsAny(body, "\r\t") && strings.TrimRight(body, " ") == body
	switch tail := w.n.text[len(body):]; {
	case simple && strings.Contains(body, "\n") && len(tail) <= 1:
		header := " |-"
		if tail != "" {
			header = " |"
		}
		p.WriteString(header)
		p.end(w)
		for _, line := range strings.Split(body, "\n") {
			p.WriteString(strings.TrimRight(inner+line, " ") + "\n")
		}
	case simple && !w.n.isOneWord() && tail == "" && at+utf8.RuneCountInString(text) > formatWidth && !strings.Contains(body, "  "):
		p.WriteString(" >-")
		p.end(w)
		for _, line := range wrapped(body, formatWidth-len(inner)) {
			p.WriteString(inner + line + "\n")
		}
	default:
		p.WriteString(" " + text)
		p.end(w)
		return indent + 2
	}
	return indent + 1
}

func (n *node) isOneWord() bool { return !strings.Contains(n.text, " ") }

// wrapped breaks a text between words.
func wrapped(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(text, " ") {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width:
			lines = append(lines, line)
			line = word
		default:
			line += " " + word
		}
	}
	return append(lines, line)
}
