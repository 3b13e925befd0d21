package lettering

import (
	"slices"
	"strings"

	"golang.org/x/text/unicode/bidi"
)

// Run is a piece of text to be drawn in one font, its characters from left to
// right as they stand on paper.
type Run struct {
	Font *Font
	Text string
	X    float64 // from the beginning of the text
	Wide float64
}

// Runs sets a cleaned text for a printer that only knows single characters: in
// the order of the eye where it runs from right to left, Arabic letters joined,
// each piece in a font that has it. Where no font has a character a question
// mark stands for it; see [Missing].
func Runs(text string, size float64, heavy bool) []Run {
	var runs []Run
	x := 0.0
	for _, r := range visual(text) {
		f := fontOf(r, heavy)
		if f == nil {
			r = substitute
			f = fontOf(r, heavy)
		}
		w := f.Advance(r) * size
		if n := len(runs) - 1; n >= 0 && runs[n].Font == f {
			runs[n].Text += string(r)
			runs[n].Wide += w
		} else {
			runs = append(runs, Run{f, string(r), x, w})
		}
		x += w
	}
	return runs
}

// RunsWidth is how wide runs are together.
func RunsWidth(runs []Run) float64 {
	if len(runs) == 0 {
		return 0
	}
	last := runs[len(runs)-1]
	return last.X + last.Wide
}

// visual puts the characters in the order of the eye (Unicode Standard Annex 9).
func visual(text string) []rune {
	if !slices.ContainsFunc([]rune(text), fromRight) {
		return []rune(text)
	}
	var p bidi.Paragraph
	if _, err := p.SetString(join(text)); err != nil {
		return []rune(text)
	}
	order, err := p.Order()
	if err != nil {
		return []rune(text)
	}
	var out strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			out.WriteString(bidi.ReverseString(run.String()))
		} else {
			out.WriteString(run.String())
		}
	}
	return []rune(out.String())
}

func fromRight(r rune) bool {
	if r < 0x590 {
		return false
	}
	p, _ := bidi.LookupRune(r)
	return p.Class() == bidi.R || p.Class() == bidi.AL
}
