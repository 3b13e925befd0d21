package pedigree

// StoredFrom returns, by the id of a spawn, the earlier spawns of the same dam by
// sires that are not named for it and whose sperm she may still have carried: no
// longer before it than the line's `stores-sperm-months`, the latest first. A
// spawn marked virgin, a repeat, and one of which the dam is not one known fish
// have none. O(spawns log spawns) and the pairs returned.
func (b *Book) StoredFrom() map[string][]*Spawn {
	stores := false
	for _, line := range b.Lines {
		stores = stores || line.StoresSpermMonths > 0
	}
	if !stores {
		return nil
	}
	c := &shared{book: b}
	out := make(map[string][]*Spawn)
	for _, spawns := range c.spawnsByDam() {
		for i, s := range spawns {
			months := c.line(s.Line).StoresSpermMonths
			if months <= 0 || s.Virgin || s.Repeat != "" || s.IsPlanned() {
				continue
			}
			for j := i - 1; j >= 0; j-- {
				earlier := spawns[j]
				if addMonthsPart(earlier.Date.latestDay(), months) < s.Date.earliest() {
					break
				}
				if surelyBefore(earlier.Date, s.Date) && !c.sameSires(earlier, s) {
					out[s.ID] = append(out[s.ID], earlier)
				}
			}
		}
	}
	return out
}
