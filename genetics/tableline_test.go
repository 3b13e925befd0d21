package genetics_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"roebook/genetics"
	"roebook/io/pedcsv"
	"roebook/pedigree"
)

// nearly compares numbers to 1e-11 of their size.
var nearly = cmpopts.EquateApprox(1e-11, 1e-12)

// fullCSV writes every column of a table.
func fullCSV(t *pedigree.Table) []byte {
	var b bytes.Buffer
	b.WriteString("dam,id,sex,living,sire,born\n")
	id := func(p int32) string {
		if p < 0 {
			return ""
		}
		return t.IDs[p]
	}
	for i := range t.Len() {
		living := "yes"
		if t.Living != nil && !t.Living[i] {
			living = "no"
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%s\n", id(t.Dam[i]), t.IDs[i], t.Sex[i], living, id(t.Sire[i]), t.BornOn(i))
	}
	return b.Bytes()
}

// The answers on a table are those on the book that the same file makes.
func TestTableAnswersAsTheBookDoes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		shape := anyShape(rt)
		shape.selfing, shape.fish = false, min(shape.fish, 90)
		table := shape.make(rapid.Uint64().Draw(rt, "seed"))
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "order"), 1))
		if share := rapid.SampledFrom([]float64{1, 0.5, 0.1}).Draw(rt, "living"); share < 1 {
			table.Living = make([]bool, table.Len())
			for i := range table.Living {
				table.Living[i] = rng.Float64() < share
			}
		}
		switch rapid.IntRange(0, 3).Draw(rt, "dates") {
		case 0: // years only
			for i := range table.Born {
				table.Born[i] = table.Born[i] / 10000 * 10000
			}
		case 1: // some unknown
			for i := range table.Born {
				if rng.IntN(5) == 0 {
					table.Born[i] = 0
				}
			}
		}
		table, _ = shuffled(table, rng)
		on := rapid.SampledFrom([]pedigree.Date{0, 19000101, 19030615, 19051231, 20260101}).Draw(rt, "on")
		text := fullCSV(table)
		book, problems := pedcsv.Read(bytes.NewReader(text), "t.csv")
		read, more := pedcsv.ParseTable(text, "t.csv")
		if len(problems)+len(more) > 0 {
			rt.Fatal(problems, more)
		}
		model, err := genetics.Compile(book)
		if err != nil {
			rt.Fatal(err)
		}
		state := compileTable(rt, read, genetics.TableOptions{}).On(on)
		compareLine(rt, state, model.On(on))
		compareFish(rt, state, model.On(on))
		compareKinship(rt, state, model.On(on))
	})
}

func compareLine(t *rapid.T, state *genetics.TableState, book *genetics.State) {
	got, ok, err := state.Line(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	want, wantOK := book.Line(pedcsv.LineName)
	if ok != wantOK {
		t.Fatalf("living: %v, in the book %v", ok, wantOK)
	}
	byID := cmpopts.SortSlices(func(a, b genetics.Share) bool { return a.ID < b.ID })
	if diff := cmp.Diff(want, got, nearly, byID, cmpopts.EquateEmpty()); diff != "" {
		t.Fatalf("the line (- book, + table):\n%s", diff)
	}
}

func compareFish(t *rapid.T, state *genetics.TableState, book *genetics.State) {
	table := state.Model().Table()
	byID := cmpopts.SortSlices(func(a, b genetics.Share) bool { return a.ID < b.ID })
	means, mean := state.MeanKinships()
	living := book.Living("")
	row, wantMean := book.MeanKinshipRow(living)
	if living.Heads > 0 && math.Abs(mean-wantMean) > 1e-12 {
		t.Fatalf("mean kinship %v, in the book %v", mean, wantMean)
	}
	type fish struct {
		Inbreeding, Complete, MeanKinship float64
		Generation                        pedigree.Generation
		Ancestry                          genetics.Ancestry
		Founders                          []genetics.Share
	}
	for i, id := range table.IDs {
		got := fish{state.Inbreeding(i), state.EquivalentGenerations(i), means[i], state.Generation(i), state.Ancestry(i), state.Founders(i)}
		var want fish
		want.Inbreeding, _ = book.Inbreeding(id)
		want.Complete, _ = book.EquivalentGenerations(id)
		want.Generation, _ = book.Generation(id)
		want.Ancestry, _ = book.Ancestry(id)
		want.Founders = book.Founders(id)
		if living.Heads > 0 {
			want.MeanKinship, _ = book.MeanKinship(id, row)
		}
		if diff := cmp.Diff(want, got, nearly, byID); diff != "" {
			t.Fatalf("%s (- book, + table):\n%s", id, diff)
		}
	}
}

func compareKinship(t *rapid.T, state *genetics.TableState, book *genetics.State) {
	table := state.Model().Table()
	var rows []int
	var ids []string
	for i := 0; i < table.Len(); i += 3 {
		rows, ids = append(rows, i), append(ids, table.IDs[i])
	}
	slices.Reverse(rows)
	slices.Reverse(ids)
	if !slices.Equal(table.Rows(ids...), rows) {
		t.Fatalf("rows of %v", ids)
	}
	got, err := state.Model().Kinship(context.Background(), rows)
	if err != nil {
		t.Fatal(err)
	}
	want, _ := book.KinshipMatrix(ids)
	if diff := cmp.Diff(want, got, nearly); diff != "" {
		t.Fatalf("kinship (- book, + table):\n%s", diff)
	}
}
