package records

import (
	"regexp"
	"strconv"
	"strings"
)

// Value is what is to be written under a key: a word, keys with values, or a
// list.
type Value struct {
	kind   nodeKind
	text   string
	quoted bool // though it need not be
	keys   []Pair
	list   []Value
}

// Pair is a key with its value.
type Pair struct {
	Key   string
	Value Value
}

// Scalar is a text, an id, a date or a word; it is quoted where YAML asks for it.
func Scalar(text string) Value { return Value{kind: scalar, text: text} }

// Int is a whole number.
func Int(n int) Value { return Scalar(strconv.Itoa(n)) }

// Map is keys with values, in that order.
func Map(pairs ...Pair) Value { return Value{kind: mapping, keys: pairs} }

// Seq is a list.
func Seq(items ...Value) Value { return Value{kind: sequence, list: items} }

// node is the value as the parser would give it.
func (v Value) node() node {
	out := node{kind: v.kind, text: v.text}
	out.quoted = v.kind == scalar && (v.quoted || needsQuotes(v.text))
	for _, p := range v.keys {
		out.entries = append(out.entries, entry{key: p.Key, value: p.Value.node()})
	}
	for _, item := range v.list {
		out.items = append(out.items, item.node())
	}
	return out
}

// valueOf turns what was read into a value to write.
func valueOf(n *node) Value {
	v := Value{kind: n.kind, text: n.text, quoted: n.quoted}
	for i := range n.entries {
		v.keys = append(v.keys, Pair{n.entries[i].key, valueOf(&n.entries[i].value)})
	}
	for i := range n.items {
		v.list = append(v.list, valueOf(&n.items[i]))
	}
	return v
}

// unquotedText is text that every YAML parser takes as it stands, also in brackets.
var unquotedText = regexp.MustCompile(`^[\pL\pN][\pL\pN\pM_./+'()%;=-]*(?: [\pL\pN_./+'()%;=-]+)*$`)

// needsQuotes reports whether a text cannot stand without quotes.
func needsQuotes(text string) bool {
	switch strings.ToLower(text) {
	case "null", "yes", "no", "on", "off":
		return true
	}
	return !unquotedText.MatchString(text)
}

// flowText writes the value on one line; pad puts spaces inside curly brackets.
func (v Value) flowText(pad bool) string {
	switch v.kind {
	case mapping:
		parts := make([]string, len(v.keys))
		for i, p := range v.keys {
			parts[i] = p.flowText(pad)
		}
		if pad && len(parts) > 0 {
			return "{ " + strings.Join(parts, ", ") + " }"
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case sequence:
		parts := make([]string, len(v.list))
		for i, item := range v.list {
			parts[i] = item.flowText(pad)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case missing:
		return "~"
	}
	if v.quoted {
		return strconv.Quote(v.text)
	}
	return scalarText(v.text)
}

func (p Pair) flowText(pad bool) string { return scalarText(p.Key) + ": " + p.Value.flowText(pad) }

func scalarText(text string) string {
	if needsQuotes(text) {
		return strconv.Quote(text)
	}
	return text
}

// blockText writes a text outside of brackets, where commas mean nothing.
func blockText(text string) string {
	if needsQuotes(strings.ReplaceAll(text, ", ", " ")) {
		return strconv.Quote(text)
	}
	return text
}

// blockLines writes keys one below the other, lists of groups with dashes; the
// rest stands in brackets. The lines are not moved in yet.
func blockLines(pairs []Pair, s style) []string {
	var lines []string
	for _, p := range pairs {
		if p.Value.kind == scalar {
			lines = append(lines, scalarText(p.Key)+": "+blockText(p.Value.text))
			continue
		}
		if p.Value.kind != sequence || len(p.Value.list) == 0 || p.Value.list[0].kind != mapping || s.listInFlow {
			lines = append(lines, p.flowText(s.pad))
			continue
		}
		lines = append(lines, scalarText(p.Key)+":")
		for _, item := range p.Value.list {
			lines = append(lines, strings.Repeat(" ", s.dash)+"- "+item.flowText(s.pad))
		}
	}
	return lines
}

// style is how a file writes what is new in it.
type style struct {
	inner      int  // columns by which the keys of a record are moved in
	dash       int  // columns by which the dashes of a list are
	pad        bool // spaces inside curly brackets
	listInFlow bool
}

var plainStyle = style{inner: 2, dash: 2}

// styleOf reads the style of a record.
func styleOf(text string, key int, p *part) style {
	s := plainStyle
	if p.flow {
		s.pad = strings.HasPrefix(text[p.from:p.to], "{ ")
		return s
	}
	if p.n.kind != mapping || len(p.entries) == 0 {
		return s
	}
	s.inner = max(column(text, p.from)-column(text, key), 1)
	for i := range p.entries {
		v := &p.entries[i].value
		switch {
		case v.n.kind == sequence && !v.flow && len(v.items) > 0:
			s.dash = column(text, v.from) - column(text, p.from)
			s.pad = s.pad || strings.HasPrefix(text[v.items[0].from:], "{ ")
		case v.n.kind == sequence && v.flow && len(v.n.items) > 0 && v.n.items[0].kind == mapping:
			s.listInFlow = true
		case v.flow && v.n.kind == mapping:
			s.pad = s.pad || strings.HasPrefix(text[v.from:], "{ ")
		}
	}
	return s
}

// Empty reports whether the value is a text without letters, or holds nothing.
func (v Value) Empty() bool { return v.text == "" && len(v.keys) == 0 && len(v.list) == 0 }
