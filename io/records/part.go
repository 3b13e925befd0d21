package records

import "strings"

// part is a value as it is written: where its bytes stand in the text of a
// file, down to the last key. The parser does not say where values end, so they
// are walked over here, led by what it found; where the two do not agree there
// is no part, and the text is not edited.
type part struct {
	n        *node
	from, to int  // its bytes
	flow     bool // in brackets
	dash     int  // of an item of a block list: where its dash stands
	entries  []partEntry
	items    []part
}

// holdsComment reports whether a comment may stand within the bytes of a value of
// several parts.
func (p *part) holdsComment(text string) bool {
	text = text[p.from:p.to]
	return strings.Contains(text, " #") || strings.Contains(text, "\n#") || strings.Contains(text, "\t#")
}

// partEntry is one key as written, with its value.
type partEntry struct {
	key      string
	from, to int // the bytes of the key
	value    part
}

// partReader walks over text. Whatever it does not follow makes it fail.
type partReader struct {
	text   string
	failed bool
}

// walkPart walks over the block entries that stand in text from one byte to
// another; false where they are not those that the parser found.
func walkPart(text string, from, to int, entries []entry) (part, bool) {
	r := &partReader{text: text[:to]}
	i := r.content(from)
	p := part{n: &node{kind: mapping, entries: entries}, from: i, to: i}
	if i == to {
		return p, len(entries) == 0
	}
	end := r.mapping(&p, i)
	return p, !r.failed && r.content(end) == to
}

func (r *partReader) fail() int {
	r.failed = true
	return len(r.text)
}

// content returns where the next text begins that is no comment.
func (r *partReader) content(i int) int {
	for i < len(r.text) {
		switch c := r.text[i]; {
		case c == ' ' || c == '\n' || c == '\t':
			i++
		case c == '#' && (i == 0 || strings.IndexByte(" \t\n", r.text[i-1]) >= 0):
			i = lineEnd(r.text, i)
		default:
			return i
		}
	}
	return i
}

// lineEnd is where the line that holds a byte ends.
func lineEnd(text string, i int) int {
	if n := strings.IndexByte(text[i:], '\n'); n >= 0 {
		return i + n
	}
	return len(text)
}

// lineStart is where the line that holds a byte begins.
func lineStart(text string, i int) int { return strings.LastIndexByte(text[:i], '\n') + 1 }

func column(text string, i int) int { return i - lineStart(text, i) }

// dashed reports whether an item of a block list begins at a byte.
func (r *partReader) dashed(i int) bool {
	return r.text[i] == '-' && (i+1 == len(r.text) || r.text[i+1] == ' ' || r.text[i+1] == '\n')
}

// mapping walks over block entries from the first key on, and returns where the
// last value ends.
func (r *partReader) mapping(p *part, i int) int {
	indent := column(r.text, i)
	p.from = i
	for n := range p.n.entries {
		if i >= len(r.text) || column(r.text, i) != indent {
			return r.fail()
		}
		e := partEntry{key: p.n.entries[n].key, from: i}
		e.to = r.key(i, e.key)
		colon := r.spaces(e.to)
		if r.failed || colon >= len(r.text) || r.text[colon] != ':' {
			return r.fail()
		}
		e.value = r.value(colon+1, indent, &p.n.entries[n].value)
		if r.failed {
			return len(r.text)
		}
		p.entries = append(p.entries, e)
		p.to = e.value.to
		i = r.content(p.to)
	}
	if i < len(r.text) && column(r.text, i) >= indent {
		return r.fail()
	}
	return p.to
}

func (r *partReader) spaces(i int) int {
	for i < len(r.text) && (r.text[i] == ' ' || r.text[i] == '\t') {
		i++
	}
	return i
}

// key returns where the key at a byte ends.
func (r *partReader) key(i int, key string) int {
	if c := r.text[i]; c == '"' || c == '\'' {
		end := closingQuote(r.text, i+1, c)
		if end < 0 {
			return r.fail()
		}
		return end + 1
	}
	if !strings.HasPrefix(r.text[i:], key) || key == "" {
		return r.fail()
	}
	return i + len(key)
}

// value walks over what stands behind the colon of a key, or behind a dash, in
// that column.
func (r *partReader) value(i, indent int, n *node) part {
	at := r.spaces(i)
	if at < len(r.text) && r.text[at] != '\n' && !(r.text[at] == '#' && at > i) {
		return r.inline(at, indent, n)
	}
	at = r.content(at)
	nothing := part{n: n, from: i, to: i}
	if at == len(r.text) || column(r.text, at) < indent || column(r.text, at) == indent && !r.dashed(at) {
		if n.kind != missing {
			r.fail()
		}
		return nothing
	}
	switch {
	case r.dashed(at) && n.kind == sequence:
		return r.sequence(at, n)
	case n.kind == mapping && r.text[at] != '{':
		p := part{n: n}
		r.mapping(&p, at)
		return p
	}
	return r.inline(at, indent, n)
}

// inline walks over a value that begins at a byte: in brackets, quotes, plain,
// or as a text block.
func (r *partReader) inline(at, indent int, n *node) part {
	p := part{n: n, from: at}
	switch c := r.text[at]; {
	case c == '{' || c == '[':
		p = r.brackets(at, n)
	case c == '"' || c == '\'':
		p.to = r.quoted(at, n)
	case (c == '|' || c == '>') && n.kind == scalar:
		p.to = r.block(at, indent)
	case n.kind == scalar || n.kind == missing:
		p.to = r.plain(at, indent)
	default:
		p.to = r.fail()
	}
	return p
}

func (r *partReader) quoted(at int, n *node) int {
	end := closingQuote(r.text, at+1, r.text[at])
	if end < 0 || n.kind != scalar {
		return r.fail()
	}
	return end + 1
}

// plain returns where text without quotes ends: deeper lines go on with it.
func (r *partReader) plain(at, indent int) int {
	for {
		end := lineEnd(r.text, at)
		line := r.text[at:end]
		comment := strings.Index(line, " #")
		if comment >= 0 {
			line = line[:comment]
		}
		to := at + len(strings.TrimRight(line, " \t"))
		if comment >= 0 {
			return to
		}
		next := end
		for next < len(r.text) && strings.IndexByte(" \t\n", r.text[next]) >= 0 {
			next++
		}
		if next == len(r.text) || r.text[next] == '#' || column(r.text, next) <= indent {
			return to
		}
		at = next
	}
}

// block returns where a text block ends, which begins with | or >. Its first
// line, or a number behind the mark, says how far it is moved in; what stands less
// deep is not of it, be it a comment.
func (r *partReader) block(at, indent int) int {
	to := lineEnd(r.text, at)
	header, _, _ := strings.Cut(r.text[at:to], " ")
	all := strings.Contains(header, "+") // blank lines at its end count
	inner := 0                           // not known yet
	if n := strings.IndexAny(header, "123456789"); n >= 0 {
		inner = indent + int(header[n]-'0')
	}
	for i := to + 1; i < len(r.text); {
		end := lineEnd(r.text, i)
		line := r.text[i:end]
		text := strings.TrimLeft(line, " ")
		switch {
		case strings.Trim(text, " \t") == "":
			if all {
				to = end
			}
		case len(line)-len(text) <= indent || len(line)-len(text) < inner:
			return to
		default:
			if inner == 0 {
				inner = len(line) - len(text)
			}
			to = end
		}
		i = end + 1
	}
	return to
}

// sequence walks over a block list from its first dash on.
func (r *partReader) sequence(i int, n *node) part {
	indent := column(r.text, i)
	p := part{n: n, from: i}
	for k := range n.items {
		if i >= len(r.text) || column(r.text, i) != indent || !r.dashed(i) {
			r.fail()
			return p
		}
		item := r.item(i, indent, &n.items[k])
		if r.failed {
			return p
		}
		item.dash = i
		p.items = append(p.items, item)
		p.to = item.to
		i = r.content(p.to)
	}
	if i < len(r.text) && column(r.text, i) == indent && r.dashed(i) {
		r.fail()
	}
	return p
}

// item walks over what stands behind a dash.
func (r *partReader) item(dash, indent int, n *node) part {
	at := r.spaces(dash + 1)
	if n.kind == mapping && at < len(r.text) && strings.IndexByte("{\n#", r.text[at]) < 0 {
		p := part{n: n}
		r.mapping(&p, at)
		return p
	}
	return r.value(dash+1, indent, n)
}

// brackets walks over a mapping or list in brackets.
func (r *partReader) brackets(at int, n *node) part {
	p := part{n: n, from: at, flow: true}
	closing := byte('}')
	if r.text[at] == '[' {
		closing = ']'
	}
	if n.kind != mapping && n.kind != sequence || (closing == '}') != (n.kind == mapping) {
		p.to = r.fail()
		return p
	}
	i := r.content(at + 1)
	for i < len(r.text) && r.text[i] != closing && !r.failed {
		i = r.content(r.bracketed(&p, i))
		if i < len(r.text) && r.text[i] == ',' {
			i = r.content(i + 1)
		} else if i < len(r.text) && r.text[i] != closing {
			r.fail()
		}
	}
	if i >= len(r.text) || len(p.entries) != len(n.entries) || len(p.items) != len(n.items) {
		p.to = r.fail()
		return p
	}
	p.to = i + 1
	return p
}

// bracketed walks over the next entry or item in brackets.
func (r *partReader) bracketed(p *part, i int) int {
	if p.n.kind == sequence {
		if len(p.items) == len(p.n.items) {
			return r.fail()
		}
		item := r.inBrackets(i, &p.n.items[len(p.items)])
		p.items = append(p.items, item)
		return item.to
	}
	if len(p.entries) == len(p.n.entries) {
		return r.fail()
	}
	want := &p.n.entries[len(p.entries)]
	e := partEntry{key: want.key, from: i}
	e.to = r.key(i, e.key)
	colon := r.content(e.to)
	if r.failed || colon >= len(r.text) || r.text[colon] != ':' {
		return r.fail()
	}
	at := r.content(colon + 1)
	switch {
	case at >= len(r.text):
		return r.fail()
	case r.text[at] == ',' || r.text[at] == '}':
		if want.value.kind != missing {
			return r.fail()
		}
		e.value = part{n: &want.value, from: colon + 1, to: colon + 1}
	default:
		e.value = r.inBrackets(at, &want.value)
	}
	p.entries = append(p.entries, e)
	return e.value.to
}

func (r *partReader) inBrackets(at int, n *node) part {
	switch r.text[at] {
	case '{', '[':
		return r.brackets(at, n)
	case '"', '\'':
		return part{n: n, from: at, to: r.quoted(at, n)}
	}
	if n.kind != scalar && n.kind != missing {
		return part{n: n, from: at, to: r.fail()}
	}
	to := at
	for i := at; i < len(r.text); i++ {
		c := r.text[i]
		if c == ',' || c == ']' || c == '}' || c == '#' && strings.IndexByte(" \t\n", r.text[i-1]) >= 0 {
			break
		}
		if c == ':' && i+1 < len(r.text) && strings.IndexByte(" \n", r.text[i+1]) >= 0 {
			return part{n: n, from: at, to: r.fail()}
		}
		if strings.IndexByte(" \t\n", c) < 0 {
			to = i + 1
		}
	}
	return part{n: n, from: at, to: to}
}

// entry returns a key of a mapping, nil where it has none of that name.
func (p *part) entry(key string) *partEntry {
	for i := range p.entries {
		if p.entries[i].key == key {
			return &p.entries[i]
		}
	}
	return nil
}
