package forecast

import "slices"

// The sexes as places in pairs of lists.
const (
	male   = 0
	female = 1
)

// fish is one fish of a generation.
type fish struct {
	family int
	group  int
	wild   bool // caught for the line and new in it
}

// cohort is one generation: its fish, and the families they are of. Two fish of
// one family are full sibs, or two fish of today's book that are alike.
type cohort struct {
	sex      [2][]fish
	families int
	kinship  []float64 // families × families, of two different fish
	self     []float64 // by family
	share    []float64 // families × founders; the last is the new wild fish
	parents  [][2]int  // by family: its sire and dam among the fish before, -1 where they are not known
	heads    []float64 // by family
	first    bool      // today's fish: their parents are not in it
}

// resize makes room for so many families, all unrelated.
func (c *cohort) resize(families, founders int) {
	c.families = families
	c.kinship = zeros(c.kinship, families*families)
	c.self = zeros(c.self, families)
	c.share = zeros(c.share, families*founders)
	c.heads = zeros(c.heads, families)
	c.parents = slices.Grow(c.parents[:0], families)[:families]
	c.sex[male], c.sex[female] = c.sex[male][:0], c.sex[female][:0]
	c.first = false
}

func zeros(x []float64, n int) []float64 {
	x = slices.Grow(x[:0], n)[:n]
	clear(x)
	return x
}

// add puts fish of a family into the generation.
func (c *cohort) add(sex int, f fish) {
	c.sex[sex] = append(c.sex[sex], f)
	c.heads[f.family]++
}

// between is the kinship of two different fish of the families.
func (c *cohort) between(a, b int) float64 { return c.kinship[a*c.families+b] }

// of is the kinship of a male with a female.
func (c *cohort) of(sire, dam int) float64 {
	return c.between(c.sex[male][sire].family, c.sex[female][dam].family)
}

// figures are what is asked of a generation.
type figures struct{ inbreeding, diversity, newWild float64 }

// figures works out mean inbreeding, the gene diversity
//
//	1 − [Σ n_i n_j k_ij + Σ n_i (s_i − k_ii)] / N²
//
// over the N fish, n_i of family i with self-kinship s_i, and the share of genes
// from new wild fish. O(families²).
func (c *cohort) figures(founders int) (f figures) {
	total, sum := 0.0, 0.0
	for i, n := range c.heads {
		total += n
		f.inbreeding += n * (2*c.self[i] - 1)
		f.newWild += n * c.share[(i+1)*founders-1]
		sum += n * (c.self[i] - c.between(i, i))
		row := c.kinship[i*c.families : (i+1)*c.families]
		inRow := 0.0
		for j, k := range row {
			inRow += c.heads[j] * k
		}
		sum += n * inRow
	}
	f.inbreeding /= total
	f.newWild /= total
	f.diversity = 1 - sum/(total*total)
	return f
}

// addShares adds the founders' mean shares to a sum.
func (c *cohort) addShares(sum []float64) {
	total := float64(len(c.sex[male]) + len(c.sex[female]))
	for i, n := range c.heads {
		for j, share := range c.share[i*len(sum) : (i+1)*len(sum)] {
			sum[j] += n * share / total
		}
	}
}

// both reports whether there is a male and a female.
func (c *cohort) both() bool { return len(c.sex[male]) > 0 && len(c.sex[female]) > 0 }
