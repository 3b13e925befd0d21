package pedigree

// StockNumber returns the number of a stock record, its place in Stock; -1
// where there is none of that id. Lists of what is known of each record go by
// it.
func (b *Book) StockNumber(id string) int { return number(b.stock, id) }

// SpawnNumber returns the number of a spawn, its place in Spawns; -1 where there
// is none of that id.
func (b *Book) SpawnNumber(id string) int { return number(b.spawn, id) }

func number(numbers map[string]int32, id string) int {
	if n, ok := numbers[id]; ok {
		return int(n)
	}
	return -1
}

// StockByID returns the stock record of that id, nil where there is none.
func (b *Book) StockByID(id string) *Stock {
	if n, ok := b.stock[id]; ok {
		return b.Stock[n]
	}
	return nil
}

// SpawnByID returns the spawn of that id, nil where there is none.
func (b *Book) SpawnByID(id string) *Spawn {
	if n, ok := b.spawn[id]; ok {
		return b.Spawns[n]
	}
	return nil
}

// LotHistory returns what happened to a lot, nil for a fish or an unknown id.
func (b *Book) LotHistory(id string) *LotHistory {
	for n := b.StockNumber(id); n >= 0 && n < len(b.Stock) && b.Stock[n].ID == id; n++ {
		if h := b.lots[n]; h != nil {
			return h
		}
	}
	return nil
}

// numberOf returns the number of this very record, also where another of the
// same id is found by it; -1 where it is not of the book.
func (b *Book) numberOf(s *Stock) int {
	for n := b.StockNumber(s.ID); n >= 0 && n < len(b.Stock) && b.Stock[n].ID == s.ID; n++ {
		if b.Stock[n] == s {
			return n
		}
	}
	return -1
}
