package pedigree

import "fmt"

var fryRules = []Rule{
	{"fry-before-spawn", Error, "Fry come after the spawn that they come from.", checkFryBeforeSpawn},
	{"fry-of-planned", Error, "A spawn that was only intended has no fry.", checkFryOfPlanned},
	{"fry-more-than-counted", Error, "No more fry can be kept of a spawn than it had.", checkFryMoreThanCounted},
	{"spawn-without-counts", Warning, "Without counts nothing can be said of how well a pair bred, or of what inbreeding costs.", checkNoCounts},
}

var countRules = []Rule{
	{"counts-contradict", Error, "Fry kept, culled and lost were all among those counted.", checkCountsContradict},
	{"seen-more-than-fry", Error, "No more fry can show a colour than there were.", checkSeen},
}

func checkFryBeforeSpawn(c *checker) {
	for _, s := range c.book.Stock {
		spawn, mixed := c.lastOrOnly(s)
		if spawn == nil {
			continue
		}
		report := func(date Date, path, what string) bool {
			if !surelyBefore(date, spawn.Date) {
				return false
			}
			c.add(Problem{
				Position: s.Where.At(path),
				Message:  fmt.Sprintf("%s %s %s, before the spawn %s%s that it comes from", s.ID, what, onDay(date), spawn.ID, ofDay(spawn.Date)),
				Hint:     "correct one of the two dates, or name the spawn that it came from",
				Places:   []Place{spawn.place("date", spawn.ID+" took place "+onDay(spawn.Date))},
				Records:  []string{s.ID, spawn.ID},
			})
			return true
		}
		if !report(s.Date, "date", "begins") && !mixed {
			report(s.Born, "born", "was born")
		}
	}
}

// lastOrOnly returns the latest of the spawns that a record came from, all of
// which came before it.
func (c *checker) lastOrOnly(s *Stock) (last *Spawn, mixed bool) {
	for _, from := range s.FromSpawns {
		if spawn := c.book.SpawnByID(from.Spawn); spawn != nil && (last == nil || spawn.Date.earliest() > last.Date.earliest()) {
			last = spawn
		}
	}
	return last, len(s.FromSpawns) > 1 && s.Lot // the oldest of a mixed lot may be older
}

func checkFryOfPlanned(c *checker) {
	for _, s := range c.book.Stock {
		for _, from := range s.FromSpawns {
			spawn := c.book.SpawnByID(from.Spawn)
			if spawn == nil || !spawn.IsPlanned() {
				continue
			}
			c.add(Problem{
				Position: s.Where.At("spawn." + spawn.ID),
				Message:  fmt.Sprintf("%s comes from %s, which was only planned for %s", s.ID, spawn.ID, spawn.Planned),
				Hint:     fmt.Sprintf("if %s took place, give it its `date` in place of `planned`", spawn.ID),
				Places:   []Place{spawn.place("planned", spawn.ID+" is only planned")},
				Records:  []string{s.ID},
			})
		}
	}
}

// count is one of the numbers that a spawn may state.
type count struct {
	key   string
	tally Tally
}

// stages lists the counts of fry in the order of their growth.
func (s *Spawn) stages() [6]count {
	return [...]count{{"eggs", s.Eggs}, {"fertile", s.Fertile}, {"hatched", s.Hatched}, {"born", s.Born}, {"swimming", s.Swimming}, {"kept", s.Kept}}
}

// counted returns the first count stated: the most fry there can have been;
// ok is false where there is none.
func (s *Spawn) counted() (first count, ok bool) {
	for _, stage := range s.stages() {
		if stage.tally.Stated {
			return stage, true
		}
	}
	return count{}, false
}

// least returns the smallest count stated: the most fry that can have been
// kept. Where the counts rise, which is told where they are read, it is not
// known which is wrong, and the greatest is returned.
func (s *Spawn) least() (least count, ok bool) {
	var most count
	rises := false
	for _, stage := range s.stages() {
		if !stage.tally.Stated {
			continue
		}
		rises = rises || ok && stage.tally.N > least.tally.N
		if !ok || stage.tally.N > most.tally.N {
			most = stage
		}
		if !ok || stage.tally.N <= least.tally.N {
			least = stage
		}
		ok = true
	}
	if rises {
		return most, ok
	}
	return least, ok
}

// text writes a count: "18 kept", "23 eggs".
func (n count) text() string { return fmt.Sprintf("%d %s", n.tally.N, n.key) }

func checkFryMoreThanCounted(c *checker) {
	for _, spawn := range c.book.Spawns {
		least, ok := spawn.least()
		if !ok || c.book.SpawnByID(spawn.ID) != spawn {
			continue
		}
		sum, over := 0, (*Stock)(nil)
		for _, s := range c.fry[spawn.ID] {
			if sum += s.fryFrom(spawn.ID); sum > least.tally.N && over == nil {
				over = s
			}
		}
		if over != nil {
			c.addTooManyFry(spawn, least, sum, over)
		}
	}
}

func (c *checker) addTooManyFry(spawn *Spawn, least count, sum int, over *Stock) {
	places := []Place{spawn.place(least.key, fmt.Sprintf("%s has %s", spawn.ID, least.text()))}
	var records []string
	for _, s := range c.fry[spawn.ID] {
		if n := s.fryFrom(spawn.ID); n > 0 {
			records = append(records, s.ID)
			places = append(places, s.place(s.countPath(), fmt.Sprintf("%d in %s", n, s.ID)))
		}
	}
	c.add(Problem{
		Position: over.Where.At(over.countPath()),
		Message:  fmt.Sprintf("%d fry of %s are on record, but the spawn has %s", sum, spawn.ID, least.text()),
		Hint:     "correct the count of the spawn or the numbers of the stock; a fish known out of a lot is `picked`, not `spawn`",
		Places:   places, Records: records,
	})
}

// fryFrom is how many fry of the spawn a record holds for certain: none for one
// fish of which only the odds are known.
func (s *Stock) fryFrom(spawn string) int {
	if len(s.FromSpawns) == 1 {
		if s.Lot {
			return s.Count.Total()
		}
		return 1
	}
	sum := 0.0
	for _, from := range s.FromSpawns {
		if from.Spawn == spawn && s.Lot {
			sum += from.Share
		}
	}
	return int(sum)
}

func checkNoCounts(c *checker) {
	for _, spawn := range c.book.Spawns {
		fry := c.fry[spawn.ID]
		if _, ok := spawn.counted(); ok || len(fry) == 0 || spawn.IsPlanned() {
			continue
		}
		c.add(Problem{
			Position: spawn.Where.Position,
			Message:  fmt.Sprintf("%s has fry on record (%s) but no counts", spawn.ID, fry[0].ID),
			Hint:     "write what is known: `eggs`, `hatched`, `born`, `swimming` or `kept`",
			Places:   []Place{fry[0].place("spawn", fry[0].ID+" comes from "+spawn.ID)},
		})
	}
}

// These contradictions leave descent as it is, and so taint no record.

func checkCountsContradict(c *checker) {
	for _, s := range c.book.Spawns {
		first, ok := s.counted()
		if !ok || first.key != "eggs" && first.key != "born" {
			continue // some may have been lost before they were counted
		}
		if max(s.Kept.N, s.Culled.N, s.Lost.N) > first.tally.N {
			continue // one of them alone is too many: told where it is read
		}
		if sum := s.Kept.N + s.Culled.N + s.Lost.N; sum > first.tally.N {
			c.add(Problem{
				Position: s.Where.At("kept"),
				Message:  fmt.Sprintf("%s has %d fry kept, culled and lost together but only %s", s.ID, sum, first.text()),
				Hint:     "correct one of the numbers",
				Places:   []Place{s.place(first.key, s.ID+" has "+first.text())},
			})
		}
	}
}

func checkSeen(c *checker) {
	for _, s := range c.book.Spawns {
		first, ok := s.fryCount()
		if !ok {
			continue
		}
		for _, seen := range s.Seen {
			sum := 0
			for _, n := range seen.Counts {
				sum += n.N
			}
			if sum > first.tally.N {
				c.add(Problem{
					Position: s.Where.At("seen." + seen.Locus),
					Message:  fmt.Sprintf("%d fry of %s were looked at for %s, but it has %s", sum, s.ID, seen.Locus, first.text()),
					Hint:     "correct one of the numbers; fry are counted once for each locus",
					Places:   []Place{s.place(first.key, s.ID+" has "+first.text())},
				})
			}
		}
	}
}

// fryCount is the first count of live fry that is stated, else that of eggs.
// Those kept are no bound: fry are often looked at before they are culled.
func (s *Spawn) fryCount() (first count, ok bool) {
	stages := s.stages()
	for _, i := range [...]int{2, 3, 1, 0, 4} {
		if stages[i].tally.Stated {
			return stages[i], true
		}
	}
	return count{}, false
}
