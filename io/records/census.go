package records

import "roebook/pedigree"

// numbers is how many fish a record states, by sex or as a bare count.
type numbers struct {
	count  pedigree.Count
	bare   int
	stated map[string]cell
}

// numberFields are the keys for numbers of fish, in lots, censuses, sales and
// parts alike.
func numberFields[T any](of func(*T) *numbers) []field[T] {
	one := func(key, meaning string, to func(*numbers) *int) field[T] {
		return field[T]{Field{Key: key, Kind: Whole, Meaning: meaning}, func(c cell, into *T) {
			n := of(into)
			if n.stated == nil {
				n.stated = make(map[string]cell, 2)
			}
			n.stated[key] = c
			*to(n), _ = c.whole()
		}}
	}
	return []field[T]{
		one("males", "how many males", func(n *numbers) *int { return &n.count.Males }),
		one("females", "how many females", func(n *numbers) *int { return &n.count.Females }),
		one("unsexed", "how many whose sex is not known", func(n *numbers) *int { return &n.count.Unsexed }),
		one("count", "how many, none of them sexed", func(n *numbers) *int { return &n.bare }),
	}
}

var numberKeys = keysOf(countFields)

// given reports whether any number is stated.
func (n *numbers) given() bool { return len(n.stated) > 0 }

// total returns the census, and tells a bare count beside numbers by sex.
func (n *numbers) total() pedigree.Count {
	bare, ok := n.stated["count"]
	if !ok {
		return n.count
	}
	if len(n.stated) > 1 {
		p := bare.problem("count-and-sexes", "write the unsexed ones as `unsexed`", "`count` stands beside numbers by sex")
		for _, key := range []string{"males", "females", "unsexed"} {
			if c, ok := n.stated[key]; ok {
				p.Places = append(p.Places, pedigree.Place{Position: c.at(), Note: "stated here"})
			}
		}
		return n.count
	}
	return pedigree.Count{Unsexed: n.bare}
}

func (n *numbers) self() *numbers { return n }

var countFields = numberFields((*numbers).self)

// changeDraft, saleDraft and loanDraft are entries of lists while they are read.
type changeDraft struct {
	pedigree.Change
	numbers
}

var changeFields = append([]field[changeDraft]{
	dateField("date", "when the lot was counted", func(d *changeDraft) *pedigree.Date { return &d.Date }),
	textField("why", "what happened", func(d *changeDraft) *string { return &d.Why }),
}, numberFields(func(d *changeDraft) *numbers { return &d.numbers })...)

func readChange(c cell) (pedigree.Change, bool) {
	var d changeDraft
	readFields(c, changeFields, &d)
	if c.n.kind != mapping {
		return d.Change, false
	}
	c.needsDate("a change")
	if !d.given() {
		c.problem("no-numbers", "state the full census after it: males, females, unsexed, or count", "this change states no number of fish")
		return d.Change, false
	}
	d.Count = d.total()
	return d.Change, true
}

// needsDate tells a mapping without a date.
func (c cell) needsDate(what string) {
	if c.n.kind == mapping && c.n.get("date") == nil {
		c.problem("missing-date", "add `date: 2024-03-05`; the month or the year alone will do", "%s needs a date", what)
	}
}

type saleDraft struct {
	pedigree.Sale
	numbers
}

var saleFields = append([]field[saleDraft]{
	dateField("date", "when they went", func(d *saleDraft) *pedigree.Date { return &d.Date }),
	textField("to", "who has them now", func(d *saleDraft) *string { return &d.To }),
	textField("note", "any remark", func(d *saleDraft) *string { return &d.Note }),
}, numberFields(func(d *saleDraft) *numbers { return &d.numbers })...)

func readSale(c cell) (pedigree.Sale, bool) {
	var d saleDraft
	readFields(c, saleFields, &d)
	c.needsDate("a sale")
	d.Count, d.Numbered = d.total(), d.given()
	return d.Sale, c.n.kind == mapping
}

var loanFields = []field[pedigree.Loan]{
	dateField("date", "when they were lent", func(l *pedigree.Loan) *pedigree.Date { return &l.Date }),
	dateField("back", "when they came back", func(l *pedigree.Loan) *pedigree.Date { return &l.Back }),
	textField("to", "who has them", func(l *pedigree.Loan) *string { return &l.To }),
	textField("note", "any remark", func(l *pedigree.Loan) *string { return &l.Note }),
}

func readLoan(c cell) (pedigree.Loan, bool) {
	var l pedigree.Loan
	readFields(c, loanFields, &l)
	c.needsDate("a loan")
	return l, c.n.kind == mapping
}

// listField reads a list of groups of keys; where single is set one group may
// stand for a list of one.
func listField[T, G, V any](key, meaning string, single bool, fields []field[G], read func(cell) (V, bool), to func(*T) *[]V) field[T] {
	kind := Field{Key: key, Kind: Groups, Meaning: meaning, Fields: fieldsOf(fields)}
	return field[T]{kind, func(c cell, into *T) {
		c.eachItem(single, func(item cell) {
			if v, ok := read(item); ok {
				*to(into) = append(*to(into), v)
			}
		})
	}}
}
