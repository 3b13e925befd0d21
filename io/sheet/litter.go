package sheet

import (
	"strings"

	"roebook/pedigree"
)

// Format is the version of the marks that the litter worksheets carry; see the
// package text.
const Format = 1

// Litter is what one litter sheet says. Everything but ID may be empty.
type Litter struct {
	ID                                     string // spawn id, or a name for a proposed pair
	Line, Species, CommonName, Locality    string
	BroodWord                              string        // litter, spawn, clutch or brood; "" is spawn
	Livebearer                             bool          // born in place of eggs, fertile and hatched
	Status                                 string        // "recorded", "planned for 2026-12-01", "proposed pair"
	Date                                   pedigree.Date // of a planned livebearer litter: when the pair is to be put together
	Sire, Dam                              Parent
	Inbreeding                             *float64 // expected of the young, 0 to 1; nil where not known
	InbreedingWords                        string   // "as close as first cousins' young"
	Generation, GenerationWords            string   // "F3" and what that means
	Declared                               bool     // the generation rests on a seller's word
	Goal                                   string   // "line's limit 12.5 %"
	Eggs, Fertile, Hatched, Born           *int     // recorded already; nil: not yet
	Swimming, Kept, Deformed, Culled, Lost *int
	Tanks                                  []string // offered in the drop-down
	Beware                                 []string // cautions: "still in quarantine until 2026-12-19"
	Notes                                  string
}

// Parent is one side of a litter in words.
type Parent struct {
	ID         string // "AS-W1a"; "unknown" or "" where nobody knows
	Words      string // "any one of the 3 males of AS-W1"
	Origin     string // "wild-caught, upper pool, 2021"
	Tank       string
	Generation string
}

// Options hold what all sheets of a workbook share.
type Options struct {
	BookName, Keeper string
	Fingerprint      string        // of the state of the book that the sheets were made from; may be empty
	On               pedigree.Date // the day the sheets are made for
	Paper            string        // "A4" (also "") or "letter"
}

// happened reports whether Date is when the litter came, rather than a plan:
// the status is empty or begins with "recorded".
func (l *Litter) happened() bool {
	return l.Status == "" || strings.HasPrefix(strings.ToLower(l.Status), "recorded")
}

// pairing reports whether Date is the day of putting a pair together, which
// says little of the day of birth.
func (l *Litter) pairing() bool { return l.Livebearer && !l.happened() }

// standing is the status as the litter's own sheet says it.
func (l *Litter) standing() string {
	if !l.pairing() || !l.Date.Known() {
		return l.Status
	}
	lead := l.Status
	if strings.HasPrefix(strings.ToLower(lead), "planned") {
		lead = "planned"
	}
	return lead + ": to be put together about " + l.Date.String()
}

// cautions are those of Beware that say something.
func (l *Litter) cautions() []string {
	var said []string
	for _, caution := range l.Beware {
		if caution = oneLine(caution, 1000); caution != "" {
			said = append(said, caution)
		}
	}
	return said
}

// words are the forms of the brood word that the sheets use.
type words struct{ one, many, cameOn string }

func (l *Litter) words() words {
	w := words{one: "spawn", many: "spawns", cameOn: "Spawned on"}
	switch strings.ToLower(strings.TrimSpace(l.BroodWord)) {
	case "litter":
		w = words{one: "litter", many: "litters", cameOn: "Spawned on"}
	case "clutch":
		w = words{one: "clutch", many: "clutches", cameOn: "Laid on"}
	case "brood":
		w = words{one: "brood", many: "broods", cameOn: "Spawned on"}
	}
	if l.Livebearer {
		w.cameOn = "Born on"
	}
	return w
}
