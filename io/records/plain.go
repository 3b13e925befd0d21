package records

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Most records are written plainly: block or flow mappings, lists, words,
// numbers and quoted text on one line. A plain reader takes those to nodes
// without the YAML parser, which is many times slower. Whatever it is not sure
// of it leaves to the parser: it gives what the parser gives, or nothing. Tests
// hold it to that.
type plain struct {
	src    *source
	line   int // that is read
	end    int // the line after the last
	text   string
	at     int  // where the content of the line begins; its indentation
	ascii  bool // one byte is one column
	more   bool // there is a line to read
	failed bool
	depth  int
}

// maxPlain is how deep the plain reader goes.
const maxPlain = 20

// readPlain reads the entries of a piece; false where the parser must.
func readPlain(src *source, from, to int) ([]entry, bool) {
	p := &plain{src: src, line: from - 1, end: to}
	p.next()
	if !p.more {
		return nil, false
	}
	root := p.mapping()
	if p.failed || p.more {
		return nil, false
	}
	return root.entries, true
}

func (p *plain) fail() node {
	p.failed, p.more = true, false
	return node{}
}

// next goes to the next line that is not blank or a comment.
func (p *plain) next() {
	for p.line++; p.line < p.end; p.line++ {
		p.text = p.src.line(p.line)
		p.at = 0
		for p.at < len(p.text) && p.text[p.at] == ' ' {
			p.at++
		}
		if p.at < len(p.text) && p.text[p.at] != '#' {
			p.ascii = isASCII(p.text)
			p.more = true
			return
		}
	}
	p.more = false
}

func isASCII(text string) bool {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// span is the place of a part of the line.
func (p *plain) span(from, to int) span {
	if p.ascii {
		return span{p.line, from + 1, to - from}
	}
	return span{p.line, utf8.RuneCountInString(p.text[:from]) + 1, utf8.RuneCountInString(p.text[from:to])}
}

// mapping reads entries that begin where the line's content does.
func (p *plain) mapping() node {
	if p.depth++; p.depth > maxPlain {
		return p.fail()
	}
	indent := p.at
	out := node{kind: mapping, entries: make([]entry, 0, 4)}
	for p.more && p.at == indent {
		end := p.key(p.at)
		if end < 0 {
			return p.fail()
		}
		e := entry{key: p.text[p.at:end], at: p.span(p.at, end)}
		e.value = p.below(indent, end+1)
		if out.line == 0 {
			out.span = e.at
		}
		out.entries = append(out.entries, e)
	}
	if p.more && p.at > indent {
		return p.fail()
	}
	p.depth--
	return out
}

// key returns where the key that begins at i ends, -1 where none does that is a
// plain word with a colon.
func (p *plain) key(i int) int {
	if !isWordStart(p.text[i]) {
		return -1
	}
	for i++; i < len(p.text) && (isWordStart(p.text[i]) || strings.IndexByte("-_.", p.text[i]) >= 0); i++ {
	}
	if i < len(p.text) && p.text[i] == ':' && (i+1 == len(p.text) || p.text[i+1] == ' ') {
		return i
	}
	return -1
}

func isWordStart(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9'
}

// below reads the value after a key's colon: on its line, or indented below it.
func (p *plain) below(indent, i int) node {
	i = p.skip(i)
	if i < len(p.text) {
		return p.rest(i)
	}
	p.next()
	switch {
	case !p.more || p.at <= indent:
		return p.fail()
	case p.text[p.at] == '-':
		return p.sequence()
	}
	return p.mapping()
}

// skip passes over spaces, and over a comment after them.
func (p *plain) skip(i int) int {
	from := i
	for i < len(p.text) && p.text[i] == ' ' {
		i++
	}
	if i > from && i < len(p.text) && p.text[i] == '#' {
		return len(p.text)
	}
	return i
}

// rest reads the value that fills the rest of the line.
func (p *plain) rest(i int) node {
	value, i := p.value(i, false)
	if p.failed || p.skip(i) < len(p.text) {
		return p.fail()
	}
	p.next()
	return value
}

// sequence reads items that begin with a dash.
func (p *plain) sequence() node {
	indent := p.at
	out := node{kind: sequence, span: p.span(p.at, p.at+1)}
	for p.more && p.at == indent && p.text[p.at] == '-' {
		i := p.skip(p.at + 1)
		if i == p.at+1 || i == len(p.text) {
			return p.fail()
		}
		if p.key(i) < 0 {
			out.items = append(out.items, p.rest(i))
			continue
		}
		p.at = i // a mapping that begins on the dash's line
		out.items = append(out.items, p.mapping())
	}
	if p.more && p.at >= indent {
		return p.fail()
	}
	return out
}

// value reads a value on the line from i on, and returns where it ends.
func (p *plain) value(i int, inFlow bool) (node, int) {
	switch c := p.text[i]; {
	case c == '{' || c == '[':
		return p.flow(i)
	case c == '"' || c == '\'':
		return p.quoted(i)
	case isWordStart(c):
		return p.word(i, inFlow)
	}
	return p.fail(), i
}

// word reads plain text.
func (p *plain) word(i int, inFlow bool) (node, int) {
	end := i
	for end < len(p.text) {
		c := p.text[end]
		if inFlow && (c == ',' || c == ']' || c == '}') || c == '#' && p.text[end-1] == ' ' {
			break
		}
		size := p.letter(end, " -_.,/+'()%;=")
		if size == 0 {
			return p.fail(), i
		}
		end += size
	}
	if p.text[len(p.text)-1] == ' ' {
		return p.fail(), i // the parser's columns are its own then
	}
	text := strings.TrimRight(p.text[i:end], " ")
	end = i + len(text)
	switch text {
	case "null", "Null", "NULL":
		return p.fail(), i
	}
	return node{kind: scalar, span: p.span(i, end), text: text}, end
}

// letter returns the size of the letter at i, 0 where it is neither a letter, a
// digit nor one of the others.
func (p *plain) letter(i int, others string) int {
	c := p.text[i]
	if isWordStart(c) || strings.IndexByte(others, c) >= 0 {
		return 1
	}
	if c < utf8.RuneSelf {
		return 0
	}
	if r, size := utf8.DecodeRuneInString(p.text[i:]); unicode.IsLetter(r) {
		return size
	}
	return 0
}

// quoted reads quoted text that holds no escapes.
func (p *plain) quoted(i int) (node, int) {
	quote := p.text[i]
	end := i + 1
	for end < len(p.text) && p.text[end] != quote {
		size := p.letter(end, " !#$%&'\"()*+,-./:;<=>?@[]^_`{|}~")
		if size == 0 {
			return p.fail(), i
		}
		end += size
	}
	if end == len(p.text) || quote == '\'' && end+1 < len(p.text) && p.text[end+1] == '\'' {
		return p.fail(), i
	}
	end++
	return node{kind: scalar, span: p.span(i, end), quoted: true, text: p.text[i+1 : end-1]}, end
}

// flow reads a mapping or list in brackets that close on the same line.
func (p *plain) flow(from int) (node, int) {
	if p.depth++; p.depth > maxPlain {
		return p.fail(), from
	}
	out, closing := node{kind: mapping}, byte('}')
	if p.text[from] == '[' {
		out, closing = node{kind: sequence}, ']'
	}
	i := p.spaces(from + 1)
	for first := true; i < len(p.text) && (p.text[i] != closing || !first); first = false {
		if i = p.item(&out, i); p.failed || i >= len(p.text) {
			break
		}
		if p.text[i] == closing {
			break
		}
		if p.text[i] != ',' {
			return p.fail(), from
		}
		i = p.spaces(i + 1)
	}
	if p.failed || i >= len(p.text) {
		return p.fail(), from
	}
	p.depth--
	out.span = p.span(from, i+1)
	return out, i + 1
}

// item reads one entry or item inside brackets, and the spaces after it.
func (p *plain) item(out *node, i int) int {
	if out.kind == sequence {
		value, end := p.value(i, true)
		out.items = append(out.items, value)
		return p.spaces(end)
	}
	end := p.key(i)
	if end < 0 {
		p.fail()
		return i
	}
	e := entry{key: p.text[i:end], at: p.span(i, end)}
	if i = p.spaces(end + 1); i >= len(p.text) {
		p.fail()
		return i
	}
	e.value, i = p.value(i, true)
	if out.entries == nil {
		out.entries = make([]entry, 0, 4)
	}
	out.entries = append(out.entries, e)
	return p.spaces(i)
}

func (p *plain) spaces(i int) int {
	for i < len(p.text) && p.text[i] == ' ' {
		i++
	}
	return i
}
