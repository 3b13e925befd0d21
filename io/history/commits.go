package history

import (
	"errors"
	"fmt"
	"strings"

	"roebook/pedigree"
)

// Commit is one commit of the repository.
type Commit struct {
	Hash    string
	Date    pedigree.Date // the day its author made it, as `git log` shows it
	Author  string
	Subject string // the first line of its message
}

// Short is the start of the hash, enough to name the commit by.
func (c Commit) Short() string { return c.Hash[:min(len(c.Hash), 9)] }

const commitFormat = "--format=%H%x00%ad%x00%an%x00%s"

func parseCommits(out []byte) ([]Commit, error) {
	var list []Commit
	for line := range strings.SplitSeq(strings.TrimSuffix(string(out), "\n"), "\n") {
		if line == "" {
			continue
		}
		parts := strings.SplitN(line, "\x00", 4)
		if len(parts) < 4 {
			return nil, fmt.Errorf("git: cannot make out %q", line)
		}
		date, err := pedigree.ParseDate(parts[1])
		if err != nil {
			return nil, fmt.Errorf("git: the commit %s has no date that can be read", parts[0])
		}
		list = append(list, Commit{parts[0], date, parts[2], parts[3]})
	}
	return list, nil
}

// Commit finds the commit that a revision names: a hash or the start of one, a
// branch, a tag, HEAD~3, @{yesterday} and whatever else git takes.
func (r *Repository) Commit(revision string) (Commit, error) {
	o, err := r.objects()
	if err != nil {
		return Commit{}, err
	}
	defer o.close()
	hash, kind, _, err := o.get(revision)
	if err == nil && kind != "commit" { // a tag may have a note of its own
		hash, _, _, err = o.get(hash + "^{commit}")
	}
	switch {
	case errors.Is(err, errMissing):
		return Commit{}, r.unknown(o, revision)
	case err != nil:
		return Commit{}, err
	}
	out, err := r.run("log", "-1", "--date=short", commitFormat, hash)
	if err != nil {
		return Commit{}, err
	}
	list, err := parseCommits(out)
	if err != nil || len(list) != 1 {
		return Commit{}, errors.Join(err, fmt.Errorf("git: cannot make out the commit %s", hash))
	}
	return list[0], nil
}

// unknown says why a revision names no commit.
func (r *Repository) unknown(o *objects, revision string) error {
	if _, _, _, err := o.get("HEAD"); errors.Is(err, errMissing) {
		return fmt.Errorf("the repository has no commit yet: git add and git commit the book first")
	}
	words := ""
	if r.Shallow {
		words = ", or it lies before the point where this clone was cut off; git fetch --unshallow brings the rest"
	}
	return fmt.Errorf("git knows no commit %q: give a hash, a branch, a tag, or HEAD~3 for three commits back%s", revision, words)
}

// Commits lists the commits that changed something in the book's folder, from
// the first to the one given. Of a merge only the side merged into is followed,
// so that each is a state in which this book stood.
func (r *Repository) Commits(to Commit) ([]Commit, error) {
	out, err := r.run("log", "--reverse", "--first-parent", "--date=short", commitFormat, to.Hash, "--", ".")
	if err != nil {
		return nil, err
	}
	return parseCommits(out)
}
