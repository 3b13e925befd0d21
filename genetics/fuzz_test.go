package genetics_test

import (
	"io/fs"
	"math"
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
	"roebook/testdata"
)

// Whatever text a book holds, compiling it does no harm, and what is left of it after the record rules must
// compile, and give kinships that are probabilities.
func FuzzCompile(f *testing.F) {
	err := fs.WalkDir(testdata.Demo, "demo/lines", func(path string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() {
			text, _ := testdata.Demo.ReadFile(path)
			f.Add(string(text))
		}
		return err
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			return
		}
		book, problems := records.Parse([]records.File{
			{Path: "roebook.yaml", Text: []byte("book: fuzz\n")}, {Path: "lines/a.yaml", Text: []byte(text)},
		})
		problems = append(problems, pedigree.Check(book, 20261124)...)
		_, _ = genetics.Compile(book) // refused, or compiled for nothing
		book = book.Without(pedigree.Tainted(book, problems))
		m, err := genetics.Compile(book)
		if err != nil {
			t.Fatalf("a book without errors does not compile: %v", err)
		}
		checkProbabilities(t, m.On(20261124))
	})
}

func checkProbabilities(t *testing.T, s *genetics.State) {
	t.Helper()
	book := s.Model().Book()
	var ids []string
	for _, stock := range book.Stock {
		ids = append(ids, stock.ID)
	}
	for _, spawn := range book.Spawns {
		ids = append(ids, spawn.ID)
	}
	if len(ids) > 40 {
		ids = ids[:40]
	}
	kinship, known := s.KinshipMatrix(ids)
	for i := range ids {
		for j := range ids {
			if k := kinship[i][j]; known[i][j] && (math.IsNaN(k) || k < -1e-9 || k > 1+1e-9) {
				t.Errorf("kinship of %q and %q is %v", ids[i], ids[j], k)
			}
		}
		if f, ok := s.Inbreeding(ids[i]); ok && (math.IsNaN(f) || f < -1e-9 || f > 1+1e-9) {
			t.Errorf("inbreeding of %q is %v", ids[i], f)
		}
		sum := 0.0
		for _, share := range s.Founders(ids[i]) {
			sum += share.Share
		}
		if want := s.RecordedAncestry(ids[i]); math.Abs(sum-want) > 1e-9 {
			t.Errorf("founder shares of %q sum to %v, recorded ancestry is %v", ids[i], sum, want)
		}
	}
	s.Line("")
}
