package records

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"roebook/pedigree"
)

// maxFile is the largest file that is read.
const maxFile = 50 << 20

// Find returns the nearest folder from dir upwards that holds roebook.yaml.
func Find(dir string) (string, error) {
	at, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	for {
		if info, err := os.Stat(filepath.Join(at, BookFile)); err == nil && info.Mode().IsRegular() {
			return at, nil
		}
		up := filepath.Dir(at)
		if up == at {
			return "", fmt.Errorf("there is no %s in %s or in a folder above it: give the book's folder with --book", BookFile, dir)
		}
		at = up
	}
}

// Read reads the book in the folder dir. It returns all that could be read and
// all problems found, sorted. The error is only for a folder that is no book:
// one that cannot be read, or whose roebook.yaml cannot.
func Read(dir string) (*pedigree.Book, []pedigree.Problem, error) {
	return read(dir, nil)
}

func read(dir string, kept *snapshot) (*pedigree.Book, []pedigree.Problem, error) {
	f, err := readFolder(dir)
	if err != nil {
		return nil, nil, err
	}
	b, problems := parseWith(f.files, f.problems, pieceLines, kept)
	return b, problems, nil
}

// readFolder reads the files of a book.
func readFolder(dir string) (*folder, error) {
	book, err := readFile(filepath.Join(dir, BookFile))
	if err != nil {
		return nil, fmt.Errorf("%s is not a book that can be read: %w", dir, err)
	}
	f := &folder{dir: dir, files: []File{{BookFile, book}}}
	if err := filepath.WalkDir(dir, f.visit); err != nil {
		return nil, err
	}
	f.readAll()
	return f, nil
}

// Source returns the text of a file of the book in dir, as [Render] needs it;
// nil where it cannot be read.
func Source(dir, file string) []byte {
	if !filepath.IsLocal(filepath.FromSlash(file)) {
		return nil
	}
	at := filepath.Join(dir, filepath.FromSlash(file))
	if leadsOut(dir, at) {
		return nil
	}
	text, _ := readFile(at)
	return text
}

// folder collects the files of a book.
type folder struct {
	dir      string
	wanted   []string // names of the files to read
	files    []File
	problems []pedigree.Problem
}

func (f *folder) visit(at string, d fs.DirEntry, err error) error {
	rel, relErr := filepath.Rel(f.dir, at)
	if relErr != nil {
		return relErr
	}
	name := filepath.ToSlash(rel)
	if name != "." && strings.HasPrefix(d.Name(), ".") {
		if d.IsDir() {
			return fs.SkipDir
		}
		return nil
	}
	if err != nil {
		if name == "." {
			return err
		}
		f.cannotRead(name, "unreadable-file", "look at the permissions of the folder", "this folder cannot be read: "+plainError(err))
		return nil
	}
	switch {
	case d.IsDir() || name == BookFile:
	case d.Type()&fs.ModeSymlink != 0 && leadsToFolder(at):
		f.problems = append(f.problems, pedigree.Problem{Position: place(name), Severity: pedigree.Warning, Rule: "linked-folder",
			Message: "this link to a folder is not followed", Hint: "put the record files into the book's own folder"})
	case strings.HasSuffix(name, ".yml"):
		f.files = append(f.files, File{Path: name})
	case strings.HasSuffix(name, ".yaml") && d.Type()&fs.ModeSymlink != 0 && leadsOut(f.dir, at):
		f.cannotRead(name, "unreadable-file", "put the file itself into the book's folder", "this link leads out of the book and is not followed")
	case strings.HasSuffix(name, ".yaml"):
		f.wanted = append(f.wanted, name)
	}
	return nil
}

// leadsOut reports whether a link leads to a file outside the book's folder.
func leadsOut(dir, at string) bool {
	target, err := filepath.EvalSymlinks(at)
	if err != nil {
		return false // leads nowhere; reading it tells
	}
	root, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return false
	}
	rel, err := filepath.Rel(root, target)
	return err != nil || !filepath.IsLocal(rel)
}

func leadsToFolder(at string) bool {
	info, err := os.Stat(at)
	return err == nil && info.IsDir()
}

// readAll reads the files that were found, several at once.
func (f *folder) readAll() {
	texts, errs := make([][]byte, len(f.wanted)), make([]error, len(f.wanted))
	parallel(len(f.wanted), func(i int) {
		texts[i], errs[i] = readFile(filepath.Join(f.dir, filepath.FromSlash(f.wanted[i])))
	})
	for i, name := range f.wanted {
		switch err := errs[i]; {
		case errors.Is(err, errTooLarge):
			f.problems = append(f.problems, fileTooLarge(name))
		case err != nil:
			f.cannotRead(name, "unreadable-file", "look at the permissions of the file", "this file cannot be read: "+plainError(err))
		default:
			f.files = append(f.files, File{name, texts[i]})
		}
	}
}

func fileTooLarge(name string) pedigree.Problem {
	return pedigree.Problem{Position: place(name), Rule: "file-size", Message: "this file is larger than 50 MB and is not read", Hint: "split it: one file per line"}
}

func place(name string) pedigree.Position {
	return pedigree.Position{File: name, Line: 1, Column: 1, Width: 1}
}

func (f *folder) cannotRead(name, rule, hint, message string) {
	f.problems = append(f.problems, pedigree.Problem{Position: place(name), Rule: rule, Message: message, Hint: hint})
}

var errTooLarge = fmt.Errorf("it is larger than 50 MB")

// readFile reads a regular file of at most 50 MB.
func readFile(at string) ([]byte, error) {
	info, err := os.Stat(at)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("it is not a regular file")
	}
	if info.Size() > maxFile {
		return nil, errTooLarge
	}
	file, err := os.Open(at)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	text := bytes.NewBuffer(make([]byte, 0, info.Size()+bytes.MinRead))
	_, err = text.ReadFrom(io.LimitReader(file, maxFile+1))
	if err == nil && text.Len() > maxFile {
		err = errTooLarge
	}
	return text.Bytes(), err
}

// plainError says what is wrong without the path, which the problem has.
func plainError(err error) string {
	if pathErr := new(fs.PathError); errors.As(err, &pathErr) {
		return pathErr.Err.Error()
	}
	return err.Error()
}
