package history

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// needGit skips a test where git is not installed.
func needGit(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed; nothing of the history can be tested")
	}
}

// plainGit is an environment in which git takes no one's settings.
func plainGit(t testing.TB) []string {
	t.Helper()
	home := t.TempDir()
	return append(cleared(os.Environ()), "HOME="+home, "XDG_CONFIG_HOME="+home, "GIT_CONFIG_NOSYSTEM=1",
		"GIT_AUTHOR_NAME=Merrin Haldoway", "GIT_AUTHOR_EMAIL=merrin@example.org",
		"GIT_COMMITTER_NAME=Merrin Haldoway", "GIT_COMMITTER_EMAIL=merrin@example.org")
}

// gitIn runs git and wants it to succeed.
func gitIn(t testing.TB, env []string, dir string, input []byte, args ...string) string {
	t.Helper()
	out, err := gitTry(env, dir, input, args...)
	if err != nil {
		t.Fatalf("git %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return out
}

func gitTry(env []string, dir string, input []byte, args ...string) (string, error) {
	cmd := exec.Command("git", args...)
	cmd.Dir, cmd.Env, cmd.Stdin = dir, env, bytes.NewReader(input)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// growing is a book that grows commit by commit: each adds a record or a
// remark to one of its files.
type growing struct {
	files   [][]string // stock and spawns of each, as written
	spawns  [][]string
	living  []string // of the line "reed", the same for all files
	random  *rand.Rand
	records int
}

func newGrowing(files int) *growing {
	return &growing{files: make([][]string, files), spawns: make([][]string, files), random: rand.New(rand.NewPCG(7, 7))}
}

func (g *growing) path(i int) string { return fmt.Sprintf("lines/reed-%02d.yaml", i) }

func (g *growing) text(i int) string {
	return "line: reed\nspecies: Xenotoca variata\n\nstock:\n" + strings.Join(g.files[i], "") + "\nspawns:\n" + strings.Join(g.spawns[i], "")
}

// day is the day of commit i of n, over five years.
func day(i, n int) time.Time {
	return time.Date(2020, 1, 1, 12, i*5*365*24*60/n, 0, 0, time.UTC)
}

// grow makes commit i of n and returns the file it changed.
func (g *growing) grow(i, n, records int) int {
	at := i % len(g.files)
	if i < 2*len(g.files) { // founders first
		id := fmt.Sprintf("R-W%d", i)
		g.files[at] = append(g.files[at], fmt.Sprintf("  %s: {wild: {site: the reed bed, date: 2019-05-03}, sex: %s}\n", id, []string{"male", "female"}[i/len(g.files)]))
		g.living = append(g.living, id)
		g.records++
		return at
	}
	if g.records >= records || i%2 == 0 && n-i > records-g.records {
		k := g.random.IntN(len(g.files[at]))
		g.files[at][k] = strings.Replace(g.files[at][k], "}\n", fmt.Sprintf("}   # seen %d\n", i), 1)
		if head, _, ok := strings.Cut(g.files[at][k], "   # "); ok {
			g.files[at][k] = head + fmt.Sprintf("   # seen %d\n", i)
		}
		return at
	}
	half := len(g.living) / 2
	spawn := fmt.Sprintf("R-S%d", i)
	sire, dam := g.living[g.random.IntN(half)], g.living[half+g.random.IntN(half)]
	g.spawns[at] = append(g.spawns[at], fmt.Sprintf("  %s: {date: %s, sire: %s, dam: %s, born: 20, kept: 4}\n", spawn, day(i, n).Format(time.DateOnly), sire, dam))
	for k, sex := range []string{"male", "female"} {
		id := fmt.Sprintf("R-F%d%s", i, sex[:1])
		g.files[at] = append(g.files[at], fmt.Sprintf("  %s: {spawn: %s, sex: %s}\n", id, spawn, sex))
		g.living[k*half+g.random.IntN(half)] = id
	}
	g.records += 3
	return at
}

// writeHistory makes a repository with the book in a folder of it and so many
// commits, one every few days over five years.
func writeHistory(t testing.TB, env []string, prefix string, commits, records, files int) string {
	t.Helper()
	dir := t.TempDir()
	gitIn(t, env, dir, nil, "init", "-q", "-b", "main", ".")
	g := newGrowing(files)
	var in bytes.Buffer
	file := func(path, text string) {
		fmt.Fprintf(&in, "M 100644 inline %s\ndata %d\n%s\n", filepath.ToSlash(filepath.Join(prefix, path)), len(text), text)
	}
	for i := range commits {
		changed := g.grow(i, commits, records)
		message := fmt.Sprintf("evening %d", i)
		when := day(i, commits).Unix()
		fmt.Fprintf(&in, "commit refs/heads/main\nauthor Merrin Haldoway <merrin@example.org> %d +0000\ncommitter Merrin Haldoway <merrin@example.org> %d +0000\ndata %d\n%s\n", when, when, len(message), message)
		if i == 0 {
			file("roebook.yaml", "book: The reed bed\n")
		}
		file(g.path(changed), g.text(changed))
		in.WriteString("\n")
	}
	gitIn(t, env, dir, in.Bytes(), "fast-import", "--quiet")
	gitIn(t, env, dir, nil, "reset", "-q", "--hard", "main")
	return filepath.Join(dir, prefix)
}

func open(t testing.TB, dir string, env []string) *Repository {
	t.Helper()
	r, err := Open(dir, env)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
