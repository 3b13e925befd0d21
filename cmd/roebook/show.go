package main

import (
	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/pedigree"
)

func newShow(env *environment) *cobra.Command {
	from := source{env: env}
	cmd := &cobra.Command{
		Use:   "show ID...",
		Short: "all that is known of a fish, a lot or a spawn",
		Long: `Show what the book knows of a fish, a lot or a spawn, and what follows from it: where it came from,
how many generations from the wild it is and by which rule, how inbred, from which founders it has its
genes, and how close it is to the rest of its line. Of a spawn it tells what holds for its young.`,
		Example: `  roebook show TF-D1a --on 2026-11-24
  roebook show TF-E1 CW-S16 --on 2026-11-24
  roebook show GD-E1 --json --on 2026-11-24`,
		Args: takes(1, -1, "the id of a fish, a lot or a spawn, or several"),
		RunE: func(_ *cobra.Command, args []string) error { return show(&from, args) },
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	return cmd
}

func show(from *source, ids []string) error {
	if big, err := from.big(false); err != nil || big != nil {
		return orElse(err, func() error { return big.show(ids, from.json) })
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	ids, err = l.answerable(ids)
	if err != nil {
		return err
	}
	shower := shower{loaded: l, rows: make(map[string]genetics.Row), means: make(map[string]float64)}
	cards := make([]card, 0, len(ids))
	for _, id := range ids {
		cards = append(cards, shower.card(id))
	}
	p := from.env.page()
	if from.json {
		if err := p.asJSON(cards); err != nil {
			return err
		}
		return l.finish(p)
	}
	for i := range cards {
		p.blank()
		shower.write(p, &cards[i])
	}
	return l.finish(p)
}

// card is what there is to say of one record.
type card struct {
	ID                    string          `json:"id"`
	Kind                  string          `json:"kind"`
	Line                  string          `json:"line"`
	Species               *string         `json:"species"`
	Sex                   *string         `json:"sex"`
	Count                 number          `json:"count"`
	Males                 number          `json:"males"`
	Females               number          `json:"females"`
	Unsexed               number          `json:"unsexed"`
	Inbreeding            number          `json:"inbreeding"`
	SelfKinship           number          `json:"self_kinship"`
	KinshipWithin         number          `json:"kinship_within"`
	Generation            *generationJSON `json:"generation"`
	EquivalentGenerations number          `json:"equivalent_generations"`
	RecordedAncestry      number          `json:"recorded_ancestry"`
	Ancestry              *ancestryJSON   `json:"ancestry"`
	Founders              []shareJSON     `json:"founders"`
	MeanKinship           number          `json:"mean_kinship"`
}

type ancestryJSON struct {
	Wild    float64 `json:"wild"`
	Bought  float64 `json:"bought"`
	Unknown float64 `json:"unknown"`
}

// shower makes cards; it keeps the mean kinships with each line.
type shower struct {
	*loaded
	rows  map[string]genetics.Row
	means map[string]float64
}

func (s *shower) card(id string) card {
	c := card{ID: id, Kind: "spawn"}
	if stock := s.book.StockByID(id); stock != nil {
		s.fillStock(&c, stock)
	} else {
		spawn := s.book.SpawnByID(id)
		c.Line, c.Species = spawn.Line, text(speciesOfFry(s.book, spawn))
		if spawn.IsPlanned() {
			c.Inbreeding = known(s.state.Expected(spawn))
		}
	}
	c.Generation = generationOf(s.state.Generation(id))
	if f, ok := s.state.Inbreeding(id); ok {
		c.Inbreeding, c.SelfKinship = known(f, true), known((1+f)/2, true)
	}
	if c.Kind != "fish" {
		c.KinshipWithin = known(s.state.Kinship(id, id))
	}
	c.EquivalentGenerations = known(s.state.EquivalentGenerations(id))
	if from, ok := s.state.Ancestry(id); ok {
		c.Ancestry = &ancestryJSON{from.Wild, from.Bought, from.Unknown}
		c.RecordedAncestry = known(from.Wild+from.Bought, true)
		c.Founders = sharesOf(s.state.Founders(id))
	}
	c.MeanKinship = s.withLine(id, c.Line)
	return c
}

func (s *shower) fillStock(c *card, stock *pedigree.Stock) {
	c.Kind, c.Line, c.Species = "fish", stock.Line, text(s.book.SpeciesOf(stock))
	if stock.Lot {
		c.Kind = "lot"
	} else {
		c.Sex = text(stock.Sex.String())
	}
	now := s.book.Heads(stock, s.state.Date())
	c.Count = known(now.Total(), true)
	c.Males, c.Females, c.Unsexed = known(now.Males, true), known(now.Females, true), known(now.Unsexed, true)
}

// withLine is the mean kinship with the living of the line; null where none are.
func (s *shower) withLine(id, line string) number {
	if _, done := s.rows[line]; !done {
		living := s.state.Living(line)
		s.rows[line] = nil
		if living.Heads > 0 {
			s.rows[line], s.means[line] = s.state.MeanKinshipRow(living)
		}
	}
	if s.rows[line] == nil || s.refusal(line) != "" {
		return nil
	}
	return known(s.state.MeanKinship(id, s.rows[line]))
}

// speciesOfFry is the species that all possible parents of a spawn have in
// common, else that of its line; "" where they are of two.
func speciesOfFry(book *pedigree.Book, spawn *pedigree.Spawn) string {
	species := ""
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		for _, c := range book.Contributors(spawn, sex) {
			switch own := book.SpeciesOf(c.Stock); {
			case own == "" || own == species:
			case species == "":
				species = own
			default:
				return ""
			}
		}
	}
	if line := book.LineNamed(spawn.Line); species == "" && line != nil {
		return line.Species
	}
	return species
}
