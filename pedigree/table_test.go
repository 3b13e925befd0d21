package pedigree_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"roebook/pedigree"
)

func tableOf(sire, dam []int32) *pedigree.Table {
	t := &pedigree.Table{Sire: sire, Dam: dam, Sex: make([]pedigree.Sex, len(sire))}
	for i := range sire {
		t.IDs = append(t.IDs, string(rune('a'+i)))
	}
	return t
}

// ancestors marks all ancestors of a row, by going on until nothing is added.
func ancestors(t *pedigree.Table, row int) []bool {
	found := make([]bool, t.Len())
	for added := true; added; {
		added = false
		for i := range found {
			if i != row && !found[i] {
				continue
			}
			for _, p := range [2]int32{t.Sire[i], t.Dam[i]} {
				if p >= 0 && !found[p] {
					found[p], added = true, true
				}
			}
		}
	}
	return found
}

// A table either has an order, with every row once and parents first, or a row
// that is its own ancestor; the rows left on loops hold all of these.
func TestOrderOfATable(t *testing.T) {
	loops := 0
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(rt, "rows")
		parent := rapid.SliceOfN(rapid.Int32Range(-1, int32(n)-1), n, n)
		if rapid.Bool().Draw(rt, "mostly founders") {
			parent = rapid.SliceOfN(rapid.Map(rapid.Int32Range(-12, int32(n)-1), func(p int32) int32 { return max(p, -1) }), n, n)
		}
		table := tableOf(parent.Draw(rt, "sire"), parent.Draw(rt, "dam"))
		order, loop := table.Order()
		left := table.OnLoops()
		own := false
		for i := range n {
			if ancestors(table, i)[i] {
				own = true
				if left == nil || !left[i] {
					rt.Fatalf("row %d is its own ancestor and not left", i)
				}
			}
		}
		if own != (loop >= 0) || own != (left != nil) || own && !ancestors(table, loop)[loop] {
			rt.Fatalf("loop %d, left %v; is there one: %v", loop, left, own)
		}
		if own {
			loops++
			return
		}
		at := make([]int, n)
		for i, row := range order {
			at[row] = i
		}
		for i := range n {
			for _, p := range [2]int32{table.Sire[i], table.Dam[i]} {
				if len(order) != n || int(order[at[i]]) != i || p >= 0 && at[p] >= at[i] {
					rt.Fatalf("order %v", order)
				}
			}
		}
	})
	if loops == 0 {
		t.Error("no table had a loop")
	}
}

func TestLivingInATable(t *testing.T) {
	table := tableOf([]int32{-1, -1, 0}, []int32{-1, -1, 1})
	table.Born = []pedigree.Date{0, 20010000, 20020301}
	living := func(on pedigree.Date) (rows []int) {
		for i := range table.Len() {
			if table.LivingOn(i, on) {
				rows = append(rows, i)
			}
		}
		return rows
	}
	for on, want := range map[pedigree.Date][]int{0: {0, 1, 2}, 20001231: {0}, 20020228: {0, 1}, 20020301: {0, 1, 2}} {
		if got := living(on); !slices.Equal(got, want) {
			t.Errorf("on %v: %v, want %v", on, got, want)
		}
	}
	table.Living = []bool{false, true, true}
	if got := living(20250101); !slices.Equal(got, []int{1, 2}) {
		t.Errorf("one dead: %v", got)
	}
	if got := table.Rows("c", "x", "a", "c"); !slices.Equal(got, []int{2, -1, 0, 2}) {
		t.Errorf("rows %v", got)
	}
}
