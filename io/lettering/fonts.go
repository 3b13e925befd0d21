package lettering

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"io"
	"slices"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The fonts, see fonts/LICENSES.txt. DejaVu has Latin, Greek, Cyrillic,
// Armenian, Georgian, Hebrew and Arabic; the other one Chinese and Japanese.
// What neither has, such as Korean and Thai, is named by [Missing].
var (
	//go:embed fonts/DejaVuSansCondensed.ttf.gz
	regularFile []byte
	//go:embed fonts/DejaVuSansCondensed-Bold.ttf.gz
	boldFile []byte
	//go:embed fonts/DroidSansFallbackFull.ttf.gz
	wideFile []byte
)

// Font is one of the embedded fonts. It may be used by several goroutines at
// once.
type Font struct {
	Name   string
	packed []byte
	once   sync.Once
	data   []byte
	parsed *sfnt.Font
	units  float64 // in an em

	mu       sync.Mutex
	buffer   sfnt.Buffer
	advances map[rune]float64
}

var (
	regular = &Font{Name: "regular", packed: regularFile, advances: map[rune]float64{}}
	bold    = &Font{Name: "bold", packed: boldFile, advances: map[rune]float64{}}
	wide    = &Font{Name: "wide", packed: wideFile, advances: map[rune]float64{}}
)

// Data returns the font file (TrueType).
func (f *Font) Data() []byte {
	f.load()
	return f.data
}

func (f *Font) load() {
	f.once.Do(func() {
		r, err := gzip.NewReader(bytes.NewReader(f.packed))
		if err == nil {
			f.data, err = io.ReadAll(r)
		}
		if err == nil {
			f.parsed, err = sfnt.Parse(f.data)
		}
		if err != nil {
			panic("an embedded font cannot be read: " + err.Error())
		}
		f.units = float64(f.parsed.UnitsPerEm())
	})
}

// has reports whether the font has a glyph for the character.
func (f *Font) has(r rune) bool { return f.advance(r) >= 0 }

// Advance is the width of a character in ems, 0 for marks that stand on the
// letter before them.
func (f *Font) Advance(r rune) float64 {
	if unicode.In(r, unicode.Mn, unicode.Me) {
		return 0
	}
	return max(0, f.advance(r))
}

// advance is the width of a character in ems, -1 where the font lacks it.
func (f *Font) advance(r rune) float64 {
	f.load()
	f.mu.Lock()
	defer f.mu.Unlock()
	if a, ok := f.advances[r]; ok {
		return a
	}
	a := -1.0
	if i, err := f.parsed.GlyphIndex(&f.buffer, r); err == nil && i != 0 {
		if w, err := f.parsed.GlyphAdvance(&f.buffer, i, fixed.I(int(f.units)), font.HintingNone); err == nil {
			a = float64(w) / 64 / f.units
		}
	}
	f.advances[r] = a
	return a
}

// Outline returns the outline of a character in ems, y downwards; nil where the
// font lacks it or it has none.
func (f *Font) Outline(r rune) sfnt.Segments {
	f.load()
	f.mu.Lock()
	defer f.mu.Unlock()
	i, err := f.parsed.GlyphIndex(&f.buffer, r)
	if err != nil || i == 0 {
		return nil
	}
	segments, err := f.parsed.LoadGlyph(&f.buffer, i, fixed.I(Scale), nil)
	if err != nil {
		return nil
	}
	return slices.Clone(segments)
}

// Scale is how many whole units the em of an outline has.
const Scale = 1024

// fontOf returns the font that draws a character, nil where none has it.
func fontOf(r rune, heavy bool) *Font {
	first := regular
	if heavy {
		first = bold
	}
	switch {
	case first.has(r):
		return first
	case r < 0x1100: // scripts that the other one has not either
		return nil
	case wide.has(r):
		return wide
	}
	return nil
}

// substitute stands in print for a character that no font has.
const substitute = '?'

// slack is how much more room is kept than the letters take.
const slack = 1.02

// Width returns how much room a text takes at a size (any unit, as the size)
// in the embedded fonts or in a viewer's common sans-serif ones, whichever is
// wider.
func Width(text string, size float64, heavy bool) float64 {
	w := 0.0
	for _, r := range text {
		w += advance(r, heavy)
	}
	return w * size * slack
}

func advance(r rune, heavy bool) float64 {
	if unicode.In(r, unicode.Mn, unicode.Me) {
		return 0
	}
	f := fontOf(r, heavy)
	switch {
	case f == nil:
		return 1
	case r > '~' || r < ' ':
		return f.advance(r)
	case heavy:
		return max(f.advance(r), float64(plainWidths[1][r-' '])/1000)
	}
	return max(f.advance(r), float64(plainWidths[0][r-' '])/1000)
}

// Missing returns the characters of some texts that no embedded font has, each
// once, sorted: print shows a question mark for them.
func Missing(texts ...string) []rune {
	var list []rune
	for _, text := range texts {
		for _, r := range Clean(text) {
			if r > '~' && fontOf(r, false) == nil {
				list = append(list, r)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}
