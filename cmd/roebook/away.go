package main

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

func mapKeys(m map[string]bool) iter.Seq[string] { return maps.Keys(m) }

func newSell(env *environment) *cobra.Command {
	r := newRecorder(env)
	var n numberFlags
	var to, note string
	cmd := &cobra.Command{
		Use:   "sell ID",
		Short: "write down that fish were sold or given away",
		Long: `Write down that fish went to somebody else. Of a lot say how many; without numbers the whole lot went.

Rules about trade and keeping differ from place to place: what the fish need in papers is between you, the
buyer and the local law.`,
		Example: `  roebook sell TF-D1 --males 1 --females 2 --to "Ivo Tresswold, Tolgarrow" --dry-run
  roebook sell TF-D3a --to "the Nether Quill aquarium society" --date 2026-11-21`,
		Args: takes(1, 1, "the id of a fish or a lot"),
		RunE: func(_ *cobra.Command, args []string) error {
			return r.run(func(book *pedigree.Book) (*deed, error) {
				s, on, err := r.stockOn(book, args[0])
				if err != nil {
					return nil, err
				}
				if !s.Lot && n.given() {
					return nil, usageError("%s is one fish; leave the numbers out", s.ID)
				}
				if err := n.nobody("went"); err != nil {
					return nil, err
				}
				who, err := wholeWords(book, s, on)
				if err != nil {
					return nil, err
				}
				if n.given() {
					who = census(numbersOf(n.count)) + " of " + s.ID
				}
				keys := slices.Concat([]records.Pair{scalarPair("date", on.String()), scalarPair("to", to)}, n.keys(), []records.Pair{scalarPair("note", note)})
				return &deed{id: s.ID, words: capitalUnless(who == s.ID, who+" sold"+toWords(to)+onDay(on)),
					edits: []records.Edit{{Section: "stock", ID: s.ID, Append: []records.Pair{{Key: "sold", Value: group(keys...)}}}}, mean: fromTomorrow(s, on, "sold")}, nil
			})
		},
	}
	r.flags(cmd, true)
	n.flags(cmd, " went, of a lot")
	cmd.Flags().StringVar(&to, "to", "", "`who` has them now")
	cmd.Flags().StringVar(&note, "note", "", "any `remark` on the sale")
	r.offer(cmd, 1, living)
	return cmd
}

func newLend(env *environment) *cobra.Command {
	r := newRecorder(env)
	var n numberFlags
	var to, note string
	var back bool
	cmd := &cobra.Command{
		Use:   "lend ID",
		Short: "write down that fish are lent, or back again",
		Long: `Write down that a fish or a whole lot is lent to somebody, or with --back that it has come back.
To lend some of a lot, pick them out first.`,
		Example: `  roebook lend TF-D1a --to "Hedda Vosskamp, Brinkelau" --date 2026-11-20
  roebook lend TF-D1a --back`,
		Args: takes(1, 1, "the id of a fish or a lot"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := n.onlyWhole("lend", args[0]); err != nil {
				return err
			}
			return r.run(func(book *pedigree.Book) (*deed, error) {
				s, on, err := r.stockOn(book, args[0])
				if err != nil {
					return nil, err
				}
				if back {
					return broughtBack(s, on)
				}
				if open := openLoan(s); open >= 0 {
					return nil, usageError("%s is lent%s since %s; when it is back: roebook lend %s --back", s.ID, toWords(s.Lent[open].To), s.Lent[open].Date, s.ID)
				}
				who, err := wholeWords(book, s, on)
				if err != nil {
					return nil, err
				}
				keys := group(scalarPair("date", on.String()), scalarPair("to", to), scalarPair("note", note))
				return &deed{id: s.ID, words: capitalUnless(who == s.ID, who+" lent"+toWords(to)+onDay(on)),
					edits: []records.Edit{{Section: "stock", ID: s.ID, Append: []records.Pair{{Key: "lent", Value: keys}}}}, mean: fromTomorrow(s, on, "lent")}, nil
			})
		},
	}
	r.flags(cmd, true)
	n.hidden(cmd)
	cmd.Flags().StringVar(&to, "to", "", "`who` has them meanwhile")
	cmd.Flags().StringVar(&note, "note", "", "any `remark` on the loan")
	cmd.Flags().BoolVar(&back, "back", false, "they have come back")
	r.offer(cmd, 1, living)
	return cmd
}

// openLoan is the last loan from which the fish are not back, -1 where none is.
func openLoan(s *pedigree.Stock) int {
	for i, loan := range slices.Backward(s.Lent) {
		if !loan.Back.Known() {
			return i
		}
	}
	return -1
}

func broughtBack(s *pedigree.Stock, on pedigree.Date) (*deed, error) {
	open := openLoan(s)
	if open < 0 {
		return nil, usageError("%s is not lent to anybody", s.ID)
	}
	return &deed{id: s.ID, words: s.ID + " is back" + fromWords(s.Lent[open].To) + " since " + on.String(),
		edits: []records.Edit{{Section: "stock", ID: s.ID, Set: []records.Pair{scalarPair(fmt.Sprintf("lent[%d].back", open), on.String())}}}, mean: ofLineOf(s)}, nil
}

func newNote(env *environment) *cobra.Command {
	r := newRecorder(env)
	var replace bool
	cmd := &cobra.Command{
		Use:   "note ID TEXT...",
		Short: "write a remark to a fish, a lot or a spawn",
		Long:  `Write a remark into a record. Where it has a note already, the new one is added to it; --replace writes over it.`,
		Example: `  roebook note TF-D3a "torn dorsal fin, healing" --dry-run
  roebook note TF-S18 moved the pair to T6`,
		Args: takes(2, -1, "an id and the remark"),
		RunE: func(_ *cobra.Command, args []string) error {
			return r.run(func(book *pedigree.Book) (*deed, error) {
				edit := records.Edit{ID: args[0], Section: "stock"}
				if book.SpawnByID(edit.ID) != nil {
					edit.Section = "spawns"
				} else if book.StockByID(edit.ID) == nil {
					return nil, unknownID(book, edit.ID)
				}
				text := strings.TrimSpace(strings.Join(args[1:], " "))
				if text == "" || strings.ContainsAny(text, "\n\r\t") {
					return nil, usageError("the remark must be one line of text")
				}
				if replace {
					edit.Set = []records.Pair{scalarPair("note", text)}
				} else {
					edit.Append = []records.Pair{scalarPair("note", text)}
				}
				return &deed{id: edit.ID, words: "Noted to " + edit.ID, edits: []records.Edit{edit}}, nil
			})
		},
	}
	r.flags(cmd, false)
	cmd.Flags().BoolVar(&replace, "replace", false, "in the place of the note that stands there")
	r.offer(cmd, 1, everyID)
	return cmd
}

func newRename(env *environment) *cobra.Command {
	r := newRecorder(env)
	cmd := &cobra.Command{
		Use:   "rename OLD NEW",
		Short: "give a record another id, wherever it is used",
		Long: `Give a fish, a lot or a spawn another id: in its own record, and in all that name it, in every file of
the book. Remarks and comments stay as they are; where the old id stands in them is told.`,
		Example: `  roebook rename TF-D1a TF-Brass --dry-run`,
		Args:    takes(2, 2, "the old id and the new"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := fitID(args[1]); err != nil {
				return err
			}
			return r.run(func(book *pedigree.Book) (*deed, error) {
				section := "stock"
				if book.SpawnByID(args[0]) != nil {
					section = "spawns"
				} else if book.StockByID(args[0]) == nil {
					return nil, unknownID(book, args[0])
				}
				return &deed{id: args[0], became: args[1], words: args[0] + " is " + args[1] + " now",
					edits: []records.Edit{{Section: section, ID: args[0], Rename: args[1]}}}, nil
			})
		},
	}
	r.flags(cmd, false)
	r.offer(cmd, 1, everyID)
	return cmd
}
