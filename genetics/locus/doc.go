// Package locus infers what fish carry at Mendelian loci from all that the
// records state at once: looks and genotypes of fish, sexes, counts of fry by
// look, and who bred with whom. It foretells crosses, finds records that cannot
// all be true, and says whom to test-mate.
//
// # The model
//
// A genotype is two gametes: an allele at every locus of a system and, where the
// loci hang on sex, a sex chromosome (XY, ZW, or the W, X and Y of platyfish). A
// system is the loci that must be reckoned together: linked ones, and those that
// one phenotype reads. Loci of one chromosome recombine without interference; of
// the stated distances the shortest that join them all are used. An X, Y, Z or W
// locus never leaves its chromosome; one on both (XY) changes over with the
// stated recombination, in fish with one of each; the W of platyfish carries no
// locus of the kind XY. Lethal genotypes are not there: fry, and founders, are
// what they are among those that live.
//
// Every fish that matters is a variable of a Bayesian network, and so is every
// choice: who of several was the sire, which spawn a fish is from. A choice is one
// variable for all loci of the line, so that what is seen at one tells of the
// others through it. Loci that are not one system are otherwise apart: two loci of
// the X that are not declared linked are each worked out without the other.
//
// Founders are unrelated, of the allele frequencies of the locus (even where none
// are stated), in Hardy-Weinberg proportions, with a declared inbreeding F as
// (1−F)·2pq and so on. Of platyfish each pair of sex chromosomes of a sex is
// taken as likely as another.
//
// Counts of fry are multinomial, with the chance of each look given the parents.
// Fry that have records of their own with a look (or a genotype that has but one)
// are taken to be among those counted, and are not counted twice. Counts at two
// loci of one system are taken as if of different fry.
//
// # Lots
//
// A fish out of a lot is a fish of its own, with the parents of the lot. What
// differs from the coancestry model of package genetics, which is exact in
// expectation for finite lots:
//
//   - A parent that is "one of a lot" is, for each spawn, another fish of it,
//     unless the lot is down to one fish of that sex beside those picked out: then
//     it is the same each time. Fish picked out later are candidates by name.
//   - What is stated of a lot holds for each of its fish: for all of them as
//     evidence about their parents where these are one family, else for four.
//   - Siblings of a founder lot share two unknown parents, half-siblings an
//     unknown sire; other kinships are mixed from siblings (or copies of one fish,
//     above one quarter) and unrelated fish so that two fish have that kinship.
//     Kinship declared between founder records is not used.
//   - Of several parents of a spawn (sires: 2, all) at most four are told apart,
//     drawn with replacement where not all of the candidates gave; every fry has
//     one of them, whatever its sibs have.
//
// Where the dam may carry sperm of earlier males (stores-sperm-months), these
// stand among the candidate sires, each fish as likely as another, unless the
// keeper gave odds or the spawn is marked virgin. Coancestry stays with what the
// record says.
//
// # How it is worked out
//
// Values that no factor allows are taken out first (Lange & Goradia 1987, American
// Journal of Human Genetics 40:250); what is left is summed out variable after
// variable in min-fill order and passed back (Lauritzen & Spiegelhalter 1988,
// Journal of the Royal Statistical Society B 50:157), in logarithms throughout.
// Only ancestors of evidence and of what is asked are in the network. Where a
// table would exceed 524,288 entries, whole blocks of variables are drawn by Gibbs
// sampling (Jensen, Kong & Kjærulff 1995, International Journal of Human-Computer
// Studies 42:647), four chains, with a standard error from batches and the scale
// reduction between chains (Gelman & Rubin 1992, Statistical Science 7:457); the
// answer is marked as sampled.
package locus
