package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

// What happens to fish: each a short command.

func scalarPair(key, text string) records.Pair {
	return records.Pair{Key: key, Value: records.Scalar(text)}
}

// group is keys with values, without those that say nothing.
func group(pairs ...records.Pair) records.Value {
	return records.Map(slices.DeleteFunc(pairs, func(p records.Pair) bool { return p.Value.Empty() })...)
}

func newCount(env *environment) *cobra.Command {
	r := newRecorder(env)
	var n numberFlags
	var why string
	cmd := &cobra.Command{
		Use:   "count LOT",
		Short: "write down a new count of a lot",
		Long: `Write down a new count of a lot: all the fish that are in it on that day, those of no known sex as
--unsexed. A sex that the lot had must be given, 0 where none is left. Fish picked out, moved and sold
before are known already.`,
		Example: `  roebook count TF-D4 --males 2 --females 2 --why "one female jumped" --dry-run
  roebook count TF-E3 --males 5 --females 7 --date 2026-11-20`,
		Args: takes(1, 1, "the id of a lot"),
		RunE: func(_ *cobra.Command, args []string) error {
			return r.run(func(book *pedigree.Book) (*deed, error) { return r.counted(book, args[0], &n, why) })
		},
	}
	r.flags(cmd, true)
	n.flags(cmd, " there are")
	cmd.Flags().StringVar(&why, "why", "", "what `happened`")
	r.offer(cmd, 1, lots)
	return cmd
}

// counted plans a new census of a lot.
func (r *recorder) counted(book *pedigree.Book, id string, n *numberFlags, why string) (*deed, error) {
	s, on, err := r.stockOn(book, id)
	switch {
	case err != nil:
		return nil, err
	case !s.Lot:
		return nil, usageError("%s is one fish, and only a lot is counted", id)
	case !n.given():
		return nil, usageError("say how many there are: --males, --females, --unsexed")
	}
	before := book.Heads(s, on)
	if err := n.missingKinds(id, before, on); err != nil {
		return nil, err
	}
	d := &deed{id: id, words: id + " counted" + onDay(on) + ": " + census(numbersOf(n.count)) + differenceWords(before, numbersOf(n.count))}
	d.mean = func(m *meaning) {
		if words := soldThatDay(s, on); words != "" {
			m.words = append(m.words, words)
		}
		m.ofLine(s.Line)
	}
	if at := sameCount(s, on, n.count); at >= 0 {
		if why != "" && s.Changes[at].Why == "" {
			d.edits = []records.Edit{{Section: "stock", ID: id, Set: []records.Pair{scalarPair(fmt.Sprintf("changes[%d].why", at), why)}}}
		}
		return d, nil
	}
	keys := slices.Concat([]records.Pair{scalarPair("date", on.String())}, n.keys(), []records.Pair{scalarPair("why", why)})
	d.edits = []records.Edit{{Section: "stock", ID: id, Append: []records.Pair{{Key: "changes", Value: group(keys...)}}}}
	return d, nil
}

// ofLineOf says what a change means for the line of a record.
func ofLineOf(s *pedigree.Stock) func(m *meaning) { return func(m *meaning) { m.ofLine(s.Line) } }

func newMove(env *environment) *cobra.Command {
	r := newRecorder(env)
	cmd := &cobra.Command{
		Use:   "move ID... TANK",
		Short: "write down that fish are in another tank",
		Long:  `Write down in which tank fish are now. The last word is the tank. The book keeps no list of earlier tanks.`,
		Example: `  roebook move TF-D3a T5 --dry-run
  roebook move TF-E1 TF-E2 T1`,
		Args: takes(2, -1, "ids and the tank they are in now"),
		RunE: func(_ *cobra.Command, args []string) error {
			return r.run(func(book *pedigree.Book) (*deed, error) { return moved(book, args[:len(args)-1], args[len(args)-1]) })
		},
	}
	r.flags(cmd, false)
	r.offer(cmd, -1, func(c *completer) []string { return append(living(c), tankIDs(c)...) })
	return cmd
}

func moved(book *pedigree.Book, ids []string, tank string) (*deed, error) {
	if book.StockByID(tank) != nil || strings.TrimSpace(tank) == "" {
		return nil, usageError("the last word is the tank, and %q is none", tank)
	}
	ids = compact(ids)
	d := &deed{id: ids[0], words: all(ids) + verb(ids, " is", " are") + " in " + tank + " now"}
	for _, id := range ids {
		if _, err := stockNamed(book, id); err != nil {
			return nil, err
		}
		d.edits = append(d.edits, records.Edit{Section: "stock", ID: id, Set: []records.Pair{scalarPair("tank", tank)}})
	}
	d.mean = func(m *meaning) {
		m.line = book.StockByID(ids[0]).Line
		var there []string
		for _, s := range m.after.book.Stock {
			if now := m.after.book.Heads(s, m.after.state.Date()); s.Tank == tank && now.Total() > 0 && !slices.Contains(ids, s.ID) {
				there = append(there, s.ID+" ("+count(now.Total(), "fish")+")")
			}
		}
		if len(there) > 0 {
			m.words = append(m.words, "With them there: "+some(there, 6)+".")
		}
	}
	return d, nil
}

func verb(ids []string, one, several string) string {
	if len(ids) == 1 {
		return one
	}
	return several
}

func newSex(env *environment) *cobra.Command {
	r := newRecorder(env)
	var n numberFlags
	cmd := &cobra.Command{
		Use:   "sex ID [male|female]",
		Short: "write down the sex of a fish, or of the fish of a lot",
		Long: `Write down what sex a fish is. Of a lot give the numbers: it is a new count of all its fish, and those
still not told are --unsexed.`,
		Example: `  roebook sex TF-D3a female --dry-run
  roebook sex TF-E2 --males 4 --females 5 --date 2026-11-22`,
		Args: takes(1, 2, "an id, and for one fish its sex: male or female"),
		RunE: func(_ *cobra.Command, args []string) error {
			return r.run(func(book *pedigree.Book) (*deed, error) { return r.sexed(book, args, &n) })
		},
	}
	r.flags(cmd, true)
	n.flags(cmd, " of a lot")
	r.offer(cmd, 1, func(c *completer) []string {
		return c.stock(func(_ *pedigree.Stock, now pedigree.Numbers) bool { return now.Unsexed > 0 })
	})
	return cmd
}

func (r *recorder) sexed(book *pedigree.Book, args []string, n *numberFlags) (*deed, error) {
	s, err := stockNamed(book, args[0])
	switch {
	case err != nil:
		return nil, err
	case s.Lot && (len(args) > 1 || !n.given()):
		return nil, usageError("%s is a lot: give its numbers with --males, --females and --unsexed", s.ID)
	case s.Lot:
		return r.counted(book, s.ID, n, "sexed")
	case len(args) < 2 || n.given():
		return nil, usageError("%s is one fish: say male or female", s.ID)
	}
	sex := args[1]
	if !slices.Contains([]string{"male", "female", "unsexed"}, sex) {
		return nil, usageError("%q is no sex; write male or female", sex)
	}
	return &deed{id: s.ID, words: s.ID + " is " + sex,
		edits: []records.Edit{{Section: "stock", ID: s.ID, Set: []records.Pair{scalarPair("sex", sex)}}}, mean: ofLineOf(s)}, nil
}

func newRetire(env *environment) *cobra.Command {
	r := newRecorder(env)
	var n numberFlags
	cmd := &cobra.Command{
		Use:   "retire ID...",
		Short: "write down that fish are kept, but not bred from now on",
		Long: `Write down that fish are bred no longer. They go on living with you and count as living, but no pair is
proposed with them. A lot is retired whole: to retire some of it, pick them out first.`,
		Example: `  roebook retire TF-D2 --dry-run
  roebook retire TF-K1 --date 2026-11-01`,
		Args: takes(1, -1, "the id of a fish or a lot, or several"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := n.onlyWhole("retire", args[0]); err != nil {
				return err
			}
			return r.run(func(book *pedigree.Book) (*deed, error) { return r.ended(book, args, "retired", "retired") })
		},
	}
	r.flags(cmd, true)
	n.hidden(cmd)
	r.offer(cmd, -1, func(c *completer) []string {
		return c.stock(func(s *pedigree.Stock, _ pedigree.Numbers) bool { return !s.Retired.Known() })
	})
	return cmd
}

// ended plans a date on which something ended for whole records.
func (r *recorder) ended(book *pedigree.Book, ids []string, key, words string) (*deed, error) {
	on, err := r.day()
	if err != nil {
		return nil, err
	}
	ids = compact(ids)
	d := &deed{id: ids[0]}
	lines := map[string]bool{}
	var who []string
	for _, id := range ids {
		s, err := stockNamed(book, id)
		if err != nil {
			return nil, err
		}
		if before := map[string]pedigree.Date{"died": s.Died, "retired": s.Retired}[key]; before.Known() {
			return nil, usageError("%s has %s on record already: %s", id, key, before)
		}
		whole, err := wholeWords(book, s, on)
		if err != nil {
			return nil, err
		}
		who = append(who, whole)
		lines[s.Line] = true
		d.edits = append(d.edits, records.Edit{Section: "stock", ID: id, Set: []records.Pair{scalarPair(key, on.String())}})
	}
	d.words = capitalUnless(who[0] == ids[0], all(who)+" "+words+onDay(on))
	d.mean = func(m *meaning) {
		m.fromTomorrow(on, words)
		for _, line := range slices.Sorted(mapKeys(lines)) {
			m.ofLine(line)
		}
	}
	return d, nil
}

func newDie(env *environment) *cobra.Command {
	r := newRecorder(env)
	var n numberFlags
	var why string
	cmd := &cobra.Command{
		Use:   "die ID...",
		Short: "write down that fish have died",
		Long: `Write down that fish have died. With numbers some of a lot have, and the lot is counted anew without
them; without numbers all of it.

When several die within a few days, look at the water first, and ask a vet or a fish health adviser: some
diseases must be reported by law.`,
		Example: `  roebook die TF-D3a --dry-run
  roebook die TF-E1 --males 1 --why "jumped" --date yesterday`,
		Args: takes(1, -1, "the id of a fish or a lot, or several"),
		RunE: func(_ *cobra.Command, args []string) error {
			return r.run(func(book *pedigree.Book) (*deed, error) { return r.died(book, args, &n, why) })
		},
	}
	r.flags(cmd, true)
	n.flags(cmd, " died, of a lot")
	cmd.Flags().StringVar(&why, "why", "", "what `happened`")
	r.offer(cmd, -1, living)
	return cmd
}

func (r *recorder) died(book *pedigree.Book, ids []string, n *numberFlags, why string) (*deed, error) {
	if err := n.nobody("died"); err != nil {
		return nil, err
	}
	if n.given() {
		if len(ids) > 1 {
			return nil, usageError("numbers are for one lot at a time")
		}
		return r.someDied(book, ids[0], n, why)
	}
	d, err := r.ended(book, ids, "died", "died")
	if err == nil && why != "" {
		for i := range d.edits {
			d.edits[i].Append = []records.Pair{scalarPair("note", why)}
		}
	}
	return d, err
}

// someDied plans a count of a lot without those that died.
func (r *recorder) someDied(book *pedigree.Book, id string, n *numberFlags, why string) (*deed, error) {
	s, on, err := r.stockOn(book, id)
	if err != nil {
		return nil, err
	}
	if !s.Lot {
		return nil, usageError("%s is one fish; leave the numbers out", id)
	}
	now := book.Heads(s, on)
	left := pedigree.Count{}
	for _, part := range []struct {
		now  float64
		died int
		left *int
		noun string
	}{{now.Males, n.count.Males, &left.Males, "male"}, {now.Females, n.count.Females, &left.Females, "female"}, {now.Unsexed, n.count.Unsexed, &left.Unsexed, "unsexed fish"}} {
		if part.now != math.Trunc(part.now) {
			return nil, usageError("how many of each sex %s holds is not known to a whole fish; count it: roebook count %s", id, id)
		}
		if part.died > int(part.now) {
			return nil, usageError("%s holds %s%s, and cannot lose %d", id, count(part.now, part.noun), onDay(on), part.died)
		}
		*part.left = int(part.now) - part.died
	}
	words := census(numbersOf(n.count)) + " of " + id + " died" + onDay(on)
	if left.Total() == 0 {
		d, err := r.ended(book, []string{id}, "died", "died")
		if err == nil && why != "" {
			d.edits[0].Append = []records.Pair{scalarPair("note", why)}
		}
		return d, err
	}
	if why == "" {
		why = fmt.Sprintf("%s died", census(numbersOf(n.count)))
	}
	keys := slices.Concat([]records.Pair{scalarPair("date", on.String())}, censusKeys(left), []records.Pair{scalarPair("why", why)})
	return &deed{id: id, words: words + "; " + census(numbersOf(left)) + " left",
		edits: []records.Edit{{Section: "stock", ID: id, Append: []records.Pair{{Key: "changes", Value: group(keys...)}}}}, mean: ofLineOf(s)}, nil
}
