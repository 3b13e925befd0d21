package pedigree

// litter is a spawn of unknown parents.
func litter(id, date string, edits ...func(*Spawn)) *Spawn {
	return pairing(id, date, "", "", edits...)
}

func kept(n int) func(*Spawn)      { return func(s *Spawn) { s.Kept = tally(n) } }
func bornAlive(n int) func(*Spawn) { return func(s *Spawn) { s.Born = tally(n) } }
func lost(n int) func(*Spawn)      { return func(s *Spawn) { s.Lost = tally(n) } }

func seen(locus string, counts ...SeenCount) func(*Spawn) {
	return func(s *Spawn) { s.Seen = append(s.Seen, Seen{locus, counts}) }
}

func shares(of ...FromSpawn) func(*Stock) {
	return func(s *Stock) { s.Wild, s.FromSpawns = nil, of }
}

func fryCases() []ruleCase {
	return []ruleCase{{
		rule:  "fry-before-spawn",
		wrong: []any{litter("S", "2022-05-04"), fish("A", Male, bredFrom("S"), begins("2022-05-03"))},
		right: [][]any{{litter("S", "2022-05-04"), fish("A", Male, bredFrom("S"), begins("2022-05-04"))},
			{litter("S", "2022-05"), fish("A", Male, bredFrom("S"), begins("2022-05-03"))}, {litter("S", ""), fish("A", Male, bredFrom("S"), begins("2022-05-03"))}},
	}, {
		rule:  "fry-before-spawn",
		wrong: []any{litter("S", "2022-05-04"), litter("T", "2022-06-04"), fish("A", Male, bredFrom("S", "T"), born("2022-05-20"))},
		right: [][]any{{litter("S", "2022-05-04"), litter("T", "2022-06-04"), lot("A", 1, 1, 0, bredFrom("S", "T"), born("2022-05-20"))}},
	}, {
		rule:  "fry-of-planned",
		wrong: []any{planned("S", "2022-05-04", "", ""), fish("A", Male, bredFrom("S"))},
		right: [][]any{{litter("S", "2022-05-04"), fish("A", Male, bredFrom("S"))}},
	}, {
		rule:  "fry-more-than-counted",
		wrong: []any{litter("S", "2022-05-04", bornAlive(20), kept(6)), lot("A", 4, 2, 0, bredFrom("S")), fish("B", Male, bredFrom("S"))},
		right: [][]any{{litter("S", "2022-05-04", bornAlive(20), kept(6)), lot("A", 4, 2, 0, bredFrom("S")), fish("B", Male, picked("A", "2022-09-01"))},
			{litter("S", "2022-05-04"), lot("A", 4, 2, 0, bredFrom("S"))}, {litter("S", "2022-05-04", bornAlive(20), kept(22)), lot("A", 0, 0, 22, bredFrom("S"))}},
	}, {
		rule: "fry-more-than-counted",
		wrong: []any{litter("S", "2022-05-04", bornAlive(19)), litter("T", "2022-05-04"),
			lot("A", 0, 0, 30, shares(FromSpawn{"S", 20}, FromSpawn{"T", 10}))},
		right: [][]any{{litter("S", "2022-05-04", bornAlive(20)), litter("T", "2022-05-04"), lot("A", 0, 0, 30, shares(FromSpawn{"S", 20}, FromSpawn{"T", 10}))},
			{litter("S", "2022-05-04", bornAlive(0)), litter("T", "2022-05-04"), fish("A", Male, shares(FromSpawn{"S", 20}, FromSpawn{"T", 10}))}},
	}, {
		rule:  "spawn-without-counts",
		wrong: []any{litter("S", "2022-05-04"), fish("A", Male, bredFrom("S"))},
		right: [][]any{{litter("S", "2022-05-04", kept(1)), fish("A", Male, bredFrom("S"))}, {litter("S", "2022-05-04")}},
	}, {
		rule:  "counts-contradict",
		wrong: []any{litter("S", "2022-05-04", bornAlive(20), kept(10), lost(6), func(s *Spawn) { s.Culled = tally(5) })},
		right: [][]any{{litter("S", "2022-05-04", bornAlive(20), kept(10), lost(6), func(s *Spawn) { s.Culled = tally(4) })},
			{litter("S", "2022-05-04", kept(18), lost(22))}, {litter("S", "2022-05-04", bornAlive(20), kept(22))}},
	}, {
		rule:  "seen-more-than-fry",
		wrong: []any{litter("S", "2022-05-04", bornAlive(20), seen("pale", SeenCount{"dark", 15}, SeenCount{"pale", 6}))},
		right: [][]any{{litter("S", "2022-05-04", bornAlive(20), seen("pale", SeenCount{"dark", 15}, SeenCount{"pale", 5}), seen("spots", SeenCount{"none", 20}))},
			{litter("S", "2022-05-04", kept(3), seen("pale", SeenCount{"dark", 15}))}},
	}}
}

func species(text string) func(*Stock)  { return func(s *Stock) { s.Species = text } }
func locality(text string) func(*Stock) { return func(s *Stock) { s.Locality = text } }
func intended(s *Spawn)                 { s.Intended = true }

func related(kinship float64, of ...string) func(*Line) {
	return func(l *Line) {
		l.RelatedFounders = append(l.RelatedFounders, RelatedFounders{Of: of, Kinship: kinship})
	}
}

func tanks(ids ...string) *Line {
	return line(func(l *Line) {
		for _, id := range ids {
			l.Tanks = append(l.Tanks, Tank{ID: id})
		}
	})
}

func inTank(id string) func(*Stock) { return func(s *Stock) { s.Tank = id } }

func founderCases() []ruleCase {
	caught := func(s *Spawn) { s.ConceivedWild = true }
	siblings := func(b *Bought) { b.Related, b.RelatedStated = 0.25, true }
	strain := func(b *Bought) { b.Inbreeding = 1 }
	bare := &Line{Name: "bare"}
	inLine := func(name string) func(*Stock) { return func(s *Stock) { s.Line = name } }
	otherLine := &Line{Name: "blue-hole", Species: "Xenotoca variata", Locality: "Blue Hole"}
	return append([]ruleCase{{
		rule:  "hybrid",
		wrong: withDam(species("Ameca splendens")),
		right: [][]any{pair(func(sire, dam *Stock, s *Spawn) { dam.Species, s.Intended = "Ameca splendens", true }),
			withDam(species("xenotoca variata")), with(line(func(l *Line) { l.Species = "" }), withDam(species("Ameca splendens")))},
	}, {
		rule: "hybrid", // the fry of parents of a stated species are of that species
		wrong: []any{fish("A", Male, species("Ameca splendens")), fish("B", Female, species("Ameca splendens")), pairing("S", "2022-01-01", "A", "B", bornAlive(3)),
			lot("F", 0, 0, 3, bredFrom("S")), fish("C", Male, picked("F", "")), fish("D", Female), pairing("T", "2023-01-01", "C", "D")},
		right: [][]any{{fish("A", Male, species("Ameca splendens")), fish("B", Female, species("Ameca splendens")), pairing("S", "2022-01-01", "A", "B", bornAlive(3)),
			lot("F", 0, 0, 3, bredFrom("S")), fish("C", Male, picked("F", "")), pairing("T", "2023-01-01", "C", "B")}},
	}, {
		rule:  "hybrid",
		wrong: []any{fish("A", Male, species("Ameca splendens")), fish("B", Female), lot("M", 1, 1, 0, mergedOf("2022-01-01", whole("A", 1), whole("B", 1)))},
		right: [][]any{{fish("A", Male), fish("B", Female), lot("M", 1, 1, 0, mergedOf("2022-01-01", whole("A", 1), whole("B", 1)))}},
	}, {
		rule:  "mixed-localities",
		wrong: []any{line(nil), otherLine, fish("A", Male), fish("B", Female, inLine("blue-hole")), pairing("S", "2022-01-01", "A", "B")},
		right: [][]any{{line(nil), otherLine, fish("A", Male), fish("B", Female, inLine("blue-hole"), locality("Amber Spring")), pairing("S", "2022-01-01", "A", "B")},
			{line(nil), otherLine, fish("A", Male), fish("B", Female, inLine("blue-hole")), pairing("S", "2022-01-01", "A", "B", intended)}},
	}, {
		rule:  "mixed-localities",
		wrong: []any{line(nil), bare, fish("A", Male), fish("B", Female, inLine("bare")), pairing("S", "2022-01-01", "A", "B")},
		right: [][]any{{line(nil), bare, fish("A", Male, inLine("bare")), fish("B", Female, inLine("bare")), pairing("S", "2022-01-01", "A", "B")}},
	}, {
		rule:  "mixed-localities",
		wrong: []any{lot("A", 1, 1, 0), lot("B", 1, 1, 0, locality("Blue Hole")), lot("M", 2, 2, 0, mergedOf("2022-01-01", whole("A", 2), whole("B", 2)))},
		right: [][]any{{lot("A", 1, 1, 0), lot("B", 1, 1, 0, locality("Blue Hole")), grouping("S", "2022-01-01", "A")}},
	}, {
		rule:  "bought-lot-kinship-unknown",
		wrong: []any{lot("A", 2, 2, 0, bought(nil))},
		right: [][]any{{lot("A", 2, 2, 0, bought(siblings))}, {fish("A", Male, bought(nil))}, {lot("A", 1, 0, 0, bought(nil))}},
	}, {
		rule:  "bought-lot-kinship-unknown",
		wrong: []any{lot("A", 2, 2, 0, bought(strain))},
		right: [][]any{{lot("A", 2, 2, 0)}},
	}, {
		rule:  "related-founders-not-founder",
		wrong: []any{line(related(0.25, "A", "B")), litter("S", "2022-01-01"), fish("A", Male), fish("B", Male, bredFrom("S"))},
		right: [][]any{{line(related(0.25, "A", "B")), fish("A", Male), fish("B", Male, bought(nil))}},
	}, {
		rule:  "related-founders-too-close", // 1 of a fish's own part, less 2 · 0.3 twice
		wrong: []any{line(func(l *Line) { related(0.3, "A", "B")(l); related(0.3, "A", "C")(l) }), fish("A", Male), fish("B", Male), fish("C", Male)},
		right: [][]any{{line(func(l *Line) { related(0.25, "A", "B")(l); related(0.25, "A", "C")(l) }), fish("A", Male), fish("B", Male), fish("C", Male)},
			{line(func(l *Line) { related(0.5, "A", "B")(l); related(0.5, "A", "C")(l) }), fish("A", Male, bought(strain)), fish("B", Male), fish("C", Male)}},
	}, {
		rule:  "related-founders-too-close", // the fish of a wild lot are unrelated
		wrong: []any{line(related(0.125, "A", "B")), lot("A", 2, 2, 0), fish("B", Male)},
		right: [][]any{{line(related(0.125, "A", "B")), lot("A", 2, 2, 0, bought(nil)), fish("B", Male)}},
	}, {
		rule:  "conceived-wild-dam",
		wrong: pair(func(sire, dam *Stock, s *Spawn) { dam.Wild, dam.Bought = nil, &Bought{}; caught(s) }),
		right: [][]any{pair(func(sire, dam *Stock, s *Spawn) { caught(s) }), {litter("S", "2022-01-01", caught)},
			{lot("L", 1, 1, 0), fish("A", Female, picked("L", "")), pairing("S", "2022-01-01", "", "A", caught)}},
	}}, keepingCases()...)
}

func keepingCases() []ruleCase {
	return []ruleCase{{
		rule:  "unsexed-though-mature",
		on:    "2023-01-01",
		wrong: []any{mature(4, 6), fish("A", Unsexed, born("2022-01-01"))},
		right: [][]any{{mature(4, 6), fish("A", Unsexed, born("2022-01-02"))}, {mature(4, 6), fish("A", Male, born("2022-01-01"))},
			{mature(4, 6), fish("A", Unsexed, born("2022-01-01"), died("2022-12-01"))}, {fish("A", Unsexed, born("2022-01-01"))},
			{mature(4, 6), fish("A", Unsexed, born("2022"))}, {mature(4, 6), fish("A", Unsexed)}},
	}, {
		rule:  "unsexed-though-mature",
		on:    "2023-01-01",
		wrong: []any{mature(4, 6), lot("A", 1, 0, 5, born("2021-01-01"), census("2022-01-01", 1, 1, 3))},
		right: [][]any{{mature(4, 6), lot("A", 1, 0, 5, born("2021-01-01"), census("2022-01-01", 3, 3, 0))}},
	}, {
		rule:  "tank-unknown",
		wrong: []any{tanks("R1", "R2", "Garden tub"), fish("A", Male, inTank("Gardentub")), litter("S", "2022-01-01", func(s *Spawn) { s.Tank = "Q" })},
		right: [][]any{{tanks("R1"), fish("A", Male, inTank("R1")), fish("B", Male)}, {fish("A", Male, inTank("R7"))}},
	}}
}
