package genetics_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"roebook/genetics"
	"roebook/pedigree"
)

// answers returns all kinships and inbreeding coefficients by a name for each.
func answers(t interface{ Fatal(...any) }, book *pedigree.Book, name func(string) string) map[string]float64 {
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	state, all := m.On(29990101), map[string]float64{}
	for _, s := range book.Stock {
		if f, ok := state.Inbreeding(s.ID); ok {
			all[name(s.ID)] = f
		}
		for _, o := range book.Stock {
			if k, ok := state.Kinship(s.ID, o.ID); ok {
				all[name(s.ID)+" "+name(o.ID)] = k
			}
		}
	}
	for _, s := range book.Spawns {
		if f, ok := state.Inbreeding(s.ID); ok {
			all[name(s.ID)] = f
		}
	}
	return all
}

func same(id string) string { return id }

func TestKinshipIsSymmetricAndAChance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		book, _ := randomBook(rapid.Uint64().Draw(rt, "seed"))
		all := answers(rt, book, same)
		for _, s := range book.Stock {
			for _, o := range book.Stock {
				k, ok := all[s.ID+" "+o.ID]
				back, okBack := all[o.ID+" "+s.ID]
				if ok != okBack || math.Abs(k-back) > 1e-12 {
					rt.Fatalf("kinship of %s and %s: %v one way, %v the other", s.ID, o.ID, k, back)
				}
			}
		}
		for what, x := range all {
			if !(x >= -1e-12 && x <= 1+1e-12) {
				rt.Fatalf("%s: %v is no chance", what, x)
			}
		}
	})
}

// What follows from a book does not depend on the order of its records, or on
// what they are called.
func TestOrderAndNamesChangeNothing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		seed := rapid.Uint64().Draw(rt, "seed")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "order"), 4))
		book, _ := randomBook(seed)
		checkOrderAndNames(rt, rng, book)
	})
}

// checkOrderAndNames fails where the order or the names of the records change
// an answer.
func checkOrderAndNames(t interface {
	Fatal(...any)
	Fatalf(string, ...any)
}, rng *rand.Rand, book *pedigree.Book) {
	want := answers(t, book, same)
	shuffle(rng, book.Stock)
	shuffle(rng, book.Spawns)
	for _, s := range book.Spawns {
		shuffle(rng, s.Group)
		shuffle(rng, s.Sire.Candidates)
		shuffle(rng, s.Dam.Candidates)
	}
	book.Arrange()
	compareAnswers(t, "in another order", answers(t, book, same), want)
	back := rename(rng, book)
	compareAnswers(t, "under other names", answers(t, book, func(id string) string { return back[id] }), want)
}

func shuffle[T any](rng *rand.Rand, list []T) {
	rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

func compareAnswers(t interface{ Fatalf(string, ...any) }, how string, got, want map[string]float64) {
	if len(got) != len(want) {
		t.Fatalf("%s there are %d answers, not %d", how, len(got), len(want))
	}
	for what, w := range want {
		if g, ok := got[what]; !ok || math.Abs(g-w) > 1e-12 {
			t.Fatalf("%s %s is %.15f, not %.15f", how, what, g, w)
		}
	}
}

// rename gives every record another id, arranges the book anew and returns the
// old ids by the new ones.
func rename(rng *rand.Rand, book *pedigree.Book) map[string]string {
	names := rng.Perm(1000)
	name, back := map[string]string{"": ""}, map[string]string{}
	add := func(id string) string {
		to := fmt.Sprintf("R%03d", names[len(back)])
		name[id], back[to] = to, id
		return to
	}
	for _, s := range book.Stock {
		s.ID = add(s.ID)
	}
	for _, s := range book.Spawns {
		s.ID = add(s.ID)
	}
	for _, s := range book.Stock {
		s.Picked = name[s.Picked]
		for i := range s.FromSpawns {
			s.FromSpawns[i].Spawn = name[s.FromSpawns[i].Spawn]
		}
		for i := range s.Merged {
			s.Merged[i].ID = name[s.Merged[i].ID]
		}
		slices.SortFunc(s.Merged, func(a, b pedigree.Part) int { return pedigreeOrder(a.ID, b.ID) })
	}
	for _, s := range book.Spawns {
		s.Repeat = name[s.Repeat]
		for i := range s.Group {
			s.Group[i] = name[s.Group[i]]
		}
		for _, side := range []*pedigree.Side{&s.Sire, &s.Dam} {
			for i := range side.Candidates {
				side.Candidates[i].ID = name[side.Candidates[i].ID]
			}
		}
	}
	for _, line := range book.Lines {
		for _, r := range line.RelatedFounders {
			for i := range r.Of {
				r.Of[i] = name[r.Of[i]]
			}
		}
	}
	book.Arrange()
	return back
}

func pedigreeOrder(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// A record's genes come from founders, or from fish that nobody wrote down.
func TestFounderSharesSumToRecordedAncestry(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		book, _ := randomBook(rapid.Uint64().Draw(rt, "seed"))
		m, err := genetics.Compile(book)
		if err != nil {
			rt.Fatal(err)
		}
		state := m.On(29990101)
		unknown := false
		for _, s := range book.Spawns {
			unknown = unknown || s.Repeat == "" && s.Group == nil && (s.Sire.Candidates == nil || s.Dam.Candidates == nil)
		}
		for _, s := range book.Stock {
			if _, ok := state.Vector(s.ID); !ok {
				continue
			}
			var sum float64
			for _, share := range state.Founders(s.ID) {
				if share.Share < 0 {
					rt.Fatalf("%s has %v of %s", s.ID, share.Share, share.ID)
				}
				sum += share.Share
			}
			recorded := state.RecordedAncestry(s.ID)
			if math.Abs(sum-recorded) > 1e-9 || recorded > 1+1e-9 || !unknown && recorded < 1-1e-9 {
				rt.Fatalf("shares of %s sum to %v, recorded ancestry is %v", s.ID, sum, recorded)
			}
		}
	})
}
