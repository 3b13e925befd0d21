package records

import (
	"cmp"
	"slices"

	"roebook/pedigree"
)

// assembly joins what the files gave to one book.
type assembly struct {
	book       *pedigree.Book
	problems   []pedigree.Problem
	lines      map[string]*lineParts
	tanks      map[string]seenAs
	refs       [][]reference // of each file
	failed     []failedPart
	suspects   []suspect
	lineOfFile map[string]string // as far as the file says it
	hasBook    bool
}

// lineParts is a line as far as the files read say it.
type lineParts struct {
	draft lineDraft
	keys  map[string]seenAs // header keys that are stated
	loci  map[string]seenAs
	tanks map[string]bool
}

// seenAs is where something stands first, and with what content.
type seenAs struct {
	at    pedigree.Position
	canon string
}

// failedPart is text that could not be read; ids that stand in it may well be
// defined there.
type failedPart struct {
	problem int // in assembly.problems
	text    string
	unread  bool // no text at all is known
}

func newAssembly(unread []pedigree.Problem) *assembly {
	a := &assembly{book: &pedigree.Book{}, lines: map[string]*lineParts{}, tanks: map[string]seenAs{}, lineOfFile: map[string]string{}}
	for _, p := range unread {
		a.unread(p)
	}
	return a
}

// room makes room for all that the files gave.
func (a *assembly) room(files [][]decoded) {
	stock, spawns := 0, 0
	for _, parts := range files {
		for i := range parts {
			stock, spawns = stock+len(parts[i].stock), spawns+len(parts[i].spawns)
		}
	}
	a.book.Stock = make([]*pedigree.Stock, 0, stock)
	a.book.Spawns = make([]*pedigree.Spawn, 0, spawns)
}

// unread takes in the problem of a file of which nothing could be read.
func (a *assembly) unread(p pedigree.Problem) {
	if p.Severity == pedigree.Error {
		a.failed = append(a.failed, failedPart{problem: len(a.problems), unread: true})
		p.Lines, p.RecordsLost = []string{pedigree.EveryLine}, true
	}
	a.problems = append(a.problems, p)
}

func (a *assembly) warn(file, rule, hint, message string) {
	a.problems = append(a.problems, pedigree.Problem{
		Position: pedigree.Position{File: file, Line: 1, Column: 1, Width: 1},
		Severity: pedigree.Warning, Rule: rule, Message: message, Hint: hint,
	})
}

// fileContent is all that the pieces of one file gave, in the order written.
type fileContent struct {
	decoded
	src  *source
	line string
}

// add takes the pieces of one file into the book.
func (a *assembly) add(src *source, parts []decoded) {
	f := &fileContent{src: src, decoded: joined(parts)}
	f.suspects = slices.Clip(f.suspects)
	a.lineOfFile[src.name] = f.statedLine()
	a.fail(f)
	f.dropDoubles()
	f.joinMisplaced()
	if src.name == BookFile {
		a.addBook(f)
	} else {
		a.addRecords(f)
	}
	a.problems = append(a.problems, f.problems...)
	a.refs = append(a.refs, f.refs)
	a.suspects = append(a.suspects, f.suspects...)
}

// statedLine returns the line that the file names, "" where that cannot be read.
func (f *fileContent) statedLine() string {
	for _, e := range f.tops {
		if e.key == "line" && e.value.kind == scalar {
			return e.value.text
		}
	}
	return ""
}

// fail tells what could not be read.
func (a *assembly) fail(f *fileContent) {
	told := map[span]bool{}
	r := &reader{file: f.src.name}
	tell := func(at issue, id string) {
		told[at.span] = true
		r.taints = nil
		if id != "" {
			r.taints = []string{id}
		}
		r.problem(r.position(at.span), at.rule, at.hint, "%s", at.message)
	}
	for _, x := range f.failures {
		a.failed = append(a.failed, failedPart{problem: len(a.problems) + len(r.problems), text: f.src.part(x.lines.from, x.lines.to)})
		tell(x.issue, x.record)
		section := ""
		if x.lines.section != nil {
			section = x.lines.section.name
		}
		f.suspects = append(f.suspects, suspectText(r.position(x.span), section, f.src.part(x.lines.from, x.lines.to)))
	}
	for _, flaw := range f.src.flaws {
		if !told[flaw.span] {
			tell(flaw.issue, "")
			f.suspects = append(f.suspects, suspect{at: r.position(flaw.span), may: lineLost | recordsLost})
		}
	}
	a.problems = append(a.problems, r.problems...)
}

// brokenTop reports whether part of the file outside of the records failed.
func (f *fileContent) brokenTop() bool {
	return slices.ContainsFunc(f.failures, func(x failure) bool { return x.lines.section == nil })
}

// dropDoubles tells keys that stand twice at the top level of a file, or in its
// tanks and loci.
func (f *fileContent) dropDoubles() {
	r := &reader{file: f.src.name}
	first := map[string]span{}
	f.tops = slices.DeleteFunc(f.tops, func(e entry) bool {
		before := len(r.problems)
		seen := r.seenBefore(first, e.key, e.at)
		if len(r.problems) > before && f.src.name != BookFile {
			f.suspectKey(&e, &r.problems[before])
		}
		return seen
	})
	first = map[string]span{}
	f.tanks = slices.DeleteFunc(f.tanks, func(t named[pedigree.Tank]) bool { return r.seenBefore(first, t.value.ID, t.at) })
	first = map[string]span{}
	f.loci = slices.DeleteFunc(f.loci, func(l named[pedigree.Locus]) bool { return r.seenBefore(first, l.value.Name, l.at) })
	f.problems = append(f.problems, r.problems...)
}

func (r *reader) seenBefore(first map[string]span, key string, at span) bool {
	if before, ok := first[key]; ok {
		if before != at { // else one section, read in several pieces
			r.duplicateKey(key, before, at)
		}
		return true
	}
	first[key] = at
	return false
}

// addBook reads roebook.yaml.
func (a *assembly) addBook(f *fileContent) {
	a.hasBook = true
	r := &reader{file: f.src.name, where: &a.book.Where}
	a.book.Where.Position = r.position(span{1, 1, 1})
	c := cell{r: r, n: &node{kind: mapping, entries: f.tops}}
	if at := c.n.get("book"); at != nil {
		a.book.Where.Position = r.position(f.keyOf("book"))
	}
	readFields(c, bookFields, a.book)
	a.book.Where.SortKeys()
	if stated := c.n.get("book"); !f.brokenTop() && (stated == nil || stated.kind == scalar && a.book.Name == "") {
		r.problem(a.book.Where.Position, "missing-book", "write `book: NAME`", "this file does not say `book`, the name of the book")
	}
	f.suspectRecords(r)
	f.problems = append(f.problems, r.problems...)
}

func (f *fileContent) keyOf(key string) span {
	for _, e := range f.tops {
		if e.key == key {
			return e.at
		}
	}
	return span{1, 1, 1}
}

// addRecords takes a record file into the book.
func (a *assembly) addRecords(f *fileContent) {
	if len(f.tops) == 0 && len(f.failures) == 0 && len(f.src.flaws) == 0 && len(f.problems) == 0 && len(f.stock)+len(f.spawns) == 0 {
		a.warn(f.src.name, "empty-file", "fill it or delete it", "this file holds no records")
		return
	}
	a.addHeader(f)
	for _, s := range f.stock {
		if s.Line != f.line { // records of a [Sheet] may be in use elsewhere
			s.Line = f.line
		}
	}
	for _, s := range f.spawns {
		if s.Line != f.line {
			s.Line = f.line
		}
	}
	a.book.Stock = append(a.book.Stock, f.stock...)
	a.book.Spawns = append(a.book.Spawns, f.spawns...)
}

// ids returns the ids of all records of the file.
func (f *fileContent) ids() []string {
	var out []string
	for _, s := range f.stock {
		out = append(out, s.ID)
	}
	for _, s := range f.spawns {
		out = append(out, s.ID)
	}
	return out
}

// addHeader reads the header of a record file into its line.
func (a *assembly) addHeader(f *fileContent) {
	name := &node{}
	header := &node{kind: mapping}
	for _, e := range f.tops {
		if e.key == "line" {
			name, f.line = &e.value, e.value.text
		}
		if !sectionNames[e.key] {
			header.entries = append(header.entries, e)
		}
	}
	parts := a.lines[f.line]
	if parts == nil {
		parts = &lineParts{keys: map[string]seenAs{}, loci: map[string]seenAs{}, tanks: map[string]bool{}}
		parts.draft.Where.Position = pedigree.Position{File: f.src.name, Line: f.keyOf("line").line, Column: f.keyOf("line").col, Width: len("line")}
		if f.line != "" {
			a.lines[f.line] = parts
		}
	}
	r := &reader{file: f.src.name, where: &parts.draft.Where}
	header.entries = slices.DeleteFunc(header.entries, func(e entry) bool { return parts.stated(r, e) })
	readFields(cell{r: r, n: header}, lineFields, &parts.draft)
	parts.draft.Where.SortKeys()
	f.suspectHeader(f.tops, r.problems)
	if f.line == "" && !f.brokenTop() && (name.kind == scalar || f.keyOf("line") == (span{1, 1, 1}) && name.line == 0) {
		r.taints = f.ids()
		p := r.problem(r.position(f.firstKey()), "missing-line", "write `line: NAME` at the top", "this file does not say which `line` its records belong to")
		p.KeepsSources, p.RecordsLost, p.Lines = true, true, []string{pedigree.EveryLine}
	}
	a.addTanks(f, r, parts)
	a.addLoci(f, r, parts)
	f.problems = append(f.problems, r.problems...)
	f.refs = append(f.refs, r.refs...)
}

func (f *fileContent) firstKey() span {
	if len(f.tops) > 0 {
		return f.tops[0].at
	}
	return span{1, 1, 1}
}

// stated reports whether an earlier file states the header key, and tells where
// it says something else.
func (l *lineParts) stated(r *reader, e entry) bool {
	c := cell{r: r, name: e.key, n: &e.value, keyAt: e.at}
	first, ok := l.keys[e.key]
	if !ok {
		l.keys[e.key] = seenAs{c.at(), e.value.canon()}
		return false
	}
	if first.canon != e.value.canon() {
		p := c.problem("line-differs", "let one file say it, or all the same", "%s of this line is %s here and %s in another file", quote(e.key), quote(e.value.canon()), quote(first.canon))
		p.Places = []pedigree.Place{{Position: first.at, Note: "stated here first"}}
	}
	return true
}

func (a *assembly) addTanks(f *fileContent, r *reader, parts *lineParts) {
	r.taints = nil
	for _, t := range f.tanks {
		first, ok := a.tanks[t.value.ID]
		if !ok {
			a.tanks[t.value.ID] = seenAs{t.value.Where.Position, t.canon}
		} else if first.canon != t.canon {
			r.differs("tank-differs", "tank", t.value.ID, t.at, first)
		}
		if !parts.tanks[t.value.ID] {
			parts.tanks[t.value.ID] = true
			parts.draft.Tanks = append(parts.draft.Tanks, t.value)
		}
	}
}

func (a *assembly) addLoci(f *fileContent, r *reader, parts *lineParts) {
	for _, l := range f.loci {
		first, ok := parts.loci[l.value.Name]
		if ok {
			if first.canon != l.canon {
				r.differs("locus-differs", "locus", l.value.Name, l.at, first)
			}
			continue
		}
		parts.loci[l.value.Name] = seenAs{l.value.Where.Position, l.canon}
		parts.draft.Loci = append(parts.draft.Loci, l.value)
	}
}

func (r *reader) differs(rule, what, name string, at span, first seenAs) {
	p := r.problem(r.position(at), rule, "let one place say it, or both the same", "the %s %s is described in two ways", what, quote(name))
	p.Places = []pedigree.Place{{Position: first.at, Note: "described here first"}}
}

// finish arranges the book and makes the checks across files.
func (a *assembly) finish() (*pedigree.Book, []pedigree.Problem) {
	for name, parts := range a.lines {
		line := parts.draft.Line
		line.Name = name
		slices.SortFunc(line.Tanks, func(x, y pedigree.Tank) int { return cmp.Compare(x.ID, y.ID) })
		sortLoci(line.Loci)
		a.book.Lines = append(a.book.Lines, &line)
	}
	if !a.hasBook {
		a.problems = append(a.problems, pedigree.Problem{
			Position: pedigree.Position{File: BookFile, Line: 1, Column: 1, Width: 1},
			Rule:     "missing-book", Message: "there is no " + BookFile, Hint: "make one that says `book: NAME`",
		})
	}
	a.book.Arrange()
	a.checkIDs()
	a.checkLookAlikes()
	a.checkReferences()
	a.touch()
	a.loseUnknown()
	return a.book, pedigree.SortProblems(a.problems)
}
