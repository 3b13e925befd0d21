package records

import (
	"regexp"
	"strings"
)

// The parser's time grows faster than the length of what it is given, so large
// files are cut at the starts of records. Pieces are small, as one value that
// is not plain sends all of its piece to the parser.
const pieceLines = 40

// A value that cannot be cut is refused above this, or one file could keep the
// program busy for hours.
const (
	maxPieceLines = 50_000
	maxPieceBytes = 4 << 20
	maxOpen       = 10_000 // brackets that open and do not close
)

// piece is a run of whole entries of one file: of its top level, or records of
// one section.
type piece struct {
	section  *section // nil for the top level
	from, to int      // lines, to is the first one after it
}

// section is a top-level key whose records were cut apart.
type section struct {
	name string
	at   span
}

var sectionNames = map[string]bool{"stock": true, "spawns": true, "loci": true, "tanks": true}

var sectionLine = regexp.MustCompile(`^([a-z]+):[ ]*(#.*)?$`)

// split cuts a file into pieces that together parse to what the whole does.
// Where that is not certain the file stays in one piece, and so it does with a
// size of 0.
func split(src *source, l layout, size int) []piece {
	whole := []piece{{from: 1, to: src.lines() + 1}}
	tops := boundaries(src, l, 1, src.lines()+1, 0)
	if size == 0 || l.odd || tops == nil {
		return whole
	}
	var pieces []piece
	tops[0] = 1
	tops = append(tops, src.lines()+1)
	start := tops[0]
	flush := func(to int) {
		if to > start {
			pieces = append(pieces, piece{from: start, to: to})
		}
		start = to
	}
	for i := range tops[:len(tops)-1] {
		from, to := tops[i], tops[i+1]
		if name, records := sectionRecords(src, l, from, to); records != nil {
			flush(from)
			head := &section{name, span{line: firstEntry(l, from, to), col: 1, width: len(name)}}
			pieces = append(pieces, group(head, records, to, size)...)
			start = to
		} else if to-start > size {
			flush(to)
		}
	}
	flush(src.lines() + 1)
	return pieces
}

// firstEntry is the first line of a part that starts an entry.
func firstEntry(l layout, from, to int) int {
	for n := from; n < to; n++ {
		if l.indent[n-1] >= 0 {
			return n
		}
	}
	return from
}

// boundaries returns the lines that start an entry at the given indentation;
// nil where the part does not consist of such entries.
func boundaries(src *source, l layout, from, to int, indent int16) []int {
	var out []int
	for n := from; n < to; n++ {
		switch in := l.indent[n-1]; {
		case in < 0 || in > indent:
			if in > indent && out == nil {
				return nil
			}
		case in < indent:
			return nil
		case src.text[src.start[n-1]+int(indent)] == '-':
			if out == nil {
				return nil
			}
		case !l.keyed[n-1]:
			return nil
		default:
			out = append(out, n)
		}
	}
	return out
}

// sectionRecords returns the first lines of the records of a section written in
// block style; nil where the part is anything else.
func sectionRecords(src *source, l layout, from, to int) (string, []int) {
	head := firstEntry(l, from, to)
	m := sectionLine.FindStringSubmatch(src.line(head))
	if m == nil || !sectionNames[m[1]] {
		return "", nil
	}
	first := firstEntry(l, head+1, to)
	if first >= to || l.indent[first-1] <= 0 {
		return "", nil
	}
	return m[1], boundaries(src, l, head+1, to, l.indent[first-1])
}

// group joins records to pieces of about the given number of lines.
func group(section *section, records []int, end, size int) []piece {
	var out []piece
	for _, n := range records {
		if len(out) == 0 || n-out[len(out)-1].from >= size {
			if len(out) > 0 {
				out[len(out)-1].to = n
			}
			out = append(out, piece{section: section, from: n})
		}
	}
	out[len(out)-1].to = end
	return out
}

// looseEntries cuts a piece that does not parse by the indentation of its lines
// alone, so that an error in one record leaves the others readable. It returns
// nil where there is nothing to cut.
func looseEntries(src *source, p piece) []piece {
	indent, starts := -1, []int(nil)
	for n := p.from; n < p.to; n++ {
		rest := strings.TrimLeft(src.line(n), " ")
		in := len(src.line(n)) - len(rest)
		if strings.TrimSpace(rest) == "" || strings.IndexByte("#-]}\t", rest[0]) >= 0 {
			continue
		}
		if indent < 0 {
			indent = in
		}
		if in == indent {
			starts = append(starts, n)
		}
	}
	if len(starts) < 2 {
		return nil
	}
	out := group(p.section, starts, p.to, 1)
	out[0].from = p.from
	return out
}

// looseSection turns a piece that is one section's entry into a piece of its
// records.
func looseSection(src *source, p piece) []piece {
	for n := p.from; n < p.to; n++ {
		text := src.line(n)
		if trimmed := strings.TrimSpace(text); trimmed == "" || trimmed[0] == '#' {
			continue
		}
		m := sectionLine.FindStringSubmatch(text)
		if m == nil || !sectionNames[m[1]] || n+1 >= p.to {
			break
		}
		head := &section{m[1], span{line: n, col: 1, width: len(m[1])}}
		return []piece{{section: head, from: n + 1, to: p.to}}
	}
	return nil
}

// recordID reads the key at the start of a piece, for records that do not parse.
func recordID(src *source, p piece) string {
	for n := p.from; n < p.to; n++ {
		text := strings.TrimSpace(src.line(n))
		if text == "" || text[0] == '#' {
			continue
		}
		key, _, _ := strings.Cut(text, ":")
		return strings.Trim(key, `"' `)
	}
	return ""
}
