package locus

import (
	"math"

	"roebook/pedigree"
)

// founderOfLot makes a fish of a founder lot. Siblings share two unknown
// parents, half-siblings an unknown sire. Of any other kinship k up to a
// quarter, a fish is one of such siblings with the chance √(4k), else unrelated;
// above, a copy of one and the same fish with the chance √(2k/(1+F)).
func (b *builder) founderOfLot(who string, lot *pedigree.Stock, sex pedigree.Sex) int {
	kinship, inbreeding := 0.0, 0.0
	if lot.Wild != nil || lot.Bought != nil {
		kinship = kinshipOf(lot)
	}
	if lot.Bought != nil {
		inbreeding = lot.Bought.Inbreeding
	}
	const near = 1e-9
	switch {
	case kinship < near:
		return b.founder(sex, inbreeding)
	case math.Abs(kinship-0.125) < near:
		f := b.virtual(lot.ID)
		return b.fry(who, &family{[2]side{f.sides[0], {[]int{b.founder(pedigree.Female, 0)}, []float64{1}}}})
	case kinship < 0.25+near:
		p := math.Sqrt(4 * kinship)
		young := b.fry(who, b.virtual(lot.ID))
		if p > 1-near {
			return young
		}
		return b.choose(who+" kin", []int{young, b.founder(sex, inbreeding)}, []float64{p, 1 - p}, nil)
	}
	key := onlyOne{lot.ID, sex}
	if b.sys.sexes == "" {
		key.sex = pedigree.Unsexed
	}
	one, ok := b.strain[key]
	if !ok {
		one = b.founder(sex, inbreeding)
		b.strain[key] = one
	}
	p := math.Sqrt(2 * kinship / (1 + inbreeding))
	if p > 1-near {
		p = 1
	}
	return b.choose(who+" kin", []int{one, b.founder(sex, inbreeding)}, []float64{p, 1 - p}, nil)
}

// virtual is the family of the unknown parents that the siblings of a founder
// lot share.
func (b *builder) virtual(lot string) *family {
	key := "lot " + lot
	if b.families[key] == nil {
		one := func(sex pedigree.Sex) side { return side{[]int{b.founder(sex, 0)}, []float64{1}} }
		b.families[key] = &family{[2]side{one(pedigree.Male), one(pedigree.Female)}}
	}
	return b.families[key]
}

// kinshipOf is the kinship of two fish of a founder lot.
func kinshipOf(founder *pedigree.Stock) float64 {
	if founder.Wild != nil {
		return founder.Wild.Related
	}
	return founder.Bought.Kinship()
}
