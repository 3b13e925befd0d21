package records

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Joined is what joining two versions of a file gave. Where there are conflicts
// the text has both versions of what differs between marks, as git writes them.
type Joined struct {
	Text      []byte
	Conflicts []Conflict
}

// ErrUnproved is told where two versions can be taken apart, but nothing put
// together from them reads back as it is meant.
var ErrUnproved = errors.New("the two versions cannot be joined in a way that reads back as it is meant")

// Conflict is what two versions say differently.
type Conflict struct {
	Section, ID string // "" for what stands at the top of the file
	Key         string // "" for the whole record
	Why         string
}

func (c Conflict) String() string {
	var parts []string
	for _, word := range []string{c.ID, c.Key} {
		if word != "" {
			parts = append(parts, word)
		}
	}
	if c.ID == "" && c.Section != "" && c.Key != c.Section {
		parts = append([]string{c.Section}, parts...)
	}
	return strings.Join(parts, ", ") + ": " + c.Why
}

// Join joins two versions of a record file, ours and theirs, that were made from
// one base: record by record, and within a record key by key; lists of counts,
// sales and loans entry by entry. What one side alone changed, added or took out
// is so in the result. The lines of ours stay as they are where theirs changed
// nothing, and comments of both sides are kept. Only what both changed otherwise
// is a conflict, round the lines of that key. Who bred in a spawn and the numbers
// of a lot are one statement each, and not put together from two sides.
//
// It is worked out twice, for the parsed values and for the text; the text must
// read back as the values, else the whole record is a conflict. An error is
// returned for files that cannot be taken apart: nothing is known of the result
// then. Cost: O(n) in the text.
func Join(base, ours, theirs File) (*Joined, error) {
	switch {
	case bytes.Equal(ours.Text, theirs.Text), bytes.Equal(base.Text, theirs.Text):
		return &Joined{Text: ours.Text}, nil
	case bytes.Equal(base.Text, ours.Text):
		return &Joined{Text: theirs.Text}, nil
	}
	var docs [3]*joinDoc
	for i, f := range []File{base, ours, theirs} {
		d, err := newJoinDoc(f)
		if err != nil {
			return nil, err
		}
		docs[i] = d
	}
	j := &joiner{b: docs[0], o: docs[1], t: docs[2], whole: map[string]bool{}, rescued: map[string][]string{}}
	for range 4 {
		if done, err := j.attempt(); err != nil || done {
			return j.result, err
		}
	}
	return nil, fmt.Errorf("%s: %w", ours.Path, ErrUnproved)
}

// joiner is the joining of three versions of a file.
type joiner struct {
	b, o, t   *joinDoc
	conflicts []Conflict

	whole   map[string]bool     // records to be taken whole from one side or the other
	rescued map[string][]string // comments to be written above a record, or they would be lost
	mixed   []string            // records that were written out of both sides
	failed  bool                // one of them could not be

	result *Joined
}

// attempt joins the versions. It is not done where what it gave does not hold;
// the joiner knows better then what to do.
func (j *joiner) attempt() (done bool, err error) {
	j.conflicts, j.mixed, j.failed = nil, nil, false
	a, z := j.meet(nil, j.b.rootNode(), j.o.rootNode(), j.t.rootNode())
	ourText := j.compose(nil, a, j.b.root, j.o.root, j.t.root)
	theirText := ourText
	if len(j.conflicts) > 0 {
		theirText = j.compose(nil, z, j.b.root, j.o.root, j.t.root)
	}
	if j.failed {
		return false, nil
	}
	ourDoc, ok := j.holds(ourText, a)
	theirDoc := ourDoc
	if ok && len(j.conflicts) > 0 {
		theirDoc, ok = j.holds(theirText, z)
	}
	if !ok {
		if j.allWhole() {
			return false, fmt.Errorf("%s: %w", j.o.file.Path, ErrUnproved)
		}
		return false, nil
	}
	if j.rescue(ourDoc, theirDoc) {
		return false, nil
	}
	j.finish(ourText, theirText, ourDoc, theirDoc)
	return true, nil
}

// allWhole has every record that was mixed taken whole; true where that is so
// already.
func (j *joiner) allWhole() bool {
	before := len(j.whole)
	for _, name := range j.mixed {
		j.whole[name] = true
	}
	return len(j.whole) == before
}

// holds reads a text and holds it against the values it is to have.
func (j *joiner) holds(text string, want *node) (*joinDoc, bool) {
	d, err := newJoinDoc(File{Path: j.o.file.Path, Text: []byte(text)})
	if err != nil {
		return nil, false
	}
	return d, senseOf(want.entries).equal(senseOf(d.rootNode().entries))
}

// senseOf is what the keys at the top of a file say.
func senseOf(entries []entry) *sense {
	c := &sense{sections: map[string][]entry{}}
	for _, e := range entries {
		if sectionNames[e.key] && (e.value.kind == mapping || e.value.kind == missing) {
			c.sections[e.key] = append(c.sections[e.key], e.value.entries...)
		} else {
			c.tops = append(c.tops, e)
		}
	}
	return c
}

// finish writes the result with the line endings of ours: an editor of the other
// side that changes them all is not to change every line here.
func (j *joiner) finish(ours, theirs string, ourDoc, theirDoc *joinDoc) {
	text := ours
	if len(j.conflicts) > 0 {
		text = j.marked(ours, theirs, ourDoc, theirDoc)
	}
	if three(j.b.noEnd, j.o.noEnd, j.t.noEnd) && len(j.conflicts) == 0 {
		text = strings.TrimSuffix(text, "\n")
	}
	out := []byte(text)
	if j.o.crlf {
		out = bytes.ReplaceAll(out, []byte("\n"), []byte("\r\n"))
	}
	if three(j.b.mark, j.o.mark, j.t.mark) {
		out = append([]byte(byteOrderMark), out...)
	}
	j.result = &Joined{out, j.conflicts}
}

// three joins three values of which only two differ.
func three[T comparable](b, o, t T) T {
	if b == o {
		return t
	}
	return o
}

const byteOrderMark = "\xef\xbb\xbf"

// marked puts marks round the lines in which the two versions differ.
func (j *joiner) marked(ours, theirs string, ourDoc, theirDoc *joinDoc) string {
	var b strings.Builder
	a, z := textLines(ours), textLines(theirs)
	at := 0
	for _, h := range diffLines(a, z) {
		for _, line := range a[at:h.from] {
			b.WriteString(line + "\n")
		}
		why := j.reason(ourDoc, h.from)
		if why == "" {
			why = j.reason(theirDoc, h.otherFrom)
		}
		b.WriteString("<<<<<<< ours" + why + "\n")
		for _, line := range a[h.from:h.to] {
			b.WriteString(line + "\n")
		}
		b.WriteString("=======\n")
		for _, line := range z[h.otherFrom:h.otherTo] {
			b.WriteString(line + "\n")
		}
		b.WriteString(">>>>>>> theirs\n")
		at = h.to
	}
	for _, line := range a[at:] {
		b.WriteString(line + "\n")
	}
	return b.String()
}

// reason says what the conflict is about that begins on a line, counted from 0.
func (j *joiner) reason(doc *joinDoc, line int) string {
	var about []string
	for _, c := range j.conflicts {
		if doc.isAt(line, c) {
			about = append(about, c.String())
		}
	}
	if len(about) == 0 {
		return ""
	}
	return " (" + strings.Join(about, "; ") + ")"
}

// rescue looks for comments that would be lost, and has them written above their
// records. It reports whether there were any.
func (j *joiner) rescue(ours, theirs *joinDoc) bool {
	lost := false
	for _, side := range []*joinDoc{j.o, j.t} {
		for _, u := range side.records() {
			name := u.section + "/" + u.key
			old := commentsOf(j.b.record(u.section, u.key))
			now := append(commentsOf(ours.record(u.section, u.key)), commentsOf(theirs.record(u.section, u.key))...)
			now = append(now, j.rescued[name]...)
			for _, c := range commentsOf(u.unit) {
				if ours.record(u.section, u.key) == nil && theirs.record(u.section, u.key) == nil {
					continue // the record was taken out
				}
				if !slices.Contains(old, c) && !slices.Contains(now, c) {
					j.rescued[name] = append(j.rescued[name], c)
					now = append(now, c)
					lost = true
				}
			}
		}
	}
	return lost
}
