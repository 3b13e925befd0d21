package pedigree

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// drawBook draws a book in which any reference, date and number may be wrong;
// every second one is kept with more care, so that much of it is sound.
func drawBook(t *rapid.T) *Book {
	const records = 9
	careful, upTo, from := rapid.Bool().Draw(t, "careful"), records, 0
	id := rapid.Custom(func(t *rapid.T) string {
		if careful {
			return fmt.Sprintf("A%d", rapid.IntRange(0, max(upTo-1, 0)).Draw(t, "id"))
		}
		if rapid.IntRange(0, 20).Draw(t, "missing") == 0 {
			return rapid.SampledFrom([]string{"", "nobody"}).Draw(t, "unknown id")
		}
		return fmt.Sprintf("A%d", rapid.IntRange(0, records-1).Draw(t, "id"))
	})
	spawnID := rapid.Custom(func(t *rapid.T) string { return fmt.Sprintf("S%d", rapid.IntRange(0, 5).Draw(t, "spawn")) })
	date := rapid.Custom(func(t *rapid.T) Date {
		if careful {
			return Date(20220000 + from*100 + rapid.IntRange(0, 28).Draw(t, "day"))
		}
		d := Date(20220000 + rapid.IntRange(0, 1).Draw(t, "year")*10000)
		switch rapid.IntRange(0, 5).Draw(t, "known") {
		case 0:
			return 0
		case 1:
			return d
		case 2:
			return d + Date(100*rapid.IntRange(1, 12).Draw(t, "month"))
		}
		return d + Date(100*rapid.IntRange(1, 12).Draw(t, "month")+rapid.IntRange(1, 28).Draw(t, "day"))
	})
	count := rapid.Custom(func(t *rapid.T) Count {
		n := rapid.IntRange(0, 4)
		return Count{n.Draw(t, "males"), n.Draw(t, "females"), n.Draw(t, "unsexed")}
	})
	tallied := rapid.Custom(func(t *rapid.T) Tally {
		return Tally{rapid.IntRange(0, 9).Draw(t, "n"), rapid.Bool().Draw(t, "stated")}
	})
	ids := func(label string) []string { return rapid.SliceOfN(id, 0, 3).Draw(t, label) }
	var all []any
	all = append(all, line(func(l *Line) {
		l.MatureMonths, l.StoresSpermMonths = MatureMonths{3, 4.5}, rapid.SampledFrom([]float64{0, 2.5}).Draw(t, "stores")
		l.Tanks = []Tank{{ID: "R1"}}
		if !careful {
			l.RelatedFounders = []RelatedFounders{{Of: ids("of"), Kinship: 0.3}, {Of: ids("of"), Kinship: 0.25}}
		}
	}))
	for i := range records {
		upTo, from = i, i/2+1
		if i >= 5 {
			from = 10000/100 + i - 3
		}
		s := &Stock{
			ID: fmt.Sprintf("A%d", i), Line: rapid.SampledFrom([]string{"amber-spring", "none"}).Draw(t, "line"),
			Sex: Sex(rapid.IntRange(0, 2).Draw(t, "sex")), Date: date.Draw(t, "date"),
		}
		if s.Lot = rapid.Bool().Draw(t, "lot"); s.Lot {
			s.Count = count.Draw(t, "count")
			if careful && i < 5 {
				s.Count.Unsexed += 6
			}
		}
		origins := rapid.IntRange(0, 5)
		switch {
		case careful && i == 0:
			origins = rapid.IntRange(0, 1)
		case careful && i < 5:
			origins = rapid.SampledFrom([]int{0, 1, 2, 4})
		case careful:
			origins = rapid.SampledFrom([]int{2, 3, 3, 4})
		}
		switch origins.Draw(t, "origin") {
		case 0:
			s.Wild = &Wild{Date: date.Draw(t, "caught")}
		case 1:
			s.Bought = &Bought{Date: date.Draw(t, "bought"), Inbreeding: 0.5}
		case 2:
			s.Picked = id.Draw(t, "picked")
		case 3:
			for range rapid.IntRange(1, 2).Draw(t, "spawns") {
				s.FromSpawns = append(s.FromSpawns, FromSpawn{spawnID.Draw(t, "spawn"), 2})
			}
		case 4:
			for _, part := range slices.Compact(slices.Sorted(slices.Values(ids("parts")))) {
				s.Merged = append(s.Merged, Part{part, count.Draw(t, "moved"), rapid.Bool().Draw(t, "whole")})
			}
		}
		if careful {
			from = 107
		}
		if rapid.IntRange(0, 2).Draw(t, "eventful") == 0 {
			if s.Retired = date.Draw(t, "retired"); !careful {
				s.Born, s.Died = date.Draw(t, "born"), date.Draw(t, "died")
			}
			s.Tank, s.Species = "R2", "Ameca splendens"
			for range rapid.IntRange(0, 2).Draw(t, "events") {
				s.Sold = append(s.Sold, Sale{Date: date.Draw(t, "sold"), Count: count.Draw(t, "sold"), Numbered: rapid.Bool().Draw(t, "numbered")})
				s.Lent = append(s.Lent, Loan{Date: date.Draw(t, "lent")})
				if !careful {
					s.Lent[len(s.Lent)-1].Back = date.Draw(t, "back")
				}
				s.Changes = append(s.Changes, Change{Date: date.Draw(t, "counted"), Count: count.Draw(t, "census")})
			}
		}
		all = append(all, s)
	}
	upTo, from = 5, 6
	for i := range 6 {
		s := &Spawn{ID: fmt.Sprintf("S%d", i), Line: "amber-spring", Date: date.Draw(t, "date")}
		if !careful {
			s.Planned = date.Draw(t, "planned")
		}
		switch rapid.IntRange(0, 3).Draw(t, "parents") {
		case 0:
			s.Group = ids("group")
		case 1:
			s.Repeat = spawnID.Draw(t, "repeat")
		default:
			for _, sex := range [...]Sex{Male, Female} {
				for _, candidate := range ids(sex.String()) {
					s.SideOf(sex).Candidates = append(s.SideOf(sex).Candidates, Candidate{candidate, 1})
				}
			}
		}
		s.Sires.N, s.Dams.All = rapid.IntRange(0, 4).Draw(t, "sires"), rapid.Bool().Draw(t, "dams")
		s.Born, s.Kept, s.Lost = tallied.Draw(t, "born"), tallied.Draw(t, "kept"), tallied.Draw(t, "lost")
		s.Virgin, s.ConceivedWild = rapid.Bool().Draw(t, "virgin"), rapid.Bool().Draw(t, "conceived")
		all = append(all, s)
	}
	return bookOf(all...)
}

// TestCheckRandomBooks: whatever a book holds, checking ends, tells the same
// whatever the order of the records, and what is left after the tainted records
// are taken out is sound and counts the same fish.
func TestCheckRandomBooks(t *testing.T) {
	rapid.Check(t, checkRandomBook)
}

// FuzzCheck is the same, steered by coverage.
func FuzzCheck(f *testing.F) { f.Fuzz(rapid.MakeFuzz(checkRandomBook)) }

func checkRandomBook(t *rapid.T) {
	on := day("2023-06-01")
	b := drawBook(t)
	problems := Check(b, on)

	rest := b.Without(Tainted(b, problems))
	for _, p := range Check(rest, on) {
		if p.Severity == Error && !slices.Contains(taintNothing, p.Rule) {
			t.Fatalf("still wrong after the tainted records were taken out: %v", p)
		}
	}
	for _, s := range rest.Stock {
		if got, want := rest.Heads(s, on), b.Heads(s, on); !near(got, want) {
			t.Fatalf("%s holds %v without the tainted records, %v with them", s.ID, got, want)
		}
		if got, want := rest.Mature(s, Male, on), b.Mature(s, Male, on); got != want {
			t.Fatalf("%s is mature: %v, and %v with the tainted records", s.ID, got, want)
		}
	}

	shuffled := &Book{Lines: b.Lines, Stock: slices.Clone(b.Stock), Spawns: slices.Clone(b.Spawns)}
	rand.Shuffle(len(shuffled.Stock), func(i, j int) { shuffled.Stock[i], shuffled.Stock[j] = shuffled.Stock[j], shuffled.Stock[i] })
	slices.Reverse(shuffled.Spawns)
	shuffled.Arrange()
	if diff := cmp.Diff(problems, Check(shuffled, on)); diff != "" {
		t.Fatalf("in another order of the records other problems are told:\n%s", diff)
	}
}

func near(a, b Numbers) bool {
	d := a.plus(Numbers{-b.Males, -b.Females, -b.Unsexed})
	return max(d.Males, d.Females, d.Unsexed) < few && min(d.Males, d.Females, d.Unsexed) > -few
}

// TestCheckZeroValues: empty records and a book that was never arranged do no
// harm.
func TestCheckZeroValues(t *testing.T) {
	Check(&Book{}, 0)
	Check(bookOf(&Stock{}, &Stock{Lot: true}, &Spawn{}, &Line{}), 0)
	Check(bookOf(&Stock{ID: "A"}, &Stock{ID: "A", Lot: true}, &Spawn{ID: "A", Group: []string{"A", ""}, Repeat: "A"}), day("2022"))
	Check(&Book{Stock: []*Stock{fish("A", Male), lot("L", 1, 1, 1)}, Spawns: []*Spawn{grouping("S", "2022", "L")}}, day("2022"))
}

// largeBook is a sound book of n records: a founder lot, and every year its
// young, one of each spawn picked out to breed.
func largeBook(n int) *Book {
	records := []any{mature(4, 6), lot("L0", 3, 3, 0, begins("2000-01-01"))}
	date := day("2001-01-01")
	for i := 1; len(records) < n; i++ {
		before := fmt.Sprintf("L%d", i-1)
		if i%20 == 0 { // another branch from the founders
			before, date = "L0", day("2001-01-01")
		}
		now := fmt.Sprintf("L%d", i)
		records = append(records,
			grouping(fmt.Sprintf("S%d", i), date.String(), before, bornAlive(20)),
			lot(now, 4, 4, 0, bredFrom(fmt.Sprintf("S%d", i))),
			fish(fmt.Sprintf("M%d", i), Male, picked(now, ""), begins(date.AddMonths(5).String())),
			fish(fmt.Sprintf("F%d", i), Female, picked(now, ""), begins(date.AddMonths(5).String())),
			pairing(fmt.Sprintf("T%d", i), date.AddMonths(7).String(), fmt.Sprintf("M%d", i), fmt.Sprintf("F%d", i)))
		date = date.AddMonths(8)
	}
	return bookOf(records...)
}

func TestLargeBookIsSound(t *testing.T) {
	for _, p := range Check(largeBook(500), 0) {
		t.Error(p)
	}
}

func BenchmarkCheck(b *testing.B) {
	book := largeBook(5000)
	for b.Loop() {
		Check(book, day("2030-01-01"))
	}
}

func BenchmarkArrange(b *testing.B) {
	book := largeBook(5000)
	for b.Loop() {
		book.Arrange()
	}
}
