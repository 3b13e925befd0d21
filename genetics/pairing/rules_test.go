package pairing_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/genetics/pairing"
	"roebook/pedigree"
)

const line = "amber-spring"

// room makes a book of one line.
func room(t testing.TB, stock []*pedigree.Stock, spawns ...*pedigree.Spawn) *genetics.Model {
	t.Helper()
	book := &pedigree.Book{Lines: []*pedigree.Line{{Name: line}}, Stock: stock, Spawns: spawns}
	for _, s := range stock {
		s.Line = line
	}
	for _, s := range spawns {
		s.Line = line
	}
	book.Arrange()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func fish(id string, sex pedigree.Sex) *pedigree.Stock {
	return &pedigree.Stock{ID: id, Sex: sex, Wild: &pedigree.Wild{Date: 20200101}}
}

func lot(id string, c pedigree.Count) *pedigree.Stock {
	return &pedigree.Stock{ID: id, Lot: true, Count: c, Wild: &pedigree.Wild{Date: 20200101}}
}

func young(id, spawn string, sex pedigree.Sex) *pedigree.Stock {
	return &pedigree.Stock{ID: id, Sex: sex, FromSpawns: []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}}
}

func bred(id, sire, dam string) *pedigree.Spawn {
	one := func(id string) pedigree.Side {
		return pedigree.Side{Candidates: []pedigree.Candidate{{ID: id, Odds: 1}}}
	}
	return &pedigree.Spawn{ID: id, Date: 20210101, Sire: one(sire), Dam: one(dam)}
}

func rank(m *genetics.Model, on pedigree.Date, o pairing.Options) pairing.Ranking {
	o.Line = line
	o.Keep = max(o.Keep, 10)
	return pairing.Rank(m.On(on), o)
}

func names(r pairing.Ranking) string {
	var list []string
	for _, p := range r.Pairs {
		list = append(list, p.Sire+"×"+p.Dam)
	}
	return strings.Join(list, " ")
}

// records.md's rules of a day: lent out from the day after to the day before it
// comes back; retired and dead count from the next day.
func TestFishAwayOrRetiredAreNotPaired(t *testing.T) {
	lent := fish("L", pedigree.Male)
	lent.Lent = []pedigree.Loan{{Date: 20240301, Back: 20240310, To: "a friend"}, {Date: 20240401, To: "a friend"}}
	retired := fish("R", pedigree.Male)
	retired.Retired = 20240301
	dead := fish("D", pedigree.Male)
	dead.Died = 20240301
	m := room(t, []*pedigree.Stock{lent, retired, dead, fish("F", pedigree.Female)})
	for on, want := range map[pedigree.Date]string{
		20240301: "D×F L×F R×F | []",
		20240302: " | [{L lent out} {R retired}]",
		20240309: " | [{L lent out} {R retired}]",
		20240310: "L×F | [{R retired}]",
		20240401: "L×F | [{R retired}]",
		20240402: " | [{L lent out} {R retired}]",
		20300101: " | [{L lent out} {R retired}]",
	} {
		r := rank(m, on, pairing.Options{})
		if got := names(r) + " | " + fmt.Sprint(r.LeftOut); got != want {
			t.Errorf("on %s: %s, want %s", on, got, want)
		}
	}
}

// On the day until which it is kept apart a fish may breed, as the record rule
// has it.
func TestQuarantineIsFlaggedToTheDayBefore(t *testing.T) {
	for _, who := range []string{"M", "F"} {
		m, f := fish("M", pedigree.Male), fish("F", pedigree.Female)
		kept := map[string]*pedigree.Stock{"M": m, "F": f}[who]
		kept.QuarantineUntil = 20240310
		model := room(t, []*pedigree.Stock{m, f})
		for on, want := range map[pedigree.Date]bool{20240309: true, 20240310: false, 20240311: false} {
			r := rank(model, on, pairing.Options{})
			if len(r.Pairs) != 1 || r.Pairs[0].Has(pairing.Quarantine) != want {
				t.Errorf("%s in quarantine, on %s: %v, want flagged %t", who, on, r.Pairs, want)
			}
		}
	}
}

// A lot offers a sex of which it holds at least one whole fish; where none is
// told to be of it, the pair says so. Fish never sexed count half to each sex.
func TestLotsOfferWholeFish(t *testing.T) {
	for _, test := range []struct {
		count pedigree.Count
		want  string
	}{
		{pedigree.Count{Males: 1, Females: 1}, "A×A A×F M×A M×F"},
		{pedigree.Count{Males: 2}, "A×F M×F"},
		{pedigree.Count{Males: 2, Unsexed: 1}, "A×F M×F"},
		{pedigree.Count{Males: 2, Unsexed: 2}, "A×A? A×F M×A? M×F"},
		{pedigree.Count{Females: 1, Unsexed: 1}, "M×A M×F"},
		{pedigree.Count{Unsexed: 1}, "M×F"},
		{pedigree.Count{Unsexed: 2}, "A×A? A×F? M×A? M×F"},
	} {
		r := rank(room(t, []*pedigree.Stock{lot("A", test.count), fish("M", pedigree.Male), fish("F", pedigree.Female)}), 20240101, pairing.Options{})
		var got []string
		for _, p := range r.Pairs {
			name := p.Sire + "×" + p.Dam
			if p.Has(pairing.SexNotTold) {
				name += "?"
			}
			if p.Has(pairing.BothOfOneLot) != (p.Sire == "A" && p.Dam == "A") {
				t.Errorf("%v: %s: flags %v", test.count, name, p.Flags)
			}
			got = append(got, name)
		}
		slices.Sort(got)
		if strings.Join(got, " ") != test.want {
			t.Errorf("a lot of %v: %v, want %s", test.count, got, test.want)
		}
		left := fmt.Sprint(r.LeftOut)
		if want := "[{A sex not told}]"; (left == want) != (test.count == pedigree.Count{Unsexed: 1}) {
			t.Errorf("a lot of %v: left out %s", test.count, left)
		}
	}
}

// Fry of half-sibs have inbreeding 1/8, of full sibs 1/4, of parent and young
// 1/4 (Wright 1922). A limit is kept at exactly its value.
func TestLimitOfKnownRelations(t *testing.T) {
	stock := func() []*pedigree.Stock {
		return []*pedigree.Stock{fish("S", pedigree.Male), fish("D", pedigree.Female), fish("E", pedigree.Female),
			young("son", "one", pedigree.Male), young("sister", "one", pedigree.Female), young("half", "two", pedigree.Female)}
	}
	model := room(t, stock(), bred("one", "S", "D"), bred("two", "S", "E"))
	want := map[string]float64{"son×sister": 1. / 4, "son×half": 1. / 8, "son×D": 1. / 4, "son×E": 0, "S×sister": 1. / 4, "S×half": 1. / 4, "S×D": 0, "S×E": 0}
	over := func(limit *float64) {
		t.Helper()
		r := rank(model, 20240101, pairing.Options{MaxInbreeding: limit})
		if len(r.Pairs) != len(want) {
			t.Fatalf("pairs are %s", names(r))
		}
		for _, p := range r.Pairs {
			f := want[p.Sire+"×"+p.Dam]
			if diff := p.Inbreeding - f; diff > 1e-12 || diff < -1e-12 {
				t.Errorf("inbreeding of %s×%s is %v, want %v", p.Sire, p.Dam, p.Inbreeding, f)
			}
			if is := limit != nil && f > *limit; p.Has(pairing.OverLimit) != is {
				t.Errorf("%s×%s at %v: flags %v", p.Sire, p.Dam, f, p.Flags)
			}
		}
	}
	for _, limit := range []float64{0, 0.1249999, 0.125, 0.2, 0.25, 1} {
		over(&limit)
	}
	over(nil)
	goal := 0.125 // and of the line's goal, where no limit is given
	model.Book().Lines[0].Goal.MaxInbreeding = &goal
	for _, p := range rank(model, 20240101, pairing.Options{}).Pairs {
		if is := want[p.Sire+"×"+p.Dam] > goal; p.Has(pairing.OverLimit) != is {
			t.Errorf("by the goal, %s×%s: flags %v", p.Sire, p.Dam, p.Flags)
		}
	}
}

// Pairs of unrelated wild fish are as good as each other: they stand by name,
// whatever the order of the records.
func TestTiesStandByName(t *testing.T) {
	ids := []string{"a", "b", "c", "d"}
	want := "a×c a×d b×c b×d"
	for i := range ids {
		var stock []*pedigree.Stock
		for j := range ids {
			id := ids[(i+j)%len(ids)]
			sex := pedigree.Male
			if id > "b" {
				sex = pedigree.Female
			}
			stock = append(stock, fish(id, sex))
		}
		if got := names(rank(room(t, stock), 20240101, pairing.Options{})); got != want {
			t.Errorf("ranked %s, want %s", got, want)
		}
	}
}

// 300 males and 300 females, young of 150 pairs of one generation before.
func BenchmarkRank(b *testing.B) {
	var stock []*pedigree.Stock
	var spawns []*pedigree.Spawn
	for i := range 150 {
		n := fmt.Sprintf("%03d", i)
		old := []*pedigree.Stock{fish("s"+n, pedigree.Male), fish("d"+n, pedigree.Female)}
		for _, s := range old {
			s.Died = 20220101
		}
		stock = append(stock, old...)
		spawns = append(spawns, bred("S"+n, "s"+n, fmt.Sprintf("d%03d", i/2)))
		for j := range 2 {
			stock = append(stock, young(fmt.Sprintf("m%s%d", n, j), "S"+n, pedigree.Male), young(fmt.Sprintf("f%s%d", n, j), "S"+n, pedigree.Female))
		}
	}
	state := room(b, stock, spawns...).On(20240101)
	for b.Loop() {
		if r := pairing.Rank(state, pairing.Options{Line: line, Keep: 10}); len(r.Pairs) != 300*300 {
			b.Fatalf("%d pairs", len(r.Pairs))
		}
	}
	b.ReportMetric(float64(len(stock)+len(spawns))*float64(b.N)/b.Elapsed().Seconds(), "records/s")
	b.ReportMetric(300*300*float64(b.N)/b.Elapsed().Seconds(), "pairs/s")
}
