package records

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// doc is one file of a book that is to be edited: its text as the parser sees
// it, cut into the pieces that its records are.
type doc struct {
	file   File
	src    *source
	pieces []piece
	parsed map[int]*parsedPiece
}

// parsedPiece is what a piece holds, with the bytes of each value.
type parsedPiece struct {
	part
	section *section
}

func newDoc(f File) *doc {
	src := newSource(f.Path, f.Text)
	l := scanLayout(src)
	return &doc{file: f, src: src, pieces: split(src, l, 1), parsed: map[int]*parsedPiece{}}
}

// cannot is why a text is not edited.
func (d *doc) cannot(line int, why string) error {
	return fmt.Errorf("%s:%d: %s", d.file.Path, line, why)
}

// piece parses piece i.
func (d *doc) piece(i int) (*parsedPiece, error) {
	if p := d.parsed[i]; p != nil {
		return p, nil
	}
	entries, err := d.entries(i)
	if err != nil {
		return nil, err
	}
	p := d.pieces[i]
	from, to := d.src.start[p.from-1], min(d.src.start[p.to-1], len(d.src.text))
	walked, ok := walkPart(d.src.text, from, to, entries)
	if !ok {
		return nil, d.cannot(p.from, "what stands here is written in a way that is not edited by the program; change it by hand")
	}
	d.parsed[i] = &parsedPiece{walked, p.section}
	return d.parsed[i], nil
}

// entries reads what piece i says.
func (d *doc) entries(i int) ([]entry, error) {
	f := fileParse{src: d.src}
	p := d.pieces[i]
	parts, failures := f.parsePiece(p)
	if len(failures) > 0 {
		return nil, d.cannot(failures[0].line, failures[0].message)
	}
	var entries []entry
	for _, part := range parts {
		if len(part.issues) > 0 {
			return nil, d.cannot(part.issues[0].line, part.issues[0].message)
		}
		entries = append(entries, part.entries...)
	}
	return entries, nil
}

// record finds the record of a section that begins on a line: its key, and the
// mapping that it stands in where that is in brackets or not cut into pieces.
func (d *doc) record(section, id string, line int) (*partEntry, error) {
	i, ok := slices.BinarySearchFunc(d.pieces, line, func(p piece, line int) int {
		switch {
		case p.to <= line:
			return -1
		case p.from > line:
			return 1
		}
		return 0
	})
	if !ok {
		return nil, d.cannot(line, "the record "+quote(id)+" is no longer here")
	}
	p, err := d.piece(i)
	if err != nil {
		return nil, err
	}
	within := &p.part
	if p.section == nil {
		top := p.entry(section)
		if top == nil {
			return nil, d.cannot(line, "the record "+quote(id)+" does not stand under "+quote(section))
		}
		within = &top.value
	}
	e := within.entry(id)
	if e == nil {
		return nil, d.cannot(line, "the record "+quote(id)+" is no longer here")
	}
	return e, nil
}

// top finds a key of the top level of the file; nil where it has none. Its value
// is not walked where its records are pieces of their own.
func (d *doc) top(key string) (*partEntry, error) {
	for i := range d.pieces {
		if d.pieces[i].section != nil {
			continue
		}
		p, err := d.piece(i)
		if err != nil {
			return nil, err
		}
		if e := p.entry(key); e != nil {
			return e, nil
		}
	}
	return nil, nil
}

// splice is bytes of a text to take out, and what to write in their place.
type splice struct {
	from, to int
	text     string
}

// original maps bytes of the text as the parser sees it to those of the file.
type original struct {
	d     *doc
	start []int // where each line starts in the file, one more than there are lines
}

func (d *doc) original() original {
	o := original{d: d}
	at := 0
	if bytes.HasPrefix(d.file.Text, []byte("\xef\xbb\xbf")) {
		at = 3
	}
	for range d.src.lines() {
		o.start = append(o.start, at)
		if n := bytes.IndexByte(d.file.Text[at:], '\n'); n >= 0 {
			at += n + 1
		} else {
			at = len(d.file.Text)
		}
	}
	o.start = append(o.start, at)
	return o
}

// offset returns where a byte of the text stands in the file; false where its
// line is not the same there.
func (o original) offset(i int) (int, bool) {
	line, found := slices.BinarySearch(o.d.src.start, i)
	if !found {
		line--
	}
	if line >= o.d.src.lines() { // at the very end
		return len(o.d.file.Text), true
	}
	whole := strings.TrimRight(string(o.d.file.Text[o.start[line]:o.start[line+1]]), "\r\n")
	if len(whole) != len(o.d.src.line(line+1)) {
		return 0, false
	}
	return o.start[line] + i - o.d.src.start[line], true
}

// newline returns how the line ends that holds a byte of the text, or the first
// of the file that has an end.
func (o original) newline(i int) string {
	line, found := slices.BinarySearch(o.d.src.start, i)
	if !found {
		line--
	}
	for _, n := range []int{line, line - 1, 0} {
		if n < 0 || n+1 >= len(o.start) {
			continue
		}
		switch end := o.d.file.Text[o.start[n]:o.start[n+1]]; {
		case bytes.HasSuffix(end, []byte("\r\n")):
			return "\r\n"
		case bytes.HasSuffix(end, []byte("\n")):
			return "\n"
		}
	}
	return "\n"
}

// apply makes the splices, which must not overlap, in the bytes of the file.
// Those at one place are made in the order given.
func (d *doc) apply(splices []splice) ([]byte, error) {
	slices.SortStableFunc(splices, func(a, b splice) int { return a.from - b.from })
	o := d.original()
	var out []byte
	at := 0
	for _, s := range splices {
		from, ok := o.offset(s.from)
		to, okTo := o.offset(s.to)
		if !ok || !okTo || from < at || to < from {
			return nil, d.cannot(1+strings.Count(d.src.text[:s.from], "\n"), "what stands here cannot be edited by the program; change it by hand")
		}
		out = append(out, d.file.Text[at:from]...)
		out = append(out, strings.ReplaceAll(s.text, "\n", o.newline(s.from))...)
		at = to
	}
	return append(out, d.file.Text[at:]...), nil
}
