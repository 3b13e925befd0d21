package pedcsv

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"roebook/pedigree"
)

// plainTable reads a table that has no problems with encoding/csv and maps.
func plainTable(text []byte) (*pedigree.Table, error) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	t := &pedigree.Table{Name: "t.csv"}
	at := map[string]int32{"": -1}
	for i, row := range rows[1:] {
		at[row[0]] = int32(i)
		t.IDs = append(t.IDs, row[0])
	}
	for _, row := range rows[1:] {
		t.Sire, t.Dam, t.Sex = append(t.Sire, at[row[1]]), append(t.Dam, at[row[2]]), append(t.Sex, 0)
	}
	for i := range rows[1:] {
		for side, parents := range [2][]int32{t.Sire, t.Dam} {
			if p := parents[i]; p >= 0 {
				t.Sex[p] = pedigree.Male + pedigree.Sex(side)
			}
		}
	}
	return t, nil
}

// A table long enough for both cores, with ids of all lengths, some of them with
// commas, quotes and blanks inside, rows in any order and with ids ascending.
func TestLongTables(t *testing.T) {
	for _, kind := range [][2]bool{{false, false}, {true, false}, {false, true}, {true, true}} {
		quoted, ascending := kind[0], kind[1]
		rng := rand.New(rand.NewPCG(4, 4))
		n := 30000
		ids := make([]string, n)
		for i := range ids {
			ids[i] = strings.Repeat("x", rng.IntN(12)) + strconv.Itoa(i)
			if quoted && i%3 == 0 {
				ids[i] += []string{",", `"`, " ", "'"}[rng.IntN(4)] + "z"
			}
		}
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.UseCRLF = !quoted
		_ = w.Write([]string{"id", "sire", "dam"})
		order := rng.Perm(n)
		if ascending {
			slices.SortFunc(order, func(i, j int) int {
				return cmp.Or(len(ids[i])-len(ids[j]), strings.Compare(ids[i], ids[j]))
			})
		}
		for _, i := range order {
			row := []string{ids[i], "", ""}
			if i > 2 {
				row[1], row[2] = ids[rng.IntN(i/2+1)*2%i/2*2], ids[rng.IntN(i/2)*2+1]
			}
			_ = w.Write(row)
		}
		w.Flush()
		want, err := plainTable(b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		got, problems := ReadTable(bytes.NewReader(b.Bytes()), "t.csv")
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if diff := gocmp.Diff(want, got); diff != "" {
			t.Errorf("quoted %v (- encoding/csv, + ours):\n%.2000s", quoted, diff)
		}
	}
}

// Problems far apart in a long table: a second row of the first id, a bad value
// in the last row, and more than are told.
func TestProblemsOfLongTables(t *testing.T) {
	var b bytes.Buffer
	b.WriteString("id,sire,dam,sex\n")
	for i := range 40000 {
		fmt.Fprintf(&b, "fish %d,,,\n", i)
	}
	good := b.Len()
	b.WriteString("fish 0,,,maybe\nlast,,,maybe\n")
	table, problems := ParseTable(b.Bytes(), "t.csv")
	if len(problems) != 2 || table.Len() != 40001 || table.IDs[40000] != "last" {
		t.Fatalf("%d rows, %v", table.Len(), problems)
	}
	if p := problems[0]; p.Rule != "duplicate-id" || p.Line != 40002 || p.Places[0].Line != 2 || p.Places[0].Width != 6 {
		t.Errorf("%+v", p)
	}
	if p := problems[1]; p.Rule != "table-sex" || p.Line != 40003 || p.Column != 8 {
		t.Errorf("%+v", p)
	}
	for i := range 5000 {
		fmt.Fprintf(&b, "fish %d,,,\n", i)
	}
	if _, problems = ParseTable(b.Bytes(), "t.csv"); len(problems) != mostProblems+1 {
		t.Errorf("%d problems", len(problems))
	}
	if _, problems = ParseTable(b.Bytes()[:good], "t.csv"); len(problems) != 0 {
		t.Error(problems)
	}
}

func TestTableAndBookAreOne(t *testing.T) {
	text := "id,sire,dam,sex,born,living\na,,,,2001,no\nb,,,,2001-03,\nc,a,b,,2002-02-28,yes\nd,a,,f,,1\n"
	table, problems := ParseTable([]byte(text), "t.csv")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want := &pedigree.Table{
		Name: "t.csv", IDs: []string{"a", "b", "c", "d"}, Sire: []int32{-1, -1, 0, 0}, Dam: []int32{-1, -1, 1, -1},
		Sex:  []pedigree.Sex{pedigree.Male, pedigree.Female, pedigree.Unsexed, pedigree.Female},
		Born: []pedigree.Date{20010000, 20010300, 20020228, 0}, Living: []bool{false, false, true, true},
	}
	if diff := gocmp.Diff(want, table); diff != "" {
		t.Error(diff)
	}
	book, _ := Read(strings.NewReader(text), "t.csv")
	for i, id := range table.IDs {
		s := book.StockByID(id)
		if s.Sex != table.Sex[i] || s.Born != table.Born[i] || (book.Heads(s, 20260101).Total() > 0) != table.LivingOn(i, 20260101) {
			t.Errorf("%s: in the book %+v", id, s)
		}
	}
}

// What is written can be read: by encoding/csv, and back to the same number.
func TestWriteInbreeding(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 50).Draw(rt, "rows")
		table, f := &pedigree.Table{}, []float64{}
		if rapid.IntRange(0, 20).Draw(rt, "long") == 0 {
			n += 40000
		}
		id := rapid.SampledFrom([]string{"plain", "a,b", `a"b`, "a\nb", "'", "ä ö"})
		value := rapid.SampledFrom([]float64{0, 0.25, 1, 1.0 / 3, 0.1, 1e-9})
		for i := range n {
			if i < 50 {
				table.IDs, f = append(table.IDs, id.Draw(rt, "id")), append(f, value.Draw(rt, "f"))
			} else {
				table.IDs, f = append(table.IDs, strconv.Itoa(i)), append(f, 1/float64(i/3))
			}
			table.Sire = append(table.Sire, -1)
		}
		var b bytes.Buffer
		if err := WriteInbreeding(&b, table, f); err != nil {
			rt.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != n+1 || !slices.Equal(rows[0], []string{"id", "inbreeding"}) {
			rt.Fatal(len(rows), err)
		}
		for i, row := range rows[1:] {
			back, err := strconv.ParseFloat(row[1], 64)
			if err != nil || row[0] != table.IDs[i] || back != f[i] {
				rt.Fatalf("row %d: %q, want %q and %v", i, row, table.IDs[i], f[i])
			}
		}
	})
}

func FuzzParseTable(f *testing.F) {
	f.Add([]byte("id,sire,dam\n1,,\n2,,\n3,1,2\n"))
	f.Add([]byte("id,sire,dam\r\n\"1\",,\r\n\r\n2,\"\",1"))
	f.Add([]byte("\ufeffid,sire,dam\n1,0, \n,\r,\n1,1,1\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		table, problems := ParseTable(slices.Clone(text), "t.csv")
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Message == "" {
				t.Errorf("a problem without a place or words: %+v", p)
			}
		}
		if len(problems) > 0 {
			return
		}
		for i := range table.IDs {
			for _, p := range [2]int32{table.Sire[i], table.Dam[i]} {
				if p < -1 || int(p) >= table.Len() {
					t.Errorf("row %d has parent %d", i, p)
				}
			}
		}
		if _, loop := table.Order(); loop >= 0 {
			t.Errorf("a loop that was not told, at row %d", loop)
		}
	})
}
