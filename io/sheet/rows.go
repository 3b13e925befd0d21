package sheet

// count is one number to take for a litter.
type count struct {
	key  string // stable, written in the hidden column
	what string
	day  int // after the spawning day, -1 where there is no usual day
	has  *int
	kind kind
}

// kind says what a count may not be above.
type kind int

const (
	stage  kind = iota // at most each stage before it: eggs, fertile, hatched, swimming
	weekly             // the same, but a recount may be waved through
	partOf             // at most the fewest of eggs … hatched, or born
	outOf              // at most the first number: eggs, or born
	kept               // at most the fewest of all stages
	sexed              // males and females together at most the fewest of all stages
)

// weeks is how many weekly counts a sheet has.
const weeks = 8

// The usual days are common practice and have no one source: eggs of danios,
// barbs and tetras hatch within a day or two and swim three to four days
// later; large substrate spawners take longer and annual species up to three
// months. The keeper changes them on the sheet.
func (l *Litter) counts() []count {
	var list []count
	if l.Livebearer {
		list = []count{
			{"born", "Born alive", 0, l.Born, stage},
			{"swimming", "Swimming free on the next day", 1, l.Swimming, stage},
		}
	} else {
		list = []count{
			{"eggs", "Eggs laid", 0, l.Eggs, stage},
			{"fertile", "Fertile: eggs that stay clear and grow", 1, l.Fertile, stage},
			{"hatched", "Hatched", 2, l.Hatched, stage},
			{"swimming", "Swimming free", 5, l.Swimming, stage},
		}
	}
	for week := 1; week <= weeks; week++ {
		list = append(list, count{weekKey(week), "Alive, end of week " + string(rune('0'+week)), 7 * week, nil, weekly})
	}
	return append(list,
		count{"deformed", "Deformed, in all so far", 28, l.Deformed, partOf},
		count{"culled", "Culled, in all so far", -1, l.Culled, partOf},
		count{"lost", "Lost (died, eaten), in all so far", -1, l.Lost, outOf},
		count{"kept", "Kept to grow on", 84, l.Kept, kept},
		count{"males", "Sexed: males", 90, nil, sexed},
		count{"females", "Sexed: females", 90, nil, sexed},
	)
}

func weekKey(week int) string { return "week-" + string(rune('0'+week)) }

// start is the number that survival is counted from.
func (l *Litter) start() *int {
	if l.Livebearer {
		return l.Born
	}
	return l.Hatched
}

// share returns part / whole, nil where either is missing or whole is 0.
func share(part, whole *int) *float64 {
	if part == nil || whole == nil || *whole <= 0 {
		return nil
	}
	value := float64(*part) / float64(*whole)
	return &value
}

// number, value of a cell: "" where nothing is known.
func number[T any](n *T) any {
	if n == nil {
		return ""
	}
	return *n
}
