package records

import (
	"cmp"
	"slices"
	"strings"

	"roebook/pedigree"
)

// checkIDs tells ids that stand twice: an id is one record in the whole book.
func (a *assembly) checkIDs() {
	if !a.idTwice() {
		return
	}
	all := slices.SortedFunc(a.records, recordAt.compare)
	first := make(map[string]pedigree.Position, len(all))
	for _, r := range all {
		before, ok := first[r.id]
		if !ok {
			first[r.id] = r.at
			continue
		}
		a.problems = append(a.problems, pedigree.Problem{
			Position: r.at, Rule: "duplicate-id",
			Message: "the id " + quote(r.id) + " is used for two records",
			Hint:    "ids are unique over the whole book, stock and spawns together: rename one of them",
			Places:  []pedigree.Place{{Position: before, Note: "first here"}},
			Records: []string{r.id},
		})
	}
}

// idTwice reports whether any id stands twice in the arranged book.
func (a *assembly) idTwice() bool {
	stock, spawns := a.book.Stock, a.book.Spawns
	for i, s := range stock {
		if i > 0 && s.ID == stock[i-1].ID {
			return true
		}
	}
	for i, s := range spawns {
		if i > 0 && s.ID == spawns[i-1].ID || a.book.StockByID(s.ID) != nil {
			return true
		}
	}
	return false
}

// maxSuggested bounds the search for near ids in a book full of unknown ones.
const maxSuggested = 200

// references checks the ids that records use.
type references struct {
	*assembly
	wrong         []reference       // those that are no id of the kind needed
	stock, spawns []string          // ids, for suggestions
	near          map[string]string // suggestions made
	failedIDs     map[string]int    // words of the text that failed, with its problem
	unread        int               // the problem of a file without text, -1 for none
	tainted       map[int]map[string]bool
}

func (a *assembly) checkReferences() {
	r := &references{assembly: a, near: map[string]string{}, tainted: map[int]map[string]bool{}}
	r.failedIDs, r.unread = a.failedWords()
	for _, refs := range a.refs {
		for i := range refs {
			if !r.sound(&refs[i]) {
				r.wrong = append(r.wrong, refs[i])
			}
		}
	}
	if len(r.wrong) == 0 {
		return
	}
	for _, s := range a.book.Stock {
		r.stock = append(r.stock, s.ID)
	}
	for _, s := range a.book.Spawns {
		r.spawns = append(r.spawns, s.ID)
	}
	slices.SortStableFunc(r.wrong, func(x, y reference) int {
		return cmp.Or(cmp.Compare(x.at.File, y.at.File), cmp.Compare(x.at.Line, y.at.Line), cmp.Compare(x.at.Column, y.at.Column))
	})
	for _, ref := range r.wrong {
		r.check(ref)
	}
	for problem, ids := range r.tainted {
		p := &a.problems[problem]
		for id := range ids {
			p.Records = append(p.Records, id)
		}
		slices.Sort(p.Records)
		p.Records = slices.Compact(p.Records)
	}
}

// failedWords returns the words of all text that failed.
func (a *assembly) failedWords() (map[string]int, int) {
	words, unread := map[string]int{}, -1
	for _, f := range a.failed {
		if f.unread {
			unread = f.problem
			continue
		}
		split := strings.FieldsFunc(f.text, func(r rune) bool { return strings.ContainsRune(" \t\n,[]{}\"'", r) })
		for _, w := range split {
			if w = strings.TrimRight(w, ":"); w != "" {
				words[w] = f.problem
			}
		}
	}
	return words, unread
}

// sound reports whether the id is that of a record of the kind needed.
func (r *references) sound(ref *reference) bool {
	if ref.need == needSpawn {
		return r.book.SpawnByID(ref.id) != nil
	}
	return r.book.StockByID(ref.id) != nil
}

func (r *references) check(ref reference) {
	stock, spawn := r.book.StockByID(ref.id), r.book.SpawnByID(ref.id)
	switch {
	case stock != nil:
		r.tell(ref, "wrong-record", "name a spawn", quote(ref.id)+" is stock, and a spawn is needed here", stock.Where.Position)
	case spawn != nil:
		r.tell(ref, "wrong-record", "name a fish or a lot", quote(ref.id)+" is a spawn, and a fish or a lot is needed here", spawn.Where.Position)
	default:
		r.unknown(ref)
	}
}

// unknown tells an id that is not defined, unless it may stand in a part that
// could not be read: then that problem makes this record unreliable too.
func (r *references) unknown(ref reference) {
	problem, ok := r.failedIDs[ref.id]
	if !ok && r.unread >= 0 {
		problem, ok = r.unread, true
	}
	if ok {
		if r.tainted[problem] == nil {
			r.tainted[problem] = map[string]bool{}
		}
		for _, id := range ref.taints {
			r.tainted[problem][id] = true
		}
		return
	}
	what, ids := "a fish or lot", r.stock
	if ref.need == needSpawn {
		what, ids = "a spawn", r.spawns
	}
	hint := "write its record, or correct the id"
	if near := r.suggest(ref.id, ids); near != "" {
		hint = "did you mean " + quote(near) + "?"
	}
	r.tell(ref, "unknown-id", hint, "there is no record of "+what+" with the id "+quote(ref.id), pedigree.Position{})
}

func (r *references) suggest(id string, ids []string) string {
	if near, ok := r.near[id]; ok || len(r.near) >= maxSuggested {
		return near
	}
	r.near[id] = pedigree.Nearest(id, ids)
	return r.near[id]
}

func (r *references) tell(ref reference, rule, hint, message string, place pedigree.Position) {
	p := pedigree.Problem{Position: ref.at, Rule: rule, Message: message, Hint: hint, Records: ref.taints}
	if place.Line > 0 {
		p.Places = []pedigree.Place{{Position: place, Note: quote(ref.id) + " is here"}}
	}
	r.problems = append(r.problems, p)
	r.suspectReference(ref)
}

// suspectReference looks at a record that names what does not exist: it may
// have taken fish from another.
func (r *references) suspectReference(ref reference) {
	if len(ref.taints) != 1 || ref.need == needFounder {
		return
	}
	s := r.book.StockByID(ref.taints[0])
	switch {
	case s == nil:
	case ref.need == needSpawn:
		r.suspects = append(r.suspects, suspect{at: ref.at, text: ref.id})
	default:
		r.suspects = append(r.suspects, suspect{at: ref.at, needed: ref.id, may: anyLot | lineLost})
	}
}
