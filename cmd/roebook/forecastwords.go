package main

import (
	"fmt"
	"strings"

	"roebook/genetics/forecast"
)

// inPercent writes a share with so many decimals at most: "90 %".
func inPercent(share float64, decimals int) string { return trimmed(100*share, decimals, 0) + " %" }

// onePlace writes a share for a column: "87.5 %".
func onePlace(share float64) string { return fixed(100*share, 1) + " %" }

// answer is what a keeper wants to know, in a few sentences.
func (a *forecastAnswer) answer() string { return strings.Join(a.paragraphs(), " ") }

// paragraphs are how the line goes on, and, where it was looked for, what keeps
// it to the goal.
func (a *forecastAnswer) paragraphs() []string {
	sentences := []string{a.standing(), a.atTheEnd()}
	if n := a.result.DiedOut; n > 0 {
		sentences = append(sentences, fmt.Sprintf("In %s the line dies out, for want of a male or of a female; the figures are of those in which it still lives.", a.ofRuns(n)))
	}
	paragraphs := []string{strings.TrimSpace(strings.Join(sentences, " "))}
	if a.ask.goal {
		paragraphs = append(paragraphs, a.fewestPairs()+" "+a.fewestNewWild())
	}
	return paragraphs
}

func (a *forecastAnswer) ofRuns(n int) string {
	switch n {
	case 0:
		return fmt.Sprintf("none of %d runs", a.ask.Replicates)
	case a.ask.Replicates:
		return fmt.Sprintf("all %d runs", n)
	}
	return fmt.Sprintf("%d of %d runs", n, a.ask.Replicates)
}

// variety names the level that is to be kept.
func (a *forecastAnswer) variety() string {
	words := inPercent(a.level, 2) + " of its founders' variety"
	if a.line.Goal.GeneDiversity != nil {
		words += " (its goal)"
	}
	return words
}

// terms says how the line is bred: "at 4 pairs a generation".
func terms(o forecast.Options) string {
	words := "at " + countWords(o.Pairs, "pair") + " a generation"
	if o.Pairs == 0 {
		words = fmt.Sprintf("as a colony of %d", o.Keep)
	}
	if o.Scheme == forecast.Rotate {
		words += fmt.Sprintf(" in a ring of %d groups", o.Groups)
	}
	if o.NewWild > 0 {
		words += " with " + newWild(o.NewWild, o.Every)
	}
	return words
}

// newWild is "2 new wild fish every 5 generations".
func newWild(n, every int) string {
	words := fmt.Sprintf("%d new wild fish every ", n)
	if every == 1 {
		return words + "generation"
	}
	return words + countWords(every, "generation")
}

// standing says when the line falls below its level.
func (a *forecastAnswer) standing() string {
	o, fall := a.ask.Options, a.result.Below(a.level)
	end := o.Generations
	switch held := a.ask.Replicates - fall.Runs; {
	case fall.Low == 0:
		return a.belowToday()
	case fall.Median <= end:
		return fmt.Sprintf("%s this line falls below %s in generation %d (%s).", capital(terms(o)), a.variety(), fall.Median, betweenRuns(fall, end))
	case held == a.ask.Replicates:
		return fmt.Sprintf("%s this line keeps %s for all %d generations, in %s.", capital(terms(o)), a.variety(), end, a.ofRuns(held))
	default:
		return fmt.Sprintf("%s this line keeps %s for all %d generations in %s, and falls below it sooner or later in the others.",
			capital(terms(o)), a.variety(), end, a.ofRuns(held))
	}
}

// betweenRuns says in which generations nine of ten runs fall.
func betweenRuns(fall forecast.Fall, end int) string {
	switch {
	case fall.High > end:
		return fmt.Sprintf("in 19 of 20 runs not before generation %d, in some not by generation %d", fall.Low, end)
	case fall.Low == fall.High:
		return "in 9 of 10 runs just then"
	}
	return fmt.Sprintf("in 9 of 10 runs between generations %d and %d", fall.Low, fall.High)
}

// belowToday says how a line goes on that is below its level as it stands.
func (a *forecastAnswer) belowToday() string {
	words := fmt.Sprintf("This line holds %s of its founders' variety today, which is less than %s already.",
		onePlace(a.result.Generations[0].GeneDiversity.Mean), strings.Replace(a.variety(), " of its founders' variety", "", 1))
	o := a.ask.Options
	if o.NewWild == 0 || o.Every > o.Generations {
		return words
	}
	held := int(a.result.Held(a.level, o.Every)*float64(o.Replicates) + 0.5)
	return words + fmt.Sprintf(" With %s, from generation %d, when the first come, it is kept at that in %s.", newWild(o.NewWild, o.Every), o.Every, a.ofRuns(held))
}

// atTheEnd says how the line stands in the last generation.
func (a *forecastAnswer) atTheEnd() string {
	last := a.result.Generations[len(a.result.Generations)-1]
	if last.Number == 0 {
		return ""
	}
	words := "In"
	if a.result.Below(a.level).Low == 0 && a.ask.NewWild == 0 {
		words = capital(terms(a.ask.Options)) + ", in"
	}
	return fmt.Sprintf("%s generation %d it holds %s (in 9 of 10 runs %s), and its fish are %s inbred on average.",
		words, last.Number, onePlace(last.GeneDiversity.Mean), bandWords(last.GeneDiversity), onePlace(last.Inbreeding.Mean))
}

func bandWords(b forecast.Band) string {
	low, high := fixed(100*b.Low, 1), fixed(100*b.High, 1)
	if low == high {
		return low + " %"
	}
	return low + "-" + high + " %"
}

// inMost is how surely a goal is kept that was looked for.
const inMost = "in at least 95 of 100 runs"

// fewestPairs says how many pairs keep to the goal without new blood.
func (a *forecastAnswer) fewestPairs() string {
	keeps := fmt.Sprintf("%s for %s", a.variety(), countWords(a.ask.Generations, "generation"))
	switch {
	case a.least != nil && a.ask.colony:
		return fmt.Sprintf("Without new blood, %d young kept a generation are the fewest that keep %s, %s.", a.least.Keep, keeps, inMost)
	case a.least != nil && a.ask.stated["keep"]:
		return fmt.Sprintf("Without new blood, %s a generation are the fewest that keep %s, %s.", countWords(a.least.Pairs, "pair"), keeps, inMost)
	case a.least != nil:
		return fmt.Sprintf("Without new blood, %s a generation, with %d young kept of each, are the fewest that keep %s, %s.",
			countWords(a.least.Pairs, "pair"), keptOfPair, keeps, inMost)
	case a.ask.colony:
		return fmt.Sprintf("Without new blood no colony of up to %d keeps %s.", forecast.MostTogether, keeps)
	case a.ask.stated["keep"]:
		return fmt.Sprintf("Without new blood no number of pairs that %d young can make up keeps %s.", a.ask.Keep, keeps)
	}
	return fmt.Sprintf("Without new blood no number of pairs up to %d keeps %s.", forecast.MostPairs, keeps)
}

// fewestNewWild says how many new wild fish do.
func (a *forecastAnswer) fewestNewWild() string {
	if len(a.wild) == 0 {
		words := fmt.Sprintf("%s, no number of new wild fish up to %d at a time does", capital(terms(a.ask.Options)), a.mostWild)
		if a.ask.colony {
			return words + "."
		}
		return words + "; the pairs can use no more."
	}
	best := a.wild[0]
	keep := "keep"
	if best.NewWild == 1 {
		keep = "keeps"
	}
	words := fmt.Sprintf("%s, %s %s it there", capital(terms(a.ask.Options)), newWild(best.NewWild, best.Every), keep)
	if best.From > 0 {
		words += fmt.Sprintf(" from generation %d on, when the first come", best.From)
	}
	if len(a.wild) > 1 {
		var others []string
		for _, stock := range a.wild[1:] {
			others = append(others, fmt.Sprintf("%d every %s", stock.NewWild, strings.TrimPrefix(newWild(1, stock.Every), "1 new wild fish every ")))
		}
		words += "; so do " + either(others)
	}
	return words + ", " + inMost + "."
}
