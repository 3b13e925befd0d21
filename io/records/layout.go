package records

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"
)

// maxDepth is how deep values may be nested: the parser calls itself for each
// level, and no book needs ten.
const maxDepth = 100

// layout is what can be told about a file's lines without parsing it: where
// block entries start, and whether that is certain.
type layout struct {
	// indent of the lines that start a block entry, -1 for all others: blank
	// lines, comments, and lines inside a value that began above.
	indent []int16
	// keyed says of a line that its entry begins with a key.
	keyed []bool
	// odd: something is written in a way this scanner does not follow to the
	// letter, so entries must not be cut apart by it.
	odd bool
}

// scanner walks over the lines of a file and keeps just enough state to know
// which of them start a block entry.
type scanner struct {
	src    *source
	out    layout
	number int    // of the line
	text   string // of the line

	quote     byte // the quote that is open, 0 for none
	flow      int  // open brackets
	fresh     bool // inside brackets: a value may start here
	closed    bool // inside brackets: others were closed, and no value may start
	block     bool // inside a | or > text
	key       int  // column of the innermost block entry, -1 for none
	plain     bool // its value is text that deeper lines go on with
	mayBeKey  bool // the quoted text that is open may be a key
	started   bool // something stood before
	dash      int  // column of a dash with nothing after it, -1 for none
	levels    []int
	toldDepth bool
}

// scanLayout reads the layout of a file and tells as flaws what must be kept
// from the parser: tabs as indentation, nesting too deep, several documents.
// The flaws are sorted by line then.
func scanLayout(src *source) layout {
	s := &scanner{src: src, key: -1, dash: -1}
	s.out.indent = make([]int16, src.lines())
	s.out.keyed = make([]bool, src.lines())
	for i := range s.out.indent {
		s.number, s.text = i+1, src.line(i+1)
		s.out.indent[i] = -1
		s.line()
	}
	if s.quote != 0 || s.flow > 0 {
		s.out.odd = true
	}
	slices.SortStableFunc(src.flaws, func(a, b flaw) int { return cmp.Compare(a.line, b.line) })
	return s.out
}

func (s *scanner) line() {
	if s.quote != 0 || s.flow > 0 {
		s.inside(0)
		return
	}
	rest := strings.TrimLeft(s.text, " ")
	indent := len(s.text) - len(rest)
	blank := strings.TrimRight(rest, " \t") == ""
	switch {
	case blank:
		return
	case s.block && indent > s.key:
		return
	case rest[0] == '#':
		s.block, s.plain = false, false
		return
	case s.plain && indent > s.key:
		if strings.Contains(rest, " #") {
			s.plain = false
		}
		return
	}
	s.block, s.plain = false, false
	if rest[0] == '\t' {
		s.src.flaw(span{s.number, indent + 1, 1}, "tab-indent", "this line is indented with a tab", "indent with spaces")
		return
	}
	if indent == 0 && s.document(rest) {
		return
	}
	if s.dash >= indent { // an empty item: the parser takes the next key for its value
		s.out.odd = true
	}
	s.started, s.dash = true, -1
	s.out.indent[s.number-1] = int16(min(indent, 1<<14))
	s.entry(indent)
}

// document deals with the lines that separate documents. One --- at the start
// of a file says nothing and is blanked.
func (s *scanner) document(rest string) bool {
	mark := strings.TrimRight(rest, " \t")
	switch {
	case mark == "---" && !s.started:
		s.started = true
		s.src.blank(s.number)
	case strings.HasPrefix(rest, "--- ") || mark == "---" || strings.HasPrefix(rest, "... ") || mark == "...":
		s.src.flaw(span{s.number, 1, 3}, "yaml-extras", "a second YAML document starts here", "one file is one document: put the records into files of their own, or take this line out")
		s.out.odd = true
	case rest[0] == '%':
		s.src.flaw(span{s.number, 1, 1}, "yaml-extras", "the book does not use directives (%NAME)", "take this line out")
		s.out.odd = true
	default:
		return false
	}
	return true
}

// entry reads the dashes and the key at the start of a line.
func (s *scanner) entry(at int) {
	for {
		s.level(at)
		s.key = at
		if strings.HasPrefix(s.text[at:], "-\t") {
			s.out.odd = true
		}
		if s.text[at] != '-' || at+1 < len(s.text) && s.text[at+1] != ' ' {
			break
		}
		dash := at
		at++
		for at < len(s.text) && s.text[at] == ' ' {
			at++
		}
		if at == len(s.text) || s.text[at] == '#' {
			s.dash = dash
			return
		}
	}
	s.value(at, true)
}

// level keeps the columns of the open block entries and tells when they are
// too many.
func (s *scanner) level(column int) {
	n := len(s.levels)
	for n > 0 && s.levels[n-1] >= column {
		n--
	}
	s.levels = append(s.levels[:n], column)
	s.depth(n+1+s.flow, column)
}

func (s *scanner) depth(n, column int) {
	if n > maxDepth && !s.toldDepth {
		s.toldDepth, s.out.odd = true, true
		s.src.flaw(span{s.number, utf8.RuneCountInString(s.text[:column]) + 1, 1}, "nesting", "values stand more than 100 levels deep here", "a bracket may be missing")
	}
}

// value reads a value from column at on; it may turn out to be a key.
func (s *scanner) value(at int, mayBeKey bool) {
	for at < len(s.text) && s.text[at] == ' ' {
		at++
	}
	if at == len(s.text) {
		return
	}
	switch c := s.text[at]; c {
	case '#':
	case '"', '\'':
		s.quote, s.mayBeKey = c, mayBeKey
		s.inside(at + 1)
	case '[', '{':
		s.flow, s.fresh = 1, true
		s.inside(at + 1)
	case '|', '>':
		s.block = true
		header, _, _ := strings.Cut(s.text[at+1:], " #")
		if strings.Trim(header, "+- \t0123456789") != "" {
			s.out.odd = true
		}
	case '&', '*', '!', '?', '%', '@', '`', ']', '}', ',', '\t':
		s.out.odd = true
	case '-':
		if !mayBeKey && (at+1 == len(s.text) || s.text[at+1] == ' ') {
			s.out.odd = true
		}
		s.word(at, mayBeKey)
	default:
		s.word(at, mayBeKey)
	}
}

// word reads plain text up to a colon or the end of the line.
func (s *scanner) word(at int, mayBeKey bool) {
	for i := at; i < len(s.text); i++ {
		switch c := s.text[i]; {
		case c == ':' && (i+1 == len(s.text) || s.text[i+1] == ' ' || s.text[i+1] == '\t'):
			if !mayBeKey || i == at {
				s.out.odd = true
				return
			}
			s.keyed()
			s.value(i+1, false)
			return
		case c == '#' && i > at && (s.text[i-1] == ' ' || s.text[i-1] == '\t'):
			return
		}
	}
	s.plain = true
}

// keyed notes that the line's entry has a key; one that began on a line above
// is too odd to go on.
func (s *scanner) keyed() {
	s.out.keyed[s.number-1] = true
	s.out.odd = s.out.odd || s.out.indent[s.number-1] < 0
}

// inside goes on within quotes or brackets from column at.
func (s *scanner) inside(at int) {
	for at < len(s.text) {
		if s.quote != 0 {
			end := closingQuote(s.text, at, s.quote)
			if end < 0 {
				return
			}
			s.quote = 0
			at = end + 1
			if s.flow == 0 {
				s.afterQuote(at)
				return
			}
			continue
		}
		if at = s.bracketed(at); s.flow == 0 {
			s.afterBrackets(at)
			return
		}
	}
}

// bracketed reads one character inside brackets and returns the next column.
func (s *scanner) bracketed(at int) int {
	c := s.text[at]
	if s.closed && !strings.ContainsRune(" \t,:]}#", rune(c)) {
		s.out.odd = true
	}
	s.closed = s.closed && (c == ' ' || c == '\t' || c == '#')
	switch c {
	case ' ', '\t':
	case '[', '{':
		if !s.fresh {
			s.out.odd = true
		}
		s.flow++
		s.depth(s.flow+len(s.levels), at)
		s.fresh = true
	case ']', '}':
		s.flow--
		s.fresh, s.closed = false, s.flow > 0
	case ',':
		s.fresh = true
	case ':':
		if at+1 == len(s.text) || s.text[at+1] == ' ' {
			s.fresh = true
		} else if s.text[at+1] == '"' || s.text[at+1] == '\'' || s.text[at+1] == '{' || s.text[at+1] == '[' {
			s.out.odd = true
		}
	case '#':
		if at == 0 || s.text[at-1] == ' ' || s.text[at-1] == '\t' {
			return len(s.text)
		}
		s.fresh = false
	case '"', '\'':
		if s.fresh {
			s.quote, s.fresh = c, false
		}
	case '&', '*', '!', '|', '>', '?', '@', '`', '%':
		if s.fresh {
			s.out.odd = true
		}
		s.fresh = false
	default:
		s.fresh = false
	}
	return at + 1
}

// afterQuote reads what follows a quoted text in block style.
func (s *scanner) afterQuote(at int) {
	rest := strings.TrimLeft(s.text[at:], " \t")
	switch {
	case rest == "":
	case rest[0] == '#':
	case rest[0] == ':' && s.mayBeKey:
		s.keyed()
		s.value(at+len(s.text[at:])-len(rest)+1, false)
	default:
		s.out.odd = true
	}
}

func (s *scanner) afterBrackets(at int) {
	if rest := strings.TrimLeft(s.text[at:], " \t"); rest != "" && rest[0] != '#' {
		s.out.odd = true
	}
}

// blank takes a line out of the text.
func (s *source) blank(n int) {
	b := []byte(s.text)
	for i := s.start[n-1]; i < len(b) && b[i] != '\n'; i++ {
		b[i] = ' '
	}
	s.text = string(b)
}
