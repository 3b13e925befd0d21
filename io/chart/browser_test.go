package chart

import (
	"bytes"
	"html"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"roebook/io/lettering"
)

// program finds a program that looks at the drawings. Where it is missing the
// test is skipped, or fails if ROEBOOK_REQUIRE_OFFICE is set.
func program(t *testing.T, of string, names ...string) string {
	t.Helper()
	if testing.Short() {
		t.Skipf("short run: %s is not started", names[0])
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("ROEBOOK_REQUIRE_OFFICE") != "" {
		t.Fatalf("%s is not installed, and ROEBOOK_REQUIRE_OFFICE asks for it", of)
	}
	t.Skipf("%s is not installed: what it makes of the drawings is not checked", of)
	return ""
}

// What a browser draws takes no more room than was reckoned with, so that texts
// which stand apart here do so there; and it runs no script of ours or others'.
func TestBrowserTakesNoMoreRoom(t *testing.T) {
	browser := program(t, "Chromium", "chromium", "chromium-browser")
	state, bad := demo(t), stateOf(t, hostileBook())
	list := []*Drawing{Ancestors(state, "CW-J1", 0), Descent(state, "tessamora-ford"), History(state, "candlewick", someOutlook()), FoundersOf(state, "GD-F1"),
		Kinship(state, "Kinship", []string{"TF-D1", "TF-D2", "TF-K1"}), Inbreeding(state, "GD-F1")}
	list = append(list, Descent(bad, bad.Model().Book().Lines[0].Name))
	var page bytes.Buffer
	page.WriteString("<!DOCTYPE html><meta charset=utf-8><body>")
	for _, d := range list {
		page.Write(d.SVG())
	}
	page.WriteString(`<pre id=out></pre><script>
		let out = "";
		for (const t of document.querySelectorAll("svg > text:not([aria-hidden])")) out += t.getComputedTextLength() + "\t" + t.lastChild.data + "\n";
		document.getElementById("out").textContent = "[begin]\n" + out + "[end]";
	</script>`)
	file := filepath.Join(t.TempDir(), "page.html")
	must(os.WriteFile(file, page.Bytes(), 0o600))
	dom, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+t.TempDir(), "--dump-dom", "file://"+file).Output()
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?s)\[begin\]\n(.*)\[end\]</pre>`).FindSubmatch(dom)
	if found == nil {
		t.Fatal("the page did not answer")
	}
	lines := strings.Split(strings.TrimSpace(html.UnescapeString(string(found[1]))), "\n")
	i, wider := 0, 0.0
	for _, d := range list {
		for _, s := range d.shapes {
			if s.text == "" {
				continue
			}
			wide, text, _ := strings.Cut(lines[i], "\t")
			i++
			got, err := strconv.ParseFloat(wide, 64)
			if err != nil || text != s.text {
				t.Fatalf("the browser has %q where %q was written", lines[i-1], s.text)
			}
			want := lettering.Width(s.text, s.size, s.bold)
			wider = max(wider, got-want)
			if got > want+2 && !strings.ContainsFunc(s.text, func(r rune) bool { return r > 0x2fff }) {
				t.Errorf("%q is %.1f wide in the browser, %.1f was reckoned with", s.text, got, want)
			}
		}
	}
	if i != len(lines) || i < 300 {
		t.Errorf("%d texts, the browser has %d", i, len(lines))
	}
	t.Logf("at most %.1f px wider than reckoned", math.Max(0, wider))
}

// A PDF is one page of the drawing's size, its fonts go with it, and its words
// can be found.
func TestPDFReads(t *testing.T) {
	info, fonts, text := program(t, "poppler-utils", "pdfinfo"), program(t, "poppler-utils", "pdffonts"), program(t, "poppler-utils", "pdftotext")
	d := Ancestors(demo(t), "TF-D4", 4)
	var document bytes.Buffer
	must(d.PDF(&document))
	file := filepath.Join(t.TempDir(), "d4.pdf")
	must(os.WriteFile(file, document.Bytes(), 0o600))
	said, err := exec.Command(info, file).Output()
	must(err)
	for _, want := range []string{`Title:\s+Ancestors of TF-D4`, `Pages:\s+1\n`, `CreationDate:\s+Tue Nov 24`} {
		if !regexp.MustCompile(want).Match(said) {
			t.Errorf("want %s\n%s", want, said)
		}
	}
	size := regexp.MustCompile(`Page size:\s+([\d.]+) x ([\d.]+)`).FindSubmatch(said)
	for i, want := range []float64{d.Width * 0.75, d.Height * 0.75} {
		if got, _ := strconv.ParseFloat(string(size[i+1]), 64); math.Abs(got-want) > 0.5 {
			t.Errorf("the page is %v points, want %v", got, want)
		}
	}
	said, err = exec.Command(fonts, file).Output()
	must(err)
	if rows := strings.Split(strings.TrimSpace(string(said)), "\n")[2:]; len(rows) != 2 || strings.Count(string(said), "Identity-H       yes") != 2 {
		t.Errorf("want two fonts, both within\n%s", said)
	}
	said, err = exec.Command(text, "-raw", file, "-").Output()
	must(err)
	for _, s := range d.shapes {
		if s.text != "" && !strings.Contains(string(said), s.text) {
			t.Errorf("%q is not found in the PDF", s.text)
		}
	}
}
