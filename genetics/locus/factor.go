package locus

import "math"

// structure marks a factor that holds whatever was seen.
const structure = -1

// none marks a factor that states no chances of one variable.
const none = -1

// factor is a table of what goes together: the logarithm of a weight for every
// combination of its variables, the last one running fastest.
type factor struct {
	vars  []int
	table []float64
	item  int // the evidence it states, or structure
	child int // the variable whose chances given the others it states, or none
}

// network is variables with so many values each, and the factors that tie them.
type network struct {
	card    []int
	factors []factor
	limit   int // of the entries of a table of the exact answer
	sweeps  int // in a batch of the sampled one, at most
}

func (n *network) variable(card int) int {
	n.card = append(n.card, card)
	return len(n.card) - 1
}

func (n *network) add(item int, table []float64, vars ...int) {
	n.factors = append(n.factors, factor{vars, table, item, none})
}

// given adds the chances of a variable given others: with all others of the same
// child they sum to 1, whatever the parents are.
func (n *network) given(child int, table []float64, vars ...int) {
	n.factors = append(n.factors, factor{vars, table, structure, child})
}

var never = math.Inf(-1)

// logs turns weights into their logarithms.
func logs(weights []float64) []float64 {
	out := make([]float64, len(weights))
	for i, w := range weights {
		out[i] = math.Log(w)
	}
	return out
}

// size is the number of combinations of values, at most max.
func size(card []int, most int) int {
	n := 1
	for _, c := range card {
		if n *= c; n > most {
			return most + 1
		}
	}
	return n
}

// strides are how far apart the values of each variable stand in a table over
// vars; for variables the table does not have, 0.
func strides(of, vars, card []int) []int {
	out := make([]int, len(of))
	step := 1
	for i := len(vars) - 1; i >= 0; i-- {
		for j, v := range of {
			if v == vars[i] {
				out[j] = step
			}
		}
		step *= card[vars[i]]
	}
	return out
}

// eachRun goes through a table of such cards from its first entry to its last,
// in runs along the last variable: do gets where the run begins and the place in
// another table that has the given strides.
func eachRun(cards, stride []int, do func(base, at int)) {
	n := len(cards)
	if n == 0 {
		do(0, 0)
		return
	}
	last := cards[n-1]
	count := make([]int, n)
	total := 1
	for _, c := range cards {
		total *= c
	}
	at := 0
	for base := 0; base < total; base += last {
		do(base, at)
		for i := n - 2; i >= 0; i-- {
			count[i]++
			at += stride[i]
			if count[i] < cards[i] {
				break
			}
			at -= count[i] * stride[i]
			count[i] = 0
		}
	}
}

// multiply adds to the logarithms of a table those of another over part of its
// variables.
func multiply(into []float64, cards, stride []int, from []float64, sign float64) {
	step, last := 0, 1
	if n := len(cards); n > 0 {
		step, last = stride[n-1], cards[n-1]
	}
	eachRun(cards, stride, func(base, at int) {
		for k := range last {
			x := from[at+k*step]
			if sign < 0 && math.IsInf(x, -1) {
				into[base+k] = never // what was impossible stays so
				continue
			}
			into[base+k] += sign * x
		}
	})
}

// sumTo sums a table over the variables that the other lacks, in logarithms.
// out must have the other's size.
func sumTo(out, table []float64, cards, stride []int) {
	step, last := 0, 1
	if n := len(cards); n > 0 {
		step, last = stride[n-1], cards[n-1]
	}
	most := make([]float64, len(out))
	for i := range most {
		most[i], out[i] = never, 0
	}
	eachRun(cards, stride, func(base, at int) {
		for k := range last {
			if j := at + k*step; table[base+k] > most[j] {
				most[j] = table[base+k]
			}
		}
	})
	eachRun(cards, stride, func(base, at int) {
		for k := range last {
			j := at + k*step
			if x := table[base+k]; x == most[j] {
				if x != never {
					out[j]++
				}
			} else {
				out[j] += math.Exp(x - most[j])
			}
		}
	})
	for i := range out {
		out[i] = most[i] + math.Log(out[i])
	}
}

// level takes the greatest logarithm off all, and returns it.
func level(table []float64) float64 {
	most := never
	for _, x := range table {
		most = max(most, x)
	}
	if most == never {
		return never
	}
	for i := range table {
		table[i] -= most
	}
	return most
}

// shares turns logarithms into shares that sum to 1, nil where all are never.
func shares(table []float64) []float64 {
	out := append([]float64(nil), table...)
	if level(out) == never {
		return nil
	}
	sum := 0.0
	for i, x := range out {
		out[i] = math.Exp(x)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}
