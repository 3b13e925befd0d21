package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"roebook/genetics/locus"
	"roebook/genetics/pairing"
	"roebook/pedigree"
)

// unwanted is the looks that young are not to have.
type unwanted struct {
	named []string
	apart bool
	looks []locus.Look
	study *locus.Study
}

// rareRisk is the share of young with an unwanted look up to which a pair is not
// kept apart: what is known from records is seldom quite sure.
const rareRisk = 0.01

func (u *unwanted) flags(cmd *cobra.Command) {
	cmd.Flags().StringArrayVar(&u.named, "unwanted", nil, "a `LOCUS=LOOK` that young are not to show: say the risk of it with each pair")
	cmd.Flags().BoolVar(&u.apart, "apart-carriers", false, "leave out pairs of which more than one in a hundred young would show an unwanted look, or die of a lethal genotype")
}

// read understands what was named, and adds what is always unwanted: to die.
func (u *unwanted) read(l *loaded, lines []string) error {
	if len(u.named) == 0 && !u.apart {
		return nil
	}
	if l.fromTable {
		return usageError("a table has no loci: --unwanted and --apart-carriers need a book")
	}
	u.study = locus.New(l.book)
	for _, text := range u.named {
		name, look, ok := strings.Cut(text, "=")
		if !ok || name == "" || look == "" {
			return usageError("--unwanted takes a locus and a look, such as blond=grey, not %q", text)
		}
		if err := u.find(locus.Look{Locus: name, Phenotype: look}, lines); err != nil {
			return err
		}
	}
	for _, line := range lines {
		for _, look := range u.study.Looks(line) {
			if look.Phenotype == "" && !slices.Contains(u.looks, look) {
				u.looks = append(u.looks, look)
			}
		}
	}
	if len(u.looks) == 0 {
		return usageError("--apart-carriers: name the look to keep apart with --unwanted LOCUS=LOOK; no locus here has lethal genotypes")
	}
	return nil
}

func (u *unwanted) find(wanted locus.Look, lines []string) error {
	var loci, looks []string
	for _, line := range lines {
		for _, look := range u.study.Looks(line) {
			if look == wanted {
				u.looks = append(u.looks, wanted)
				return nil
			}
			loci = append(loci, look.Locus)
			if look.Locus == wanted.Locus && look.Phenotype != "" {
				looks = append(looks, look.Phenotype)
			}
		}
	}
	switch {
	case len(looks) > 0:
		return usageError("--unwanted: no fish is %s at %s; it has %s", wanted.Phenotype, wanted.Locus, either(compact(looks)))
	case len(loci) > 0:
		return usageError("--unwanted: there is no locus %s%s", wanted.Locus, didYouMean(wanted.Locus, compact(loci)))
	}
	return usageError("--unwanted: %s declares no loci", all(lines))
}

// pairRisks is the risk of each unwanted look, by pair; nil where none was named.
type pairRisks struct {
	looks []locus.Look
	of    map[[2]string][]float64
	apart *int
}

// of works out the risks of a ranking, and takes out of it the pairs to be kept
// apart.
func (u *unwanted) of(l *loaded, line string, r *pairing.Ranking) *pairRisks {
	if u.study == nil || len(r.Pairs) == 0 {
		return nil
	}
	risks := &pairRisks{}
	for _, look := range u.study.Looks(line) {
		if slices.Contains(u.looks, look) {
			risks.looks = append(risks.looks, look)
		}
	}
	var sires, dams []string
	for _, pair := range r.Pairs {
		sires, dams = append(sires, pair.Sire), append(dams, pair.Dam)
	}
	risks.of = u.study.Risks(line, compact(sires), compact(dams), risks.looks, l.state.Date())
	if u.apart {
		before := len(r.Pairs)
		r.Pairs = slices.DeleteFunc(r.Pairs, func(pair pairing.Pair) bool { return slices.Max(append(risks.risk(pair), 0)) > rareRisk })
		apart := before - len(r.Pairs)
		risks.apart = &apart
	}
	return risks
}

// harmful adds to a plan's rule the pairs that --apart-carriers keeps apart.
func (u *unwanted) harmful(l *loaded, line string, rule func(sire, dam *pedigree.Stock) string) (func(sire, dam *pedigree.Stock) string, error) {
	if err := u.read(l, []string{line}); err != nil || u.study == nil {
		return rule, err
	}
	if !u.apart {
		return rule, usageError("--unwanted with --plan: say --apart-carriers too, for the plan to keep them apart")
	}
	var sires, dams []string
	for _, member := range l.state.Living(line).Records {
		for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
			s := member.Stock
			switch {
			case s.Lot && l.book.LotHistory(s.ID).At(l.state.Date()).OfSex(sex) <= 0, !s.Lot && s.Sex != sex:
			case sex == pedigree.Male:
				sires = append(sires, s.ID)
			default:
				dams = append(dams, s.ID)
			}
		}
	}
	risks := u.study.Risks(line, sires, dams, u.looks, l.state.Date())
	return func(sire, dam *pedigree.Stock) string {
		if why := rule(sire, dam); why != "" {
			return why
		}
		for i, risk := range risks[[2]string{sire.ID, dam.ID}] {
			if risk > rareRisk {
				return fmt.Sprintf("%s of their young %s", chance(risk), lookWords(u.looks[i]))
			}
		}
		return ""
	}, nil
}

func (r *pairRisks) keptApart() *int {
	if r == nil {
		return nil
	}
	return r.apart
}

func (r *pairRisks) risk(pair pairing.Pair) []float64 {
	return slices.Clone(r.of[[2]string{pair.Sire, pair.Dam}])
}

// byName is the risks of a pair by "LOCUS=LOOK"; "LOCUS dies" for lethal
// genotypes.
func (r *pairRisks) byName(pair pairing.Pair) map[string]float64 {
	if r == nil {
		return nil
	}
	out := make(map[string]float64)
	for i, risk := range r.risk(pair) {
		name := r.looks[i].Locus + "=" + r.looks[i].Phenotype
		if r.looks[i].Phenotype == "" {
			name = r.looks[i].Locus + " dies"
		}
		out[name] = risk
	}
	return out
}

// lookWords is a look after a share of young: "plain (half-black)".
func lookWords(look locus.Look) string {
	if look.Phenotype == "" {
		return "dead of " + look.Locus
	}
	return look.Phenotype + " (" + look.Locus + ")"
}

// words says what a pair risks.
func (r *pairRisks) words(pair pairing.Pair) []string {
	if r == nil {
		return nil
	}
	var parts []string
	for i, risk := range r.risk(pair) {
		what := lookWords(r.looks[i])
		if risk < 1e-12 {
			parts = append(parts, "no young "+what)
			continue
		}
		parts = append(parts, fmt.Sprintf("%s of the young %s", chance(risk), what))
	}
	return parts
}

// all reports whether pairs were kept apart, and no other is left.
func (r *pairRisks) all() bool { return r != nil && r.apart != nil && *r.apart > 0 }

// write says how many pairs were kept apart.
func (r *pairRisks) write(p *page) {
	if r == nil || r.apart == nil || *r.apart == 0 {
		return
	}
	p.blank()
	p.say("Kept apart: %s, of which more than %s of the young would show what is not wanted, by all records.", countWords(*r.apart, "pair"), plain(rareRisk))
}
