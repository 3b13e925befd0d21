package pedigree

// keep is a pair and its spawn, which no rule finds wrong.
func pair(edits ...func(sire, dam *Stock, s *Spawn)) []any {
	sire, dam := fish("AS-M2", Male), fish("AS-K1", Female)
	s := pairing("AS-S3", "2022-05-04", "AS-M2", "AS-K1")
	for _, edit := range edits {
		edit(sire, dam, s)
	}
	return []any{sire, dam, s}
}

// withSire changes the sire alone.
func withSire(edits ...func(*Stock)) []any {
	return pair(func(sire, dam *Stock, s *Spawn) {
		for _, edit := range edits {
			edit(sire)
		}
	})
}

func withDam(edits ...func(*Stock)) []any {
	return pair(func(sire, dam *Stock, s *Spawn) {
		for _, edit := range edits {
			edit(dam)
		}
	})
}

func born(date string) func(*Stock) { return func(s *Stock) { s.Born = day(date) } }

// undated takes the date of the spawn away.
func undated(records []any) []any {
	for _, r := range records {
		if s, ok := r.(*Spawn); ok {
			s.Date = 0
		}
	}
	return records
}

func spawnOn(date string, records []any) []any {
	for _, r := range records {
		if s, ok := r.(*Spawn); ok {
			s.Date = day(date)
		}
	}
	return records
}

func mature(male, female float64) *Line {
	return line(func(l *Line) { l.MatureMonths = MatureMonths{male, female} })
}

func storing(months float64) *Line {
	return line(func(l *Line) { l.StoresSpermMonths = months })
}

func with(first any, records []any) []any { return append([]any{first}, records...) }

func parentCases() []ruleCase {
	older := []any{fish("G1", Male), fish("G2", Female), pairing("AS-S1", "2022-01-09", "G1", "G2", func(s *Spawn) { s.Born = tally(9) })}
	young := func(date string) []any {
		return append(slicesClone(older), fish("AS-M2", Male, bredFrom("AS-S1")), fish("AS-K1", Female), pairing("AS-S3", date, "AS-M2", "AS-K1"))
	}
	return []ruleCase{{
		rule:  "parent-unborn",
		wrong: withSire(born("2022-06-01")),
		right: [][]any{
			withSire(born("2022-05-03")), withSire(born("2022")), withSire(born("2022-05")), withSire(),
			spawnOn("2022", withSire(born("2022-06-01"))), undated(withSire(born("2022-06-01"))),
		},
	}, {
		rule:  "parent-unborn",
		wrong: withSire(born("2022-05-04")),
		right: [][]any{young("2022-02-01")},
	}, {
		rule:  "parent-unborn",
		wrong: young("2021-12-01"),
		right: [][]any{young("2022")},
	}, {
		rule: "parent-unborn", // of a lot picked out of another
		wrong: append(slicesClone(older), lot("F", 0, 0, 9, bredFrom("AS-S1")), lot("F2", 1, 1, 0, picked("F", "")),
			grouping("AS-S3", "2022-01-08", "F2")),
		right: [][]any{append(slicesClone(older), lot("F", 0, 0, 9, bredFrom("AS-S1")), lot("F2", 1, 1, 0, picked("F", "")),
			grouping("AS-S3", "2022-01-10", "F2"))},
	}, {
		rule:  "parent-not-begun",
		wrong: withSire(begins("2022-05-05")),
		right: [][]any{withSire(begins("2022-05-04")), withSire(begins("2022-05")), withSire(begins("2022")), undated(withSire(begins("2022-05-05")))},
	}, {
		rule:  "parent-not-begun",
		wrong: with(lot("L", 2, 2, 0, begins("2022-06-01")), withSire(picked("L", "2022-07-01"))),
		right: [][]any{with(lot("L", 2, 2, 0, begins("2022-05-01")), withSire(picked("L", "2022-07-01")))},
	}, {
		rule:  "parent-not-begun",
		wrong: withDam(bought(func(b *Bought) { b.Date = day("2022-06") })),
		right: [][]any{withDam(bought(nil)), withSire(born("2022-06-01"))},
	}, {
		rule:  "parent-picked-later",
		wrong: with(lot("L", 2, 2, 0, begins("2022-01-01")), withSire(picked("L", "2022-07-01"))),
		right: [][]any{
			with(lot("L", 2, 2, 0, begins("2022-01-01")), withSire(picked("L", "2022-05-04"))),
			with(lot("L", 2, 2, 0, begins("2022-01-01")), withSire(picked("L", ""))),
			with(lot("L", 2, 2, 0, begins("2022-06-01")), withSire(picked("L", "2022-07-01"))),
		},
	}, {
		rule:  "parent-too-young",
		wrong: with(mature(4, 6), young("2022-05-08")),
		right: [][]any{with(mature(4, 6), young("2022-05-09")), with(mature(0, 6), young("2022-05-08")),
			with(mature(4, 6), young("2022-05")), with(mature(4, 6), withSire()), with(mature(4, 6), young("2022-01-01"))},
	}, {
		rule:  "parent-too-young",
		wrong: with(mature(4.5, 6), young("2022-05-22")),
		right: [][]any{with(mature(4.5, 6), young("2022-05-24"))},
	}, {
		rule:  "parent-dead",
		wrong: withSire(died("2022-03-01")),
		right: [][]any{withSire(died("2022-05-04")), withSire(died("2022")), withSire(died("2022-05")), undated(withSire(died("2022-03-01"))),
			spawnOn("2022-03", withSire(died("2022-03-01"))), with(storing(3), withSire(died("2022-03-01")))},
	}, {
		rule:  "parent-dead",
		wrong: with(storing(3), withDam(died("2022-03"))),
		right: [][]any{withDam(died("2022-06-01"))},
	}, {
		rule:  "parent-dead", // shortly before a litter was born
		wrong: with(line(func(l *Line) { l.BroodWord = "litter" }), withSire(died("2022-04-01"))),
		right: [][]any{with(line(func(l *Line) { l.BroodWord, l.StoresSpermMonths = "litter", 2 }), withSire(died("2022-04-01")))},
	}, {
		rule:  "parent-dead", // longer ago than the line says that sperm is stored
		wrong: with(line(func(l *Line) { l.BroodWord, l.StoresSpermMonths = "brood", 1 }), withSire(died("2022-03-01"))),
		right: [][]any{with(line(func(l *Line) { l.BroodWord, l.StoresSpermMonths = "brood", 3 }), withSire(died("2022-03-01")))},
	}, {
		rule:  "parent-sold",
		wrong: withSire(soldOn("2022-05-03")),
		right: [][]any{withSire(soldOn("2022-05-04")), withSire(soldOn("2022")), withSire()},
	}, {
		rule:  "parent-lent",
		wrong: withSire(lentOn("2022-05-03", "")),
		right: [][]any{withSire(lentOn("2022-05-04", "")), withSire(lentOn("2022-05-01", "2022-05-04")), withSire(lentOn("2022-05", "2022-06"))},
	}, {
		rule:  "parent-lent",
		wrong: []any{lot("L", 2, 2, 0, lentOn("2022-01-01", "2022-06-01")), grouping("AS-S3", "2022-05-04", "L")},
		right: [][]any{{lot("L", 2, 2, 0, lentOn("2022-01-01", "2022-03-01")), grouping("AS-S3", "2022-05-04", "L")}},
	}, {
		rule:  "parent-merged",
		wrong: with(lot("N", 1, 0, 0, mergedOf("2022-05-04", whole("AS-M2", 1))), withSire()),
		right: [][]any{with(lot("N", 1, 0, 0, mergedOf("2022-05-05", whole("AS-M2", 1))), withSire()),
			with(lot("N", 1, 0, 0, mergedOf("2022-05", whole("AS-M2", 1))), withSire()),
			with(storing(3), with(lot("N", 1, 0, 0, mergedOf("2022-04-01", whole("AS-M2", 1))), withSire()))},
	}, {
		rule:  "sire-gone-before",
		wrong: with(storing(3), withSire(died("2022-03-01"))),
		right: [][]any{withSire(died("2022-03-01")), with(storing(1), withSire(died("2022-03-01"))), with(storing(3), withDam(died("2022-03-01")))},
	}, {
		rule:  "sire-gone-before",
		wrong: with(storing(3), with(lot("N", 1, 0, 0, mergedOf("2022-04-01", whole("AS-M2", 1))), withSire())),
		right: [][]any{with(lot("N", 1, 0, 0, mergedOf("2022-04-01", whole("AS-M2", 1))), withSire())},
	}, {
		rule:  "parent-retired",
		wrong: withSire(func(s *Stock) { s.Retired = day("2022-05-03") }),
		right: [][]any{withSire(func(s *Stock) { s.Retired = day("2022-05-04") })},
	}, {
		rule:  "parent-in-quarantine",
		wrong: withSire(func(s *Stock) { s.QuarantineUntil = day("2022-05-05") }),
		right: [][]any{withSire(func(s *Stock) { s.QuarantineUntil = day("2022-05-04") })},
	}}
}

func slicesClone(records []any) []any { return append([]any(nil), records...) }

func sideCases() []ruleCase {
	sires := func(n int) func(*Spawn) { return func(s *Spawn) { s.Sires.N = n } }
	allSires := func(s *Spawn) { s.Sires.All = true }
	return []ruleCase{{
		rule:  "parent-of-wrong-sex",
		wrong: withSire(func(s *Stock) { s.Sex = Female }),
		right: [][]any{withSire(func(s *Stock) { s.Sex = Unsexed }), pair(), {fish("A", Female), lot("B", 2, 0, 0), grouping("S", "2022-05-04", "A B")},
			{fish("A", Male), pairing("S", "2022-05-04", "A", "A")}},
	}, {
		rule:  "parents-none-of-sex",
		wrong: []any{lot("L", 0, 3, 0), pairing("S", "2022-05-04", "L", "")},
		right: [][]any{{lot("L", 0, 3, 0), lot("M", 1, 0, 0), pairing("S", "2022-05-04", "L M", "")},
			{lot("L", 0, 3, 0), pairing("S", "2022-05-04", "", "L")}, {lot("L", 0, 0, 3), grouping("S", "2022-05-04", "L")}},
	}, {
		rule:  "parents-none-of-sex",
		wrong: []any{lot("L", 1, 3, 0, census("2022-05-04", 0, 3, 0)), grouping("S", "2022-05-04", "L")},
		right: [][]any{{lot("L", 1, 3, 0, census("2022-05-05", 0, 3, 0)), grouping("S", "2022-05-04", "L")},
			{lot("L", 1, 3, 0, census("2022", 0, 3, 0)), grouping("S", "2022-05-04", "L")},
			{lot("L", 1, 3, 0, census("2022-05-04", 0, 3, 0)), grouping("S", "2022-05", "L")},
			{lot("L", 1, 3, 0, census("2022-05-04", 0, 3, 0)), grouping("S", "", "L")}},
	}, {
		rule:  "parents-none-of-sex",
		wrong: []any{lot("L", 1, 3, 0, died("2022-05-03")), grouping("S", "2022-05-04", "L")},
		right: [][]any{{lot("L", 1, 3, 0, died("2022-05-04")), grouping("S", "2022-05-04", "L")},
			{lot("L", 1, 3, 0, soldOn("2022-05-04")), grouping("S", "2022-05-04", "L")},
			{lot("L", 1, 3, 0), repeating("T", "2023-01-01", "S"), grouping("S", "2022-05-04", "L")}},
	}, {
		rule:  "parents-none-of-sex",
		wrong: []any{fish("A", Male), fish("B", Male), grouping("S", "2022-05-04", "A B")},
		right: [][]any{{fish("A", Male), fish("B", Unsexed), grouping("S", "2022-05-04", "A B")}},
	}, {
		rule:  "candidate-none-of-sex",
		wrong: []any{lot("L", 0, 3, 0), lot("M", 1, 0, 0), pairing("S", "2022-05-04", "L M", "")},
		right: [][]any{{lot("L", 0, 3, 0), lot("M", 1, 0, 0), grouping("S", "2022-05-04", "L M")}},
	}, {
		rule:  "candidate-none-of-sex",
		wrong: []any{lot("L", 3, 3, 0, died("2022")), lot("M", 1, 1, 0), grouping("S", "2022-05-04", "L M")},
		right: [][]any{{lot("L", 3, 3, 0, died("2023")), lot("M", 1, 1, 0), grouping("S", "2022-05-04", "L M")}},
	}, {
		rule:  "candidate-none-of-sex",
		wrong: []any{lot("L", 3, 3, 0, died("2022")), grouping("S", "2022-05-04", "L")},
		right: [][]any{{lot("L", 3, 3, 0, died("2021")), grouping("S", "2022-05-04", "L")}},
	}, {
		rule:  "parents-same-fish",
		wrong: []any{fish("A", Unsexed), pairing("S", "2022-05-04", "A", "A")},
		right: [][]any{{fish("A", Unsexed), fish("B", Unsexed), pairing("S", "2022-05-04", "A B", "A")}, pair(),
			{fish("A", Unsexed), pairing("S", "2022-05-04", "A", "")}},
	}, {
		rule:  "parents-same-fish",
		wrong: []any{lot("A", 0, 0, 1), grouping("S", "2022-05-04", "A")},
		right: [][]any{{lot("A", 0, 0, 2), grouping("S", "2022-05-04", "A")}},
	}, {
		rule:  "parent-named-twice",
		wrong: []any{fish("A", Male), fish("B", Male), pairing("S", "2022-05-04", "A B A", "")},
		right: [][]any{{fish("A", Unsexed), fish("B", Male), pairing("S", "2022-05-04", "A B", "A")}},
	}, {
		rule:  "parents-more-than-there-were",
		wrong: []any{lot("L", 2, 3, 0), grouping("S", "2022-05-04", "L", sires(3))},
		right: [][]any{{lot("L", 2, 3, 0), grouping("S", "2022-05-04", "L", sires(2))}, {lot("L", 2, 3, 0), grouping("S", "2022-05-04", "L", allSires)},
			{lot("L", 2, 3, 0), pairing("S", "2022-05-04", "", "L", sires(4))}},
	}, {
		rule:  "parents-more-than-there-were",
		wrong: []any{lot("L", 0, 0, 3), grouping("S", "2022-05-04", "L", sires(2))},
		right: [][]any{{lot("L", 0, 0, 4), grouping("S", "2022-05-04", "L", sires(2))}},
	}, {
		rule:  "parents-all-of-unknown",
		wrong: []any{fish("B", Female), pairing("S", "2022-05-04", "", "B", allSires)},
		right: [][]any{{fish("B", Female), pairing("S", "2022-05-04", "", "B", sires(3))}, {lot("L", 2, 2, 0), grouping("S", "2022-05-04", "L", allSires)}},
	}, {
		rule: "virgin-bred-before",
		wrong: []any{fish("A", Male), fish("B", Male), fish("D", Female), pairing("S", "2022-05-04", "A", "D"),
			pairing("T", "2022-07-04", "B", "D", func(s *Spawn) { s.Virgin = true })},
		right: [][]any{{fish("A", Male), fish("D", Female), pairing("S", "2022-05-04", "A", "D"),
			pairing("T", "2022-07-04", "A", "D", func(s *Spawn) { s.Virgin = true })}},
	}, {
		rule: "sire-uncertain",
		wrong: []any{storing(3), fish("A", Male), fish("B", Male), fish("D", Female), pairing("S", "2022-05-04", "A", "D"), repeating("R", "2022-06-01", "S"),
			pairing("T", "2022-08-04", "B", "D")},
		right: [][]any{{fish("A", Male), fish("B", Male), fish("D", Female), pairing("S", "2022-05-04", "A", "D"), pairing("T", "2022-08-04", "B", "D")},
			{storing(3), fish("A", Male), fish("B", Male), fish("D", Female), pairing("S", "2022-05-04", "A", "D"), pairing("T", "2022-08-05", "B", "D")},
			{storing(3), fish("A", Male), fish("D", Female), pairing("S", "2022-05-04", "A", "D"), pairing("T", "2022-08-04", "A", "D")}},
	}}
}

func repeatCases() []ruleCase {
	first := grouping("S", "2022-05-04", "L")
	return []ruleCase{{
		rule: "descent-loop",
		wrong: []any{fish("A", Male, bredFrom("S")), fish("B", Female, bredFrom("T")), fish("C", Female), pairing("S", "2022-05-04", "", "B"),
			pairing("T", "2022-05-04", "A", "C")},
		right: [][]any{{fish("A", Male, bredFrom("S")), fish("B", Female), pairing("S", "2022-05-04", "", "B"), pairing("T", "2022-05-04", "A", "B")}},
	}, {
		rule:  "descent-loop",
		wrong: []any{lot("L", 0, 0, 2, picked("L", "2022-05-04"))},
		right: [][]any{{lot("L", 0, 0, 2), repeating("S", "2022-05-04", "S")}},
	}, {
		rule: "descent-loop", // a way round with a loop beside it
		wrong: []any{lot("L", 0, 0, 9, picked("N", "2022-05-04")), lot("N", 0, 0, 9, picked("O", "2022-05-04")), lot("O", 0, 0, 9, mergedOf("2022-05-04",
			whole("L", 9), whole("N", 9)))},
		right: [][]any{{lot("L", 0, 0, 2), lot("M", 0, 0, 1, picked("L", "")), lot("N", 0, 0, 2, mergedOf("2022-05-04", whole("L", 1), whole("M", 1)))}},
	}, {
		rule:  "repeat-loop",
		wrong: []any{repeating("S", "2022-05-04", "T"), repeating("T", "2022-06-04", "S")},
		right: [][]any{{pairing("S", "2022-05-04", "", ""), repeating("T", "2022-06-04", "S"), repeating("U", "2022-06-04", "T")}},
	}, {
		rule:  "repeat-of-planned",
		wrong: []any{fish("A", Male), planned("S", "2022-05-04", "A", ""), repeating("T", "2022-06-04", "S")},
		right: [][]any{{fish("A", Male), pairing("S", "2022-05-04", "A", ""), repeating("T", "2022-06-04", "S")}},
	}, {
		rule:  "repeat-parent-gone",
		wrong: []any{fish("A", Male, died("2022-05-20")), pairing("S", "2022-05-04", "A", ""), repeating("T", "2022-06-04", "S")},
		right: [][]any{{fish("A", Male, died("2022-06-20")), pairing("S", "2022-05-04", "A", ""), repeating("T", "2022-06-04", "S")},
			{fish("A", Male, died("2022-05-20")), fish("B", Male), pairing("S", "2022-05-04", "A B", ""), repeating("T", "2022-06-04", "S")},
			{fish("A", Male, died("2022")), pairing("S", "2022-05-04", "A", ""), repeating("T", "2022-06-04", "S")}},
	}, {
		rule:  "repeat-parent-gone",
		wrong: []any{lot("L", 1, 1, 0, census("2022-06-01", 0, 0, 0)), first, repeating("T", "2022-06-04", "S")},
		right: [][]any{{lot("L", 1, 1, 0, census("2022-06-01", 0, 1, 0)), first, repeating("T", "2022-06-04", "S")}},
	}, {
		rule:  "repeat-before-first",
		wrong: []any{lot("L", 1, 1, 0), first, repeating("T", "2022-05-03", "S")},
		right: [][]any{{lot("L", 1, 1, 0), first, repeating("T", "2022-05", "S")}},
	}, {
		rule:  "planned-day-past",
		wrong: []any{planned("S", "2024-05-20", "", "")},
		right: [][]any{{planned("S", "2024-06-01", "", "")}, {planned("S", "2024-06", "", "")}, {planned("S", "2024", "", "")},
			{planned("S", "2024-05-20", "", ""), fish("A", Male, bredFrom("S"))}, {pairing("S", "2024-05-20", "", "")}},
	}, {
		rule:  "planned-parent-gone",
		wrong: []any{fish("A", Male, died("2024-05-20")), planned("S", "2024-08-01", "A", "")},
		right: [][]any{{fish("A", Male), planned("S", "2024-08-01", "A", "")}},
	}, {
		rule:  "planned-parent-gone",
		wrong: []any{lot("L", 2, 2, 0, soldOn("2024-05-20")), planned("S", "2024-06", "", "L")},
		right: [][]any{{lot("L", 2, 2, 0, soldOn("2024-05-20")), planned("S", "2024-03-01", "", "L")}, {lot("L", 2, 2, 0, soldCount("2024-05-20", 2, 1, 0)), planned("S", "2024-08-01", "", "L")}},
	}}
}
