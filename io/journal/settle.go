package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"
)

// settle finishes an intent that was left, or takes it back where a file that
// was still to be replaced has been changed by hand.
func (j *Journal) settle() error {
	e, err := j.entry(intentFile)
	if err != nil {
		return unsettled(err)
	}
	if e == nil {
		return nil
	}
	targets := make([]target, len(e.Changes))
	forward := true
	for i, c := range e.Changes {
		if targets[i], err = j.target(i, c.Path); err != nil {
			return unsettled(err)
		}
		text, err := j.disk.Read(targets[i].path)
		if err != nil {
			return unsettled(err)
		}
		if !bytes.Equal(text, c.Old) && !bytes.Equal(text, c.New) {
			// The finished file is gone once it has taken its place.
			_, err := j.disk.Stat(targets[i].temp)
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return unsettled(err)
			}
			forward = forward && err != nil
		}
	}
	if !forward {
		if err := errors.Join(j.rollBack(*e, targets), j.giveUp(targets, nil)); err != nil {
			return unsettled(err)
		}
		j.tell("a change was begun on %s and not finished (%s); a file of it has been changed since, so it was taken back", e.At.Format("2006-01-02 15:04"), e.Words)
		return nil
	}
	for i, c := range e.Changes {
		if err := j.finish(targets[i], c); err != nil {
			return unsettled(err)
		}
	}
	if err := j.disk.Rename(j.at(intentFile), j.at(lastFile)); err != nil {
		return unsettled(err)
	}
	j.tell("a change was begun on %s and not finished (%s); it is finished now", e.At.Format("2006-01-02 15:04"), e.Words)
	return j.disk.SyncDir(j.at(""))
}

// finish gives a file its new bytes where it has the old ones still.
func (j *Journal) finish(t target, c Change) error {
	text, err := j.disk.Read(t.path)
	if err != nil || !bytes.Equal(text, c.Old) || bytes.Equal(c.Old, c.New) {
		return err
	}
	if err := writeFile(j.disk, t.temp, c.New, t.mode); err != nil {
		return err
	}
	return j.replace(t)
}

func unsettled(err error) error {
	return fmt.Errorf("an earlier change of the book is half written and cannot be finished: %w\n"+
		"put that file back, or, where the book is as you want it, take %s away", err, filepath.Join(Dir, intentFile))
}

// Read reads a book that others may be writing: read is called when nothing is
// left half written, and again where something was written while it ran. What it
// returns is what was found to finish. Costs a few calls of the system.
func Read(dir string, who Holder, wait time.Duration, read func() error) (told []string, err error) {
	d := system{}
	j := &Journal{disk: d, dir: dir}
	for range 20 {
		if _, err := d.Stat(j.at(intentFile)); err == nil {
			j, err := open(d, dir, who, wait)
			if err != nil {
				return told, err
			}
			told = append(told, j.Told...)
			if err := j.Close(); err != nil {
				return told, err
			}
		}
		before := j.stamp()
		if err := read(); err != nil {
			return told, err
		}
		if before == j.stamp() {
			return told, nil
		}
	}
	return told, errors.New("the book is written to all the time; try again")
}

// stamp changes with every change that is recorded.
func (j *Journal) stamp() string {
	out := ""
	for _, name := range []string{intentFile, lastFile} {
		if info, err := j.disk.Stat(filepath.Join(j.dir, Dir, name)); err == nil {
			out += fmt.Sprint(info.Size(), info.ModTime().UnixNano())
		}
		out += ";"
	}
	return out
}
