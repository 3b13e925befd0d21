// Package chart draws pedigrees and figures: the ancestors of a fish, the
// descent of a line, founder shares, kinship, how a line fared over the years,
// and where inbreeding comes from. A chart is a [Drawing], which is written as
// SVG, PNG or PDF. Equal input gives equal bytes.
//
// Time runs from left to right in all of them. The symbols are those of the
// published standard for drawing pedigrees (Bennett, French, Resta & Doyle 2008,
// J. Genet. Couns. 17:424; Bennett, French, Resta & Austin 2022, J. Genet.
// Couns. 31:1238) where it has one: a square for a male, a circle for a female,
// a diamond for a fish of unknown sex or several of both, a number inside for
// several, a question mark for an unknown one, a double line for parents that
// are kin, a stroke through the dead. For lots, odds and fish picked out of a
// group the standard has none; those are our own. Each chart explains the
// symbols it uses.
package chart
