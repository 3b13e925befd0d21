package chart

import (
	"fmt"
	"math"
	"slices"

	"roebook/genetics"
	"roebook/io/lettering"
)

// MostKin is the most records that a map of kinship can show.
const MostKin = 300

// shade is a class of kinship with its colour, each darker than the one before.
type shade struct {
	least float64 // as a kinship is written
	fill  string
	dark  bool
	words string
}

// shades are parted between the relations that keepers know, and between two
// numbers as they are written: the same number has the same shade everywhere.
var shades = []shade{
	{0, paper, false, "0: not related, as far as the book knows"},
	{1e-12, "#e9f0f0", false, "up to 0.03, 0.00 being less than 0.005"},
	{0.04, "#c6dbdc", false, "0.04 to 0.09: first cousins have 0.06"},
	{0.10, "#93bcc1", false, "0.10 to 0.18: half-sibs have 0.13"},
	{0.19, "#58a0ab", false, "0.19 to 0.37: full sibs, or parent and young, have 0.25"},
	{0.38, wildFill, true, "0.38 to 0.62: closer than full sibs; a fish with itself has 0.50 or more"},
	{0.63, "#0c2f3a", true, "0.63 and over: nearly one strain"},
}

// toHundredths rounds a kinship as it is written, halves up: 1/8 is 0.13.
func toHundredths(kinship float64) float64 {
	return math.Floor(100*kinship+0.5+1e-9) / 100
}

func shadeOf(kinship float64) shade {
	s := shades[0]
	for _, next := range shades[1:] {
		if max(kinship, toHundredths(kinship)) >= next.least {
			s = next
		}
	}
	return s
}

// familyKinship is from where on records are framed as a family: 0.10 as written,
// nearer to half-sibs than to first cousins.
const familyKinship = 0.095

// Kinship draws the kinships of records, [MostKin] at most, ordered so that
// families stand together. Records without fish on the day are left out.
// O(n³ + n · nodes).
func Kinship(state *genetics.State, title string, ids []string) *Drawing {
	kinship, known := state.KinshipMatrix(ids)
	ids, kinship, inside := present(ids, kinship, known)
	n := len(ids)
	if n == 0 {
		return begin(state.Date(), 460, title).nothing(noFish)
	}
	tree := families(kinship)
	cell := min(34, max(5, 680/float64(n)))
	name := 0.0
	for _, id := range ids {
		name = max(name, min(lettering.Width(id, labelOf(cell), false), 110))
	}
	name += 8
	size := cell * float64(n)
	d := begin(state.Date(), max(560, name+size+2*margin), title, "As of "+state.Date().String()+". Kinship: the chance that a gene drawn from each of two fish is a copy of one and the same forebear's gene.")
	d.Description = fmt.Sprintf("Kinship of %s with each other, in the order of their families.", counted(n, "record"))
	m := heatMap{d, ids, kinship, inside, tree, cell, point{margin + name, d.Height + name}}
	m.draw()
	d.Height += name + size + 6
	var keys []key
	for _, s := range shades {
		keys = append(keys, key{sampleSwatch(s.fill), s.words})
	}
	keys = append(keys, key{sampleFrame, "a family: 0.10 or more on average, half-sibs having 0.13"})
	return d.close(keys, "From top left to bottom right each record stands beside itself: a fish with itself; of a lot two different fish of it, and – where it has but one.", expectation)
}

func sampleFrame(d *Drawing, at point) {
	d.draw(rectangle(at.x-9, at.y-8, 18, 16), look{stroke: accent, width: 2})
}

// labelOf is the size of names beside cells of a size.
func labelOf(cell float64) float64 { return min(textSize, max(8, cell*0.75)) }

// present leaves out records that have no kinship with others; inside tells
// which have one with themselves.
func present(ids []string, kinship [][]float64, known [][]bool) (names []string, k [][]float64, inside []bool) {
	var at []int
	for i := range ids {
		some := known[i][i]
		for j := range ids {
			some = some || known[i][j]
		}
		if some {
			at = append(at, i)
		}
	}
	for _, i := range at {
		row := make([]float64, 0, len(at))
		for _, j := range at {
			row = append(row, kinship[i][j])
		}
		names, k, inside = append(names, ids[i]), append(k, row), append(inside, known[i][i])
	}
	return names, k, inside
}

type heatMap struct {
	d       *Drawing
	ids     []string
	kinship [][]float64
	inside  []bool
	tree    *family
	cell    float64
	corner  point
}

func (m *heatMap) draw() {
	for row, i := range m.tree.members {
		for column, j := range m.tree.members {
			m.drawCell(row, column, i, j)
		}
	}
	size := m.cell * float64(len(m.ids))
	m.d.draw(rectangle(m.corner.x, m.corner.y, size, size), look{stroke: ink, width: 1})
	m.drawFamilies()
	label := labelOf(m.cell)
	every := 1
	for m.cell*float64(every) < label+1.5 {
		every++
	}
	for row, i := range m.tree.members {
		if row%every != 0 {
			continue
		}
		middleOf := (float64(row)+0.5)*m.cell + 0.35*label
		m.d.write(point{m.corner.x - 5, m.corner.y + middleOf}, m.ids[i], word{size: label, anchor: end, room: 110})
		m.d.write(point{m.corner.x + middleOf, m.corner.y - 5}, m.ids[i], word{size: label, turned: true, room: 110})
	}
}

func (m *heatMap) drawCell(row, column, i, j int) {
	x, y := m.corner.x+float64(column)*m.cell, m.corner.y+float64(row)*m.cell
	k := m.kinship[i][j]
	s := shadeOf(k)
	text := decimals(toHundredths(k), 2)
	if k == 0 {
		text = "0"
	}
	if i == j && !m.inside[i] {
		s, text = shades[0], "–"
	}
	paint := look{fill: s.fill}
	if m.cell >= 12 {
		paint.stroke, paint.width = paper, 0.8
	}
	if s.fill != paper {
		m.d.add(shape{path: rectangle(x, y, m.cell, m.cell), look: paint, tip: m.tip(i, j, text)})
	}
	if m.cell >= 24 {
		colour := ink
		if k == 0 {
			colour = faint
		}
		if s.dark {
			colour = paper
		}
		m.d.write(point{x + m.cell/2, y + m.cell/2 + 3.2}, text, word{size: min(smallSize, m.cell/3), anchor: middle, colour: colour})
	}
}

func (m *heatMap) tip(i, j int, text string) string {
	if len(m.ids) > 60 {
		return "" // too many to carry
	}
	return m.ids[i] + " and " + m.ids[j] + ": " + text
}

// drawFamilies frames those that are close on average.
func (m *heatMap) drawFamilies() {
	for _, f := range m.tree.closer(familyKinship) {
		if len(f.members) < 2 {
			continue
		}
		first := len(m.ids)
		for _, i := range f.members {
			first = min(first, slices.Index(m.tree.members, i))
		}
		at, size := float64(first)*m.cell, float64(len(f.members))*m.cell
		m.d.draw(rectangle(m.corner.x+at, m.corner.y+at, size, size), look{stroke: accent, width: 2})
	}
}
