package certificate

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Difference is a fact that two sheets do not agree on. Values are as JSON
// writes them, "" where one has none.
type Difference struct {
	Field string `json:"field"`
	Sheet string `json:"sheet"`
	Book  string `json:"book"`
}

// Compare lists where facts differ from those of a book, field by field, in the
// order of a sheet. The program that wrote them, and the key that the sheet is
// signed with, are no facts of the book.
func Compare(sheet, book *Facts) []Difference {
	a, b := *sheet, *book
	a.Program, b.Program, a.SigningKey, b.SigningKey = "", "", "", ""
	var list []Difference
	compare("", tree(&a), tree(&b), &list)
	return list
}

// node is JSON with its keys in order.
type node struct {
	keys   []string // of an object
	parts  []node   // of an object or a list
	value  string   // of anything else
	nested bool
}

func tree(f *Facts) node {
	decoder := json.NewDecoder(bytes.NewReader(f.Canonical()))
	decoder.UseNumber()
	return readNode(decoder)
}

func readNode(d *json.Decoder) node {
	token, err := d.Token()
	if err != nil {
		panic(err) // it was written a moment ago
	}
	delim, nested := token.(json.Delim)
	if !nested {
		text, _ := json.Marshal(token)
		return node{value: string(text)}
	}
	n := node{nested: true}
	for d.More() {
		if delim == '{' {
			key, _ := d.Token()
			n.keys = append(n.keys, fmt.Sprint(key))
		}
		n.parts = append(n.parts, readNode(d))
	}
	_, _ = d.Token()
	if delim == '[' {
		n.keys = names(n.parts)
	}
	return n
}

// names are what the members of a list go by: their id or locus, else their number.
func names(parts []node) []string {
	var out []string
	for i, part := range parts {
		name := strconv.Itoa(i + 1)
		for _, key := range []string{"id", "locus"} {
			if at := slices.Index(part.keys, key); at >= 0 {
				_ = json.Unmarshal([]byte(part.parts[at].value), &name)
			}
		}
		out = append(out, name)
	}
	return out
}

func (n node) part(key string) (node, bool) {
	if at := slices.Index(n.keys, key); at >= 0 {
		return n.parts[at], true
	}
	return node{}, false
}

func (n node) text() string {
	if n.nested {
		return fmt.Sprintf("(%d entries)", len(n.parts))
	}
	return n.value
}

// sameNumber is how far numbers may be apart that two kinds of processor work out
// from one book.
const sameNumber = 1e-12

func sameValue(a, b string) bool {
	if a == b {
		return true
	}
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	return errX == nil && errY == nil && math.Abs(x-y) <= sameNumber
}

func compare(path string, a, b node, list *[]Difference) {
	if !a.nested && !b.nested {
		if !sameValue(a.value, b.value) {
			*list = append(*list, Difference{path, a.value, b.value})
		}
		return
	}
	if a.nested != b.nested {
		*list = append(*list, Difference{path, a.text(), b.text()})
		return
	}
	before := len(*list)
	for i, key := range a.keys {
		if part, ok := b.part(key); ok {
			compare(under(path, key), a.parts[i], part, list)
		} else {
			*list = append(*list, Difference{under(path, key), a.parts[i].text(), ""})
		}
	}
	for i, key := range b.keys {
		if _, ok := a.part(key); !ok {
			*list = append(*list, Difference{under(path, key), "", b.parts[i].text()})
		}
	}
	if before == len(*list) && !slices.Equal(a.keys, b.keys) {
		*list = append(*list, Difference{path, "another order", "another order"})
	}
}

func under(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
