// Package records reads the YAML book, and edits it in place: a folder with
// roebook.yaml and, at any depth, record files with the lines, their stock,
// spawns, loci and tanks. Edits are made in the text, see [Draft.Edit]; package
// journal writes them.
//
// All that could be read is returned together with all problems found, each
// with its place: one wrong record does not hide the others. What the records
// say is taken as written: 0123 stays 0123. Whether it can be true (who was
// alive, how many fish there were) is for package pedigree to say.
package records

import (
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"roebook/pedigree"
)

// BookFile is the name of the file that makes a folder a book.
const BookFile = "roebook.yaml"

// File is one file of a book. Path is relative to the book's folder and has
// slashes.
type File struct {
	Path string
	Text []byte
}

// Parse reads a book from the text of its files. It returns all that could be
// read and all problems, sorted. Files that are no record files are passed
// over, and so are names that begin with a full stop. The order of the files
// does not matter. Cost: O(n) in the text, on all processors.
func Parse(files []File) (*pedigree.Book, []pedigree.Problem) {
	return parse(files, nil, pieceLines)
}

func parse(files []File, unread []pedigree.Problem, size int) (*pedigree.Book, []pedigree.Problem) {
	return parseWith(files, unread, size, nil)
}

// parseWith is Parse with files that could not be read, with the size of piece
// into which files are cut, and with what is kept of earlier runs (nil for
// nothing).
func parseWith(files []File, unread []pedigree.Problem, size int, kept *snapshot) (*pedigree.Book, []pedigree.Problem) {
	a := newAssembly(unread)
	files = a.choose(files)
	parsed := make([]*fileParse, len(files))
	pieces := make([][]piece, len(files))
	results := make([][]decoded, len(files))
	kept.begin(len(files))
	parallel(len(files), func(i int) {
		if src, found, ok := kept.find(i, files[i]); ok {
			parsed[i], results[i] = &fileParse{src: src}, found
			return
		}
		src := newSource(files[i].Path, files[i].Text)
		l := scanLayout(src)
		parsed[i] = &fileParse{src: src}
		pieces[i] = split(src, l, size)
	})
	type job struct{ file, piece int }
	var jobs []job
	for i := range files {
		if pieces[i] != nil {
			results[i] = make([]decoded, len(pieces[i]))
		}
		for j := range pieces[i] {
			jobs = append(jobs, job{i, j})
		}
	}
	parallel(len(jobs), func(n int) {
		i, j := jobs[n].file, jobs[n].piece
		results[i][j] = parsed[i].decodePiece(pieces[i][j])
	})
	wait := kept.keep(files, parsed, results)
	a.room(results)
	for i := range files {
		a.add(parsed[i].src, results[i])
	}
	defer wait()
	return a.finish()
}

// choose returns the files to read, sorted, and tells of those that look like
// records but are not read.
func (a *assembly) choose(files []File) []File {
	var out []File
	nested := map[string]bool{}
	for _, f := range files {
		if dir := path.Dir(f.Path); path.Base(f.Path) == BookFile && dir != "." && !hidden(f.Path) {
			nested[dir] = true
			a.warn(f.Path, "nested-book", "a book of its own: give its folder with --book", "another book begins in this folder; its records are not read with this one")
		}
	}
	for _, f := range files {
		switch {
		case hidden(f.Path) || inside(nested, f.Path):
		case strings.HasSuffix(f.Path, ".yml"):
			a.warn(f.Path, "file-name", "name it "+strings.TrimSuffix(f.Path, ".yml")+".yaml", "this file is not read: only names in .yaml are")
		case strings.HasSuffix(f.Path, ".yaml") && len(f.Text) > maxFile:
			a.unread(fileTooLarge(f.Path))
		case strings.HasSuffix(f.Path, ".yaml"):
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(x, y File) int { return strings.Compare(x.Path, y.Path) })
	return out
}

func hidden(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if strings.HasPrefix(part, ".") {
			return true
		}
	}
	return false
}

func inside(dirs map[string]bool, name string) bool {
	for dir := path.Dir(name); dir != "." && dir != "/"; dir = path.Dir(dir) {
		if dirs[dir] {
			return true
		}
	}
	return false
}

// parallel calls do for 0 to n-1 on all processors.
func parallel(n int, do func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
}
