package chart

import (
	"fmt"
	"math"
	"strconv"

	"roebook/genetics"
	"roebook/pedigree"
)

// Outlook is what a forecast expects of the coming years, where there is one.
type Outlook struct {
	Diversity  []Expected // gene diversity
	Inbreeding []Expected
	Words      string // what the band means, for the legend
}

// Expected is a forecast for a point in time, with its likely range.
type Expected struct {
	When              float64 // in years: 2027.5 is the middle of 2027
	Low, Middle, High float64
}

// When is a day in years, as an [Expected] has it.
func When(day pedigree.Date) float64 {
	return float64(day.Year()) + float64(day.Time().YearDay())/366
}

// History draws how a line fared, as of each 31 December and of the day itself:
// gene diversity and inbreeding with the line's goals, and the fish living.
// outlook may be nil. The line must be one of the book's.
func History(state *genetics.State, line string, outlook *Outlook) *Drawing {
	report, living := state.Line(line)
	if outlook == nil {
		outlook = &Outlook{}
	}
	l := state.Model().Book().LineNamed(line)
	years := report.History
	today := When(state.Date())
	d := begin(state.Date(), 760, "How "+lineTitle(state, line)+" fared", place(l), "As of 31 December of each year, and of "+state.Date().String()+".")
	if len(years) == 0 && !living {
		return d.nothing("The line has no history yet.")
	}
	var diversity, inbreeding, heads []point
	for _, y := range years {
		x := float64(y.Year) + 1
		heads = append(heads, point{x, y.Living})
		if y.Answered {
			diversity = append(diversity, point{x, y.GeneDiversity})
			inbreeding = append(inbreeding, point{x, y.MeanInbreeding})
		}
	}
	if living && (len(heads) == 0 || heads[len(heads)-1].x < today-0.01) {
		heads = append(heads, point{today, report.Living})
		diversity = append(diversity, point{today, report.GeneDiversity})
		inbreeding = append(inbreeding, point{today, report.MeanInbreeding})
	}
	t := timeline{d: d, now: today, from: heads[0].x, to: heads[len(heads)-1].x}
	for _, e := range append(outlook.Diversity, outlook.Inbreeding...) {
		t.to = max(t.to, e.When)
	}
	t.to = max(t.to, t.from+1)
	goal := goalOf(l)
	t.panel(panel{name: "Gene diversity", means: "the share of the founders' variety that the living fish still hold", height: 170,
		points: diversity, outlook: outlook.Diversity, goal: goal.GeneDiversity, goalWords: "goal", write: func(v float64) string { return decimals(v, 3) }, top: 1})
	t.panel(panel{name: "Inbreeding", means: "the mean of the living fish; the limit is for their young", height: 130, points: inbreeding, outlook: outlook.Inbreeding,
		goal: goal.MaxInbreeding, goalWords: "limit", write: percent, zero: true, top: 1})
	t.panel(panel{name: "Fish living", height: 80, points: heads, bars: true, zero: true, write: trimmed, top: math.Inf(1)})
	t.yearNames()
	d.Description = fmt.Sprintf("Three panels by year from %.0f to %.0f: gene diversity, mean inbreeding, fish living.", t.from-1, math.Ceil(t.to)-1)
	return d.close(historyKeys(goal, outlook), expectation)
}

func goalOf(l *pedigree.Line) pedigree.Goal {
	if l == nil {
		return pedigree.Goal{}
	}
	return l.Goal
}

// timeline is panels under each other with one axis of years.
type timeline struct {
	d        *Drawing
	from, to float64
	now      float64
	top      float64 // of the first panel
}

const (
	axisRoom = 52.0
	endRoom  = 78.0
)

func (t *timeline) x(year float64) float64 {
	left, right := margin+axisRoom, t.d.Width-margin-endRoom
	return left + 14 + (year-t.from)/(t.to-t.from)*(right-left-28)
}

// panel is one quantity over the years.
type panel struct {
	name, means string
	height      float64
	points      []point // year, value
	outlook     []Expected
	goal        *float64
	goalWords   string
	bars        bool
	zero        bool    // the scale begins at 0
	top         float64 // the scale ends there at the most
	write       func(float64) string

	low, high, step float64
	base            float64 // of the drawing
}

func (t *timeline) panel(p panel) {
	p.scale()
	d := t.d
	box := d.write(point{margin, d.Height + 14}, p.name, word{size: textSize + 2, bold: true})
	d.write(point{box.x1 + 10, d.Height + 14}, p.means, word{size: textSize, colour: faint, room: d.Width - box.x1 - 10 - margin})
	d.Height += 30
	if t.top == 0 {
		t.top = d.Height
	}
	p.base = d.Height + p.height
	for i := 0; p.low+float64(i)*p.step <= p.high+p.step/1e6; i++ {
		v := p.low + float64(i)*p.step
		d.draw(polyline(point{margin + axisRoom, p.y(v)}, point{d.Width - margin - endRoom, p.y(v)}), look{stroke: rule, width: 0.8})
		d.write(point{margin + axisRoom - 8, p.y(v) + 3.5}, p.write(v), word{size: smallSize, anchor: end, colour: faint})
	}
	t.outlookBand(p)
	t.goalLine(p)
	if p.bars {
		t.drawBars(p)
	} else {
		t.drawLine(p)
	}
	d.Height = p.base + 22
}

func (p *panel) y(v float64) float64 {
	return p.base - (v-p.low)/(p.high-p.low)*p.height
}

// scale finds a round range that holds all there is to show.
func (p *panel) scale() {
	low, high := math.Inf(1), math.Inf(-1)
	see := func(v float64) { low, high = min(low, v), max(high, v) }
	for _, at := range p.points {
		see(at.y)
	}
	for _, e := range p.outlook {
		see(e.Low)
		see(e.High)
	}
	if p.goal != nil {
		see(*p.goal)
	}
	if p.zero || low > high {
		see(0)
	}
	if high-low < 0.02 {
		high = min(low+0.02, p.top)
		low = min(low, high-0.02)
	}
	raw := (high - low) / 4
	p.step = math.Pow10(int(math.Floor(math.Log10(raw))))
	for _, times := range []float64{2, 5, 10} {
		if p.step*times/raw <= 2.6 || p.step < raw {
			if p.step < raw {
				p.step *= times / map[float64]float64{2: 1, 5: 2, 10: 5}[times]
			}
		}
	}
	p.low = math.Floor(low/p.step+1e-9) * p.step
	p.high = min(math.Ceil(high/p.step-1e-9)*p.step, p.top)
}

// drawLine is the curve with a mark for each year; the last value is written.
func (t *timeline) drawLine(p panel) {
	if len(p.points) == 0 {
		return
	}
	var at []point
	for _, v := range p.points {
		at = append(at, point{t.x(v.x), p.y(v.y)})
	}
	t.d.draw(polyline(at...), look{stroke: wildFill, width: 2.4})
	for i := range at {
		paint := look{fill: wildFill, stroke: paper, width: 1}
		t.d.add(shape{path: circle(at[i], 4), look: paint, tip: fmt.Sprintf("%.0f: %s", math.Ceil(p.points[i].x)-1, p.write(p.points[i].y))})
	}
	last := len(at) - 1
	y := at[last].y + 4
	if p.goal != nil { // beside the name of the goal, not on it
		if goal := p.y(*p.goal) + 4; math.Abs(goal-y) < 14 {
			if y < goal {
				y = goal - 14
			} else {
				y = goal + 14
			}
		}
	}
	if len(p.outlook) == 0 {
		t.d.write(point{t.d.Width - margin - endRoom + 6, y}, p.write(p.points[last].y), word{size: textSize + 1, bold: true, colour: wildFill})
	}
}

func (t *timeline) drawBars(p panel) {
	width := min(26, 0.55*(t.x(t.from+1)-t.x(t.from)))
	for _, v := range p.points {
		x := t.x(v.x) - width/2
		t.d.draw(rectangle(x, p.y(v.y), width, p.base-p.y(v.y)), look{fill: bredFill, stroke: ink, width: 0.8})
		t.d.write(point{x + width/2, p.y(v.y) - 3}, p.write(v.y), word{size: smallSize, anchor: middle, halo: true})
	}
}

func (t *timeline) goalLine(p panel) {
	if p.goal == nil {
		return
	}
	y := p.y(*p.goal)
	t.d.draw(polyline(point{margin + axisRoom, y}, point{t.d.Width - margin - endRoom, y}), look{stroke: accent, width: 1.6, dash: []float64{7, 4}})
	t.d.write(point{t.d.Width - margin - endRoom + 6, y + 4}, p.goalWords, word{size: smallSize, bold: true, colour: accent, room: endRoom - 6})
}

// outlookBand is the likely range with its middle, from where the line ends.
func (t *timeline) outlookBand(p panel) {
	if len(p.outlook) == 0 || len(p.points) == 0 {
		return
	}
	last := p.points[len(p.points)-1]
	upper, lower, middleLine := []point{{t.x(last.x), p.y(last.y)}}, []point{}, []point{{t.x(last.x), p.y(last.y)}}
	for _, e := range p.outlook {
		x := t.x(e.When)
		upper = append(upper, point{x, p.y(e.High)})
		lower = append([]point{{x, p.y(e.Low)}}, lower...)
		middleLine = append(middleLine, point{x, p.y(e.Middle)})
	}
	t.d.draw(polygon(append(upper, lower...)...), look{fill: "#f3e3c4", stroke: boughtFill, width: 0.8})
	t.d.draw(polyline(middleLine...), look{stroke: "#8a5f10", width: 1.8, dash: []float64{2, 3}})
}

// yearNames writes the axis: the end of each year, with as many names as fit.
func (t *timeline) yearNames() {
	every := 1.0
	for every*(t.x(t.from+1)-t.x(t.from)) < 36 {
		every++
	}
	y := t.d.Height - 22
	for year := math.Ceil(t.from); year <= t.to+1e-9; year++ {
		x := t.x(year)
		t.d.draw(polyline(point{x, y}, point{x, y + 5}), look{stroke: faint, width: 1})
		if math.Mod(year-math.Ceil(t.from), every) == 0 {
			t.d.write(point{x, y + 15}, "end of", word{size: smallSize, anchor: middle, colour: faint})
			t.d.write(point{x, y + 28}, strconv.Itoa(int(year)-1), word{size: textSize, anchor: middle})
		}
	}
	if last := math.Floor(t.to + 1e-9); t.to == t.now && t.to-last > 0.01 && t.x(t.to)-t.x(last) > 34 {
		t.d.write(point{t.x(t.to), y + 28}, "now", word{size: textSize, anchor: middle, colour: faint})
	}
	t.d.Height += 18
}

func historyKeys(goal pedigree.Goal, o *Outlook) []key {
	keys := []key{{func(d *Drawing, at point) {
		d.draw(polyline(point{at.x - 14, at.y}, point{at.x + 14, at.y}), look{stroke: wildFill, width: 2.4})
		d.draw(circle(at, 4), look{fill: wildFill, stroke: paper, width: 1})
	}, "as the records have it"}}
	if goal.GeneDiversity != nil || goal.MaxInbreeding != nil {
		keys = append(keys, key{func(d *Drawing, at point) {
			d.draw(polyline(point{at.x - 14, at.y}, point{at.x + 14, at.y}), look{stroke: accent, width: 1.6, dash: []float64{7, 4}})
		}, "what the keeper wants to hold the line to"})
	}
	if len(o.Diversity)+len(o.Inbreeding) > 0 {
		words := o.Words
		if words == "" {
			words = "forecast: the likely range and its middle"
		}
		keys = append(keys, key{func(d *Drawing, at point) {
			d.draw(rectangle(at.x-14, at.y-7, 28, 14), look{fill: "#f3e3c4", stroke: boughtFill, width: 0.8})
			d.draw(polyline(point{at.x - 14, at.y}, point{at.x + 14, at.y}), look{stroke: "#8a5f10", width: 1.8, dash: []float64{2, 3}})
		}, words})
	}
	return keys
}
