package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics/sums"
)

func newSize(env *environment) *cobra.Command {
	ask := sizeQuestion{male: 0.5, groups: 3}
	cmd := &cobra.Command{
		Use:   "size",
		Short: "breeders to keep in each generation, so that no more is lost than you allow",
		Long: `Work out how large a line must be kept. The effective size of a line is the number of fish, half of them
males, that would lose as much if they paired as chance has it: it is what matters, and mostly less than the
heads. Ask for it with --loss (in each generation), or with --diversity and a time: --generations, or --years
and --interval, the years from one generation to the next. Beside each other stand the fish it takes with
several ways of breeding.

The other way round: --males and --females say what the effective size of so many breeders is; --over, a
list of sizes one after the other, that of a line of changing size.

Formulas: a line of effective size Ne keeps 1 - 1/(2 Ne) of its gene diversity in each generation (Wright
1931, Genetics 16:97); m males and f females have 4mf/(m + f) (the same; USFWS Inland Salmonid
Broodstock Handbook p. 1-8). Every pair leaving the same number of breeders: 2N - 1, from memory (Crow & Kimura
1970). Every male leaving one son and every female one daughter ("pedigreed"): 16fm/(3f + m), m the
fewer, from memory (Gowe, Robertson & Latter 1959, Poultry Science 38:462). Groups in a ring, the males of
each going to the next: worked out from the kinships. Sizes one after the other: their harmonic mean,
the number of sizes over the sum of 1/size (Wright 1938, Science 87:430). The handbooks'
"475 over the years of a generation, for 90 % over 100 years" is from memory and rounds: for 5 years it
says 95, which keep 89.98 %, where the smallest number that keeps 90 % is 96.`,
		Example: `  roebook how-many size --diversity 90% --years 100 --interval 2
  roebook how-many size --loss 1% --male-share 25%
  roebook how-many size --males 10 --females 20
  roebook how-many size --over 10,100,50,80,20,500`,
		Args: takes(0, 0, "no argument"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := ask.form(cmd)
			switch {
			case err != nil:
				return err
			case form == "over":
				return sizeOver(env, ask)
			case form == "males":
				return sizeOf(env, ask)
			}
			return sizeFor(env, ask)
		},
	}
	cmd.Flags().Var(shareValue{&ask.loss}, "loss", "the `share` of gene diversity that may be lost in each generation, as 1%")
	cmd.Flags().Var(shareValue{&ask.diversity}, "diversity", "the `share` of gene diversity to hold over the whole time, as 90%")
	cmd.Flags().Var(decimalValue{&ask.generations}, "generations", "the time, in `generations`")
	cmd.Flags().Var(decimalValue{&ask.years}, "years", "the time, in `years`")
	cmd.Flags().Var(decimalValue{&ask.interval}, "interval", "the `years` from one generation to the next")
	cmd.Flags().Var(shareValue{&ask.male}, "male-share", "the `share` of males among the breeders")
	cmd.Flags().Var(wholeNumber{&ask.groups, 2, sums.MostLines}, "groups", "how many `groups` stand in the ring")
	cmd.Flags().Var(wholeNumber{&ask.males, 1, sums.Most}, "males", "say what the effective size of that `number` of breeding males is, with --females")
	cmd.Flags().Var(wholeNumber{&ask.females, 1, sums.Most}, "females", "the `number` of breeding females")
	cmd.Flags().StringVar(&ask.over, "over", "", "say what the effective size of a line of these `sizes`, one generation after the other, is")
	optional(cmd, "males", "females")
	jsonFlag(cmd, &ask.json)
	return cmd
}

type sizeQuestion struct {
	loss, diversity, generations, years, interval, male float64
	groups, males, females                              int
	over                                                string
	json                                                bool
}

// form finds out which question is asked, and whether all of it is.
func (ask *sizeQuestion) form(cmd *cobra.Command) (string, error) {
	given := cmd.Flags().Changed
	form, err := onlyOne(cmd, "loss", "diversity", "males", "over")
	_, both := onlyOne(cmd, "generations", "years")
	timed := given("generations") || given("years") || given("interval")
	switch {
	case err != nil:
		return "", err
	case both != nil:
		return "", both
	case given("males") != given("females"):
		return "", usageError("--males and --females go together: how many of each breed")
	case form == "":
		return "", usageError("how-many size takes --loss, --diversity with a time, --males with --females, or --over\nsee: %s --help", cmd.CommandPath())
	case timed && form != "diversity":
		return "", usageError("--generations, --years and --interval go with --diversity")
	case given("years") != given("interval"):
		return "", usageError("--years and --interval go together: the whole time, and the years from one generation to the next")
	case form == "diversity" && !timed:
		return "", usageError("--diversity needs a time: --generations, or --years with --interval")
	case given("male-share") && (form == "males" || form == "over"):
		return "", usageError("--male-share goes with --loss and --diversity")
	case given("groups") && form == "over":
		return "", usageError("--groups goes with --loss, --diversity and --males")
	}
	if given("years") {
		ask.generations = ask.years / ask.interval
	}
	return form, nil
}

type sizeJSON struct {
	reply
	EffectiveSize float64       `json:"effective_size"` // not rounded
	Loss          float64       `json:"loss"`           // in each generation
	Generations   number        `json:"generations"`
	Kept          number        `json:"kept"` // over the generations asked for
	Ways          []breedingWay `json:"ways"`
}

// breedingWay is a way of breeding, and the fish it takes or what they count as.
type breedingWay struct {
	How           string  `json:"how"`
	Males         int     `json:"males"`
	Females       int     `json:"females"`
	Groups        int     `json:"lines"`
	EffectiveSize float64 `json:"effective_size"`
	FromMemory    bool    `json:"from_memory"` // its formula
}

// breeding is a way to breed, by its formula.
type breeding struct {
	how        string
	size       func(males, females float64) float64
	evenSexes  bool // it is of pairs
	groups     int
	fromMemory bool
}

func waysOfBreeding(groups int) []breeding {
	return []breeding{
		{how: "pair as chance has it", size: sums.BySexes, groups: 1},
		{how: "every pair leaves the same number of breeders", size: func(m, f float64) float64 { return sums.EvenFamilies(m + f) },
			evenSexes: true, groups: 1, fromMemory: true},
		{how: "every male leaves one son, every female one daughter", size: sums.Pedigreed, groups: 1, fromMemory: true},
		{how: countWords(groups, "group") + " in a ring, males moving on", groups: groups,
			size: func(m, f float64) float64 { return sums.Ring{Lines: groups, Males: m, Females: f}.Size() }},
	}
}

func sizeFor(env *environment, ask sizeQuestion) error {
	ne, err := sums.SizeForLoss(ask.loss)
	if ask.loss == 0 && ask.diversity != 0 {
		ne, err = sums.SizeToKeep(ask.diversity, ask.generations)
	}
	if err != nil {
		return err
	}
	document := sizeJSON{EffectiveSize: ne, Loss: 1 / (2 * ne), Ways: []breedingWay{}}
	size := math.Max(1, math.Ceil(ne*(1-1e-12)))
	answer := fmt.Sprintf("Effective size %s: such a line loses %s of its gene diversity, the variety of its founders, in each generation",
		grouped(int(size)), chance(1/(2*size)))
	if ask.diversity > 0 {
		document.Generations, document.Kept = &ask.generations, known(sums.DiversityKept(size, ask.generations), true)
		answer += fmt.Sprintf(", and keeps %s of it over %s", chance(*document.Kept), decimalCount(ask.generations, "generation"))
	}
	for _, way := range waysOfBreeding(ask.groups) {
		male := ask.male
		if way.evenSexes {
			male = 0.5
		}
		m, f, err := sums.Heads(ne, male, way.size)
		if err != nil {
			return err
		}
		if way.evenSexes {
			m, f = max(m, f), max(m, f)
		}
		document.Ways = append(document.Ways, breedingWay{way.how, m * way.groups, f * way.groups, way.groups, way.size(float64(m), float64(f)), way.fromMemory})
	}
	first := document.Ways[0]
	answer += fmt.Sprintf(". Paired as chance has it, that takes %s and %s that all breed.",
		groupedCount(first.Males, "male"), groupedCount(first.Females, "female"))
	document.reply = replied(size, answer, sizeNotes()...)
	return tellSize(env, document, ask.json)
}

// decimalCount is [countWords] for a number that need not be whole.
func decimalCount(n float64, noun string) string {
	if n != 1 {
		noun = plural(noun)
	}
	return trimmed(n, 2, 0) + " " + noun
}

func sizeOf(env *environment, ask sizeQuestion) error {
	document := sizeJSON{Ways: []breedingWay{}}
	for _, way := range waysOfBreeding(ask.groups) {
		if way.evenSexes && ask.males != ask.females || ask.males%way.groups != 0 || ask.females%way.groups != 0 {
			continue
		}
		m, f := float64(ask.males/way.groups), float64(ask.females/way.groups)
		document.Ways = append(document.Ways, breedingWay{way.how, ask.males, ask.females, way.groups, way.size(m, f), way.fromMemory})
	}
	ne := document.Ways[0].EffectiveSize
	document.EffectiveSize, document.Loss = ne, 1/(2*ne)
	document.reply = replied(ne, fmt.Sprintf("Effective size %s: that of %s and %s paired as chance has it. "+
		"A line kept so loses %s of its gene diversity, the variety of its founders, in each generation.",
		trimmed(ne, 2, 0), groupedCount(ask.males, "male"), groupedCount(ask.females, "female"),
		chance(document.Loss)), sizeNotes()...)
	return tellSize(env, document, ask.json)
}

func sizeOver(env *environment, ask sizeQuestion) error {
	var sizes []float64
	for _, word := range strings.Split(ask.over, ",") {
		n, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
		if err != nil || !decimal.MatchString(strings.TrimSpace(word)) {
			return usageError("--over: %q is not a number; write sizes with commas between, as 10,100,50", word)
		}
		sizes = append(sizes, n)
	}
	ne, err := sums.OverYears(sizes)
	if err != nil {
		return usageError("--over: %s", err)
	}
	least, sum := sizes[0], 0.0
	for _, n := range sizes {
		least, sum = min(least, n), sum+n
	}
	document := sizeJSON{EffectiveSize: ne, Loss: 1 / (2 * ne), Ways: []breedingWay{}}
	document.reply = replied(ne, fmt.Sprintf("Effective size %s: a line of these sizes, one generation after the other, loses as much as one of that size all along (their harmonic mean).",
		trimmed(ne, 1, 0)), effectiveSizeMeans+".", fmt.Sprintf("The common mean is %s. The smallest size, %s, weighs the most: what is lost in one poor generation does not come back "+
		"with numbers. The sizes should be effective sizes, by generation rather than by year.", trimmed(sum/float64(len(sizes)), 1, 0), trimmed(least, 2, 0)))
	return env.tell(document.reply, document, ask.json)
}

func sizeNotes() []string {
	return []string{
		effectiveSizeMeans + ": it is what matters, and mostly less than the heads.",
		"\"Every pair\" and \"every male\" mean that you choose the next breeders so: the rest of the young are not bred from. In a ring the females of " +
			"each group take males of the group before it, and the young stay with their dams' group; it puts inbreeding off at first more than it saves fish.",
		"The formulas for every pair and every male are quoted from memory; the ring is worked out from the kinships. From unrelated founders " +
			"inbreeding itself lags one generation behind. Fish that are kept but do not breed do not count.",
	}
}

// tellSize prints the ways of breeding between the answer and the notes.
func tellSize(env *environment, d sizeJSON, asJSON bool) error {
	if asJSON {
		return env.tell(d.reply, d, true)
	}
	p := env.page()
	p.say("%s", d.Answer)
	p.blank()
	var rows [][]string
	for _, way := range d.Ways {
		rows = append(rows, []string{way.How, grouped(way.Males), grouped(way.Females), grouped(way.Males + way.Females), trimmed(way.EffectiveSize, 1, 1)})
	}
	p.table([]column{{head: "how they breed", wrap: true}, {head: "males", right: true}, {head: "females", right: true}, {head: "fish\nin all", right: true},
		{head: "effective\nsize", right: true}}, rows)
	for _, note := range d.Notes {
		p.blank()
		p.say("%s", note)
	}
	return env.print(&p.Buffer)
}
