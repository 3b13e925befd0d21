package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
	"roebook/pedigree"
)

// completer finds the words that the shell may offer.
type completer struct {
	book *pedigree.Book
	on   pedigree.Date
}

// offer completes the arguments of a command; most < 0: any number of them.
func (r *recorder) offer(cmd *cobra.Command, most int, list func(*completer) []string) {
	cmd.ValidArgsFunction = func(_ *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if most >= 0 && len(args) >= most {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return r.words(list, begun, args), cobra.ShellCompDirectiveNoFileComp
	}
}

// offerFor completes the value of an option.
func (r *recorder) offerFor(cmd *cobra.Command, flag string, list func(*completer) []string) {
	err := cmd.RegisterFlagCompletionFunc(flag, func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
		return r.words(list, begun, nil), cobra.ShellCompDirectiveNoFileComp
	})
	if err != nil {
		panic(err) // there is no such option
	}
}

// words lists what may stand where a word was begun, or the last word of a list
// with commas. A book that cannot be read has none to offer.
func (r *recorder) words(list func(*completer) []string, begun string, taken []string) []string {
	c := &completer{book: &pedigree.Book{}, on: r.today()}
	if dir, err := r.folder(); err == nil {
		if book, _, err := records.ReadCached(dir, r.cacheOptions()); err == nil {
			c.book = book
		}
	}
	head, last := "", begun
	if i := strings.LastIndexByte(begun, ','); i >= 0 {
		head, last = begun[:i+1], begun[i+1:]
	}
	var out []string
	for _, word := range list(c) {
		id, _, _ := strings.Cut(word, "\t")
		if strings.HasPrefix(id, last) && !slices.Contains(taken, id) && !slices.Contains(strings.Split(head, ","), id) {
			out = append(out, head+word)
		}
	}
	return out
}

// stock lists records with fish in them, and beside each what it is.
func (c *completer) stock(want func(s *pedigree.Stock, now pedigree.Numbers) bool) []string {
	var out []string
	for _, s := range c.book.Stock {
		now := c.book.Heads(s, c.on)
		if now.Total() == 0 || want != nil && !want(s, now) {
			continue
		}
		words := census(now)
		if !s.Lot {
			words = s.Sex.String()
		}
		if s.Tank != "" {
			words += ", in " + s.Tank
		}
		out = append(out, s.ID+"\t"+words)
	}
	return out
}

func living(c *completer) []string { return c.stock(nil) }

func lots(c *completer) []string {
	return c.stock(func(s *pedigree.Stock, _ pedigree.Numbers) bool { return s.Lot })
}

// ofSex lists what may be a parent of that sex.
func ofSex(sex pedigree.Sex) func(*completer) []string {
	return func(c *completer) []string {
		return c.stock(func(s *pedigree.Stock, now pedigree.Numbers) bool {
			if !s.Lot {
				return s.Sex == sex
			}
			return now.Unsexed > 0 || sex == pedigree.Male && now.Males > 0 || sex == pedigree.Female && now.Females > 0
		})
	}
}

func spawns(c *completer) []string {
	var out []string
	for _, s := range slices.Backward(c.book.Spawns) {
		words := s.Date.String()
		if s.IsPlanned() {
			words = "planned for " + s.Planned.String()
		}
		out = append(out, s.ID+"\t"+words)
	}
	return out
}

func everyID(c *completer) []string {
	var out []string
	for _, s := range c.book.Stock {
		out = append(out, s.ID)
	}
	return append(out, spawns(c)...)
}

func lines(c *completer) []string {
	var out []string
	for _, line := range c.book.Lines {
		out = append(out, line.Name)
	}
	return out
}

func tankIDs(c *completer) []string {
	var out []string
	for _, line := range c.book.Lines {
		for _, tank := range line.Tanks {
			out = append(out, tank.ID+"\t"+tank.Place)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
