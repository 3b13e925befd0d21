package genetics_test

import (
	"fmt"
	"math"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// nearSize compares a size that may be unknown; want 0 for unknown.
func nearSize(t *testing.T, what string, got *float64, want float64) {
	t.Helper()
	switch {
	case got == nil && want == 0:
	case got == nil:
		t.Errorf("%s is not known, want %v", what, want)
	case want == 0:
		t.Errorf("%s is %v, want none", what, *got)
	default:
		near(t, what, *got, want)
	}
}

// Gutiérrez, Cervantes & Goyache 2009 (J. Anim. Breed. Genet. 126:327): the mean
// over the living of ΔF = 1 − (1 − F)^(1/(t−1)), t the equivalent generations;
// effective size 1/(2·mean ΔF). Values derived from the definition:
// g1: t 1, left out. g2, of brother and sister: t 2, F 1/4, ΔF 1/4. g3, of
// brother and sister again: t 3, F 3/8, ΔF 1 − √(5/8).
func TestEffectiveSizeFromInbreeding(t *testing.T) {
	third := 1 - math.Sqrt(5./8)
	rows := "a, b, m1 a b, f1 a b, m2 m1 f1, f2 m1 f1, m3 m2 f2"
	for living, want := range map[string]float64{
		"m2": 1 / (2 * 0.25), "m3": 1 / (2 * third), "m2 m3": 1 / (0.25 + third), "m1 m2": 1 / (2 * 0.25),
		"a b m1": 0, "a m2 f2": 1 / (2 * 0.25),
	} {
		book := table(rows)
		dieAllBut(book, living)
		r, ok := stateOf(t, book).Line("test")
		if !ok {
			t.Fatal("nothing lives")
		}
		nearSize(t, "effective size of "+living, r.EffectiveSize.FromInbreeding, want)
	}

	// x has one known parent, t ½. Of its young with that parent t is ½(1 + 0) +
	// ½(1 + ½) = 5/4, F the kinship of parent and young, 1/4.
	book := table("a, x a -, y a x")
	dieAllBut(book, "y")
	r, _ := stateOf(t, book).Line("test")
	nearSize(t, "effective size at 1.25 generations", r.EffectiveSize.FromInbreeding, 1/(2*(1-math.Pow(0.75, 4))))

	// A lot counts by its heads: three fish of g2 in it and one of g3.
	book = table(rows)
	book.Stock = append(book.Stock, fryLot("L", unsexed(3), "young m2"))
	dieAllBut(book, "L m3")
	r, _ = stateOf(t, book).Line("")
	nearSize(t, "effective size of a lot and a fish", r.EffectiveSize.FromInbreeding, 1/(2*(3*0.25+third)/4))
}

// 4·Nm·Nf/(Nm + Nf) (Wright 1931), over the different parents of the twelve
// months up to the last spawn; the counts are by the rule of commands.md, the
// values by hand.
func TestEffectiveSizeFromTheParentsOfAYear(t *testing.T) {
	fish := func(id string, sex pedigree.Sex) *pedigree.Stock {
		return &pedigree.Stock{ID: id, Sex: sex, Wild: &pedigree.Wild{Date: 20200101}}
	}
	stock := func() []*pedigree.Stock {
		fewer := wildOn("C", sexes(4, 2), 20200101) // two of four males die
		fewer.Changes = []pedigree.Change{{Date: 20230115, Count: sexes(2, 2)}}
		return []*pedigree.Stock{fewer, fish("M1", pedigree.Male), fish("M2", pedigree.Male), fish("F1", pedigree.Female), fish("F2", pedigree.Female),
			wildOn("A", sexes(3, 4), 20200101), wildOn("B", sexes(2, 0), 20200101)}
	}
	size := func(m, f float64) float64 { return 4 * m * f / (m + f) }
	with := func(s *pedigree.Spawn, sires, dams int) *pedigree.Spawn {
		s.Sires, s.Dams = pedigree.Parents{N: sires}, pedigree.Parents{N: dams}
		return s
	}
	last := pairOf("Z", "M1", "F1", 20230615)
	one2 := pairOf("Z2", "M2", "F2", 20230615)
	lots := pedigree.Side{Candidates: []pedigree.Candidate{{ID: "A", Odds: 1}, {ID: "B", Odds: 1}}}
	for _, test := range []struct {
		name   string
		spawns []*pedigree.Spawn
		want   float64
	}{
		{"one pair", []*pedigree.Spawn{last}, size(1, 1)},
		{"two pairs on one day", []*pedigree.Spawn{last, one2}, size(2, 2)},
		{"another on the first day of the twelve months", []*pedigree.Spawn{last, pairOf("S", "M2", "F1", 20220616)}, size(2, 1)},
		{"another on the day before", []*pedigree.Spawn{last, pairOf("S", "M2", "F1", 20220615)}, size(1, 1)},
		{"the same pair again", []*pedigree.Spawn{last, pairOf("S", "M1", "F1", 20230101)}, size(1, 1)},
		{"a repeat", []*pedigree.Spawn{last, {ID: "S", Repeat: "Z", Date: 20230616}}, size(1, 1)},
		{"a repeat by unknown parents", []*pedigree.Spawn{{ID: "S", Date: 20230101}, {ID: "T", Repeat: "S", Date: 20230501}}, size(1, 1)},
		{"a repeat of a spawn long before", []*pedigree.Spawn{last, pairOf("S", "M2", "F2", 20210101), {ID: "T", Repeat: "S", Date: 20230501}}, size(2, 2)},
		{"a repeat of a group, not counted twice", []*pedigree.Spawn{with(grouped("S", "A", 20230101), 2, 1), {ID: "T", Repeat: "S", Date: 20230501}}, size(2, 1)},
		{"unknown parents of two spawns", []*pedigree.Spawn{{ID: "S", Date: 20230101}, {ID: "T", Date: 20230501}}, size(2, 2)},
		{"three unknown sires", []*pedigree.Spawn{{ID: "S", Date: 20230101, Sires: pedigree.Parents{N: 3}}}, size(3, 1)},
		{"a group with two sires, three dams", []*pedigree.Spawn{with(grouped("S", "A", 20230101), 2, 3)}, size(2, 3)},
		{"two spawns of a group add up", []*pedigree.Spawn{with(grouped("S", "A", 20230101), 1, 2), with(grouped("T", "A", 20230201), 2, 1)}, size(3, 3)},
		{"but to no more fish than there were", []*pedigree.Spawn{with(grouped("S", "A", 20230101), 2, 3), with(grouped("T", "A", 20230201), 2, 3)}, size(3, 4)},
		{"nor of one spawn", []*pedigree.Spawn{with(grouped("S", "A", 20230101), 9, 9)}, size(3, 4)},
		{"three, then one of the two left", []*pedigree.Spawn{with(grouped("S", "C", 20230101), 3, 1), with(grouped("T", "C", 20230201), 1, 1)}, size(4, 2)},
		{"one, then no more than the two left", []*pedigree.Spawn{with(grouped("S", "C", 20230101), 1, 1), with(grouped("T", "C", 20230201), 9, 1)}, size(3, 2)},
		{"four of five candidates", []*pedigree.Spawn{{ID: "S", Date: 20230101, Sire: lots, Dam: one("F1"), Sires: pedigree.Parents{N: 4}}}, size(4, 1)},
		{"all of five candidates", []*pedigree.Spawn{{ID: "S", Date: 20230101, Sire: lots, Dam: one("F1"), Sires: pedigree.Parents{All: true}}}, size(5, 1)},
		{"a planned spawn", []*pedigree.Spawn{last, {ID: "S", Planned: 20230620, Sire: one("M2"), Dam: one("F2")}}, size(1, 1)},
		{"a spawn after the date", []*pedigree.Spawn{last, pairOf("S", "M2", "F2", 20240102)}, size(1, 1)},
		{"no spawn", nil, 0},
	} {
		r := lineOn(t, bookOf(stock(), test.spawns...), 20240101)
		nearSize(t, test.name, r.EffectiveSize.FromParents, test.want)
	}

	// Of another line's spawns nothing counts.
	book := bookOf(stock(), last, pairOf("S", "M2", "F2", 20230614))
	book.Spawns[0].Line = "another"
	book.Arrange()
	nearSize(t, "of one line", lineOn(t, book, 20240101).EffectiveSize.FromParents, size(1, 1))
}

// The years stand as of 31 December, that day included; years before the first
// that ends with fish and after the date are left out, a later one with none
// living stays, empty. Wild unrelated fish: mean kinship 1/(2n) (derived).
func TestHistory(t *testing.T) {
	first := wildOn("A", sexes(2, 3), 20191231)
	first.Died = 20211231 // counts from the next day: living on the last of 2021
	second := wildOn("B", sexes(2, 0), 20230501)
	second.Sold = []pedigree.Sale{{Date: 20241230, Numbered: true, Count: sexes(1, 0)}}
	elsewhere := wildOn("E", sexes(9, 9), 20100101)
	early := died(wildOn("Z", sexes(1, 1), 20180301), 20180601) // none left at the end of its year
	book := bookOf([]*pedigree.Stock{early, first, second, elsewhere})
	elsewhere.Line = "another"
	book.Arrange()
	for _, test := range []struct {
		on   pedigree.Date
		want string
	}{
		{20191231, "2019:5 0.1000"},
		{20201230, "2019:5 0.1000"},
		{20201231, "2019:5 0.1000, 2020:5 0.1000"},
		{20230601, "2019:5 0.1000, 2020:5 0.1000, 2021:5 0.1000, 2022:0 0.0000"},
		{20250601, "2019:5 0.1000, 2020:5 0.1000, 2021:5 0.1000, 2022:0 0.0000, 2023:2 0.2500, 2024:1 0.5000"},
	} {
		r := lineOn(t, book, test.on)
		got := ""
		for i, year := range r.History {
			if i > 0 {
				got += ", "
			}
			got += fmt.Sprintf("%d:%g %.4f", year.Year, year.Living, year.MeanKinship)
			if year.Living > 0 && math.Abs(year.GeneDiversity+year.MeanKinship-1) > 1e-12 {
				t.Errorf("gene diversity of %d is %v", year.Year, year.GeneDiversity)
			}
		}
		if got != test.want {
			t.Errorf("history to %s is %s\n want %s", test.on, got, test.want)
		}
	}
}

// A lot has no fish before it begins, and nothing is known of it then; on its
// first day it has all.
func TestLotBeforeItBegins(t *testing.T) {
	book := bookOf([]*pedigree.Stock{wildOn("A", sexes(2, 3), dayC), wildOn("B", sexes(1, 0), dayA), sublot("C", "A", sexes(1, 1), dayE)})
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	for on, want := range map[pedigree.Date]float64{dayB: 1, dayC: 6, dayD: 6, dayE: 6} {
		s := m.On(on)
		near(t, "living on "+on.String(), s.Living("").Heads, want)
		for id, begins := range map[string]pedigree.Date{"A": dayC, "C": dayE} {
			_, okV := s.Vector(id)
			_, okK := s.Kinship(id, id)
			_, okF := s.Inbreeding(id)
			_, okM := s.Mate(id, pedigree.Male)
			if want := on >= begins; okV != want || okK != want || okF != want || okM != want {
				t.Errorf("%s on %s: known %t %t %t %t, want %t", id, on, okV, okK, okF, okM, want)
			}
		}
	}
}

// What is foretold of a planned spawn is what is found of the same spawn
// recorded on the planned day.
func TestExpectedIsWhatIsFound(t *testing.T) {
	tried := 0
	for seed := range uint64(200) {
		book := looseBook(seed)
		if seed%2 == 0 {
			book, _ = randomBook(seed)
		}
		for i := range book.Spawns {
			original := *book.Spawns[i]
			if original.Repeat != "" || !original.Date.Known() {
				continue
			}
			recorded, err := genetics.Compile(book)
			if err != nil {
				t.Fatal(err)
			}
			want, okWant := recorded.On(29990101).Inbreeding(original.ID)
			twin := original // the same beside it, planned
			twin.ID, twin.Planned, twin.Date = "twin", original.Date, 0
			with := &pedigree.Book{Lines: book.Lines, Stock: append([]*pedigree.Stock{}, book.Stock...),
				Spawns: append([]*pedigree.Spawn{&twin}, book.Spawns...)}
			with.Arrange()
			m, err := genetics.Compile(with)
			if err != nil {
				t.Fatal(err)
			}
			got, ok := m.On(29990101).Expected(with.SpawnByID("twin"))
			if ok != okWant || math.Abs(got-want) > 1e-12 {
				t.Fatalf("seed %d: expected of %s: %v (%t), recorded %v (%t)\n%s", seed, original.ID, got, ok, want, okWant, describe(book))
			}
			tried++
		}
	}
	if tried < 300 {
		t.Errorf("only %d spawns tried", tried)
	}
}
