package genetics_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"

	"roebook/pedigree"
)

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
// 24:305, as published (from memory: the walk through a fish's ancestors,
// youngest first, kept in a linked list by age; sibs that follow each other
// share the result). It does every step-th fish and takes the others' results
// from f. Rows stand by age.
func meuwissenLuo(t *pedigree.Table, f []float64, step int) {
	n := t.Len()
	point := make([]int32, n+1) // rows count from 1; 0 is unknown
	l, d := make([]float64, n+1), make([]float64, n+1)
	inbred := make([]float64, n+1)
	inbred[0] = -1
	for i := int32(1); i <= int32(n); i++ {
		sire, dam := t.Sire[i-1]+1, t.Dam[i-1]+1
		d[i] = 0.5 - 0.25*(inbred[sire]+inbred[dam])
		switch {
		case (int(i)-1)%step != 0:
			inbred[i] = f[i-1]
		case sire == 0 || dam == 0:
			inbred[i] = 0
		case i > 1 && sire == t.Sire[i-2]+1 && dam == t.Dam[i-2]+1:
			inbred[i] = inbred[i-1]
		default:
			inbred[i] = meuwissenLuoOne(t, i, point, l, d)
		}
		f[i-1] = inbred[i]
	}
}

func meuwissenLuoOne(t *pedigree.Table, i int32, point []int32, l, d []float64) float64 {
	f := -1.0
	l[i] = 1
	for j := i; j != 0; {
		k, half := j, l[j]/2
		sire, dam := t.Sire[j-1]+1, t.Dam[j-1]+1
		for _, p := range [2]int32{max(sire, dam), min(sire, dam)} {
			if p == 0 {
				continue
			}
			for point[k] > p {
				k = point[k]
			}
			l[p] += half
			if point[k] != p {
				point[p], point[k] = point[k], p
			}
		}
		f += l[j] * l[j] * d[j]
		l[j] = 0
		next := point[j]
		point[j] = 0
		j = next
	}
	return f
}
