package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"roebook/genetics"
	"roebook/pedigree"
)

// part is a share of a whole, as a founder's of some genes.
type part struct {
	id     string
	words  string
	origin origin
	share  float64
}

// FoundersOf draws the founder shares of a fish, a lot or a spawn's young: whose
// genes it has. The id must be one of the book's.
func FoundersOf(state *genetics.State, id string) *Drawing {
	line := ""
	if s := state.Model().Book().StockByID(id); s != nil {
		line = s.Line
	} else if s := state.Model().Book().SpawnByID(id); s != nil {
		line = s.Line
	}
	return founders(state, "Whose genes "+id+" has", line, state.Founders(id))
}

// FoundersOfLine draws the founder shares of the living fish of a line.
func FoundersOfLine(state *genetics.State, line string) *Drawing {
	return founders(state, "Whose genes "+lineTitle(state, line)+" has", line, state.FoundersOfLiving(state.Living(line)))
}

const (
	mostFounders = 24
	barWidth     = 760.0
)

func founders(state *genetics.State, title, line string, shares []genetics.Share) *Drawing {
	parts := founderParts(state.Model().Book(), shares)
	d := begin(state.Date(), barWidth, title, place(state.Model().Book().LineNamed(line)),
		fmt.Sprintf("As of %s. Shares expected from the records, of all genes; together 100 %%.", state.Date()))
	d.Description = "Shares of the genes by founder, greatest first: " + wildOr(state.Model().Book(), "wild-caught, then bought, then unknown.", "founders, then unknown.")
	if len(parts) == 0 {
		return d.nothing(noFish)
	}
	texts := inTenths(parts)
	d.stackedBar(parts, texts)
	d.founderRows(parts, texts)
	return d.close(originKeys(state.Model().Book(), parts), expectation)
}

// founderParts are the founders, wild-caught ones first, and what comes of
// parents that the book does not know.
func founderParts(book *pedigree.Book, shares []genetics.Share) []part {
	var parts []part
	rest := 1.0
	for _, share := range shares {
		s := book.StockByID(share.ID)
		if s == nil {
			continue
		}
		rest -= share.Share
		parts = append(parts, part{share.ID, founderWords(book, s), originOf(book, s), share.Share})
	}
	if len(shares) == 0 {
		return nil
	}
	if len(parts) > mostFounders {
		slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.share, a.share) })
		few := part{words: counted(len(parts)-mostFounders+1, "further founder"), origin: bred}
		for _, p := range parts[mostFounders-1:] {
			few.share += p.share
		}
		parts = append(parts[:mostFounders-1], few)
	}
	if rest > 1e-9 {
		parts = append(parts, part{"unknown", "parents that the book does not know", unknown, rest})
	}
	slices.SortStableFunc(parts, func(a, b part) int {
		return cmp.Or(cmp.Compare(rank(a.origin), rank(b.origin)), cmp.Compare(b.share, a.share))
	})
	return parts
}

func rank(o origin) int { return [...]int{2, 0, 1, 3}[o] }

// founderWords says where a founder came from.
func founderWords(book *pedigree.Book, s *pedigree.Stock) string {
	words := ""
	if lot := book.Beginning(s); lot != s {
		words, s = "out of "+lot.ID+"; ", lot
	}
	switch {
	case book.Table:
		words = known("born", book.BornOn(s))
	case s.Wild != nil:
		words += known("wild-caught", s.Wild.Date)
		if s.Wild.Site != "" {
			words += ", " + s.Wild.Site
		}
	case s.Bought != nil:
		words += known("bought", s.Bought.Date)
		if s.Bought.From != "" {
			words += " from " + s.Bought.From
		}
	}
	return strings.TrimSuffix(words, "; ")
}

// inTenths writes shares in tenths of a percent that add up to 100 %: those with
// the greatest remainders give way.
func inTenths(parts []part) []string {
	units, order, left := make([]int, len(parts)), make([]int, len(parts)), 1000
	for i, p := range parts {
		units[i] = int(math.Floor(1000*p.share + 1e-9))
		left -= units[i]
		order[i] = i
	}
	remainder := func(i int) float64 { return 1000*parts[i].share - float64(units[i]) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(remainder(b), remainder(a)) })
	for i := 0; i < left && i < len(order); i++ {
		units[order[i]]++
	}
	texts := make([]string, len(parts))
	for i, u := range units {
		texts[i] = fmt.Sprintf("%d.%d %%", u/10, u%10)
		if u == 0 {
			texts[i] = "under 0.1 %"
		}
	}
	return texts
}

// stackedBar is the whole as one bar; its pieces bear the numbers of the rows.
func (d *Drawing) stackedBar(parts []part, texts []string) {
	const height = 46.0
	whole := d.Width - 2*margin
	x := margin
	for i, p := range parts {
		w := p.share * whole
		d.add(shape{path: rectangle(x, d.Height, w, height), look: look{fill: p.origin.fill(), stroke: ink, width: 0.8}, tip: p.id + ": " + texts[i]})
		if p.origin == unknown {
			d.draw(hatched(x, d.Height, w, height, 7), look{stroke: faint, width: 0.8})
		}
		number := fmt.Sprint(i + 1)
		if w > 16 {
			at := point{x + w/2, d.Height + height/2 + 4}
			if p.origin == unknown {
				d.draw(circle(point{at.x, at.y - 4}, 9), look{fill: paper})
			}
			d.write(at, number, word{size: textSize + 1, bold: true, anchor: middle, colour: p.origin.on()})
		}
		x += w
	}
	d.Height += height + 20
}

// founderRows list the pieces, each with a bar of its own and in words.
func (d *Drawing) founderRows(parts []part, texts []string) {
	const bar, barRoom = 190.0, 160.0
	most := 0.0
	for _, p := range parts {
		most = max(most, p.share)
	}
	for i, p := range parts {
		y := d.Height + 12
		d.write(point{margin + 16, y}, fmt.Sprint(i+1), word{size: textSize, anchor: end, colour: faint})
		d.write(point{margin + 24, y}, p.id, word{size: textSize + 0.5, bold: true, room: 90})
		d.write(point{margin + 178, y}, texts[i], word{size: textSize + 0.5, anchor: end})
		w := p.share / most * barRoom
		d.draw(rectangle(margin+bar, y-10, w, 12), look{fill: p.origin.fill(), stroke: ink, width: 0.8})
		if p.origin == unknown {
			d.draw(hatched(margin+bar, y-10, w, 12, 7), look{stroke: faint, width: 0.8})
		}
		d.write(point{margin + bar + barRoom + 14, y}, p.words, word{size: textSize, room: d.Width - 2*margin - bar - barRoom - 14})
		d.Height += 22
	}
}

func originKeys(book *pedigree.Book, parts []part) []key {
	used := map[origin]bool{}
	for _, p := range parts {
		used[p.origin] = true
	}
	var keys []key
	if used[wild] {
		keys = append(keys, key{sampleSwatch(wildFill), wildOr(book, "caught in the wild", aFounder)})
	}
	if used[bought] {
		keys = append(keys, key{sampleSwatch(boughtFill), "bought, by the seller's word"})
	}
	if used[unknown] {
		keys = append(keys, key{func(d *Drawing, at point) {
			sampleSwatch(unknownFill)(d, at)
			d.draw(hatched(at.x-12, at.y-6, 24, 12, 7), look{stroke: faint, width: 0.8})
		}, "not known"})
	}
	return keys
}
