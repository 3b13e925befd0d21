package pedigree

import "testing"

// What CITES Resolution Conf. 10.16 (Rev.) calls first generation: at least one
// parent taken from the wild or conceived there (seen in a glossary that quotes
// it), whatever the other is; second or later: neither (from memory).
func TestCaptivity(t *testing.T) {
	declared := func(lo, hi int, plus bool) *Declared { return &Declared{lo, hi, plus} }
	book := &Book{Stock: []*Stock{
		{ID: "wild-male", Sex: Male, Wild: &Wild{}},
		{ID: "wild-female", Sex: Female, Wild: &Wild{}},
		{ID: "bought-f5", Sex: Female, Bought: &Bought{Generation: declared(5, 5, false)}},
		{ID: "bought-f1", Sex: Male, Bought: &Bought{Generation: declared(1, 1, false)}},
		{ID: "bought-f0", Sex: Male, Bought: &Bought{Generation: declared(0, 0, false)}},
		{ID: "bought-plus", Sex: Male, Bought: &Bought{Generation: declared(2, 2, true)}},
		{ID: "bought", Sex: Female, Bought: &Bought{}},
		{ID: "f1", Sex: Female, FromSpawns: []FromSpawn{{"both wild", 1}}},
		{ID: "f1 of the lot", Sex: Male, Picked: "lot"},
		{ID: "lot", Lot: true, Count: Count{Unsexed: 8}, FromSpawns: []FromSpawn{{"both wild", 1}}},
		{ID: "caught carrying", Sex: Female, FromSpawns: []FromSpawn{{"conceived", 1}}},
		{ID: "of two", Lot: true, Count: Count{Unsexed: 8}, FromSpawns: []FromSpawn{{"both wild", 4}, {"both f1", 4}}},
	}, Spawns: []*Spawn{
		{ID: "both wild", Sire: sideOf("wild-male"), Dam: sideOf("wild-female")},
		{ID: "conceived", Dam: sideOf("wild-female"), ConceivedWild: true},
		{ID: "wild and bought", Sire: sideOf("wild-male"), Dam: sideOf("bought-f5")},
		{ID: "wild and unknown", Sire: sideOf("wild-male")},
		{ID: "unknown and wild", Dam: sideOf("wild-female")},
		{ID: "wild by a seller's word", Sire: sideOf("bought-f0"), Dam: sideOf("bought-f5")},
		{ID: "conceived and bought", Sire: sideOf("bought-f1"), Dam: sideOf("caught carrying")},
		{ID: "both f1", Sire: sideOf("f1 of the lot"), Dam: sideOf("f1")},
		{ID: "bought pair", Sire: sideOf("bought-f1"), Dam: sideOf("bought")},
		{ID: "f1 and unknown", Dam: sideOf("f1")},
		{ID: "one of two", Sire: sideOf("wild-male", "bought-f1"), Dam: sideOf("bought-f5")},
		{ID: "one of two or unknown", Sire: sideOf("wild-male", "bought-f1")},
	}}
	book.Arrange()
	generations := book.Generations()
	for id, want := range map[string]Captivity{
		"wild-male": OfTheWild, "conceived": OfTheWild, "caught carrying": OfTheWild, "bought-f0": OfTheWild,
		"both wild": FirstInCaptivity, "wild and bought": FirstInCaptivity, "wild and unknown": FirstInCaptivity,
		"unknown and wild": FirstInCaptivity, "wild by a seller's word": FirstInCaptivity, "conceived and bought": FirstInCaptivity,
		"f1": FirstInCaptivity, "f1 of the lot": FirstInCaptivity, "lot": FirstInCaptivity, "bought-f1": FirstInCaptivity,
		"both f1": SecondOrLater, "bought pair": SecondOrLater, "bought-f5": SecondOrLater, "bought-plus": SecondOrLater,
		"f1 and unknown": Uncertain, "one of two": Uncertain, "one of two or unknown": Uncertain, "bought": Uncertain, "of two": Uncertain, "nobody": Uncertain,
	} {
		if got := generations.Captivity(id); got != want {
			t.Errorf("%s: %d, want %d", id, got, want)
		}
	}
}

func sideOf(ids ...string) Side {
	var s Side
	for _, id := range ids {
		s.Candidates = append(s.Candidates, Candidate{id, 1})
	}
	return s
}
