package lettering

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"plain text", "plain text"},
		{"  two\n\tlines ", "two lines"},
		{"e\u0301", "é"},
		{"a\x00b\x1b[31mc\x7f", "ab[31mc"},
		{"abc\u202edef\u2066g\u200f", "abcdefg"},
		{"bad \xff utf8", "bad utf8"},
		{"長い話", "長い話"},
	} {
		if got := Clean(c.in); got != c.want {
			t.Errorf("Clean(%q) = %q, want %q", c.in, got, c.want)
		}
	}
	if got := Clean(strings.Repeat("é", 5000)); utf8.RuneCountInString(got) > 4*longest || !utf8.ValidString(got) {
		t.Errorf("%d characters", utf8.RuneCountInString(got))
	}
}

func TestFitIsNeverWiderThanTheRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		room := rapid.Float64Range(20, 300).Draw(t, "room")
		heavy := rapid.Bool().Draw(t, "heavy")
		got := Fit(text, 10, heavy, room)
		if w := Width(got, 10, heavy); w > room+1e-9 {
			t.Fatalf("%q is %v wide, the room is %v", got, w, room)
		}
		clean := Clean(text)
		kept := strings.TrimSuffix(got, Ellipsis)
		if got != clean && !strings.HasPrefix(clean, kept) {
			t.Fatalf("%q is no beginning of %q", got, clean)
		}
		if rest := strings.TrimPrefix(clean, kept); got != clean && rest != "" {
			if r, _ := utf8.DecodeRuneInString(strings.TrimLeft(rest, " ")); unicode.In(r, unicode.Mn) && kept != "" {
				t.Fatalf("%q parts a letter from its accent in %q", got, clean)
			}
		}
		for _, line := range Wrap(text, 10, heavy, room, 3) {
			if w := Width(line, 10, heavy); w > room+1e-9 {
				t.Fatalf("the line %q is %v wide, the room is %v", line, w, room)
			}
		}
	})
}

// What the fonts hold is what the package says: the scripts of keepers' names.
func TestScriptsThatPrint(t *testing.T) {
	for _, text := range []string{"Żółć Łąka ß é ů ñ ő", "Ελληνικά", "Українська мова", "Հայերեն", "ქართული", "שלום", "مرحبا بالعالم پچگ", "長良川 琵琶湖", "ひらがなカタカナ",
		"简体中文 泰国", "Đồng Tháp", "♂♀ × – … ‹◂ °C ½"} {
		if m := Missing(text); len(m) > 0 {
			t.Errorf("%q lacks %q", text, string(m))
		}
	}
	if got := string(Missing("ป้า नाम 🐟 한국어", "🐟 abc")); got == "" || strings.Contains(got, "a") || strings.Count(got, "🐟") != 1 {
		t.Errorf("missing: %q", got)
	}
	for _, run := range Runs("नाम", 10, false) {
		if strings.Trim(run.Text, "?") != "" {
			t.Errorf("what no font has is printed as %q", run.Text)
		}
	}
}

// The forms of an Arabic letter are what the Unicode Standard says they are
// forms of (UnicodeData.txt, by the normalization of golang.org/x/text), and stand
// for the letter alone, at the end, at the beginning and in the middle of a word.
func TestArabicForms(t *testing.T) {
	for letter, forms := range letters {
		for i, form := range forms {
			if form == 0 {
				continue
			}
			if got := norm.NFKC.String(string(form)); got != string(letter) {
				t.Errorf("form %d of %U is %U, which is one of %q", i, letter, form, got)
			}
		}
	}
	for alef, both := range lamAlef {
		for _, form := range []rune{both, both + 1} {
			if got := norm.NFKC.String(string(form)); got != "\u0644"+string(alef) {
				t.Errorf("%U is %q", form, got)
			}
		}
	}
	// "salam": seen initial, lam medial with alef final as one, meem alone
	// (The Unicode Standard, chapter 9.2, cursive joining; the word from memory).
	if got, want := join("سلام"), "\ufeb3\ufefc\ufee1"; got != want {
		t.Errorf("joined to %U, want %U", []rune(got), []rune(want))
	}
}

// Text from right to left stands in the order of the eye; what is Latin in it,
// and around it, keeps its own (Unicode Standard Annex 9).
func TestOrderOfTheEye(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"abc", "abc"},
		{"אבג", "גבא"},
		{"TF-1 אבג", "TF-1 גבא"},
	} {
		if got := string(visual(c.in)); got != c.want {
			t.Errorf("%q stands as %q, want %q", c.in, got, c.want)
		}
	}
}

func TestRunsCoverTheText(t *testing.T) {
	runs := Runs("TF-1 長良川 x", 10, true)
	text, x := "", 0.0
	for _, r := range runs {
		if r.X != x {
			t.Errorf("%q begins at %v, want %v", r.Text, r.X, x)
		}
		text, x = text+r.Text, x+r.Wide
	}
	if text != "TF-1 長良川 x" || len(runs) != 3 || RunsWidth(runs) != x {
		t.Errorf("%d runs, %q, %v wide", len(runs), text, x)
	}
	if w := Width(text, 10, true); w < x {
		t.Errorf("said to be %v wide, drawn %v", w, x)
	}
}
