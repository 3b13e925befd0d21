package records

import "roebook/pedigree"

// snapshotVersion is raised whenever the bytes of a snapshot change their
// meaning. A test fails when the types below change and it does not.
const snapshotVersion = 3

// content is what one file gave, its path left out.
type content struct {
	decoded
	flawed bool // the text has flaws, which must be scanned again
}

// encode returns the bytes of what a file gave; nil where it holds what cannot
// be kept.
func (v *content) encode(file string) []byte {
	c := newWriter(file)
	v.code(c)
	if c.bad {
		return nil
	}
	return c.finish()
}

// decodeContent reads the bytes of encode; false where they are damaged.
func decodeContent(file string, from []byte) (*content, bool) {
	c := newReader(file, from)
	v := &content{}
	v.code(c)
	if c.bad || len(c.bytes) > 0 {
		return nil, false
	}
	return v, true
}

// The least bytes that a value of each type takes.
const (
	stockBytes   = 30
	spawnBytes   = 40
	keyBytes     = 4
	entryBytes   = 10
	problemBytes = 8
)

func (v *content) code(c *coder) {
	c.yesNo(&v.flawed)
	list(c, &v.tops, entryBytes, codeEntry)
	pointers(c, &v.stock, stockBytes, codeStock)
	pointers(c, &v.spawns, spawnBytes, codeSpawn)
	list(c, &v.tanks, keyBytes, func(c *coder, t *named[pedigree.Tank]) { codeNamed(c, t, codeTank) })
	list(c, &v.loci, keyBytes, func(c *coder, l *named[pedigree.Locus]) { codeNamed(c, l, codeLocus) })
	list(c, &v.refs, keyBytes, codeReference)
	list(c, &v.problems, problemBytes, codeProblem)
	list(c, &v.failures, keyBytes, codeFailure)
	list(c, &v.suspects, keyBytes, codeSuspect)
}

func codeSpan(c *coder, s *span) {
	whole(c, &s.line)
	whole(c, &s.col)
	whole(c, &s.width)
}

// codePosition codes a place in the file, or one in no file.
func codePosition(c *coder, p *pedigree.Position) {
	inFile := p.File != ""
	if c.writing && inFile && p.File != c.file {
		c.fail()
		return
	}
	at := p.Line << 1
	if inFile {
		at |= 1
	}
	whole(c, &at)
	if p.Line = at >> 1; at&1 != 0 {
		p.File = c.file
	}
	whole(c, &p.Column)
	whole(c, &p.Width)
}

func codeKey(c *coder, k *pedigree.Key) {
	c.text(&k.Path)
	codePosition(c, &k.Position)
}

func codeWhere(c *coder, w *pedigree.Where) {
	codePosition(c, &w.Position)
	n, isNil := length(c, w.Keys, keyBytes)
	if isNil {
		return
	}
	c.keyRoom += n
	if !c.writing {
		w.Keys = takeRoom(&c.keys, n)
	}
	for i := 0; i < n; i++ {
		codeKey(c, &w.Keys[i])
	}
}

func codeNode(c *coder, n *node) {
	if c.depth++; c.depth > maxNested {
		c.fail()
	}
	whole(c, &n.kind)
	codeSpan(c, &n.span)
	c.yesNo(&n.quoted)
	c.text(&n.text)
	list(c, &n.entries, entryBytes, codeEntry)
	list(c, &n.items, entryBytes-4, codeNode)
	c.depth--
}

func codeEntry(c *coder, e *entry) {
	c.text(&e.key)
	codeSpan(c, &e.at)
	codeNode(c, &e.value)
}

func codeNamed[T any](c *coder, v *named[T], value func(*coder, *T)) {
	value(c, &v.value)
	codeSpan(c, &v.at)
	c.text(&v.canon)
}

// codeReference codes an id used in a record. Those of one record name the same
// unreliable ids, which are written once and share their memory.
func codeReference(c *coder, r *reference) {
	c.text(&r.id)
	codePosition(c, &r.at)
	whole(c, &r.need)
	same := len(r.taints) == 1 && len(c.taints) == 1 && r.taints[0] == c.taints[0]
	if c.yesNo(&same); same {
		r.taints = c.taints
	} else {
		textList(c, &r.taints)
	}
	c.taints = r.taints
}

func codePlace(c *coder, p *pedigree.Place) {
	codePosition(c, &p.Position)
	c.text(&p.Note)
}

func codeProblem(c *coder, p *pedigree.Problem) {
	codePosition(c, &p.Position)
	whole(c, &p.Severity)
	c.text(&p.Rule)
	c.text(&p.Message)
	c.text(&p.Hint)
	list(c, &p.Places, keyBytes, codePlace)
	textList(c, &p.Records)
	textList(c, &p.Lines)
	c.yesNo(&p.RecordsLost)
	c.yesNo(&p.KeepsSources)
}

func codeSuspect(c *coder, s *suspect) {
	codePosition(c, &s.at)
	c.text(&s.text)
	whole(c, &s.may)
	c.text(&s.needed)
}

func codeFailure(c *coder, f *failure) {
	codeSpan(c, &f.span)
	c.text(&f.rule)
	c.text(&f.message)
	c.text(&f.hint)
	c.text(&f.record)
	optional(c, &f.lines.section, func(c *coder, s *section) {
		c.text(&s.name)
		codeSpan(c, &s.at)
	})
	whole(c, &f.lines.from)
	whole(c, &f.lines.to)
}
