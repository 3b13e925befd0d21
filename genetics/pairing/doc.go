// Package pairing says which fish to put together.
//
// [Rank] orders every possible pair of a line by the gene diversity that the
// line would have with some fry of the pair added. It asks a [genetics.State]
// for kinships and knows nothing of how they come about.
package pairing
