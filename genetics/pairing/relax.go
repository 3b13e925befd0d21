package pairing

import "math"

// relaxation bounds what any plan of an instance can be worth. With K = R +
// diag(d) the cost of a plan is
//
//	¼·yᵀRy + Σ_i (¼·d_i·y_i² + c_i·y_i)
//
// The second part is a sum over fish, and so over spawns where each fish has one:
// its least over all plans, with any prices on the fry of each fish added, is a
// cheapest matching. The first part has no negative square, so it lies above its
// tangent at any y. The bound is the greatest that tangents give. It is found from
// below and from above at once: the cheapest plans at the tangents found so far
// are mixed so that the mixture costs least (simplicial decomposition; von
// Hohenbalken 1977, Math. Program. 13:49), and the next tangent is taken there.
//
// Faster, and all there is where fish may have several spawns, is to take each sex
// by itself: at most so many fish, so many fry of each, whoever their partners are.
type relaxation struct {
	in    *instance
	d     []float64
	r     []float64 // n × n
	loss  float64   // by which rounding may make R too large
	match *matcher
	price [3]float64 // of a fry, where the last search ended: of males, of females, of pairs
	hurry float64    // the part of what is missing from a limit that is not worth more work
	work  int        // about so many nanoseconds, but the same each time
}

func newRelaxation(in *instance) *relaxation {
	r := &relaxation{in: in, r: make([]float64, len(in.k)), hurry: 0.3}
	r.d = r.ownParts(nil)
	r.rest()
	if in.single {
		room := make([]int, in.n)
		for i := range room {
			room[i] = 1
		}
		r.match = newMatcher(in.males, in.n-in.males, room)
	}
	return r
}

// ownParts are the own parts of the kinships as they count in the cost.
func (r *relaxation) ownParts(weight []float64) []float64 {
	in := r.in
	k := in.k
	if in.weight != 1 {
		k = make([]float64, len(in.k))
		for i := range k {
			k[i] = in.k[i] / in.weight
		}
	}
	d, slack := ownPart(k, in.n, weight)
	for i := range d {
		d[i] *= in.weight
	}
	// The squares of two plans come to at most 2N² each: both sexes give N fry.
	r.loss = max(r.loss, slack*in.weight*float64(in.keep)*float64(in.keep))
	r.work += 8 * in.n * in.n * in.n
	return d
}

// rest takes the own parts off the kinships.
func (r *relaxation) rest() {
	copy(r.r, r.in.k)
	for i, own := range r.d {
		r.r[i*r.in.n+i] -= own
	}
}

// sharpen moves the own parts some way towards those that are worth the most at a
// mixture: a fish's own part counts by how much its fry vary there. The bound is
// concave in the own parts, so such steps, ever smaller, raise it in the end.
func (r *relaxation) sharpen(m *mixture, step float64) {
	n := r.in.n
	weight, top := make([]float64, n), 0.0
	for i := range weight {
		mean := 0.0
		for k, a := range m.atoms {
			mean += m.share[k] * a.y[i]
			weight[i] += m.share[k] * a.y[i] * a.y[i]
		}
		weight[i] -= mean * mean
		top = max(top, weight[i])
	}
	if top <= 0 {
		return
	}
	for i := range weight {
		weight[i] /= top
	}
	for i, own := range r.ownParts(weight) {
		r.d[i] += step * (own - r.d[i])
	}
	r.rest()
}

// atom is a mixture of plans, a corner of what the bound allows.
type atom struct {
	y     []float64
	ry    []float64 // R y
	own   float64   // Σ (¼·d_i·n_i² + c_i·n_i), mixed
	used  []portion // fish, and how much of the mixture has them
	pairs []portion // pairs by place, likewise; none where fish may have several spawns
}

type portion struct {
	at    int
	share float64
}

// trial is the cheapest choice at one price of a fry.
type trial struct {
	price float64
	kept  int
	cost  float64 // with the prices on the fish, without that on the fry
	own   float64
	fry   []Choice // Dam is −1 where Sire is a fish by itself
}

// value is what the trial bounds the cost by, so many fry being wanted.
func (t *trial) value(keep int) float64 { return t.cost + t.price*float64(keep-t.kept) }

// search finds the price at which the wanted fry are kept, between two trials
// where it must be: a concave function made of lines is climbed by cutting the two
// lines at hand, until no more than a fine part is to be gained. start holds where
// to begin, and then where it ended.
func (r *relaxation) search(start *float64, fine float64, at func(price float64) *trial) (low, high *trial, value float64) {
	keep, scale := r.in.keep, r.in.scale
	begin := *start
	price, step := begin, max(0.01*math.Abs(begin), 1e-6*scale/float64(keep))
	value = math.Inf(-1)
	for range 80 {
		t := at(price)
		value = max(value, t.value(keep))
		*start = price
		if t.kept == keep {
			return t, t, t.value(keep)
		}
		if low != nil && high != nil && t.value(keep) >= low.cost+price*float64(keep-low.kept)-fine {
			break
		}
		if t.kept < keep {
			low = t
		} else {
			high = t
		}
		switch {
		case high == nil:
			price, step = price+step, 6*step
		case low == nil:
			price, step = price-step, 6*step
		default:
			next := (high.cost - low.cost) / float64(high.kept-low.kept)
			if !(next > low.price && next < high.price) {
				return low, high, value
			}
			price = next
		}
		if step > 1e8*scale {
			*start = begin
			return nil, nil, math.Inf(1) // so many fry cannot be had, or so few
		}
	}
	return low, high, value
}

// ask finds the cheapest corner at the tangent with those prices on the fish:
// what a fry of each costs beyond its own part. value is the bound that comes of
// it; +Inf where no plan keeps to the view.
func (r *relaxation) ask(v *view, prices []float64, byPairs bool, fine float64) (a *atom, value float64) {
	in := r.in
	a = &atom{y: make([]float64, in.n)}
	sides := []int{0, 1}
	if byPairs {
		sides = []int{2}
	}
	for _, side := range sides {
		low, high, least := r.search(&r.price[side], fine, func(price float64) *trial {
			if byPairs {
				return r.pairsAt(v, prices, price)
			}
			return r.fishAt(v, prices, price, side)
		})
		if math.IsInf(least, 1) {
			return nil, least
		}
		value += least
		part := 0.0
		if low != high {
			part = float64(in.keep-low.kept) / float64(high.kept-low.kept)
			a.mix(in, high, part)
		}
		a.mix(in, low, 1-part)
	}
	a.settle()
	r.complete(a)
	return a, value
}

func (a *atom) mix(in *instance, t *trial, share float64) {
	a.own += share * t.own
	for _, c := range t.fry {
		for _, fish := range [2]int{c.Sire, c.Dam} {
			if fish >= 0 {
				a.y[fish] += share * float64(c.Keep)
				a.used = append(a.used, portion{fish, share})
			}
		}
		if c.Dam >= 0 {
			a.pairs = append(a.pairs, portion{in.pair(c.Sire, c.Dam), share})
		}
	}
}

// settle adds up portions of the same.
func (a *atom) settle() {
	for _, list := range []*[]portion{&a.used, &a.pairs} {
		sum := make(map[int]int, len(*list))
		var out []portion
		for _, p := range *list {
			if at, seen := sum[p.at]; seen {
				out[at].share += p.share
				continue
			}
			sum[p.at] = len(out)
			out = append(out, p)
		}
		*list = out
	}
}

// complete works out R y.
func (r *relaxation) complete(a *atom) {
	n := r.in.n
	a.ry = make([]float64, n)
	for i, y := range a.y {
		if y == 0 {
			continue
		}
		for j, v := range r.r[i*n : (i+1)*n] {
			a.ry[j] += y * v
		}
	}
}

// bestFry is the number of fry from low to high that costs least at
// square·n² + line·n.
func bestFry(square, line float64, low, high int) int {
	if square > 0 {
		n := math.Floor(0.5 - line/(2*square))
		return int(min(max(n, float64(low)), float64(high)))
	}
	if square*float64(low+high)+line < 0 {
		return high
	}
	return low
}

// pairsAt is the cheapest set of pairs at a price of a fry.
func (r *relaxation) pairsAt(v *view, prices []float64, price float64) *trial {
	in, t := r.in, &trial{price: price}
	females := in.n - in.males
	take := func(i, j int) (fry int, cost float64) {
		square := (r.d[i] + r.d[j]) / 4
		line := in.c[i] + in.c[j] + prices[i] + prices[j]
		fry = bestFry(square, line-price, in.least, in.most)
		return fry, float64(fry) * (square*float64(fry) + line)
	}
	add := func(i, j int) {
		fry, cost := take(i, j)
		t.fry = append(t.fry, Choice{i, j, fry})
		t.kept += fry
		t.cost += cost
		t.own += float64(fry) * ((r.d[i]+r.d[j])/4*float64(fry) + in.c[i] + in.c[j])
	}
	for _, pair := range v.fixed {
		add(pair[0], pair[1])
	}
	fine := 8 * in.scale // for each fish that must have a spawn and has none
	for i := range in.males {
		row := r.match.weight[i*females : (i+1)*females]
		for j := range row {
			row[j] = math.Inf(1)
		}
		if v.state[i] == out || v.busy[i] {
			continue
		}
		for j := in.males; j < in.n; j++ {
			if v.state[j] == out || v.busy[j] || !v.open[in.pair(i, j)] {
				continue
			}
			fry, cost := take(i, j)
			cost -= price * float64(fry)
			if v.state[i] == within {
				cost -= fine
			}
			if v.state[j] == within {
				cost -= fine
			}
			row[j-in.males] = cost
		}
	}
	found := r.match.solve(in.spawns-len(v.fixed), false)
	r.work += 4 * in.males * females * (2 + found)
	met := 0
	for at, matched := range r.match.matched {
		if !matched {
			continue
		}
		i, j := at/females, in.males+at%females
		add(i, j)
		for _, fish := range [2]int{i, j} {
			if v.state[fish] == within {
				met++
			}
		}
	}
	t.cost += fine * float64(v.wanted-met)
	return t
}

// fishAt is the cheapest set of fish of one sex at a price of a fry.
func (r *relaxation) fishAt(v *view, prices []float64, price float64, side int) *trial {
	in, t := r.in, &trial{price: price}
	first, last := 0, in.males
	if side == 1 {
		first, last = in.males, in.n
	}
	r.work += 80 * (last - first)
	room := in.spawns
	add := func(i int) {
		fry, cost := r.takeOf(v, prices, price, i)
		t.fry = append(t.fry, Choice{i, -1, fry})
		t.kept += fry
		t.cost += cost
		t.own += float64(fry) * (r.d[i]/4*float64(fry) + in.c[i])
		room--
	}
	var offers []portion
	for i := first; i < last; i++ {
		switch v.state[i] {
		case within:
			add(i)
		case open:
			if fry, cost := r.takeOf(v, prices, price, i); cost < price*float64(fry) {
				offers = append(offers, portion{i, cost - price*float64(fry)})
			}
		}
	}
	sortPortions(offers)
	for _, o := range offers[:max(0, min(room, len(offers)))] {
		add(o.at)
	}
	return t
}

func (r *relaxation) takeOf(v *view, prices []float64, price float64, i int) (fry int, cost float64) {
	in := r.in
	line := in.c[i] + prices[i]
	fry = bestFry(r.d[i]/4, line-price, in.least*max(1, v.pairsOf[i]), in.most*in.uses[i])
	return fry, float64(fry) * (r.d[i]/4*float64(fry) + line)
}
