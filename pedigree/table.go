package pedigree

// Table is a plain pedigree of single fish held compactly, one row a fish: what
// a [Book] of a million fish would hold in gigabytes. An unknown parent is a
// fish of its own, unrelated to all others; a fish with neither parent is a
// founder.
type Table struct {
	Name      string
	IDs       []string
	Sire, Dam []int32 // rows of the parents, -1 where unknown
	Sex       []Sex
	Born      []Date // nil: no birth date is known
	Living    []bool // nil: every fish
}

// Len returns the number of fish.
func (t *Table) Len() int { return len(t.Sire) }

// IsFounder reports whether neither parent of the row is known.
func (t *Table) IsFounder(row int) bool { return t.Sire[row] < 0 && t.Dam[row] < 0 }

// BornOn returns the birth date of the row, 0 where it is not known.
func (t *Table) BornOn(row int) Date {
	if t.Born == nil {
		return 0
	}
	return t.Born[row]
}

// LivingOn reports whether the fish of the row counts as living on the date:
// born by then and not stated to be gone, as in [Book.Heads]. An unknown date is
// after all others.
func (t *Table) LivingOn(row int, on Date) bool {
	return (t.Living == nil || t.Living[row]) && (!on.Known() || t.BornOn(row) <= on)
}

// Rows finds the rows of some ids, -1 for an id that the table does not have.
// One pass, O(rows + ids).
func (t *Table) Rows(ids ...string) []int {
	wanted := make(map[string]int, len(ids))
	for _, id := range ids {
		wanted[id] = -1
	}
	left := len(wanted)
	for row, id := range t.IDs {
		if found, ok := wanted[id]; ok && found < 0 {
			wanted[id] = row
			if left--; left == 0 {
				break
			}
		}
	}
	rows := make([]int, len(ids))
	for i, id := range ids {
		rows[i] = wanted[id]
	}
	return rows
}

// InOrder reports whether every parent stands above its offspring.
func (t *Table) InOrder() bool {
	for i := range t.Sire {
		if int(t.Sire[i]) >= i || int(t.Dam[i]) >= i {
			return false
		}
	}
	return true
}

// Order returns the rows so that parents come before their offspring, else as
// they stand; loop is a row that is its own ancestor, -1 where there is none
// (and order is nil where there is one). O(rows).
func (t *Table) Order() (order []int32, loop int) {
	const unseen, open, done = 0, 1, 2
	order = make([]int32, 0, t.Len())
	state := make([]int8, t.Len())
	var stack []int32
	for row := range t.Sire {
		if state[row] != unseen {
			continue
		}
		stack = append(stack, int32(row))
		for len(stack) > 0 {
			at := stack[len(stack)-1]
			if state[at] != unseen {
				stack = stack[:len(stack)-1]
				if state[at] == open {
					state[at] = done
					order = append(order, at)
				}
				continue
			}
			state[at] = open
			for _, p := range [2]int32{t.Dam[at], t.Sire[at]} {
				if p < 0 || state[p] == done {
					continue
				}
				if state[p] == open {
					return nil, int(p)
				}
				stack = append(stack, p)
			}
		}
	}
	return order, -1
}

// OnLoops marks the rows that are left when fish without a parent in the rest,
// and fish without offspring in the rest, are taken away again and again: those
// on a loop of descent, and those between two loops. nil where there is no
// loop. O(rows).
func (t *Table) OnLoops() []bool {
	if t.InOrder() {
		return nil
	}
	if _, loop := t.Order(); loop < 0 {
		return nil
	}
	n := t.Len()
	left := make([]bool, n)
	for i := range left {
		left[i] = true
	}
	t.takeFromTheBottom(left)
	t.takeFromTheTop(left)
	return left
}

func (t *Table) takeFromTheBottom(left []bool) {
	offspring := make([]int32, len(left))
	for i := range left {
		for _, p := range [2]int32{t.Sire[i], t.Dam[i]} {
			if p >= 0 {
				offspring[p]++
			}
		}
	}
	for i := range left {
		for queue := []int32{int32(i)}; len(queue) > 0; {
			at := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			if !left[at] || offspring[at] > 0 {
				continue
			}
			left[at] = false
			for _, p := range [2]int32{t.Sire[at], t.Dam[at]} {
				if p >= 0 {
					offspring[p]--
					queue = append(queue, p)
				}
			}
		}
	}
}

func (t *Table) takeFromTheTop(left []bool) {
	children := make([][]int32, len(left))
	parents := make([]int32, len(left))
	for i := range left {
		for _, p := range [2]int32{t.Sire[i], t.Dam[i]} {
			if left[i] && p >= 0 && left[p] {
				children[p] = append(children[p], int32(i))
				parents[i]++
			}
		}
	}
	for i := range left {
		for queue := []int32{int32(i)}; len(queue) > 0; {
			at := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			if !left[at] || parents[at] > 0 {
				continue
			}
			left[at] = false
			for _, child := range children[at] {
				parents[child]--
				queue = append(queue, child)
			}
		}
	}
}
