package records

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
	"roebook/pedigree"
)

// cached reads a book with a snapshot however small it is.
func cached(t testing.TB, dir, cache string) (*pedigree.Book, []pedigree.Problem, *snapshot) {
	t.Helper()
	s := openSnapshot(dir, Options{CacheDir: cache})
	if s != nil {
		s.least = 0
	}
	book, problems, err := read(dir, s)
	if err != nil {
		t.Fatal(err)
	}
	return book, problems, s
}

func (s *snapshot) hits() int {
	n := 0
	for _, found := range s.found {
		if found {
			n++
		}
	}
	return n
}

// difference compares two readings, down to the last place.
func difference(a, b *pedigree.Book, pa, pb []pedigree.Problem) string {
	return cmp.Diff(a, b, cmpopts.IgnoreUnexported(pedigree.Book{})) + cmp.Diff(pa, pb)
}

func mustRead(t testing.TB, dir string) (*pedigree.Book, []pedigree.Problem) {
	t.Helper()
	book, problems, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return book, problems
}

// A book that is edited and damaged at random reads the same with a snapshot
// as without, whether its files are found in it or not.
func TestCachedEqualsRead(t *testing.T) {
	root := t.TempDir()
	run, hits := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		run++
		dir, cache := filepath.Join(root, fmt.Sprint(run)), filepath.Join(root, fmt.Sprint(run, " cache"))
		names := []string{"a.yaml", "lines/b.yaml", "lines/c.yaml"}
		texts := map[string][]byte{BookFile: []byte("book: x\n")}
		for _, name := range names {
			texts[name] = file(rt, name).Text
		}
		if rapid.Bool().Draw(rt, "alike") {
			texts[names[2]] = texts[names[1]]
		}
		for range 2 {
			writeTexts(t, dir, texts)
			want, wantProblems := mustRead(t, dir)
			for range 2 {
				got, problems, s := cached(t, dir, cache)
				if diff := difference(want, got, wantProblems, problems); diff != "" {
					rt.Fatalf("with a snapshot the book is another (-read +cached)\n%s", diff)
				}
				hits += s.hits()
			}
			name := rapid.SampledFrom(append(names, BookFile)).Draw(rt, "edited")
			texts[name] = edit(rt, texts[name])
		}
	})
	if hits == 0 {
		t.Error("nothing was ever found in a snapshot")
	}
}

// edit takes bytes out of a text, puts some in, or puts another text in place.
func edit(t *rapid.T, text []byte) []byte {
	from := rapid.IntRange(0, len(text)).Draw(t, "from")
	to := rapid.IntRange(from, min(len(text), from+20)).Draw(t, "to")
	insert := rapid.SampledFrom([]string{"", " ", "\n", "[", "\"", "\t", "\x00", "\xff", "x: y\n", "- ", "line: other\n", "\n  st-0: {wild: {}}\n"}).Draw(t, "insert")
	return slices.Concat(text[:from], []byte(insert), text[to:])
}

func writeTexts(t testing.TB, dir string, texts map[string][]byte) {
	t.Helper()
	for name, text := range texts {
		at := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// The files of the page of problems hold every rule of the format: each reads
// the same from a snapshot.
func TestCachedProblems(t *testing.T) {
	for i, c := range problemCases(t) {
		dir := writeBook(t, c.files)
		if _, err := os.Stat(filepath.Join(dir, BookFile)); err != nil {
			continue
		}
		want, wantProblems := mustRead(t, dir)
		cache := t.TempDir()
		cached(t, dir, cache)
		got, problems, s := cached(t, dir, cache)
		if diff := difference(want, got, wantProblems, problems); diff != "" {
			t.Errorf("case %d: with a snapshot the book is another (-read +cached)\n%s", i, diff)
		}
		if s.hits() != len(s.found) {
			t.Errorf("case %d: %d of %d files were kept", i, s.hits(), len(s.found))
		}
	}
}

// theBundle returns the name of the only snapshot in a cache folder.
func theBundle(t testing.TB, cache string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(cache, "*"+bundleSuffix))
	if err != nil || len(names) != 1 {
		t.Fatal(names, err)
	}
	return names[0]
}

// A snapshot damaged at any place is not believed, and the next one is whole.
func TestDamagedSnapshot(t *testing.T) {
	dir, cache := writeBook(t, bigBook(1, 1, 1)), t.TempDir()
	want, wantProblems, _ := cached(t, dir, cache)
	name := theBundle(t, cache)
	whole, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range 100 {
		damaged := slices.Clone(whole)
		switch i % 4 {
		case 0:
			damaged = damaged[:rng.IntN(len(damaged))]
		case 1:
			damaged = append(damaged[:rng.IntN(len(damaged))], damaged[rng.IntN(len(damaged)):]...)
		default:
			damaged[rng.IntN(len(damaged))] ^= byte(1 + rng.IntN(255))
		}
		if err := os.WriteFile(name, damaged, 0o600); err != nil {
			t.Fatal(err)
		}
		got, problems, _ := cached(t, dir, cache)
		if diff := difference(want, got, wantProblems, problems); diff != "" {
			t.Fatalf("damage %d changed the book (-want +got)\n%s", i, diff)
		}
	}
	if err := os.WriteFile(name, whole[:len(whole)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	cached(t, dir, cache)
	if mended, err := os.ReadFile(name); err != nil || !bytes.Equal(mended, whole) {
		t.Error("the snapshot was not made anew:", err)
	}
}

// Another build of the program does not read what this one kept.
func TestSnapshotOfAnotherProgram(t *testing.T) {
	files := bigBook(1, 1, 1)
	texts, payloads := []digest{digestOf(files[0])}, [][]byte{{1, 2, 3}}
	packed := packBundle(digest{1}, texts, payloads)
	if b := parseBundle(packed, digest{1}); b == nil || !bytes.Equal(b.payload(texts[0]), payloads[0]) {
		t.Error("the bundle is not read by the program that wrote it")
	}
	if parseBundle(packed, digest{2}) != nil {
		t.Error("the bundle is read by another program")
	}
}

// Several programs read one book at once, one of them throwing the snapshot
// away again and again: each gets the book.
func TestSnapshotOfManyPrograms(t *testing.T) {
	if dir := os.Getenv("ROEBOOK_TEST_BOOK"); dir != "" {
		want, wantProblems := mustRead(t, dir)
		for i := range 9 {
			if i%3 == 0 {
				names, _ := filepath.Glob(filepath.Join(os.Getenv("ROEBOOK_TEST_CACHE"), "*"))
				for _, name := range names {
					os.Remove(name)
				}
			}
			got, problems, _ := cached(t, dir, os.Getenv("ROEBOOK_TEST_CACHE"))
			if diff := difference(want, got, wantProblems, problems); diff != "" {
				t.Fatal(diff)
			}
		}
		return
	}
	dir, cache := writeBook(t, bigBook(1, 3, 1)), t.TempDir()
	var running []*exec.Cmd
	for range 2 {
		cmd := exec.Command(os.Args[0], "-test.run=^TestSnapshotOfManyPrograms$")
		cmd.Env = append(os.Environ(), "ROEBOOK_TEST_BOOK="+dir, "ROEBOOK_TEST_CACHE="+cache)
		cmd.Stdout = new(bytes.Buffer)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		running = append(running, cmd)
	}
	for _, cmd := range running {
		if err := cmd.Wait(); err != nil {
			t.Errorf("%v\n%s", err, cmd.Stdout)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(cache, "new-*")); len(left) > 0 {
		t.Error("left behind:", left)
	}
}

// Where no snapshot can be kept the book is read all the same, and nothing is
// ever written into a book's folder.
func TestNoPlaceForSnapshot(t *testing.T) {
	dir := writeBook(t, bigBook(1, 2, 1))
	want, wantProblems := mustRead(t, dir)
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, cache := range []string{"", blocked, filepath.Join(blocked, "below"), filepath.Join(dir, "cache"), dir} {
		got, problems, err := ReadCached(dir, Options{CacheDir: cache})
		if err != nil {
			t.Fatal(err)
		}
		if diff := difference(want, got, wantProblems, problems); diff != "" {
			t.Errorf("cache %q\n%s", cache, diff)
		}
		if names, _ := filepath.Glob(filepath.Join(dir, "*", "*"+bundleSuffix)); len(names) > 0 {
			t.Errorf("cache %q: written into the book: %v", cache, names)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "cache")); err == nil {
		t.Error("a folder was made in the book")
	}
}

// Snapshots not used for long go, then the oldest ones above the limit; at most
// once a day, and other files stay.
func TestOldSnapshotsGo(t *testing.T) {
	cache := t.TempDir()
	now := time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC)
	put := func(name string, size int64, daysAgo int) {
		at := filepath.Join(cache, name)
		if err := os.WriteFile(at, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(at, size); err != nil {
			t.Fatal(err)
		}
		then := now.AddDate(0, 0, -daysAgo)
		if err := os.Chtimes(at, then, then); err != nil {
			t.Fatal(err)
		}
	}
	put("used.snapshot", maxCache/2, 59)
	put("unused.snapshot", 1, 61)
	put("big.snapshot", maxCache/2+1, 20)
	put("new.snapshot", 1000, 0)
	put("other.txt", 1000, 900)
	keepHouse(cache, filepath.Join(cache, "used.snapshot"), time.Time{})
	check := func(want ...string) {
		t.Helper()
		var got []string
		files, err := os.ReadDir(cache)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			got = append(got, f.Name())
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
	}
	check("big.snapshot", "new.snapshot", "other.txt", "unused.snapshot", "used.snapshot")
	keepHouse(cache, filepath.Join(cache, "used.snapshot"), now)
	check("new.snapshot", "other.txt", "tidied", "used.snapshot")
	put("unused.snapshot", 1, 61)
	keepHouse(cache, filepath.Join(cache, "used.snapshot"), now.Add(23*time.Hour))
	check("new.snapshot", "other.txt", "tidied", "unused.snapshot", "used.snapshot")
	keepHouse(cache, filepath.Join(cache, "used.snapshot"), now.Add(25*time.Hour))
	check("new.snapshot", "other.txt", "tidied", "used.snapshot")
}

// The same text reads otherwise in roebook.yaml than in a record file.
func TestSameTextElsewhere(t *testing.T) {
	dir, cache := writeBook(t, []File{{BookFile, []byte("book: x\n")}, {"a.yaml", []byte("book: x\n")}}), t.TempDir()
	want, wantProblems := mustRead(t, dir)
	for range 2 {
		got, problems, _ := cached(t, dir, cache)
		if diff := difference(want, got, wantProblems, problems); diff != "" {
			t.Error(diff)
		}
	}
}
