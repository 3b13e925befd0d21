package genetics_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"time"

	"roebook/genetics"
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

// bareCSV is the yardstick for reading: a loop that does nothing.
func bareCSV(text []byte) (rows int) {
	reader := csv.NewReader(bytes.NewReader(text))
	reader.ReuseRecord = true
	for {
		if _, err := reader.Read(); errors.Is(err, io.EOF) {
			return rows
		} else if err != nil {
			panic(err)
		}
		rows++
	}
}

// meuwissenLuo is the method of Meuwissen & Luo (1992), Genet. Sel. Evol.
// 24:305, as published (from memory of the algorithm and its linked list of
// ancestors): fish by fish, each with its whole ancestry, youngest ancestor
// first; full sibs that follow each other share the result. It does the fish
// from first to end and needs f of those before.
func meuwissenLuo(t *pedigree.Table, f []float64, first, end int) {
	n := t.Len()
	point := make([]int32, n+1)
	l, d := make([]float64, n+1), make([]float64, n+1)
	inbred := make([]float64, n+1)
	inbred[0] = -1
	sire := func(i int32) int32 { return t.Sire[i-1] + 1 } // 0 is unknown
	dam := func(i int32) int32 { return t.Dam[i-1] + 1 }
	for i := int32(1); i <= int32(n); i++ {
		if int(i) <= first {
			inbred[i] = f[i-1]
		}
		is, id := sire(i), dam(i)
		if int(i) > end {
			break
		}
		if int(i) > first {
			d[i] = 0.5 - 0.25*(inbred[is]+inbred[id])
		} else {
			d[i] = 0.5 - 0.25*(inbred[is]+inbred[id])
			continue
		}
		switch {
		case is == 0 || id == 0:
			inbred[i] = 0
		case i > 1 && is == sire(i-1) && id == dam(i-1) && int(i-1) > first:
			inbred[i] = inbred[i-1]
		default:
			fi := -1.0
			l[i] = 1
			for j := i; j != 0; {
				k, r := j, 0.5*l[j]
				ks, kd := max(sire(k), dam(k)), min(sire(k), dam(k))
				if ks > 0 {
					for point[k] > ks {
						k = point[k]
					}
					l[ks] += r
					if ks != point[k] {
						point[ks] = point[k]
						point[k] = ks
					}
					if kd > 0 {
						for point[k] > kd {
							k = point[k]
						}
						l[kd] += r
						if kd != point[k] {
							point[kd] = point[k]
							point[k] = kd
						}
					}
				}
				fi += l[j] * l[j] * d[j]
				l[j] = 0
				k = j
				j = point[j]
				point[k] = 0
			}
			inbred[i] = fi
		}
		f[i-1] = inbred[i]
	}
}

// best returns the shortest of some runs: other loads share the machine.
func best(runs int, f func()) time.Duration {
	shortest := time.Duration(math.MaxInt64)
	for range runs {
		start := time.Now()
		f()
		shortest = min(shortest, time.Since(start))
	}
	return shortest
}

func compileTable(tb interface{ Fatal(...any) }, t *pedigree.Table, o genetics.TableOptions) *genetics.TableModel {
	m, err := genetics.CompileTable(context.Background(), t, o)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}
