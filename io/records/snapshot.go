package records

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"roebook/pedigree"
)

// Parsing YAML takes most of the time of an answer. What each file of a book
// gave is therefore kept in a snapshot, one for each book, in a cache folder of
// the user. The text stays the truth: its bytes are read each time, and what
// is kept counts only under their SHA-256 and for this very program.

// Options says where ReadCached keeps what it has read.
type Options struct {
	// CacheDir is the folder of the snapshots, see [UserCache]; "" keeps none.
	CacheDir string
	// Now is the time of day, for throwing out snapshots not used for long;
	// none are where it is zero.
	Now time.Time
}

// UserCache returns the folder for snapshots of the user who runs the program;
// "" where there is none.
func UserCache() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "roebook")
}

// ReadCached is [Read] with a snapshot: the answer is the same, and files that
// have not changed since they were last read are not parsed again. A snapshot
// that is missing, old or damaged is made anew, and where none can be kept the
// book is read without; neither is an error.
func ReadCached(dir string, o Options) (*pedigree.Book, []pedigree.Problem, error) {
	return read(dir, openSnapshot(dir, o))
}

// digest is a SHA-256 (FIPS 180-4).
type digest = [sha256.Size]byte

// digestOf is the SHA-256 of a file's path and bytes: roebook.yaml reads
// otherwise than the same text elsewhere.
func digestOf(f File) (out digest) {
	h := sha256.New()
	h.Write([]byte(f.Path + "\x00"))
	h.Write(f.Text)
	h.Sum(out[:0])
	return out
}

// snapshot is what earlier runs gave for the files of one book. A nil snapshot
// holds nothing and keeps nothing.
type snapshot struct {
	name    string // of its file
	program digest
	packed  *bundle // as it was found; nil where there was none
	least   int     // bytes that must have changed for a new one
	digests []digest
	found   []bool
}

// openSnapshot loads the snapshot of the book in dir; nil where none is to be
// kept.
func openSnapshot(dir string, o Options) *snapshot { return openSnapshotNamed(dir, "", o) }

// openSnapshotNamed loads what is kept beside the snapshot under another name.
func openSnapshotNamed(dir, name string, o Options) *snapshot {
	if o.CacheDir == "" {
		return nil
	}
	book, err := realPath(dir)
	if err != nil || within(dir, o.CacheDir) || within(book, o.CacheDir) || os.MkdirAll(o.CacheDir, 0o700) != nil {
		return nil
	}
	cache, err := realPath(o.CacheDir)
	if err != nil || within(book, cache) {
		return nil
	}
	s := &snapshot{program: programDigest(), least: smallChange}
	id := sha256.Sum256(append(s.program[:], book+"\x00"+name...))
	s.name = filepath.Join(cache, hex.EncodeToString(id[:16])+bundleSuffix)
	s.packed = loadBundle(s.name, s.program)
	keepHouse(cache, s.name, o.Now)
	return s
}

// within reports whether a folder stands in the book's, which holds what the
// keeper wrote and nothing else.
func within(book, dir string) bool {
	book, bookErr := filepath.Abs(book)
	dir, dirErr := filepath.Abs(dir)
	if bookErr != nil || dirErr != nil {
		return true
	}
	rel, err := filepath.Rel(book, dir)
	return err == nil && filepath.IsLocal(rel)
}

// realPath is the path of a folder without links, so that a book has one name.
func realPath(dir string) (string, error) {
	full, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(full)
}

// programDigest tells one build of the program from another: what one build
// has read may not be what another makes of the same text.
func programDigest() digest {
	var b strings.Builder
	fmt.Fprintf(&b, "%d\n", snapshotVersion)
	if build, ok := debug.ReadBuildInfo(); ok {
		b.WriteString(build.String())
	}
	if name, err := os.Executable(); err == nil {
		if info, err := os.Stat(name); err == nil {
			fmt.Fprintf(&b, "%s %d %d\n", name, info.Size(), info.ModTime().UnixNano())
		}
	}
	return sha256.Sum256([]byte(b.String()))
}

// begin makes room for what is to be known of n files.
func (s *snapshot) begin(n int) {
	if s != nil {
		s.digests = make([]digest, n)
		s.found = make([]bool, n)
	}
}

// find returns what file i of the book gave when these bytes were last read. It
// may be called for several files at once.
func (s *snapshot) find(i int, f File) (*source, []decoded, bool) {
	if s == nil {
		return nil, nil, false
	}
	s.digests[i] = digestOf(f)
	payload := s.packed.payload(s.digests[i])
	if payload == nil {
		return nil, nil, false
	}
	kept, ok := decodeContent(f.Path, payload)
	if !ok {
		return nil, nil, false
	}
	src := &source{name: f.Path}
	if kept.flawed || len(kept.failures) > 0 {
		// The text that failed is looked at once more when the book is put
		// together; it must be where the failures say.
		src = newSource(f.Path, f.Text)
		scanLayout(src)
		for _, x := range kept.failures {
			if x.lines.from < 1 || x.lines.from > x.lines.to || x.lines.to > src.lines()+1 {
				return nil, nil, false
			}
		}
	}
	s.found[i] = true
	return src, []decoded{kept.decoded}, true
}

// keep writes a new snapshot where enough has changed, and returns when the
// results may be changed; the function it returns waits until all is written.
func (s *snapshot) keep(files []File, sources []*fileParse, results [][]decoded) (wait func()) {
	if s == nil || !s.worthwhile(files) {
		return func() {}
	}
	payloads := make([][]byte, len(files))
	parallel(len(files), func(i int) {
		if s.found[i] {
			payloads[i] = s.packed.payload(s.digests[i])
			return
		}
		whole := &content{decoded: joined(results[i]), flawed: len(sources[i].src.flaws) > 0}
		payloads[i] = whole.encode(files[i].Path)
	})
	done := make(chan struct{})
	go func() {
		defer close(done)
		saveBundle(s.name, s.program, s.digests, payloads)
	}()
	return func() { <-done }
}

// A new snapshot is written once the changed files hold more than smallChange
// bytes, and more than a share of the snapshot: parsing takes some 300 ns a
// byte, writing 1 ns.
const (
	smallChange = 4 << 10
	changeShare = 200
)

func (s *snapshot) worthwhile(files []File) bool {
	changed := 0
	for i, f := range files {
		if !s.found[i] {
			changed += len(f.Text)
		}
	}
	return changed > s.least && changed > s.packed.size()/changeShare
}

// joined is what the pieces of one file gave, in the order written.
func joined(parts []decoded) decoded {
	if len(parts) == 1 {
		return parts[0]
	}
	var f decoded
	for _, p := range parts {
		f.tops = append(f.tops, p.tops...)
		f.stock = append(f.stock, p.stock...)
		f.spawns = append(f.spawns, p.spawns...)
		f.tanks = append(f.tanks, p.tanks...)
		f.loci = append(f.loci, p.loci...)
		f.refs = append(f.refs, p.refs...)
		f.problems = append(f.problems, p.problems...)
		f.failures = append(f.failures, p.failures...)
		f.suspects = append(f.suspects, p.suspects...)
	}
	return f
}
