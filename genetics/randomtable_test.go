package genetics_test

import (
	"fmt"
	"math/rand/v2"

	"roebook/pedigree"
)

// tableShape says what a random table looks like.
type tableShape struct {
	fish     int
	year     int     // fish born in a year
	reach    int     // how many years back parents are drawn from
	sires    int     // of a year that breed, 0: any male
	dams     int     // the same
	half     float64 // share of fish with only one parent known
	founders float64 // share of later fish with neither
	family   int     // full sibs in a row
	selfing  bool    // sire and dam may be the same fish
}

// make draws a table. Even rows are male. Rows stand by birth.
func (s tableShape) make(seed uint64) *pedigree.Table {
	rng := rand.New(rand.NewPCG(seed, 77))
	t := newTestTable(s.fish)
	t.Born = make([]pedigree.Date, s.fish)
	for i := range s.fish {
		year := i / s.year
		t.Born[i] = pedigree.Date((1900+year)*10000 + 101 + 100*(i%s.year*12/s.year))
		if year == 0 || rng.Float64() < s.founders {
			continue
		}
		if s.family > 1 && i%s.family != 0 && i/s.year == (i-1)/s.year && t.Sire[i-1] >= 0 && t.Dam[i-1] >= 0 {
			t.Sire[i], t.Dam[i] = t.Sire[i-1], t.Dam[i-1]
			continue
		}
		t.Sire[i], t.Dam[i] = s.parent(rng, year, 0, s.sires), s.parent(rng, year, 1, s.dams)
		if s.selfing && rng.IntN(4) == 0 {
			t.Dam[i] = t.Sire[i]
		}
		if rng.Float64() < s.half {
			if rng.IntN(2) == 0 {
				t.Sire[i] = -1
			} else {
				t.Dam[i] = -1
			}
		}
	}
	return t
}

func newTestTable(n int) *pedigree.Table {
	t := &pedigree.Table{
		Name: "made up", IDs: make([]string, n), Sire: make([]int32, n), Dam: make([]int32, n), Sex: make([]pedigree.Sex, n),
	}
	for i := range n {
		t.IDs[i], t.Sire[i], t.Dam[i] = fmt.Sprintf("F%07d", i), -1, -1
		t.Sex[i] = pedigree.Sex(1 + i%2)
	}
	return t
}

// parent draws one of the breeders of one of the years before.
func (s tableShape) parent(rng *rand.Rand, year, odd, breeders int) int32 {
	from := year - 1 - rng.IntN(min(s.reach, year))
	n := s.year / 2
	if breeders > 0 {
		n = min(n, breeders)
	}
	return int32(from*s.year + 2*rng.IntN(n) + odd)
}

// shuffled returns the same fish in another order of rows, and where each row
// went.
func shuffled(t *pedigree.Table, rng *rand.Rand) (*pedigree.Table, []int) {
	n := t.Len()
	to := rng.Perm(n)
	out := newTestTable(n)
	out.Born = make([]pedigree.Date, n)
	if t.Living != nil {
		out.Living = make([]bool, n)
	}
	for i, j := range to {
		out.IDs[j], out.Sex[j], out.Born[j] = t.IDs[i], t.Sex[i], t.BornOn(i)
		if t.Living != nil {
			out.Living[j] = t.Living[i]
		}
		if s := t.Sire[i]; s >= 0 {
			out.Sire[j] = int32(to[s])
		}
		if d := t.Dam[i]; d >= 0 {
			out.Dam[j] = int32(to[d])
		}
	}
	return out, to
}

// tabularTable returns the kinships of all fish of a table whose rows stand by
// age, by the tabular method (Emik & Terrill 1949, Journal of Heredity 40:51,
// from memory) on a dense matrix.
func tabularTable(t *pedigree.Table) [][]float64 {
	n := t.Len()
	k := make([][]float64, n)
	cells := make([]float64, n*n)
	zero := make([]float64, n)
	for i := range k {
		k[i] = cells[i*n : (i+1)*n]
		s, d := zero, zero
		if t.Sire[i] >= 0 {
			s = k[t.Sire[i]]
		}
		if t.Dam[i] >= 0 {
			d = k[t.Dam[i]]
		}
		for j := range i {
			k[i][j] = (s[j] + d[j]) / 2
			k[j][i] = k[i][j]
		}
		k[i][i] = 0.5
		if t.Sire[i] >= 0 && t.Dam[i] >= 0 {
			k[i][i] = (1 + s[t.Dam[i]]) / 2
		}
	}
	return k
}
