package genetics_test

import (
	"bytes"
	"math/rand/v2"

	"roebook/pedigree"
)

// hatchery is a million fish: twenty generations of 50,000, in each of which 500
// sires and 1,000 dams breed.
func hatchery() *pedigree.Table {
	return discrete(20, 50000, 500, 1000)
}

// discrete draws generations of which some sires and dams breed; they are the
// first of their generation.
func discrete(generations, each, sires, dams int) *pedigree.Table {
	rng := rand.New(rand.NewPCG(1, 1))
	t := newTestTable(generations * each)
	for i := each; i < t.Len(); i++ {
		before := (i/each - 1) * each
		t.Sire[i] = int32(before + 2*rng.IntN(sires))
		t.Dam[i] = int32(before + 2*rng.IntN(dams) + 1)
	}
	return t
}

// openPond is 100,000 fish: ten generations of 10,000, any of which may be
// parents of the next.
func openPond() *pedigree.Table { return discrete(10, 10000, 5000, 5000) }

// overlapping is 200,000 fish in a hundred years; parents are up to twenty years
// older, three in four sires among ten favourites of their year.
func overlapping() *pedigree.Table {
	const years, each, reach, favourites = 100, 2000, 20, 10
	rng := rand.New(rand.NewPCG(2, 1))
	t := newTestTable(years * each)
	for i := each; i < t.Len(); i++ {
		year := i / each
		from := func() int { return (year - 1 - rng.IntN(min(reach, year))) * each }
		males := each / 2
		if rng.IntN(4) > 0 {
			males = favourites
		}
		t.Sire[i] = int32(from() + 2*rng.IntN(males))
		t.Dam[i] = int32(from() + 2*rng.IntN(each/2) + 1)
	}
	return t
}

// hall is generations of 2,000 of which 100 sires and 200 dams breed.
func hall(generations int) *pedigree.Table { return discrete(generations, 2000, 100, 200) }

// csvOf writes a table as plain text.
func csvOf(t *pedigree.Table) []byte {
	var b bytes.Buffer
	b.WriteString("id,sire,dam\n")
	for i, id := range t.IDs {
		b.WriteString(id)
		for _, p := range [2]int32{t.Sire[i], t.Dam[i]} {
			b.WriteByte(',')
			if p >= 0 {
				b.WriteString(t.IDs[p])
			}
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}
