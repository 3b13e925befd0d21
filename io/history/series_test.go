package history

import (
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

// reed works out the figures of the line "reed".
func reed(book *pedigree.Book, problems []pedigree.Problem, on pedigree.Date) Figures {
	problems = append(problems, pedigree.Check(book, on)...)
	if tainted := pedigree.Tainted(book, problems); len(tainted) > 0 {
		return Figures{Refused: "errors"}
	}
	model, err := genetics.Compile(book)
	if err != nil {
		return Figures{Refused: err.Error()}
	}
	return FiguresOf(model.On(on).Standing("reed"))
}

// BenchmarkSeries reads 2,000 commits of a book that grows to 1,000 records in
// 20 files, with nothing kept and with all kept.
func BenchmarkSeries(b *testing.B) {
	needGit(b)
	env := plainGit(b)
	repo := open(b, writeHistory(b, env, "fish/book", 2000, 1000, 20), env)
	for name, options := range map[string]records.Options{"cold": {}, "warm": {CacheDir: b.TempDir()}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				last, err := repo.Commit("HEAD")
				if err != nil {
					b.Fatal(err)
				}
				commits, err := repo.Commits(last)
				if err != nil {
					b.Fatal(err)
				}
				moments, err := repo.Series(commits, "reed", options, reed)
				if err != nil || len(moments) != 2000 || !moments[1999].Known {
					b.Fatal(len(moments), moments[len(moments)-1], err)
				}
			}
		})
	}
}
