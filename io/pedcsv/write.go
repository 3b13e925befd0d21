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
	var full, empty [][]byte // what is written while the next is made
	for first := 0; first < t.Len() || len(full) > 0; first += n * piece {
		next := make([][]byte, 0, n)
		for i := range n {
			if first+i*piece < t.Len() {
				next = append(next, nil)
				if len(empty) > i {
					next[i] = empty[i][:0]
				}
			}
		}
		var err error
		parallel(len(next)+1, func(i int) {
			if i == len(next) {
				err = writeAll(w, full)
				return
			}
			from := first + i*piece
			to := min(from+piece, t.Len())
			next[i] = appendInbreeding(next[i], t.IDs[from:to], f[from:to])
		})
		if err != nil {
			return err
		}
		full, empty = next, full
	}
	return nil
}

func writeAll(w io.Writer, buffers [][]byte) error {
	for _, b := range buffers {
		if _, err := w.Write(b); err != nil {
			return err
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
