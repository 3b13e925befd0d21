package main

import (
	"errors"
	"os"
	"os/user"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"roebook/io/journal"
	"roebook/io/records"
	"roebook/pedigree"
)

// lockWait is how long a command waits for another that writes the book.
const lockWait = 10 * time.Second

// holder says who is writing, for others who want to.
func (env *environment) holder() journal.Holder {
	h := journal.Holder{PID: os.Getpid(), Since: env.now(), Host: "this computer", User: "somebody"}
	if name, err := os.Hostname(); err == nil {
		h.Host = name
	}
	if who, err := user.Current(); err == nil {
		h.User = who.Username
	}
	return h
}

// noteAll says what was found half done.
func (env *environment) noteAll(told []string) {
	for _, words := range told {
		env.note("%s", words)
	}
}

// recorder is a command that writes into the book.
type recorder struct {
	source
	date   string
	dryRun bool
}

func newRecorder(env *environment) *recorder { return &recorder{source: source{env: env}} }

// flags adds the flags that every command has that writes; dated: also the day.
func (r *recorder) flags(cmd *cobra.Command, dated bool) {
	flags := cmd.Flags()
	flags.StringVar(&r.book, "book", "", "the book's `folder` (otherwise the nearest one upwards that holds roebook.yaml)")
	if dated {
		flags.StringVar(&r.date, "date", "today", "the `day` it happened: today, yesterday, or as 2024-03-05")
		r.offerFor(cmd, "date", func(*completer) []string { return []string{"today", "yesterday"} })
	}
	flags.BoolVar(&r.dryRun, "dry-run", false, "show what would be written, and write nothing")
	flags.BoolVar(&r.json, "json", false, "answer as one JSON document")
	flags.BoolVar(&r.noCache, "no-cache", false, "read every file anew, without the snapshots in your cache folder")
}

func (r *recorder) today() pedigree.Date { return pedigree.DateOf(r.env.now()) }

// on reads a day as it is given on the command line.
func (r *recorder) on(flag, text string) (pedigree.Date, error) {
	switch text {
	case "today":
		return r.today(), nil
	case "yesterday":
		return r.today().AddDays(-1), nil
	}
	date, err := pedigree.ParseDate(text)
	if err != nil {
		return 0, usageError("--%s: %s", flag, err)
	}
	return date, nil
}

func (r *recorder) day() (pedigree.Date, error) { return r.on("date", r.date) }

// deed is what a command is to write.
type deed struct {
	id    string // of the record that it is about
	words string // what is done, as a sentence without its full stop
	edits []records.Edit
	// mean adds to what the change means, in words and numbers.
	mean func(m *meaning)
	// became is the new id of a record that is renamed.
	became string
}

// run makes a plan for the book as it is, and writes it: all of it, or nothing
// where a rule is broken by it that was not before. A file that was changed by
// another hand while the plan was made is read again, and the plan made anew.
func (r *recorder) run(make func(book *pedigree.Book) (*deed, error)) error {
	dir, err := r.folder()
	if err != nil {
		return err
	}
	for tries := 1; ; tries++ {
		err := r.once(dir, make)
		if !errors.Is(err, journal.ErrChanged) || tries == 5 {
			return err
		}
	}
}

// once is one try of run.
func (r *recorder) once(dir string, make func(book *pedigree.Book) (*deed, error)) (err error) {
	var j *journal.Journal
	var draft *records.Draft
	if r.dryRun {
		var told []string
		told, err = journal.Read(dir, r.env.holder(), lockWait, func() (err error) {
			draft, err = records.ReadDraft(dir, r.cacheOptions())
			return err
		})
		r.env.noteAll(told)
	} else {
		if j, err = journal.Open(dir, r.env.holder(), lockWait); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, j.Close()) }()
		r.env.noteAll(j.Told)
		draft, err = records.ReadDraft(dir, r.cacheOptions())
	}
	if err != nil {
		return err
	}
	p, err := make(draft.Book)
	if err != nil {
		return err
	}
	after, changed, err := draft.Edit(p.edits...)
	if err != nil {
		return usageError("%s; nothing was written", err)
	}
	answer := &recorded{recorder: r, deed: p, changed: changed, after: after}
	old := pedigree.SortProblems(append(draft.Problems, r.env.check(draft.Book, r.today())...))
	problems := pedigree.SortProblems(append(after.Problems, r.env.check(after.Book, r.today())...))
	answer.fresh = freshProblems(old, problems, p)
	if count, _ := tally(answer.fresh); count > 0 {
		return answer.refuse()
	}
	if answer.meaning, err = r.meaning(p, draft.Book, old, after.Book, problems); err != nil {
		return err
	}
	if p.became != "" {
		answer.meaning.words = append(answer.meaning.words, mentions(after, p.id)...)
	}
	if !r.dryRun {
		entry := journal.Entry{Words: p.words, ID: p.id, At: r.env.now()}
		for _, c := range changed {
			entry.Changes = append(entry.Changes, journal.Change{Path: c.Path, Old: c.Old, New: c.New})
		}
		if err := j.Commit(entry); err != nil {
			return err
		}
	}
	return answer.print()
}

// mentions says where an id that is no more still stands, in remarks and comments.
func mentions(draft *records.Draft, id string) []string {
	var places []string
	for _, at := range draft.Mentions(id) {
		places = append(places, at.File+":"+strconv.Itoa(at.Line))
	}
	if len(places) == 0 {
		return nil
	}
	return []string{"Remarks and comments that still say " + id + ": " + some(places, 6) + "."}
}

// freshProblems are those that were not there before, wherever they stand, and
// with whatever numbers in their words: an error of the same rule about the same
// records is no new one.
func freshProblems(before, after []pedigree.Problem, p *deed) []pedigree.Problem {
	key := func(problem pedigree.Problem) string {
		text := problem.Rule + " " + problem.Message
		if problem.Severity == pedigree.Error && len(problem.Records) > 0 {
			text = problem.Rule + " " + strings.Join(problem.Records, " ")
		}
		if p.became != "" {
			text = strings.ReplaceAll(text, p.became, p.id)
		}
		return text
	}
	seen := map[string]int{}
	for _, problem := range before {
		seen[key(problem)]++
	}
	return slices.DeleteFunc(slices.Clone(after), func(problem pedigree.Problem) bool {
		seen[key(problem)]--
		return seen[key(problem)] >= 0
	})
}

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
	if a.dryRun {
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
	d := recordedJSON{ID: a.deed.id, DryRun: a.dryRun, Problems: []problemJSON{}}
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
