package chart

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"roebook/pedigree"
)

// golden holds a text to a file; ROEBOOK_UPDATE=1 writes it anew.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if os.Getenv("ROEBOOK_UPDATE") != "" {
		must(os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got)\n%s", name, diff)
	}
}

// words are the texts of a drawing with where they stand, to 5 pixels.
func words(d *Drawing) string {
	var out strings.Builder
	fmt.Fprintf(&out, "%s\n%s\n", d.Title, d.Description)
	for _, s := range d.shapes {
		if s.text != "" {
			fmt.Fprintf(&out, "%4.0f %4.0f  %s\n", 5*math.Round(s.at.x/5), 5*math.Round(s.at.y/5), s.text)
		}
	}
	return out.String()
}

func TestGolden(t *testing.T) {
	s := demo(t)
	golden(t, "ancestors.txt", words(Ancestors(s, "TF-E1", 4)))
	golden(t, "planned.txt", words(Ancestors(s, "TF-S18", 1)))
	golden(t, "descent.txt", words(Descent(s, "tessamora-ford")))
	golden(t, "founders.txt", words(FoundersOf(s, "TF-D3a")))
	golden(t, "kinship.txt", words(Kinship(s, "Kinship", []string{"TF-D1", "CW-J1", "TF-D1a", "TF-D4", "TF-M1"})))
	golden(t, "history.txt", words(History(s, "candlewick", someOutlook())))
	golden(t, "inbreeding.txt", words(Inbreeding(s, "TF-C3")))
	golden(t, "ancestors.svg", string(Ancestors(s, "TF-D4", 2).SVG()))
}

// The ways from an ancestor are those of Wright's path counting: in brother by
// sister mating of CW-H1 and CW-H2, each grandparent leads to the young twice.
func TestWays(t *testing.T) {
	a := newAncestry(demo(t), "CW-J1", 2)
	for id, want := range map[string]int{"CW-J1": 1, "CW-H1": 1, "CW-H2": 1, "CW-G1": 2, "CW-G2": 2} {
		if got := a.cards[a.byID[id]].ways; got != want {
			t.Errorf("%d ways from %s, want %d", got, id, want)
		}
	}
	// Full sibs for n generations: 2^(n-1) ways from each of the first pair.
	book := &pedigree.Book{Lines: []*pedigree.Line{{Name: "sibs"}}}
	add := func(id string, sex pedigree.Sex, spawn string) {
		s := &pedigree.Stock{ID: id, Line: "sibs", Sex: sex, Wild: &pedigree.Wild{}}
		if spawn != "" {
			s.Wild, s.FromSpawns = nil, []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}
		}
		book.Stock = append(book.Stock, s)
	}
	add("M0", pedigree.Male, "")
	add("F0", pedigree.Female, "")
	for n := range 6 {
		spawn := &pedigree.Spawn{ID: "S" + strconv.Itoa(n+1), Line: "sibs"}
		spawn.Sire.Candidates = []pedigree.Candidate{{ID: "M" + strconv.Itoa(n), Odds: 1}}
		spawn.Dam.Candidates = []pedigree.Candidate{{ID: "F" + strconv.Itoa(n), Odds: 1}}
		book.Spawns = append(book.Spawns, spawn)
		add("M"+strconv.Itoa(n+1), pedigree.Male, spawn.ID)
		add("F"+strconv.Itoa(n+1), pedigree.Female, spawn.ID)
	}
	book.Arrange()
	a = newAncestry(stateOf(t, book), "M6", 100)
	if got := a.cards[a.byID["F0"]].ways; got != 32 {
		t.Errorf("%d ways over six generations of full sibs, want 32", got)
	}
	if len(a.cards) != 13 || len(a.unions) != 6 {
		t.Errorf("%d cards and %d unions, want each once: 13 and 6", len(a.cards), len(a.unions))
	}
}

// What is shown and what is said not to be shown are together all ancestors.
func TestWhatIsNotShownIsCounted(t *testing.T) {
	state := stateOf(t, bigBook(600))
	all := newAncestry(state, "R500", math.MaxInt)
	records := len(all.byID) - 1
	if all.hidden != 0 || records < 50 {
		t.Fatalf("%d ancestors, %d not shown", records, all.hidden)
	}
	for most := 1; most < 12; most++ {
		a := newAncestry(state, "R500", most)
		// A lot that a fish was picked out of is a record of its own only where
		// it is a parent, which with less depth it may not be seen to be.
		if got := len(a.byID) - 1 + a.hidden; got != records {
			t.Errorf("%d generations: %d shown and %d not, want %d together", most, len(a.byID)-1, a.hidden, records)
		}
	}
}

// Shares as written add up to 100 %.
func TestSharesAddUp(t *testing.T) {
	s := demo(t)
	for _, stock := range s.Model().Book().Stock {
		parts := founderParts(s.Model().Book(), s.Founders(stock.ID))
		if len(parts) == 0 {
			continue
		}
		sum := 0.0
		for i, text := range inTenths(parts) {
			if text == "under 0.1 %" {
				continue
			}
			v, err := strconv.ParseFloat(strings.TrimSuffix(text, " %"), 64)
			must(err)
			if math.Abs(v-100*parts[i].share) > 0.1+1e-9 {
				t.Errorf("%s: %s written for %v", stock.ID, text, parts[i].share)
			}
			sum += v
		}
		if math.Abs(sum-100) > 1e-6 {
			t.Errorf("%s: the shares add up to %v %%", stock.ID, sum)
		}
	}
}

// The parts of an inbreeding add up to it.
func TestPartsAddUp(t *testing.T) {
	s := demo(t)
	for _, spawn := range s.Model().Book().Spawns {
		want, ok := s.Inbreeding(spawn.ID)
		if !ok {
			continue
		}
		parts, sum, told := s.WhyInbred(spawn.ID), 0.0, 0.0
		for _, p := range parts {
			sum += p.Kinship
		}
		for _, p := range tell(s.Model().Book(), parts, sum) {
			told += p.value
		}
		if math.Abs(sum-want) > 1e-12 || math.Abs(told-want) > 1e-12 {
			t.Errorf("%s: the parts are %v and as told %v, the inbreeding %v", spawn.ID, sum, told, want)
		}
	}
}

// Groups of records come to stand together, whatever the order they came in.
func TestFamiliesStandTogether(t *testing.T) {
	group := []int{0, 1, 2, 0, 1, 2, 2, 1, 0}
	kinship := make([][]float64, len(group))
	for i := range group {
		for j := range group {
			k := 0.01
			switch {
			case i == j:
				k = 0.5
			case group[i] == group[j]:
				k = 0.25
			}
			kinship[i] = append(kinship[i], k)
		}
	}
	tree := families(kinship)
	order := tree.members
	changes := 0
	for i := 1; i < len(order); i++ {
		if group[order[i]] != group[order[i-1]] {
			changes++
		}
	}
	if changes != 2 {
		t.Errorf("the order is %v", order)
	}
	if n := len(tree.closer(familyKinship)); n != 3 {
		t.Errorf("%d families, want 3", n)
	}
	sorted := slices.Sorted(slices.Values(order))
	for i, n := range sorted {
		if i != n {
			t.Fatalf("the order is %v", order)
		}
	}
}

// Average linkage on a table worked by hand: a and b (0.5) first, then c with d
// (0.3), the two groups at the mean of 0.2, 0.1, 0.1 and 0.0.
func TestAverageLinkage(t *testing.T) {
	tree := families([][]float64{{1, .5, .2, .1}, {.5, 1, .1, 0}, {.2, .1, 1, .3}, {.1, 0, .3, 1}})
	if math.Abs(tree.kinship-0.1) > 1e-12 {
		t.Errorf("the halves are %v apart, want 0.1", tree.kinship)
	}
	if got := fmt.Sprint(tree.members); got != "[1 0 2 3]" && got != "[3 2 0 1]" {
		t.Errorf("the order is %s: the nearest ends, a and c, do not meet", got)
	}
}

// Colours keep apart in grey, and texts reach 4.5 to 1 on what they stand on
// (WCAG 2.2: relative luminance and contrast ratio as defined there).
func TestColours(t *testing.T) {
	luminance := func(hex string) float64 {
		r, g, b := colour(hex)
		linear := func(v uint8) float64 {
			if s := float64(v) / 255; s > 0.04045 {
				return math.Pow((s+0.055)/1.055, 2.4)
			} else {
				return s / 12.92
			}
		}
		return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
	}
	contrast := func(a, b string) float64 {
		x, y := luminance(a), luminance(b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	pairs := [][2]string{{ink, paper}, {faint, paper}, {accent, paper}, {accent, tint}, {ink, tint}, {faint, tint}, {line, paper}, {faint, "#f4f7f7"}, {faint, "#eef4f4"}, {wildFill, paper}}
	for o := bred; o <= unknown; o++ {
		pairs = append(pairs, [2]string{o.on(), o.fill()})
	}
	for _, s := range shades {
		on := ink
		if s.dark {
			on = paper
		}
		pairs = append(pairs, [2]string{on, s.fill})
	}
	for _, p := range pairs {
		if c := contrast(p[0], p[1]); c < 4.5 {
			t.Errorf("%s on %s has a contrast of %.2f", p[0], p[1], c)
		}
	}
	fills := []string{wildFill, boughtFill, bredFill}
	for i := 1; i < len(fills); i++ {
		if c := contrast(fills[i-1], fills[i]); c < 1.6 {
			t.Errorf("%s and %s are alike in grey: %.2f", fills[i-1], fills[i], c)
		}
	}
	for i := 1; i < len(shades); i++ {
		if luminance(shades[i].fill) >= luminance(shades[i-1].fill) {
			t.Errorf("shade %d is not darker than the one before", i)
		}
	}
}

func TestScaleOfAPanel(t *testing.T) {
	for _, c := range []struct {
		values          []float64
		zero            bool
		low, high, step float64
	}{
		{[]float64{0.80, 0.91}, false, 0.80, 0.95, 0.05},
		{[]float64{0, 0.08}, true, 0, 0.08, 0.02},
		{[]float64{44, 69}, true, 0, 80, 20},
		{[]float64{0}, true, 0, 0.02, 0.005},
	} {
		p := panel{zero: c.zero, top: math.Inf(1)}
		for _, v := range c.values {
			p.points = append(p.points, point{0, v})
		}
		p.scale()
		if math.Abs(p.low-c.low)+math.Abs(p.high-c.high)+math.Abs(p.step-c.step) > 1e-9 {
			t.Errorf("%v: %v to %v by %v, want %v to %v by %v", c.values, p.low, p.high, p.step, c.low, c.high, c.step)
		}
	}
}
