package pedcsv

import (
	"io"
	"strconv"
	"strings"

	"roebook/pedigree"
)

// WriteInbreeding writes a table id,inbreeding with a row for each row of t, in
// its order: numbers with as few digits as give back the same number, ids in
// quotes where they need them. O(rows).
func WriteInbreeding(w io.Writer, t *pedigree.Table, f []float64) error {
	if _, err := io.WriteString(w, "id,inbreeding\n"); err != nil {
		return err
	}
	const piece = 1 << 14 // rows
	n := workers(16 * t.Len())
	buffers := make([][]byte, n)
	for first := 0; first < t.Len(); first += n * piece {
		parallel(n, func(i int) {
			from := min(first+i*piece, t.Len())
			to := min(from+piece, t.Len())
			buffers[i] = appendInbreeding(buffers[i][:0], t.IDs[from:to], f[from:to])
		})
		for _, b := range buffers {
			if _, err := w.Write(b); err != nil {
				return err
			}
		}
	}
	return nil
}

func appendInbreeding(b []byte, ids []string, f []float64) []byte {
	last, from, to := -1.0, 0, 0 // sibs often stand together
	for i, id := range ids {
		b = append(appendCell(b, id), ',')
		if f[i] == last {
			b = append(b, b[from:to]...)
		} else {
			from, last = len(b), f[i]
			b = strconv.AppendFloat(b, f[i], 'g', -1, 64)
			to = len(b)
		}
		b = append(b, '\n')
	}
	return b
}

func appendCell(b []byte, text string) []byte {
	plain := true
	for _, c := range []byte(text) {
		plain = plain && c != ',' && c != '"' && c != '\r' && c != '\n'
	}
	if plain {
		return append(b, text...)
	}
	b = append(b, '"')
	b = append(b, strings.ReplaceAll(text, `"`, `""`)...)
	return append(b, '"')
}
