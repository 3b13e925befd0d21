package records

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// parsed is what one piece of a file gave.
type parsed struct {
	section *section
	entries []entry
	issues  []issue
}

// failure is a part of a file that could not be read.
type failure struct {
	issue
	record string // its id, "" where it is no record
	lines  piece
}

// fileParse parses the pieces of one file.
type fileParse struct {
	src *source
}

// parsePiece parses one piece, and where that fails the entries of the piece
// one by one. Cost: faster than linear in the piece, so pieces are small.
func (f *fileParse) parsePiece(p piece) (out []parsed, failures []failure) {
	flawed := f.flawsIn(p)
	if len(flawed) == 0 {
		part, bad := f.parseText(p)
		if bad == nil {
			return []parsed{part}, nil
		}
		flawed = []issue{*bad}
	}
	for _, smaller := range f.smaller(p) {
		parts, failed := f.parsePiece(smaller)
		out = append(out, parts...)
		failures = append(failures, failed...)
	}
	if len(failures) > 0 {
		return out, failures
	}
	id := ""
	if p.section != nil && out == nil {
		id = recordID(f.src, p)
	}
	for _, at := range flawed {
		failures = append(failures, failure{at, id, p})
	}
	return out, failures
}

// smaller cuts a piece further, by indentation alone.
func (f *fileParse) smaller(p piece) []piece {
	if cut := looseEntries(f.src, p); cut != nil {
		return cut
	}
	if p.section != nil {
		return nil
	}
	return looseSection(f.src, p)
}

func (f *fileParse) flawsIn(p piece) []issue {
	flaws := f.src.flaws
	first, _ := slices.BinarySearchFunc(flaws, p.from, func(f flaw, line int) int { return cmp.Compare(f.line, line) })
	var out []issue
	for _, flaw := range flaws[first:] {
		if flaw.line >= p.to {
			break
		}
		out = append(out, flaw.issue)
	}
	return out
}

// parseText hands a piece to the YAML parser. It never panics.
func (f *fileParse) parseText(p piece) (out parsed, bad *issue) {
	at := span{line: p.from, col: 1, width: 1}
	text := f.src.part(p.from, p.to)
	if p.to-p.from > maxPieceLines || len(text) > maxPieceBytes {
		return out, &issue{at, "file-size", "this part is too large to be read at once", "write one record below the other, or split the file: one file per line"}
	}
	if openBrackets(text) > maxOpen {
		return out, &issue{at, "nesting", "too many brackets are opened and not closed here", "a closing bracket may be missing"}
	}
	defer func() {
		if r := recover(); r != nil {
			bad = &issue{at, "yaml", "this is not valid YAML", "look for a missing quote, bracket or colon"}
		}
	}()
	if entries, ok := readPlain(f.src, p.from, p.to); ok {
		return parsed{section: p.section, entries: entries}, nil
	}
	file, err := parser.ParseBytes([]byte(text), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return out, f.syntaxIssue(err, p)
	}
	return f.convert(file, p)
}

func (f *fileParse) convert(file *ast.File, p piece) (out parsed, bad *issue) {
	c := &converter{file: f.src, offset: p.from - 1}
	out.section = p.section
	for _, doc := range file.Docs {
		root := c.node(doc.Body)
		switch root.kind {
		case mapping:
			out.entries = append(out.entries, root.entries...)
		case missing, broken:
			if root.kind == missing && root.line > 0 {
				return out, &issue{root.span, "yaml", "a key with a colon is needed here", "write `key: value`"}
			}
		default:
			return out, &issue{root.span, "yaml", "a key with a colon is needed here", "write `key: value`, with a space after the colon"}
		}
	}
	out.issues = c.issues
	return out, nil
}

// openBrackets is the greatest surplus of opening brackets, quoted or not.
func openBrackets(text string) int {
	open, most := 0, 0
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '[', '{':
			open++
			most = max(most, open)
		case ']', '}':
			open = max(open-1, 0)
		}
	}
	return most
}

// syntaxIssue puts the parser's error in a keeper's words, with its place.
func (f *fileParse) syntaxIssue(err error, p piece) *issue {
	out := &issue{span{p.from, 1, 1}, "yaml", "this is not valid YAML", ""}
	var syntax *yaml.SyntaxError
	if !errors.As(err, &syntax) {
		return out
	}
	if t := syntax.Token; t != nil && t.Position != nil {
		out.line = min(max(t.Position.Line+p.from-1, p.from), max(p.to-1, p.from))
		out.col = max(t.Position.Column, 1)
		out.clamp(f.src)
	}
	if comment := f.cutOff(p); comment != nil {
		return comment
	}
	for _, known := range syntaxMessages {
		if strings.Contains(syntax.Message, known.parser) {
			out.message, out.hint = known.message, known.hint
			return out
		}
	}
	out.message = fmt.Sprintf("this is not valid YAML: %s", syntax.Message)
	return out
}

// cutOff finds text in brackets that ` #` makes a comment of, with the bracket
// that closes behind it on the same line; nil where there is none.
func (f *fileParse) cutOff(p piece) *issue {
	b := brackets{}
	for n := p.from; n < p.to; n++ {
		text := f.src.line(n)
		at := b.comment(text)
		if at < 0 || !strings.ContainsAny(text[at:], "]}") {
			continue
		}
		begin := strings.LastIndexAny(text[:at], ":,[{") + 1
		end := at + strings.IndexAny(text[at:]+"}", ",]}")
		return &issue{span{n, utf8.RuneCountInString(text[:at]) + 1, utf8.RuneCountInString(text[at:])}, "yaml",
			"` #` begins a comment, so the bracket that closes after it is not read",
			"put the text in quotes: \"" + strings.Trim(text[begin:end], " \t\"") + "\""}
	}
	return nil
}

// brackets follows brackets and quotes from line to line.
type brackets struct {
	open  int
	quote byte // the quote that is open, 0 for none
}

// comment reads a line and returns where a comment begins in it while a bracket
// is open, -1 where none does.
func (b *brackets) comment(text string) int {
	fresh := true // a value may begin here
	for i := 0; i < len(text); i++ {
		if b.quote != 0 {
			end := closingQuote(text, i, b.quote)
			if end < 0 {
				return -1
			}
			b.quote, i, fresh = 0, end, false
			continue
		}
		switch c := text[i]; {
		case c == '#' && i > 0 && (text[i-1] == ' ' || text[i-1] == '\t'):
			if b.open == 0 {
				return -1
			}
			return i
		case (c == '[' || c == '{') && fresh:
			b.open++
		case c == ']' || c == '}':
			b.open, fresh = max(b.open-1, 0), false
		case (c == '"' || c == '\'') && fresh:
			b.quote = c
		case c == ',' && b.open > 0 || c == ':' && strings.HasPrefix(text[i+1:], " ") || c == '-' && fresh:
			fresh = true
		case c != ' ' && c != '\t':
			fresh = false
		}
	}
	return -1
}

// clamp keeps a mark inside its line.
func (s *span) clamp(src *source) {
	length := len([]rune(src.line(s.line)))
	s.col = max(min(s.col, length), 1)
	s.width = max(min(s.width, length-s.col+1), 1)
}

var syntaxMessages = []struct{ parser, message, hint string }{
	{"',' or ']' must be", "a list in square brackets is not closed before this", "add the missing `]`, or a comma"},
	{"',' or '}' must be", "curly brackets are not closed before this", "add the missing `}`, or a comma"},
	{"']' not found", "this list is not closed", "add the missing `]`"},
	{"end token '}'", "these curly brackets are not closed", "add the missing `}`"},
	{"could not find '['", "a `]` stands here without its `[`", "take it out, or put the text in quotes"},
	{"could not find '{'", "a `}` stands here without its `{`", "take it out, or put the text in quotes"},
	{"double-quoted text", "this quoted text is not closed", "add the missing `\"`"},
	{"single-quoted text", "this quoted text is not closed", "add the missing `'`; an apostrophe inside such quotes is written twice"},
	{"pre-defined", "this key already has a value, and something more follows it", "text that goes on after a quote or bracket needs quotes around all of it"},
	{"mapping value is not allowed", "a second colon stands in this value, or the lines below are indented too far", "text that holds a colon and a space needs quotes; keys of one record begin in the same column"},
	{"value is not allowed in this context", "this does not fit here", "keys of one record begin in the same column; look also at the line above"},
	{"sequence entries are not allowed", "a list cannot begin here", "begin the list on the next line, or write it in square brackets"},
	{"unexpected key name", "a key with a colon is needed here", "write `key: value`, with a space after the colon"},
	{"non-map value", "a key with a colon is needed here", "write `key: value`, with a space after the colon"},
	{"reserved character", "text cannot begin with this character", "put the text in quotes"},
	{"cannot start any token", "this character cannot stand here", "indent with spaces, not tabs"},
	{"unknown escape", "there is no such escape after a backslash", "write the backslash twice, or use single quotes"},
	{"flow map content", "a key is missing between these commas", "take the extra comma out"},
	{"sequence element, but found ','", "a value is missing between these commas", "take the extra comma out"},
	{"invalid key", "this cannot be a key", "a key is a plain word"},
}
