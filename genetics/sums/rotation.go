package sums

import (
	"fmt"
)

// MostLines is the largest number of lines of a [Ring].
const MostLines = 50

// Ring is a stock kept as lines in a ring: the females of each line are mated to
// the males of the line before it, and their young belong to the line of their
// dams. Every young draws its sire and its dam at random. One line by itself is a
// closed group that mates at random.
type Ring struct {
	Lines          int
	Males, Females float64 // of each line
}

// kinships are those of two different fish of one generation by how many lines
// lie from the first to the second, and the inbreeding of a fish.
type kinships struct {
	apart      []float64
	inbreeding float64
}

// next gives the kinships of the young. Exact recurrence: two young share a dam
// with 1/Females in one line, and so on; males have moved on by one line.
func (r Ring) next(k kinships) kinships {
	own := (1 + k.inbreeding) / 2
	within := func(n float64) float64 { return own/n + (1-1/n)*k.apart[0] }
	at := func(d int) float64 { return k.apart[(d+r.Lines)%r.Lines] }
	out := kinships{make([]float64, r.Lines), at(-1)}
	out.apart[0] = (within(r.Females) + within(r.Males) + 2*at(-1)) / 4
	for d := 1; d < r.Lines; d++ {
		out.apart[d] = (2*at(d) + at(d-1) + at(d+1)) / 4
	}
	return out
}

// Inbreeding returns the mean inbreeding of the fish of a generation, the
// founders being generation 0, unrelated and not inbred. The ordering of lines is
// that of Kincaid (1977), Prog. Fish-Cult. 39:179; the recurrence is worked out
// from the definition of kinship. Cost: O(generations · lines).
func (r Ring) Inbreeding(generation int) float64 {
	k := kinships{apart: make([]float64, r.Lines)}
	for range generation {
		k = r.next(k)
	}
	return k.inbreeding
}

// Size returns the effective size in the long run: 1/(2·ΔF), ΔF the share of what
// is not yet inbred that is lost in each generation once the kinships have found
// their pattern. Movement between the lines loses nothing; what is lost, summed
// over the lines, is lost to two young sharing a parent. Cost: O(lines³).
func (r Ring) Size() float64 {
	k := kinships{apart: make([]float64, r.Lines)}
	for range 100 + 4*r.Lines*r.Lines { // the pattern nears its end as 1 − (π/lines)²
		k = r.next(k)
		scale := 1 / (1 - k.inbreeding) // so that it never runs out
		for d := range k.apart {
			k.apart[d] = 1 - (1-k.apart[d])*scale
		}
		k.inbreeding = 0
	}
	left := 0.0
	for _, kinship := range k.apart {
		left += 1 - kinship
	}
	lost := (1/r.Males + 1/r.Females) / 4 * (1 - k.apart[0] - 0.5)
	return left / (2 * lost)
}

// RingFor returns the least males and females of each of so many lines in a ring,
// as near to that share of males as whole fish allow, whose [Ring.Size] is at
// least ne. 1 ≤ lines ≤ [MostLines].
func RingFor(ne float64, lines int, male float64) (males, females int, err error) {
	if lines < 1 || lines > MostLines {
		return 0, 0, fmt.Errorf("the number of lines must be from 1 to %d", MostLines)
	}
	return Heads(ne, male, func(m, f float64) float64 { return Ring{lines, m, f}.Size() })
}
