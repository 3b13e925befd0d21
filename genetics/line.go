package genetics

import (
	"math"

	"roebook/pedigree"
)

// Living is the living fish of a line on a date, as weights that sum to 1.
type Living struct {
	Heads   float64  // how many fish
	Records []Member // by id
	mean    []Link
}

// Member is a living record with its number of fish.
type Member struct {
	Stock *pedigree.Stock
	Heads float64
}

// Living returns the living fish of a line, or of the whole book where line is
// "". O(records).
func (s *State) Living(line string) Living {
	var living Living
	for _, stock := range s.m.book.Stock {
		if line != "" && stock.Line != line {
			continue
		}
		heads := s.m.book.Heads(stock, s.on).Total()
		if heads <= 0 {
			continue
		}
		living.Heads += heads
		living.Records = append(living.Records, Member{stock, heads})
	}
	for _, member := range living.Records {
		v, _ := s.Vector(member.Stock.ID)
		for _, link := range v {
			living.mean = append(living.mean, Link{link.Node, link.Weight * member.Heads / living.Heads})
		}
	}
	return living
}

// EffectiveSize is the effective size of a line by two ways of counting; nil
// where there is nothing to count.
type EffectiveSize struct {
	// FromInbreeding is 1/(2·mean ΔF) over living fish with more than one
	// equivalent generation, ΔF_i = 1 − (1 − F_i)^(1/(t_i − 1)) (Gutiérrez,
	// Cervantes & Goyache 2009, J. Anim. Breed. Genet. 126:327).
	FromInbreeding *float64
	// FromParents is 4·Nm·Nf/(Nm + Nf) over the different parents of the last
	// twelve months in which the line spawned (Wright 1931).
	FromParents *float64
}

// Diversity is how a set of living fish stands.
type Diversity struct {
	Living         float64 // heads
	MeanKinship    float64 // over all ordered pairs, each fish with itself included
	GeneDiversity  float64 // 1 − MeanKinship
	MeanInbreeding float64 // by heads
	EffectiveSize  EffectiveSize
}

// Year is how a line stood on 31 December.
type Year struct {
	Year     int
	Answered bool // false: nothing but Living says anything
	Diversity
}

// LineReport is what is known of a line on a date.
type LineReport struct {
	Diversity
	Founders                 int // founder records that have a share
	FounderShare             []Share
	FounderEquivalents       float64 // 1/Σ share² (Lacy 1989)
	FounderGenomeEquivalents float64 // 1/(2·mean kinship) (Lacy 1989)
	EffectiveAncestors       float64 // Boichard, Maignel & Verrier 1997
	Generation               pedigree.Generation
	History                  []Year
}

// Line reports on the living fish of a line ("" for the whole book). ok is
// false where none are living. O((years + ancestors chosen) · (nodes + links)).
func (s *State) Line(line string) (r LineReport, ok bool) {
	living := s.Living(line)
	r.History = s.history(line)
	if living.Heads == 0 {
		return r, false
	}
	y := s.m.nodes.up(living.mean)
	r.Diversity = s.diversity(line, living, y)
	c := s.founders(y)
	r.FounderShare = c.shares()
	r.Founders = len(r.FounderShare)
	r.FounderEquivalents = s.founderEquivalents(c)
	r.FounderGenomeEquivalents = 1 / (2 * r.MeanKinship)
	r.EffectiveAncestors = s.m.effectiveAncestors(living.mean)
	r.Generation = s.generationOf(living)
	return r, true
}

func (s *State) diversity(line string, living Living, y []float64) Diversity {
	d := Diversity{Living: living.Heads}
	d.MeanKinship = s.m.nodes.quadratic(y) / 2
	d.GeneDiversity = 1 - d.MeanKinship
	for _, member := range living.Records {
		f, _ := s.Inbreeding(member.Stock.ID)
		d.MeanInbreeding += f * member.Heads / living.Heads
	}
	d.EffectiveSize = EffectiveSize{s.sizeFromInbreeding(living), s.sizeFromParents(line)}
	return d
}

func (s *State) sizeFromInbreeding(living Living) *float64 {
	sum, heads := 0.0, 0.0
	for _, member := range living.Records {
		f, _ := s.Inbreeding(member.Stock.ID)
		t, _ := s.EquivalentGenerations(member.Stock.ID)
		if t > 1 {
			sum += member.Heads * (1 - math.Pow(1-f, 1/(t-1)))
			heads += member.Heads
		}
	}
	if sum <= 0 {
		return nil
	}
	size := heads / (2 * sum)
	return &size
}

// sizeFromParents looks back twelve months from the last spawn. Parents known
// one by one count once; of lots and candidates each spawn adds its number of
// parents, up to the fish there were.
func (s *State) sizeFromParents(line string) *float64 {
	var spawns []*pedigree.Spawn
	var last pedigree.Date
	for _, spawn := range s.m.book.Spawns {
		if (line == "" || spawn.Line == line) && spawn.Date.Known() && (!s.on.Known() || spawn.Date <= s.on) {
			spawns = append(spawns, spawn)
			last = max(last, spawn.Date)
		}
	}
	since := last.AddMonths(-12)
	var number [2]float64
	for i, sex := range sexes {
		parents := newParentCount()
		for _, spawn := range spawns {
			if spawn.Date > since {
				parents.add(s.m.book, spawn, sex)
			}
		}
		number[i] = parents.total()
	}
	if number[0] == 0 || number[1] == 0 {
		return nil
	}
	size := 4 * number[0] * number[1] / (number[0] + number[1])
	return &size
}

// parentCount counts the different parents of some spawns.
type parentCount struct {
	known  map[string]bool
	drawn  map[string]float64 // out of a lot or a set of candidates
	most   map[string]float64 // the fish there were to draw from
	firsts map[string]bool
}

func newParentCount() *parentCount {
	return &parentCount{map[string]bool{}, map[string]float64{}, map[string]float64{}, map[string]bool{}}
}

func (p *parentCount) add(book *pedigree.Book, spawn *pedigree.Spawn, sex pedigree.Sex) {
	first := book.FirstOf(spawn)
	if first == nil || p.firsts[first.ID] {
		return // the same fish again
	}
	p.firsts[first.ID] = true
	contributors := book.Contributors(first, sex)
	if len(contributors) == 0 {
		p.drawn[first.ID] = first.ParentsOf(sex).Number(1)
		p.most[first.ID] = p.drawn[first.ID]
		return
	}
	if len(contributors) == 1 && !contributors[0].Stock.Lot {
		p.known[contributors[0].Stock.ID] = true
		return
	}
	fish, key := 0.0, ""
	for _, c := range contributors {
		fish += c.Fish
		key += c.Stock.ID + "\x00"
	}
	p.drawn[key] += min(first.ParentsOf(sex).Number(fish), fish)
	p.most[key] = max(p.most[key], fish)
}

func (p *parentCount) total() float64 {
	n := float64(len(p.known))
	for key, drawn := range p.drawn {
		n += min(drawn, p.most[key])
	}
	return n
}

// generationOf is the range over the living fish, and their mean by heads.
func (s *State) generationOf(living Living) pedigree.Generation {
	var all pedigree.GenerationMix
	for _, member := range living.Records {
		if g, ok := s.m.generations.Of(member.Stock.ID, s.on); ok {
			all.Add(g, member.Heads)
		}
	}
	return all.Generation
}

// history reports on each year end up to the date, from the first on which fish
// were living.
func (s *State) history(line string) []Year {
	first, last := s.years(line)
	var years []Year
	for year := first; first > 0 && year <= last; year++ {
		then := s.m.On(pedigree.Date(year*10000 + 1231))
		living := then.Living(line)
		if living.Heads == 0 {
			if len(years) > 0 {
				years = append(years, Year{Year: year})
			}
			continue
		}
		years = append(years, Year{year, true, then.diversity(line, living, s.m.nodes.up(living.mean))})
	}
	return years
}

// years returns the first year in which a record of the line begins and the
// last whose 31 December is past.
func (s *State) years(line string) (first, last int) {
	for _, stock := range s.m.book.Stock {
		if line != "" && stock.Line != line {
			continue
		}
		begins := s.m.book.Begins(stock)
		if begins.Known() && (first == 0 || begins.Year() < first) {
			first = begins.Year()
		}
	}
	last = s.on.Year()
	if s.on < pedigree.Date(last*10000+1231) {
		last--
	}
	return first, last
}
