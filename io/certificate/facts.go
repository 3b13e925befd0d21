package certificate

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"
)

// Format names what the facts are, and the version of their keys.
const Format = "roebook provenance 1"

// Facts is all that a sheet says. Keys and values of a fish that `roebook show
// --json` has too are the same there. Shares and inbreeding lie between 0 and 1.
type Facts struct {
	Format     string   `json:"format"`
	Program    string   `json:"program"`     // that wrote the sheet
	On         string   `json:"on"`          // the day that it speaks of
	Book       Book     `json:"book"`        // that it was made from
	Line       Line     `json:"line"`        // of the fish
	Each       int      `json:"each"`        // so many fish of one lot, each with a number; 0: the sheet is of the record
	Fish       []Fish   `json:"fish"`        // at least one
	Lineage    *Lineage `json:"lineage"`     // of a single record
	SigningKey string   `json:"signing_key"` // fingerprint of the key that the file is to be signed with, "" for none
}

// Book is where the facts are from.
type Book struct {
	Name        string `json:"name"`
	Keeper      string `json:"keeper"`
	Commit      string `json:"commit"`      // git's name for the state of the book, "" outside of git
	Uncommitted bool   `json:"uncommitted"` // the book had changes that the commit does not have
}

// Line is what holds for the whole line.
type Line struct {
	Name          string   `json:"name"`
	CommonName    string   `json:"common_name"`
	BroodWord     string   `json:"brood_word"`
	Living        float64  `json:"living"`
	GeneDiversity *float64 `json:"gene_diversity"` // nil where none are living or errors touch it
}

// Fish is one fish, or any fish of a lot, or any young of a spawn.
type Fish struct {
	ID       string `json:"id"`
	Kind     string `json:"kind"` // fish, lot or spawn
	Name     string `json:"name"`
	Species  string `json:"species"`
	Locality string `json:"locality"`
	Status   string `json:"status"` // living, or what became of it

	Sex     string   `json:"sex"` // of a fish
	Count   *float64 `json:"count"`
	Males   *float64 `json:"males"`
	Females *float64 `json:"females"`
	Unsexed *float64 `json:"unsexed"`

	Born   string `json:"born"`    // a date, or part of one; "" where it is not known
	BredBy string `json:"bred_by"` // the book's keeper where it was bred in the book; else ""
	Origin string `json:"origin"`  // in words

	Generation            Generation `json:"generation"`
	EquivalentGenerations *float64   `json:"equivalent_generations"`
	Inbreeding            *float64   `json:"inbreeding"`
	Relation              string     `json:"relation"` // of its parents: "as close as half-sibs"; "" of a founder
	SelfKinship           *float64   `json:"self_kinship"`
	KinshipWithin         *float64   `json:"kinship_within"` // of two fish of a lot
	MeanKinship           *float64   `json:"mean_kinship"`
	RecordedAncestry      *float64   `json:"recorded_ancestry"`
	Ancestry              Ancestry   `json:"ancestry"`
	Founders              []Founder  `json:"founders"`
	Loci                  []Locus    `json:"loci"`
	Spawns                []Spawn    `json:"spawns"`
}

// Generation is how far a fish is from the wild.
type Generation struct {
	Min      int     `json:"min"`
	Mean     float64 `json:"mean"`
	Max      int     `json:"max"`
	Label    string  `json:"label"`
	Declared bool    `json:"declared"` // it rests on a seller's word
	CITES    string  `json:"cites"`    // one of the constants
}

// What a fish is in the sense of CITES Resolution Conf. 10.16 (Rev.).
const (
	FromTheWild     = "wild"            // caught, or conceived there
	FirstGeneration = "first"           // at least one parent from the wild, whatever the other is
	SecondOrLater   = "second or later" // neither parent from the wild
	NotCertain      = "not certain"     // a parent may have been from the wild
)

// Ancestry is shares of genes by the kind of founder they came from; they sum to 1.
type Ancestry struct {
	Wild    float64 `json:"wild"`
	Bought  float64 `json:"bought"`
	Unknown float64 `json:"unknown"`
}

// Founder is a founder record with its share of the genes.
type Founder struct {
	ID         string  `json:"id"`
	Share      float64 `json:"share"`
	Kind       string  `json:"kind"` // wild or bought
	Site       string  `json:"site"`
	Year       string  `json:"year"` // of catching or buying
	By         string  `json:"by"`   // the collector, or the seller
	Generation string  `json:"generation"`
}

// Locus is what is known of a fish at a locus.
type Locus struct {
	Locus     string `json:"locus"`
	Genotype  string `json:"genotype"`
	Phenotype string `json:"phenotype"`
	Inferred  bool   `json:"inferred,omitempty"` // the genotype was not stated, and follows from the records
}

// Spawn is a spawn that the fish came from; counts that were not stated are nil.
type Spawn struct {
	ID   string `json:"id"`
	Date string `json:"date"`
	Sire string `json:"sire"` // in words
	Dam  string `json:"dam"`
	// The sire is not on record and was a wild fish, for the dam was caught carrying.
	UnseenWildSire bool `json:"unseen_wild_sire,omitempty"`

	Eggs     *int `json:"eggs"`
	Fertile  *int `json:"fertile"`
	Hatched  *int `json:"hatched"`
	Born     *int `json:"born"`
	Swimming *int `json:"swimming"`
	Kept     *int `json:"kept"`
	Deformed *int `json:"deformed"`
	Culled   *int `json:"culled"`
	Lost     *int `json:"lost"`
}

// Lineage is what the chart of ancestors shows, and the digest of the drawing
// itself: SHA-256 of its SVG.
type Lineage struct {
	Generations int        `json:"generations"`
	Ancestors   []Ancestor `json:"ancestors"` // sorted by id
	Drawing     string     `json:"drawing"`
}

// Ancestor is a record among the ancestors.
type Ancestor struct {
	ID         string   `json:"id"`
	Back       int      `json:"back"` // generations back, the fewest
	Generation string   `json:"generation"`
	Inbreeding *float64 `json:"inbreeding"`
}

// Canonical returns the facts as the fingerprint is taken of them: JSON without
// spaces, keys in the order of the types here, text not escaped for web pages.
func (f *Facts) Canonical() []byte {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(f); err != nil {
		panic(err) // only NaN and infinities, which no answer is
	}
	return bytes.TrimSpace(out.Bytes())
}

// Fingerprint is the SHA-256 of the canonical facts, as 64 hexadecimal digits.
func (f *Facts) Fingerprint() string { return digest(f.Canonical()) }

func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Grouped is the beginning of a fingerprint for people to compare: 20 digits, of
// which two sheets agree by chance once in 2^80.
func Grouped(fingerprint string) string {
	var groups []string
	for at := 0; at+4 <= min(20, len(fingerprint)); at += 4 {
		groups = append(groups, fingerprint[at:at+4])
	}
	return strings.Join(groups, " ")
}

// IDs are those of the fish.
func (f *Facts) IDs() []string {
	var ids []string
	for i := range f.Fish {
		ids = append(ids, f.Fish[i].ID)
	}
	return ids
}
