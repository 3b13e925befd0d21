package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"roebook/genetics/sums"
)

func newFounders(env *environment) *cobra.Command {
	var asJSON bool
	var fish int
	related := "unrelated"
	cmd := &cobra.Command{
		Use:   "founders [DIVERSITY]",
		Short: "founders to begin a line with, for a share of the stock's variety",
		Long: `Work out how many founders hold a share of the variety (the gene diversity) of the stock that they are
taken from. With --fish the other way round: what so many founders hold.

Formula: N unrelated founders hold 1 - 1/(2N); founders of whom every two have the kinship k hold
1 - (1/2 + (N - 1) k) / N, that is 1 less their mean kinship, each with itself included. Source: Lacy
1989, Zoo Biology 8:111, and 1995, Zoo Biology 14:565. The short form is quoted from memory.`,
		Example: `  roebook how-many founders 95%
  roebook how-many founders 70% --related siblings
  roebook how-many founders --fish 6`,
		Args: takes(0, 1, "one share of the variety, as 95%"),
		RunE: func(_ *cobra.Command, args []string) error {
			kinship, err := kinshipOf(related)
			switch {
			case err != nil:
				return err
			case fish > 0 == (len(args) > 0):
				return usageError("how-many founders takes the share of the variety to hold, as 95%%, or --fish NUMBER: one of the two")
			case fish > 0:
				return foundersHold(env, fish, kinship, asJSON)
			}
			diversity, err := fraction(args[0])
			if err != nil {
				return err
			}
			return founders(env, diversity, kinship, asJSON)
		},
	}
	cmd.Flags().Var(wholeNumber{&fish, 1, sums.Most}, "fish", "say what that `number` of founders holds")
	cmd.Flags().StringVar(&related, "related", related, "`how` every two of them are related: unrelated, half-siblings, siblings, or a kinship as 0.125")
	optional(cmd, "fish")
	jsonFlag(cmd, &asJSON)
	return cmd
}

// kinshipOf reads how two founders are related.
func kinshipOf(words string) (float64, error) {
	switch words {
	case "unrelated":
		return 0, nil
	case "half-siblings":
		return 0.125, nil
	case "siblings":
		return 0.25, nil
	}
	kinship, err := share(words)
	if err != nil {
		return 0, usageError("--related: %q is neither unrelated, half-siblings, siblings nor a kinship, as 0.125", words)
	}
	return kinship, nil
}

type foundersJSON struct {
	reply
	Founders      int     `json:"founders"`
	GeneDiversity float64 `json:"gene_diversity"`
	Kinship       float64 `json:"kinship"` // of every two
}

// founderNotes say what the sum takes for granted.
func founderNotes(kinship float64) []string {
	notes := []string{"That is the start. It holds only if every one of them breeds and leaves about as many young as the others, " +
		"and each generation of a small line then loses more: see how-many size."}
	if kinship == 0 {
		return append(notes, "Related founders hold less: brothers and sisters under 75 %, half-siblings under 87.5 %, however many. "+
			"Fish bought from one seller are often brothers and sisters: ask with --related siblings.")
	}
	return append(notes, fmt.Sprintf("Founders so related, with a kinship of %s, hold under %s, however many they are.",
		kin(kinship), percent(1-kinship)))
}

// kinOfFounders puts the kinship of founders before their number's noun.
func kinOfFounders(kinship float64) string {
	switch kinship {
	case 0:
		return "unrelated "
	case 0.125:
		return "half-sibling "
	case 0.25:
		return "full-sibling "
	}
	return "related "
}

func founders(env *environment, diversity, kinship float64, asJSON bool) error {
	n, err := sums.FoundersFor(diversity, kinship)
	if err != nil {
		return err
	}
	holds, err := sums.FounderDiversity(n, kinship)
	if err != nil {
		return err
	}
	who := grouped(n) + " " + kinOfFounders(kinship) + "founders hold"
	if n == 1 {
		who = "1 founder holds"
	}
	answer := fmt.Sprintf("%s %s of the variety of the stock that they were taken from.", who, chance(holds))
	if n > 1 {
		fewer, err := sums.FounderDiversity(n-1, kinship)
		if err != nil {
			return err
		}
		answer += fmt.Sprintf(" With one fewer it is %s, and you asked for %s.", chance(fewer), plain(diversity))
	}
	document := foundersJSON{replied(float64(n), answer, founderNotes(kinship)...), n, holds, kinship}
	return env.tell(document.reply, document, asJSON)
}

func foundersHold(env *environment, n int, kinship float64, asJSON bool) error {
	holds, err := sums.FounderDiversity(n, kinship)
	if err != nil {
		return err
	}
	who, taken := grouped(n)+" "+kinOfFounders(kinship)+"founders hold", "they were"
	if n == 1 {
		who, taken = "one founder holds", "it was"
	}
	answer := fmt.Sprintf("%s: %s so much of the variety of the stock that %s taken from.", chance(holds), who, taken)
	document := foundersJSON{replied(holds, answer, founderNotes(kinship)...), n, holds, kinship}
	return env.tell(document.reply, document, asJSON)
}
