package main

import (
	"strconv"
	"strings"

	"roebook/io/records"
	"roebook/pedigree"
)

// recorded is what was written, or would be.
type recorded struct {
	*recorder
	deed    *deed
	changed []records.Changed
	after   *records.Draft
	fresh   []pedigree.Problem // that the change brings
	meaning *meaning
}

// refuse says which rules the change would break.
func (a *recorded) refuse() error {
	if a.json {
		p := a.env.page()
		document := a.document()
		for _, problem := range a.fresh {
			document.Problems = append(document.Problems, problemOf(problem))
		}
		if err := p.asJSON(document); err != nil {
			return err
		}
		if err := a.env.print(&p.Buffer); err != nil {
			return err
		}
	}
	p := a.env.page()
	for _, problem := range a.fresh {
		if problem.Severity == pedigree.Error {
			writeProblem(p, problem, records.IndexLines(a.after.File(problem.File)))
			p.blank()
		}
	}
	a.env.note("%s", strings.TrimRight(p.String(), "\n"))
	a.env.complain("nothing was written: the book cannot hold this")
	return statusError(saysNo)
}

func (a *recorded) print() error {
	p := a.env.page()
	if a.json {
		if err := p.asJSON(a.document()); err != nil {
			return err
		}
	} else {
		a.write(p)
	}
	if err := a.env.print(&p.Buffer); err != nil {
		return err
	}
	for _, problem := range a.fresh {
		words := "warning: " + problem.Message
		if problem.Hint != "" {
			words += "; " + problem.Hint
		}
		a.env.note("%s", strings.Join(wrap(words, a.env.width), "\n"))
	}
	return nil
}

func (a *recorded) write(p *page) {
	words := a.deed.words + "."
	if len(a.changed) == 0 {
		words += " The book says so already; nothing was written."
	} else if a.dryRun {
		words = "Not written: " + words
	}
	p.say("%s", words)
	for _, c := range a.changed {
		writeHunks(p, c.Path, c.Hunks)
	}
	for _, words := range a.meaning.words {
		p.say("%s", words)
	}
}

// writeHunks shows the lines of a file that change, with their numbers: before
// (-) and after (+).
func writeHunks(p *page, path string, hunks []records.Hunk) {
	p.asIs(2, path)
	const most = 12
	left := most
	for _, h := range hunks {
		for _, side := range []struct {
			mark  string
			first int
			lines []string
		}{{"-", h.OldFirst, h.Old}, {"+", h.First, h.New}} {
			for i, line := range side.lines {
				if left--; left < 0 {
					continue
				}
				writeLine(p, side.first+i, side.mark, line)
			}
		}
	}
	if left < 0 {
		p.asIs(7, "and "+countWords(-left, "line")+" more")
	}
}

// writeLine shows a line of a file as it is written; what is too long for the
// page goes on below.
func writeLine(p *page, number int, mark, line string) {
	text := strings.TrimLeft(line, " ")
	indent := strings.Repeat(" ", min(len(line)-len(text), 20))
	head := padded(strconv.Itoa(number), 5, true) + " " + mark + " " + indent
	for room := max(p.width-len(head)-2, 20); ; head = strings.Repeat(" ", 10) + indent {
		cut := cutAt(text, room)
		p.asIs(0, head+strings.TrimRight(text[:cut], " "))
		if text = text[cut:]; text == "" {
			return
		}
	}
}

// cutAt is where a text breaks that has so much room: behind the last space that
// fits.
func cutAt(text string, room int) int {
	columns, space := 0, 0
	for i, r := range text {
		if columns += columnsOf(string(r)); columns > room {
			if space == 0 {
				return i
			}
			return space
		}
		if r == ' ' {
			space = i + 1
		}
	}
	return len(text)
}

// recordedJSON is the answer of every command that writes.
type recordedJSON struct {
	File     string        `json:"file"`
	Lines    []int         `json:"lines"`
	ID       string        `json:"id"`
	DryRun   bool          `json:"dry_run"`
	Meaning  *meaningJSON  `json:"meaning"`
	Also     []alsoJSON    `json:"also,omitempty"`
	Problems []problemJSON `json:"problems"`
}

type alsoJSON struct {
	File  string `json:"file"`
	Lines []int  `json:"lines"`
}

// document gives the file of the record first, and other files beside it.
func (a *recorded) document() recordedJSON {
	d := recordedJSON{Lines: []int{}, ID: a.deed.id, DryRun: a.dryRun, Problems: []problemJSON{}}
	if a.deed.became != "" {
		d.ID = a.deed.became
	}
	if a.meaning != nil {
		d.Meaning = a.meaning.document()
		for _, problem := range a.fresh {
			d.Problems = append(d.Problems, problemOf(problem))
		}
	}
	home := ""
	if a.after.Book == nil { // nothing was read
	} else if s := a.after.Book.StockByID(d.ID); s != nil {
		home = s.Where.File
	} else if s := a.after.Book.SpawnByID(d.ID); s != nil {
		home = s.Where.File
	}
	for _, c := range a.changed {
		at := alsoJSON{c.Path, linesOf(c.Hunks)}
		if c.Path == home || d.File == "" && home == "" {
			d.File, d.Lines = at.File, at.Lines
		} else {
			d.Also = append(d.Also, at)
		}
	}
	return d
}

// linesOf is the first and last line that hold what is new.
func linesOf(hunks []records.Hunk) []int {
	if len(hunks) == 0 {
		return []int{}
	}
	last := hunks[len(hunks)-1]
	return []int{hunks[0].First, max(last.First+len(last.New)-1, hunks[0].First)}
}

// problemOf is a problem as `check` gives it.
func problemOf(p pedigree.Problem) problemJSON {
	out := problemJSON{p.File, p.Line, p.Column, p.Severity.String(), p.Rule, p.Message, p.Hint, []placeJSON{}}
	for _, place := range p.Places {
		out.Places = append(out.Places, placeJSON{place.File, place.Line, place.Column, place.Note})
	}
	return out
}
