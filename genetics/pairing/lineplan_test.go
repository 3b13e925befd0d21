package pairing_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roebook/genetics"
	"roebook/genetics/pairing"
	"roebook/pedigree"
)

func planOptions(line string, spawns, keep int) pairing.PlanOptions {
	return pairing.PlanOptions{Line: line, Spawns: spawns, Keep: keep, Least: 1, PerMale: 1, PerFemale: 1}
}

func mustPlan(t *testing.T, state *genetics.State, o pairing.PlanOptions) pairing.LinePlan {
	t.Helper()
	plan, err := pairing.PlanLine(state, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// What a plan foretells must be what the whole model says of the book with the
// spawns and their fry written into it, every fish of a lot picked out for its own
// spawns.
func TestPlanForetellsTheBook(t *testing.T) {
	for _, line := range demo(t).Lines {
		for _, each := range []int{1, 2} {
			for _, living := range []bool{false, true} {
				o := planOptions(line.Name, 5, 37)
				o.PerMale, o.PerFemale, o.IncludeLiving = each, each, living
				asked := 0
				plan, err := pairing.PlanLine(compile(t, demo(t)), o, func() bool { asked++; return asked > 300 })
				if err != nil {
					t.Fatal(err)
				}
				if len(plan.Spawns) == 0 {
					t.Fatalf("%s: no plan", line.Name)
				}
				checkPlan(t, plan, o)
			}
		}
	}
}

func checkPlan(t *testing.T, plan pairing.LinePlan, o pairing.PlanOptions) {
	t.Helper()
	book := demo(t)
	parent := func(id string, fish int, sex pedigree.Sex) pedigree.Side {
		if fish > 0 {
			picked := fmt.Sprintf("%s-%s-%d", id, sex, fish)
			if len(book.Stock) == 0 || !named(book, picked) {
				book.Stock = append(book.Stock, &pedigree.Stock{ID: picked, Line: o.Line, Picked: id, Date: today, Sex: sex})
			}
			id = picked
		}
		return pedigree.Side{Candidates: []pedigree.Candidate{{ID: id, Odds: 1}}}
	}
	for i, s := range plan.Spawns {
		spawn := fmt.Sprintf("new-%d", i)
		book.Spawns = append(book.Spawns, &pedigree.Spawn{ID: spawn, Line: o.Line, Date: today + 1,
			Sire: parent(s.Sire, s.SireFish, pedigree.Male), Dam: parent(s.Dam, s.DamFish, pedigree.Female)})
		book.Stock = append(book.Stock, &pedigree.Stock{ID: fmt.Sprintf("fry-%d", i), Line: "young", Lot: true, Count: pedigree.Count{Unsexed: s.Keep},
			FromSpawns: []pedigree.FromSpawn{{Spawn: spawn, Share: 1}}})
	}
	book.Lines = append(book.Lines, &pedigree.Line{Name: "young"})
	book.Arrange()
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	state := m.On(today + 1)
	young, _ := state.Line("young")
	if math.Abs(young.GeneDiversity-plan.OfFry) > 1e-12 {
		t.Errorf("%s: the fry are foretold %.15f, the book says %.15f", o.Line, plan.OfFry, young.GeneDiversity)
	}
	if math.Abs(young.MeanInbreeding-plan.Inbreeding) > 1e-12 {
		t.Errorf("%s: inbreeding foretold %.15f, the book says %.15f", o.Line, plan.Inbreeding, young.MeanInbreeding)
	}
	for _, s := range book.Stock {
		if s.Line == "young" {
			s.Line = o.Line
		}
	}
	book.Arrange()
	whole, _ := compile(t, book).Model().On(today + 1).Line(o.Line)
	if math.Abs(whole.GeneDiversity-plan.After) > 1e-12 {
		t.Errorf("%s: the line is foretold %.15f, the book says %.15f", o.Line, plan.After, whole.GeneDiversity)
	}
	if want := map[bool]float64{false: plan.OfFry, true: plan.After}[o.IncludeLiving]; want != plan.GeneDiversity {
		t.Errorf("%s: planned for %v, worth %v", o.Line, plan.GeneDiversity, want)
	}
}

func named(book *pedigree.Book, id string) bool {
	for _, s := range book.Stock {
		if s.ID == id {
			return true
		}
	}
	return false
}

// A lot offers as many males and females as it has, each use another fish of it,
// also of fish never sexed.
func TestPlanUsesNoFishMoreOftenThanItMay(t *testing.T) {
	m := room(t, []*pedigree.Stock{lot("A", pedigree.Count{Males: 2, Females: 1}), lot("B", pedigree.Count{Unsexed: 3}), fish("F", pedigree.Female)})
	for _, test := range []struct{ perMale, perFemale, want int }{{1, 1, 3}, {1, 2, 3}, {2, 1, 3}, {2, 2, 6}, {3, 3, 8}} {
		o := planOptions(line, 8, 80)
		o.PerMale, o.PerFemale = test.perMale, test.perFemale
		o.Least, o.Most = 80/8, 80 // as many spawns as there can be is best for unrelated fish
		plan := mustPlan(t, m.On(20240101), o)
		used := map[string]int{}
		for _, s := range plan.Spawns {
			used[fmt.Sprint("male ", s.Sire, s.SireFish)]++
			used[fmt.Sprint("female ", s.Dam, s.DamFish)]++
			if s.Sire == "A" && s.SireFish > 2 || s.Sire == "B" && s.SireFish > 1 || s.Dam == "A" && s.DamFish > 1 || s.Dam == "B" && s.DamFish > 1 {
				t.Errorf("no such fish: %+v", s)
			}
		}
		for fish, times := range used {
			if most := map[bool]int{true: test.perMale, false: test.perFemale}[strings.HasPrefix(fish, "male")]; times > most {
				t.Errorf("%s has %d spawns, at most %d", fish, times, most)
			}
		}
		if len(plan.Spawns) > test.want {
			t.Errorf("per male %d, per female %d: %d spawns, at most %d", test.perMale, test.perFemale, len(plan.Spawns), test.want)
		}
	}
}

// Where no plan keeps the limits, each limit that alone is in the way is named with
// the least value that will do, and a plan exists there and not below.
func TestRemediesAreTheLeastThatWillDo(t *testing.T) {
	stock := func() []*pedigree.Stock {
		return []*pedigree.Stock{fish("S", pedigree.Male), fish("D", pedigree.Female), fish("E", pedigree.Female),
			young("son", "one", pedigree.Male), young("sister", "one", pedigree.Female), young("half", "two", pedigree.Female)}
	}
	m := room(t, stock(), bred("one", "S", "D"), bred("two", "S", "E"))
	limit := 0.1
	o := planOptions(line, 2, 20)
	o.MaxInbreeding, o.With, o.Without = &limit, []string{"half"}, []string{"S"}
	plan := mustPlan(t, m.On(20240101), o)
	if got := fmt.Sprint(plan.Remedies); got != "[{max_inbreeding 0.125}]" || len(plan.Spawns) > 0 {
		t.Errorf("remedies %s, spawns %v", got, plan.Spawns)
	}
	o = planOptions(line, 6, 60)
	o.MaxInbreeding, o.Most = nil, 15 // two males, one spawn each, 15 of each
	plan = mustPlan(t, m.On(20240101), o)
	if got := fmt.Sprint(plan.Remedies); got != "[{keep_most 30} {keep 30} {per_male 2}]" {
		t.Errorf("remedies %s, spawns %v", got, plan.Spawns)
	}
	for change, want := range map[int]bool{29: false, 30: true} {
		o.Most = change
		if plan = mustPlan(t, m.On(20240101), o); (len(plan.Spawns) > 0) != want {
			t.Errorf("with %d of each a plan: %v", change, plan.Spawns)
		}
	}
}

// Fish of another locality or species are put together only where it is asked for.
func TestPlanMixesNoLocalities(t *testing.T) {
	other := fish("F", pedigree.Female)
	other.Locality = "elsewhere"
	m := room(t, []*pedigree.Stock{fish("M", pedigree.Male), other, fish("G", pedigree.Female)})
	plan := mustPlan(t, m.On(20240101), planOptions(line, 1, 10))
	if len(plan.Spawns) != 1 || plan.Spawns[0].Dam != "G" {
		t.Errorf("plan %+v", plan.Spawns)
	}
	o := planOptions(line, 1, 10)
	o.Together = [][2]string{{"F", "M"}}
	plan = mustPlan(t, m.On(20240101), o)
	if len(plan.Spawns) != 1 || plan.Spawns[0].Dam != "F" {
		t.Errorf("asked for F with M: %+v", plan.Spawns)
	}
}

// Derived by hand: a son of S back to his full sister, and S to his daughters. The
// greatest share of S in fry is 3/4, of S with a daughter; all of their inbreeding,
// 1/4, comes through S. Full sibs' fry have 1/2 of S, and half of their 1/4 of
// inbreeding comes through S, half through D.
func TestTowardAFish(t *testing.T) {
	m := room(t, []*pedigree.Stock{fish("S", pedigree.Male), fish("D", pedigree.Female), fish("E", pedigree.Female),
		young("son", "one", pedigree.Male), young("sister", "one", pedigree.Female)}, bred("one", "S", "D"))
	o := planOptions(line, 2, 20)
	o.Toward = "S"
	plan := mustPlan(t, m.On(20240101), o)
	if len(plan.Spawns) != 2 || math.Abs(plan.Share-0.5) > 1e-12 { // S × sister 3/4 and son × D or E 1/4, or S × D 1/2 and sibs 1/2
		t.Errorf("share %v of %+v", plan.Share, plan.Spawns)
	}
	o.Spawns, o.PerMale = 1, 1
	plan = mustPlan(t, m.On(20240101), o)
	if s := plan.Spawns[0]; s.Sire != "S" || s.Dam != "sister" || s.Share != 0.75 || s.Inbreeding != 0.25 || s.Through != 0.25 {
		t.Errorf("S with his daughter: %+v", s)
	}
	limit := 0.2
	o.MaxInbreeding = &limit
	plan = mustPlan(t, m.On(20240101), o)
	if s := plan.Spawns[0]; s.Sire != "S" || s.Share != 0.5 || s.Inbreeding != 0 {
		t.Errorf("within 20 %%: %+v", s)
	}
	o.MaxInbreeding, o.Without = nil, []string{"S"}
	plan = mustPlan(t, m.On(20240101), o)
	if s := plan.Spawns[0]; s.Sire != "son" || s.Dam != "sister" || s.Share != 0.5 || s.Inbreeding != 0.25 || s.Through != 0.125 {
		t.Errorf("sibs: %+v", s)
	}
	if plan.Without <= plan.OfFry {
		t.Errorf("without it the fry would hold %v, with it %v: nothing is given up", plan.Without, plan.OfFry)
	}
}
