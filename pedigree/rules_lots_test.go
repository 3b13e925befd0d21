package pedigree

func lotCases() []ruleCase {
	return []ruleCase{{
		rule:  "more-left-than-there-were",
		wrong: []any{lot("L", 1, 3, 0), fish("A", Male, picked("L", "2022-01-01")), fish("B", Male, picked("L", "2022-02-01"))},
		right: [][]any{{lot("L", 2, 3, 0), fish("A", Male, picked("L", "2022-01-01")), fish("B", Male, picked("L", "2022-02-01"))},
			{lot("L", 1, 2, 1), fish("A", Male, picked("L", "2022-01-01")), fish("B", Male, picked("L", "2022-02-01"))}},
	}, {
		rule:  "more-left-than-there-were",
		wrong: []any{lot("L", 0, 0, 3, soldCount("2022-01-01", 0, 0, 2), soldCount("2022-01-01", 0, 0, 2))},
		right: [][]any{{lot("L", 0, 0, 4, soldCount("2022-01-01", 0, 0, 2), soldCount("2022-01-01", 0, 0, 2))},
			// The rest is sold, or dies, on the day of a sale in numbers.
			{lot("L", 0, 0, 4, soldCount("2022-01-01", 0, 0, 2), soldOn("2022-01-01"))},
			{lot("L", 1, 3, 0, soldCount("2022-01-01", 1, 1, 0), died("2022-01-01"))},
			{lot("L", 1, 3, 0, soldOn("2022-01-01", "2022-01-01"), died("2022-01-01"))}},
	}, {
		rule:  "more-left-than-there-were",
		wrong: []any{lot("L", 2, 2, 0, died("2022-01-01")), lot("M", 1, 0, 0, picked("L", "2022-02-01"))},
		right: [][]any{{lot("L", 2, 2, 0, died("2022-01-01")), lot("M", 1, 0, 0, picked("L", "2022-01-01"))}},
	}, {
		rule:  "more-left-than-there-were",
		wrong: []any{lot("L", 2, 2, 0), lot("M", 3, 0, 0, mergedOf("2022-01-01", part("L", 3, 0, 0)))},
		right: [][]any{{lot("L", 2, 2, 0), lot("M", 2, 2, 0, mergedOf("2022-01-01", whole("L", 4)))}},
	}, {
		rule:  "more-left-than-there-were",
		wrong: []any{lot("L", 1, 0, 0), fish("A", Female, picked("L", ""))},
		right: [][]any{{lot("L", 1, 0, 0), fish("A", Unsexed, picked("L", ""))}},
	}, {
		rule:  "left-before-it-began",
		wrong: []any{lot("L", 2, 2, 0, begins("2022-02-01")), fish("A", Male, picked("L", "2022-01-31"))},
		right: [][]any{{lot("L", 2, 2, 0, begins("2022-02-01")), fish("A", Male, picked("L", "2022-02-01"))},
			{lot("L", 2, 2, 0, begins("2022-02-01")), fish("A", Male, picked("L", ""))},
			{lot("L", 2, 2, 0, begins("2022-02")), fish("A", Male, picked("L", "2022-02-01"))}},
	}, {
		rule: "left-before-it-began",
		wrong: []any{lot("L", 2, 2, 0, begins("2022-02-01"), census("2022-01-01", 1, 1, 0), soldCount("2022-01-02", 1, 0, 0)),
			lot("M", 0, 1, 0, mergedOf("2022-01-03", part("L", 0, 1, 0)))},
		right: [][]any{{lot("L", 2, 2, 0, begins("2022-02-01"), census("2022-02-01", 1, 1, 0), soldCount("2022-02-02", 1, 0, 0))}},
	}, {
		rule:  "left-before-it-began",
		wrong: []any{fish("A", Male, begins("2022-02-01")), lot("M", 1, 0, 0, mergedOf("2022-01-03", whole("A", 1)))},
		right: [][]any{{fish("A", Male, begins("2022-02-01")), lot("M", 1, 0, 0, mergedOf("2022-02-03", whole("A", 1)))}},
	}, {
		rule:  "census-rises",
		wrong: []any{lot("L", 2, 2, 1, census("2022-01-01", 3, 3, 0))},
		right: [][]any{{lot("L", 2, 2, 1, census("2022-01-01", 3, 2, 0))}, {lot("L", 2, 2, 1, census("2022-01-01", 0, 0, 5))}},
	}, {
		rule:  "census-rises",
		wrong: []any{lot("L", 2, 4, 0, census("2022-01-01", 3, 3, 0))},
		right: [][]any{{lot("L", 2, 3, 1, census("2022-01-01", 3, 3, 0))}},
	}, {
		rule:  "census-rises",
		wrong: []any{lot("L", 2, 4, 0, census("2022-02-01", 2, 4, 0)), fish("A", Male, picked("L", "2022-01-01"))},
		right: [][]any{{lot("L", 2, 4, 0, census("2022-02-01", 1, 4, 0)), fish("A", Male, picked("L", "2022-01-01"))}},
	}}
}

func originCases() []ruleCase {
	return []ruleCase{{
		rule:  "picked-from-no-lot",
		wrong: []any{fish("A", Male), fish("B", Male, picked("A", "2022-01-01"))},
		right: [][]any{{lot("A", 1, 0, 0), fish("B", Male, picked("A", "2022-01-01"))}},
	}, {
		rule:  "merged-bare-number",
		wrong: []any{lot("L", 2, 3, 0), lot("M", 0, 0, 3, mergedOf("2022-01-01", whole("L", 3)))},
		right: [][]any{{lot("L", 2, 3, 0), lot("M", 2, 3, 0, mergedOf("2022-01-01", whole("L", 5)))},
			{lot("L", 0, 0, 5), lot("M", 0, 0, 3, mergedOf("2022-01-01", whole("L", 3)))},
			{lot("L", 2, 3, 0), lot("M", 1, 2, 0, mergedOf("2022-01-01", part("L", 1, 2, 0)))},
			// One is picked, and the rest moves whole, on one day.
			{lot("L", 2, 3, 0), fish("A", Male, picked("L", "2022-01-01")), lot("M", 1, 3, 0, mergedOf("2022-01-01", whole("L", 4)))}},
	}, {
		rule:  "merged-number-of-fish",
		wrong: []any{fish("A", Male), lot("M", 2, 0, 0, mergedOf("2022-01-01", whole("A", 2)))},
		right: [][]any{{fish("A", Male), lot("M", 1, 0, 0, mergedOf("2022-01-01", whole("A", 1)))}},
	}, {
		rule:  "merged-number-of-fish",
		wrong: []any{fish("A", Male), lot("M", 0, 1, 0, mergedOf("2022-01-01", part("A", 0, 1, 0)))},
		right: [][]any{{fish("A", Unsexed), lot("M", 0, 1, 0, mergedOf("2022-01-01", part("A", 0, 1, 0)))}},
	}, {
		rule:  "merged-twice",
		wrong: []any{fish("A", Male), lot("M", 1, 0, 0, mergedOf("2022-01-01", whole("A", 1))), lot("N", 1, 0, 0, mergedOf("2022-02-01", whole("A", 1)))},
		right: [][]any{{lot("A", 2, 0, 0), lot("M", 1, 0, 0, mergedOf("2022-01-01", part("A", 1, 0, 0))), lot("N", 1, 0, 0, mergedOf("2022-02-01", whole("A", 1)))}},
	}, {
		rule:  "lot-larger-than-its-parts",
		wrong: []any{lot("L", 2, 3, 0), lot("M", 2, 4, 0, mergedOf("2022-01-01", whole("L", 5)))},
		right: [][]any{{lot("L", 2, 3, 0), lot("M", 2, 2, 0, mergedOf("2022-01-01", whole("L", 5)))}},
	}, {
		rule: "lot-larger-than-its-parts",
		wrong: []any{pairing("S", "2022-01-01", "", ""), pairing("T", "2022-01-01", "", ""),
			lot("M", 2, 1, 0, bredFrom("S", "T"))},
		right: [][]any{{pairing("S", "2022-01-01", "", ""), pairing("T", "2022-01-01", "", ""), lot("M", 1, 1, 0, bredFrom("S", "T"))}},
	}}
}

func lifeCases() []ruleCase {
	sixSold := func(s *Stock) { s.Count = Count{3, 3, 0} }
	return []ruleCase{{
		rule:  "begins-before-born",
		wrong: []any{fish("A", Male, begins("2022-01-01"), born("2022-02-01"))},
		right: [][]any{{fish("A", Male, begins("2022-01-01"), born("2022-01"))}, {fish("A", Male, begins("2022-01-01"), born("2021-02-01"))}},
	}, {
		rule:  "died-too-early",
		wrong: []any{fish("A", Male, born("2022-01-01"), died("2021-12-31"))},
		right: [][]any{{fish("A", Male, born("2022-01-01"), died("2022-01-01"))}, {fish("A", Male, born("2022-01-01"), died("2022"))}},
	}, {
		rule:  "died-too-early",
		wrong: []any{pairing("S", "2022-03-01", "", ""), fish("A", Male, bredFrom("S"), died("2022-02-01")), fish("B", Male, begins("2022-01-01"), died("2021"))},
		right: [][]any{{pairing("S", "2022-03-01", "", ""), fish("A", Male, bredFrom("S"), died("2022-03-01"))}},
	}, {
		rule:  "left-too-early",
		wrong: []any{fish("A", Male, begins("2022-02-01"), soldOn("2022-01-01"), lentOn("2022-01-02", "2022-03-01"))},
		right: [][]any{{fish("A", Male, begins("2022-02-01"), soldOn("2022-02-01"), lentOn("2022-02", "2022-03-01"))}},
	}, {
		rule:  "after-death",
		wrong: []any{fish("A", Male, died("2022-01-01"), soldOn("2022-01-02")), lot("M", 1, 0, 0, mergedOf("2022-02-01", whole("A", 1)))},
		right: [][]any{{fish("A", Male, died("2022-01-02"), soldOn("2022-01-02"))}, {fish("A", Male, died("2022-01-02"), soldOn("2022-01-01"))},
			{fish("A", Male, died("2022"), soldOn("2022-01-02"))}},
	}, {
		rule:  "after-death",
		wrong: []any{lot("A", 3, 3, 0, died("2022-01-01"), soldOn("2022-01-02"), census("2022-02-01", 1, 1, 0), lentOn("2022-02-02", "2022-02-03"))},
		right: [][]any{{lot("A", 3, 3, 0, died("2022-01-01"), census("2022-02-01", 0, 0, 0), sixSold)}},
	}, {
		rule:  "sold-then-merged",
		wrong: []any{fish("A", Male, soldOn("2022-01-02")), lot("M", 1, 0, 0, mergedOf("2022-02-01", whole("A", 1)))},
		right: [][]any{{fish("A", Male, soldOn("2022-02-02")), lot("M", 1, 0, 0, mergedOf("2022-02-01", whole("A", 1)))}},
	}, {
		rule:  "sold-twice",
		wrong: []any{fish("A", Male, soldOn("2022-01-02", "2022-02-02"))},
		right: [][]any{{fish("A", Male, soldOn("2022-01-02"))}, {lot("A", 2, 0, 0, soldCount("2022-01-02", 1, 0, 0), soldOn("2022-02-02"))}},
	}, {
		rule:  "back-before-lent",
		wrong: []any{fish("A", Male, lentOn("2022-01-02", "2022-01-01"))},
		right: [][]any{{fish("A", Male, lentOn("2022-01-02", "2022-01-02"))}, {fish("A", Male, lentOn("2022-01-02", "2022"))}, {fish("A", Male, lentOn("2022-01-02", ""))}},
	}, {
		rule:  "date-in-future",
		on:    "2022-05-03",
		wrong: append(pair(), lot("L", 2, 0, 0, begins("2023"), born("2022-06"), died("2024"), soldCount("2023-01-01", 1, 0, 0), census("2023-02", 1, 0, 0))),
		right: [][]any{{fish("A", Male, born("2022"), died("2022-05"))}, spawnOn("2022-05-03", pair()), {planned("S", "2023-01-01", "", "")}},
	}}
}
