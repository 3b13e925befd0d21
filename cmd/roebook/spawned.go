package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

// spawnCounts are the counts that a spawn may have, in their order.
var spawnCounts = []struct{ key, meaning string }{
	{"eggs", "eggs laid"}, {"fertile", "eggs that were fertile"}, {"hatched", "fry hatched"}, {"born", "fry born, of livebearers"},
	{"swimming", "fry that came to swim freely"}, {"kept", "fry kept to grow"}, {"deformed", "fry deformed"}, {"culled", "fry culled"},
	{"lost", "fry lost"},
}

// spawnFlags are the flags of the command spawn.
type spawnFlags struct {
	*recorder
	cmd                              *cobra.Command
	line, sire, dam, group, repeat   string
	sires, dams, planned, tank, note string
	conceivedWild, virgin, intended  bool
	counts                           map[string]*int
	seen                             []string
	seenDays                         int
}

func newSpawn(env *environment) *cobra.Command {
	f := &spawnFlags{recorder: newRecorder(env), counts: map[string]*int{}}
	f.cmd = &cobra.Command{
		Use:   "spawn [ID]",
		Short: "write down a spawn, or counts for one that is there",
		Long: `Write down a spawn: who bred, when, and how many fry. With the id of a spawn that is in the book, what
is given is written into it; a planned one has then happened on --date. Without an id the next one of the
line's own pattern is taken.

A parent is one id, several with commas (any one of them, nobody knows which), or several with their odds
(A=3,B=1). A side that is left out is one unknown fish. Out of a group one male and one female are taken to
be the parents of all the fry; where more of them bred, say so with --sires and --dams.`,
		Example: `  roebook spawn --sire TF-D1a --dam TF-K1 --born 23 --dry-run
  roebook spawn TF-S18 --born 21 --kept 12 --date 2026-11-22
  roebook spawn TF-S17 --deformed 1
  roebook spawn CW-S16 --seen blond:blond=13 --seen-days 30 --dry-run
  roebook spawn --group TF-E1 --dams all --planned 2027-01-09 --dry-run`,
		Args: takes(0, 1, "at most one id"),
		RunE: func(_ *cobra.Command, args []string) error {
			return f.run(func(book *pedigree.Book) (*deed, error) {
				if len(args) > 0 && book.SpawnByID(args[0]) != nil {
					return f.more(book, book.SpawnByID(args[0]))
				}
				return f.fresh(book, strings.Join(args, ""))
			})
		},
	}
	f.flags(f.cmd, true)
	flags := f.cmd.Flags()
	flags.StringVar(&f.sire, "sire", "", "the father, `ID`s")
	flags.StringVar(&f.dam, "dam", "", "the mother, `ID`s")
	flags.StringVar(&f.group, "group", "", "both parents came from this `LOT`, or from these")
	flags.StringVar(&f.repeat, "repeat", "", "the same parents as this `SPAWN`, whoever they were")
	flags.StringVar(&f.sires, "sires", "", "how many fathers the fry have: a `number`, or all (otherwise 1)")
	flags.StringVar(&f.dams, "dams", "", "how many mothers the fry have: a `number`, or all (otherwise 1)")
	flags.StringVar(&f.planned, "planned", "", "only intended, for that `day`")
	flags.StringVar(&f.line, "line", "", "the `name` of the line it belongs to (otherwise that of its parents)")
	for _, c := range spawnCounts {
		n := new(int)
		f.counts[c.key] = n
		countFlag(f.cmd, n, c.key, c.meaning)
	}
	flags.StringArrayVar(&f.seen, "seen", nil, "how many fry showed a look, as `LOCUS:PHENOTYPE=N`; once for each")
	countFlag(f.cmd, &f.seenDays, "seen-days", "the age in days at which the looks were counted")
	flags.StringVar(&f.tank, "tank", "", "the `tank` where it happened")
	flags.StringVar(&f.note, "note", "", "any `remark`")
	flags.BoolVar(&f.conceivedWild, "conceived-wild", false, "the dam was caught carrying")
	flags.BoolVar(&f.virgin, "virgin", false, "the dam had met no other male")
	flags.BoolVar(&f.intended, "intended", false, "the odd pairing is meant")
	f.offer(f.cmd, 1, spawns)
	f.offerFor(f.cmd, "sire", ofSex(pedigree.Male))
	f.offerFor(f.cmd, "dam", ofSex(pedigree.Female))
	f.offerFor(f.cmd, "group", lots)
	f.offerFor(f.cmd, "repeat", spawns)
	f.offerFor(f.cmd, "line", lines)
	f.offerFor(f.cmd, "tank", tankIDs)
	return f.cmd
}

// keys are what the flags say of a spawn, its date aside.
func (f *spawnFlags) keys(seen []pedigree.Seen) ([]records.Pair, error) {
	var out []records.Pair
	for _, side := range []struct{ key, ids string }{{"sire", f.sire}, {"dam", f.dam}, {"group", f.group}} {
		if side.ids == "" {
			continue
		}
		value, err := idsValue(side.key, side.ids, side.key != "group")
		if err != nil {
			return nil, err
		}
		out = append(out, records.Pair{Key: side.key, Value: value})
	}
	out = appendText(out, "repeat", f.repeat)
	for _, side := range []struct{ key, n string }{{"sires", f.sires}, {"dams", f.dams}} {
		if n, err := strconv.Atoi(side.n); side.n != "" && side.n != "all" && (err != nil || n < 1) {
			return nil, usageError("--%s: %q is not a number of parents; write 1 or more, or all", side.key, side.n)
		}
		out = appendText(out, side.key, side.n)
	}
	for _, c := range spawnCounts {
		if f.cmd.Flags().Changed(c.key) {
			out = append(out, records.Pair{Key: c.key, Value: records.Int(*f.counts[c.key])})
		}
	}
	if len(f.seen) > 0 {
		value, err := seenValue(f.seen, seen)
		if err != nil {
			return nil, err
		}
		out = append(out, records.Pair{Key: "seen", Value: value})
	}
	if f.cmd.Flags().Changed("seen-days") {
		out = append(out, records.Pair{Key: "seen-days", Value: records.Int(f.seenDays)})
	}
	out = appendText(out, "tank", f.tank)
	if f.conceivedWild {
		out = appendText(out, "conceived", "wild")
	}
	if f.virgin {
		out = appendText(out, "virgin", "true")
	}
	if f.intended {
		out = appendText(out, "intended", "true")
	}
	return out, nil
}

// appendText adds a key where there is a text for it.
func appendText(pairs []records.Pair, key, text string) []records.Pair {
	if text == "" {
		return pairs
	}
	return append(pairs, records.Pair{Key: key, Value: records.Scalar(text)})
}

// idsValue reads one id, several with commas, or ids with their odds.
func idsValue(flag, text string, odds bool) (records.Value, error) {
	words := strings.Split(text, ",")
	var list []records.Value
	var shares []records.Pair
	for _, word := range words {
		id, share, has := strings.Cut(strings.TrimSpace(word), "=")
		if n, err := strconv.ParseFloat(share, 64); has && (!odds || err != nil || !(n > 0)) {
			return records.Value{}, usageError("--%s: %q is no id with its odds, such as A=3", flag, word)
		}
		if id == "" {
			return records.Value{}, usageError("--%s: an id is missing in %q", flag, text)
		}
		if has {
			shares = append(shares, records.Pair{Key: id, Value: records.Scalar(share)})
		} else {
			list = append(list, records.Scalar(id))
		}
	}
	switch {
	case len(shares) > 0 && len(list) > 0:
		return records.Value{}, usageError("--%s: give every id its odds, or none", flag)
	case len(shares) > 0:
		return records.Map(shares...), nil
	case len(list) == 1:
		return list[0], nil
	}
	return records.Seq(list...), nil
}

// named lists the ids that the flags name as parents.
func (f *spawnFlags) named() []string {
	var out []string
	for _, text := range []string{f.dam, f.sire, f.group} {
		for word := range strings.SplitSeq(text, ",") {
			if id, _, _ := strings.Cut(strings.TrimSpace(word), "="); id != "" {
				out = append(out, id)
			}
		}
	}
	return out
}

// parentsWords names the parents as they were given.
func (f *spawnFlags) parentsWords() string {
	side := func(text string) string {
		switch {
		case text == "":
			return "unknown"
		case strings.Contains(text, "="):
			return text
		}
		return either(strings.Split(text, ","))
	}
	switch {
	case f.group != "":
		return " of " + all(strings.Split(f.group, ","))
	case f.repeat != "":
		return ", as " + f.repeat
	}
	return " of " + side(f.sire) + " x " + side(f.dam)
}

// fresh plans a new spawn.
func (f *spawnFlags) fresh(book *pedigree.Book, id string) (*deed, error) {
	if f.sire == "" && f.dam == "" && f.group == "" && f.repeat == "" {
		if id != "" {
			return nil, usageError("no spawn is called %s%s; for a new one say who bred: --sire and --dam, --group or --repeat",
				id, didYouMean(id, idsOf(book)))
		}
		return nil, usageError("say who bred: --sire and --dam, --group or --repeat")
	}
	line := f.line
	for _, named := range f.named() {
		s := book.StockByID(named)
		if s == nil {
			return nil, unknownID(book, named)
		}
		if line == "" {
			line = s.Line
		}
	}
	if f.repeat != "" {
		s := book.SpawnByID(f.repeat)
		if s == nil {
			return nil, unknownID(book, f.repeat)
		}
		if line == "" {
			line = s.Line
		}
	}
	if _, err := lineIn(book, line); err != nil {
		return nil, err
	}
	if id == "" {
		id = proposer{book, line}.spawn()
	}
	keys, err := f.keys(nil)
	if err != nil {
		return nil, err
	}
	key := "date"
	on, err := f.day()
	if f.planned != "" {
		key = "planned"
		on, err = f.on(key, f.planned)
	}
	if err != nil {
		return nil, err
	}
	keys = append(appendText(keys, "note", f.note), records.Pair{Key: key, Value: records.Scalar(on.String())})
	words := broodWord(book, line) + " " + id + f.parentsWords() + onDay(on)
	if key == "planned" {
		words = "planned: " + broodWord(book, line) + " " + id + f.parentsWords() + " for " + on.String()
	}
	return &deed{id: id, words: capital(words), edits: []records.Edit{{Section: "spawns", ID: id, Line: line, New: true, Set: keys}},
		mean: f.mean(&pedigree.Spawn{ID: id, Line: line})}, nil
}

func (f *spawnFlags) mean(spawn *pedigree.Spawn) func(m *meaning) {
	return func(m *meaning) {
		m.takenAsTwo(spawn.ID)
		if written := m.after.book.SpawnByID(spawn.ID); written != nil && written.IsPlanned() {
			if mix := m.after.mixWords(written); mix != "" {
				m.words = append(m.words, "Beware: "+mix+".")
			}
		}
		m.ofRecord(spawn.ID)
		m.line = spawn.Line
		m.ifKept(spawn)
	}
}

// more plans what is given for a spawn that is there.
func (f *spawnFlags) more(book *pedigree.Book, spawn *pedigree.Spawn) (*deed, error) {
	keys, err := f.keys(spawn.Seen)
	if err != nil {
		return nil, err
	}
	if f.line != "" {
		return nil, usageError("--line: %s is in the book already, and of the line %s", spawn.ID, spawn.Line)
	}
	edit := records.Edit{Section: "spawns", ID: spawn.ID, Set: keys}
	if f.note != "" {
		edit.Append = appendText(nil, "note", f.note)
	}
	words := broodWord(book, spawn.Line) + " " + spawn.ID
	switch {
	case f.planned != "":
		on, err := f.on("planned", f.planned)
		if err != nil {
			return nil, err
		}
		edit.Set = appendText(edit.Set, "planned", on.String())
		words += " planned for " + on.String()
	case spawn.IsPlanned() || f.cmd.Flags().Changed("date"):
		on, err := f.day()
		if err != nil {
			return nil, err
		}
		if spawn.IsPlanned() {
			edit.Instead = []records.Instead{{Of: "planned", Pair: records.Pair{Key: "date", Value: records.Scalar(on.String())}}}
			words += ", planned for " + spawn.Planned.String() + ", came" + onDay(on)
		} else {
			edit.Set = appendText(edit.Set, "date", on.String())
			words += onDay(on)
		}
	case len(keys) == 0 && f.note == "":
		return nil, usageError("%s is in the book already: say what is to be written of it, such as --born or --kept", spawn.ID)
	}
	var counts []string
	for _, c := range spawnCounts {
		if f.cmd.Flags().Changed(c.key) {
			counts = append(counts, fmt.Sprintf("%d %s", *f.counts[c.key], c.key))
		}
	}
	if len(f.seen) > 0 {
		counts = append(counts, "seen "+strings.Join(f.seen, ", "))
	}
	if len(counts) > 0 {
		words += ": " + all(counts)
	}
	return &deed{id: spawn.ID, words: capital(words), edits: []records.Edit{edit}, mean: f.mean(spawn)}, nil
}
