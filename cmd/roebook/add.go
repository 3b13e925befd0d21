package main

import (
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

// addFlags are the flags of the command add.
type addFlags struct {
	*recorder
	numberFlags
	cmd                                                *cobra.Command
	wild, bought                                       bool
	spawn, picked, merged, line                        string
	site, collector, permit, from, generation, related string
	sex, tank, name, note, born, quarantine            string
	genotype, phenotype                                []string
}

func newAdd(env *environment) *cobra.Command {
	f := &addFlags{recorder: newRecorder(env)}
	f.cmd = &cobra.Command{
		Use:   "add [ID]",
		Short: "write down fish: caught, bought, bred, picked out or put together",
		Long: `Write down a fish, or with numbers a lot: fish kept as a group. Say where they came from: --wild,
--bought, --spawn (fry), --picked (out of a lot) or --merged (of several records put together). Without an
id the next one of the line's own pattern is taken.

--merged takes what each record gave, with commas: males.females.unsexed, as in TF-D1=2.4, or the number
alone of fish that are not told apart. The numbers of the new lot are their sum, unless they are given.

Fish from the wild: what may be caught, brought in and kept is for the local law to say.`,
		Example: `  roebook spawn TF-S18 --born 21 --kept 12 --date 2026-11-22
  roebook add --spawn TF-S18 --unsexed 12 --tank T6
  roebook add --picked TF-E1 --sex female --tank T6 --date yesterday
  roebook add --wild --line tessamora-ford --site "below the ford" --males 2 --females 3 --quarantine-until 2026-12-20
  roebook add --bought --line tessamora-ford --from "Ivo Tresswold" --generation F3 --related siblings --males 1 --females 2
  roebook add --picked CW-H3 --sex male --phenotype blond=blond --dry-run
  roebook add --merged TF-D1=1.2,TF-D2=1.1 --tank T2 --dry-run`,
		Args: takes(0, 1, "at most one id"),
		RunE: func(_ *cobra.Command, args []string) error {
			return f.run(func(book *pedigree.Book) (*deed, error) { return f.plan(book, strings.Join(args, "")) })
		},
	}
	f.recorder.flags(f.cmd, true)
	f.numberFlags.flags(f.cmd, ", of a lot")
	flags := f.cmd.Flags()
	flags.BoolVar(&f.wild, "wild", false, "caught")
	flags.BoolVar(&f.bought, "bought", false, "from elsewhere: the parents are not in the book")
	flags.StringVar(&f.spawn, "spawn", "", "fry of this `SPAWN`, or of several with their numbers: S1=20,S2=10")
	flags.StringVar(&f.picked, "picked", "", "taken out of this `LOT`")
	flags.StringVar(&f.merged, "merged", "", "put together from these `records`, as A=2.4,B=6")
	flags.StringVar(&f.line, "line", "", "the `line` of caught or bought fish")
	for _, text := range []struct {
		to           *string
		key, meaning string
	}{{&f.site, "site", "the `place` where they were caught"}, {&f.collector, "collector", "`who` caught them"}, {&f.permit, "permit", "the `number` of the permit"},
		{&f.from, "from", "`who` sold or gave them"}, {&f.generation, "generation", "the seller's `word`: F3, F2-F4, F2+ or wild"},
		{&f.related, "related", "`kinship` of two of them: unrelated, half-siblings, siblings or a number"},
		{&f.sex, "sex", "`sex` of one fish: male, female or unsexed"}, {&f.tank, "tank", "the `tank` they are kept in"}, {&f.name, "name", "a `name` beside the id"},
		{&f.born, "born", "the `day` they were born, where it is known otherwise"}, {&f.quarantine, "quarantine-until", "kept apart until this `day`"},
		{&f.note, "note", "any `remark`"}} {
		flags.StringVar(text.to, text.key, "", text.meaning)
	}
	flags.StringArrayVar(&f.genotype, "genotype", nil, "what it carries, as `LOCUS=P/p`; once for each locus")
	flags.StringArrayVar(&f.phenotype, "phenotype", nil, "how it looks, as `LOCUS=PHENOTYPE`; once for each locus")
	f.offer(f.cmd, 0, everyID)
	f.offerFor(f.cmd, "spawn", spawns)
	f.offerFor(f.cmd, "picked", lots)
	f.offerFor(f.cmd, "merged", living)
	f.offerFor(f.cmd, "line", lines)
	f.offerFor(f.cmd, "tank", tankIDs)
	f.offerFor(f.cmd, "sex", func(*completer) []string { return []string{"male", "female", "unsexed"} })
	return f.cmd
}

// origin says which of the five ways was given.
func (f *addFlags) origin() (string, error) {
	var given []string
	for _, way := range []struct {
		is  bool
		key string
	}{{f.wild, "wild"}, {f.bought, "bought"}, {f.spawn != "", "spawn"}, {f.picked != "", "picked"}, {f.merged != "", "merged"}} {
		if way.is {
			given = append(given, way.key)
		}
	}
	switch len(given) {
	case 1:
		return given[0], nil
	case 0:
		return "", usageError("say where they came from: --wild, --bought, --spawn, --picked or --merged")
	}
	return "", usageError("they came from one of --%s, not all", strings.Join(given, " and --"))
}

// foreign refuses flags that belong to another origin.
func (f *addFlags) foreign(origin string) error {
	own := map[string]string{"site": "wild", "collector": "wild", "permit": "wild", "from": "bought", "generation": "bought"}
	for _, flag := range []string{"site", "collector", "permit", "from", "generation"} {
		if f.cmd.Flags().Changed(flag) && own[flag] != origin {
			return usageError("--%s is said of fish that are --%s", flag, own[flag])
		}
	}
	if founder := origin == "wild" || origin == "bought"; !founder && f.cmd.Flags().Changed("related") {
		return usageError("--related is said of caught or bought fish; of others the book knows")
	} else if !founder && f.line != "" {
		return usageError("--line is said of caught or bought fish; others are of the line they came from")
	}
	return nil
}

// plan plans a new stock record.
func (f *addFlags) plan(book *pedigree.Book, id string) (*deed, error) {
	origin, err := f.origin()
	if err != nil {
		return nil, err
	}
	if err := f.foreign(origin); err != nil {
		return nil, err
	}
	on, err := f.day()
	if err != nil {
		return nil, err
	}
	from, count, line, err := f.source(book, origin, on)
	if err != nil {
		return nil, err
	}
	keys := []records.Pair{from}
	if origin == "picked" || origin == "merged" || origin == "spawn" && f.cmd.Flags().Changed("date") {
		keys = append(keys, scalarPair("date", on.String()))
	}
	lot := f.given() || origin == "merged"
	switch {
	case f.given():
		keys = append(keys, f.numberFlags.keys()...)
	case lot:
		keys = append(keys, censusKeys(count)...)
	case f.sex == "":
		return nil, usageError("say how many: --males, --females or --unsexed; or for one fish --sex male, female or unsexed")
	}
	if lot && f.sex != "" {
		return nil, usageError("--sex is for one fish; a lot has numbers")
	}
	for _, day := range []struct{ key, text string }{{"born", f.born}, {"quarantine-until", f.quarantine}} {
		if day.text != "" {
			date, err := f.on(day.key, day.text)
			if err != nil {
				return nil, err
			}
			keys = append(keys, scalarPair(day.key, date.String()))
		}
	}
	for _, text := range []struct{ key, text string }{{"sex", f.sex}, {"name", f.name}, {"tank", f.tank}, {"note", f.note}} {
		keys = appendText(keys, text.key, text.text)
	}
	for _, noted := range []struct {
		key, example string
		given        []string
	}{{"genotype", "pale=P/p", f.genotype}, {"phenotype", "pale=dark", f.phenotype}} {
		if len(noted.given) == 0 {
			continue
		}
		value, err := traitsValue(noted.key, noted.example, noted.given)
		if err != nil {
			return nil, err
		}
		keys = append(keys, records.Pair{Key: noted.key, Value: value})
	}
	if id == "" {
		id = proposer{book, line}.stock(origin, f.picked)
	}
	return &deed{id: id, words: id + ": " + f.words(origin, lot, count), mean: func(m *meaning) {
		m.setAside(m.after.book.StockByID(id))
		m.ofRecord(id)
		m.ofLine(line)
	}, edits: []records.Edit{{Section: "stock", ID: id, Line: line, New: true, Set: keys}}}, nil
}

func (f *addFlags) words(origin string, lot bool, count pedigree.Count) string {
	words := "one fish, " + f.sex
	if f.given() {
		words = census(numbersOf(f.numberFlags.count))
	} else if lot {
		words = census(numbersOf(count))
	}
	switch origin {
	case "wild":
		return words + ", wild-caught"
	case "bought":
		return words + ", bought" + fromWords(f.from)
	case "spawn":
		return words + ", fry of " + f.spawn
	case "picked":
		return words + ", picked out of " + f.picked
	}
	var parts []string
	for word := range strings.SplitSeq(f.merged, ",") {
		id, _, _ := strings.Cut(strings.TrimSpace(word), "=")
		parts = append(parts, id)
	}
	return words + ", put together from " + all(parts)
}

// source is the key that says where the fish came from, with how many they are
// where that says so, and their line.
func (f *addFlags) source(book *pedigree.Book, origin string, on pedigree.Date) (pair records.Pair, count pedigree.Count, line string, err error) {
	pair.Key = origin
	switch origin {
	case "wild":
		pair.Value = group(scalarPair("site", f.site), scalarPair("date", on.String()), scalarPair("collector", f.collector),
			scalarPair("permit", f.permit), scalarPair("related", f.related))
		line, err = lineIn(book, f.line)
	case "bought":
		pair.Value = group(scalarPair("from", f.from), scalarPair("date", on.String()), scalarPair("generation", f.generation), scalarPair("related", f.related))
		line, err = lineIn(book, f.line)
	case "picked":
		pair.Value = records.Scalar(f.picked)
		var s *pedigree.Stock
		if s, err = stockNamed(book, f.picked); err == nil {
			line = s.Line
		}
	case "spawn":
		pair.Value, line, err = f.fry(book)
	case "merged":
		pair.Value, count, line, err = f.parts(book)
	}
	return pair, count, line, err
}

// fry reads the spawn, or the spawns with their numbers.
func (f *addFlags) fry(book *pedigree.Book) (value records.Value, line string, err error) {
	if value, err = idsValue("spawn", f.spawn, true); err != nil {
		return value, "", err
	}
	for word := range strings.SplitSeq(f.spawn, ",") {
		id, _, has := strings.Cut(strings.TrimSpace(word), "=")
		s := book.SpawnByID(id)
		switch {
		case s == nil && book.StockByID(id) != nil:
			return value, "", usageError("%s is stock; --spawn takes the id of a spawn", id)
		case s == nil:
			return value, "", unknownID(book, id)
		case !has && strings.Contains(f.spawn, ","):
			return value, "", usageError("--spawn: say how many of each, as S1=20,S2=10")
		case line == "":
			line = s.Line
		}
	}
	return value, line, nil
}

// parts reads what each record gave to a merged lot.
func (f *addFlags) parts(book *pedigree.Book) (value records.Value, sum pedigree.Count, line string, err error) {
	var pairs []records.Pair
	for word := range strings.SplitSeq(f.merged, ",") {
		id, text, has := strings.Cut(strings.TrimSpace(word), "=")
		s, err := stockNamed(book, id)
		if err != nil {
			return value, sum, "", err
		}
		if line == "" {
			line = s.Line
		}
		if !has && s.Lot {
			return value, sum, "", usageError("--merged: say how many of %s, as %s=2.4", id, id)
		}
		part, bare, err := partCount(text)
		if err != nil {
			return value, sum, "", err
		}
		switch {
		case !s.Lot: // one fish, as what it is
			pairs = append(pairs, records.Pair{Key: id, Value: records.Int(1)})
			part = pedigree.Count{}
			*map[pedigree.Sex]*int{pedigree.Male: &part.Males, pedigree.Female: &part.Females, pedigree.Unsexed: &part.Unsexed}[s.Sex] = 1
		case bare:
			pairs = append(pairs, records.Pair{Key: id, Value: records.Int(part.Unsexed)})
		default:
			pairs = append(pairs, records.Pair{Key: id, Value: records.Map(censusKeys(part)...)})
		}
		sum = pedigree.Count{Males: sum.Males + part.Males, Females: sum.Females + part.Females, Unsexed: sum.Unsexed + part.Unsexed}
	}
	return records.Map(pairs...), sum, line, nil
}

// setAside says which parts of a merged lot were retired or are in quarantine: the
// lot is neither.
func (m *meaning) setAside(s *pedigree.Stock) {
	if s == nil {
		return
	}
	var retired []string
	var until pedigree.Date
	var waiting []string
	for _, part := range s.Merged {
		from := m.after.book.StockByID(part.ID)
		if from == nil {
			continue
		}
		if from.Retired.Known() {
			retired = append(retired, from.ID)
		}
		if from.QuarantineUntil > s.Date {
			waiting = append(waiting, from.ID)
			until = max(until, from.QuarantineUntil)
		}
	}
	if len(retired) > 0 {
		m.words = append(m.words, "Beware: "+all(retired)+verb(retired, " is", " are")+" retired, and "+s.ID+
			" is not: its fish are proposed for pairs. If they are not to be bred: roebook retire "+shellQuoted(s.ID)+".")
	}
	if len(waiting) > 0 && s.QuarantineUntil < until {
		m.words = append(m.words, "Beware: "+all(waiting)+verb(waiting, " is", " are")+" in quarantine until "+until.String()+", and "+s.ID+" is not.")
	}
}

// partCount reads 2.4 or 2.4.1 (males, females, unsexed), or a bare number.
func partCount(text string) (c pedigree.Count, bare bool, err error) {
	if text == "" {
		return c, true, nil
	}
	words := strings.Split(text, ".")
	numbers := make([]int, 3)
	for i, word := range words {
		n, err := strconv.Atoi(word)
		if err != nil || n < 0 || i > 2 {
			return c, false, usageError("--merged: %q is no number of fish; write 2.4 for 2 males and 4 females, or 6", text)
		}
		numbers[i] = n
	}
	if len(words) == 1 {
		return pedigree.Count{Unsexed: numbers[0]}, true, nil
	}
	return pedigree.Count{Males: numbers[0], Females: numbers[1], Unsexed: numbers[2]}, slices.Max(numbers) == 0, nil
}
