package chart

import "roebook/pedigree"

// aFounder is what a table's fish without parents are.
const aFounder = "a founder: the table has no parents of it"

// severalFish is what a number in a symbol means.
const severalFish = "so many fish of one lot (a parent: as at its first spawn here); square or circle: all of that sex"

// keys explains what the chart uses, and nothing else.
func (a *ancestry) keys() []key {
	used := map[string]bool{}
	for _, c := range a.cards {
		switch {
		case c.symbol.origin == unknown:
			used["unknown"] = true
		case c.symbol.number > 0:
			used["several"] = true
		default:
			used[c.symbol.sex.String()] = true
		}
		used[[...]string{"bred", "wild", "bought", ""}[c.symbol.origin]] = true
		used["dead"] = used["dead"] || c.symbol.dead
	}
	for _, l := range a.links {
		used["one parent"] = used["one parent"] || l.again == oneParent
		used["both parents"] = used["both parents"] || l.again == bothParents
		used["kin"] = used["kin"] || l.kin
		used["odds"] = used["odds"] || l.toUnion && l.share < 1
		used["of"] = used["of"] || l.label != "" && l.share == 1
	}
	var keys []key
	for _, k := range []struct {
		name string
		key  key
	}{
		{"male", key{sampleSymbol(symbol{sex: pedigree.Male}), "male"}},
		{"female", key{sampleSymbol(symbol{sex: pedigree.Female}), "female"}},
		{"unsexed", key{sampleSymbol(symbol{}), "sex not known"}},
		{"several", key{sampleSymbol(symbol{number: 5}), severalFish}},
		{"unknown", key{sampleSymbol(symbol{sex: pedigree.Male, origin: unknown}), "a parent that the book does not know"}},
		{"wild", key{sampleSwatch(wildFill), wildOr(a.book, "caught in the wild", aFounder)}},
		{"bought", key{sampleSwatch(boughtFill), "bought: its own ancestors are not in the book"}},
		{"bred", key{sampleSwatch(bredFill), wildOr(a.book, "bred in the book", "with a parent in the table")}},
		{"dead", key{sampleSymbol(symbol{sex: pedigree.Male, dead: true}), "dead"}},
		{"kin", key{sampleDouble, "the two parents are related"}},
		{"odds", key{sampleFan, "one of several candidates, or a part of all: the thinner the line, the less it counts"}},
		{"of", key{sampleOf, "one (or so many) of the fish of a lot; which is not known"}},
		{"both parents", key{sampleAgain(bothParents), "the same on the sire's side and on the dam's: from there comes inbreeding of " + a.subject()}},
		{"one parent", key{sampleAgain(oneParent), "the same in several ways, but through one parent only: no inbreeding of " + a.subject()}},
	} {
		if used[k.name] {
			keys = append(keys, k.key)
		}
	}
	return keys
}

func sampleDouble(d *Drawing, at point) {
	path := polyline(point{at.x - 14, at.y}, point{at.x + 14, at.y})
	d.draw(path, look{stroke: line, width: 4.4})
	d.draw(path, look{stroke: paper, width: 1.8})
}

func sampleFan(d *Drawing, at point) {
	for i, width := range []float64{1.5, 1, 0.7} {
		d.draw(flow(point{at.x - 14, at.y + 6*float64(i-1)}, point{at.x + 12, at.y}), look{stroke: line, width: width})
	}
	d.draw(circle(point{at.x + 12, at.y}, 3), look{fill: ink})
}

func sampleOf(d *Drawing, at point) {
	d.write(point{at.x, at.y + 3.5}, "1 of 3", word{size: smallSize, colour: faint, anchor: middle})
}

func sampleAgain(r recurrence) func(d *Drawing, at point) {
	return func(d *Drawing, at point) {
		ground := tint
		if r == oneParent {
			ground = paper
		}
		d.draw(rounded(at.x-14, at.y-7, 18, 14, 4), look{fill: ground, stroke: r.colour(), width: 2})
		d.draw(flow(point{at.x + 4, at.y - 3}, point{at.x + 15, at.y - 7}), look{stroke: r.colour(), width: 2.3})
		d.draw(flow(point{at.x + 4, at.y + 3}, point{at.x + 15, at.y + 7}), look{stroke: r.colour(), width: 2.3})
	}
}
