package chart

import (
	"math"
	"strconv"
	"strings"

	"roebook/genetics"
	"roebook/pedigree"
)

// origin is the kind of beginning that a record has.
type origin int8

const (
	bred origin = iota
	wild
	bought
	unknown
)

func (o origin) fill() string { return [...]string{bredFill, wildFill, boughtFill, unknownFill}[o] }

// on is the colour of what stands on the fill.
func (o origin) on() string {
	if o == wild {
		return paper
	}
	return ink
}

// symbol is a record as the pedigree standard draws it.
type symbol struct {
	sex    pedigree.Sex
	number float64 // fish, where it stands for several
	origin origin
	dead   bool
}

// symbolOf returns the symbol of a record on the day of a state; a lot's is of
// the fish that it held, of no sex where that is none.
func symbolOf(state *genetics.State, s *pedigree.Stock, held pedigree.Numbers) symbol {
	book := state.Model().Book()
	sym := symbol{sex: s.Sex, origin: originOf(book, s), dead: s.Died.Known() && s.Died <= state.Date()}
	if s.Lot && held.Total() > 0 {
		sym.number = held.Total()
		switch held.Total() {
		case held.Males:
			sym.sex = pedigree.Male
		case held.Females:
			sym.sex = pedigree.Female
		}
	}
	return sym
}

// censusOf is who a lot holds on the day, or held as it began where none are left.
func censusOf(state *genetics.State, s *pedigree.Stock) pedigree.Numbers {
	book := state.Model().Book()
	if n := book.Heads(s, state.Date()); n.Total() > 0 {
		return n
	}
	return book.LotHistory(s.ID).States[0].Stated
}

// originOf follows picks: a fish out of a wild-caught lot is wild-caught.
func originOf(book *pedigree.Book, s *pedigree.Stock) origin {
	s = book.Beginning(s)
	switch {
	case s.Wild != nil:
		return wild
	case s.Bought != nil:
		return bought
	}
	return bred
}

// symbol draws one around a point; r is half its size.
func (d *Drawing) symbol(at point, r float64, s symbol) {
	paint := look{fill: s.origin.fill(), stroke: ink, width: 1.3}
	switch s.sex {
	case pedigree.Male:
		d.draw(rectangle(at.x-0.9*r, at.y-0.9*r, 1.8*r, 1.8*r), paint)
	case pedigree.Female:
		d.draw(circle(at, r), paint)
	default:
		d.draw(polygon(point{at.x, at.y - 1.15*r}, point{at.x + 1.15*r, at.y}, point{at.x, at.y + 1.15*r}, point{at.x - 1.15*r, at.y}), paint)
	}
	inside := ""
	switch {
	case s.origin == unknown:
		inside = "?"
	case s.number > 0:
		inside = trimmed(s.number)
	}
	if inside != "" {
		size := min(textSize, 2.4*r/float64(max(2, len(inside))))
		d.write(point{at.x, at.y + 0.36*size}, inside, word{size: size, bold: true, anchor: middle, colour: s.origin.on()})
	}
	if s.dead {
		d.stroke(at, r, inside != "")
	}
}

// stroke is the slanting line through the dead, broken where something stands
// inside.
func (d *Drawing) stroke(at point, r float64, broken bool) {
	whole := [][2]float64{{-1.4, 1.4}}
	if broken {
		whole = [][2]float64{{-1.4, -0.65}, {0.65, 1.4}}
	}
	for _, paint := range []look{{stroke: paper, width: 3.2}, {stroke: ink, width: 1.4}} {
		for _, part := range whole {
			d.draw(polyline(point{at.x + part[0]*r, at.y - part[0]*r}, point{at.x + part[1]*r, at.y - part[1]*r}), paint)
		}
	}
}

// trimmed writes a number with at most one decimal.
func trimmed(n float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(n, 'f', 1, 64), ".0")
}

// percent writes a share: "12.5 %"; a share that is not nothing never reads 0.
func percent(share float64) string {
	switch {
	case share != 0 && math.Abs(share) < 0.0005:
		return "under 0.1 %"
	case share < 1 && share >= 0.9995:
		return "over 99.9 %"
	}
	return trimmed(100*share) + " %"
}

func decimals(v float64, n int) string { return strconv.FormatFloat(v, 'f', n, 64) }

// counted is a number with its noun.
func counted(n int, noun string) string {
	if n != 1 && !strings.HasSuffix(noun, "fish") {
		noun += "s"
	}
	return strconv.Itoa(n) + " " + noun
}

// census is who a lot holds: "3 males, 5 females".
func census(n pedigree.Numbers) string {
	var parts []string
	for _, part := range []struct {
		n    float64
		noun string
	}{{n.Males, "male"}, {n.Females, "female"}, {n.Unsexed, "unsexed"}} {
		if part.n <= 0 {
			continue
		}
		noun := part.noun
		if part.n != 1 && noun != "unsexed" {
			noun += "s"
		}
		parts = append(parts, trimmed(part.n)+" "+noun)
	}
	if len(parts) == 0 {
		return "no fish left"
	}
	return strings.Join(parts, ", ")
}
