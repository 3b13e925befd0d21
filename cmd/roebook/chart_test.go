package main

import (
	"encoding/json"
	"math"
	"testing"
)

// The forecast of a chart is that of the command of the name.
func TestChartForecastsAsForecastDoes(t *testing.T) {
	dir := demoBook(t)
	r := runIn(dir, 100, "forecast", "tessamora-ford", "--generations", "4", "--json", "--on", "2026-11-24")
	var want struct {
		Generations []struct {
			Number        int
			GeneDiversity struct{ Mean, Low, High float64 } `json:"gene_diversity"`
		}
	}
	if err := json.Unmarshal([]byte(r.out), &want); err != nil {
		t.Fatalf("%v\n%s", err, r.out)
	}
	env := &environment{out: t.Output(), err: t.Output(), now: today, dir: dir, width: 100}
	from := source{env: env, on: "2026-11-24"}
	l, err := from.load()
	if err != nil {
		t.Fatal(err)
	}
	outlook, err := l.outlook(l.book.LineNamed("tessamora-ford"), 4)
	if err != nil {
		t.Fatal(err)
	}
	if len(want.Generations) != 5 || len(outlook.Diversity) != 4 {
		t.Fatalf("%d generations, %d of the chart", len(want.Generations), len(outlook.Diversity))
	}
	for i, got := range outlook.Diversity {
		g := want.Generations[i+1].GeneDiversity
		if math.Abs(got.Middle-g.Mean)+math.Abs(got.Low-g.Low)+math.Abs(got.High-g.High) > 1e-12 {
			t.Errorf("generation %d: %v, want %v", i+1, got, g)
		}
	}
}
