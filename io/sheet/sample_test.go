package sheet

import (
	"os"
	"testing"

	"roebook/pedigree"
)

func n(value int) *int           { return &value }
func f(value float64) *float64   { return &value }
func day(s string) pedigree.Date { d, err := pedigree.ParseDate(s); must(err); return d }

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// samples are a livebearer litter with counts, a planned group spawn and a
// proposed pair with long names. Invented.
func samples() []Litter {
	return []Litter{
		{ID: "AS-S2", Line: "Amber Spring", Species: "Xenotoca exempli", CommonName: "jewelled splitfin", Locality: "Amber Spring, upper pool",
			BroodWord: "litter", Livebearer: true, Status: "recorded", Date: day("2026-02-20"),
			Sire:       Parent{ID: "AS-W1", Words: "any one of the 3 males of AS-W1", Origin: "wild-caught, upper pool, 2021", Tank: "R1", Generation: "F0"},
			Dam:        Parent{ID: "AS-W1", Words: "any one of the 4 females of AS-W1", Origin: "wild-caught, upper pool, 2021", Tank: "R1", Generation: "F0"},
			Inbreeding: f(0), InbreedingWords: "the parents are not known to be kin", Generation: "F1", GenerationWords: "first generation from the wild",
			Goal: "the line's limit is 12.5 %", Born: n(31), Swimming: n(29), Kept: n(6), Deformed: n(1), Culled: n(1), Lost: n(2),
			Tanks: []string{"R1", "R2", "nursery, left", "nursery, right"}, Notes: "Dam kept apart from 18 February. Fry taken out the same morning."},
		{ID: "BD-S7", Line: "Brook danio", Species: "Danio exempli", CommonName: "brook danio", Locality: "ford below the mill", BroodWord: "spawn",
			Status: "planned for 2026-12-01", Date: day("2026-12-01"),
			Sire:       Parent{ID: "BD-F3", Words: "any of the 8 males of the group", Origin: "bred here from BD-S4, 2024", Tank: "G3", Generation: "F3"},
			Dam:        Parent{ID: "BD-F3", Words: "any of the 11 females of the group", Origin: "bred here from BD-S4, 2024", Tank: "G3", Generation: "F3"},
			Inbreeding: f(0.25), InbreedingWords: "as close as young of brother and sister", Generation: "F4", GenerationWords: "fourth generation from the wild",
			Goal: "the line's limit is 12.5 %: this is above it", Tanks: []string{"G1", "G2", "G3"}},
		{ID: "ĆW-W1a-naranja-del-río-Ñandú x ČW-F2-多紋葉鱂-上池", Line: "Ćwikła × 多紋葉鱂", Species: "Xenotoca exempli", CommonName: "多紋葉鱂 (jewelled splitfin)",
			Locality: "Manantial Ámbar, poza de arriba", BroodWord: "litter", Livebearer: true, Status: "proposed pair",
			Sire: Parent{ID: "ĆW-W1a-naranja-del-río-Ñandú", Words: "the big orange male with the notched tail, picked out of the first wild lot in November 2021",
				Origin: "wild-caught, Manantial Ámbar, poza de arriba, caught by the keeper and two friends, 2021", Tank: "rack 1, bottom row, third from the left", Generation: "F0"},
			Dam:        Parent{ID: "ČW-F2-多紋葉鱂-上池", Words: "any one of the 2 females", Origin: "bred here from ČW-S2, 2022", Tank: "R12", Generation: "F1"},
			Inbreeding: f(0.0625), InbreedingWords: "as close as first cousins' young", Generation: "F1-F2",
			GenerationWords: "one parent is wild-caught, so the young are first generation by the CITES rule (Conf. 10.16)",
			Goal:            "the line's limit is 12.5 %", Tanks: []string{"R1", "R12"},
			Notes: "Best of the ranking on 1 November. The female has had a litter of another male: wait three months, she does not store sperm but may be carrying."},
	}
}

// planned is a livebearer litter to come, with much to beware of. Invented.
func planned() Litter {
	return Litter{ID: "AS-S9", Line: "Amber Spring", Species: "Xenotoca exempli", BroodWord: "litter", Livebearer: true,
		Status: "planned for 2026-12-12", Date: day("2026-12-12"), Sire: Parent{ID: "unknown", Words: "unknown; taken as related to no other fish"},
		Dam:        Parent{ID: "AS-B2a", Words: "“Nine”", Origin: "bought of a friend, 2025", Tank: "Q1", Generation: "F4"},
		Inbreeding: f(0.5528), Generation: "F5", GenerationWords: "second generation or later", Declared: true,
		Goal: "the line's limit is 12.5 %: this is above it", Tanks: []string{"R1"},
		Beware: []string{"AS-B2a is still in quarantine until 2026-12-19", "over the line's limit of 12.5 %", " "}}
}

func sampleOptions() Options {
	return Options{BookName: "Splitfins & danios", Keeper: "R. Example", Fingerprint: "3f9a2c71d0e4b8aa", On: day("2026-11-24"), Paper: "A4"}
}

// TestSample writes the samples where ROEBOOK_SHEET_SAMPLE says, to look at.
func TestSample(t *testing.T) {
	file := os.Getenv("ROEBOOK_SHEET_SAMPLE")
	if file == "" {
		t.Skip("set ROEBOOK_SHEET_SAMPLE to a file name to look at the sheets")
	}
	must(os.WriteFile(file, written(t, append(samples(), full(), planned()), sampleOptions()), 0o644))
}
