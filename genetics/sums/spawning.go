package sums

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The most fry that are planned for, and the surest that records of spawns allow.
const (
	MostFry     = 20_000
	surestSpawn = 0.999
)

// Spawning is what to set up.
type Spawning struct {
	Eggs   int // laid in spawns of the usual size; of livebearers, fry born
	Spawns int // of sizes as they were on record, whatever they will be
}

// SpawningFor returns the least eggs, and the least spawns, of which the fry
// wanted come through with at least the chance sure.
//
// Eggs are taken as laid in spawns of the usual size (the mean of sizes, rounded),
// the last one smaller, for the fry of one spawn share its luck. The spawns are of
// sizes drawn at random from sizes. What comes through of each is beta-binomial,
// independent between spawns; the sums are worked out in full, by convolution.
// The uncertainty of the yield itself is left out: of few spawns on record the
// true odds are lower.
//
// 1 ≤ fry ≤ [MostFry]; 0 < sure ≤ 0.999; sizes are 0 or more, not all 0.
// [ErrTooMany] where the numbers are beyond any fish room. Cost:
// O(log spawns · fry · log fry + sizes · fry).
func (y Yield) SpawningFor(fry int, sizes []int, sure float64) (Spawning, error) {
	switch err := odds(sure); {
	case err != nil:
		return Spawning{}, err
	case sure > surestSpawn*(1+hair):
		return Spawning{}, fmt.Errorf("odds above %v%% are more than records of spawns can bear out: ask for less", 100*surestSpawn)
	case fry < 1 || fry > MostFry:
		return Spawning{}, fmt.Errorf("the number of fry must be from 1 to %d", MostFry)
	}
	usual := usualSize(sizes)
	if usual < 1 || usual > Most {
		return Spawning{}, errors.New("the spawns on record must have had something in them")
	}
	doubt := (1 - sure) * (1 + hair)
	ofOne := y.chances(usual, fry)
	full, before, err := stillShort(ofOne, fry, doubt)
	if err != nil {
		return Spawning{}, err
	}
	rest, err := smallest(1, func(n int) bool { return n >= usual || short(before, y.chances(n, fry), fry) <= doubt })
	if err != nil {
		return Spawning{}, err
	}
	drawn, _, err := stillShort(y.mixed(sizes, fry), fry, doubt)
	if err != nil {
		return Spawning{}, err
	}
	return Spawning{Eggs: full*usual + rest, Spawns: drawn + 1}, nil
}

func usualSize(sizes []int) int {
	sum := 0
	for _, n := range sizes {
		sum += n
	}
	if len(sizes) == 0 {
		return 0
	}
	return (sum + len(sizes)/2) / len(sizes)
}

// mixed returns the chances of what comes through of a spawn of a size drawn from
// sizes.
func (y Yield) mixed(sizes []int, top int) []float64 {
	out := make([]float64, top)
	for _, n := range sizes {
		for k, chance := range y.chances(n, top) {
			out[k] += chance / float64(len(sizes))
		}
	}
	return out
}

// mostSpawns is the most spawns that are reckoned with.
const mostSpawns = 1 << 20

// stillShort returns the largest number of spawns that fall short of the fry
// wanted with more than the doubt, and the chances of what comes through of them
// all. Powers are squared up to the first that does, then put together from the
// largest down.
func stillShort(ofOne []float64, fry int, doubt float64) (spawns int, together []float64, err error) {
	together = []float64{1}
	power := ofOne
	var powers [][]float64
	for sum(power) > doubt {
		if 1<<len(powers) > mostSpawns {
			return 0, nil, ErrTooMany
		}
		powers = append(powers, power)
		power = convolved(power, power, fry)
	}
	for i := len(powers) - 1; i >= 0; i-- {
		if next := convolved(together, powers[i], fry); sum(next) > doubt {
			spawns, together = spawns+1<<i, next
		}
	}
	return spawns, together, nil
}

// sum is the chance of fewer than the fry wanted.
func sum(chances []float64) float64 {
	total := 0.0
	for _, p := range chances {
		total += p
	}
	return total
}

// short is the chance that two together bring fewer than the fry wanted.
func short(a, b []float64, fry int) float64 {
	upTo := make([]float64, fry+1) // chances of b for fewer than i
	for i := range fry {
		upTo[i+1] = upTo[i]
		if i < len(b) {
			upTo[i+1] += b[i]
		}
	}
	total := 0.0
	for i, p := range a {
		total += p * upTo[fry-i]
	}
	return total
}

// convolved returns the chances of the sum of two, for fewer than top.
func convolved(a, b []float64, top int) []float64 {
	n := min(len(a)+len(b)-1, top)
	if len(a) < 64 || len(b) < 64 {
		out := make([]float64, n)
		for i, p := range a {
			for j := 0; j < len(b) && i+j < n; j++ {
				out[i+j] += p * b[j]
			}
		}
		return out
	}
	size := 1
	for size < len(a)+len(b)-1 {
		size *= 2
	}
	transform := fourier.NewFFT(size)
	padded := func(x []float64) []complex128 {
		return transform.Coefficients(nil, append(append(make([]float64, 0, size), x...), make([]float64, size-len(x))...))
	}
	fa, fb := padded(a), padded(b)
	for i := range fa {
		fa[i] *= fb[i]
	}
	out := transform.Sequence(nil, fa)[:n]
	for i := range out {
		out[i] = max(0, out[i]/float64(size))
	}
	return out
}
