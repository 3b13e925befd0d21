package genetics_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/pedigree"
)

// table makes a book of single fish from rows "id sire dam", with - for an
// unknown parent; a row of three words is one fish, rows are parted by commas.
func table(rows string) *pedigree.Book {
	b := &pedigree.Book{Lines: []*pedigree.Line{{Name: "test"}}}
	for row := range strings.SplitSeq(rows, ",") {
		words := strings.Fields(row)
		s := &pedigree.Stock{ID: words[0], Line: "test"}
		b.Stock = append(b.Stock, s)
		if len(words) == 1 || words[1] == "-" && words[2] == "-" {
			s.Wild = &pedigree.Wild{}
			continue
		}
		spawn := &pedigree.Spawn{ID: "young " + s.ID, Line: "test"}
		for i, side := range []*pedigree.Side{&spawn.Sire, &spawn.Dam} {
			if words[1+i] != "-" {
				side.Candidates = []pedigree.Candidate{{ID: words[1+i], Odds: 1}}
			}
		}
		b.Spawns = append(b.Spawns, spawn)
		s.FromSpawns = []pedigree.FromSpawn{{Spawn: spawn.ID, Share: 1}}
	}
	b.Arrange()
	return b
}

func stateOf(t *testing.T, book *pedigree.Book) *genetics.State {
	t.Helper()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	return m.On(20240101)
}

// dieAllBut kills every fish but those named, before the date of the state.
func dieAllBut(book *pedigree.Book, living string) {
	for _, s := range book.Stock {
		if !strings.Contains(" "+living+" ", " "+s.ID+" ") {
			s.Died = 20230101
		}
	}
	book.Arrange()
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > 1e-12 {
		t.Errorf("%s is %.15g, want %.15g", what, got, want)
	}
}

func kinship(t *testing.T, s *genetics.State, a, b string) float64 {
	t.Helper()
	k, ok := s.Kinship(a, b)
	if !ok {
		t.Fatalf("no kinship of %s and %s", a, b)
	}
	return k
}

func inbreeding(t *testing.T, s *genetics.State, id string) float64 {
	t.Helper()
	f, ok := s.Inbreeding(id)
	if !ok {
		t.Fatalf("no inbreeding of %s", id)
	}
	return f
}

// Mrode, Linear Models for the Prediction of Animal Breeding Values, 3rd ed.,
// Table 2.1 and pp. 25-32: F, and the relationships worked out from T and D.
func TestSixAnimals(t *testing.T) {
	s := stateOf(t, table("1, 2, 3 1 2, 4 1 -, 5 4 3, 6 5 2"))
	near(t, "F of 5", inbreeding(t, s, "5"), 0.125)
	near(t, "F of 6", inbreeding(t, s, "6"), 1.0/8)
	near(t, "A66", 2*kinship(t, s, "6", "6"), 9.0/8)
	near(t, "A56", 2*kinship(t, s, "5", "6"), 11.0/16)
	near(t, "A36", 2*kinship(t, s, "3", "6"), 9.0/16)
	near(t, "A46", 2*kinship(t, s, "4", "6"), 5.0/16)
	for id, want := range map[string]float64{"1": 0, "3": 1, "4": 0.5, "5": 7.0 / 4, "6": 15.0 / 8} {
		got, _ := s.EquivalentGenerations(id)
		near(t, "equivalent generations of "+id, got, want)
	}
	// T rows of 5 and 6: shares of founders 1 and 2.
	for id, want := range map[string]string{"5": "[{1 0.5} {2 0.25}]", "6": "[{2 0.625} {1 0.25}]"} {
		if got := fmt.Sprint(s.Founders(id)); got != want {
			t.Errorf("founders of %s are %s, want %s", id, got, want)
		}
	}
	near(t, "recorded ancestry of 5", s.RecordedAncestry("5"), 0.75)
	sixAnimalsFactors(t, s)
}

// sixAnimalsFactors holds T and D against the rows that the source prints. Nodes
// of a spawn (D 0) are passed through; an unknown parent's node (D 1, weight ½)
// is part of its young's own D.
func sixAnimalsFactors(t *testing.T, s *genetics.State) {
	t.Helper()
	nodes := s.Model().Nodes()
	fish, number := map[int]int{}, [6]int{}
	for i := range number {
		v, _ := s.Vector(fmt.Sprint(i + 1))
		fish[v[0].Node], number[i] = i, v[0].Node
	}
	rows, own := make([][6]float64, len(nodes)), make([]float64, len(nodes))
	for n, node := range nodes {
		own[n] = node.D
		for _, p := range node.Parents {
			for j, w := range rows[p.Node] {
				rows[n][j] += p.Weight * w
			}
			if _, animal := fish[p.Node]; !animal {
				own[n] += p.Weight * p.Weight * own[p.Node]
			}
		}
		if i, animal := fish[n]; animal {
			rows[n][i] = 1
		}
	}
	want := [6][6]float64{{1}, {0, 1}, {.5, .5, 1}, {.5, 0, 0, 1}, {.5, .25, .5, .5, 1}, {.25, .625, .25, .25, .5, 1}}
	for i, d := range []float64{1, 1, .5, .75, .5, 15. / 32} {
		near(t, fmt.Sprintf("D of %d", i+1), own[number[i]], d)
		for j := range want {
			near(t, fmt.Sprintf("T of %d and %d", i+1, j+1), rows[number[i]][j], want[i][j])
		}
	}
}

// Brother-sister mating loses 19.1 % of the heterozygosity that is left in each
// generation: 1 − (1+√5)/4 (Falconer & Mackay, as for Table 5.1). The share that
// is lost swings in to that limit.
func TestBrotherSisterMatingLosesAFifth(t *testing.T) {
	const generations = 40
	rows := "m0, f0"
	for g := 1; g <= generations; g++ {
		rows += fmt.Sprintf(", m%d m%d f%d, f%d m%d f%d", g, g-1, g-1, g, g-1, g-1)
	}
	s := stateOf(t, table(rows))
	f := func(g int) float64 { return inbreeding(t, s, fmt.Sprintf("m%d", g)) }
	lost := 1 - (1-f(generations))/(1-f(generations-1))
	near(t, "heterozygosity lost in a generation", lost, 1-(1+math.Sqrt(5))/4)
	if got := fmt.Sprintf("%.1f %%", 100*lost); got != "19.1 %" {
		t.Errorf("printed: %s", got)
	}
}

// The same book, p. 32: bulls 2(1,-), 3(2, maternal grandsire 1).
func TestMaternalGrandsires(t *testing.T) {
	s := stateOf(t, table("1, 2 1 -, dam 1 -, 3 2 dam"))
	want := [3][3]float64{{1, .5, .5}, {.5, 1, .625}, {.5, .625, 1.125}}
	for i, a := range []string{"1", "2", "3"} {
		for j, b := range []string{"1", "2", "3"} {
			near(t, "A of "+a+" and "+b, 2*kinship(t, s, a, b), want[i][j])
		}
	}
}

// Lange, Mathematical and Statistical Methods for Genetic Analysis, ch. 5
// (attribution from memory).
func TestKinshipsOfRelatives(t *testing.T) {
	s := stateOf(t, table("1, 2, 3 1 2, 4 1 2, 5 3 4, 6 3 4"))
	near(t, "5 and 6", kinship(t, s, "5", "6"), 3.0/8)
	near(t, "5 and 5", kinship(t, s, "5", "5"), 5.0/8)
	near(t, "3 and 5", kinship(t, s, "3", "5"), 3.0/8)
	near(t, "3 and 4", kinship(t, s, "3", "4"), 1.0/4)

	s = stateOf(t, table(`a, b, c, d, e, f, sib1 a b, sib2 a b, half a c, cousin1 sib1 d, cousin2 sib2 e,
		second1 cousin1 f, g, second2 cousin2 g, x, y, sibx x y, siby x y, double1 sib1 sibx, double2 sib2 siby`))
	for pair, want := range map[string]float64{
		"a sib1": 1.0 / 4, "sib1 half": 1.0 / 8, "sib1 sib2": 1.0 / 4, "cousin1 cousin2": 1.0 / 16,
		"double1 double2": 1.0 / 8, "second1 second2": 1.0 / 64, "sib1 cousin2": 1.0 / 8,
	} {
		a, b, _ := strings.Cut(pair, " ")
		near(t, pair, kinship(t, s, a, b), want)
	}
}

// Falconer & Mackay, Introduction to Quantitative Genetics, Table 5.1 (from
// memory; exact by recurrence).
func TestRegularSystemsOfMating(t *testing.T) {
	systems := []struct {
		name, rows string
		next       func(g int) string // rows of generation g
		of         func(g int) string
		want       []float64
	}{
		{
			name: "full sibs", rows: "m0, f0",
			next: func(g int) string { return fmt.Sprintf(", m%d m%d f%d, f%d m%d f%d", g, g-1, g-1, g, g-1, g-1) },
			of:   func(g int) string { return fmt.Sprintf("m%d", g+1) },
			want: []float64{1. / 4, 3. / 8, 1. / 2, 19. / 32, 43. / 64, 47. / 64, 201. / 256, 423. / 512, 0, 1815. / 2048},
		},
		{
			name: "parent and younger offspring", rows: "p0, p1",
			next: func(g int) string { return fmt.Sprintf(", p%d p%d p%d", g+1, g-1, g) },
			of:   func(g int) string { return fmt.Sprintf("p%d", g+2) },
			want: []float64{1. / 4, 3. / 8, 1. / 2, 19. / 32, 43. / 64, 47. / 64, 201. / 256, 423. / 512},
		},
		{
			name: "back to one parent not inbred", rows: "p, x0",
			next: func(g int) string { return fmt.Sprintf(", x%d p x%d", g, g-1) },
			of:   func(g int) string { return fmt.Sprintf("x%d", g+1) },
			want: []float64{1. / 4, 3. / 8, 7. / 16, 15. / 32, 31. / 64},
		},
	}
	for _, system := range systems {
		t.Run(system.name, func(t *testing.T) {
			rows := system.rows
			for g := 1; g <= len(system.want)+2; g++ {
				rows += system.next(g)
			}
			s := stateOf(t, table(rows))
			for i, want := range system.want {
				if want == 0 {
					continue // generation 9 is not in the source
				}
				near(t, fmt.Sprintf("F in generation %d", i+1), inbreeding(t, s, system.of(i+1)), want)
			}
		})
	}
}

// The same table: double first cousins.
func TestDoubleFirstCousins(t *testing.T) {
	// Four fish a generation: pairs (1,2) and (3,4) each give a son and a
	// daughter, and sons go to the other pair's daughters.
	rows := "a0, b0, c0, d0"
	for g := 1; g <= 8; g++ {
		p := g - 1
		rows += fmt.Sprintf(", a%d a%d b%d, b%d c%d d%d, c%d c%d d%d, d%d a%d b%d", g, p, p, g, p, p, g, p, p, g, p, p)
	}
	s := stateOf(t, table(rows))
	for i, want := range []float64{1. / 8, 3. / 16, 1. / 4, 5. / 16, 47. / 128} {
		near(t, fmt.Sprintf("F in generation %d", i+1), inbreeding(t, s, fmt.Sprintf("a%d", i+3)), want)
	}
}

// The same table: half sibs, one male with half sisters in each generation; the
// half sisters are numerous, so that any two are half sibs, as the system asks:
// 1/8 7/32 39/128 195/512 919/2048.
func TestHalfSibs(t *testing.T) {
	// In generation g the fish f(g,i) have the one sire f(g-1,0), whose mates
	// f(g-1,1…) are his half sisters, one for each fry.
	const generations, wide = 6, 8
	rows := []string{"f-0-0"}
	for i := 1; i <= wide; i++ {
		rows = append(rows, fmt.Sprintf("f-0-%d", i))
	}
	for g := 1; g <= generations; g++ {
		for i := range wide - g + 1 {
			rows = append(rows, fmt.Sprintf("f-%d-%d f-%d-0 f-%d-%d", g, i, g-1, g-1, i+1))
		}
	}
	s := stateOf(t, table(strings.Join(rows, ", ")))
	for i, want := range []float64{1. / 8, 7. / 32, 39. / 128, 195. / 512, 919. / 2048} {
		near(t, fmt.Sprintf("F in generation %d", i+1), inbreeding(t, s, fmt.Sprintf("f-%d-0", i+2)), want)
	}
}

// Backcross to a fully inbred parent: 1/2, 3/4, 7/8 (the same table).
func TestBackcrossToAnInbredParent(t *testing.T) {
	book := table("p, x0, x1 p x0, x2 p x1, x3 p x2, x4 p x3")
	p := book.StockByID("p")
	p.Wild, p.Bought = nil, &pedigree.Bought{Inbreeding: 1}
	book.Arrange()
	s := stateOf(t, book)
	for i, want := range []float64{1. / 2, 3. / 4, 7. / 8} {
		near(t, fmt.Sprintf("F in generation %d", i+1), inbreeding(t, s, fmt.Sprintf("x%d", i+2)), want)
	}
}

// Berra, Alvarez & Ceballos 2010, BioScience 60(5), abstract: a family with two
// close marriages, F 0.0630 and 0.1255.
func TestFamilyWithCloseMarriages(t *testing.T) {
	s := stateOf(t, table(`G, M, T1 G M, x, T2 T1 x, y, T3 T2 y, z, J1 T3 z, A1 G M, u, A2 A1 u, v, R3 A2 v, w, Sa R3 w,
		Su J1 Sa, J2 J1 Sa, Jo J1 Sa, JA, EH, E JA EH, L JA EH, RD, C RD Su, Em J2 E, H J2 E, Je Jo L, first C Em, second H Je`))
	near(t, "F of a child of C and Em", inbreeding(t, s, "first"), 129.0/2048)
	near(t, "F of a child of H and Je", inbreeding(t, s, "second"), 257.0/2048)
	if got := fmt.Sprintf("%.4f %.4f", 129.0/2048, 257.0/2048); got != "0.0630 0.1255" {
		t.Errorf("the printed figures would be %s", got)
	}
}

// Definitions of Lacy 1989 (Zoo Biology 8:111); values derived by enumerating
// every transmission.
func TestFounderMeasures(t *testing.T) {
	tests := []struct {
		name, rows, living            string
		equivalents, mean, equivalent float64
	}{
		{"two full sibs", "A, B, k1 A B, k2 A B", "k1 k2", 2, 3. / 8, 4. / 3},
		{"three full sibs", "A, B, k1 A B, k2 A B, k3 A B", "k1 k2 k3", 2, 1. / 3, 3. / 2},
		{"four full sibs", "A, B, k1 A B, k2 A B, k3 A B, k4 A B", "k1 k2 k3 k4", 2, 5. / 16, 8. / 5},
		{"two sibs and a half sib", "A, B, C, k1 A B, k2 A B, k3 A C", "k1 k2 k3", 18. / 7, 5. / 18, 9. / 5},
		{"two of four grandparents", "A, B, C, D, x A B, y C D, k1 x y, k2 x y", "k1 k2", 4, 3. / 8, 4. / 3},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			book := table(test.rows)
			dieAllBut(book, test.living)
			r, ok := stateOf(t, book).Line("test")
			if !ok {
				t.Fatal("no living fish")
			}
			near(t, "founder equivalents", r.FounderEquivalents, test.equivalents)
			near(t, "mean kinship", r.MeanKinship, test.mean)
			near(t, "founder genome equivalents", r.FounderGenomeEquivalents, test.equivalent)
			near(t, "gene diversity", r.GeneDiversity, 1-test.mean)
		})
	}
}

// N unrelated founders hold 1 − 1/(2N) of the diversity they came from (from
// memory, any text of population genetics).
func TestFoundersHold(t *testing.T) {
	for n, want := range map[int]float64{5: .90, 10: .95, 20: .975} {
		book := &pedigree.Book{Stock: []*pedigree.Stock{wild("W", sexes(n/2, n-n/2))}}
		book.Arrange()
		r, _ := stateOf(t, book).Line("")
		near(t, fmt.Sprintf("gene diversity of %d founders", n), r.GeneDiversity, want)
		near(t, "founder equivalents", r.FounderEquivalents, float64(n))
		near(t, "effective ancestors", r.EffectiveAncestors, float64(n))
	}
}

// The effective number of ancestors sees a bottleneck that founder equivalents
// do not (definition of Boichard, Maignel & Verrier 1997; values derived).
func TestEffectiveAncestors(t *testing.T) {
	tests := []struct {
		name, rows, living string
		want               float64
	}{
		{"two founders", "A, B, k1 A B, k2 A B, k3 A B", "k1 k2 k3", 2},
		{"four founders through one pair", "A, B, C, D, x A B, y C D, k1 x y, k2 x y, k3 x y", "k1 k2 k3", 2},
		// x gives half of each fry; C, D and E give a sixth of all genes each, and A
		// and B nothing that did not come through x.
		{"one sire", "A, B, C, D, E, x A B, k1 x C, k2 x D, k3 x E", "k1 k2 k3", 1 / (1./4 + 3./36)},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			book := table(test.rows)
			dieAllBut(book, test.living)
			r, _ := stateOf(t, book).Line("test")
			near(t, "effective ancestors", r.EffectiveAncestors, test.want)
		})
	}
}

// 4·Nm·Nf/(Nm + Nf): 10 + 10, 10 + 250, 40 + 10, 20 + 80 (course texts); 99 + 1,
// 2 + 2, 25 + 25, 5 + 5 (USFWS Inland Salmonid Broodstock Handbook p. 1-8; Williamson
// & Wydoski 1994).
func TestEffectiveSizeFromParents(t *testing.T) {
	for _, test := range []struct {
		males, females int
		want           float64
	}{
		{10, 10, 20}, {10, 250, 500. / 13}, {40, 10, 32}, {20, 80, 64}, {99, 1, 3.96}, {2, 2, 4}, {25, 25, 50}, {5, 5, 10},
	} {
		spawn := &pedigree.Spawn{ID: "S", Group: []string{"W"}, Date: day2, Sires: pedigree.Parents{All: true}, Dams: pedigree.Parents{All: true}}
		book := &pedigree.Book{
			Stock:  []*pedigree.Stock{wild("W", sexes(test.males, test.females))},
			Spawns: []*pedigree.Spawn{spawn},
		}
		book.Stock[0].Date = day1
		book.Arrange()
		m, err := genetics.Compile(book)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := m.On(day3).Line("")
		near(t, fmt.Sprintf("%d + %d", test.males, test.females), *r.EffectiveSize.FromParents, test.want)
	}
}
