package chart

import (
	"strings"

	"roebook/genetics"
	"roebook/io/lettering"
	"roebook/pedigree"
)

// begin starts a sheet of that width with its heading; what follows stands below
// the height that the drawing has then.
func begin(on pedigree.Date, width float64, title string, lines ...string) *Drawing {
	d := &Drawing{Day: on, Width: width, Height: margin, Title: lettering.Fit(title, headSize, true, 4000)}
	for _, text := range lettering.Wrap(title, headSize, true, width-2*margin, 3) {
		d.write(point{margin, d.Height + headSize}, text, word{size: headSize, bold: true})
		d.Height += headSize * 1.3
	}
	for i, line := range lines {
		if line == "" {
			continue
		}
		colour := faint
		if i == 0 {
			colour = ink
		}
		d.paragraph(line, textSize+1, colour, 3)
	}
	d.Height += 14
	return d
}

// paragraph writes at most so many lines of text across the sheet at its present
// height.
func (d *Drawing) paragraph(text string, size float64, colour string, most int) {
	for _, line := range lettering.Wrap(text, size, false, d.Width-2*margin, most) {
		d.Height += size * 1.4
		d.write(point{margin, d.Height - 0.3*size}, line, word{size: size, colour: colour})
	}
}

// key is an entry of a legend: what is drawn into a field of 30 by 18 around a
// point, and what it means.
type key struct {
	sample func(d *Drawing, at point)
	means  string
}

// close ends a sheet with its legend and remarks.
func (d *Drawing) close(keys []key, remarks ...string) *Drawing {
	d.Description = lettering.Fit(d.Description, 1, false, longestDescription)
	d.Height += 12
	d.draw(polyline(point{margin, d.Height}, point{d.Width - margin, d.Height}), look{stroke: rule, width: 1})
	d.Height += 8
	d.legend(keys)
	for _, remark := range remarks {
		if remark != "" {
			d.paragraph(remark, textSize-0.5, faint, 4)
		}
	}
	d.Height += margin / 2
	return d
}

const (
	keyRoom            = 38.0
	longestDescription = 400 // ems
)

// legend writes entries in columns as wide as the widest needs.
func (d *Drawing) legend(keys []key) {
	if len(keys) == 0 {
		return
	}
	wide := 0.0
	for _, k := range keys {
		wide = max(wide, lettering.Width(k.means, textSize-0.5, false))
	}
	room := d.Width - 2*margin
	wide = min(wide+keyRoom+22, room)
	columns := max(1, int(room/wide))
	rows := (len(keys) + columns - 1) / columns
	top := d.Height
	for column := range columns {
		y := top
		for row := range rows {
			i := column*rows + row
			if i >= len(keys) {
				break
			}
			x := margin + float64(column)*wide
			lines := lettering.Wrap(keys[i].means, textSize-0.5, false, wide-keyRoom-12, 3)
			keys[i].sample(d, point{x + 15, y + 10})
			for k, text := range lines {
				d.write(point{x + keyRoom, y + 14 + 14*float64(k)}, text, word{size: textSize - 0.5})
			}
			y += 21 + 14*float64(len(lines)-1)
		}
		d.Height = max(d.Height, y)
	}
	d.Height += 6
}

// place is the species and locality of a line, for the heading.
func place(l *pedigree.Line) string {
	if l == nil {
		return ""
	}
	words := l.Species
	if l.CommonName != "" {
		words += ", " + l.CommonName
	}
	if l.Locality != "" {
		words += "; " + l.Locality
	}
	return strings.TrimPrefix(words, "; ")
}

// lineTitle is the name of a line for a heading; a table goes by its own.
func lineTitle(state *genetics.State, line string) string {
	if book := state.Model().Book(); book.Table {
		return book.Name
	}
	return line
}

// expectation ends every chart that shows numbers worked out from records.
const expectation = "Worked out from the records as they stand; not a test of DNA."

func sampleSymbol(s symbol) func(*Drawing, point) {
	return func(d *Drawing, at point) { d.symbol(at, 7.5, s) }
}

func sampleSwatch(fill string) func(*Drawing, point) {
	return func(d *Drawing, at point) {
		d.draw(rectangle(at.x-12, at.y-6, 24, 12), look{fill: fill, stroke: ink, width: 0.8})
	}
}

// nothing ends a sheet that has nothing to show.
func (d *Drawing) nothing(words string) *Drawing {
	d.paragraph(words, textSize+1, ink, 3)
	d.Description = words
	return d.close(nil)
}

const noFish = "There is no fish to draw."
