package pedigree

// SpeciesOf returns the species of a record: as stated on it, else that of the
// record it was taken from, or which all those it was bred or put together from
// have in common; else its line's.
func (b *Book) SpeciesOf(s *Stock) string { return b.kinds[0][s] }

// LocalityOf returns the locality of a record, in the same way.
func (b *Book) LocalityOf(s *Stock) string { return b.kinds[1][s] }

// follow finds a property of every record by its descent. O(records +
// references).
func (b *Book) follow(own func(*Stock) string, ofLine func(*Line) string) map[*Stock]string {
	f := follower{b, own, ofLine, make(map[*Stock]string, len(b.Stock)), make(map[*Spawn]common)}
	for _, s := range b.Stock {
		f.of(s)
	}
	return f.stock
}

type follower struct {
	book   *Book
	own    func(*Stock) string
	ofLine func(*Line) string
	stock  map[*Stock]string
	spawns map[*Spawn]common
}

// common is what several records have in common.
type common struct {
	text   string
	unlike bool
}

func (c *common) add(text string) {
	switch {
	case text == "" || text == c.text:
	case c.text == "":
		c.text = text
	default:
		c.unlike = true
	}
}

func (c common) value() string {
	if c.unlike {
		return ""
	}
	return c.text
}

func (f *follower) of(s *Stock) string {
	if s == nil {
		return ""
	}
	if text, done := f.stock[s]; done {
		return text
	}
	f.stock[s] = "" // a loop ends here; the rules report it
	text := f.own(s)
	if text == "" {
		text = f.inherited(s)
	}
	if line := f.book.line[s.Line]; text == "" && line != nil {
		text = f.ofLine(line)
	}
	f.stock[s] = text
	return text
}

func (f *follower) inherited(s *Stock) string {
	if s.Picked != "" {
		return f.of(f.book.stock[s.Picked])
	}
	var all common
	for _, from := range s.FromSpawns {
		fry := f.ofSpawn(f.book.spawn[from.Spawn])
		all.add(fry.text)
		all.unlike = all.unlike || fry.unlike
	}
	for _, part := range s.Merged {
		all.add(f.of(f.book.stock[part.ID]))
	}
	return all.value()
}

func (f *follower) ofSpawn(s *Spawn) common {
	if s == nil {
		return common{}
	}
	if fry, done := f.spawns[s]; done {
		return fry
	}
	f.spawns[s] = common{}
	var fry common
	if s.Repeat != "" {
		fry = f.ofSpawn(f.book.spawn[s.Repeat])
	} else {
		for _, id := range s.ParentIDs() {
			fry.add(f.of(f.book.stock[id]))
		}
	}
	f.spawns[s] = fry
	return fry
}
