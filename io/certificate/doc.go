// Package certificate makes the sheet that goes with a fish to its buyer: what
// it is, where its ancestors were caught, how many generations ago, how inbred
// it is, and whose word that rests on. The same [Facts] are written as one page
// of PDF, as one HTML file, or as JSON; equal facts give equal bytes.
//
// A fingerprint (SHA-256, FIPS 180-4) of the facts stands on every sheet, and
// the facts themselves are kept inside the file, so that it can be read back
// ([Read]) and held against the book it was made from: the facts field by field
// ([Compare]), the page that people see by making it once more.
package certificate
