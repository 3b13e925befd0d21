package history

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Step is one thing that a repository needs so that it keeps a book well.
type Step struct {
	What string
	Done bool   // now; else it was so before, or is left as it is
	Left string // why it is left as it is: the keeper must look; "" otherwise
}

const (
	driverKey       = "merge.roebook.driver"
	driverArguments = " merge-books -- %O %A %B %P"
	attributesLine  = "*.yaml merge=roebook"
)

// Install makes git join the book's files record by record, and hold the book
// against its rules before every commit. It writes what is missing and nothing
// else: a hook that is there stays, and so do settings. program is how a shell
// runs this program.
func (r *Repository) Install(program string) ([]Step, error) {
	var steps []Step
	for _, step := range []func(program string) (Step, error){r.installDriver, r.installAttributes, r.installHook} {
		s, err := step(program)
		if err != nil {
			return steps, err
		}
		steps = append(steps, s)
	}
	return steps, nil
}

func (r *Repository) installDriver(program string) (Step, error) {
	s := Step{What: "the setting " + driverKey + " of this repository: git joins two versions of a file with roebook merge-books"}
	driver := program + driverArguments
	old, err := r.run("config", "--get", driverKey)
	switch text := strings.TrimSpace(string(old)); {
	case err == nil && strings.HasSuffix(text, driverArguments):
		return s, nil
	case err == nil && text != "":
		s.Left = "it is set already: " + text
		return s, nil
	}
	if _, err := r.run("config", "--local", "merge.roebook.name", "records of a book, joined one by one"); err != nil {
		return s, err
	}
	_, err = r.run("config", "--local", driverKey, driver)
	s.Done = err == nil
	return s, err
}

func (r *Repository) installAttributes(string) (Step, error) {
	path := filepath.Join(r.dir, ".gitattributes")
	s := Step{What: "a line in " + filepath.ToSlash(filepath.Join(r.Prefix, ".gitattributes")) + " that says for which files (commit it, so that others have it too)"}
	text, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return s, err
	}
	for line := range strings.Lines(string(text)) {
		if fields := strings.Fields(line); len(fields) > 1 && fields[0] == "*.yaml" {
			for _, attribute := range fields[1:] {
				if attribute == "merge=roebook" {
					return s, nil
				}
				if strings.HasPrefix(strings.TrimLeft(attribute, "-!"), "merge") {
					s.Left = "it says otherwise: " + strings.TrimSpace(line)
					return s, nil
				}
			}
		}
	}
	if len(text) > 0 && !bytes.HasSuffix(text, []byte("\n")) {
		text = append(text, '\n')
	}
	if err := os.WriteFile(path, append(text, attributesLine+"\n"...), 0o644); err != nil {
		return s, err
	}
	s.Done = true
	return s, nil
}

func (r *Repository) installHook(program string) (Step, error) {
	s := Step{What: "a hook that runs roebook check before each commit, and refuses one with errors (git commit --no-verify goes past it)"}
	out, err := r.run("rev-parse", "--git-path", "hooks/pre-commit")
	if err != nil {
		return s, err
	}
	path := strings.TrimSuffix(string(out), "\n")
	if !filepath.IsAbs(path) {
		path = filepath.Join(r.dir, path)
	}
	book := "."
	if r.Prefix != "" {
		book = r.Prefix
	}
	lines := "#!/bin/sh\n# Holds the book against its rules; git commit --no-verify goes past it.\nexec " + program + " check --book " + quotedForShell(book) + "\n"
	switch old, err := os.ReadFile(path); {
	case err == nil && strings.Contains(string(old), " check --book "+quotedForShell(book)):
		return s, nil
	case err == nil:
		s.Left = "there is a hook already, " + path + "; add to it: " + program + " check --book " + quotedForShell(book)
		return s, nil
	case !errors.Is(err, fs.ErrNotExist):
		return s, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return s, err
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o755)
	if err != nil {
		return s, err
	}
	_, err = file.WriteString(lines)
	s.Done = err == nil
	return s, errors.Join(err, file.Close())
}

// quotedForShell writes a path for a shell script, so that it is one word and no
// option.
func quotedForShell(path string) string {
	if strings.HasPrefix(path, "-") {
		path = "./" + path
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}
