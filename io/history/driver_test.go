package history

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"roebook/io/records"
	"roebook/pedigree"
)

// The test program stands in for roebook merge-books when git calls it.
func TestMain(m *testing.M) {
	if os.Getenv("ROEBOOK_TEST_DRIVER") == "" || len(os.Args) < 7 {
		os.Exit(m.Run())
	}
	merged, err := MergeFiles(os.Args[3], os.Args[4], os.Args[5], os.Args[6], os.Environ())
	switch {
	case err != nil:
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	case !merged.Clean():
		os.Exit(1)
	}
	os.Exit(0)
}

// shared is a book of a few files that two keepers change, each in a clone.
type shared struct {
	t   *testing.T
	env []string
	dir string
}

func newShared(t *testing.T) *shared {
	needGit(t)
	s := &shared{t: t, env: append(plainGit(t), "ROEBOOK_TEST_DRIVER=1", "GORACE=atexit_sleep_ms=0"), dir: t.TempDir()}
	s.git("init", "-q", "-b", "main", ".")
	g := newGrowing(3)
	for i := range 40 {
		g.grow(i, 400, 60)
	}
	s.write("fish/roebook.yaml", "book: The reed bed\n")
	for i := range g.files {
		s.write("fish/"+g.path(i), g.text(i))
	}
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	steps, err := open(t, filepath.Join(s.dir, "fish"), s.env).Install(quotedForShell(program))
	if err != nil || len(steps) != 3 {
		t.Fatalf("%v, %v", steps, err)
	}
	os.Remove(filepath.Join(s.dir, ".git", "hooks", "pre-commit")) // the test program checks no books
	s.commit("the book begins")
	return s
}

func (s *shared) git(args ...string) string {
	s.t.Helper()
	return gitIn(s.t, s.env, s.dir, nil, args...)
}

func (s *shared) write(name, text string) {
	s.t.Helper()
	path := filepath.Join(s.dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		s.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		s.t.Fatal(err)
	}
}

func (s *shared) commit(message string) {
	s.t.Helper()
	s.git("add", "-A")
	s.git("commit", "-q", "--allow-empty", "-m", message)
}

func (s *shared) book() *pedigree.Book {
	s.t.Helper()
	book, problems, err := records.Read(filepath.Join(s.dir, "fish"))
	if err != nil || len(problems) > 0 {
		s.t.Fatalf("%v, %v", problems, err)
	}
	return book
}

// evening is what a keeper writes down: new records, and keys of records that
// are of their half of the book.
func (s *shared) evening(random *rand.Rand, keeper string, half, n int) {
	s.t.Helper()
	for i := range 1 + random.IntN(3) {
		name := fmt.Sprintf("fish/lines/reed-%02d.yaml", random.IntN(3))
		text, err := os.ReadFile(filepath.Join(s.dir, name))
		if err != nil {
			s.t.Fatal(err)
		}
		lines := strings.SplitAfter(string(text), "\n")
		switch random.IntN(3) {
		case 0:
			at := slices.Index(lines, "spawns:\n")
			lines = slices.Insert(lines, at-1, fmt.Sprintf("  R-%s%d-%d: {wild: {site: the weir, date: 2020-06-01}, sex: female}   # of %s\n", keeper, n, i, keeper))
		case 1:
			lines = append(lines, fmt.Sprintf("  R-S%s%d-%d: {date: 2021-06-01, born: 4, kept: 1}\n", keeper, n, i))
		default:
			for k, line := range lines {
				if strings.Contains(line, "wild:") && k%2 == half && !strings.Contains(line, "tank") {
					lines[k] = strings.Replace(line, "sex:", fmt.Sprintf("tank: %s%d, sex:", keeper, n), 1)
					break
				}
			}
		}
		s.write(name, strings.Join(lines, ""))
	}
	s.commit(keeper)
}

// Two keepers write down what each saw, over several evenings. A merge one way,
// a merge the other way and a rebase give the same book, without a conflict, and
// it holds all that either wrote.
func TestGitMergesAndRebases(t *testing.T) {
	s := newShared(t)
	for round := range 4 {
		random := rand.New(rand.NewPCG(uint64(round), 3))
		s.git("checkout", "-q", "-B", "ours", "main")
		s.git("branch", "-f", "theirs", "main")
		wrote := 0
		for i, keeper := range []string{"ours", "theirs"} {
			s.git("checkout", "-q", keeper)
			before := len(s.book().Stock) + len(s.book().Spawns)
			for n := range 3 {
				s.evening(random, keeper[:1], i, 10*round+n)
			}
			wrote += len(s.book().Stock) + len(s.book().Spawns) - before
		}
		s.git("checkout", "-q", "main")
		all := len(s.book().Stock) + len(s.book().Spawns) + wrote
		var books []*pedigree.Book
		for _, way := range []struct{ on, with string }{{"ours", "theirs"}, {"theirs", "ours"}} {
			s.git("checkout", "-q", "-B", "joined", way.on)
			s.git("merge", "-q", "-m", "joined", way.with)
			books = append(books, s.book())
		}
		s.git("checkout", "-q", "-B", "rebased", "ours")
		s.git("rebase", "-q", "theirs")
		books = append(books, s.book())
		if n := len(books[0].Stock) + len(books[0].Spawns); n != all {
			t.Errorf("%d records, want %d", n, all)
		}
		for _, other := range books[1:] {
			if d := cmp.Diff(books[0], other, cmpopts.IgnoreUnexported(pedigree.Book{}), cmpopts.IgnoreTypes(pedigree.Where{})); d != "" {
				t.Fatalf("round %d: %s", round, d)
			}
		}
		s.git("checkout", "-q", "-B", "main", "rebased")
	}
}

// A conflict stops the merge with marks round what differs, and nothing else.
func TestGitStopsAtAConflict(t *testing.T) {
	s := newShared(t)
	s.git("branch", "theirs")
	name := "fish/lines/reed-00.yaml"
	text, _ := os.ReadFile(filepath.Join(s.dir, name))
	for _, keeper := range []string{"main", "theirs"} {
		s.git("checkout", "-q", keeper)
		s.write(name, strings.Replace(string(text), "2019-05-03}, sex: male", "2019-05-03}, sex: male, tank: "+keeper, 1)+
			"  R-S"+keeper+": {date: 2021-06-01, born: 4}\n")
		s.commit(keeper)
	}
	s.git("checkout", "-q", "main")
	out, err := gitTry(s.env, s.dir, nil, "merge", "theirs")
	if err == nil || !strings.Contains(out, "CONFLICT") {
		t.Fatalf("%v\n%s", err, out)
	}
	got, _ := os.ReadFile(filepath.Join(s.dir, name))
	want := "<<<<<<< ours (R-W0, tank: both sides wrote it, and not the same)\n" +
		"  R-W0: {wild: {site: the reed bed, date: 2019-05-03}, sex: male, tank: main}   # seen 24\n=======\n" +
		"  R-W0: {wild: {site: the reed bed, date: 2019-05-03}, sex: male, tank: theirs}   # seen 24\n>>>>>>> theirs\n"
	if !strings.Contains(string(got), want) || strings.Count(string(got), "=======") != 1 ||
		!strings.HasSuffix(string(got), "  R-Smain: {date: 2021-06-01, born: 4}\n  R-Stheirs: {date: 2021-06-01, born: 4}\n") {
		t.Errorf("%s", got)
	}
}

// Files that are no records that can be read are joined by lines, as git does.
func TestMergeByLines(t *testing.T) {
	needGit(t)
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	broken := "line: [reed\nstock:\n  a\n  b\n  c\n  d\n  e\n"
	base := file("base", broken)
	theirs := file("theirs", strings.Replace(broken, "  e\n", "  e\n  f\n", 1))
	for _, c := range []struct {
		ours, want string
		clean      bool
	}{
		{strings.Replace(broken, "  a\n", "  A\n", 1), strings.NewReplacer("  a\n", "  A\n", "  e\n", "  e\n  f\n").Replace(broken), true},
		{strings.Replace(broken, "  e\n", "  e\n  g\n", 1), strings.Replace(broken, "  e\n", "  e\n<<<<<<< ours\n  g\n=======\n  f\n>>>>>>> theirs\n", 1), false},
	} {
		ours := file("ours", c.ours)
		merged, err := MergeFiles(base, ours, theirs, "lines/x.yaml", os.Environ())
		got, _ := os.ReadFile(ours)
		if err != nil || merged.ByText == nil || merged.Clean() != c.clean || string(got) != c.want {
			t.Errorf("%v, %v\n%s", merged, err, got)
		}
		if info, _ := os.Stat(ours); info.Mode().Perm() != 0o600 {
			t.Errorf("mode %v", info.Mode())
		}
	}
	if _, err := MergeFiles(base, filepath.Join(dir, "nowhere"), theirs, "x", os.Environ()); err == nil {
		t.Error("no file, and no error")
	}
}

// What is no text is joined by nothing, and stays as it is.
func TestMergeRefusesWhatIsNoText(t *testing.T) {
	needGit(t)
	dir := t.TempDir()
	paths := make([]string, 3)
	for binary, side := range []string{"the common version", "ours", "theirs"} {
		for i, text := range []string{"line: reed\n", "line: reed\nspecies: x\n", "line: mill\n"} {
			if i == binary {
				text = "PK\x03\x04\x00\x00" + text
			}
			paths[i] = filepath.Join(dir, fmt.Sprint(i))
			if err := os.WriteFile(paths[i], []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		before, _ := os.ReadFile(paths[1])
		_, err := MergeFiles(paths[0], paths[1], paths[2], "lines/x.yaml", os.Environ())
		if err == nil || !strings.HasPrefix(err.Error(), side+" is not text") || strings.Contains(err.Error(), "exit status") {
			t.Errorf("%v", err)
		}
		if after, _ := os.ReadFile(paths[1]); string(after) != string(before) {
			t.Errorf("ours is now %q", after)
		}
	}
}

// Setting up twice writes nothing the second time, and nothing that is there is
// written over.
func TestInstall(t *testing.T) {
	needGit(t)
	env := plainGit(t)
	dir := writeHistory(t, env, "it's fish", 3, 10, 2)
	repo := open(t, dir, env)
	words := func() string {
		steps, err := repo.Install("roebook")
		if err != nil {
			t.Fatal(err)
		}
		var list []string
		for _, s := range steps {
			list = append(list, fmt.Sprintf("%v%v", s.Done, s.Left != ""))
		}
		return strings.Join(list, " ")
	}
	if got := words(); got != "truefalse truefalse truefalse" {
		t.Error(got)
	}
	hook := filepath.Join(repo.Top, ".git/hooks/pre-commit")
	text, _ := os.ReadFile(hook)
	if !strings.HasSuffix(string(text), "exec roebook check --book 'it'\\''s fish'\n") {
		t.Errorf("%s", text)
	}
	if info, err := os.Stat(hook); err != nil || info.Mode().Perm()&0o100 == 0 {
		t.Errorf("the hook cannot be run: %v", err)
	}
	if got := words(); got != "falsefalse falsefalse falsefalse" {
		t.Error(got)
	}
	for path, other := range map[string]string{hook: "#!/bin/sh\nexit 0\n", filepath.Join(dir, ".gitattributes"): "*.md text\n*.yaml text merge=union\n"} {
		if err := os.WriteFile(path, []byte(other), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	gitIn(t, env, dir, nil, "config", driverKey, "something else")
	if got := words(); got != "falsetrue falsetrue falsetrue" {
		t.Error(got)
	}
	if text, _ := os.ReadFile(hook); string(text) != "#!/bin/sh\nexit 0\n" {
		t.Errorf("the hook is now %s", text)
	}
}
