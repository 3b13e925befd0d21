package history

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"roebook/io/records"
	"roebook/pedigree"
)

// commitsOf lists the commits of HEAD.
func commitsOf(t testing.TB, repo *Repository) []Commit {
	t.Helper()
	last, err := repo.Commit("HEAD")
	if err != nil {
		t.Fatal(err)
	}
	commits, err := repo.Commits(last)
	if err != nil {
		t.Fatal(err)
	}
	return commits
}

// Every version read through git is the book that reading the files of a work
// tree at that commit gives, and the figures are those of the books.
func TestVersionsAreWhatACheckoutHolds(t *testing.T) {
	needGit(t)
	env := plainGit(t)
	dir := writeHistory(t, env, "fish/book", 60, 80, 4)
	repo := open(t, dir, env)
	commits := commitsOf(t, repo)
	if len(commits) != 60 {
		t.Fatalf("%d commits", len(commits))
	}
	moments, err := repo.Series(commits, "reed", records.Options{}, reed)
	if err != nil {
		t.Fatal(err)
	}
	reader, err := repo.Reader(records.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	for i, c := range commits {
		version, err := reader.Version(c)
		if err != nil {
			t.Fatal(err)
		}
		book, problems := version.Book()
		if i%7 != 0 {
			continue
		}
		gitIn(t, env, dir, nil, "checkout", "-q", c.Hash)
		want, wantProblems, err := records.Read(dir)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, book, cmpopts.IgnoreUnexported(pedigree.Book{})); d != "" {
			t.Fatalf("%s: %s", c.Subject, d)
		}
		if d := cmp.Diff(wantProblems, problems, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("%s: %s", c.Subject, d)
		}
		if got := reed(want, wantProblems, c.Date); got != moments[i].Figures || !got.Known {
			t.Errorf("%s: %v, want %v", c.Subject, moments[i].Figures, got)
		}
	}
}

// What is kept in the cache is what was worked out, and is used.
func TestSeriesIsKept(t *testing.T) {
	needGit(t)
	env := plainGit(t)
	repo := open(t, writeHistory(t, env, "", 30, 40, 3), env)
	commits := commitsOf(t, repo)
	options := records.Options{CacheDir: t.TempDir()}
	first, err := repo.Series(commits[:20], "reed", options, reed)
	if err != nil {
		t.Fatal(err)
	}
	var asked atomic.Int32
	again, err := repo.Series(commits, "reed", options, func(b *pedigree.Book, p []pedigree.Problem, on pedigree.Date) Figures {
		asked.Add(1)
		return Figures{Living: 7}
	})
	if err != nil || asked.Load() != 10 || !cmp.Equal(first, again[:20]) || again[29].Living != 7 {
		t.Errorf("%v; %d worked out anew; %v", err, asked.Load(), again[29])
	}
	nothing := func(*pedigree.Book, []pedigree.Problem, pedigree.Date) Figures { return Figures{} }
	if other, err := repo.Series(commits[:1], "sedge", options, nothing); err != nil || other[0].Known {
		t.Errorf("another line has the same figures: %v, %v", other, err)
	}
}

func TestLastOfYears(t *testing.T) {
	var got []string
	for _, c := range LastOfYears([]Commit{{Hash: "a", Date: 20200105}, {Hash: "b", Date: 20201231}, {Hash: "c", Date: 20220301}, {Hash: "d", Date: 20220302}}) {
		got = append(got, c.Hash)
	}
	if strings.Join(got, "") != "bd" {
		t.Errorf("%v", got)
	}
}

func TestRevisions(t *testing.T) {
	needGit(t)
	env := plainGit(t)
	dir := writeHistory(t, env, "book", 12, 10, 2)
	gitIn(t, env, dir, nil, "tag", "spring", "HEAD~3")
	repo := open(t, dir, env)
	if repo.Prefix != "book" {
		t.Errorf("prefix %q", repo.Prefix)
	}
	for revision, subject := range map[string]string{"HEAD": "evening 11", "HEAD~11": "evening 0", "spring": "evening 8", "main": "evening 11", ":/evening 7": "evening 7"} {
		if c, err := repo.Commit(revision); err != nil || c.Subject != subject {
			t.Errorf("%s: %v, %v", revision, c, err)
		}
	}
	marker := filepath.Join(t.TempDir(), "written")
	for _, revision := range []string{"", "--help", "--output=" + marker, "-1", "nowhere", "HEAD~99", "HEAD\nHEAD", "HEAD:book", "$(touch " + marker + ")", "a b"} {
		if c, err := repo.Commit(revision); err == nil || !strings.Contains(err.Error(), "git knows no commit") {
			t.Errorf("%q: %v, %v", revision, c, err)
		}
	}
	if _, err := os.Stat(marker); err == nil {
		t.Error("a revision was run as a command or an option")
	}
}

func TestWhereThereIsNoHistory(t *testing.T) {
	needGit(t)
	env := append(plainGit(t), "GIT_CEILING_DIRECTORIES="+filepath.Dir(t.TempDir()))
	dir := t.TempDir()
	if _, err := Open(dir, env); err == nil || !strings.Contains(err.Error(), "is not in a git repository; to begin one: git init") {
		t.Errorf("no repository: %v", err)
	}
	gitIn(t, env, dir, nil, "init", "-q", ".")
	if _, err := open(t, dir, env).Commit("HEAD"); err == nil || !strings.Contains(err.Error(), "no commit yet") {
		t.Errorf("no commit: %v", err)
	}
	full := writeHistory(t, env, "book", 12, 10, 2)
	clone := filepath.Join(t.TempDir(), "clone")
	gitIn(t, env, dir, nil, "clone", "-q", "--depth", "3", "file://"+filepath.Dir(full), clone)
	repo := open(t, filepath.Join(clone, "book"), env)
	if _, err := repo.Commit("HEAD~5"); err == nil || !strings.Contains(err.Error(), "--unshallow") || !repo.Shallow {
		t.Errorf("shallow: %v", err)
	}
	if commits := commitsOf(t, repo); len(commits) != 3 {
		t.Errorf("%d commits of a clone of 3", len(commits))
	}
	t.Setenv("PATH", t.TempDir())
	if _, err := Open(full, env); !errors.Is(err, ErrNoGit) {
		t.Errorf("no git: %v", err)
	}
}

// A hook of another repository, which git runs with variables that name that
// one, does not lead away from the book's; a work tree whose repository is kept
// elsewhere is found by them.
func TestVariablesOfGit(t *testing.T) {
	needGit(t)
	env := append(plainGit(t), "GIT_CEILING_DIRECTORIES="+filepath.Dir(t.TempDir()))
	dir, other := writeHistory(t, env, "book", 6, 10, 2), writeHistory(t, env, "", 3, 10, 2)
	lead := append(env, "GIT_DIR="+filepath.Join(other, ".git"), "GIT_WORK_TREE="+other, "GIT_INDEX_FILE="+filepath.Join(other, ".git/index"))
	if n := len(commitsOf(t, open(t, dir, lead))); n != 6 {
		t.Errorf("%d commits", n)
	}
	top, kept := filepath.Dir(dir), filepath.Join(t.TempDir(), "kept.git")
	if err := os.Rename(filepath.Join(top, ".git"), kept); err != nil {
		t.Fatal(err)
	}
	repo := open(t, dir, append(env, "GIT_DIR="+kept, "GIT_WORK_TREE="+top))
	if n := len(commitsOf(t, repo)); n != 6 || repo.Prefix != "book" {
		t.Errorf("kept elsewhere: %d commits, prefix %q", n, repo.Prefix)
	}
}
