package pedigree

// SpeciesOf returns the species of a record: as stated on it, else that of the
// record it was taken from or bred from, else its line's.
func (b *Book) SpeciesOf(s *Stock) string {
	return b.inherited(s, func(s *Stock) string { return s.Species }, func(l *Line) string { return l.Species })
}

// LocalityOf returns the locality of a record, in the same way.
func (b *Book) LocalityOf(s *Stock) string {
	return b.inherited(s, func(s *Stock) string { return s.Locality }, func(l *Line) string { return l.Locality })
}

func (b *Book) inherited(s *Stock, own func(*Stock) string, line func(*Line) string) string {
	first := s
	for range len(b.Stock) + 1 { // a loop of picks ends here; the rules report it
		if text := own(s); text != "" {
			return text
		}
		lot := b.stock[s.Picked]
		if lot == nil {
			break
		}
		s = lot
	}
	if l := b.line[first.Line]; l != nil {
		return line(l)
	}
	return ""
}
