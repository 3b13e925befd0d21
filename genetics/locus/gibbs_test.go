package locus

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"roebook/pedigree"
)

// TestGibbsAgainstExact: where both can be done, sampled odds are within their
// stated standard error of the exact ones: hardly any beyond five of them, and
// the mean square of the differences in standard errors near 1.
func TestGibbsAgainstExact(t *testing.T) {
	books, worst := 20, 0.0
	var square, n float64
	for seed, done := uint64(0), 0; done < books; seed++ {
		m := randomBook(seed)
		study := New(m.book)
		in := newInference(study.index, study.systems["amber-spring"])
		var scopes [][]int
		for _, b := range in.parts {
			for _, being := range m.beings {
				if being.asked {
					scopes = append(scopes, []int{b.fishVar(m.book.StockByID(being.name))})
				}
			}
		}
		in.evidence()
		exact := in.net.solve(all, scopes, 1)
		if !exact.possible {
			continue
		}
		in.net.limit, in.net.sweeps = 1, 50
		sampled := in.net.solve(all, scopes, seed+1)
		if !sampled.possible {
			t.Fatalf("seed %d: the sampler finds it impossible", seed)
		}
		if !sampled.sampling.Sampled {
			continue
		}
		done++
		for i := range scopes {
			for k, p := range exact.shares[i] {
				if sampled.errors[i] == nil {
					continue
				}
				se, d := sampled.errors[i][k], math.Abs(sampled.shares[i][k]-p)
				if d > 5*se+1e-6 {
					t.Errorf("seed %d: sampled %g, exact %g, standard error %g", seed, sampled.shares[i][k], p, se)
				}
				if se > 1e-9 {
					square, n, worst = square+d*d/se/se, n+1, max(worst, d/se)
				}
			}
		}
	}
	t.Logf("%.0f odds: mean square difference %.2f, greatest %.2f standard errors", n, square/n, worst)
	if square/n > 1.6 {
		t.Errorf("the standard errors are too small: mean square difference %g", square/n)
	}
}

// TestGibbsOnAHatchery: the same for pedigrees with many loops that can still be
// worked out exactly.
func TestGibbsOnAHatchery(t *testing.T) {
	for _, looked := range []float64{0.1, 1} {
		book := hatchery(60, 4, looked)
		study := New(book)
		in := newInference(study.index, study.systems["amber-spring"])
		var scopes [][]int
		for _, s := range book.Stock {
			scopes = append(scopes, []int{in.parts[0].fishVar(s)})
		}
		in.evidence()
		exact := in.net.solve(all, scopes, exactOnly)
		if !exact.exact() {
			t.Fatal("not exact")
		}
		in.net.limit, in.net.sweeps = 1, 20
		// Odds of kin go up and down together, so several runs are needed to tell.
		worst, square, n, agreement := 0.0, 0.0, 0.0, 0.0
		for seed := range uint64(8) {
			sampled := in.net.solve(all, scopes, seed+1)
			agreement = max(agreement, sampled.sampling.Agreement)
			for i := range scopes {
				for k, p := range exact.shares[i] {
					if sampled.errors[i] == nil || sampled.errors[i][k] < 1e-9 {
						continue
					}
					d := (sampled.shares[i][k] - p) / sampled.errors[i][k]
					worst, square, n = max(worst, math.Abs(d)), square+d*d, n+1
				}
			}
		}
		t.Logf("%g looked at: %.0f odds, mean square difference %.2f, greatest %.2f standard errors, agreement %.3f", looked, n, square/n, worst, agreement)
		if square/n > 1.5 || worst > 6 {
			t.Errorf("the standard errors are too small: mean square difference %g, greatest %g", square/n, worst)
		}
	}
}

// hatchery is a book of so many fish over so many generations, each of random
// parents of the generation before; so many of them are looked at.
func hatchery(fish, generations int, looked float64) *pedigree.Book {
	rng := rand.New(rand.NewPCG(7, 11))
	line := paleLine()
	b := &pedigree.Book{Name: "hatchery", Lines: []*pedigree.Line{line}}
	type one struct {
		id   string
		x, y bool
	}
	var last []one
	each := fish / generations
	for g := range generations {
		var now []one
		for i := range each {
			id := fmt.Sprintf("G%d-%04d", g, i)
			s := &pedigree.Stock{ID: id, Line: line.Name, Sex: pedigree.Sex(1 + i%2), Wild: &pedigree.Wild{}}
			f := one{id, rng.Float64() < 0.3, rng.Float64() < 0.3}
			if g > 0 {
				sire, dam := last[2*rng.IntN(each/2)], last[2*rng.IntN(each/2)+1]
				spawn := bred("S"+id, sire.id, dam.id)
				spawn.Date, spawn.Line = pedigree.Date(20200101+10000*g), line.Name
				b.Spawns = append(b.Spawns, spawn)
				s.Wild, s.FromSpawns = nil, []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}
				pass := func(p one) bool {
					if rng.IntN(2) == 0 {
						return p.x
					}
					return p.y
				}
				f.x, f.y = pass(sire), pass(dam)
			}
			if rng.Float64() < looked {
				look := "dark"
				if f.x && f.y {
					look = "pale"
				}
				shows(s, "pale", look)
			}
			b.Stock = append(b.Stock, s)
			now = append(now, f)
		}
		last = now
	}
	b.Arrange()
	return b
}

func BenchmarkHatchery(b *testing.B) {
	for _, looked := range []float64{0.02, 1} {
		b.Run(fmt.Sprintf("2000 fish, %g looked at", looked), func(b *testing.B) {
			book := hatchery(2000, 8, looked)
			for b.Loop() {
				a := New(book).Line("amber-spring", nil, 0)
				if len(a.Impossible) > 0 {
					b.Fatal("impossible")
				}
				worst, agreement := 0.0, 0.0
				for _, o := range a.Odds {
					worst, agreement = max(worst, o.Error), max(agreement, o.Agreement)
				}
				b.ReportMetric(worst, "error")
				b.ReportMetric(agreement, "agreement")
			}
		})
	}
}

func BenchmarkCheck(b *testing.B) {
	for _, looked := range []float64{0.02, 1} {
		b.Run(fmt.Sprintf("2000 fish, %g looked at", looked), func(b *testing.B) {
			book := hatchery(2000, 8, looked)
			for b.Loop() {
				if problems := Check(book, func() *pedigree.Book { return book }); len(problems) > 0 {
					b.Fatal(problems)
				}
			}
		})
	}
}
