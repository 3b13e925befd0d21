package genetics_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// through is the share and the kinships through one fish of a family by the
// tabular method: the fish is a founder, every other founder has 0, and a fish
// with itself has half of its share and of its parents' kinship.
func (f family) through(id int, own float64) (share []float64, k [][]float64) {
	n := len(f.sire)
	share, k = make([]float64, n), make([][]float64, n)
	for i := range n {
		k[i] = make([]float64, n)
		if i == id {
			share[i], k[i][i] = 1, own
			continue
		}
		s, d := f.sire[i], f.dam[i]
		for _, p := range [2]int{s, d} {
			if p < 0 {
				continue
			}
			share[i] += share[p] / 2
			for j := range i {
				k[i][j] += k[p][j] / 2
			}
		}
		for j := range i {
			k[j][i] = k[i][j]
		}
		k[i][i] = share[i] / 2
		if s >= 0 && d >= 0 {
			k[i][i] += k[s][d] / 2
		}
	}
	return share, k
}

func mateOf(t *testing.T, state *genetics.State, id string) genetics.Mate {
	t.Helper()
	mate, ok := state.Mate(id, pedigree.Male)
	if !ok {
		t.Fatalf("no %s", id)
	}
	return mate
}

func TestStampOfSingleFishIsTabular(t *testing.T) {
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 7))
		f := randomFamily(rng, 3+rng.IntN(25), true)
		m, err := genetics.Compile(f.book())
		if err != nil {
			t.Fatal(err)
		}
		state := m.On(20300101)
		id := rng.IntN(len(f.sire))
		stamp, err := m.Stamp(fishID(id))
		if err != nil {
			t.Fatal(err)
		}
		share, k := f.through(id, mateOf(t, state, fishID(id)).SelfKinship())
		for i := range f.sire {
			one := mateOf(t, state, fishID(i))
			if got := stamp.Share(one); math.Abs(got-share[i]) > 1e-12 {
				t.Fatalf("seed %d: share of %d in %d: %v, tabular %v", seed, id, i, got, share[i])
			}
			row := stamp.Row(one)
			for j := range f.sire {
				if got := row.With(mateOf(t, state, fishID(j))); math.Abs(got-k[i][j]) > 1e-12 {
					t.Fatalf("seed %d: through %d, %d with %d: %v, tabular %v", seed, id, i, j, got, k[i][j])
				}
			}
		}
	}
}

// Partial inbreeding by founder, derived by hand in two ways: 2(1,-) 3(1,-) 4(1,-)
// 5(3,2) 6(3,4) 7(5,6): F5 = F6 = 1/8, F7 = 7/32, of which 5/32 came through
// founder 1 and the other 1/16 through 3's unknown dam.
func TestStampOfAFounderDerivedByHand(t *testing.T) {
	f := family{sire: []int{-1, 0, 0, 0, 2, 2, 4}, dam: []int{-1, -1, -1, -1, 1, 3, 5},
		spawn: []int{0, 1, 2, 3, 4, 5, 6}, inbred: make([]float64, 7)}
	m, err := genetics.Compile(f.book())
	if err != nil {
		t.Fatal(err)
	}
	state := m.On(20300101)
	stamp, err := m.Stamp(fishID(0))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		sire, dam     int
		whole, mostly float64
	}{{2, 1, 1. / 8, 1. / 8}, {2, 3, 1. / 8, 1. / 8}, {4, 5, 7. / 32, 5. / 32}} {
		sire, dam := mateOf(t, state, fishID(want.sire)), mateOf(t, state, fishID(want.dam))
		whole, part := state.KinshipRow(sire).With(dam), stamp.Row(sire).With(dam)
		if math.Abs(whole-want.whole) > 1e-12 || math.Abs(part-want.mostly) > 1e-12 {
			t.Errorf("fry of %d and %d: %v inbred, %v through 1; want %v, %v", want.sire+1, want.dam+1, whole, part, want.whole, want.mostly)
		}
	}
}

// Every gene comes from one founder, so what came through each of them adds up to
// the whole: also for lots, picks, sublots, mixtures and fish put together, where
// all founders are single fish.
func TestStampsOfAllFoundersAddUp(t *testing.T) {
	seeds := uint64(150)
	if *long {
		seeds = 1500
	}
	for seed := range seeds {
		book, _ := randomBook(seed)
		founders := singleFounders(book)
		m, err := genetics.Compile(book)
		if err != nil {
			t.Fatal(err)
		}
		state := m.On(20300101)
		var mates []genetics.Mate
		for _, s := range book.Stock {
			for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
				if mate, ok := state.Mate(s.ID, sex); ok && (s.Lot || sex == pedigree.Male) {
					mates = append(mates, mate)
				}
			}
		}
		sums, shares := make([][]float64, len(mates)), make([]float64, len(mates))
		for _, id := range founders {
			stamp, err := m.Stamp(id)
			if err != nil {
				t.Fatalf("seed %d: %s %v", seed, id, err)
			}
			for i, mate := range mates {
				shares[i] += stamp.Share(mate)
				row := stamp.Row(mate)
				if sums[i] == nil {
					sums[i] = make([]float64, len(mates))
				}
				for j := range mates {
					sums[i][j] += row.With(mates[j])
				}
			}
		}
		for i := range mates {
			row := state.KinshipRow(mates[i])
			if math.Abs(shares[i]-1) > 1e-9 {
				t.Fatalf("seed %d: %s has %v of its genes from founders", seed, mates[i].ID, shares[i])
			}
			for j := range mates {
				if whole := row.With(mates[j]); math.Abs(whole-sums[i][j]) > 1e-9 {
					t.Fatalf("seed %d: %s with %s: %v, through all founders %v\n%s", seed, mates[i].ID, mates[j].ID, whole, sums[i][j], describe(book))
				}
			}
		}
	}
}

// singleFounders makes every founder of a book a single fish: a founder lot becomes
// fry of two, an unknown parent a fish caught for the spawn.
func singleFounders(book *pedigree.Book) (founders []string) {
	caught := func(sex pedigree.Sex) string {
		id := fmt.Sprintf("founder-%02d", len(founders))
		founders = append(founders, id)
		book.Stock = append(book.Stock, &pedigree.Stock{ID: id, Line: book.Lines[0].Name, Sex: sex, Wild: &pedigree.Wild{}})
		return id
	}
	for _, line := range book.Lines {
		line.RelatedFounders = nil
	}
	for _, s := range book.Stock[:len(book.Stock):len(book.Stock)] {
		if s.Wild == nil && s.Bought == nil {
			continue
		}
		if !s.Lot {
			founders = append(founders, s.ID)
			continue
		}
		s.Wild, s.Bought = nil, nil
		spawn := "laid-" + s.ID
		book.Spawns = append(book.Spawns, &pedigree.Spawn{ID: spawn, Line: s.Line, Sire: one(caught(pedigree.Male)), Dam: one(caught(pedigree.Female))})
		s.FromSpawns = []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}
	}
	for _, spawn := range book.Spawns {
		if spawn.Repeat != "" || len(spawn.Group) > 0 {
			continue
		}
		for i, side := range []*pedigree.Side{&spawn.Sire, &spawn.Dam} {
			if len(side.Candidates) == 0 {
				*side = one(caught(pedigree.Sex(1 + i)))
				*[]*pedigree.Parents{&spawn.Sires, &spawn.Dams}[i] = pedigree.Parents{}
			}
		}
	}
	book.Arrange()
	return founders
}

// Derived by hand: two males and a female breed as a group, then one of the males
// is picked out. It was the sire with odds of a half: a quarter of a fry's genes
// are to be expected from it, and two fry share by it ½·¼·½ = 1/16. Fry of a fry
// and the fish are (1/4)·½ = 1/8 inbred through it.
func TestStampOfAFishThatBredBeforeItWasPicked(t *testing.T) {
	lot := wild("L", sexes(2, 1))
	lot.Wild.Date = 20200101
	book := &pedigree.Book{Lines: []*pedigree.Line{{Name: "line"}}, Stock: []*pedigree.Stock{
		lot, pickedFish("X", "L", pedigree.Male, 20210101), fryFish("a", "S"), fryFish("b", "S"),
	}, Spawns: []*pedigree.Spawn{grouped("S", "L", 20200601)}}
	book.Arrange()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	state := m.On(20300101)
	stamp, err := m.Stamp("X")
	if err != nil {
		t.Fatal(err)
	}
	x, a, b := mateOf(t, state, "X"), mateOf(t, state, "a"), mateOf(t, state, "b")
	for _, test := range []struct {
		what      string
		got, want float64
	}{
		{"share of a fry", stamp.Share(a), 1. / 4}, {"two fry", stamp.Row(a).With(b), 1. / 16},
		{"a fry with itself", stamp.Row(a).With(a), 1. / 8}, {"a fry with X", stamp.Row(a).With(x), 1. / 8}, {"X with itself", stamp.Row(x).With(x), 1. / 2},
	} {
		if math.Abs(test.got-test.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", test.what, test.got, test.want)
		}
	}
	if _, err := m.Stamp("L"); err == nil {
		t.Error("a lot has no stamp of its own")
	}
}
