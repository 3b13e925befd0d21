package records

import (
	"slices"
	"strconv"
	"strings"
)

// pen collects the splices of one file.
type pen struct {
	*doc
	splices []splice
}

func (w *pen) put(from, to int, text string) {
	w.splices = append(w.splices, splice{from, to, text})
}

// endOf returns the end of the line on which an entry of that indentation ends,
// with the comments below it that are moved in further and so are its own.
func (w *pen) endOf(to, indent int) int {
	text := w.src.text
	end := lineEnd(text, to)
	for end < len(text) {
		next := lineEnd(text, end+1)
		line := text[end+1 : next]
		rest := strings.TrimLeft(line, " ")
		if !strings.HasPrefix(rest, "#") || len(line)-len(rest) <= indent {
			break
		}
		end = next
	}
	return end
}

// below writes lines below an entry of that indentation which ends at a byte,
// and spaces before each.
func (w *pen) below(to, indent int, lines []string, blank bool) {
	end := w.endOf(to, indent)
	text := "\n" + strings.Repeat(" ", indent)
	begin := text
	if blank {
		begin = "\n" + text
	}
	w.put(end, end, begin+strings.Join(lines, text))
}

// above writes lines above an entry that begins at a byte.
func (w *pen) above(from int, lines []string) {
	start := lineStart(w.src.text, from)
	indent := strings.Repeat(" ", from-start)
	w.put(start, start, indent+strings.Join(lines, "\n"+indent)+"\n")
}

// addKey writes a key into a mapping, behind that many of its keys.
func (w *pen) addKey(p *part, after int, pair Pair, s style) {
	switch {
	case p.flow:
		w.inBrackets(p, after, len(p.entries), func(i int) (int, int) { return p.entries[i].from, p.entries[i].value.to }, pair.flowText(s.pad), s)
	case after == 0:
		w.above(p.entries[0].from, blockLines([]Pair{pair}, s))
	default:
		e := p.entries[after-1]
		w.below(e.value.to, column(w.src.text, e.from), blockLines([]Pair{pair}, s), false)
	}
}

// addItem writes an item into a list, behind that many of its items.
func (w *pen) addItem(p *part, after int, v Value, s style) {
	if p.flow {
		w.inBrackets(p, after, len(p.items), func(i int) (int, int) { return p.items[i].from, p.items[i].to }, v.flowText(s.pad), s)
		return
	}
	near := p.items[max(after-1, 0)]
	lines := []string{"- " + v.flowText(s.pad)}
	if near.n.kind == mapping && !near.flow {
		lines = blockLines(v.keys, s)
		gap := strings.Repeat(" ", near.from-near.dash)
		for i := range lines {
			if i == 0 {
				lines[i] = "-" + gap[1:] + lines[i]
			} else {
				lines[i] = gap + lines[i]
			}
		}
	}
	if after == 0 {
		w.above(near.dash, lines)
		return
	}
	w.below(near.to, column(w.src.text, near.dash), lines, false)
}

// inBrackets writes an entry into brackets that hold n, behind that many of
// them; where each stands on a line of its own, so does the new one.
func (w *pen) inBrackets(p *part, after, n int, at func(i int) (from, to int), text string, s style) {
	src := w.src.text
	if n == 0 {
		if s.pad && p.n.kind == mapping {
			text = " " + text + " "
		}
		w.put(p.from+1, p.from+1, text)
		return
	}
	ownLine := func(i int) bool {
		from, _ := at(i)
		return strings.Trim(src[lineStart(src, from):from], " ") == ""
	}
	if after == 0 {
		from, _ := at(0)
		if ownLine(0) {
			w.put(from, from, text+",\n"+strings.Repeat(" ", column(src, from)))
		} else {
			w.put(from, from, text+", ")
		}
		return
	}
	from, to := at(after - 1)
	if !ownLine(after - 1) {
		w.put(to, to, ", "+text)
		return
	}
	next := "\n" + strings.Repeat(" ", column(src, from)) + text
	comma := to
	for comma < len(src) && src[comma] == ' ' {
		comma++
	}
	hasComma := comma < len(src) && src[comma] == ','
	if hasComma {
		comma++
	} else {
		comma = to
	}
	end := lineEnd(src, comma)
	rest := strings.TrimLeft(src[comma:end], " ")
	switch alone := rest == "" || rest[0] == '#' && comma < end && src[comma] == ' '; {
	case hasComma && alone:
		w.put(end, end, next+",")
	case hasComma:
		w.put(comma, comma, next+",")
	case alone:
		w.put(to, to, ",")
		w.put(end, end, next)
	default:
		w.put(to, to, ","+next)
	}
}

// set writes another value in the place of one.
func (w *pen) set(e *partEntry, v Value, s style) {
	old := &e.value
	text := v.flowText(s.pad)
	inline := old.from > e.to && lineEnd(w.src.text, e.to) >= old.from
	switch {
	case old.n.kind == missing && old.from == old.to:
		w.put(old.from, old.from, " "+text)
	case old.n.kind == scalar && old.n.quoted && v.kind == scalar && inline && w.src.text[old.from] == '"' && !numberLike(v.text):
		w.put(old.from, old.to, strconv.Quote(v.text))
	case inline, strings.Contains(w.src.text[e.to:old.from], "#"):
		w.put(old.from, old.to, text)
	default: // begins on a line below
		colon := e.to + strings.IndexByte(w.src.text[e.to:], ':') + 1
		w.put(colon, old.to, " "+text)
	}
}

// addLine adds a line to a text block, and returns what stands before it in the
// text then: a folded block joins lines, but not one that is moved in further.
func (w *pen) addLine(old *part, text string) string {
	src := w.src.text
	end := old.from + len(strings.TrimRight(src[old.from:old.to], " \n"))
	first := lineEnd(src, old.from)
	for src[first] == '\n' {
		first++
	}
	spaces := func(i int) int { return len(src[i:end]) - len(strings.TrimLeft(src[i:end], " ")) }
	indent := spaces(first)
	w.put(end, end, "\n"+strings.Repeat(" ", indent)+text)
	if src[old.from] == '|' || spaces(lineStart(src, end)) > indent {
		return "\n"
	}
	return " "
}

// remove takes a key out of a mapping. It fails where a comment would be lost.
func (w *pen) remove(p *part, k int) bool {
	src := w.src.text
	e := p.entries[k]
	from, to := e.from, e.value.to
	switch {
	case !p.flow && len(p.entries) == 1:
		return false
	case !p.flow:
		from, to = lineStart(src, e.from), lineEnd(src, to)
		if strings.Contains(src[e.value.to:to], "#") || strings.Trim(src[from:e.from], " ") != "" {
			return false
		}
		if to < len(src) {
			to++
		} else if from > 0 {
			from--
		}
	case k > 0:
		from = p.entries[k-1].value.to
	case len(p.entries) > 1:
		to = p.entries[1].from
	}
	if p.flow && strings.Contains(src[from:e.from]+src[e.value.to:to], "#") {
		return false
	}
	w.put(from, to, "")
	return true
}

// toList makes a list of the one group of keys that stands for it, and adds an
// item before or behind.
func (w *pen) toList(e *partEntry, v Value, before bool, s style) {
	old := &e.value
	text := v.flowText(s.pad)
	if old.flow {
		if before {
			w.put(old.from, old.from, "["+text+", ")
			w.put(old.to, old.to, "]")
		} else {
			w.put(old.from, old.from, "[")
			w.put(old.to, old.to, ", "+text+"]")
		}
		return
	}
	indent := column(w.src.text, old.from)
	dash := strings.Repeat(" ", indent) + "- "
	if before {
		w.put(lineStart(w.src.text, old.from), lineStart(w.src.text, old.from), dash+text+"\n")
	}
	w.put(old.from, old.from, "- ")
	end := w.endOf(old.to, indent-1)
	for at := lineEnd(w.src.text, old.from) + 1; at <= end; at = lineEnd(w.src.text, at) + 1 {
		if at < len(w.src.text) && w.src.text[at] != '\n' {
			w.put(at, at, "  ")
		}
	}
	if !before {
		w.put(end, end, "\n"+dash+text)
	}
}

// hunks says which lines the splices change.
func (w *pen) hunks() []Hunk {
	splices := slices.Clone(w.splices)
	slices.SortStableFunc(splices, func(a, b splice) int { return a.from - b.from })
	src := w.src
	if src.lines() == 0 {
		return []Hunk{{1, 1, nil, textLines(splices[0].text)}}
	}
	var out []Hunk
	grown := 0 // lines more than before, up to here
	for i := 0; i < len(splices); {
		first, last := src.lineAt(splices[i].from), src.lineAt(splices[i].to)
		var b strings.Builder
		at := src.start[first-1]
		j := i
		for ; j < len(splices) && src.lineAt(splices[j].from) <= last; j++ {
			b.WriteString(src.text[at:splices[j].from] + splices[j].text)
			at = splices[j].to
			last = max(last, src.lineAt(at))
		}
		end := min(src.start[last], len(src.text))
		b.WriteString(src.text[at:end])
		h := Hunk{OldFirst: first, First: first + grown, Old: textLines(src.text[src.start[first-1]:end]), New: textLines(b.String())}
		h.trim()
		grown += len(h.New) - len(h.Old)
		out = append(out, h)
		i = j
	}
	return out
}

func textLines(text string) []string {
	if text == "" {
		return nil
	}
	return strings.Split(strings.TrimSuffix(text, "\n"), "\n")
}

// trim drops the lines at both ends that stay as they are.
func (h *Hunk) trim() {
	for len(h.Old) > 0 && len(h.New) > 0 && h.Old[0] == h.New[0] {
		h.Old, h.New = h.Old[1:], h.New[1:]
		h.OldFirst, h.First = h.OldFirst+1, h.First+1
	}
	for len(h.Old) > 0 && len(h.New) > 0 && h.Old[len(h.Old)-1] == h.New[len(h.New)-1] {
		h.Old, h.New = h.Old[:len(h.Old)-1], h.New[:len(h.New)-1]
	}
}

// lineAt is the line that holds a byte.
func (s *source) lineAt(i int) int {
	n, found := slices.BinarySearch(s.start, i)
	if found {
		n++
	}
	return max(min(n, s.lines()), 1)
}
