package genetics

// relations are kinships that everyone has a word for (outbred, from Wright
// 1922, Am. Nat. 56:330; published values in Lange, Mathematical and
// Statistical Methods for Genetic Analysis, ch. 5).
var relations = []struct {
	kinship float64
	words   string
}{
	{0.375, "full sibs whose parents were full sibs"},
	{0.25, "full sibs"},
	{0.125, "half-sibs"},
	{0.0625, "first cousins"},
	{0.03125, "half-cousins"},
	{0.015625, "second cousins"},
}

// Relation names the relation that a kinship is nearest to, on a scale of
// ratios: "as close as half-sibs". Kinship 0 is "not related, as far as the
// book knows".
func Relation(kinship float64) string {
	switch {
	case kinship < 1e-12:
		return "not related, as far as the book knows"
	case kinship > 0.75:
		return "nearly alike, as in an inbred strain"
	case kinship > 0.44:
		return "far closer than full sibs"
	case kinship < relations[len(relations)-1].kinship/1.5:
		return "more distant than second cousins"
	}
	best := relations[0]
	for _, r := range relations[1:] {
		if ratio(kinship, r.kinship) < ratio(kinship, best.kinship) {
			best = r
		}
	}
	if ratio(kinship, best.kinship) > 1.02 {
		return "about as close as " + best.words
	}
	return "as close as " + best.words
}

func ratio(a, b float64) float64 { return max(a/b, b/a) }
