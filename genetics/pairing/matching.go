package pairing

import "math"

// matcher finds the cheapest set of at most so many pairs, each fish in no more
// of them than it has uses: one cheapest path after the other, with potentials
// that keep all steps at no less than nothing (Edmonds & Karp 1972, J. ACM
// 19:248). Its arrays are used again from one question to the next.
type matcher struct {
	males, females int
	weight         []float64 // males × females; +Inf where not allowed
	room           []int     // uses of each fish, males first
	matched        []bool    // males × females

	left      []int     // uses left
	potential []float64 // males, females, and the end of all paths
	distance  []float64
	from      []int // fish before on the path, −1 for none
	closed    []bool
}

func newMatcher(males, females int, room []int) *matcher {
	n := males + females
	return &matcher{
		males: males, females: females, room: room, weight: make([]float64, males*females), matched: make([]bool, males*females),
		left: make([]int, n), potential: make([]float64, n+1), distance: make([]float64, n+1), from: make([]int, n+1), closed: make([]bool, n),
	}
}

// solve finds the pairs and says how many they are. It stops at the most, and,
// unless all are wanted, where one pair more would not lower the sum.
// O(most · fish²) at worst.
func (m *matcher) solve(most int, all bool) int {
	copy(m.left, m.room)
	clear(m.matched)
	end := m.males + m.females
	m.potential[end] = 0
	clear(m.potential[:m.males])
	for j := range m.females {
		least := math.Inf(1)
		for i := range m.males {
			least = min(least, m.weight[i*m.females+j])
		}
		if math.IsInf(least, 1) {
			least = 0
		}
		m.potential[m.males+j] = least
		m.potential[end] = min(m.potential[end], least)
	}
	count := 0
	for count < most && m.search() && (all || m.potential[end] < 0) {
		m.augment()
		count++
	}
	return count
}

// search finds the cheapest path to one pair more, and raises the potentials.
func (m *matcher) search() bool {
	end := m.males + m.females
	for v := range m.distance {
		m.distance[v], m.from[v] = math.Inf(1), -1
	}
	clear(m.closed)
	for i := range m.males {
		if m.left[i] > 0 {
			m.distance[i] = -m.potential[i]
		}
	}
	for {
		v, near := -1, m.distance[end]
		for u := range end {
			if !m.closed[u] && m.distance[u] < near {
				v, near = u, m.distance[u]
			}
		}
		if v < 0 {
			break
		}
		m.closed[v] = true
		if v < m.males {
			m.fromMale(v, near)
		} else {
			m.fromFemale(v, near)
		}
	}
	far := m.distance[end]
	if math.IsInf(far, 1) {
		return false
	}
	for v := range m.distance {
		m.potential[v] += min(m.distance[v], far)
	}
	return true
}

func (m *matcher) fromMale(i int, near float64) {
	at := i * m.females
	for j, weight := range m.weight[at : at+m.females] {
		f := m.males + j
		if m.closed[f] || m.matched[at+j] {
			continue
		}
		if d := near + max(weight+m.potential[i]-m.potential[f], 0); d < m.distance[f] {
			m.distance[f], m.from[f] = d, i
		}
	}
}

func (m *matcher) fromFemale(f int, near float64) {
	end := m.males + m.females
	if m.left[f] > 0 {
		if d := near + max(m.potential[f]-m.potential[end], 0); d < m.distance[end] {
			m.distance[end], m.from[end] = d, f
		}
	}
	for i := range m.males {
		at := i*m.females + f - m.males
		if m.closed[i] || !m.matched[at] {
			continue
		}
		if d := near + max(m.potential[f]-m.weight[at]-m.potential[i], 0); d < m.distance[i] {
			m.distance[i], m.from[i] = d, f
		}
	}
}

// augment turns the pairs over along the path found.
func (m *matcher) augment() {
	v := m.from[m.males+m.females]
	m.left[v]--
	for m.from[v] >= 0 {
		u := m.from[v]
		male, female := min(u, v), max(u, v)
		at := male*m.females + female - m.males
		m.matched[at] = !m.matched[at]
		v = u
	}
	m.left[v]--
}
