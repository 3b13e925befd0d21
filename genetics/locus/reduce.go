package locus

// reducer takes out of every variable the values that no factor allows together
// with the values left of the others, until nothing changes: the elimination of
// genotypes of Lange & Goradia (1987, American Journal of Human Genetics 40:250),
// for any factors. On a pedigree without loops what is left is possible.
type reducer struct {
	net     *network
	active  func(i int) bool
	by      [][]int32 // factors of each variable
	allowed [][]bool
	left    []int
	trail   []removal // to go back
	failed  int32     // the factor at which no value was left
	queue   []int32
	queued  []bool
}

type removal struct{ v, value int }

func newReducer(net *network, active func(i int) bool) *reducer {
	r := &reducer{net: net, active: active, by: make([][]int32, len(net.card)), allowed: make([][]bool, len(net.card)),
		left: make([]int, len(net.card)), queued: make([]bool, len(net.factors))}
	for v, n := range net.card {
		r.allowed[v], r.left[v] = make([]bool, n), n
		for i := range r.allowed[v] {
			r.allowed[v][i] = true
		}
	}
	for i := range net.factors {
		f := &net.factors[i]
		if !active(i) {
			continue
		}
		for _, v := range f.vars {
			r.by[v] = append(r.by[v], int32(i))
		}
		r.enqueue(int32(i))
	}
	return r
}

func (r *reducer) enqueue(f int32) {
	if !r.queued[f] {
		r.queued[f] = true
		r.queue = append(r.queue, f)
	}
}

// run reports whether every variable has a value left.
func (r *reducer) run() bool {
	for len(r.queue) > 0 {
		f := r.queue[0]
		r.queue = r.queue[1:]
		r.queued[f] = false
		if !r.revise(&r.net.factors[f]) {
			r.failed = f
			for _, f := range r.queue {
				r.queued[f] = false
			}
			r.queue = r.queue[:0]
			return false
		}
	}
	return true
}

// revise takes out what one factor does not allow.
func (r *reducer) revise(f *factor) bool {
	n := len(f.vars)
	values := make([][]int, n) // those left
	found := make([][]bool, n)
	missing := 0
	for i, v := range f.vars {
		found[i] = make([]bool, r.net.card[v])
		for value, ok := range r.allowed[v] {
			if ok {
				values[i] = append(values[i], value)
			}
		}
		missing += len(values[i])
	}
	stride := strides(f.vars, f.vars, r.net.card)
	at := make([]int, n)
	for missing > 0 {
		place := 0
		for i := range at {
			place += stride[i] * values[i][at[i]]
		}
		if f.table[place] != never {
			for i := range at {
				if value := values[i][at[i]]; !found[i][value] {
					found[i][value] = true
					missing--
				}
			}
		}
		i := n - 1
		for ; i >= 0; i-- {
			if at[i]++; at[i] < len(values[i]) {
				break
			}
			at[i] = 0
		}
		if i < 0 {
			break
		}
	}
	for i, v := range f.vars {
		for _, value := range values[i] {
			if !found[i][value] {
				r.remove(v, value)
			}
		}
		if r.left[v] == 0 {
			return false
		}
	}
	return true
}

func (r *reducer) remove(v, value int) {
	if !r.allowed[v][value] {
		return
	}
	r.allowed[v][value] = false
	r.left[v]--
	r.trail = append(r.trail, removal{v, value})
	for _, f := range r.by[v] {
		r.enqueue(f)
	}
}

// set leaves a variable one value, and follows what that means.
func (r *reducer) set(v, value int) bool {
	for other, ok := range r.allowed[v] {
		if ok && other != value {
			r.remove(v, other)
		}
	}
	return r.run()
}

// back undoes all since the trail had that length.
func (r *reducer) back(length int) {
	for len(r.trail) > length {
		last := r.trail[len(r.trail)-1]
		r.trail = r.trail[:len(r.trail)-1]
		r.allowed[last.v][last.value] = true
		r.left[last.v]++
	}
}
