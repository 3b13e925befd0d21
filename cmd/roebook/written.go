package main

import (
	"strconv"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

// What the commands that write have in common: looking up what they name, and
// numbers of fish.

// idsOf lists every id of a book.
func idsOf(book *pedigree.Book) []string {
	var names []string
	for _, s := range book.Stock {
		names = append(names, s.ID)
	}
	for _, s := range book.Spawns {
		names = append(names, s.ID)
	}
	return names
}

func unknownID(book *pedigree.Book, id string) error {
	return usageError("no fish, lot or spawn is called %s%s", id, didYouMean(id, idsOf(book)))
}

// stockNamed finds a fish or a lot.
func stockNamed(book *pedigree.Book, id string) (*pedigree.Stock, error) {
	if s := book.StockByID(id); s != nil {
		return s, nil
	}
	if book.SpawnByID(id) != nil {
		return nil, usageError("%s is a spawn; this is for fish and lots", id)
	}
	return nil, unknownID(book, id)
}

// stockOn finds a fish or a lot, and reads the day.
func (r *recorder) stockOn(book *pedigree.Book, id string) (*pedigree.Stock, pedigree.Date, error) {
	s, err := stockNamed(book, id)
	if err != nil {
		return nil, 0, err
	}
	on, err := r.day()
	return s, on, err
}

// lineIn finds a line by its name; the only one where no name is given.
func lineIn(book *pedigree.Book, name string) (string, error) {
	if name == "" && len(book.Lines) == 1 {
		return book.Lines[0].Name, nil
	}
	if name == "" {
		return "", usageError("say which line it belongs to: --line, one of %s", some(namesOf(book.Lines), 8))
	}
	if book.LineNamed(name) == nil {
		return "", usageError("no line is called %s%s", name, didYouMean(name, namesOf(book.Lines)))
	}
	return name, nil
}

func namesOf(lines []*pedigree.Line) []string {
	var names []string
	for _, line := range lines {
		names = append(names, line.Name)
	}
	return names
}

// numberFlags are numbers of fish by sex.
type numberFlags struct {
	cmd   *cobra.Command
	count pedigree.Count
}

func (n *numberFlags) flags(cmd *cobra.Command, what string) {
	n.cmd = cmd
	countFlag(cmd, &n.count.Males, "males", "how many males"+what)
	countFlag(cmd, &n.count.Females, "females", "how many females"+what)
	countFlag(cmd, &n.count.Unsexed, "unsexed", "how many of no known sex"+what)
}

// hidden adds the numbers to a command that takes none, to say what to do instead.
func (n *numberFlags) hidden(cmd *cobra.Command) {
	n.flags(cmd, "")
	for _, name := range []string{"males", "females", "unsexed"} {
		cmd.Flags().Lookup(name).Hidden = true
	}
}

// onlyWhole refuses numbers for what happens to whole records.
func (n *numberFlags) onlyWhole(verb, id string) error {
	if !n.given() {
		return nil
	}
	flags := ""
	for _, pair := range n.keys() {
		flags += " --" + pair.Key + " " + strconv.Itoa(map[string]int{"males": n.count.Males, "females": n.count.Females, "unsexed": n.count.Unsexed}[pair.Key])
	}
	return usageError("a lot is %s whole; to %s some of it, pick them out first: roebook add --picked %s%s", participle(verb), verb, shellQuoted(id), flags)
}

func participle(verb string) string {
	return map[string]string{"lend": "lent", "retire": "retired"}[verb]
}

// countFlag adds an option for a number that is not stated unless it is given.
func countFlag(cmd *cobra.Command, n *int, name, meaning string) {
	cmd.Flags().Var(wholeNumber{n, 0, 1_000_000}, name, meaning)
	cmd.Flags().Lookup(name).DefValue = ""
}

// given reports whether any number was.
func (n *numberFlags) given() bool {
	flags := n.cmd.Flags()
	return flags.Changed("males") || flags.Changed("females") || flags.Changed("unsexed")
}

// nobody refuses numbers that are all 0.
func (n *numberFlags) nobody(verb string) error {
	if n.given() && n.count.Total() == 0 {
		return usageError("say how many %s; leave the numbers out for all of them", verb)
	}
	return nil
}

// keys are the numbers that were given, as they are written.
func (n *numberFlags) keys() []records.Pair {
	var out []records.Pair
	for _, part := range []struct {
		key string
		n   int
	}{{"males", n.count.Males}, {"females", n.count.Females}, {"unsexed", n.count.Unsexed}} {
		if n.cmd.Flags().Changed(part.key) {
			out = append(out, records.Pair{Key: part.key, Value: records.Int(part.n)})
		}
	}
	return out
}

// censusKeys are a full census: what is not there is left out, unless nothing is.
func censusKeys(c pedigree.Count) []records.Pair {
	var out []records.Pair
	for _, part := range []struct {
		key string
		n   int
	}{{"males", c.Males}, {"females", c.Females}, {"unsexed", c.Unsexed}} {
		if part.n > 0 || part.key == "unsexed" && len(out) == 0 {
			out = append(out, records.Pair{Key: part.key, Value: records.Int(part.n)})
		}
	}
	return out
}
