package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"roebook/io/pedcsv"
	"roebook/pedigree"
)

// maxTable is the largest table that is read, in bytes.
const maxTable = 1 << 30

// readTable makes a book of a table, for all that can be said of it in words.
func (l *loaded) readTable(s *source) error {
	if err := s.readRows(); err != nil {
		return err
	}
	l.whole = pedcsv.Book(s.rows)
	return nil
}

// tellTable tells all that is wrong with a table. One with mistakes is not
// answered from: which rows they touch is not known.
func (env *environment) tellTable(problems []pedigree.Problem) error {
	status := statusError(done)
	for _, p := range problems {
		env.note("%s", p.String())
		if p.Hint != "" {
			env.note("    %s", p.Hint)
		}
		for _, place := range p.Places {
			env.note("    %s:%d:%d: %s", place.File, place.Line, place.Column, place.Note)
		}
		switch {
		case p.Severity != pedigree.Error:
		case strings.HasPrefix(p.Rule, "table-"):
			status = badUsage
		default:
			status = max(status, saysNo)
		}
	}
	if status == done {
		return nil
	}
	return status
}

// openTable opens a file or a pipe; a device may have no end.
func openTable(path, name string) (*os.File, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, usageError("--pedigree: there is no file %s", name)
	case err != nil:
		return nil, usageError("--pedigree: %s cannot be read: %s", name, plainError(err))
	case info.IsDir():
		return nil, usageError("--pedigree: %s is a folder", name)
	case !info.Mode().IsRegular() && info.Mode()&fs.ModeNamedPipe == 0:
		return nil, usageError("--pedigree: %s is neither a file nor a pipe", name)
	case info.Size() > maxTable:
		return nil, usageError("--pedigree: %s is larger than 1 GB", name)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, usageError("--pedigree: %s cannot be read: %s", name, plainError(err))
	}
	return file, nil
}

// limited reads so many bytes and then fails.
type limited struct {
	from io.Reader
	left int64
}

func (l *limited) Read(to []byte) (int, error) {
	if l.left <= 0 {
		return 0, fmt.Errorf("the table is larger than 1 GB; the rest is not read")
	}
	n, err := l.from.Read(to[:min(int64(len(to)), l.left)])
	l.left -= int64(n)
	return n, err
}

// plainError is what went wrong, without the path that a message has already.
func plainError(err error) string {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return err.Error()
}
