package forecast

import (
	"errors"
	"fmt"
)

// Scheme says who is paired with whom.
type Scheme string

// The schemes.
const (
	Random        Scheme = "random"         // as chance has it
	AvoidSiblings Scheme = "avoid-siblings" // by chance, but no full sibs, and no half-sibs, where others will do
	LeastKinship  Scheme = "least-kinship"  // the plan that leaves the fry the most gene diversity
	Rotate        Scheme = "rotate"         // groups; females stay, males go on to the next group in a ring
)

// Schemes are all of them, in the order in which they are explained.
var Schemes = []Scheme{Random, AvoidSiblings, LeastKinship, Rotate}

// Bounds of what is worked out.
const (
	MostFish        = 2000 // kept, and different records of fish living today
	MostLiving      = 20_000
	MostGenerations = 200
	MostReplicates  = 10_000
	MostFailed      = 0.95
)

// Options say how a line is bred.
type Options struct {
	Scheme Scheme
	Groups int // of Rotate, at least 2
	// Pairs is the number of spawns set up a generation, each of one male and one
	// female. A fish is used again only where its sex has too few. With 0 the
	// whole group spawns together: sire and dam of each fry are any male and any
	// female of it, drawn with replacement.
	Pairs int
	Keep  int     // fry kept a generation, in all; as equally from each spawn as may be
	Males float64 // share of males among the fry, above 0 and below 1
	BySex bool    // the sexes are kept to that share in every spawn; otherwise they fall by chance
	// Failed is the share of the spawns that give no fry (with Pairs 0: of the
	// females). Where all fail they are set up again.
	Failed      float64
	NewWild     int // unrelated, uninbred fish, half of each sex, that join the line every Every generations
	Every       int
	Generations int
	Replicates  int
	Seed        uint64
}

// Check says what of the options makes no sense, nil where all does.
func (o Options) Check() error {
	switch {
	case o.Generations < 1 || o.Generations > MostGenerations:
		return fmt.Errorf("a forecast is of 1 to %d generations, not %d", MostGenerations, o.Generations)
	case o.Replicates < 1 || o.Replicates > MostReplicates:
		return fmt.Errorf("a forecast takes 1 to %d runs, not %d", MostReplicates, o.Replicates)
	case o.Keep < 2 || o.Keep > MostFish:
		return fmt.Errorf("2 to %d young can be kept a generation, not %d", MostFish, o.Keep)
	case o.Pairs < 0 || o.Pairs > o.Keep:
		return fmt.Errorf("%d pairs and %d young kept in all: each pair's spawn must give one at least", o.Pairs, o.Keep)
	case !(o.Males > 0 && o.Males < 1):
		return errors.New("the share of males lies above 0 and below 1: a line of one sex cannot breed")
	case !(o.Failed >= 0 && o.Failed <= MostFailed):
		return fmt.Errorf("the share of spawns that fail lies between 0 and %g", MostFailed)
	case o.NewWild < 0 || o.NewWild > MostFish:
		return fmt.Errorf("%d new wild fish make no sense", o.NewWild)
	case o.NewWild > 0 && o.Every < 1:
		return errors.New("new wild fish come every so many generations: at least 1")
	}
	return o.checkScheme()
}

func (o Options) checkScheme() error {
	switch o.Scheme {
	case Random:
	case AvoidSiblings, LeastKinship:
		if o.Pairs == 0 {
			return fmt.Errorf("the scheme %s chooses pairs, and here the whole group spawns together", o.Scheme)
		}
	case Rotate:
		switch {
		case o.Groups < 2:
			return fmt.Errorf("males go round among 2 groups at least, not %d", o.Groups)
		case o.Pairs > 0 && o.Pairs < o.Groups:
			return fmt.Errorf("%d groups need a pair each at least, and there are %d pairs", o.Groups, o.Pairs)
		case o.Keep < 2*o.Groups:
			return fmt.Errorf("%d groups need 2 young each at least, and %d are kept in all", o.Groups, o.Keep)
		}
	default:
		return fmt.Errorf("there is no scheme %q", string(o.Scheme))
	}
	return nil
}

// groups is the number of groups: 1 but for Rotate.
func (o Options) groups() int {
	if o.Scheme == Rotate {
		return o.Groups
	}
	return 1
}
