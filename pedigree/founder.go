package pedigree

// Kinship of two bought fish of one record of which nothing is stated.
const (
	siblingKinship = 0.25 // full siblings of unrelated parents
	strainKinship  = 1.0  // a fully inbred strain
)

// Kinship returns the kinship of two fish of the record: as stated under
// `related`, else that of siblings (0.25), or 1 where Inbreeding is 1.
func (b *Bought) Kinship() float64 {
	switch {
	case b.RelatedStated:
		return b.Related
	case b.Inbreeding >= 1:
		return strainKinship
	}
	return siblingKinship
}

// Origin says how a record came into the book: wild, bought, picked, merged or
// spawn; the last also where it does not say.
func (s *Stock) Origin() string {
	switch {
	case s.Wild != nil:
		return "wild"
	case s.Bought != nil:
		return "bought"
	case s.Picked != "":
		return "picked"
	case len(s.Merged) > 0:
		return "merged"
	}
	return "spawn"
}
