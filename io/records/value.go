package records

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// text returns the value's own text.
func (c cell) text() string {
	if !c.is(scalar) {
		return ""
	}
	return strings.TrimRight(c.n.text, "\n")
}

func (c cell) date() pedigree.Date {
	if !c.is(scalar) {
		return 0
	}
	d, err := pedigree.ParseDate(c.n.text)
	if err != nil {
		c.problem("bad-date", "", "%s: %s", quote(c.name), oneLine(err.Error()))
	}
	return d
}

func (c cell) yesNo() bool {
	if !c.is(scalar) {
		return false
	}
	if c.n.quoted || c.n.text != "true" && c.n.text != "false" {
		c.wrongKind("true or false")
	}
	return c.n.text == "true"
}

// word returns one of the known words, "" for any other.
func (c cell) word(words []string) string {
	if !c.is(scalar) {
		return ""
	}
	for _, w := range words {
		if c.n.text == w {
			return w
		}
	}
	c.unknownWord(words)
	return ""
}

func (c cell) unknownWord(words []string) {
	hint := "the words are " + strings.Join(words, ", ")
	if len(words) == 1 {
		hint = "the only word here is " + quote(words[0])
	}
	if near := pedigree.Nearest(c.n.text, words); near != "" {
		hint = "did you mean " + quote(near) + "? " + "T" + hint[1:]
	}
	c.problem("unknown-word", hint, "%s cannot be %s", quote(c.name), quote(c.n.text))
}

// number reads a number that is 0 or more.
func (c cell) number() (float64, bool) {
	if !c.is(scalar) {
		return 0, false
	}
	v, ok := parseNumber(c.n.text)
	switch {
	case c.n.quoted && ok:
		c.problem("wrong-kind", "write it without quotes", "%s must be a number; in quotes it is text", quote(c.name))
	case c.n.quoted || !ok:
		c.wrongKind("a number")
	case v < 0:
		c.problem("negative-number", "", "%s cannot be less than 0", quote(c.name))
	case v > maxNumber:
		c.problem("number-too-large", "", "%s is too large to be true", quote(c.name))
	default:
		return v, true
	}
	return 0, false
}

const maxNumber = 1e9

// share reads a number between 0 and 1.
func (c cell) share(rule string) (float64, bool) {
	if c.percent() {
		return 0, false
	}
	v, ok := c.number()
	if ok && v > 1 {
		hint := ""
		if v >= 2 && v <= 100 {
			hint = "write a share of 1: " + strconv.FormatFloat(v/100, 'g', 6, 64) + " for " + formatNumber(v) + " %"
		}
		c.problem(rule, hint, "%s must be between 0 and 1", quote(c.name))
		return 0, false
	}
	return v, ok
}

// percent tells a share written as so many of a hundred.
func (c cell) percent() bool {
	text, ok := strings.CutSuffix(c.n.text, "%")
	v, isNumber := parseNumber(strings.TrimSpace(text))
	if c.n.kind != scalar || !ok || !isNumber {
		return false
	}
	c.problem("wrong-kind", "write "+strconv.FormatFloat(v/100, 'g', 6, 64), "%s must be a number, not %s", quote(c.name), quote(c.n.text))
	return true
}

// whole reads a whole number that is 0 or more.
func (c cell) whole() (int, bool) {
	if _, ok := parseNumber(c.n.text); c.n.kind == scalar && !ok {
		c.problem("wrong-kind", c.wholeHint(), "%s must be a whole number, not %s", quote(c.name), c.n.describe())
		return 0, false
	}
	v, ok := c.number()
	if ok && v != math.Trunc(v) {
		c.problem("not-whole", "", "%s must be a whole number", quote(c.name))
		return 0, false
	}
	return int(v), ok
}

// numberWords are the numbers that keepers write out, from 0.
var numberWords = []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// wholeHint says what to write for a number in words, or with words beside it.
func (c cell) wholeHint() string {
	if n := slices.Index(numberWords, strings.ToLower(c.n.text)); n >= 0 {
		return "write " + strconv.Itoa(n)
	}
	digits := strings.FieldsFunc(c.n.text, func(r rune) bool { return r < '0' || r > '9' })
	if len(digits) == 1 && !strings.ContainsAny(c.n.text, ".,-xX_") {
		return "write " + strings.TrimLeft(digits[0][:len(digits[0])-1], "0") + digits[0][len(digits[0])-1:] + " alone; that it is not certain goes into a `note`"
	}
	if len(digits) > 1 {
		return "write one number; that it is not certain goes into a `note`"
	}
	return "write it in digits, such as 12"
}

func (c cell) tally() pedigree.Tally {
	n, ok := c.whole()
	return pedigree.Tally{N: n, Stated: ok}
}

// parseNumber reads a decimal number as a keeper writes it: no hexadecimal, no
// underscores, no infinities.
func parseNumber(text string) (float64, bool) {
	if text == "" || strings.Trim(text, "0123456789.+-eE") != "" || !strings.ContainsAny(text, "0123456789") {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

func formatNumber(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// id reads the id of another record and notes that it is used here.
func (c cell) id(need need) string {
	id := c.text()
	switch {
	case id != "":
		c.refer(id, need, c.at())
	case c.n.kind == scalar:
		c.noValue()
	}
	return id
}

func (c cell) refer(id string, need need, at pedigree.Position) {
	c.r.refs = append(c.r.refs, reference{id: id, at: at, need: need, taints: c.r.taints})
}

// ids reads one id or a list of them.
func (c cell) ids(need need) []string {
	if c.n.kind == scalar {
		if id := c.id(need); id != "" {
			return []string{id}
		}
		return nil
	}
	var out []string
	c.eachItem(false, func(item cell) {
		if id := item.id(need); id != "" {
			out = append(out, id)
		}
	})
	if c.n.kind == sequence && len(c.n.items) == 0 {
		c.noValue()
	}
	return out
}

// texts reads a list of texts.
func (c cell) texts() []string {
	out := []string{}
	c.eachItem(false, func(item cell) { out = append(out, item.text()) })
	return out
}

// each reads a mapping whose keys the keeper chose.
func (c cell) each(do func(key cell)) {
	if !c.is(mapping) {
		return
	}
	c.eachKey(func(key cell) {
		if key.n.kind == missing {
			key.noValue()
			return
		}
		key.mark()
		do(key)
	})
}
