package records

import (
	"bytes"
	"fmt"
	"strings"
)

// joinDoc is one version of a file, taken apart into the lines of its entries.
type joinDoc struct {
	*doc
	text              string // lines end with \n alone, the last one too
	mark, crlf, noEnd bool   // a byte order mark, \r\n for line ends, no line end at the end
	root              *region
}

// region is entries that stand below each other on lines of their own: the keys
// of a file, the records of a section, the keys of a record, the items of a list.
type region struct {
	d        *joinDoc
	units    []unit
	index    map[string]int // of units by key
	indent   int
	from, to int
}

// unit is the lines of one entry. The lines above it that belong to no other,
// comments and blank ones, are its lead.
type unit struct {
	d              *joinDoc
	key            string // "" for an item
	lead, from, to int
	indent         int
	n              *node
	value          *part      // nil for a section whose records are cut apart
	e              *partEntry // nil for those, and for items
	inner          *region    // nil where the value is not on lines of its own
	head           int        // where the inner region begins
}

func newJoinDoc(f File) (*joinDoc, error) {
	j := &joinDoc{}
	text := f.Text
	if j.mark = bytes.HasPrefix(text, []byte(byteOrderMark)); j.mark {
		text = text[len(byteOrderMark):]
	}
	if ends := bytes.Count(text, []byte("\r\n")); ends > 0 || bytes.IndexByte(text, '\r') >= 0 {
		if ends != bytes.Count(text, []byte("\n")) || ends != bytes.Count(text, []byte("\r")) {
			return nil, fmt.Errorf("%s: some lines end as on Windows and others do not", f.Path)
		}
		j.crlf = true
		text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	}
	j.text = string(text)
	if j.noEnd = len(text) > 0 && text[len(text)-1] != '\n'; j.noEnd {
		j.text += "\n"
	}
	j.doc = newDoc(File{f.Path, []byte(j.text)})
	if flaws := j.src.flaws; len(flaws) > 0 {
		return nil, j.cannot(flaws[0].line, flaws[0].message)
	}
	if len(j.src.text) != len(j.text) {
		return nil, fmt.Errorf("%s: the text holds what cannot be taken apart", f.Path)
	}
	return j, j.build()
}

// build takes the file apart.
func (j *joinDoc) build() error {
	j.root = &region{d: j, to: len(j.text)}
	var last *section
	for i := range j.pieces {
		p, err := j.piece(i)
		if err != nil {
			return err
		}
		if p.section == nil {
			last = nil
			for k := range p.entries {
				if err := j.root.addEntry(&p.entries[k]); err != nil {
					return err
				}
			}
			continue
		}
		if p.section != last {
			last = p.section
			from := j.src.start[last.at.line-1]
			head := lineEnd(j.text, from) + 1
			j.root.units = append(j.root.units, unit{d: j, key: last.name, from: from, head: head,
				n: &node{kind: mapping}, inner: &region{d: j, indent: -1, from: head}})
		}
		u := &j.root.units[len(j.root.units)-1]
		for k := range p.entries {
			if err := u.inner.addEntry(&p.entries[k]); err != nil {
				return err
			}
			u.n.entries = append(u.n.entries, entry{key: p.entries[k].key, value: *p.entries[k].value.n})
			u.to = u.inner.units[len(u.inner.units)-1].to
		}
	}
	return j.root.settle()
}

// addEntry adds the lines of an entry.
func (r *region) addEntry(e *partEntry) error {
	u := unit{d: r.d, key: e.key, value: &e.value, n: e.value.n, e: e}
	return r.add(u, e.from, e.to)
}

func (r *region) add(u unit, from, keyEnd int) error {
	text := r.d.text
	u.from = lineStart(text, from)
	u.indent = from - u.from
	if strings.Trim(text[u.from:from], " ") != "" || len(r.units) > 0 && u.from < r.units[len(r.units)-1].to {
		return r.d.cannot(r.d.src.lineAt(from), "several entries stand on one line, not in brackets")
	}
	u.to = r.d.below(u.value.to, u.indent)
	u.head = lineEnd(text, keyEnd) + 1
	u.inner = r.d.inner(&u)
	r.units = append(r.units, u)
	return nil
}

// below is where the lines of an entry end, with comments that are moved in
// further.
func (j *joinDoc) below(to, indent int) int {
	return min((&pen{doc: j.doc}).endOf(to, indent)+1, len(j.text))
}

// inner takes the value of an entry apart, nil where it does not stand on lines
// of its own.
func (j *joinDoc) inner(u *unit) *region {
	p := u.value
	if p.flow || len(p.entries)+len(p.items) == 0 || p.from < u.head {
		return nil
	}
	r := &region{d: j, from: u.head, to: u.to}
	for i := range p.entries {
		if r.addEntry(&p.entries[i]) != nil {
			return nil
		}
	}
	for i := range p.items {
		item := &p.items[i]
		if r.add(unit{d: j, value: item, n: item.n}, item.dash, item.dash) != nil {
			return nil
		}
	}
	if r.settle() != nil {
		return nil
	}
	return r
}

// settle finds the lead of every entry and the end of the region's last section,
// and tells keys that stand twice.
func (r *region) settle() error {
	at := r.from
	r.index = make(map[string]int, len(r.units))
	for i := range r.units {
		u := &r.units[i]
		u.lead, at = at, u.to
		if _, twice := r.index[u.key]; twice && u.key != "" {
			return r.d.cannot(r.d.src.lineAt(u.from), quote(u.key)+" stands here for the second time")
		}
		r.index[u.key] = i
		if u.value == nil { // a section
			u.to = r.d.below(u.to-1, 0)
			at, u.inner.to = u.to, u.to
			if err := u.inner.settle(); err != nil {
				return err
			}
		}
		if i == 0 {
			r.indent = u.indent
		}
	}
	return nil
}

func (j *joinDoc) rootNode() *node {
	out := &node{kind: mapping}
	for i := range j.root.units {
		out.entries = append(out.entries, entry{key: j.root.units[i].key, value: *j.root.units[i].n})
	}
	return out
}

// unit finds an entry by its key, nil where there is none.
func (r *region) unit(key string) *unit {
	if r == nil {
		return nil
	}
	i, ok := r.index[key]
	if !ok {
		return nil
	}
	return &r.units[i]
}

func (u *unit) body() string     { return u.d.text[u.from:u.to] }
func (u *unit) leadText() string { return u.d.text[u.lead:u.from] }

// tail is what stands below the last entry of the region.
func (r *region) tail() string {
	from := r.from
	if n := len(r.units); n > 0 {
		from = r.units[n-1].to
	}
	return r.d.text[from:max(r.to, from)]
}

// recordUnit is a record of a section on lines of its own.
type recordUnit struct {
	section string
	*unit
}

func (j *joinDoc) records() []recordUnit {
	var list []recordUnit
	for i := range j.root.units {
		u := &j.root.units[i]
		if sectionNames[u.key] && u.inner != nil {
			for k := range u.inner.units {
				list = append(list, recordUnit{u.key, &u.inner.units[k]})
			}
		}
	}
	return list
}

// record finds the lines of a record, nil where it has none of its own.
func (j *joinDoc) record(section, id string) *unit {
	if s := j.root.unit(section); s != nil {
		return s.inner.unit(id)
	}
	return nil
}

// isAt reports whether a line, counted from 0, is of what a conflict is about.
func (j *joinDoc) isAt(line int, c Conflict) bool {
	at := len(j.text)
	if line < j.src.lines() {
		at = j.src.start[line]
	}
	top, _, _ := strings.Cut(c.Key, ".")
	u := j.root.unit(top)
	if c.ID != "" {
		u = j.record(c.Section, c.ID)
	}
	return u != nil && u.lead <= at && at < u.to
}

// commentsOf lists the comments within and above an entry.
func commentsOf(u *unit) []string {
	if u == nil {
		return nil
	}
	masked := []byte(u.d.text[u.lead:u.to])
	var mask func(p *part)
	cover := func(from, to int) {
		for i := from - u.lead; i < to-u.lead && i < len(masked); i++ {
			masked[i] = 'x'
		}
	}
	mask = func(p *part) {
		if len(p.entries)+len(p.items) == 0 && !p.flow {
			cover(p.from, p.to)
		}
		for i := range p.entries {
			cover(p.entries[i].from, p.entries[i].to)
			mask(&p.entries[i].value)
		}
		for i := range p.items {
			mask(&p.items[i])
		}
	}
	if u.value != nil {
		mask(u.value)
	}
	if u.e != nil {
		cover(u.e.from, u.e.to)
	}
	var list []string
	at := 0
	for line := range bytes.Lines(masked) {
		for i, c := range line {
			if c == '#' && (i == 0 || line[i-1] == ' ' || line[i-1] == '\t') {
				list = append(list, strings.TrimSpace(u.d.text[u.lead+at+i:u.lead+at+len(line)]))
				break
			}
		}
		at += len(line)
	}
	return list
}
