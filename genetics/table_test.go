package genetics_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"roebook/genetics"
	"roebook/pedigree"
)

var everyMethod = []genetics.Method{genetics.Best, genetics.ByLevel, genetics.ByBirth, genetics.Late, genetics.Walk}

// anyShape draws the shape of a small table: wide, deep, overlapping,
// half-known, with many sibs or few.
func anyShape(t *rapid.T) tableShape {
	return tableShape{
		fish:     rapid.IntRange(1, 160).Draw(t, "fish"),
		year:     rapid.SampledFrom([]int{2, 4, 6, 8, 20, 60}).Draw(t, "year"),
		reach:    rapid.IntRange(1, 8).Draw(t, "reach"),
		sires:    rapid.SampledFrom([]int{0, 0, 1, 3}).Draw(t, "sires"),
		dams:     rapid.SampledFrom([]int{0, 0, 1, 3}).Draw(t, "dams"),
		half:     rapid.SampledFrom([]float64{0, 0, 0.1, 0.5}).Draw(t, "half"),
		founders: rapid.SampledFrom([]float64{0, 0.02, 0.3}).Draw(t, "founders"),
		family:   rapid.SampledFrom([]int{1, 1, 3, 10}).Draw(t, "family"),
		selfing:  rapid.SampledFrom([]bool{false, false, false, true}).Draw(t, "selfing"),
	}
}

// All methods agree with the tabular method, whatever the order of the rows.
func TestInbreedingOfATableIsTabular(t *testing.T) {
	chosen := map[genetics.Method]bool{}
	rapid.Check(t, func(rt *rapid.T) {
		table := anyShape(rt).make(rapid.Uint64().Draw(rt, "seed"))
		k := tabularTable(table)
		mixed, to := shuffled(table, rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "order"), 1)))
		if rapid.Bool().Draw(rt, "without dates") {
			table.Born, mixed.Born = nil, nil
		}
		for _, method := range everyMethod {
			f := inbreedingOf(rt, table, method)
			g := inbreedingOf(rt, mixed, method)
			for i := range f {
				want := 2*k[i][i] - 1
				if math.Abs(f[i]-want) > 1e-12 || math.Abs(g[to[i]]-want) > 1e-12 {
					rt.Fatalf("%v: inbreeding of %d is %v, with rows mixed %v, want %v", method, i, f[i], g[to[i]], want)
				}
			}
		}
		m, _ := genetics.CompileTable(context.Background(), table, genetics.TableOptions{})
		chosen[m.Plan().Method] = true
	})
}

func inbreedingOf(t rapid.TB, table *pedigree.Table, method genetics.Method) []float64 {
	m, err := genetics.CompileTable(context.Background(), table, genetics.TableOptions{Method: method})
	if err != nil {
		t.Fatal(err)
	}
	if method != genetics.Best && m.Plan().Method != method {
		t.Fatalf("asked for %v, got %v", method, m.Plan())
	}
	return m.Inbreeding()
}

// Larger tables, on which the work is shared between cores: all methods give
// one answer, and no fish of the tabular method differs.
func TestInbreedingOfLargerTables(t *testing.T) {
	for name, shape := range map[string]tableShape{
		"discrete":    {fish: 3000, year: 300, reach: 1, sires: 40, dams: 80, half: 0.02},
		"wide":        {fish: 3000, year: 500, reach: 1},
		"overlapping": {fish: 3000, year: 60, reach: 20, sires: 2, founders: 0.01, family: 4},
	} {
		t.Run(name, func(t *testing.T) {
			table := shape.make(5)
			k := tabularTable(table)
			for _, method := range everyMethod {
				for i, f := range inbreedingOf(t, table, method) {
					if want := 2*k[i][i] - 1; math.Abs(f-want) > 1e-12 {
						t.Fatalf("%v: inbreeding of %d is %v, want %v", method, i, f, want)
					}
				}
			}
		})
	}
}

// Full-sib mating: F_t = ¼(1 + 2·F_{t−1} + F_{t−2}) (Wright 1921, Genetics
// 6:111), which rises to 1.
func TestDeepLine(t *testing.T) {
	const generations = 10000
	table := deepLine(generations)
	for _, method := range []genetics.Method{genetics.Best, genetics.ByLevel, genetics.ByBirth, genetics.Late} {
		f := inbreedingOf(t, table, method)
		before, last := 0.0, 0.0 // F of the founders' young is 0
		for g := 2; g <= generations; g++ {
			want := (1 + 2*last + before) / 4
			got := f[2*g]
			if math.Abs(got-want) > 1e-9 || got > 1 || got < f[2*g-2] || f[2*g+1] != got {
				t.Fatalf("%v: generation %d: %v, want %v, before it %v", method, g, got, want, f[2*g-2])
			}
			before, last = last, want
		}
	}
}

// deepLine is two founders and a pair of full sibs in each generation.
func deepLine(generations int) *pedigree.Table {
	table := newTestTable(2 + 2*generations)
	for i := 2; i < table.Len(); i++ {
		table.Sire[i], table.Dam[i] = int32(i/2*2-2), int32(i/2*2-1)
	}
	return table
}

func TestTooWideAFrontierIsWalked(t *testing.T) {
	table := tableShape{fish: 3000, year: 300, reach: 1, sires: 40, dams: 80}.make(1)
	m, err := genetics.CompileTable(context.Background(), table, genetics.TableOptions{Memory: 1000})
	if err != nil || m.Plan().Method != genetics.Walk {
		t.Errorf("with a thousand bytes: %v, %v", m.Plan(), err)
	}
	if len(m.Plan().Others) == 0 {
		t.Error("the plan does not tell what else there was")
	}
}

func TestCompilingStops(t *testing.T) {
	table := tableShape{fish: 3000, year: 300, reach: 1, sires: 40, dams: 80}.make(1)
	for _, method := range everyMethod {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if _, err := genetics.CompileTable(ctx, table, genetics.TableOptions{Method: method}); !errors.Is(err, context.Canceled) {
			t.Errorf("%v: %v", method, err)
		}
		var last, total int
		_, err := genetics.CompileTable(context.Background(), table, genetics.TableOptions{Method: method, Progress: func(done, all int) {
			if done < last {
				t.Errorf("%v: progress went back from %d to %d", method, last, done)
			}
			last, total = done, all
		}})
		if err != nil || last != total || total == 0 {
			t.Errorf("%v: progress ended at %d of %d, %v", method, last, total, err)
		}
	}
}

func TestATableWithALoopDoesNotCompile(t *testing.T) {
	table := newTestTable(4)
	table.Sire[1], table.Sire[2], table.Sire[3] = 3, 1, 2
	if _, err := genetics.CompileTable(context.Background(), table, genetics.TableOptions{}); err == nil {
		t.Error("no error")
	}
	if left := table.OnLoops(); !slices.Equal(left, []bool{false, true, true, true}) {
		t.Errorf("on loops: %v", left)
	}
}
