package pedigree

// SpeciesOf returns the species of a record: as stated on it, else that of the
// record it was taken from, or which all those it was bred or put together from
// have in common; else its line's.
func (b *Book) SpeciesOf(s *Stock) string { return b.kindOf(s, 0) }

// LocalityOf returns the locality of a record, in the same way.
func (b *Book) LocalityOf(s *Stock) string { return b.kindOf(s, 1) }

func (b *Book) kindOf(s *Stock, kind int) string {
	if n := b.numberOf(s); n >= 0 {
		return b.kinds[kind][n]
	}
	return ""
}

// follow finds a property of every record by its descent. O(records +
// references).
func (b *Book) follow(own func(*Stock) string, ofLine func(*Line) string) []string {
	f := follower{b, own, ofLine, make([]string, len(b.Stock)), make([]bool, len(b.Stock)), make([]common, len(b.Spawns)), make([]bool, len(b.Spawns))}
	for n := range b.Stock {
		f.of(n)
	}
	return f.stock
}

type follower struct {
	book   *Book
	own    func(*Stock) string
	ofLine func(*Line) string

	stock      []string // by number
	stockDone  []bool
	spawns     []common
	spawnsDone []bool
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

func (f *follower) of(n int) string {
	switch {
	case n < 0:
		return ""
	case f.stockDone[n]:
		return f.stock[n]
	}
	f.stockDone[n] = true // a loop ends here; the rules report it
	s := f.book.Stock[n]
	text := f.own(s)
	if text == "" {
		text = f.inherited(s)
	}
	if line := f.book.line[s.Line]; text == "" && line != nil {
		text = f.ofLine(line)
	}
	f.stock[n] = text
	return text
}

func (f *follower) inherited(s *Stock) string {
	if s.Picked != "" {
		return f.of(f.book.StockNumber(s.Picked))
	}
	var all common
	for _, from := range s.FromSpawns {
		fry := f.ofSpawn(f.book.SpawnNumber(from.Spawn))
		all.add(fry.text)
		all.unlike = all.unlike || fry.unlike
	}
	for _, part := range s.Merged {
		all.add(f.of(f.book.StockNumber(part.ID)))
	}
	return all.value()
}

func (f *follower) ofSpawn(n int) common {
	switch {
	case n < 0:
		return common{}
	case f.spawnsDone[n]:
		return f.spawns[n]
	}
	f.spawnsDone[n] = true
	s := f.book.Spawns[n]
	var fry common
	if s.Repeat != "" {
		fry = f.ofSpawn(f.book.SpawnNumber(s.Repeat))
	} else {
		for id := range s.parents {
			fry.add(f.of(f.book.StockNumber(id)))
		}
	}
	f.spawns[n] = fry
	return fry
}
