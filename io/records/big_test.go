package records

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The book with lots: 400 files of 50 records each, half of the records lots.
// All of it is invented.
const (
	bigLines = 20
	bigYears = 20
)

// bigBook writes a book of lines × years files with 50 records each: 15 spawns,
// 25 lots and 10 fish. A seed gives one book, with no errors in it.
func bigBook(lines, years int, seed uint64) []File {
	files := []File{{BookFile, []byte("book: the long house\nkeeper: the keeper\n")}}
	for line := range lines {
		g := &bigGenerator{rng: rand.New(rand.NewPCG(seed, uint64(line))), line: line}
		for year := range years {
			name := fmt.Sprintf("lines/line-%02d/%d.yaml", line, 2001+year)
			files = append(files, File{name, g.year(2001 + year)})
		}
	}
	return files
}

// bigGenerator makes up one line, year by year.
type bigGenerator struct {
	rng           *rand.Rand
	line          int
	lots, fish    []string // of the year before, to breed from; fish are male, female, male...
	stock, spawns strings.Builder
}

func (g *bigGenerator) id(kind string, year, n int) string {
	return fmt.Sprintf("L%02d-%s%02d-%d", g.line, kind, year%100, n)
}

// year writes the file of one year. What is born in it breeds in the next.
func (g *bigGenerator) year(year int) []byte {
	g.stock.Reset()
	g.spawns.Reset()
	var lots, fish []string
	for n := range 15 {
		id := g.id("F", year, n)
		lots = append(lots, id)
		if len(g.lots) == 0 {
			fmt.Fprintf(&g.stock, "  %s:\n    wild: {site: pool %d, date: %d-03-05, collector: the keeper}\n    males: 20\n    females: 20\n    tank: R%d\n", id, n, year, n)
			fmt.Fprintf(&g.spawns, "  %s: {date: %d-04-10, group: %s, born: 12}\n", g.id("S", year, n), year, id)
			continue
		}
		g.spawn(year, n)
		fmt.Fprintf(&g.stock, "  %s:\n    spawn: %s\n    males: %d\n    females: %d\n    unsexed: 6   # too small to tell\n    tank: R%d\n",
			id, g.id("S", year, n), 12+g.rng.IntN(5), 12+g.rng.IntN(5), g.rng.IntN(60))
		fmt.Fprintf(&g.stock, "    changes:\n      - {date: %d-11-01, males: 9, females: 9, unsexed: 0, why: the rest were given away}\n", year)
	}
	for n := range 10 { // fish, picked out of the lots
		id, sex := g.id("P", year, n), [...]string{"male", "female"}[n%2]
		fish = append(fish, id)
		fmt.Fprintf(&g.stock, "  %s: {picked: %s, date: %d-09-01, sex: %s, note: \"the %d. best of them\"}\n", id, lots[n], year, sex, n+1)
	}
	for n := range 10 { // lots, taken out of the lots
		id := g.id("D", year, n)
		fmt.Fprintf(&g.stock, "  %s: {picked: %s, date: %d-09-12, males: 2, females: %d, tank: Q%d}\n", id, lots[(n*7+3)%15], year, 1+n%3, n)
		lots = append(lots, id)
	}
	g.lots, g.fish = lots, fish
	return fmt.Appendf(nil, "line: line-%02d\nspecies: Xenotoca variata\ncommon-name: jewelled splitfin\nlocality: spring %d\nmature-months: {male: 3, female: 4}\n\nstock:\n%s\nspawns:\n%s",
		g.line, g.line, g.stock.String(), g.spawns.String())
}

// spawn writes a spawn of the fish of the year before.
func (g *bigGenerator) spawn(year, n int) {
	born := 44 + g.rng.IntN(20)
	parents := "group: " + g.lots[g.rng.IntN(len(g.lots))]
	switch n % 5 {
	case 0:
		parents = fmt.Sprintf("sire: %s, dam: %s", g.fish[2*g.rng.IntN(5)], g.fish[2*g.rng.IntN(5)+1])
	case 1:
		parents = fmt.Sprintf("sire: [%s, %s], dam: %s", g.fish[0], g.fish[4], g.lots[g.rng.IntN(len(g.lots))])
	}
	fmt.Fprintf(&g.spawns, "  %s: {date: %d-04-%02d, %s, born: %d, deformed: %d, kept: %d}\n", g.id("S", year, n), year, 10+n, parents, born, g.rng.IntN(3), born-4)
}

// writeBook writes the files of a book into a new folder.
func writeBook(t testing.TB, files []File) string {
	t.Helper()
	dir := t.TempDir()
	writeInto(t, dir, files)
	return dir
}

func writeInto(t testing.TB, dir string, files []File) {
	t.Helper()
	for _, f := range files {
		name := filepath.Join(dir, filepath.FromSlash(f.Path))
		if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, f.Text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

var bookInto = flag.String("write-book", "", "write the book with lots into this `folder`, to measure whole programs with it")

func TestWriteBookWithLots(t *testing.T) {
	if *bookInto == "" {
		t.Skip("no folder is given")
	}
	writeInto(t, *bookInto, bigBook(bigLines, bigYears, 1))
}
