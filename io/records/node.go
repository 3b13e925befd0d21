package records

import (
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// span is a place inside one file: 1-based line and column in characters, and
// how many characters to mark.
type span struct{ line, col, width int }

type nodeKind uint8

const (
	missing  nodeKind = iota // nothing, ~ or null
	scalar                   // a word, number, date or quoted text
	mapping                  // keys with values
	sequence                 // a list
	broken                   // told as a problem already: stay silent
)

// node is a YAML value with its own text, as written: "0123" stays "0123".
type node struct {
	kind nodeKind
	span
	quoted  bool
	text    string
	entries []entry
	items   []node
}

// entry is one key of a mapping with its value.
type entry struct {
	key   string
	at    span
	value node
}

// get returns the value of a key, nil where there is none.
func (n *node) get(key string) *node {
	for i := range n.entries {
		if n.entries[i].key == key {
			return &n.entries[i].value
		}
	}
	return nil
}

// canon writes the value in one form whatever its layout, so that two places
// can be compared: 0.9 and 0.90 are equal, "0.9" in quotes is text.
func (n *node) canon() string {
	var b strings.Builder
	n.writeCanon(&b)
	return b.String()
}

func (n *node) writeCanon(b *strings.Builder) {
	switch n.kind {
	case missing, broken:
		b.WriteByte('~')
	case scalar:
		if v, ok := parseNumber(n.text); ok && !n.quoted {
			b.WriteString(formatNumber(v))
			return
		}
		b.WriteString(n.text)
	case mapping:
		b.WriteByte('{')
		for i := range n.entries {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(n.entries[i].key + ": ")
			n.entries[i].value.writeCanon(b)
		}
		b.WriteByte('}')
	case sequence:
		b.WriteByte('[')
		for i := range n.items {
			if i > 0 {
				b.WriteString(", ")
			}
			n.items[i].writeCanon(b)
		}
		b.WriteByte(']')
	}
}

// converter turns the parser's tree of one piece of a file into nodes, which
// are 20 times smaller, and notes what the book does not allow.
type converter struct {
	file   *source
	offset int // lines of the file before the piece
	issues []issue

	// A walking cursor over one line, for the widths of quoted values: the
	// nodes come in order, so a long line is walked once.
	line, col, at int
}

// issue is a problem found in the text itself, before it is known which record
// it stands in.
type issue struct {
	span
	rule, message, hint string
}

func (c *converter) issue(at span, rule, message, hint string) {
	c.issues = append(c.issues, issue{at, rule, message, hint})
}

func (c *converter) node(n ast.Node) node {
	switch v := n.(type) {
	case nil:
		return node{kind: missing}
	case *ast.NullNode:
		return node{kind: missing, span: c.span(v.Token)}
	case *ast.MappingNode:
		return c.mapping(v)
	case *ast.MappingValueNode:
		return c.entriesOf([]*ast.MappingValueNode{v})
	case *ast.SequenceNode:
		return c.sequence(v)
	case *ast.LiteralNode:
		out := node{kind: scalar, quoted: true, span: c.span(v.Start)}
		if v.Value != nil {
			out.text = v.Value.Value
		}
		c.checkText(out)
		return out
	case *ast.AnchorNode:
		return c.refuse(v.Start, "anchors (&name)")
	case *ast.AliasNode:
		return c.refuse(v.Start, "aliases (*name)")
	case *ast.TagNode:
		return c.refuse(v.Start, "tags (!name)")
	case *ast.DirectiveNode:
		return c.refuse(v.Start, "directives (%NAME)")
	case ast.ScalarNode:
		return c.scalar(n.GetToken())
	}
	return c.refuse(n.GetToken(), "this form of YAML")
}

func (c *converter) refuse(t *token.Token, what string) node {
	at := c.span(t)
	c.issue(at, "yaml-extras", "the book does not use "+what, "write the value itself")
	return node{kind: broken, span: at}
}

func (c *converter) scalar(t *token.Token) node {
	if t == nil {
		return node{kind: missing}
	}
	out := node{kind: scalar, span: c.span(t), text: t.Value}
	out.quoted = t.Type == token.DoubleQuoteType || t.Type == token.SingleQuoteType
	c.checkText(out)
	return out
}

// checkText refuses what an escape such as "\0" can smuggle into a text, and
// plain text that swallowed a key because a comma or a line break is missing.
func (c *converter) checkText(n node) {
	for _, r := range n.text {
		if r != '\n' && r != '\t' && isControl(r) {
			c.issue(n.span, "control-character", "this text holds the control character "+runeName(r), "take it out")
			return
		}
	}
	if !n.quoted && strings.Contains(n.text, ": ") {
		c.issue(n.span, "yaml", "a second `: ` stands inside this value",
			"a comma may be missing before it; text that holds a colon and a space needs quotes")
	}
}

func (c *converter) mapping(m *ast.MappingNode) node {
	if !m.IsFlowStyle || m.Start == nil {
		return c.entriesOf(m.Values)
	}
	at := c.span(m.Start) // before what stands inside: see converter.at
	out := c.entriesOf(m.Values)
	out.span = at
	c.close(&out, m.End)
	return out
}

// close widens the mark of a flow value to its closing bracket, if that stands
// on the same line.
func (c *converter) close(n *node, end *token.Token) {
	if end != nil && end.Position != nil && end.Position.Line+c.offset == n.line && end.Position.Column > n.col {
		n.width = end.Position.Column - n.col + 1
	}
}

func (c *converter) entriesOf(values []*ast.MappingValueNode) node {
	out := node{kind: mapping, entries: make([]entry, 0, len(values))}
	for _, v := range values {
		e, ok := c.entry(v)
		if !ok {
			continue
		}
		if out.line == 0 {
			out.span = e.at
		}
		out.entries = append(out.entries, e)
	}
	if out.line == 0 && len(values) > 0 {
		out.span = c.span(values[0].GetToken())
	}
	return out
}

func (c *converter) entry(v *ast.MappingValueNode) (entry, bool) {
	var e entry
	switch k := v.Key.(type) {
	case nil:
		return e, false
	case *ast.MergeKeyNode:
		c.refuse(k.Token, "merge keys (<<)")
		return e, false
	case *ast.MappingKeyNode:
		c.refuse(k.Start, "keys written with ?")
		return e, false
	case ast.ScalarNode:
		t := v.Key.GetToken()
		key := c.scalar(t)
		e.key, e.at = key.text, key.span
		if t.Type == token.ImplicitNullType {
			e.key = ""
		}
	default:
		key := c.node(v.Key)
		if key.kind != broken {
			c.issue(key.span, "yaml-extras", "a key must be a plain word", "")
		}
		return e, false
	}
	e.value = c.node(v.Value)
	if e.value.line == 0 {
		e.value.span = e.at
	}
	return e, true
}

func (c *converter) sequence(s *ast.SequenceNode) node {
	out := node{kind: sequence, span: c.span(s.Start), items: make([]node, 0, len(s.Values))}
	for _, v := range s.Values {
		item := c.node(v)
		if item.line == 0 {
			item.span = out.span
		}
		out.items = append(out.items, item)
	}
	if s.IsFlowStyle {
		c.close(&out, s.End)
	}
	return out
}

// span returns where a token stands in the file, and its width there.
func (c *converter) span(t *token.Token) span {
	if t == nil || t.Position == nil {
		return span{line: c.offset + 1, col: 1, width: 1}
	}
	at := span{line: t.Position.Line + c.offset, col: max(t.Position.Column, 1), width: 1}
	rest := c.rest(at.line, at.col)
	switch {
	case rest == "": // past the line, as the parser places what is not there
		at.col = max(min(at.col, c.col-1), 1)
	case t.Type == token.ImplicitNullType:
	case t.Type == token.DoubleQuoteType || t.Type == token.SingleQuoteType:
		at.width = quotedWidth(rest)
	case strings.HasPrefix(rest, t.Value):
		at.width = utf8.RuneCountInString(t.Value)
	default: // text over several lines
		at.width = utf8.RuneCountInString(strings.TrimRight(rest, " \t"))
	}
	at.width = max(at.width, 1)
	return at
}

// rest returns the text of a line from a column on.
func (c *converter) rest(line, col int) string {
	text := c.file.line(line)
	if line != c.line || col < c.col {
		c.line, c.col, c.at = line, 1, 0
	}
	for c.col < col && c.at < len(text) {
		_, size := utf8.DecodeRuneInString(text[c.at:])
		c.at += size
		c.col++
	}
	return text[c.at:]
}

// quotedWidth returns the characters of the quoted text at the start of a
// line's rest, or of all of it where the text goes on below.
func quotedWidth(rest string) int {
	if rest == "" {
		return 1
	}
	if end := closingQuote(rest, 1, rest[0]); end >= 0 {
		return utf8.RuneCountInString(rest[:end+1])
	}
	return utf8.RuneCountInString(rest)
}

// closingQuote returns where the quote closes in text from index i, or -1.
func closingQuote(text string, i int, quote byte) int {
	for ; i < len(text); i++ {
		switch {
		case text[i] == '\\' && quote == '"':
			i++
		case text[i] != quote:
		case quote == '\'' && i+1 < len(text) && text[i+1] == '\'':
			i++
		default:
			return i
		}
	}
	return -1
}
