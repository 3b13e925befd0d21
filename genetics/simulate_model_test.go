package genetics_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

var long = flag.Bool("long", false, "compare the model with the simulator on 2,000 random books")

// comparison is one number of the model beside the simulated one.
type comparison struct {
	what  string
	model float64
	sim   estimate
}

// The model's numbers are held against many plays of random books.
//
// A number that lies more than 4.5 standard errors off is played again with 25
// times as many replicates and other draws; it fails if it is then more than 5
// off. Standard errors of rare events are too small in a short run, which the
// second run cures; a wrong number only moves further away. With normal errors
// a right model fails at one number with chance 7e-6 · 6e-7, so at any of 1e6
// numbers with less than one in 100,000. Beside that, the spread of all the z
// must be about 1.
func TestModelAgreesWithSimulation(t *testing.T) {
	books, replicates := 120, 1500
	if *long {
		books, replicates = 2000, 4000
	}
	if testing.Short() {
		books = 20
	}
	var (
		mu      sync.Mutex
		sum     float64
		squares float64
		n       int
	)
	seeds := make(chan uint64)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for seed := range seeds {
				list, problems := compareBook(seed, replicates)
				mu.Lock()
				for _, c := range list {
					// Of numbers near 0 the standard error is itself uncertain.
					if c.model > 0.02 && c.sim.stderr() > 1e-6 {
						z := c.sim.z(c.model)
						sum, squares, n = sum+z, squares+z*z, n+1
					}
				}
				for _, p := range problems {
					t.Errorf("seed %d: %s", seed, p)
				}
				if problems != nil {
					book, _ := randomBook(seed)
					t.Logf("seed %d:\n%s", seed, describe(book))
				}
				mu.Unlock()
			}
		})
	}
	for seed := range uint64(books) {
		seeds <- seed + 1000
	}
	close(seeds)
	wait.Wait()
	mean, sd := sum/float64(n), math.Sqrt(squares/float64(n))
	t.Logf("%d books, %d numbers: mean z %.3f, root mean square %.3f", books, n, mean, sd)
	if math.Abs(sd-1) > 0.15 || math.Abs(mean) > 0.15 {
		t.Errorf("z has mean %.3f and root mean square %.3f, want 0 and 1", mean, sd)
	}
}

// compareBook plays one random book, on its last day or on an earlier one, and
// returns all numbers and what was wrong with them.
func compareBook(seed uint64, replicates int) ([]comparison, []string) {
	book, p := randomBook(seed)
	on := pedigree.Date(29990101)
	rng := rand.New(rand.NewPCG(seed, 1))
	if dates := p.dates(); len(dates) > 0 && rng.IntN(3) == 0 {
		on = dates[rng.IntN(len(dates))]
	}
	list, problems := compare(book, p, on, replicates, seed)
	var again []comparison
	for i, c := range list {
		if math.Abs(c.sim.z(c.model)) <= 4.5 {
			continue
		}
		if again == nil {
			again, _ = compare(book, p, on, 25*replicates, seed+1<<32)
		}
		if z := again[i].sim.z(c.model); math.Abs(z) > 5 {
			problems = append(problems, fmt.Sprintf("on %s: %s: model %.6f, simulated %.6f ± %.6f (z %.1f)",
				on, c.what, c.model, again[i].sim.mean(), again[i].sim.stderr(), z))
		}
	}
	return list, problems
}

func compare(book *pedigree.Book, p *play, on pedigree.Date, replicates int, seed uint64) (list []comparison, problems []string) {
	m, err := genetics.Compile(book)
	if err != nil {
		return nil, []string{err.Error()}
	}
	state := m.On(on)
	sim := p.simulate(on, replicates, 4, seed)
	check := func(what string, model float64, ok, want bool, e estimate) {
		switch {
		case ok != want:
			problems = append(problems, fmt.Sprintf("on %s: %s: known is %t, want %t", on, what, ok, want))
		case ok:
			list = append(list, comparison{what, model, e})
		}
	}
	for i, a := range sim.ids {
		lot := book.StockByID(a).Lot
		if lot && !sim.began[i] {
			continue
		}
		f, ok := state.Inbreeding(a)
		check("inbreeding of "+a, f, ok, sim.number[i] > 0, sim.inbred[i])
		for j, b := range sim.ids[:i+1] {
			if book.StockByID(b).Lot && !sim.began[j] {
				continue
			}
			k, ok := state.Kinship(a, b)
			known := sim.number[i] > 0 && sim.number[j] > 0
			if i == j && lot {
				known = sim.number[i] > 1
			}
			check("kinship of "+a+" and "+b, k, ok, known, sim.kinship[i][j])
		}
	}
	for _, s := range book.Spawns {
		if s.IsPlanned() {
			continue
		}
		f, ok := state.Inbreeding(s.ID)
		check("inbreeding of the fry of "+s.ID, f, ok, true, sim.fry[s.ID])
	}
	return list, problems
}

// describe writes a book for one who must find out what is wrong with it.
func describe(book *pedigree.Book) string {
	var b strings.Builder
	for _, r := range book.Lines[0].RelatedFounders {
		fmt.Fprintf(&b, "related %v: %g\n", r.Of, r.Kinship)
	}
	for _, s := range book.Stock {
		fmt.Fprintf(&b, "%s lot=%t %v count=%v date=%v", s.ID, s.Lot, s.Sex, s.Count, s.Date)
		switch {
		case s.Wild != nil:
			fmt.Fprintf(&b, " wild %v related %g", s.Wild.Date, s.Wild.Related)
		case s.Bought != nil:
			fmt.Fprintf(&b, " bought %v related %g/%t F %g", s.Bought.Date, s.Bought.Related, s.Bought.RelatedStated, s.Bought.Inbreeding)
		case s.Picked != "":
			fmt.Fprintf(&b, " picked %s", s.Picked)
		case s.Merged != nil:
			fmt.Fprintf(&b, " merged %v", s.Merged)
		default:
			fmt.Fprintf(&b, " spawn %v", s.FromSpawns)
		}
		fmt.Fprintf(&b, " changes %v sold %v died %v retired %v\n", s.Changes, s.Sold, s.Died, s.Retired)
	}
	for _, s := range book.Spawns {
		fmt.Fprintf(&b, "%s %v group %v repeat %q sire %v (%v) dam %v (%v) planned %v\n",
			s.ID, s.Date, s.Group, s.Repeat, s.Sire, s.Sires, s.Dam, s.Dams, s.Planned)
	}
	return b.String()
}
