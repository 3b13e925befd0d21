package main

import (
	"fmt"
	"math"
	"strings"

	"roebook/genetics/forecast"
)

// write puts the forecast on a page: the answer, on what it rests, and the
// generations.
func (a *forecastAnswer) write(p *page) {
	if a.fromTable {
		p.say("Forecast for the pedigree from %s", a.state.Date())
	} else {
		p.say("Forecast for %s from %s", a.line.Name, a.state.Date())
	}
	for _, paragraph := range a.paragraphs() {
		p.say("%s", paragraph)
		p.blank()
	}
	a.terms(p)
	p.blank()
	a.table(p)
	p.blank()
	a.founders(p)
	p.blank()
	a.key(p)
}

// terms says on what the forecast rests.
func (a *forecastAnswer) terms(p *page) {
	o, n := a.ask.Options, a.start.Numbers()
	words := count(n.Total(), "fish") + " (" + census(n) + ")"
	if len(a.start.LeftOut) > 0 {
		var out []string
		for _, left := range a.start.LeftOut {
			out = append(out, left.ID+" ("+left.Why+")")
		}
		words += "; without " + some(out, 4)
	}
	p.field("starts from", "%s", words)
	p.field("gene diversity", "%s", a.todayWords())
	p.field("scheme", "%s", schemeWords(o))
	p.field("each generation", "%s", a.bredWords())
	if o.NewWild > 0 {
		p.field("new blood", "%s, unrelated and half of each sex", newWild(o.NewWild, o.Every))
	}
	p.field("played", "%s, with chances of their own (--seed %d gives the same again)", countWords(o.Replicates, "run"), a.ask.seed)
}

// todayWords says how the fish that take part stand, and how that goes with what
// the report on the line says, which has all its fish.
func (a *forecastAnswer) todayWords() string {
	words := onePlace(a.result.Generations[0].GeneDiversity.Mean) + " today"
	heads, all, ok := a.diversity(a.line.Name)
	switch out := heads - a.start.Numbers().Total(); {
	case !ok:
		return words
	case out > 1e-9:
		return words + fmt.Sprintf("; with the %s left out it is %s, or %s as `line` writes it", count(out, "fish"), onePlace(all), kin(all))
	default:
		return words + fmt.Sprintf(" (`line` writes it as %s)", kin(all))
	}
}

func schemeWords(o forecast.Options) string {
	words := map[forecast.Scheme]string{
		forecast.Random:        "pairs as chance has it",
		forecast.AvoidSiblings: "pairs by chance, but brothers and sisters or half-sibs only where nothing else is left",
		forecast.LeastKinship:  "the pairs and numbers of young that leave most variety",
		forecast.Rotate:        fmt.Sprintf("%d groups in a ring; daughters stay, males go on to the next group", o.Groups),
	}[o.Scheme]
	if o.Pairs > 0 {
		return string(o.Scheme) + ": " + words
	}
	if o.Scheme == forecast.Rotate {
		return string(o.Scheme) + ": " + words + "; any of them may be the parents of any young"
	}
	return "colony: any male and any female may be the parents of any young"
}

func (a *forecastAnswer) bredWords() string {
	o := a.ask.Options
	words := countWords(o.Pairs, "pair") + ", "
	if o.Pairs == 0 {
		words = ""
	}
	words += fmt.Sprintf("%d young kept in all, %s of them males", o.Keep, inPercent(o.Males, 1))
	if o.BySex {
		words += " (kept so)"
	} else {
		words += " on average"
	}
	switch {
	case o.Failed > 0 && o.Pairs > 0:
		words += "; " + inPercent(o.Failed, 1) + " of the pairs give none"
	case o.Failed > 0:
		words += "; " + inPercent(o.Failed, 1) + " of the females give none"
	}
	return words
}

// shown tells which generations the table has: all up to the tenth, then every
// fifth, and the last.
func (a *forecastAnswer) shown(t int) bool {
	return t <= 10 || t%5 == 0 || t == len(a.result.Generations)-1
}

// table writes the generations. On a narrow page the picture is made smaller, and
// where that is not enough the band of inbreeding goes.
func (a *forecastAnswer) table(p *page) {
	wild, dying := a.ask.NewWild > 0, a.result.DiedOut > 0
	room := p.width - 69 // what the other columns leave
	for _, extra := range []bool{wild, dying} {
		if extra {
			room -= 8
		}
	}
	narrow := room < 10
	if narrow {
		room += 13
	}
	picture := newStrip(a, max(10, min(room, 20)))
	columns := []column{{head: "genera-\ntion", right: true}, {head: "gene\ndiversity", right: true}, {head: "9 of 10\nruns", right: true},
		{head: "\n" + picture.head()}, {head: "\ninbred", right: true}, {head: "9 of 10\nruns", right: true}, {head: "effective\nsize", right: true},
		{head: "new\nwild", right: true}, {head: "runs\nliving", right: true}}
	left := []bool{true, true, true, true, true, !narrow, true, wild, dying}
	var rows [][]string
	for _, g := range a.result.Generations {
		if !a.shown(g.Number) {
			continue
		}
		name := fmt.Sprint(g.Number)
		if g.Number == 0 {
			name = "today"
		}
		rows = append(rows, only(left, []string{name, onePlace(g.GeneDiversity.Mean), bandWords(g.GeneDiversity), picture.draw(g.GeneDiversity),
			onePlace(g.Inbreeding.Mean), bandWords(g.Inbreeding), sizeCell(g.EffectiveSize), onePlace(g.NewWild.Mean), fmt.Sprint(g.Runs)}))
	}
	p.table(only(left, columns), rows)
}

// only is the part of a list that is left.
func only[T any](left []bool, list []T) (part []T) {
	for i, one := range list {
		if left[i] {
			part = append(part, one)
		}
	}
	return part
}

// strip is the picture of gene diversities from low to 1.
type strip struct {
	low, level float64
	columns    int
}

func newStrip(a *forecastAnswer, columns int) strip {
	s := strip{1, a.level, columns}
	for _, g := range a.result.Generations {
		s.low = min(s.low, g.GeneDiversity.Low)
	}
	s.low = min(0.9, math.Floor(10*min(s.low, a.level))/10)
	return s
}

// head marks the ends.
func (s strip) head() string { return fmt.Sprintf("%-*s100 %%", s.columns-5, inPercent(s.low, 0)) }

// draw draws a band: dashes between its ends, o at the mean, and a bar at the
// level that is to be kept.
func (s strip) draw(b forecast.Band) string {
	cells := []byte(strings.Repeat(" ", s.columns))
	place := func(x float64) int {
		return max(0, min(s.columns-1, int((x-s.low)/(1-s.low)*float64(s.columns))))
	}
	for i := place(b.Low); i <= place(b.High); i++ {
		cells[i] = '-'
	}
	cells[place(s.level)] = '|'
	cells[place(b.Mean)] = 'o'
	return strings.TrimRight(string(cells), " ")
}

// mostFounders is how many founders are told one by one.
const mostFounders = 6

// founders says where the genes come from, today and in the end.
func (a *forecastAnswer) founders(p *page) {
	generations := a.result.Generations
	first, last := generations[0], generations[len(generations)-1]
	if last.Number == 0 {
		return
	}
	p.say("Where its genes come from, on average:")
	rows := [][]string{}
	add := func(now, then float64, who string) {
		if now > 5e-4 || then > 5e-4 {
			rows = append(rows, []string{onePlace(now), onePlace(then), who})
		}
	}
	unknown, others, many := [2]float64{1, 1 - last.NewWild.Mean}, [2]float64{}, 0
	for i, share := range first.FounderShare {
		now, then := share.Share, last.FounderShare[i].Share
		unknown[0], unknown[1] = unknown[0]-now, unknown[1]-then
		if i < mostFounders {
			add(now, then, share.ID)
			continue
		}
		many++
		others[0], others[1] = others[0]+now, others[1]+then
	}
	add(others[0], others[1], countWords(many, "other founder"))
	add(unknown[0], unknown[1], "unknown parents")
	add(0, last.NewWild.Mean, "new wild fish")
	p.table([]column{{head: "today", right: true}, {head: fmt.Sprintf("generation %d", last.Number), right: true}, {head: "founder"}}, rows)
}

// key explains the words of the table.
func (a *forecastAnswer) key(p *page) {
	p.say(`Gene diversity: the share of the founders' variety that the living fish hold; in the strip, o is the average, the dashes hold 9 of 10 runs, and | is %s. Inbred: the average inbreeding of the fish; 25 %% is that of young of brother and sister. %s; here it goes by what was lost since today; "-": none was lost, or new blood came.`,
		inPercent(a.level, 2), effectiveSizeMeans)
	if a.line.Goal.GeneDiversity == nil {
		p.say("The line states no goal: %s is a common one.", inPercent(usualDiversity, 0))
	}
	if !a.ask.goal && !a.fromTable {
		p.say("What would keep it there:")
		p.asIs(2, a.from.command("forecast "+shellQuoted(a.line.Name)+a.ask.words+" --goal"))
	}
}
