package certificate

import (
	"fmt"
	"strings"

	"github.com/boombuler/barcode/qr"

	"roebook/io/lettering"
)

// code is what the QR code holds: what the sheet is of, the commit and the whole
// fingerprint, a line each.
func code(f *Facts, fingerprint string) string {
	const room = 60 // characters
	ids := ""
	for i, id := range f.IDs() {
		longer := strings.TrimPrefix(ids+" "+lettering.Clean(id), " ")
		if len([]rune(longer)) > room {
			ids = strings.TrimSpace(fmt.Sprintf("%s +%d", ids, len(f.Fish)-i))
			break
		}
		ids = longer
	}
	commit := orElse(f.Book.Commit, "none")
	if f.Book.Uncommitted {
		commit += " +changes"
	}
	return Format + "\nof " + ids + "\ncommit " + commit + "\nsha256 " + fingerprint + "\n"
}

// modules returns the dark fields of a QR code (ISO/IEC 18004) row by row, with
// 15 % of it to spare (level M), without the quiet zone around it.
func modules(text string) ([][]bool, error) {
	image, err := qr.Encode(text, qr.M, qr.Unicode)
	if err != nil {
		return nil, fmt.Errorf("the QR code cannot be made: %w", err)
	}
	size := image.Bounds().Dx()
	rows := make([][]bool, size)
	for y := range rows {
		rows[y] = make([]bool, size)
		for x := range size {
			r, _, _, _ := image.At(x, y).RGBA()
			rows[y][x] = r == 0
		}
	}
	return rows, nil
}

// quiet is the white rim that readers ask for, in modules.
const quiet = 4
