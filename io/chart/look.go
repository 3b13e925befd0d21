package chart

// The colours. Each stands apart from the others by its lightness too, so that
// grey print and eyes that see fewer colours keep them apart; texts reach a
// contrast of 4.5 to 1 on what they stand on (WCAG 2.2, 1.4.3).
const (
	paper  = "#ffffff"
	ink    = "#17262b" // texts, symbols
	faint  = "#566468" // lesser texts
	rule   = "#c9d1d3" // lines of the ground
	line   = "#5b7078" // from parents to young
	accent = "#a3123a" // what comes from both parents, what is over a limit
	tint   = "#f9e3e8" // its ground

	wildFill    = "#1d5a66" // caught in the wild
	boughtFill  = "#d59a2b" // bought, by the seller's word
	bredFill    = "#cfe0e2" // bred in the book
	unknownFill = "#ffffff"
)

const (
	headSize  = 19.0
	textSize  = 11.0
	smallSize = 9.5
	margin    = 24.0
)
