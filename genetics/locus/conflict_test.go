package locus

import (
	"testing"

	"roebook/pedigree"
)

// TestConflictsAgainstEnumeration: a contradiction is told of every book that by
// enumeration cannot be true, and of no other; of each set that is told no record
// can be spared, and without the set's first the others can be true.
func TestConflictsAgainstEnumeration(t *testing.T) {
	books := 200
	if *long {
		books = 3000
	}
	found := 0
	for seed, done := uint64(0), 0; done < books; seed++ {
		m := randomBook(seed)
		want := m.w.enumerate(m.beings, m.matings)
		if want == nil {
			continue
		}
		done++
		study := New(m.book)
		for _, p := range study.problems {
			if p.Severity == pedigree.Error {
				t.Fatal(p)
			}
		}
		systems := study.systems["amber-spring"]
		conflicts := study.conflicts(systems, 5)
		if (len(conflicts) > 0) != (want.total == 0) {
			t.Fatalf("seed %d: %d contradictions, but by enumeration it weighs %g", seed, len(conflicts), want.total)
		}
		for _, c := range conflicts {
			found++
			minimal(t, seed, study, systems, c)
		}
	}
	t.Logf("%d contradictions", found)
}

func minimal(t *testing.T, seed uint64, study *Study, systems []*system, c Conflict) {
	t.Helper()
	in := newInference(study.index, systems)
	in.doubt = true
	in.evidence()
	without := func(spared int) bool {
		holds := make(map[int]bool)
		for i, item := range c.Items {
			if i != spared {
				holds[in.noteOf(item)] = true
			}
		}
		return in.possible(func(item int) bool { return item == structure || holds[item] })
	}
	if without(-1) {
		t.Errorf("seed %d: %v can be true", seed, c.Items)
	}
	for i := range c.Items {
		if !without(i) {
			t.Errorf("seed %d: %s %s can be spared", seed, c.Items[i].ID, c.Items[i].Words)
		}
	}
}

func (in *inference) noteOf(item Item) int {
	for i, other := range in.items {
		if other.ID == item.ID && other.Kind == item.Kind && other.Locus == item.Locus && other.Side == item.Side {
			return i
		}
	}
	return -2
}
