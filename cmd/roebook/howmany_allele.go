package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"roebook/genetics/sums"
)

func newAllele(env *environment) *cobra.Command {
	ask := alleleQuestion{sure: 0.95}
	cmd := &cobra.Command{
		Use:   "allele FREQUENCY",
		Short: "fish to catch, or to keep, so that a rare gene variant is among them",
		Long: `Work out how many fish to catch so that a rare variant of a gene (an allele) is among them at least
once. FREQUENCY is its share of all the genes of its kind in the stock: each fish has two. With
--generations, how large a line must be kept so that it is not lost in so many generations. With --fish
the other way round: the odds with so many fish.

Formula: n fish miss an allele of frequency q with (1 - q)^(2n); a line of effective size Ne keeps it for
g generations with (1 - (1 - q)^(2 Ne))^g, where q is taken to be the same in every generation.
Sources: Marshall & Brown 1975 (59 genes, so 30 fish, for 95 % at 5 %) and Tave 1999, FAO Fisheries
Technical Paper 392 (263 for 95 % at 1 % over 10 generations), both from memory and worked out again;
Sirkkomaa 1983, Hereditas 99:11.`,
		Example: `  roebook how-many allele 5%
  roebook how-many allele 1% --generations 10
  roebook how-many allele 5% --fish 12`,
		Args: takes(1, 1, "the frequency of the allele, as 5%"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if _, err := onlyOne(cmd, "odds", "fish"); err != nil {
				return err
			}
			if ask.q, err = fraction(args[0]); err != nil {
				return err
			}
			return allele(env, ask)
		},
	}
	cmd.Flags().Var(shareValue{&ask.sure}, "odds", "how sure you want to be: the `odds`, as 99%")
	cmd.Flags().Var(wholeNumber{&ask.generations, 1, 1_000_000}, "generations", "keep it for that `number` of generations")
	cmd.Flags().Var(wholeNumber{&ask.fish, 1, sums.Most}, "fish", "say how likely that `number` of fish is to hold it")
	optional(cmd, "generations", "fish")
	jsonFlag(cmd, &ask.json)
	return cmd
}

type alleleQuestion struct {
	q, sure           float64
	generations, fish int
	json              bool
}

type alleleJSON struct {
	reply
	Frequency   float64 `json:"frequency"`
	Fish        int     `json:"fish"`        // with generations: the effective size
	Generations *int    `json:"generations"` // null for one catch
	Odds        float64 `json:"odds"`
}

func allele(env *environment, ask alleleQuestion) error {
	document := alleleJSON{Frequency: ask.q, Fish: ask.fish}
	generations := max(ask.generations, 1)
	if ask.generations > 0 {
		document.Generations = &generations
	}
	var err error
	if ask.fish == 0 {
		if document.Fish, err = sums.SizeForAllele(ask.q, generations, ask.sure); err != nil {
			return err
		}
	}
	if document.Odds, err = sums.AlleleKept(ask.q, document.Fish, generations); err != nil {
		return err
	}
	document.reply, err = ask.reply(document.Fish, document.Odds)
	if err != nil {
		return err
	}
	return env.tell(document.reply, document, ask.json)
}

func (ask alleleQuestion) reply(n int, odds float64) (reply, error) {
	fish := grouped(n) + " unrelated fish, caught at random,"
	what := fmt.Sprintf("hold a gene variant of frequency %s at least once", plain(ask.q))
	if n == 1 {
		what = fmt.Sprintf("holds a gene variant of frequency %s at least once", plain(ask.q))
	}
	unit := grouped(n) + " fish"
	if ask.generations > 0 {
		fish = "a line of effective size " + grouped(n) + " in every generation"
		what = fmt.Sprintf("keeps a gene variant of frequency %s for %s", plain(ask.q), groupedCount(ask.generations, "generation"))
		unit = "Effective size " + grouped(n)
	}
	if ask.fish > 0 {
		shown := odds
		if ask.q < 1 {
			shown = unsure(odds)
		}
		return replied(odds, fmt.Sprintf("%s: with these odds %s %s.", chance(shown), fish, what), ask.notes()...), nil
	}
	answer := fmt.Sprintf("%s: %s %s with odds of %s.", unit, fish, what, chance(odds))
	if n > 1 {
		fewer, err := sums.AlleleKept(ask.q, n-1, max(ask.generations, 1))
		if err != nil {
			return reply{}, err
		}
		answer += fmt.Sprintf(" With one fewer the odds are %s, and you asked for %s.", chance(fewer), plain(ask.sure))
	}
	return replied(float64(n), answer, ask.notes()...), nil
}

func (ask alleleQuestion) notes() []string {
	notes := []string{fmt.Sprintf("A frequency of %s is a share of genes, not of fish: each fish has two genes of the kind, "+
		"so about %s of the fish carry it. Brothers and sisters share genes and count for fewer.", plain(ask.q), chance(ask.q*(2-ask.q)))}
	if ask.generations > 0 {
		return append(notes, "The sum takes the variant to be as frequent in every generation as in the first. In truth it drifts up "+
			"and down, so over many generations the odds are somewhat worse than said. "+
			effectiveSizeMeans+": see how-many size.")
	}
	return append(notes, "Catching fish may need a permit, and a small wild stock can be harmed by it: local law and those who look after the water come first.")
}
