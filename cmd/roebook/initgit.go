package main

import (
	"os"
	"os/exec"
	"path/filepath"

	"roebook/io/history"
	"roebook/io/records"
)

// initGit sets the repository up that a book stands in; where there is no book
// yet, it is begun first.
func initGit(env *environment, dir, line string) error {
	at := env.path(dir)
	if _, err := os.Stat(filepath.Join(at, records.BookFile)); err != nil {
		if _, err := history.Open(nearest(at), env.variables()); err != nil {
			return usageError("%s; nothing was written", err)
		}
		if err := initBook(env, dir, line); err != nil {
			return err
		}
	}
	repo, err := history.Open(at, env.variables())
	if err != nil {
		return err
	}
	steps, err := repo.Install(programName())
	p := env.page()
	p.say("Git and the book in %s:", dir)
	for _, step := range steps {
		switch {
		case step.Done:
			p.field("written", "%s", step.What)
		case step.Left != "":
			p.field("left as it is", "%s: %s", step.What, step.Left)
		default:
			p.field("was so already", "%s", step.What)
		}
	}
	p.blank()
	p.say("Settings and hooks are not cloned: each keeper runs this once in a clone of their own.")
	if printed := env.print(&p.Buffer); printed != nil {
		return printed
	}
	if err != nil {
		return usageError("the rest could not be written: %s", plainError(err))
	}
	return nil
}

// nearest is the folder, or the first above it that is there.
func nearest(dir string) string {
	for {
		if info, err := os.Stat(dir); err == nil && info.IsDir() || dir == filepath.Dir(dir) {
			return dir
		}
		dir = filepath.Dir(dir)
	}
}

// programName is how git is to run this program: by its name where that finds
// it, else by its path.
func programName() string {
	self, err := os.Executable()
	if err != nil {
		return "roebook"
	}
	if found, err := exec.LookPath("roebook"); err == nil && sameFile(found, self) {
		return "roebook"
	}
	return shellQuoted(filepath.ToSlash(self))
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}
