// Package testdata holds the demo book, for the examples of the manual and for
// tests that want a whole book.
package testdata

import "embed"

// Demo is the demo book: roebook.yaml and lines/*.yaml below the folder
// "demo". It is written as by hand: three lines, five years, a few warnings and
// no errors. Its keepers, places, strains and numbers are invented; the species
// and the loci are real. Examples take it as on 2026-11-24.
//
//go:embed all:demo
var Demo embed.FS
