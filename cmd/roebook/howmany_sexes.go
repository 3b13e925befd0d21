package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"roebook/genetics/sums"
)

func newSexes(env *environment) *cobra.Command {
	ask := sexesQuestion{want: sums.Sexes{Males: 1, Females: 1}, male: 0.5, sure: 0.95}
	cmd := &cobra.Command{
		Use:   "sexes",
		Short: "unsexed fish to buy, to have males and females among them",
		Long: `Work out how many unsexed fish to buy so that there is at least one male and one female among them, or
as many as you want of each. With --fish the other way round: the odds that so many fish hold them.

Formula: of n fish the males are a binomial number, P(enough of both) = 1 - P(males too few) - P(females
too few). For one of each and even odds that is 1 - 2 x (1/2)^n. Source: plain probability.`,
		Example: `  roebook how-many sexes
  roebook how-many sexes --males 2 --females 4 --odds 99%
  roebook how-many sexes --fish 6`,
		Args: takes(0, 0, "no argument"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if _, err := onlyOne(cmd, "odds", "fish"); err != nil {
				return err
			}
			return sexes(env, ask)
		},
	}
	cmd.Flags().Var(wholeNumber{&ask.want.Males, 0, 1_000_000}, "males", "how many `males` you want at least")
	cmd.Flags().Var(wholeNumber{&ask.want.Females, 0, 1_000_000}, "females", "how many `females` you want at least")
	cmd.Flags().Var(shareValue{&ask.sure}, "odds", "how sure you want to be: the `odds`, as 99%")
	cmd.Flags().Var(shareValue{&ask.male}, "male-share", "the `share` of males among such fish")
	cmd.Flags().Var(wholeNumber{&ask.fish, 1, sums.Most}, "fish", "say how likely that `number` of fish is to hold them")
	optional(cmd, "fish")
	jsonFlag(cmd, &ask.json)
	return cmd
}

type sexesQuestion struct {
	want       sums.Sexes
	male, sure float64
	fish       int
	json       bool
}

type sexesJSON struct {
	reply
	Fish      int     `json:"fish"`
	Odds      float64 `json:"odds"` // that they hold them
	Males     int     `json:"males"`
	Females   int     `json:"females"`
	MaleShare float64 `json:"male_share"`
}

func sexes(env *environment, ask sexesQuestion) error {
	var sides []string
	if ask.want.Males > 0 {
		sides = append(sides, groupedCount(ask.want.Males, "male"))
	}
	if ask.want.Females > 0 {
		sides = append(sides, groupedCount(ask.want.Females, "female"))
	}
	wanted := "at least " + all(sides)
	notes := []string{
		fmt.Sprintf("It assumes that each fish is male with odds of %s, whatever the others are. A shop's tank that has been picked "+
			"over for one sex, or a strain that throws one sex, is another matter: see --male-share.", plain(ask.male)),
		"Fish bought out of one tank are often brothers and sisters: buying sexes is not buying unrelated founders.",
	}
	document := sexesJSON{Fish: ask.fish, Males: ask.want.Males, Females: ask.want.Females, MaleShare: ask.male}
	if ask.fish > 0 {
		odds, err := sums.SexesAmong(ask.fish, ask.want, ask.male)
		if err != nil {
			return err
		}
		document.Odds = odds
		if ask.fish >= ask.want.Males+ask.want.Females {
			odds = unsure(odds)
		}
		document.reply = replied(document.Odds, fmt.Sprintf("%s: with these odds %s hold %s.", chance(odds), groupedCount(ask.fish, "unsexed fish"), wanted), notes...)
		return env.tell(document.reply, document, ask.json)
	}
	n, err := sums.FishForSexes(ask.want, ask.male, ask.sure)
	if err != nil {
		return err
	}
	document.Fish = n
	if document.Odds, err = sums.SexesAmong(n, ask.want, ask.male); err != nil {
		return err
	}
	answer := fmt.Sprintf("%s fish: bought unsexed, they hold %s with odds of %s.", grouped(n), wanted, chance(document.Odds))
	if n > ask.want.Males+ask.want.Females {
		fewer, err := sums.SexesAmong(n-1, ask.want, ask.male)
		if err != nil {
			return err
		}
		answer += fmt.Sprintf(" With one fewer the odds are %s, and you asked for %s.", chance(fewer), plain(ask.sure))
	}
	document.reply = replied(float64(n), answer, notes...)
	return env.tell(document.reply, document, ask.json)
}
