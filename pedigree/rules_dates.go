package pedigree

// Dates may be known only to the month or the year. A rule that calls
// something impossible asks whether it is so on every day the dates could mean.

// earliest returns the first full date that d could mean.
func (d Date) earliest() Date {
	if d.Known() && d/100%100 == 0 {
		d += 100
	}
	if d.Known() && d%100 == 0 {
		d++
	}
	return d
}

// surelyBefore reports whether a is an earlier day than b, whatever days the
// two could mean; false where one is not known.
func surelyBefore(a, b Date) bool {
	return a.Known() && b.Known() && a.latestDay() < b.earliest()
}

// surelyBy reports whether a is no later than b, whatever days they could mean.
func surelyBy(a, b Date) bool {
	return a.Known() && b.Known() && a.latestDay() <= b.earliest()
}

// latestDay returns the last day that d could mean.
func (d Date) latestDay() Date {
	switch {
	case !d.Known() || d%100 != 0:
		return d
	case d/100%100 == 0:
		return d + 1231
	}
	return d.AddMonths(1).AddDays(-1)
}
