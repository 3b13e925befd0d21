package main

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"roebook/pedigree"
)

// Wording and layout: common practice, no source.

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{percent(0.125), "12.50 %"}, {percent(0), "0.00 %"}, {percent(1), "100.00 %"}, {percent(1.0 / 64), "1.56 %"}, {percent(1e-9), "under 0.01 %"},
		{percentCell(0.25), "25.00 %"}, {kin(0.125), "0.1250"}, {kin(0.03125), "0.0313"}, {kin(0), "0.0000"}, {kin(-1e-18), "0.0000"}, {effective(4), "4.0"}, {effective(10.25), "10.3"},
		{amount(3), "3"}, {amount(2.5), "2.5"}, {amount(100), "100"}, {count(1, "male"), "1 male"}, {count(2.5, "male"), "2.5 males"},
		{countWords(2, "litter"), "2 litters"}, {countWords(2, "clutch"), "2 clutches"}, {countWords(3, "young fish"), "3 young fish"},
		{census(pedigree.Numbers{Males: 1, Females: 2, Unsexed: 3}), "1 male, 2 females and 3 unsexed fish"}, {census(pedigree.Numbers{}), "no fish"},
		{either([]string{"a", "b", "c"}), "a, b or c"}, {some([]string{"a", "b", "c", "d"}, 2), "a, b and 2 more"},
		{didYouMean("TF-D1", []string{"GD-D1", "TF-D2", "X"}), "; did you mean TF-D2?"}, {didYouMean("QQQQ", []string{"TF-D1"}), ""},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

func TestShareArgument(t *testing.T) {
	for text, want := range map[string]float64{"0.125": 0.125, "12.5%": 0.125, "12.5 %": 0.125, "0": 0, "1": 1, "100%": 1} {
		if got, err := share(text); err != nil || math.Abs(got-want) > 1e-15 {
			t.Errorf("%q: %v, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "x", "2", "-0.1", "101%", "NaN", "Inf", "%", "0x0.2p0", "1e-1", "+0.1", "inf", "0_1"} {
		if got, err := share(text); err == nil {
			t.Errorf("%q: %v, want an error", text, got)
		}
	}
}

// The generation words follow CITES Resolution Conf. 10.16 (Rev.): first
// generation, and second or later.
func TestGenerationWords(t *testing.T) {
	for _, c := range []struct {
		g      pedigree.Generation
		wholly bool
		want   string
	}{
		{pedigree.Generation{}, false, "F0: wild-caught, or conceived in the wild"},
		{pedigree.Generation{Min: 1, Max: 1, Mean: 1}, false, "F1: first generation, counted from the parent nearest the wild, as CITES Conf. 10.16 does"},
		{pedigree.Generation{Min: 1, Max: 1, Mean: 1, AtLeast: true}, false, "F1+: first generation or later, counted from the parent nearest the wild, " +
			"as CITES Conf. 10.16 does; the + says at least, for an ancestor's origin is not known"},
		{pedigree.Generation{Min: 2, Max: 3, Mean: 2.5, Declared: true}, false, "F2-F3: second generation or later, counted from the parent nearest the wild, " +
			"as CITES Conf. 10.16 does; counted otherwise: least 2, mean 2.5, greatest 3; in part on a seller's word"},
		{pedigree.Generation{Min: 3, Max: 3, Mean: 3, Declared: true}, true, "F3: second generation or later, counted from the parent nearest the wild, " +
			"as CITES Conf. 10.16 does; on a seller's word"},
	} {
		if diff := cmp.Diff(c.want, generationWords(c.g, c.wholly)); diff != "" {
			t.Error(diff)
		}
	}
}

func TestClean(t *testing.T) {
	if got := clean("a\x1b[2Jb\rc\u202ed\u009be\tf"); got != "a?[2Jb?c?d?e f" {
		t.Errorf("%q", got)
	}
}

func TestColumns(t *testing.T) {
	for text, want := range map[string]int{"abc": 3, "Ñandú": 5, "e\u0301": 1, "多紋": 4, "": 0} {
		if got := columnsOf(text); got != want {
			t.Errorf("%q: %d columns, want %d", text, got, want)
		}
	}
}

// Wrapping loses no word and keeps to the width where words allow.
func TestWrapKeepsWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.StringMatching(`[a-z%]{1,18}`)).Draw(t, "words"), " ")
		lines := wrap(text, 24)
		if got := strings.Join(lines, " "); got != text {
			t.Fatalf("%q became %q", text, got)
		}
		for _, line := range lines {
			if columnsOf(line) > 24 && !strings.Contains(line, " %") {
				t.Fatalf("%q is too wide", line)
			}
		}
	})
}

// Parts as shown add up to the total as shown, none off by more than a step.
func TestRoundedParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Float64Range(-0.02, 0.3), 1, 20).Draw(t, "parts")
		total, shown := 0.0, 0
		for _, part := range parts {
			total += part
		}
		for i, units := range rounded(parts, total) {
			shown += units
			if math.Abs(float64(units)-parts[i]*kinUnits) > 1.5+1e-6 {
				t.Fatalf("%v is shown as %d steps", parts[i], units)
			}
		}
		if shown != int(math.Round(total*kinUnits)) {
			t.Fatalf("%d steps shown of %v", shown, total)
		}
	})
}
