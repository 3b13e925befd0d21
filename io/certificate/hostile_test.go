package certificate

import (
	"bytes"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

var hostileTexts = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</template><script>alert(2)</script>`, `</style><script>1</script>`,
	"a\x00b\x1b[31mc\u202edef\u2066g", "--><script>3</script>", ") Tj ET (x", "%%EOF\nstartxref\n0\n%%EOF", "](javascript:alert(4))",
	strings.Repeat("long", 1300), "長良川の魚 Ελληνικά مرحبا שלום", "{{.Policy}}", "&lt;b&gt;&#60;script&#62;",
}

// hostile is a sheet with a text in every place that takes one.
func hostile(text string) *Facts {
	f := sample()
	f.Book.Name, f.Book.Keeper, f.Line.Name, f.Line.CommonName, f.Line.BroodWord = text, text, text, text, text
	fish := &f.Fish[0]
	fish.ID, fish.Name, fish.Species, fish.Locality, fish.Status, fish.BredBy, fish.Origin = text, text, text, text, text, text, text
	fish.Relation, fish.Born, fish.Generation.Label = text, text, text
	for i := range fish.Founders {
		fish.Founders[i].ID, fish.Founders[i].Site, fish.Founders[i].By = text, text, text
	}
	fish.Loci = []Locus{{text, text, text, false}, {text, text, text, true}}
	fish.Spawns[0].ID, fish.Spawns[0].Sire, fish.Spawns[0].Dam = text, text, text
	return f
}

// Hostile text is only text: no element, attribute or script comes of it, and
// nothing of it gets out of the style sheet, the inert facts or the PDF's strings.
func TestHostileText(t *testing.T) {
	want := elements(t, must(Write("html", sample(), nil, A4)))
	for _, text := range hostileTexts {
		f := hostile(text)
		page := must(Write("html", f, nil, A4))
		for name := range elements(t, page) {
			if _, known := want[name]; !known {
				t.Errorf("%.40q makes %s", text, name)
			}
		}
		if bytes.ContainsAny(page, "\x00\x1b") || bytes.Contains(page, []byte("\u202e")) && !strings.Contains(text, "\u202e") {
			t.Errorf("%.40q leaves a control character", text)
		}
		for _, kind := range []string{"html", "pdf", "json"} {
			file := must(Write(kind, f, nil, A4))
			sheet, err := Read(file)
			if err != nil {
				t.Errorf("%s of %.40q: %v", kind, text, err)
				continue
			}
			if !bytes.Equal(sheet.Facts.Canonical(), f.Canonical()) || !SamePage(sheet, f, nil) {
				t.Errorf("%s of %.40q does not read back", kind, text)
			}
			if n := bytes.Count(file, []byte("/Type /Page\n")); kind == "pdf" && n != 1 {
				t.Errorf("%.40q: %d pages", text, n)
			}
		}
	}
}

// elements are the elements of a page with the names of their attributes.
func elements(t *testing.T, page []byte) map[string]bool {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for n := range root.Descendants() {
		if n.Type == html.CommentNode {
			found["a comment"] = true
		}
		if n.Type != html.ElementNode {
			continue
		}
		name := n.Data
		for _, a := range n.Attr {
			name += " " + a.Key
		}
		found[name] = true
	}
	return found
}

// A page asks for nothing from anywhere and runs nothing.
func TestPageIsSelfContained(t *testing.T) {
	page := string(must(Write("html", sample(), nil, A4)))
	for _, never := range []string{"<script", "http://", "https://", "javascript:", "<link", "<img", "@import", "url(http", " style=", " onload"} {
		if strings.Contains(strings.ReplaceAll(page, "http://www.w3.org/2000/svg", ""), never) {
			t.Errorf("the page holds %q", never)
		}
	}
	if !strings.Contains(page, `content="default-src &#39;none&#39;; style-src &#39;sha256-`) {
		t.Error("the page has no strict policy")
	}
}

// A batch of the most fish stands on one page of either size.
func TestMostFishFit(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		f := sample()
		f.Each = MostFish
		if _, err := Write("pdf", f, nil, paper); err != nil {
			t.Errorf("%d rows: %v", MostFish, err)
		}
		f.Each = 0
		for len(f.Fish) < MostFish {
			f.Fish = append(f.Fish, f.Fish[0])
		}
		if _, err := Write("pdf", f, nil, paper); err != nil {
			t.Errorf("%d fish: %v", MostFish, err)
		}
	}
}
