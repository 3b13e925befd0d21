package sums_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"roebook/genetics/sums"
)

// What cannot be is refused: odds of 0 and 100 %, shares and numbers out of range,
// what is no number.
func TestRefused(t *testing.T) {
	one := sums.Sexes{Males: 1, Females: 1}
	carrier := sums.Test{Mate: sums.Carrier}
	for _, bad := range []float64{0, 1, -.1, 1.1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		for what, call := range map[string]func() error{
			"odds of sexes":   func() error { _, err := sums.FishForSexes(one, .5, bad); return err },
			"share of males":  func() error { _, err := sums.FishForSexes(one, bad, .9); return err },
			"males among":     func() error { _, err := sums.SexesAmong(6, one, bad); return err },
			"diversity":       func() error { _, err := sums.FoundersFor(bad, 0); return err },
			"odds of allele":  func() error { _, err := sums.FishForAllele(.1, bad); return err },
			"doubt":           func() error { _, err := carrier.Young(bad); return err },
			"before":          func() error { _, err := carrier.CarrierOdds(bad, 3); return err },
			"before, asked":   func() error { _, err := carrier.YoungGiven(bad, .01); return err },
			"doubt, before":   func() error { _, err := carrier.YoungGiven(.5, bad); return err },
			"keep":            func() error { _, err := sums.SizeToKeep(bad, 10); return err },
			"loss":            func() error { _, err := sums.SizeForLoss(bad); return err },
			"males of heads":  func() error { _, _, err := sums.Heads(50, bad, sums.BySexes); return err },
			"odds of spawn":   func() error { _, err := sums.Yield{.5, .1}.SpawningFor(5, []int{20}, bad); return err },
			"kinship":         func() error { _, err := sums.FoundersFor(.9, bad-1e-9); return err },
			"frequency":       func() error { _, err := sums.Missed(bad*2, 3); return err },
			"generations":     func() error { _, err := sums.SizeToKeep(.9, bad*.9); return err },
			"allele's freq":   func() error { _, err := sums.SizeForAllele(bad*2, 3, .9); return err },
			"freq, kept":      func() error { _, err := sums.AlleleKept(bad*2, 3, 3); return err },
			"diversity again": func() error { _, err := sums.FoundersFor(bad, .1); return err },
		} {
			if bad == 1 && what == "kinship" {
				continue // counts as 1 − 1e-9
			}
			if call() == nil {
				t.Errorf("%s: %v is taken", what, bad)
			}
		}
	}
	for what, err := range map[string]error{
		"no fish wanted": second(sums.FishForSexes(sums.Sexes{}, .5, .9)),
		"minus a male":   second(sums.FishForSexes(sums.Sexes{Males: -1, Females: 3}, .5, .9)),
		"no fish":        second(sums.SexesAmong(0, one, .5)),
		"no founder":     second(sums.FounderDiversity(0, 0)),
		"no fish caught": second(sums.Missed(.1, 0)),
		"no generation":  second(sums.SizeForAllele(.1, 0, .9)),
		"minus a young":  second(carrier.Passed(-1)),
		"none of each":   second(sums.Test{Mate: sums.Offspring}.Young(.1)),
		"no fry":         second(sums.Yield{.5, .1}.SpawningFor(0, []int{20}, .9)),
		"too many fry":   second(sums.Yield{.5, .1}.SpawningFor(sums.MostFry+1, []int{20}, .9)),
		"too sure":       second(sums.Yield{.5, .1}.SpawningFor(5, []int{20}, .9999)),
		"empty spawns":   second(sums.Yield{.5, .1}.SpawningFor(5, []int{0, 0}, .9)),
		"no spawns":      second(sums.Yield{.5, .1}.SpawningFor(5, nil, .9)),
		"few spawns":     second(sums.FitYield([]sums.Count{{10, 5}, {10, 6}, {0, 0}, {0, 0}, {0, 0}, {8, 8}})),
		"nothing":        second(sums.FitYield([]sums.Count{{10, 0}, {10, 0}, {20, 0}, {11, 0}, {8, 0}})),
		"more than all":  second(sums.FitYield([]sums.Count{{10, 11}, {10, 6}, {20, 3}, {11, 2}, {8, 8}})),
	} {
		if err == nil {
			t.Errorf("%s: is taken", what)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// However much is asked, the answer comes at once, or is that it is too much.
func TestAtOnce(t *testing.T) {
	began := time.Now()
	for what, err := range map[string]error{
		"sexes":     second(sums.FishForSexes(sums.Sexes{Males: 1, Females: 1}, 1e-15, .95)),
		"allele":    second(sums.FishForAllele(1e-300, .95)),
		"founders":  second(sums.FoundersFor(1-1e-15, 0)),
		"spawns":    second(sums.Yield{1e-12, 1e-6}.SpawningFor(2000, []int{1}, .9)),
		"heads":     func() error { _, _, err := sums.Heads(1e9, 1e-6, sums.BySexes); return err }(),
		"ring":      func() error { _, _, err := sums.RingFor(1e12, 20, .5); return err }(),
		"few lines": func() error { _, _, err := sums.RingFor(10, sums.MostLines+1, .5); return err }(),
	} {
		if err == nil || (what != "few lines" && !errors.Is(err, sums.ErrTooMany)) {
			t.Errorf("%s: %v", what, err)
		}
	}
	for what, err := range map[string]error{
		"sexes":  second(sums.FishForSexes(sums.Sexes{Males: 100_000_000, Females: 100_000_000}, .5, .999999)),
		"allele": second(sums.FishForAllele(1e-8, .95)),
		"test":   second(sums.Test{Mate: sums.Offspring, Each: 1000}.Young(1e-300)),
		"spawns": second(sums.Yield{.01, .1}.SpawningFor(2000, []int{10, 20}, .9)),
		"large":  second(sums.Yield{.3, .1}.SpawningFor(sums.MostFry, []int{100_000_000, 1000}, .9)),
		"ring":   func() error { _, _, err := sums.RingFor(1e6, sums.MostLines, .01); return err }(),
	} {
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	if took := time.Since(began); took > time.Minute { // about 0.5 s; generous for -race and a busy machine
		t.Errorf("took %v", took)
	}
}

// A number is the smallest that will do, and the way back agrees.
func TestSmallestThatWillDo(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		sure := rapid.Float64Range(.01, .9999).Draw(r, "sure")
		share := rapid.Float64Range(.01, .99).Draw(r, "share")
		holds := func(what string, n, least int, chance func(n int) float64, sure float64) {
			if chance(n) < sure-1e-9 || n > least && chance(n-1) > sure+1e-9 {
				r.Errorf("%s: %d for %v", what, n, sure)
			}
		}
		want := sums.Sexes{Males: rapid.IntRange(0, 30).Draw(r, "males"), Females: rapid.IntRange(1, 30).Draw(r, "females")}
		n, err := sums.FishForSexes(want, share, sure)
		if err != nil {
			r.Fatal(err)
		}
		holds("sexes", n, want.Males+want.Females, func(n int) float64 { c, _ := sums.SexesAmong(n, want, share); return c }, sure)

		g := rapid.IntRange(1, 100).Draw(r, "generations")
		if n, err = sums.SizeForAllele(share, g, sure); err != nil {
			r.Fatal(err)
		}
		holds("allele", n, 1, func(n int) float64 { c, _ := sums.AlleleKept(share, n, g); return c }, sure)

		kinship := share / 2 * .99
		if n, err = sums.FoundersFor(sure*(1-kinship), kinship); err != nil {
			r.Fatal(err)
		}
		holds("founders", n, 1, func(n int) float64 { d, _ := sums.FounderDiversity(n, kinship); return d }, sure*(1-kinship))

		test := sums.Test{Mate: sums.Mate(rapid.IntRange(0, 2).Draw(r, "mate")), Each: rapid.IntRange(1, 20).Draw(r, "each")}
		if n, err = test.YoungGiven(share, 1-sure); err != nil {
			r.Fatal(err)
		}
		holds("test", n, 0, func(n int) float64 { c, _ := test.CarrierOdds(share, n); return 1 - c }, sure)

		ne := rapid.Float64Range(1, 5000).Draw(r, "size")
		for what, size := range map[string]func(m, f float64) float64{"random": sums.BySexes, "pedigreed": sums.Pedigreed} {
			m, f, err := sums.Heads(ne, share, size)
			if err != nil || m < 1 || f < 1 {
				r.Fatal(m, f, err)
			}
			if size(float64(m), float64(f)) < ne*(1-1e-9) {
				r.Errorf("%s: %d + %d for %v", what, m, f, ne)
			}
			if off := math.Abs(float64(m) - share*float64(m+f)); off > 1 && m > 1 && f > 1 {
				r.Errorf("%s: %d + %d at %v males", what, m, f, share)
			}
		}
	})
}
