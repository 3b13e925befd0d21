// Package forecast plays a line forward from the fish that live today.
//
// [From] takes the fish of a line out of a [genetics.State]; [Run] breeds them
// for a number of generations many times over, each run with its own chances,
// and tells how inbreeding, gene diversity and the founders' shares go;
// [LeastPairs] and [LeastNewWild] look for the least that keeps to a goal.
//
// Only who is paired with whom, which spawns fail, and the sexes of the fry are
// left to chance. What follows from them is not drawn but reckoned: each run
// carries the exact expected kinships of its living fish, by the tabular rule
// (Emik & Terrill 1949, J. Hered. 40:51), so the chances of Mendel's lottery
// enter as their expectation. Generations do not overlap.
package forecast
