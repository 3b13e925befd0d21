package main

import (
	"math"
	"slices"

	"github.com/spf13/cobra"

	"roebook/genetics"
	"roebook/pedigree"
)

func newKinship(env *environment) *cobra.Command {
	from := source{env: env}
	var why bool
	cmd := &cobra.Command{
		Use:   "kinship ID ID...",
		Short: "how close fish are to each other",
		Long: `Say how close fish, lots or the young of spawns are to each other. Kinship is the chance that a gene
drawn from each at the same place is a copy of one gene of an ancestor; it is also how inbred their
young would be. Of a fish with itself it is 0.5 and more; of a lot with itself it is that of two
different fish of the lot.`,
		Example: `  roebook kinship TF-D1a TF-K1 --on 2026-11-24
  roebook kinship TF-D2 TF-D4 --why --on 2026-11-24
  roebook kinship CW-G1 CW-H1 CW-H2 CW-H3 CW-J1 CW-K4 --on 2026-11-24`,
		Args: takes(2, -1, "two ids or more"),
		RunE: func(_ *cobra.Command, args []string) error { return kinship(&from, args, why) },
	}
	from.flags(cmd)
	from.tableFlag(cmd)
	cmd.Flags().BoolVar(&why, "why", false, "split each kinship by the ancestors that it comes through")
	return cmd
}

type kinshipJSON struct {
	IDs     []string   `json:"ids"`
	Kinship [][]number `json:"kinship"`
	Paths   []pathJSON `json:"paths,omitzero"`
}

type pathJSON struct {
	IDs     [2]string     `json:"ids"`
	Kinship number        `json:"kinship"`
	Through []throughJSON `json:"through"`
}

type throughJSON struct {
	ID      *string `json:"id"`   // null: what founders share by the keeper's word
	Side    *string `json:"side"` // of a spawn's unknown parents: sire or dam
	Kinship float64 `json:"kinship"`
}

func kinship(from *source, ids []string, why bool) error {
	if why {
		if err := from.refuseBig("the parts of a kinship", mostPairedRows); err != nil {
			return err
		}
	} else if big, err := from.big(false); err != nil || big != nil {
		return orElse(err, func() error { return big.kinship(ids, from.json) })
	}
	l, err := from.load()
	if err != nil {
		return err
	}
	sound, err := l.answerable(ids)
	if err != nil {
		return err
	}
	document := kinshipJSON{IDs: ids, Kinship: l.matrix(ids, sound)}
	p := from.env.page()
	if from.json {
		if why {
			document.Paths = l.paths(ids, document.Kinship)
		}
		err = p.asJSON(document)
	} else {
		l.writeMatrix(p, &document)
		if why {
			l.writeWhy(p, &document)
		}
	}
	if err != nil {
		return err
	}
	return l.finish(p)
}

// matrix is the kinship of all ids with each other, null for those that errors
// touch.
func (l *loaded) matrix(ids, sound []string) [][]number {
	kinship, answered := l.state.KinshipMatrix(sound)
	place := make(map[string]int)
	for i, id := range sound {
		place[id] = i
	}
	rows := make([][]number, len(ids))
	for i, a := range ids {
		rows[i] = make([]number, len(ids))
		for j, b := range ids {
			x, okX := place[a]
			y, okY := place[b]
			if okX && okY {
				rows[i][j] = known(kinship[x][y], answered[x][y])
			}
		}
	}
	return rows
}

// pairsOf lists the pairs of different places of a matrix.
func pairsOf(n int) [][2]int {
	var pairs [][2]int
	for i := range n {
		for j := i + 1; j < n; j++ {
			pairs = append(pairs, [2]int{i, j})
		}
	}
	return pairs
}

func (l *loaded) paths(ids []string, matrix [][]number) []pathJSON {
	paths := []pathJSON{}
	for _, at := range pairsOf(len(ids)) {
		a, b := ids[at[0]], ids[at[1]]
		path := pathJSON{IDs: [2]string{a, b}, Kinship: matrix[at[0]][at[1]], Through: []throughJSON{}}
		if path.Kinship != nil {
			for _, t := range l.state.Why(a, b) {
				out := throughJSON{ID: text(l.throughID(t)), Kinship: t.Kinship}
				if t.Sex != 0 {
					out.Side = text(sideWord(t.Sex))
				}
				path.Through = append(path.Through, out)
			}
		}
		paths = append(paths, path)
	}
	return paths
}

func (l *loaded) writeMatrix(p *page, d *kinshipJSON) {
	for _, block := range blocks(d.IDs, p.width) {
		p.blank()
		columns := []column{{head: ""}}
		for _, j := range block {
			columns = append(columns, column{head: d.IDs[j], right: true})
		}
		var rows [][]string
		for i, id := range d.IDs {
			row := []string{id}
			for _, j := range block {
				cell := "none"
				if value := d.Kinship[i][j]; value != nil {
					cell = kin(*value)
				}
				row = append(row, cell)
			}
			rows = append(rows, row)
		}
		p.table(columns, rows)
	}
	p.blank()
	if len(d.IDs) == 2 && d.IDs[0] != d.IDs[1] {
		l.writePair(p, d)
	}
	l.writeNotes(p, d)
}

// blocks divides the columns of a matrix so that each part fits the width.
func blocks(ids []string, width int) [][]int {
	first := 0
	for _, id := range ids {
		first = max(first, columnsOf(id))
	}
	var list [][]int
	var block []int
	used := 2 + first
	for j, id := range ids {
		need := 2 + max(columnsOf(id), 6)
		if len(block) > 0 && used+need > width {
			list = append(list, block)
			block, used = nil, 2+first
		}
		block = append(block, j)
		used += need
	}
	return append(list, block)
}

func (l *loaded) writePair(p *page, d *kinshipJSON) {
	value := d.Kinship[0][1]
	if value == nil {
		p.say("There is no answer for %s and %s.", d.IDs[0], d.IDs[1])
		return
	}
	k := *value
	ways := l.bothWays(d.IDs[0], d.IDs[1])
	if !slices.ContainsFunc(ways, func(w way) bool { return math.Abs(w.inbreeding-k) > 1e-9 }) {
		p.say("%s: %s. Young of two fish so close are %s inbred.", kin(k), genetics.Relation(k), percent(k))
		return
	}
	differ := "It matters which is the sire, for males and females of a lot differ in their kin:"
	if len(ways) == 1 {
		differ = "As sire and dam, by their sexes:"
	}
	p.say("%s on average over the fish of both: %s. %s", kin(k), genetics.Relation(k), differ)
	var rows [][]string
	for _, w := range ways {
		rows = append(rows, []string{w.sire, w.dam, percentCell(w.inbreeding), genetics.Relation(w.inbreeding)})
	}
	p.table([]column{{head: "sire"}, {head: "dam"}, {head: "young\ninbred", right: true}, {head: "the two", wrap: true}}, rows)
}

// way is two records as sire and dam, and how inbred their young would be.
type way struct {
	sire, dam  string
	inbreeding float64
}

// bothWays lists how two records can be sire and dam by the sexes of their fish.
func (l *loaded) bothWays(a, b string) (ways []way) {
	for _, pair := range [2][2]string{{a, b}, {b, a}} {
		sire, males := l.ofSex(pair[0], pedigree.Male)
		dam, females := l.ofSex(pair[1], pedigree.Female)
		if males && females {
			ways = append(ways, way{pair[0], pair[1], l.state.KinshipRow(sire).With(dam)})
		}
	}
	return ways
}

// ofSex is a fish of a record as one of that sex; ok is false where it has none.
func (l *loaded) ofSex(id string, sex pedigree.Sex) (mate genetics.Mate, ok bool) {
	s := l.book.StockByID(id)
	switch {
	case s == nil:
		return mate, false
	case s.Lot && l.book.LotHistory(id).At(l.state.Date()).OfSex(sex) < 1, !s.Lot && s.Sex != sex:
		return mate, false
	}
	return l.state.Mate(id, sex)
}

// writeNotes says what the numbers on the diagonal are and why some are missing.
func (l *loaded) writeNotes(p *page, d *kinshipJSON) {
	lots := false
	var none []string
	for i, id := range d.IDs {
		stock := l.book.StockByID(id)
		lots = lots || stock != nil && stock.Lot || l.book.SpawnByID(id) != nil
		spawn := l.book.SpawnByID(id)
		switch {
		case d.Kinship[i][i] != nil || l.tainted[id] || slices.Contains(d.IDs[:i], id):
		case spawn != nil && spawn.IsPlanned():
			p.say("none: %s is only planned; ask for its parents%s.", id, l.namedParents(spawn))
		default:
			none = append(none, id)
		}
	}
	if lots {
		p.say("A lot or a spawn with itself: two different fish of it.")
	}
	if len(none) > 0 {
		p.say("none: no answer, for on %s there are not fish enough of %s.", l.state.Date(), all(none))
	}
}

// namedParents names the possible parents of a spawn after a noun: ": A, B".
func (l *loaded) namedParents(spawn *pedigree.Spawn) string {
	var ids []string
	for _, sex := range []pedigree.Sex{pedigree.Male, pedigree.Female} {
		for _, c := range l.book.Contributors(spawn, sex) {
			ids = append(ids, c.Stock.ID)
		}
	}
	if ids = compact(ids); len(ids) == 0 {
		return ""
	}
	return ": " + some(ids, 6)
}
