package certificate

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"roebook/io/chart"
	"roebook/io/lettering"
)

var (
	//go:embed sheet.html.tmpl
	pageText string
	//go:embed sheet.css
	style string

	page = template.Must(template.New("sheet").Funcs(template.FuncMap{"t": shown, "dot": dot}).Parse(pageText))
)

// longestShown is the most of one text that a page shows, in ems.
const longestShown = 240

// shown makes a text of the book fit to stand on a page.
func shown(text string) string { return lettering.Fit(text, 1, false, longestShown) }

// policy lets a page use its own style sheet and nothing else: no script, no
// picture, nothing fetched.
func policy() string {
	sum := sha256.Sum256([]byte(style))
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'"
}

type htmlPage struct {
	*content
	Policy                     string
	Style                      template.CSS
	Wave, Bar, Drawing, Square template.HTML
	Facts                      string
}

func writeHTML(f *Facts, drawing *chart.Drawing) ([]byte, error) {
	c := contentOf(f)
	square, err := codeSVG(c.Code)
	if err != nil {
		return nil, err
	}
	p := htmlPage{content: c, Policy: policy(), Style: template.CSS(style), Wave: wave, Bar: barSVG(c.Origins), Square: square, Facts: string(f.Canonical())}
	if c.Lineage && drawing != nil {
		p.Drawing = template.HTML(drawing.SVG())
	}
	var out bytes.Buffer
	err = page.Execute(&out, p)
	return out.Bytes(), err
}

// wave is the surface of the water.
var wave = func() template.HTML {
	line := "M0 6q11.5 -8 23 0" + strings.Repeat("t23 0", 39)
	return template.HTML(`<svg class="wave" viewBox="0 0 920 12" preserveAspectRatio="none" aria-hidden="true"><path d="` + line +
		`V12H0Z" fill="#ecf3f3"/><path d="` + line + `" fill="none" stroke="#1d5a66" stroke-width="1.5"/></svg>`)
}()

const hatch = `<pattern id="%s" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="5" height="5" fill="#fff"/><path d="M0 0V5" stroke="#566468" stroke-width="1.6"/></pattern>`

// barSVG is the bar of whose word it is.
func barSVG(origins []origin) template.HTML {
	var out strings.Builder
	fmt.Fprintf(&out, `<svg class="bar" viewBox="0 0 1000 24" preserveAspectRatio="none" role="img" aria-label="%s"><defs>`+hatch+`</defs>`, barWords(origins), "nobody")
	at := 0
	for _, o := range origins {
		fmt.Fprintf(&out, `<rect x="%d" width="%d" height="24" fill="%s"/>`, at, o.Units, fillOf(o.Kind, "nobody"))
		if at += o.Units; o.Units > 0 && at < tenths {
			fmt.Fprintf(&out, `<rect x="%d" width="2" height="24" fill="#fff"/>`, at-1)
		}
	}
	out.WriteString(`<rect x=".5" y=".5" width="999" height="23" fill="none" stroke="#17262b"/></svg>`)
	return template.HTML(out.String())
}

func barWords(origins []origin) string {
	var parts []string
	for _, o := range origins {
		parts = append(parts, o.Percent+" "+o.Words)
	}
	return template.HTMLEscapeString(strings.Join(parts, ", "))
}

func fillOf(kind, pattern string) string {
	switch kind {
	case Wild:
		return "#1d5a66"
	case Bought:
		return "#d59a2b"
	}
	return "url(#" + pattern + ")"
}

// dot is the small field that stands for a kind of founder.
func dot(kind string) template.HTML {
	fill := fillOf(kind, "nobody")
	return template.HTML(`<svg class="dot" viewBox="0 0 12 12" aria-hidden="true"><rect x=".5" y=".5" width="11" height="11" fill="` + fill + `" stroke="#17262b"/></svg>`)
}

// codeSVG is a QR code.
func codeSVG(text string) (template.HTML, error) {
	rows, err := modules(text)
	if err != nil {
		return "", err
	}
	size := len(rows) + 2*quiet
	var out strings.Builder
	fmt.Fprintf(&out, `<svg class="qr" viewBox="0 0 %d %d" shape-rendering="crispEdges" role="img" aria-label="QR code of the fingerprint"><rect width="%d" height="%d" fill="#fff"/><path d="`, size, size, size, size)
	for y, row := range rows {
		for x, dark := range row {
			if dark {
				fmt.Fprintf(&out, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	out.WriteString(`" fill="#000"/></svg>`)
	return template.HTML(out.String()), nil
}
