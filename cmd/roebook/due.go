package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/pedigree"
)

// due is something to do or to look for on a day.
type due struct {
	On   pedigree.Date
	What string // one of the kinds below
	ID   string
	Why  string
}

// The kinds of what is due.
const (
	quarantineEnds = "quarantine ends"
	spawnExpected  = "young expected"
	toSex          = "to be sexed"
	toBreed        = "old enough to breed"
	toCount        = "to be counted"
)

func newDue(env *environment) *cobra.Command {
	from := source{env: env}
	var line string
	var days int
	var calendar bool
	cmd := &cobra.Command{
		Use:   "due",
		Short: "what the coming weeks bring",
		Long: `Show what the coming weeks bring: quarantines that end, young to expect (planned, or by how often the
same female has spawned so far), fish old enough to be sexed or to breed, and counts to take. What is past
its day and not done stands first.

--ics writes it for a calendar program (iCalendar, RFC 5545).`,
		Example: `  roebook due --on 2026-11-24
  roebook due --days 60 --line tessamora-ford --on 2026-11-24
  roebook due --ics --on 2026-11-24`,
		Args: takes(0, 0, "no argument"),
		RunE: func(*cobra.Command, []string) error {
			l, err := from.load()
			if err != nil {
				return err
			}
			if line != "" {
				if _, err := l.lineNamed(line); err != nil {
					return err
				}
			}
			on := l.state.Date()
			d := &dues{loaded: l, line: line, until: on.AddDays(days)}
			d.find()
			p := env.page()
			switch {
			case from.json:
				err = p.asJSON(d.document())
			case calendar:
				d.calendar(p)
			default:
				d.write(p)
			}
			return orElse(err, func() error { return l.finish(p) })
		},
	}
	from.flags(cmd)
	cmd.Flags().StringVar(&line, "line", "", "only of that line")
	cmd.Flags().Var(wholeNumber{&days, 1, 3660}, "days", "how many days to look ahead")
	cmd.Flags().BoolVar(&calendar, "ics", false, "write a calendar")
	days = 42
	cmd.Flags().Lookup("days").DefValue = "42"
	return cmd
}

// dues finds what is due.
type dues struct {
	*loaded
	line  string
	until pedigree.Date
	list  []due
}

func (d *dues) find() {
	today := d.state.Date()
	for _, s := range d.book.Stock {
		now := d.book.Heads(s, today)
		if d.line != "" && s.Line != d.line || now.Total() == 0 {
			continue
		}
		if s.QuarantineUntil >= today {
			d.add(s.QuarantineUntil, quarantineEnds, s.ID, "kept apart until then")
		}
		d.ofAge(s, now)
		d.recount(s)
	}
	d.young()
	slices.SortStableFunc(d.list, func(a, b due) int {
		return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.What, b.What), cmp.Compare(a.ID, b.ID))
	})
}

func (d *dues) add(on pedigree.Date, what, id, why string) {
	if on.Known() && on <= d.until {
		d.list = append(d.list, due{pedigree.DateOf(on.Time()), what, id, why})
	}
}

// ofAge looks for fish that reach the age at which the line's fish mature.
func (d *dues) ofAge(s *pedigree.Stock, now pedigree.Numbers) {
	line, born := d.book.LineNamed(s.Line), d.book.BornOn(s)
	if line == nil || !born.Known() {
		return
	}
	first := pedigree.Date(0) // of the sex that matures first
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		from := d.book.MatureFrom(s, sex)
		if !from.Known() {
			continue
		}
		if !first.Known() || from < first {
			first = from
		}
		n := map[pedigree.Sex]float64{pedigree.Male: now.Males, pedigree.Female: now.Females}[sex]
		if n > 0 && from >= d.state.Date() && !s.Retired.Known() {
			d.add(from, toBreed, s.ID, fmt.Sprintf("%s, born %s", count(n, sex.String()), born))
		}
	}
	if now.Unsexed > 0 {
		d.add(first, toSex, s.ID, fmt.Sprintf("%s, born %s, of an age at which %s fish mature", count(now.Unsexed, "unsexed fish"), born, s.Line))
	}
}

// countEvery is how often a lot is counted where the line has no habit of its
// own: common practice, no source.
const countEvery = 183

// recount looks for lots that were last counted as long ago as the line's lots
// usually are.
func (d *dues) recount(s *pedigree.Stock) {
	if !s.Lot {
		return
	}
	last := d.book.Begins(s)
	for _, c := range s.Changes {
		if c.Date <= d.state.Date() {
			last = max(last, c.Date)
		}
	}
	every, own := d.countInterval(s.Line)
	why := fmt.Sprintf("last counted %s; lots are best counted twice a year", last)
	if own {
		why = fmt.Sprintf("last counted %s; in %s that is done every %d days", last, s.Line, every)
	}
	d.add(last.AddDays(every), toCount, s.ID, why)
}

// countInterval is the middle interval between counts of one lot in a line.
func (d *dues) countInterval(line string) (days int, own bool) {
	var gaps []int
	for _, s := range d.book.Stock {
		for i := range s.Changes {
			if i > 0 && s.Line == line && s.Changes[i].Date > s.Changes[i-1].Date {
				gaps = append(gaps, daysBetween(s.Changes[i-1].Date, s.Changes[i].Date))
			}
		}
	}
	if len(gaps) < 3 {
		return countEvery, false
	}
	return median(gaps), true
}

func median(list []int) int {
	slices.Sort(list)
	return (list[(len(list)-1)/2] + list[len(list)/2]) / 2
}

func daysBetween(a, b pedigree.Date) int { return int(b.Time().Sub(a.Time()).Hours() / 24) }

// young looks for spawns to expect: planned ones, and the next of females whose
// last one is on record, by their own middle interval, else that of their line.
func (d *dues) young() {
	byDam := map[string][]pedigree.Date{}
	for _, spawn := range d.book.Spawns {
		if d.line != "" && spawn.Line != d.line {
			continue
		}
		if spawn.IsPlanned() {
			d.add(spawn.Planned, spawnExpected, spawn.ID, "planned: "+sideWords(d.book, spawn, pedigree.Male)+" x "+sideWords(d.book, spawn, pedigree.Female))
		}
		dams := d.book.Contributors(spawn, pedigree.Female)
		if spawn.Date%100 != 0 && spawn.Date <= d.state.Date() && len(dams) == 1 {
			byDam[dams[0].Stock.ID] = append(byDam[dams[0].Stock.ID], spawn.Date)
		}
	}
	usual := map[string][]int{} // intervals of all females of a line
	own := map[string][]int{}
	for id, days := range byDam {
		slices.Sort(days)
		for i := range days[1:] {
			own[id] = append(own[id], daysBetween(days[i], days[i+1]))
		}
		line := d.book.StockByID(id).Line
		usual[line] = append(usual[line], own[id]...)
	}
	for id, days := range byDam {
		s := d.book.StockByID(id)
		now := d.book.Heads(s, d.state.Date())
		if s.Retired.Known() || now.Total() == now.Males {
			continue
		}
		last, gaps, whose := days[len(days)-1], own[id], "every %d days so far"
		if len(gaps) == 0 {
			gaps, whose = slices.Clone(usual[s.Line]), "females of "+s.Line+" spawn every %d days"
		}
		if len(gaps) == 0 {
			continue
		}
		every := median(gaps)
		if next := last.AddDays(every); next >= d.state.Date() { // what has not come by then is no longer to be expected by this
			d.add(next, spawnExpected, id, fmt.Sprintf("last on %s, and "+whose, last, every))
		}
	}
}

func (d *dues) write(p *page) {
	if len(d.list) == 0 {
		p.say("Nothing is due until %s.", d.until)
		return
	}
	p.say("Due until %s:", d.until)
	var rows [][]string
	for _, x := range d.list {
		on := x.On.String()
		if x.On < d.state.Date() {
			on += " (past)"
		}
		rows = append(rows, []string{on, x.What, x.ID, x.Why})
	}
	p.table([]column{{head: "on"}, {head: "what"}, {head: "record"}, {head: "why", wrap: true}}, rows)
}

type dueJSON struct {
	On   string `json:"on"`
	What string `json:"what"`
	ID   string `json:"id"`
	Why  string `json:"why"`
}

func (d *dues) document() []dueJSON {
	list := []dueJSON{}
	for _, x := range d.list {
		list = append(list, dueJSON{x.On.String(), x.What, x.ID, x.Why})
	}
	return list
}

// calendar writes iCalendar (RFC 5545): one event of a whole day each. Events
// keep their name from run to run, so that a calendar takes them in once.
func (d *dues) calendar(p *page) {
	line := func(name, value string) { writeFolded(p, name+":"+value) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//roebook//roebook "+version+"//EN")
	line("X-WR-CALNAME", escaped(d.whole.Name))
	for _, x := range d.list {
		line("BEGIN", "VEVENT")
		line("UID", escaped(strings.ReplaceAll(x.What, " ", "-")+"/"+x.ID+"/"+x.On.String()+"@"+d.whole.Name))
		line("DTSTAMP", d.env.now().UTC().Format("20060102T150405Z"))
		line("DTSTART;VALUE=DATE", x.On.Time().Format("20060102"))
		line("DTEND;VALUE=DATE", x.On.AddDays(1).Time().Format("20060102"))
		line("SUMMARY", escaped(x.ID+" "+x.What))
		line("DESCRIPTION", escaped(x.Why))
		line("TRANSP", "TRANSPARENT")
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
}

// escaped writes a text as section 3.3.11 of RFC 5545 wants it.
func escaped(text string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(clean(text))
}

// writeFolded writes a line with its end, cut after 75 bytes, never within a
// character; what goes on begins with a space (section 3.1).
func writeFolded(p *page, text string) {
	room := 75
	for len(text) > room {
		cut := room
		for text[cut]&0xc0 == 0x80 {
			cut--
		}
		p.WriteString(text[:cut] + "\r\n ")
		text, room = text[cut:], 74
	}
	p.WriteString(text + "\r\n")
}
