package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"roebook/genetics/sums"
)

func newTestMating(env *environment) *cobra.Command {
	ask := testQuestion{with: "recessive", doubt: 0.01, test: sums.Test{Each: 1}}
	cmd := &cobra.Command{
		Use:   "test-mating",
		Short: "normal young to see before a fish is held free of a hidden recessive",
		Long: `Work out how many normal young, and no other, a fish must have before it is held free of a recessive that
it may carry unseen. It is mated with a fish that shows the recessive, with a known carrier, or with its
own daughters or sons. With --normal the other way round: what so many normal young tell.

Formula: were it a carrier, n young would all be normal with (1/2)^n by a mate that shows the recessive,
(3/4)^n by a known carrier, (7/8)^n by n of its own daughters with one young each; m young of one
daughter with 1/2 + 1/2 x (3/4)^m, for she may be free of it herself. The number is the smallest that
leaves strictly less than the doubt. With --before, the odds that it is a carrier come into it by
Bayes' rule: before x P / (before x P + 1 - before). Source: Mendel's ratios; the table of courses in animal
breeding, which rounds: with a known carrier it prints 16 at 1 % and 24 at 0.1 % where the strict rule
gives 17 and 25.

Such a mating may bring young that suffer. Make it only where the recessive is harmless or local
welfare law allows it, and cull only as that law says.`,
		Example: `  roebook how-many test-mating --with carrier --doubt 1%
  roebook how-many test-mating --with daughters --each 6 --doubt 5%
  roebook how-many test-mating --with recessive --before 2/3 --normal 4`,
		Args: takes(0, 0, "no argument"),
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			if _, err := onlyOne(cmd, "doubt", "normal"); err != nil {
				return err
			}
			ask.reverse = cmd.Flags().Changed("normal")
			ask.suspected = cmd.Flags().Changed("before")
			if ask.test.Mate, err = mateOf(ask.with); err != nil {
				return err
			}
			if ask.test.Mate != sums.Offspring && cmd.Flags().Changed("each") {
				return usageError("--each goes with --with daughters or --with sons: other mates are known, and one is as good as many")
			}
			return testMating(env, ask)
		},
	}
	cmd.Flags().StringVar(&ask.with, "with", ask.with, "the `mate`: recessive (it shows it), carrier (it is known to carry it), daughters or sons")
	cmd.Flags().Var(shareValue{&ask.doubt}, "doubt", "the `share` of doubt to be left, as 1%")
	cmd.Flags().Var(shareValue{&ask.before}, "before", "the `odds`, before the test, that it is a carrier, as 2/3 for a normal sib of a fish that shows the recessive")
	cmd.Flags().Var(wholeNumber{&ask.test.Each, 1, 1_000_000}, "each", "how many young of each daughter or son are raised, a `number`")
	cmd.Flags().Var(wholeNumber{&ask.normal, 1, sums.Most}, "normal", "say what that `number` of normal young, and no other, tells")
	optional(cmd, "normal")
	jsonFlag(cmd, &ask.json)
	return cmd
}

type testQuestion struct {
	test               sums.Test
	with               string
	doubt, before      float64
	normal             int
	reverse, suspected bool
	json               bool
}

func mateOf(with string) (sums.Mate, error) {
	switch with {
	case "recessive":
		return sums.Recessive, nil
	case "carrier":
		return sums.Carrier, nil
	case "daughters", "sons":
		return sums.Offspring, nil
	}
	return 0, usageError("--with: %q is neither recessive, carrier, daughters nor sons", with)
}

type testJSON struct {
	reply
	With        string  `json:"with"`
	Young       int     `json:"young"`
	Mates       int     `json:"mates"`
	Passed      float64 `json:"carrier_passes"` // the odds that a carrier has so many normal young and no other
	Before      number  `json:"carrier_before"`
	CarrierOdds number  `json:"carrier_after"`
}

func testMating(env *environment, ask testQuestion) error {
	young, err := ask.young()
	if err != nil {
		return err
	}
	document := testJSON{With: ask.with, Young: young, Mates: 1}
	if ask.test.Mate == sums.Offspring {
		document.Mates = (young + ask.test.Each - 1) / ask.test.Each
	}
	if document.Passed, err = ask.test.Passed(young); err != nil {
		return err
	}
	left := document.Passed
	if ask.suspected {
		if left, err = ask.test.CarrierOdds(ask.before, young); err != nil {
			return err
		}
		document.Before, document.CarrierOdds = &ask.before, known(left, true)
	}
	value, answer := float64(young), ""
	switch {
	case ask.reverse && ask.suspected:
		value, answer = left, ask.after(left, young)+": with these odds the fish is a carrier still. Why: "+ask.tells(document)
	case ask.reverse:
		value, answer = left, ask.after(left, young)+": "+ask.tells(document)
	case young == 0:
		answer = fmt.Sprintf("0: no test is needed, for the odds that it is a carrier, %s, are below the doubt of %s already.", plain(ask.before), plain(ask.doubt))
	default:
		answer = fmt.Sprintf("%s normal young%s and no other are needed: %s That is below the doubt of %s; one fewer would leave %s.",
			grouped(young), ask.mates(document.Mates), ask.tells(document), plain(ask.doubt), ask.fewer(young))
	}
	document.reply = replied(value, answer, ask.notes()...)
	return env.tell(document.reply, document, ask.json)
}

// young is the number asked for, or the one given.
func (ask testQuestion) young() (int, error) {
	switch {
	case ask.reverse:
		return ask.normal, nil
	case ask.suspected:
		return ask.test.YoungGiven(ask.before, ask.doubt)
	}
	return ask.test.Young(ask.doubt)
}

// after writes the odds that so many young leave, never as nothing where some
// doubt is left.
func (ask testQuestion) after(odds float64, young int) string {
	if young > 0 && !(ask.suspected && (ask.before == 0 || ask.before == 1)) {
		odds = unsure(odds)
	}
	if odds < 0.01 {
		return small(odds)
	}
	return chance(odds)
}

// tells says what so many normal young mean.
func (ask testQuestion) tells(d testJSON) string {
	young := grouped(d.Young) + " normal young and no other"
	mate := map[string]string{"recessive": "a fish that shows the recessive", "carrier": "a fish known to carry it",
		"daughters": "its own daughters", "sons": "its own sons"}[ask.with]
	words := fmt.Sprintf("a carrier, mated with %s, would have %s with odds of %s.", mate, young, ask.after(d.Passed, d.Young))
	if d.CarrierOdds != nil {
		words += fmt.Sprintf(" A fish that was a carrier with odds of %s before the test is one with odds of %s after it.",
			plain(ask.before), ask.after(*d.CarrierOdds, d.Young))
	}
	return words
}

// mates says how many mates that takes.
func (ask testQuestion) mates(n int) string {
	if ask.test.Mate != sums.Offspring {
		return ""
	}
	noun := "daughter"
	if ask.with == "sons" {
		noun = "son"
	}
	return fmt.Sprintf(" of %s (at most %s of each)", groupedCount(n, noun), grouped(ask.test.Each))
}

// fewer says what one young less would leave.
func (ask testQuestion) fewer(young int) string {
	left, err := ask.test.Passed(young - 1)
	if ask.suspected {
		left, err = ask.test.CarrierOdds(ask.before, young-1)
	}
	if err != nil {
		return ""
	}
	return fine(left)
}

// fine writes a share to four decimals, so that 1.0023 % is seen to be above 1 %.
func fine(p float64) string {
	if p < 0.001 {
		return small(p)
	}
	return trimmed(100*p, 4, 2) + " %"
}

func (ask testQuestion) notes() []string {
	notes := []string{"A single young that shows the recessive settles it: the fish is a carrier. Young that died uncounted tell nothing, " +
		"so the test is of no use for what kills before it can be seen."}
	if !ask.reverse {
		rule := "The rule: the smallest number that leaves strictly less than the doubt."
		if ask.test.Mate == sums.Carrier {
			rule += " Tables in print round to the nearest: with a known carrier they have 16 for 1 % and 24 for 0.1 %, " +
				"which leave 1.0023 % and 0.1003 %; the rule gives 17 and 25."
		}
		notes = append(notes, rule)
	}
	if !ask.suspected {
		notes = append(notes, "This is how often a carrier would pass the test unseen. How likely the fish is a carrier after it depends also on "+
			"how likely it was before: say so with --before, as 2/3 for a normal sib of a fish that shows the recessive.")
	}
	if ask.test.Mate == sums.Offspring {
		notes = append(notes, "Their other parent is taken to be free of the recessive. Many young of one daughter or son tell little more than a few, "+
			"for she or he may not have it: take many mates rather than many young of each. Their young are inbred, 25 % and more: a test, not a line.")
	}
	return append(notes, "Such a mating may bring young that suffer: make it only where the recessive is harmless or local welfare law allows it.")
}
