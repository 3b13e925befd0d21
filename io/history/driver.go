package history

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"

	"roebook/io/records"
)

// Merged is what joining two versions of a file came to.
type Merged struct {
	Conflicts []records.Conflict
	// ByText says that the records could not be joined one by one, and why; git
	// has joined the lines then. TextClean: without conflicts of lines.
	ByText    error
	TextClean bool
}

// Clean reports whether the result can stand as it is.
func (m Merged) Clean() bool {
	if m.ByText != nil {
		return m.TextClean && !errors.Is(m.ByText, records.ErrUnproved)
	}
	return len(m.Conflicts) == 0
}

// MergeFiles joins two versions of a file and writes the result into that of
// ours, as git wants it of a merge driver. name is the file's name for people.
// Files that are no records that can be read are left to `git merge-file`; where
// one is not text at all an error says which, and nothing is written.
func MergeFiles(base, ours, theirs, name string, environment []string) (Merged, error) {
	var files [3]records.File
	for i, path := range []string{base, ours, theirs} {
		text, err := os.ReadFile(path)
		if err != nil {
			return Merged{}, err
		}
		files[i] = records.File{Path: name, Text: text}
	}
	joined, err := records.Join(files[0], files[1], files[2])
	if err != nil {
		for i, side := range []string{"the common version", "ours", "theirs"} {
			if bytes.IndexByte(files[i].Text, 0) >= 0 {
				return Merged{}, fmt.Errorf("%s is not text (it holds a zero byte, as pictures, spreadsheets and UTF-16 files do) and cannot be joined; "+
					"choose one version with git checkout --ours or --theirs, then git add it", side)
			}
		}
		clean, failed := mergeText(base, ours, theirs, environment)
		return Merged{ByText: err, TextClean: clean}, failed
	}
	info, err := os.Stat(ours)
	if err != nil {
		return Merged{}, err
	}
	return Merged{Conflicts: joined.Conflicts}, os.WriteFile(ours, joined.Text, info.Mode().Perm())
}

// mergeText has git join the lines.
func mergeText(base, ours, theirs string, environment []string) (clean bool, err error) {
	if _, err := exec.LookPath("git"); err != nil {
		return false, ErrNoGit
	}
	cmd := exec.Command("git", "merge-file", "-L", "ours", "-L", "base", "-L", "theirs", "--", ours, base, theirs)
	cmd.Env = cleared(environment)
	var told bytes.Buffer
	cmd.Stderr = &told
	err = cmd.Run()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return true, nil
	case errors.As(err, &exit) && exit.ExitCode() > 0 && exit.ExitCode() < 128:
		return false, nil // so many conflicts
	}
	return false, fmt.Errorf("the lines could not be joined either: %w", gitError(err, told.String()))
}
