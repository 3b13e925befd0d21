package records

import (
	"cmp"
	"slices"
	"strings"

	"roebook/pedigree"
)

// sibling is a record of the section into which a new one is put.
type sibling struct {
	id     string
	on     pedigree.Date // when it begins; 0 where that is not known
	origin string        // the key of stock that says where it came from
	at     pedigree.Position
}

// add writes a new record.
func (e *edition) add(x *Edit) error {
	if s := e.book.StockByID(x.ID); s != nil {
		return refuse("the id %s is taken (%s:%d)", x.ID, s.Where.File, s.Where.Line)
	}
	if s := e.book.SpawnByID(x.ID); s != nil {
		return refuse("the id %s is taken (%s:%d)", x.ID, s.Where.File, s.Where.Line)
	}
	self := sibling{id: x.ID, on: e.begins(x), origin: originIn(x.Set)}
	siblings := e.siblings(x.Section, x.Line)
	path := x.File
	if path == "" {
		path = e.fileFor(x, siblings, self)
	}
	w, err := e.pen(path)
	if err != nil {
		return err
	}
	siblings = slices.DeleteFunc(siblings, func(s sibling) bool { return s.at.File != path })
	slices.SortStableFunc(siblings, func(a, b sibling) int {
		return cmp.Or(cmp.Compare(a.at.Line, b.at.Line), cmp.Compare(a.at.Column, b.at.Column))
	})
	x.Set = inOrder(x.Section, x.Set)
	if len(siblings) == 0 {
		err = w.addFirst(x)
	} else {
		err = w.addBeside(x, siblings, self)
	}
	e.steps[path] = append(e.steps[path], func(c *sense) { c.change(x) })
	return err
}

func originIn(pairs []Pair) string {
	for _, p := range pairs {
		if slices.Contains(originKeys, p.Key) {
			return p.Key
		}
	}
	return ""
}

// begins is when a new record begins, as [pedigree.Book.Begins] says of one that
// is written.
func (e *edition) begins(x *Edit) pedigree.Date {
	stated := func(text string) pedigree.Date {
		date, _ := pedigree.ParseDate(text)
		return date
	}
	var from pedigree.Date
	for _, p := range x.Set {
		switch p.Key {
		case "date":
			return stated(p.Value.text)
		case "planned":
			from = stated(p.Value.text)
		case "wild", "bought":
			from = stated(p.Value.date())
		case "spawn":
			ids := []string{p.Value.text}
			for _, part := range p.Value.keys {
				ids = append(ids, part.Key)
			}
			for _, id := range ids {
				if s := e.book.SpawnByID(id); s != nil {
					from = max(from, s.Date)
				}
			}
		}
	}
	return from
}

// siblings lists the records of a section that belong to a line.
func (e *edition) siblings(section, line string) []sibling {
	var out []sibling
	if section == "stock" {
		for _, s := range e.book.Stock {
			if s.Line == line {
				out = append(out, sibling{s.ID, e.book.Begins(s), s.Origin(), s.Where.Position})
			}
		}
		return out
	}
	for _, s := range e.book.Spawns {
		if s.Line == line {
			out = append(out, sibling{s.ID, max(s.Date, s.Planned), "", s.Where.Position})
		}
	}
	return out
}

// fileFor chooses the file of a new record: that of the last record of its line
// which begins no later; else that of the line.
func (e *edition) fileFor(x *Edit, siblings []sibling, self sibling) string {
	var best sibling
	for _, s := range siblings {
		if best.id == "" || s.on >= best.on && (self.on == 0 || s.on <= self.on) {
			best = s
		}
	}
	if best.id != "" {
		return best.at.File
	}
	if line := e.book.LineNamed(x.Line); line != nil {
		return line.Where.File
	}
	return ""
}

// placeAmong is how many of the siblings come before a new record. Where their ids
// rise, that decides; else their dates, as far as they do.
func placeAmong(siblings []sibling, self sibling) int {
	byID := func(a, b sibling) int { return compareIDs(a.id, b.id) }
	byDate := func(a, b sibling) int { return cmp.Compare(a.on, b.on) }
	order := byDate
	if self.on == 0 || len(siblings) > 1 && slices.IsSortedFunc(siblings, byID) {
		order = byID
	}
	for i := len(siblings); i > 0; i-- {
		if order(siblings[i-1], self) <= 0 {
			return i
		}
	}
	return 0
}

// addBeside writes a record among those of its section.
func (w *pen) addBeside(x *Edit, siblings []sibling, self sibling) error {
	after := placeAmong(siblings, self)
	near, err := w.record(x.Section, siblings[max(after-1, 0)].id, siblings[max(after-1, 0)].at.Line)
	if err != nil {
		return err
	}
	if top, err := w.top(x.Section); err != nil {
		return err
	} else if top != nil && top.value.flow {
		w.addKey(&top.value, after, Pair{x.ID, Map(x.Set...)}, styleOf(w.src.text, near.from, &near.value))
		return nil
	}
	model, err := w.model(x, siblings, after, self.origin)
	if err != nil {
		return err
	}
	flow := model.value.flow
	if self.origin == "picked" && !slices.ContainsFunc(siblings, func(s sibling) bool { return s.origin == "picked" }) {
		flow = true // short ones stand on one line, until the keeper writes one otherwise
	}
	lines := recordLines(x, styleOf(w.src.text, model.from, &model.value), flow)
	if after == 0 {
		w.above(near.from, lines)
		return nil
	}
	w.below(near.value.to, column(w.src.text, near.from), lines, w.spaced(siblings))
	return nil
}

// model is the record whose style a new one takes: the nearest that came into
// the book in the same way.
func (w *pen) model(x *Edit, siblings []sibling, after int, origin string) (*partEntry, error) {
	best := max(after-1, 0)
	for i, s := range siblings {
		if s.origin == origin && (siblings[best].origin != origin || abs(i-after) < abs(best-after)) {
			best = i
		}
	}
	return w.record(x.Section, siblings[best].id, siblings[best].at.Line)
}

func abs(n int) int { return max(n, -n) }

// spaced reports whether most records of a section have a blank line before
// them.
func (w *pen) spaced(siblings []sibling) bool {
	blank, pairs := 0, 0
	for i := 1; i < len(siblings); i++ {
		if siblings[i].at.Line == siblings[i-1].at.Line {
			continue
		}
		pairs++
		n := siblings[i].at.Line - 1
		for n > 1 && strings.HasPrefix(strings.TrimLeft(w.src.line(n), " "), "#") {
			n--
		}
		if strings.TrimSpace(w.src.line(n)) == "" {
			blank++
		}
	}
	return 2*blank > pairs
}

// maxFlow is how long a record on one line may be.
const maxFlow = 140

// recordLines writes a record, on one line where its model is and it fits.
func recordLines(x *Edit, s style, flow bool) []string {
	if flow {
		if line := (Pair{x.ID, Map(x.Set...)}).flowText(s.pad); len(line) <= maxFlow {
			return []string{line}
		}
	}
	if len(x.Set) == 0 {
		return []string{scalarText(x.ID) + ": {}"}
	}
	lines := []string{scalarText(x.ID) + ":"}
	for _, line := range blockLines(x.Set, s) {
		lines = append(lines, strings.Repeat(" ", s.inner)+line)
	}
	return lines
}

// addFirst writes the first record of a section.
func (w *pen) addFirst(x *Edit) error {
	top, err := w.top(x.Section)
	if err != nil {
		return err
	}
	flow := x.Section == "spawns" || originIn(x.Set) == "picked"
	text := "\n  " + strings.Join(recordLines(x, plainStyle, flow), "\n  ")
	src := w.src.text
	switch {
	case top != nil && top.value.flow:
		w.addKey(&top.value, len(top.value.entries), Pair{x.ID, Map(x.Set...)}, plainStyle)
	case top != nil && top.value.n.kind == missing && top.value.from == top.value.to:
		end := lineEnd(src, top.to)
		w.put(end, end, text)
	case top != nil:
		return w.cannot(1+strings.Count(src[:top.from], "\n"), quote(x.Section)+" holds no records; write the first one by hand")
	default:
		end := len(src)
		head := "\n" + x.Section + ":" + text
		if strings.HasSuffix(src, "\n") {
			head = head + "\n"
		} else if src != "" {
			head = "\n" + head
		}
		w.put(end, end, head)
	}
	return nil
}
