package chart

import (
	"bytes"
	"encoding/xml"
	"math"
	"strconv"
)

// typefaces are fonts to look for, the embedded one's like first; the last ones
// are for scripts that those lack.
const typefaces = `'DejaVu Sans Condensed','Segoe UI',Roboto,'Helvetica Neue',Arial,'Noto Sans','Noto Sans CJK SC','Hiragino Sans','Microsoft YaHei',sans-serif`

// SVG returns the drawing as a document of its own: no script, no style sheet,
// nothing fetched. Texts are drawn in the viewer's fonts.
func (d *Drawing) SVG() []byte {
	w := &svgWriter{}
	w.text(`<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="`).escaped(d.Title).text(`"`)
	w.text(` width="`).number(d.Width).text(`" height="`).number(d.Height)
	w.text(`" viewBox="0 0 `).number(d.Width).text(" ").number(d.Height)
	w.text(`" font-family="` + typefaces + `">` + "\n")
	w.text("<title>").escaped(d.Title).text("</title>\n")
	w.text("<desc>").escaped(d.Description).text("</desc>\n")
	w.text(`<rect width="`).number(d.Width).text(`" height="`).number(d.Height).text(`" fill="` + paper + `"/>` + "\n")
	for _, s := range d.shapes {
		if s.text != "" {
			w.letters(s)
		} else {
			w.shape(s)
		}
	}
	w.text("</svg>\n")
	return w.Bytes()
}

type svgWriter struct{ bytes.Buffer }

func (w *svgWriter) text(s string) *svgWriter { w.WriteString(s); return w }

func (w *svgWriter) escaped(s string) *svgWriter { _ = xml.EscapeText(w, []byte(s)); return w }

// number writes a coordinate to a tenth of a pixel.
func (w *svgWriter) number(v float64) *svgWriter {
	v = math.Round(v*10)/10 + 0 // no minus nothing
	w.Write(strconv.AppendFloat(w.AvailableBuffer(), v, 'f', -1, 64))
	return w
}

func (w *svgWriter) point(p point) *svgWriter { return w.number(p.x).text(" ").number(p.y) }

func (w *svgWriter) shape(s shape) {
	w.text(`<path d="`)
	for _, step := range s.path {
		switch step.op {
		case 'm':
			w.text("M").point(step.p[0])
		case 'l':
			w.text("L").point(step.p[0])
		case 'c':
			w.text("C").point(step.p[0]).text(" ").point(step.p[1]).text(" ").point(step.p[2])
		case 'z':
			w.text("Z")
		}
	}
	w.text(`"`)
	w.look(s.look)
	w.close(s, "path")
}

func (w *svgWriter) look(l look) {
	if l.fill == "" {
		l.fill = "none"
	}
	w.text(` fill="` + l.fill + `"`)
	if l.stroke == "" {
		return
	}
	w.text(` stroke="` + l.stroke + `" stroke-width="`).number(l.width).text(`"`)
	if len(l.dash) > 0 {
		w.text(` stroke-dasharray="`)
		for i, v := range l.dash {
			if i > 0 {
				w.text(" ")
			}
			w.number(v)
		}
		w.text(`"`)
	}
}

// letters writes a text; its rim is a text of its own underneath, for not all
// programs know paint-order.
func (w *svgWriter) letters(s shape) {
	if s.halo {
		w.place(s)
		w.text(` aria-hidden="true" stroke="` + paper + `" stroke-width="3" stroke-linejoin="round" fill="` + paper + `">`)
		w.escaped(s.text).text("</text>\n")
	}
	w.place(s)
	w.text(` fill="` + s.fill + `">`)
	if s.tip != "" {
		w.text("<title>").escaped(s.tip).text("</title>")
	}
	w.escaped(s.text).text("</text>\n")
}

// place opens a text where it stands.
func (w *svgWriter) place(s shape) {
	w.text(`<text x="`).number(s.at.x).text(`" y="`).number(s.at.y).text(`" font-size="`).number(s.size).text(`"`)
	if s.bold {
		w.text(` font-weight="bold"`)
	}
	if s.anchor != start {
		w.text([]string{"", ` text-anchor="middle"`, ` text-anchor="end"`}[s.anchor])
	}
	if s.turned {
		w.text(` transform="rotate(-90 `).point(s.at).text(`)"`)
	}
}

func (w *svgWriter) close(s shape, element string) {
	if s.tip == "" {
		w.text("/>\n")
		return
	}
	w.text("><title>").escaped(s.tip).text("</title></" + element + ">\n")
}
