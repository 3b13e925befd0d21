package main

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"roebook/genetics/forecast"
)

// The forecast of a chart is that of the command of the name, bred as asked.
func TestChartForecastsAsForecastDoes(t *testing.T) {
	dir := demoBook(t)
	for _, bred := range []struct {
		scheme forecast.Scheme
		pairs  int
	}{{forecast.Random, usualPairs}, {forecast.AvoidSiblings, 7}} {
		r := runIn(dir, 100, "forecast", "tessamora-ford", "--scheme", string(bred.scheme), "--pairs", strconv.Itoa(bred.pairs),
			"--generations", "4", "--json", "--on", "2026-11-24")
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
		ask := newChartQuestion()
		ask.forecast.scheme, ask.forecast.Pairs = string(bred.scheme), bred.pairs
		if err := ask.forecast.read(); err != nil {
			t.Fatal(err)
		}
		outlook, err := l.outlook(l.book.LineNamed("tessamora-ford"), ask.forecast, 4)
		if err != nil {
			t.Fatal(err)
		}
		if len(want.Generations) != 5 || len(outlook.Diversity) != 4 {
			t.Fatalf("%d generations, %d of the chart", len(want.Generations), len(outlook.Diversity))
		}
		for i, got := range outlook.Diversity {
			g := want.Generations[i+1].GeneDiversity
			if math.Abs(got.Middle-g.Mean)+math.Abs(got.Low-g.Low)+math.Abs(got.High-g.High) > 1e-12 {
				t.Errorf("%s, generation %d: %v, want %v", bred.scheme, i+1, got, g)
			}
		}
	}
}

func TestChartHelpFitsTheScreen(t *testing.T) {
	for line := range strings.Lines(runIn(t.TempDir(), 80, "chart", "--help").out) {
		if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > 80 {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}
