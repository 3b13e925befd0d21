package pedigree

import (
	"fmt"
	"slices"
	"testing"

	"gonum.org/v1/gonum/graph/topo"
	"pgregory.net/rapid"
)

// TestOrderAsGonum: the order of descent, and whether there is one, as gonum's
// topo.SortStabilized gives it.
func TestOrderAsGonum(t *testing.T) {
	loops, orders := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "records")
		b := &Book{}
		for i := range n {
			b.Stock = append(b.Stock, &Stock{ID: fmt.Sprintf("F%02d", i), FromSpawns: []FromSpawn{{Spawn: fmt.Sprintf("S%02d", rapid.IntRange(0, n).Draw(t, "spawn")), Share: 1}}})
			s := &Spawn{ID: fmt.Sprintf("S%02d", i)}
			for range rapid.IntRange(0, 3).Draw(t, "parents") {
				most := i // mostly from what came before, so that loops are few
				if rapid.IntRange(0, 9).Draw(t, "any") == 0 {
					most = n
				}
				s.Group = append(s.Group, fmt.Sprintf("F%02d", rapid.IntRange(0, most).Draw(t, "parent")))
			}
			b.Spawns = append(b.Spawns, s)
		}
		b.Arrange()
		d := b.Descent()
		order, ok := d.Order()
		sorted, err := topo.SortStabilized(d, nil)
		if ok != (err == nil) {
			t.Fatalf("an order is found: %v, by gonum: %v", ok, err)
		}
		if !ok {
			loops++
			return
		}
		orders++
		var want []int
		for _, node := range sorted {
			want = append(want, int(node.ID()))
		}
		if !slices.Equal(order, want) {
			t.Fatalf("order %v, want %v", order, want)
		}
	})
	if loops == 0 || orders == 0 {
		t.Errorf("%d books with loops and %d without", loops, orders)
	}
}
