package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"roebook/pedigree"
)

// hostileBook has texts that are not meant well, or in scripts that few fonts have.
func hostileBook() *pedigree.Book {
	names := []string{`</text><script>alert(1)</script>`, `" onload="alert(1)`, "control\x00\x07\x1b[31m\u202eturned\u2066", strings.Repeat("long ", 1000),
		"عبد الرحمن", "שירה כהן", "長良川の魚", "Żółta Łąka", "e\u0301\u0323\u0301", "\xff\xfe broken", "🐟🐠", "]]><!--"}
	book := &pedigree.Book{Name: names[0], Lines: []*pedigree.Line{{Name: `<img src=x onerror="a()">`, Species: names[0], CommonName: names[3], Locality: names[4]}}}
	line := book.Lines[0].Name
	for i, name := range names {
		id := name
		if i%3 == 0 {
			id = strings.Repeat("L", i*40) + name
		}
		book.Stock = append(book.Stock, &pedigree.Stock{ID: id, Line: line, Name: name, Sex: sexes[i%2], Wild: &pedigree.Wild{Site: name, Collector: name, Date: 20200101}})
		if i == 0 {
			continue
		}
		spawn := &pedigree.Spawn{ID: "S " + name, Line: line, Date: 20210101}
		spawn.Sire.Candidates = []pedigree.Candidate{{ID: book.Stock[2*((i-1)/2)].ID, Odds: 1}}
		spawn.Dam.Candidates = []pedigree.Candidate{{ID: book.Stock[1].ID, Odds: 1}}
		if i > 0 {
			book.Spawns = append(book.Spawns, spawn)
		}
	}
	for i, spawn := range book.Spawns {
		book.Stock = append(book.Stock, &pedigree.Stock{ID: "young " + names[i], Line: line, Name: names[i], Lot: true, Count: pedigree.Count{Unsexed: 4},
			FromSpawns: []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}})
	}
	book.Arrange()
	return book
}

// What is written into a drawing is text and nothing else: the document is
// well-formed, has the elements and attributes that we draw with, and no more.
func TestHostileTextIsOnlyText(t *testing.T) {
	state := stateOf(t, hostileBook())
	elements := []string{"svg", "title", "desc", "rect", "path", "text"}
	attributes := []string{"xmlns", "role", "aria-label", "width", "height", "viewBox", "font-family", "fill", "d", "stroke", "stroke-width",
		"stroke-dasharray", "stroke-linejoin", "aria-hidden", "x", "y", "font-size", "font-weight", "text-anchor", "transform"}
	for of, d := range drawings(state, someOutlook(), 1) {
		svg := d.SVG()
		if !utf8.Valid(svg) {
			t.Errorf("%q: not UTF-8", of)
		}
		decoder := xml.NewDecoder(bytes.NewReader(svg))
		for {
			token, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%q: %v", of, err)
			}
			element, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			if !slices.Contains(elements, element.Name.Local) {
				t.Errorf("%q: element %s", of, element.Name.Local)
			}
			for _, a := range element.Attr {
				if !slices.Contains(attributes, a.Name.Local) {
					t.Errorf("%q: attribute %s", of, a.Name.Local)
				}
				if strings.ContainsAny(a.Value, "\x00\x1b\u202e\u2066") {
					t.Errorf("%q: %s has a control character: %q", of, a.Name.Local, a.Value)
				}
			}
		}
		if bytes.ContainsRune(svg, '\u202e') || bytes.ContainsRune(svg, '\x1b') {
			t.Errorf("%q: a mark that steers the text", of)
		}
		if bad := overlaps(d); len(bad) > 0 {
			t.Errorf("%q: %d, such as %s", of, len(bad), bad[0])
		}
		if d.Width > 8000 || len(d.Title) > 4000 {
			t.Errorf("%q: a sheet %.0f wide, a title of %d letters", of, d.Width, len(d.Title))
		}
	}
}

func TestPrintsWhateverTheScript(t *testing.T) {
	state := stateOf(t, hostileBook())
	for _, d := range []*Drawing{Descent(state, state.Model().Book().Lines[0].Name), Ancestors(state, "young "+"長良川の魚", 3)} {
		var picture, document bytes.Buffer
		if err := d.PNG(&picture); err != nil {
			t.Error(err)
		}
		if _, err := png.Decode(&picture); err != nil {
			t.Error(err)
		}
		if err := d.PDF(&document); err != nil {
			t.Error(err)
		}
	}
	d := Ancestors(state, "young 🐟🐠", 1)
	if got := string(d.Missing()); got != "🐟🐠" {
		t.Errorf("missing: %q", got)
	}
}

// Equal input gives equal bytes.
func TestDrawnTwiceIsTheSame(t *testing.T) {
	one, two := drawings(demo(t), someOutlook(), 11), drawings(demo(t), someOutlook(), 11)
	for of, d := range one {
		if !bytes.Equal(d.SVG(), two[of].SVG()) {
			t.Errorf("%s differs from itself", of)
		}
	}
	for _, write := range []func(*Drawing, io.Writer) error{(*Drawing).PDF, (*Drawing).PNG} {
		var a, b bytes.Buffer
		must(write(one["history candlewick"], &a))
		must(write(two["history candlewick"], &b))
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Error("a file differs from itself")
		}
	}
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}
