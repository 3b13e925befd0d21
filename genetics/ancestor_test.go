package genetics_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"roebook/genetics"
)

// Choosing from a heap of bounds finds what working everything out anew before
// each choice does.
func TestAncestorsAreChosenAsByThePlainMethod(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		table := anyShape(rt).make(rapid.Uint64().Draw(rt, "seed"))
		share := rapid.SampledFrom([]int{1, 3, 20}).Draw(rt, "living")
		table.Living = make([]bool, table.Len())
		for i := range table.Living {
			table.Living[i] = (table.Len()-1-i)%share == 0
		}
		fast, plain := compileTable(rt, table, genetics.TableOptions{}).On(20260101).EffectiveAncestorsBothWays()
		if math.Abs(fast-plain) > 1e-9*plain {
			rt.Fatalf("%v, by the plain method %v", fast, plain)
		}
	})
}

// The same in books with lots.
func TestAncestorsOfBooksAreChosenAsByThePlainMethod(t *testing.T) {
	told := 0
	rapid.Check(t, func(rt *rapid.T) {
		book, _ := randomBook(rapid.Uint64().Draw(rt, "seed"))
		m, err := genetics.Compile(book)
		if err != nil {
			rt.Fatal(err)
		}
		state := m.On(29990101)
		if state.Living("").Heads == 0 {
			return
		}
		told++
		fast, plain := state.EffectiveAncestorsBothWays("")
		if math.Abs(fast-plain) > 1e-9*plain {
			rt.Fatalf("%v, by the plain method %v", fast, plain)
		}
	})
	if told == 0 {
		t.Error("no book had living fish")
	}
}
