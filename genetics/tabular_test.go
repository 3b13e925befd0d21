package genetics_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"roebook/genetics"
	"roebook/pedigree"
)

// family is a random pedigree of single fish: parents before offspring, -1 an
// unknown parent.
type family struct {
	sire, dam []int
	spawn     []int // the same number: one spawn, one unknown parent
	inbred    []float64
}

// randomFamily returns n fish of which the young breed with the young, so that
// loops are many. Where shared is false no two fry share an unknown parent.
func randomFamily(rng *rand.Rand, n int, shared bool) family {
	var f family
	for i := range n {
		sire, dam, spawn, inbred := -1, -1, i, 0.0
		if i >= 3 && rng.Float64() < 0.85 {
			sire, dam = recent(rng, i, 0), recent(rng, i, 1)
			switch rng.IntN(8) {
			case 0:
				sire = -1
			case 1:
				dam = -1
			}
			if last := i - 1; rng.IntN(3) == 0 && f.sire[last]+f.dam[last] > -2 && (shared || f.sire[last] >= 0 && f.dam[last] >= 0) {
				sire, dam, spawn = f.sire[last], f.dam[last], f.spawn[last]
			}
		}
		if sire < 0 && dam < 0 {
			sire, dam = -1, -1
			inbred = []float64{0, 0, 0, 0.5, 1}[rng.IntN(5)]
		}
		f.sire, f.dam, f.spawn, f.inbred = append(f.sire, sire), append(f.dam, dam), append(f.spawn, spawn), append(f.inbred, inbred)
	}
	return f
}

// recent returns an even (male) or odd (female) number below i, or -1.
func recent(rng *rand.Rand, i, odd int) int {
	j := i - 1 - rng.IntN(min(i, 6))
	if j%2 != odd {
		j--
	}
	return max(j, -1)
}

func fishID(i int) string { return fmt.Sprintf("F%03d", i) }

func (f family) book() *pedigree.Book {
	b := &pedigree.Book{Name: "family", Lines: []*pedigree.Line{{Name: "line"}}}
	for i := range f.sire {
		s := &pedigree.Stock{ID: fishID(i), Line: "line", Sex: pedigree.Sex(1 + i%2)}
		b.Stock = append(b.Stock, s)
		if f.sire[i] < 0 && f.dam[i] < 0 {
			s.Bought = &pedigree.Bought{Inbreeding: f.inbred[i]}
			continue
		}
		s.FromSpawns = []pedigree.FromSpawn{{Spawn: fmt.Sprintf("S%03d", f.spawn[i]), Share: 1}}
		if f.spawn[i] != i {
			continue
		}
		spawn := &pedigree.Spawn{ID: fmt.Sprintf("S%03d", i), Line: "line", Date: pedigree.Date(20200101).AddDays(i)}
		if f.sire[i] >= 0 {
			spawn.Sire = one(fishID(f.sire[i]))
		}
		if f.dam[i] >= 0 {
			spawn.Dam = one(fishID(f.dam[i]))
		}
		b.Spawns = append(b.Spawns, spawn)
	}
	b.Arrange()
	return b
}

// tabular returns the kinships of all fish by the tabular method (Emik &
// Terrill 1949, Journal of Heredity 40:51, from memory): with an older fish, the
// mean of the parents' kinships with it; with itself, ½(1 + kinship of the
// parents). Each unknown parent is one more fish, unrelated to all.
func (f family) tabular() [][]float64 {
	sires, dams, inbred := []int{}, []int{}, []float64{}
	at := make([]int, len(f.sire))
	unknown := map[[2]int]int{}
	parent := func(i, which, of int) int {
		if of >= 0 {
			return at[of]
		}
		key := [2]int{f.spawn[i], which}
		if _, ok := unknown[key]; !ok {
			unknown[key] = len(sires)
			sires, dams, inbred = append(sires, -1), append(dams, -1), append(inbred, 0)
		}
		return unknown[key]
	}
	for i := range f.sire {
		s, d := -1, -1
		if f.sire[i] >= 0 || f.dam[i] >= 0 {
			s, d = parent(i, 0, f.sire[i]), parent(i, 1, f.dam[i])
		}
		at[i] = len(sires)
		sires, dams, inbred = append(sires, s), append(dams, d), append(inbred, f.inbred[i])
	}
	k := make([][]float64, len(sires))
	for i := range k {
		k[i] = make([]float64, len(sires))
		k[i][i] = (1 + inbred[i]) / 2
		if s, d := sires[i], dams[i]; s >= 0 {
			for j := range i {
				k[i][j] = (k[s][j] + k[d][j]) / 2
				k[j][i] = k[i][j]
			}
			k[i][i] = (1 + k[s][d]) / 2
		}
	}
	known := make([][]float64, len(at))
	for i := range at {
		for j := range at {
			known[i] = append(known[i], k[at[i]][at[j]])
		}
	}
	return known
}

func TestKinshipOfSingleFishIsTabular(t *testing.T) {
	for seed := range uint64(2000) {
		rng := rand.New(rand.NewPCG(seed, 2))
		f := randomFamily(rng, 3+rng.IntN(30), true)
		m, err := genetics.Compile(f.book())
		if err != nil {
			t.Fatal(err)
		}
		state := m.On(29990101)
		want := f.tabular()
		for i := range want {
			for j := range i + 1 {
				k, ok := state.Kinship(fishID(i), fishID(j))
				if !ok || math.Abs(k-want[i][j]) > 1e-12 {
					t.Fatalf("seed %d: kinship of %d and %d: %.15f (known: %t), want %.15f", seed, i, j, k, ok, want[i][j])
				}
			}
			if in, ok := state.Inbreeding(fishID(i)); !ok || math.Abs(in-(2*want[i][i]-1)) > 1e-12 {
				t.Fatalf("seed %d: inbreeding of %d: %.15f, want %.15f", seed, i, in, 2*want[i][i]-1)
			}
		}
	}
}

// inverse builds the inverse of the relationship matrix by the rules of
// Henderson (1976), Biometrics 32:69, with Quaas's (1976) allowance for inbred
// parents, from memory: with d the Mendelian variance of a fish, add 1/d to its
// own place, −1/(2d) to those with each known parent, 1/(4d) to those of the
// parents with each other. Inbreeding is taken from the tabular method.
func (f family) inverse() *mat.SymDense {
	k := f.tabular()
	inv := mat.NewSymDense(len(k), nil)
	add := func(i, j int, x float64) { inv.SetSym(i, j, inv.At(i, j)+x) }
	for i := range k {
		parents := []int{}
		d := 1.0
		for _, p := range []int{f.sire[i], f.dam[i]} {
			if p >= 0 {
				parents = append(parents, p)
				d -= k[p][p] / 2 // = (1 + F)/4
			}
		}
		if len(parents) == 0 {
			d += f.inbred[i]
		}
		add(i, i, 1/d)
		for x, p := range parents {
			add(i, p, -1/(2*d))
			for _, q := range parents[x:] {
				add(p, q, 1/(4*d))
			}
		}
	}
	return inv
}

// The model's matrix A, from its nodes as T D Tᵀ with dense algebra, times the
// inverse built by sparse rules is the identity.
func TestInverseOfRelationships(t *testing.T) {
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 3))
		f := randomFamily(rng, 3+rng.IntN(25), false)
		m, err := genetics.Compile(f.book())
		if err != nil {
			t.Fatal(err)
		}
		if singular(f) {
			continue
		}
		nodes := dense(m)
		n := len(f.sire)
		vectors := mat.NewDense(n, len(m.Nodes()), nil)
		for i := range n {
			vectors.SetRow(i, vector(t, m.On(29990101), fishID(i), len(m.Nodes())))
		}
		var a, product mat.Dense
		a.Product(vectors, nodes, vectors.T())
		product.Mul(&a, f.inverse())
		for i := range n {
			product.Set(i, i, product.At(i, i)-1)
		}
		if worst := max(mat.Max(&product), -mat.Min(&product)); worst > 1e-8 {
			t.Fatalf("seed %d: A times its inverse is off by %g", seed, worst)
		}
	}
}

// singular reports whether a fish is of two fully inbred parents, and so has
// no Mendelian variance.
func singular(f family) bool {
	k := f.tabular()
	for i := range k {
		if f.sire[i] >= 0 && f.dam[i] >= 0 && 1-k[f.sire[i]][f.sire[i]]/2-k[f.dam[i]][f.dam[i]]/2 < 1e-9 {
			return true
		}
	}
	return false
}

// dense returns T D Tᵀ of the model's nodes by dense algebra: T is the inverse
// of the unit triangle with minus the weights below.
func dense(m *genetics.Model) *mat.Dense {
	nodes := m.Nodes()
	n := len(nodes)
	left, d := mat.NewTriDense(n, mat.Lower, nil), mat.NewDiagDense(n, nil)
	for i, node := range nodes {
		left.SetTri(i, i, 1)
		d.SetDiag(i, node.D)
		for _, p := range node.Parents {
			left.SetTri(i, p.Node, left.At(i, p.Node)-p.Weight)
		}
	}
	var t mat.TriDense
	if err := t.InverseTri(left); err != nil {
		panic(err)
	}
	var a mat.Dense
	a.Product(&t, d, t.T())
	return &a
}

func vector(t testing.TB, s *genetics.State, id string, n int) []float64 {
	list, ok := s.Vector(id)
	if !ok {
		t.Fatalf("no vector for %s", id)
	}
	v := make([]float64, n)
	for _, l := range list {
		v[l.Node] += l.Weight
	}
	return v
}

// Kinships are those of the dense matrix, in books with lots too.
func TestKinshipIsThatOfDenseNodes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		book, _ := randomBook(rapid.Uint64().Draw(rt, "seed"))
		m, err := genetics.Compile(book)
		if err != nil {
			rt.Fatal(err)
		}
		state, a := m.On(29990101), dense(m)
		var with mat.VecDense
		for _, s := range book.Stock {
			if _, ok := state.Vector(s.ID); !ok {
				continue
			}
			n := len(m.Nodes())
			with.MulVec(a, mat.NewVecDense(n, vector(t, state, s.ID, n)))
			for _, o := range book.Stock {
				k, ok := state.Kinship(s.ID, o.ID)
				if !ok || o == s && s.Lot {
					continue
				}
				want := mat.Dot(&with, mat.NewVecDense(n, vector(t, state, o.ID, n))) / 2
				if math.Abs(k-want) > 1e-10 {
					rt.Fatalf("kinship of %s and %s: %.15f, dense %.15f", s.ID, o.ID, k, want)
				}
			}
		}
	})
}
