package history

import (
	"encoding/json"
	"runtime"
	"slices"
	"sync"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

// Figures are what is followed of a line over time.
type Figures struct {
	Known    bool   // the line is in the book, and has living fish
	Refused  string // why there is no answer; "" where there is one
	Living   float64
	Founders int // founder records with a share in the living

	MeanKinship, GeneDiversity, MeanInbreeding, FounderGenomeEquivalents float64
}

// FiguresOf takes the figures from a standing.
func FiguresOf(r genetics.Standing, living bool) Figures {
	return Figures{Known: living, Living: r.Living, Founders: len(r.FounderShare), MeanKinship: r.MeanKinship,
		GeneDiversity: r.GeneDiversity, MeanInbreeding: r.MeanInbreeding, FounderGenomeEquivalents: r.FounderGenomeEquivalents}
}

// Moment is how a line stood at a commit, on the day of the commit.
type Moment struct {
	Commit
	Figures
}

// LastOfYears keeps of each year the last of its commits.
func LastOfYears(commits []Commit) []Commit {
	last := map[int]int{}
	for i, c := range commits {
		last[c.Date.Year()] = i
	}
	return slices.Collect(func(yield func(Commit) bool) {
		for i, c := range commits {
			if last[c.Date.Year()] == i && !yield(c) {
				return
			}
		}
	})
}

// Assess works out the figures of a line from a book as it stood on a day. It is
// called for several books at once, which share records.
type Assess func(book *pedigree.Book, problems []pedigree.Problem, on pedigree.Date) Figures

// Series works out the figures of a line at each of the commits. Those of
// commits seen before, by this very program, are taken from the user's cache.
// The line's name is for the cache alone. Cost: for each commit not seen before
// O(n) in the book's records, beside reading the files that it changed; all
// processors share the work.
func (r *Repository) Series(commits []Commit, line string, options records.Options, assess Assess) ([]Moment, error) {
	kept := records.OpenAnswers(r.dir, "series", options)
	question := func(c Commit) string { return r.Prefix + "\x00" + line + "\x00" + c.Hash }
	moments := make([]Moment, len(commits))
	var missing []int
	for i, c := range commits {
		moments[i].Commit = c
		if answer := kept.Get(question(c)); answer == nil || json.Unmarshal(answer, &moments[i].Figures) != nil {
			missing = append(missing, i)
		}
	}
	if len(missing) == 0 {
		return moments, nil
	}
	if err := r.assessAll(moments, missing, options, assess); err != nil {
		return nil, err
	}
	for _, i := range missing {
		if !options.Now.IsZero() && commits[i].Date >= pedigree.DateOf(options.Now) {
			continue // what is not yet past may be held against the rules otherwise tomorrow
		}
		if answer, err := json.Marshal(moments[i].Figures); err == nil {
			kept.Put(question(commits[i]), answer)
		}
	}
	kept.Save()
	return moments, nil
}

func (r *Repository) assessAll(moments []Moment, which []int, options records.Options, assess Assess) error {
	reader, err := r.Reader(options)
	if err != nil {
		return err
	}
	defer reader.Close()
	type job struct {
		at      int
		version Version
	}
	jobs := make(chan job, 16)
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for j := range jobs {
				if j.version.HasBook() {
					book, problems := j.version.Book()
					moments[j.at].Figures = assess(book, problems, j.version.Date)
				}
			}
		})
	}
	for _, i := range which {
		var v Version
		if v, err = reader.Version(moments[i].Commit); err != nil {
			break
		}
		jobs <- job{i, v}
	}
	close(jobs)
	workers.Wait()
	return err
}
