// Package pedigree holds what a keeper knows, as plain values: lines, stock,
// spawns, and who was in a lot on a date. It also holds the descent graph, the
// generations from wild and the rules that records must keep.
//
// A [Stock] record stands for one fish or for a lot: several fish kept as a
// group and not told apart. A [Spawn] record says who bred. Every value carries
// the place in the files where it was written, so that each [Problem] can point
// at it. The package opens no file, prints nothing and reads no clock.
package pedigree
