// Package sheet writes litter sheets: a workbook (xlsx, Office Open XML) with
// one worksheet for each litter, to be clipped up by the tank or filled on a
// tablet, and a first worksheet that lists them all and follows what is typed.
//
// # What a later reader can rely on (format 1)
//
// Every litter worksheet carries its own marks in two hidden columns, H and I,
// so that it can still be read when the keeper renames, moves or copies it, or
// puts a row in. H holds a key; the cells of that row belong to it:
//
//	H            I                      the row
//	format       roebook-litter-sheet/1
//	id           the litter's id
//	fingerprint  of the book, may be empty
//	spawned      yyyy-mm-dd or empty    B: the day it was spawned, born or laid
//	planned                             D: the day it is planned for, with livebearers
//	                                    the day of putting the pair together
//	eggs … kept  the number the book    B: days after that day, C: due (computed),
//	             held when written      D: done on, E: number, F: initials, G: remark
//	moved                               A: which fish, C: sex, D: date, E: number, F: tank, G: remark
//	note                                A: what the keeper wrote
//
// spawned and planned share a row: its H reads "spawned planned". The keys of
// the counts are eggs, fertile, hatched (or born), swimming, week-1 to week-8,
// deformed, culled, lost, kept, males, females. A number that differs from the
// one in I was changed by the keeper. Dates are day numbers of the 1900 date
// system, or text where only a year or month is known.
//
// All that is computed is a formula saved together with its value, so that
// programs which do not recalculate show the same numbers.
package sheet
