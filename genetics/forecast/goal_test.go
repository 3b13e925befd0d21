package forecast

import (
	"context"
	"math/rand/v2"
	"testing"
)

func randFor(o Options) *rand.Rand { return rand.New(rand.NewPCG(o.Seed, 0)) }

// The fewest pairs are those that trying every number finds.
func TestLeastPairs(t *testing.T) {
	o := usual(AvoidSiblings)
	o.Generations, o.Replicates = 10, 60
	for _, level := range []float64{0.5, 0.7, 0.8, 0.85} {
		search := Search{Start: unrelated(20, 20), Options: o, Goal: Goal{level, 0.95}, KeepOfPair: 6}
		got, found, err := search.LeastPairs(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		want := 0
		for n := 1; n <= 40 && want == 0; n++ {
			o.Pairs, o.Keep = n, 6*n
			if play(t, search.Start, o).Held(level, 0) >= 0.95 {
				want = n
			}
		}
		if !found || got.Pairs != want || got.Keep != 6*want || got.NewWild != 0 {
			t.Errorf("level %g: %d pairs, %d kept; want %d pairs", level, got.Pairs, got.Keep, want)
		}
	}
}

// A group of N that spawns together keeps 90 % for so many generations at about
// the size that 1/(2N) a generation asks for: exact by [ring].
func TestLeastColony(t *testing.T) {
	o := together(40, 20, 10, 100)
	search := Search{Start: unrelated(100, 100), Options: o, Goal: Goal{0.9, 0.5}}
	got, found, err := search.LeastPairs(context.Background())
	if err != nil || !found {
		t.Fatal(found, err)
	}
	diversity := func(n int) float64 {
		r := newRing(1, n/2, n/2)
		first := newRing(1, 100, 100) // the first parents are 200
		first.breed()
		r.kinship, r.self = first.kinship, first.self
		for range 9 {
			r.breed()
		}
		return 1 - r.kinship[0][0] - (r.self[0]-r.kinship[0][0])/float64(n)
	}
	exact := 2
	for diversity(exact) < 0.9 {
		exact += 2
	}
	if got.Keep < exact-4 || got.Keep > exact+4 {
		t.Errorf("a colony of %d, want about %d", got.Keep, exact)
	}
}

// The fewest new wild fish hold the goal, and one fewer do not; a line that is
// below it today has to keep it from the first of them on.
func TestLeastNewWild(t *testing.T) {
	for _, test := range []struct {
		start *Start
		from  func(every int) int
	}{
		{unrelated(10, 10), func(int) int { return 0 }},
		{unrelated(1, 1), func(every int) int { return every }},
	} {
		o := usual(Random)
		o.Pairs, o.Keep = 12, 60
		search := Search{Start: test.start, Options: o, Goal: Goal{0.8, 0.9}}
		found, err := search.LeastNewWild(context.Background(), []int{1, 2, 3, 5, 10, 50})
		if err != nil || len(found) < 2 {
			t.Fatal(found, err)
		}
		for i, stock := range found {
			if stock.From != test.from(stock.Every) {
				t.Errorf("%+v: the goal counts from generation %d", stock, stock.From)
			}
			o.NewWild, o.Every = stock.NewWild, stock.Every
			if held := play(t, test.start, o).Held(0.8, stock.From); held < 0.9 {
				t.Errorf("%+v keep the goal in %g of the runs", stock, held)
			}
			if o.NewWild--; o.NewWild > 0 && play(t, test.start, o).Held(0.8, stock.From) >= 0.9 {
				t.Errorf("one fewer than %+v keep the goal too", stock)
			}
			if i > 0 && found[i-1].NewWild*stock.Every > stock.NewWild*found[i-1].Every {
				t.Errorf("%+v takes more fish than %+v", found[i-1], stock)
			}
		}
	}
}

// No number does where none can.
func TestNoneKeeps(t *testing.T) {
	search := Search{Start: unrelated(2, 2), Options: usual(Random), Goal: Goal{0.99, 0.95}, KeepOfPair: 10}
	if _, found, err := search.LeastPairs(context.Background()); found || err != nil {
		t.Error(found, err)
	}
	if stock, err := search.LeastNewWild(context.Background(), []int{1, 5}); len(stock) > 0 || err != nil {
		t.Error(stock, err)
	}
	search.KeepOfPair, search.Keep = 0, 2
	search.Scheme, search.Groups = Rotate, 3
	if _, found, _ := search.LeastPairs(context.Background()); found {
		t.Error("three groups of two young")
	}
}
