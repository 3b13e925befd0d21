package certificate

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
)

// apportion rounds shares to whole units that sum to total (largest remainder,
// also called Hamilton's method; of equal remainders the earlier wins). Shares
// must not all be 0.
func apportion(shares []float64, total int) []int {
	sum := 0.0
	for _, s := range shares {
		sum += s
	}
	units, order := make([]int, len(shares)), make([]int, len(shares))
	left := total
	rest := make([]float64, len(shares))
	for i, s := range shares {
		exact := s / sum * float64(total)
		units[i] = int(math.Floor(exact + 1e-9))
		rest[i] = exact - float64(units[i])
		left -= units[i]
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rest[b], rest[a]) })
	for _, i := range order[:max(0, left)] {
		units[i]++
	}
	return units
}

// tenths are tenths of a percent.
const tenths = 1000

// parts are the shares of a fish as they are printed, in tenths of a percent:
// the three kinds sum to 100 %, and the founders of a kind to that kind.
type parts struct {
	wild, bought, unknown int
	founders              []int
}

func partsOf(f *Fish) parts {
	kinds := apportion([]float64{max(0, f.Ancestry.Wild), max(0, f.Ancestry.Bought), max(0, f.Ancestry.Unknown)}, tenths)
	p := parts{kinds[0], kinds[1], kinds[2], make([]int, len(f.Founders))}
	for i, kind := range []string{Wild, Bought} {
		var at []int
		var shares []float64
		for k, founder := range f.Founders {
			if founder.Kind == kind {
				at, shares = append(at, k), append(shares, founder.Share)
			}
		}
		if len(at) == 0 {
			continue
		}
		for k, units := range apportion(shares, kinds[i]) {
			p.founders[at[k]] = units
		}
	}
	return p
}

// Kinds of founders.
const (
	Wild   = "wild"
	Bought = "bought"
)

// percentOf writes tenths of a percent; what is there never reads 0.
func percentOf(units int, exact float64) string {
	if units == 0 && exact > 1e-9 {
		return "under 0.1 %"
	}
	return strconv.Itoa(units/10) + "." + strconv.Itoa(units%10) + " %"
}

// percent writes a number between 0 and 1 with two decimals.
func percent(share float64) string {
	if share > 0 && share < 0.00005 {
		return "under 0.01 %"
	}
	return decimals(100*share, 2) + " %"
}

// decimals writes a number with so many decimals, halves rounded up.
func decimals(v float64, n int) string {
	scale := math.Pow10(n)
	return strings.TrimPrefix(strconv.FormatFloat(math.Round(v*scale)/scale, 'f', n, 64), "-")
}

// trimmed is the same without zeros at the end.
func trimmed(v float64, n int) string {
	text := decimals(v, n)
	if strings.Contains(text, ".") {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	return text
}
