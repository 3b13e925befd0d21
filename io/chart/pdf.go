package chart

import (
	"io"

	"codeberg.org/go-pdf/fpdf"

	"roebook/io/lettering"
)

// longestPage is the most that PDF readers take, in points (ISO 32000-1, annex C).
const longestPage = 14400

// PDF writes the drawing as one page of its own size, its texts as texts, in
// fonts that go with it.
func (d *Drawing) PDF(w io.Writer) error {
	scale := min(0.75, longestPage/max(d.Width, d.Height))
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: d.Width * scale, Ht: d.Height * scale}})
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCatalogSort(true)
	doc.SetCreationDate(d.Day.Time())
	doc.SetModificationDate(d.Day.Time())
	doc.SetProducer("roebook", true)
	doc.SetTitle(d.Title, true)
	doc.SetSubject(d.Description, true)
	doc.SetLang("en")
	doc.AddPage()
	d.On(doc, 0, 0, scale)
	return doc.Output(w)
}

// On draws on the present page of a document that is measured in points, its
// top left corner at x, y, a pixel scale points large. It adds the fonts that it
// needs and leaves colours and lines as it used them last.
func (d *Drawing) On(doc *fpdf.Fpdf, x, y, scale float64) {
	p := &pdfPage{doc, scale, map[string]bool{}}
	p.TransformBegin()
	p.TransformTranslate(x, y)
	for _, s := range d.shapes {
		if s.text != "" {
			p.letters(s)
		} else {
			p.path(s)
		}
	}
	p.TransformEnd()
}

type pdfPage struct {
	*fpdf.Fpdf
	scale float64
	fonts map[string]bool
}

func (p *pdfPage) path(s shape) {
	style := ""
	if s.fill != "" {
		r, g, b := colour(s.fill)
		p.SetFillColor(int(r), int(g), int(b))
		style = "F"
	}
	if s.stroke != "" {
		r, g, b := colour(s.stroke)
		p.SetDrawColor(int(r), int(g), int(b))
		p.SetLineWidth(s.width * p.scale)
		var dash []float64
		for _, v := range s.dash {
			dash = append(dash, v*p.scale)
		}
		p.SetDashPattern(dash, 0)
		style += "D"
	}
	k := p.scale
	for _, step := range s.path {
		a, b, c := step.p[0], step.p[1], step.p[2]
		switch step.op {
		case 'm':
			p.MoveTo(a.x*k, a.y*k)
		case 'l':
			p.LineTo(a.x*k, a.y*k)
		case 'c':
			p.CurveBezierCubicTo(a.x*k, a.y*k, b.x*k, b.y*k, c.x*k, c.y*k)
		case 'z':
			p.ClosePath()
		}
	}
	p.DrawPath(style)
}

func (p *pdfPage) letters(s shape) {
	runs := lettering.Runs(s.text, s.size, s.bold)
	shift := s.shift(lettering.RunsWidth(runs))
	if s.turned {
		p.TransformBegin()
		p.TransformRotate(90, s.at.x*p.scale, s.at.y*p.scale)
		defer p.TransformEnd()
	}
	if s.halo {
		r, g, b := colour(paper)
		p.SetDrawColor(int(r), int(g), int(b))
		p.SetLineWidth(3 * p.scale)
		p.SetDashPattern(nil, 0)
		p.SetTextRenderingMode(1)
		p.runs(s, runs, shift)
		p.SetTextRenderingMode(0)
	}
	p.runs(s, runs, shift)
}

func (p *pdfPage) runs(s shape, runs []lettering.Run, shift float64) {
	r, g, b := colour(s.fill)
	p.SetTextColor(int(r), int(g), int(b))
	for _, run := range runs {
		if !p.fonts[run.Font.Name] {
			p.fonts[run.Font.Name] = true
			p.AddUTF8FontFromBytes(run.Font.Name, "", run.Font.Data())
		}
		p.SetFont(run.Font.Name, "", s.size*p.scale)
		p.Text((s.at.x+shift+run.X)*p.scale, s.at.y*p.scale, run.Text)
	}
}
