// Package genetics says what follows from a keeper's records: kinship,
// inbreeding, founder shares, gene diversity, also for fish kept as groups and
// for unknown parents.
//
// [Compile] turns a [pedigree.Book] into nodes of one linear model on a
// directed acyclic graph,
//
//	u_i = Σ_p w_ip u_p + e_i ,   Var(e_i) = D_i ,  all e independent,
//
// so that the expected additive relationship matrix is A = T D Tᵀ, with T the
// triangular matrix of path weights. Kinship is A/2 and inbreeding A_ii − 1.
// Nothing that computes on the nodes knows about lots.
//
// The factorisation is that of Henderson (1976), Biometrics 32:69 and Quaas
// (1976), Biometrics 32:949; averaging over possible parents follows Henderson
// (1988), J. Anim. Sci. 66:1614 and Pérez-Enciso & Fernando (1992), Theor.
// Appl. Genet. 84:173.
//
// A plain pedigree of single fish, up to millions of them, is not compiled to
// nodes: [CompileTable] works out its inbreeding by one of several methods, and a
// [TableState] gives the same answers as a [State] by passes over the fish that
// were bred.
//
// Answers are given by a [State]: the model as it stands on a date.
package genetics
