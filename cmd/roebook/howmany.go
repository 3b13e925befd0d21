package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
)

func newHowMany(env *environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "how-many",
		Short: "how many fish to buy, catch, test, keep or raise",
		Long: `Work out the small sums that go wrong on the back of an envelope: how many fish to buy, to catch, to
test, to keep and to raise. Each answer is a number and the sentence that explains it; the --help of each
has the formula and where it is from.

Odds are written as 95% or 0.95. None of it is a promise: the sums take it that chance alone is at work.`,
		Example: `  roebook how-many sexes
  roebook how-many test-mating --with carrier --doubt 1%
  roebook how-many fry 40 --line glowlight-danio --on 2026-11-24`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.Args = func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return noCommand(cmd, args[0])
		}
		return nil
	}
	cmd.AddCommand(newSexes(env), newFounders(env), newAllele(env), newTestMating(env), newSize(env), newFry(env))
	return cmd
}

// effectiveSizeMeans explains the words, where they first stand.
const effectiveSizeMeans = "Effective size is the number of fish, half of them males, that would lose as much variety if they paired as chance has it"

// reply is a number and the sentence that explains it.
type reply struct {
	Number number   `json:"number"`
	Answer string   `json:"answer"`
	Notes  []string `json:"notes"` // what it rests on, and what to beware of
}

// replied makes a reply. The notes are paragraphs.
func replied(value float64, answer string, notes ...string) reply {
	return reply{known(value, true), answer, notes}
}

// write prints the reply for people.
func (r reply) write(p *page) {
	p.say("%s", r.Answer)
	for _, note := range r.Notes {
		p.blank()
		p.say("%s", note)
	}
}

// tell prints a reply: as JSON the whole document, of which the reply is a part.
func (env *environment) tell(r reply, document any, asJSON bool) error {
	p := env.page()
	if asJSON {
		if err := p.asJSON(document); err != nil {
			return err
		}
	} else {
		r.write(p)
	}
	return env.print(&p.Buffer)
}

// jsonFlag adds --json, for commands that need no book.
func jsonFlag(cmd *cobra.Command, asJSON *bool) {
	cmd.Flags().BoolVar(asJSON, "json", false, "answer as one JSON document")
}

// shareValue is an option that takes a share or odds: 0.95, 95% or 19/20.
type shareValue struct{ value *float64 }

func (s shareValue) String() string {
	if s.value == nil || *s.value == 0 {
		return ""
	}
	return trimmed(100**s.value, 6, 0) + "%"
}

func (s shareValue) Type() string { return "share" }

// Set reads the share.
func (s shareValue) Set(text string) error {
	value, err := fraction(text)
	if err == nil {
		*s.value = value
	}
	return err
}

// fraction reads a share, also one written as 2/3.
func fraction(text string) (float64, error) {
	above, below, ok := strings.Cut(text, "/")
	if !ok {
		return share(text)
	}
	a, errAbove := strconv.Atoi(strings.TrimSpace(above))
	b, errBelow := strconv.Atoi(strings.TrimSpace(below))
	if errAbove != nil || errBelow != nil || a < 0 || b < 1 || a > b {
		return 0, fmt.Errorf("%q is not a part of a whole, as 2/3", text)
	}
	return float64(a) / float64(b), nil
}

// decimalValue is an option that takes a number above 0.
type decimalValue struct{ value *float64 }

func (d decimalValue) String() string {
	if d.value == nil || *d.value == 0 {
		return ""
	}
	return trimmed(*d.value, 6, 0)
}

func (d decimalValue) Type() string { return "number" }

// Set reads the number.
func (d decimalValue) Set(text string) error {
	value, err := strconv.ParseFloat(text, 64)
	if err != nil || !decimal.MatchString(text) || !(value > 0 && value <= 1e9) {
		return fmt.Errorf("%q is not a number above 0, at most 1,000,000,000", text)
	}
	*d.value = value
	return nil
}

// chance writes odds so that neither the sure nor the impossible is said of what
// is only near.
func chance(p float64) string {
	switch {
	case p < 1 && p >= 0.99995:
		return "over 99.99 %"
	case 1e-9 <= p && p < 0.01:
		return small(p)
	}
	return percent(p)
}

// plain writes a share as it was asked for: "95 %", "0.1 %".
func plain(p float64) string {
	decimals := 9
	switch {
	case 0.01 <= p && p <= 0.99:
		decimals = 2
	case 0 < p && p < 1e-9: // enough for what was typed
		decimals = max(9, 2-int(math.Floor(math.Log10(100*p))))
	}
	return trimmed(100*p, decimals, 0) + " %"
}

// groupedCount is [countWords] for large numbers: "1,200 males".
func groupedCount(n int, noun string) string {
	if n != 1 {
		noun = plural(noun)
	}
	return grouped(n) + " " + noun
}

// optional takes back what an option says of its value otherwise: without it,
// something else is asked.
func optional(cmd *cobra.Command, names ...string) {
	for _, name := range names {
		cmd.Flags().Lookup(name).DefValue = ""
	}
}

// small writes small odds with three figures that count.
func small(p float64) string {
	if p <= leastOdds {
		return percent(p)
	}
	decimals := 2 - int(math.Floor(math.Log10(100*p)))
	return trimmed(100*p, max(decimals, 2), 2) + " %"
}

// leastOdds are the smallest that are written in figures.
const leastOdds = 1e-20

// unsure keeps odds that are neither sure nor impossible from looking so, where
// the sum has rounded them to 1 or 0.
func unsure(p float64) float64 { return min(max(p, math.SmallestNonzeroFloat64), math.Nextafter(1, 0)) }

// onlyOne returns which of these options is given, "" for none, and refuses options that
// ask different questions.
func onlyOne(cmd *cobra.Command, names ...string) (string, error) {
	given := ""
	for _, name := range names {
		if !cmd.Flags().Changed(name) {
			continue
		}
		if given != "" {
			return "", usageError("--%s and --%s cannot be used together", given, name)
		}
		given = name
	}
	return given, nil
}
