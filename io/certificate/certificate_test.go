package certificate

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"html"
	"image"
	"image/color"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"pgregory.net/rapid"
)

// sample is the facts of a lot, invented.
func sample() *Facts {
	ref := func(v float64) *float64 { return &v }
	n := func(v int) *int { return &v }
	return &Facts{Format: Format, Program: "roebook of the tests", On: "2026-11-24",
		Book: Book{Name: "Pellmarsh Lane fishroom", Keeper: "Merrin Haldoway", Commit: strings.Repeat("0123456789", 4)},
		Line: Line{Name: "tessamora-ford", CommonName: "goldbreast splitfin", BroodWord: "litter", Living: 53, GeneDiversity: ref(0.8751319639903732)},
		Fish: []Fish{{ID: "TF-E3", Kind: "lot", Species: "Ilyodon furcidens", Locality: "Tessamora Ford, left bank", Status: "living",
			Count: ref(12), Males: ref(0), Females: ref(5), Unsexed: ref(7), Born: "2026-09-19", BredBy: "Merrin Haldoway", Origin: "young of litter TF-S17",
			Generation: Generation{2, 3.4, 5, "F2-F5", true, SecondOrLater}, Inbreeding: ref(0.0225), Relation: "about as close as second cousins",
			SelfKinship: ref(0.51), KinshipWithin: ref(0.26), MeanKinship: ref(0.15), RecordedAncestry: ref(0.95), EquivalentGenerations: ref(2.7),
			Ancestry: Ancestry{0.6979166666666667, 0.25, 0.05208333333333326},
			Founders: []Founder{{"TF-W2", 0.5, Wild, "pool above the ford", "2024", "Merrin Haldoway", ""}, {"TF-K1", 0.25, Bought, "", "2024", "Corvin Asterlow", "F3"},
				{"TF-W1", 0.1979166666666667, Wild, "below the ford", "2021", "", ""}},
			Loci:   []Locus{{"pale", "P/p", "", false}, {"spotted", "", "plain", false}},
			Spawns: []Spawn{{ID: "TF-S17", Date: "2026-09-19", Sire: "TF-D1a", Dam: "any one of the 3 females of TF-D3", Born: n(22), Kept: n(12)}},
		}}}
}

// Printed shares sum to the whole, and none is a unit or more off (the quota rule
// that the method of largest remainders keeps; Balinski & Young 1982, Fair
// Representation; from memory).
func TestApportion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shares := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 12).Draw(t, "shares")
		total := rapid.IntRange(0, 1000).Draw(t, "total")
		sum := 0.0
		for _, s := range shares {
			sum += s
		}
		if sum < 1e-6 {
			t.Skip("no shares")
		}
		whole := 0
		for i, units := range apportion(shares, total) {
			whole += units
			if off := float64(units) - shares[i]/sum*float64(total); off <= -1-1e-6 || off >= 1+1e-6 {
				t.Fatalf("share %v of %v is printed as %d of %d", shares[i], sum, units, total)
			}
		}
		if whole != total {
			t.Fatalf("%d in all, want %d", whole, total)
		}
	})
	// Of equal remainders the earlier wins; derived by hand.
	if got := apportion([]float64{1, 1, 1}, 1000); !slices.Equal(got, []int{334, 333, 333}) {
		t.Errorf("thirds: %v", got)
	}
}

// What a sheet prints of the founders sums to what it prints of their kinds, and
// these to 100 %.
func TestPartsSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		raw := rapid.SliceOfN(rapid.Float64Range(0.0001, 1), 1, 20).Draw(t, "founders")
		unknown := rapid.Float64Range(0, 1).Draw(t, "unknown")
		total := unknown
		for _, r := range raw {
			total += r
		}
		f := &Fish{Ancestry: Ancestry{Unknown: unknown / total}}
		for i, r := range raw {
			kind := Wild
			if i%3 == 1 {
				kind = Bought
				f.Ancestry.Bought += r / total
			} else {
				f.Ancestry.Wild += r / total
			}
			f.Founders = append(f.Founders, Founder{ID: fmt.Sprint(i), Kind: kind, Share: r / total})
		}
		p := partsOf(f)
		if p.wild+p.bought+p.unknown != tenths {
			t.Fatalf("%+v", p)
		}
		sums := map[string]int{}
		for i, founder := range f.Founders {
			sums[founder.Kind] += p.founders[i]
		}
		if sums[Wild] != p.wild || sums[Bought] != p.bought {
			t.Fatalf("founders %v, kinds %+v", sums, p)
		}
	})
}

// The QR code is read back by a decoder that shares nothing with the encoder.
func TestQRCodeReadsBack(t *testing.T) {
	for _, id := range []string{"TF-E3", "魚-1", "x" + strings.Repeat("y", 300), "<script>"} {
		f := sample()
		f.Fish[0].ID = id
		want := contentOf(f).Code
		rows, err := modules(want)
		if err != nil {
			t.Fatal(err)
		}
		const scale = 4
		size := (len(rows) + 2*quiet) * scale
		picture := image.NewGray(image.Rect(0, 0, size, size))
		for y := range size {
			for x := range size {
				row, column := y/scale-quiet, x/scale-quiet
				dark := row >= 0 && row < len(rows) && column >= 0 && column < len(rows) && rows[row][column]
				if !dark {
					picture.SetGray(x, y, color.Gray{255})
				}
			}
		}
		bitmap, err := gozxing.NewBinaryBitmapFromImage(picture)
		if err != nil {
			t.Fatal(err)
		}
		got, err := qrcode.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_CHARACTER_SET: "UTF-8"})
		if err != nil {
			t.Fatalf("%s: %v", id, err)
		}
		if got.GetText() != want {
			t.Errorf("read back %q, want %q", got.GetText(), want)
		}
		for _, part := range []string{f.Fingerprint(), f.Book.Commit} {
			if !strings.Contains(want, part) {
				t.Errorf("%q does not hold %q", want, part)
			}
		}
	}
}

// The known answer of SHA-256 (FIPS 180-4, example "abc"; from memory), and how a
// fingerprint is shown.
func TestFingerprint(t *testing.T) {
	abc := digest([]byte("abc"))
	if abc != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Error(abc)
	}
	if got := Grouped(abc); got != "ba78 16bf 8f01 cfea 4141" {
		t.Error(got)
	}
	if a, b := sample().Fingerprint(), sample().Fingerprint(); a != b {
		t.Errorf("%s and %s of the same facts", a, b)
	}
}

// Every kind of file reads back as the facts it was made of, and equal facts give
// equal bytes.
func TestWriteReadsBack(t *testing.T) {
	for _, kind := range []string{"html", "pdf", "json"} {
		for _, paper := range []Paper{A4, Letter} {
			file := must(Write(kind, sample(), nil, paper))
			if again := must(Write(kind, sample(), nil, paper)); !bytes.Equal(file, again) {
				t.Errorf("%s: other bytes of the same facts", kind)
			}
			sheet, err := Read(file)
			if err != nil {
				t.Fatalf("%s: %v", kind, err)
			}
			if sheet.Kind != kind || !bytes.Equal(sheet.Facts.Canonical(), sample().Canonical()) || !bytes.Equal(sheet.Body, file) {
				t.Errorf("%s reads back as %s", kind, sheet.Facts.Canonical())
			}
			if list := Compare(&sheet.Facts, sample()); len(list) > 0 || !SamePage(sheet, sample(), nil) {
				t.Errorf("%s: %v", kind, list)
			}
			for _, part := range []int{len(file) - 2, len(file) - 9, len(file) / 2, len(file) / 4} {
				if _, err := Read(file[:part]); err == nil {
					t.Errorf("%s cut at %d of %d reads", kind, part, len(file))
				}
			}
		}
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// textOf collects what the page of a PDF shows, in the order it is drawn.
func textOf(t *testing.T, file []byte) string {
	t.Helper()
	var out strings.Builder
	for part := range bytes.SplitSeq(file, []byte("stream\n")) {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		content, err := io.ReadAll(r)
		if err != nil || !bytes.Contains(content, []byte(" Tj")) {
			continue
		}
		for _, m := range regexp.MustCompile(`(?s)\(((?:\\.|[^\\)])*)\) Tj`).FindAllSubmatch(content, -1) {
			raw := regexp.MustCompile(`(?s)\\(.)`).ReplaceAllFunc(m[1], func(b []byte) []byte {
				if b[1] == 'r' {
					return []byte{'\r'}
				}
				return b[1:]
			})
			var units []uint16
			for i := 0; i+1 < len(raw); i += 2 {
				units = append(units, uint16(raw[i])<<8|uint16(raw[i+1]))
			}
			out.WriteString(string(utf16.Decode(units)) + "\n")
		}
	}
	return out.String()
}

// The PDF says what the HTML says: all texts of the page, on one page of the size
// asked for.
func TestPDFSaysTheSame(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		file := must(Write("pdf", sample(), nil, paper))
		got := strings.ReplaceAll(textOf(t, file), "\n", " ")
		c := contentOf(sample())
		texts := []string{c.House, c.Species, c.Common, c.Locality, c.ID, c.Who, c.Label, c.Generation, c.Treaty, c.Word, c.Groups, c.State}
		for _, f := range c.Figures {
			texts = append(texts, f.Name, f.Value, f.Words)
		}
		for _, o := range c.Origins {
			texts = append(texts, o.Percent, o.Words)
		}
		for _, f := range c.Founders {
			texts = append(texts, f.Percent, f.ID, f.Words)
		}
		for _, d := range c.Details {
			texts = append(texts, d.Label, d.Words)
		}
		texts = append(texts, c.Not...)
		page := string(must(Write("html", sample(), nil, paper)))
		for _, text := range texts {
			if !strings.Contains(got, text) {
				t.Errorf("the PDF does not say %q", text)
			}
			if !strings.Contains(page, html.EscapeString(text)) {
				t.Errorf("the HTML does not say %q", text)
			}
		}
		if n := bytes.Count(file, []byte("/Type /Page\n")); n != 1 {
			t.Errorf("%d pages", n)
		}
		if size := fmt.Sprintf("[0 0 %.2f %.2f]", paper.Width, paper.Height); !bytes.Contains(file, []byte(size)) {
			t.Errorf("the page is not %s", size)
		}
	}
}

// The words of generations, for each kind of story.
func TestGenerationInWords(t *testing.T) {
	for _, c := range []struct {
		g     Generation
		words string
		rule  string
	}{
		{Generation{0, 0, 0, "F0", false, FromTheWild}, "from the wild itself", "so of the wild"},
		{Generation{1, 1, 1, "F1", false, FirstGeneration}, "first generation from the wild", "First generation (F1)"},
		{Generation{1, 3.5, 6, "F1-F6", true, FirstGeneration}, "first to sixth generation from the wild", "First generation (F1)"},
		{Generation{1, 1, 1, "F1+", false, FirstGeneration}, "at least first generation from the wild, for the origin of an ancestor is not known", "First generation (F1)"},
		{Generation{2, 3, 4, "F2-F4", false, SecondOrLater}, "second to fourth generation from the wild", "Second generation or later"},
		{Generation{2, 2, 2, "F2+", false, SecondOrLater}, "at least second generation from the wild, for the origin of an ancestor is not known", "as far as the book knows"},
		{Generation{1, 2, 4, "F1-F4+", false, NotCertain}, "at least first to fourth generation from the wild, for the origin of an ancestor is not known", "cannot be told"},
		{Generation{12, 12, 12, "F12", false, SecondOrLater}, "12th generation from the wild", "Second generation or later"},
	} {
		if got := c.g.inWords(); got != c.words {
			t.Errorf("%s: %q, want %q", c.g.Label, got, c.words)
		}
		if got := c.g.byTreaty(); !strings.Contains(got, c.rule) {
			t.Errorf("%s: %q does not say %q", c.g.Label, got, c.rule)
		}
	}
	for n, want := range map[int]string{3: "third", 11: "11th", 12: "12th", 21: "21st", 22: "22nd", 23: "23rd", 111: "111th"} {
		if got := ordinal(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
}

// A species is on the page whole, however small, or the page says that it is not.
func TestLongSpecies(t *testing.T) {
	for _, c := range []struct {
		species string
		cut     bool
	}{
		{"Poecilia reticulata", false},
		{"Cynotilapia zebroides, the dark-dorsal form from the second reef north of the landing at Lupingu Point, as sold", false},
		{strings.Repeat("Lamprologus ", 200), true},
		{strings.Repeat("Long", 400), true},
	} {
		f := sample()
		f.Fish[0].Species = c.species
		text := textOf(t, must(Write("pdf", f, nil, A4)))
		whole := strings.Join(strings.Fields(c.species), " ")
		if got := strings.Contains(strings.Join(strings.Fields(text), " "), whole); got == c.cut {
			t.Errorf("%.30s… is there whole: %v\n%.300s", c.species, got, text)
		}
		if told := strings.Contains(strings.Join(strings.Fields(text), " "), "have it whole"); told != c.cut {
			t.Errorf("%.30s… is said to be cut: %v", c.species, told)
		}
	}
}

// A sire that nobody saw in the wild is not called a parent that nobody knows.
func TestUnseenWildSire(t *testing.T) {
	f := sample()
	fish := &f.Fish[0]
	fish.Founders, fish.Ancestry = fish.Founders[:1], Ancestry{0.5, 0, 0.5}
	fish.Generation = Generation{Label: "F0", CITES: FromTheWild}
	fish.Spawns[0].UnseenWildSire = true
	page := string(must(Write("html", f, nil, A4)))
	for _, words := range []string{"and in a wild sire that nobody saw.", "part of it is from a wild sire that nobody saw.", "unknown: a wild sire", "50.0 %"} {
		if !strings.Contains(page, words) {
			t.Errorf("%q is not on the page", words)
		}
	}
	if strings.Contains(page, "does not know") || strings.Contains(page, "nobody knows") {
		t.Error("the sire is called unknown without saying that it was wild")
	}
	// Where more is unknown than half, that is said too.
	fish.Ancestry = Ancestry{0.25, 0, 0.75}
	page = string(must(Write("html", f, nil, A4)))
	for _, words := range []string{"in a wild sire that nobody saw and in parents that the book does not know.", "nobody knows"} {
		if !strings.Contains(page, words) {
			t.Errorf("%q is not on the page", words)
		}
	}
}

// What was inferred is told apart from what was stated.
func TestInferredLoci(t *testing.T) {
	got := lociWords([]Locus{{"pale", "P/p", "", false}, {"spotted", "s/s", "plain", true}, {"dark", "", "dark", false}, {"veil", "v/v", "", true}})
	if want := "pale P/p; dark: looks dark; inferred from the records: spotted s/s (looks plain), veil v/v"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
