// Package journal changes files of a book together or not at all.
//
// What is to be written is first put down whole in the folder .roebook of the
// book, as an intent: the names of the files, their old bytes and the new. Only
// then do files get their new bytes, each by renaming a finished file (which
// waits in that folder, as git and the book pass it over). A program
// that ends in between leaves the intent, and the next that reads the book
// finishes it, or takes it back where a file was changed by hand meanwhile. When
// all is done the intent becomes the record of the last change, from which it
// can be undone. A lock keeps two programs apart.
package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"
)

// Dir is the folder within a book's that this package keeps.
const Dir = ".roebook"

const (
	lockFile   = "lock"
	holderFile = "holder"
	intentFile = "intent"
	lastFile   = "last"
	ignoreFile = ".gitignore"
	newSuffix  = ".new"
)

// Holder is who holds the lock of a book.
type Holder struct {
	Host  string    `json:"host"`
	User  string    `json:"user"`
	PID   int       `json:"pid"`
	Since time.Time `json:"since"`
}

func (h Holder) String() string {
	return fmt.Sprintf("%s on %s (process %d, since %s)", h.User, h.Host, h.PID, h.Since.Format("2006-01-02 15:04:05"))
}

// Busy is the error of a book that another program is writing.
type Busy struct{ By Holder }

func (b *Busy) Error() string {
	who := "another program"
	if b.By.PID != 0 {
		who = b.By.String()
	}
	return "the book is being written by " + who + "; the lock goes when that program ends: try again then"
}

// ErrChanged is the error of a file that is not as it was read.
var ErrChanged = errors.New("it was changed meanwhile")

// Change is one file: its path in the book, with slashes, and its bytes before
// and after.
type Change struct {
	Path string `json:"path"`
	Old  []byte `json:"old"`
	New  []byte `json:"new"`
}

// Entry is a change of the book that was recorded.
type Entry struct {
	Words   string    `json:"words"` // what was done
	ID      string    `json:"id"`    // to which record
	At      time.Time `json:"at"`
	Changes []Change  `json:"changes"`
	Final   bool      `json:"final,omitempty"` // cannot be undone
}

// Journal is a book that is locked for writing.
type Journal struct {
	disk   disk
	dir    string // of the book
	unlock func() error
	Told   []string // what was found to finish or take back
}

// Open takes the lock of the book in dir, waiting for it at most so long, and
// finishes what an earlier program left undone. The error is a *Busy where
// another program is writing.
func Open(dir string, who Holder, wait time.Duration) (*Journal, error) {
	return open(system{}, dir, who, wait)
}

func open(d disk, dir string, who Holder, wait time.Duration) (*Journal, error) {
	j := &Journal{disk: d, dir: dir}
	if err := j.disk.Mkdir(j.at("")); err != nil {
		return nil, fmt.Errorf("the book cannot be written: %w", err)
	}
	unlock, err := j.disk.Lock(j.at(lockFile), wait)
	if errors.Is(err, errBusy) {
		return nil, &Busy{j.holder()}
	}
	if err != nil {
		return nil, fmt.Errorf("the book cannot be locked: %w", err)
	}
	j.unlock = unlock
	if err := j.begin(who); err != nil {
		return nil, errors.Join(err, j.unlock())
	}
	return j, nil
}

// begin puts down who holds the lock and settles what was left.
func (j *Journal) begin(who Holder) error {
	before := j.holder()
	if _, err := j.disk.Stat(j.at(ignoreFile)); errors.Is(err, fs.ErrNotExist) {
		if err := writeFile(j.disk, j.at(ignoreFile), []byte("*\n"), 0o644); err != nil {
			return fmt.Errorf("the book cannot be written: %w", err)
		}
	}
	text, err := json.Marshal(who)
	if err != nil {
		return err
	}
	if err := writeFile(j.disk, j.at(holderFile), text, 0o644); err != nil {
		return fmt.Errorf("the book cannot be written: %w", err)
	}
	if before.PID != 0 {
		j.tell("a program of %s ended without giving its lock back; what it was writing is in the book whole, or not at all", before)
	}
	return j.settle()
}

func (j *Journal) tell(format string, args ...any) {
	j.Told = append(j.Told, fmt.Sprintf(format, args...))
}

func (j *Journal) at(name string) string { return filepath.Join(j.dir, Dir, name) }

func (j *Journal) holder() (h Holder) {
	if text, err := j.disk.Read(j.at(holderFile)); err == nil {
		_ = json.Unmarshal(text, &h) // a half-written name is no name
	}
	return h
}

// Close gives the lock back.
func (j *Journal) Close() error {
	return errors.Join(j.disk.Remove(j.at(holderFile)), j.unlock())
}

// Last returns the last change that was recorded, nil where there is none.
func (j *Journal) Last() (*Entry, error) { return j.entry(lastFile) }

func (j *Journal) entry(name string) (*Entry, error) {
	text, err := j.disk.Read(j.at(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var e Entry
	if err == nil {
		err = json.Unmarshal(text, &e)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Join(Dir, name), err)
	}
	return &e, nil
}

// Undo takes the last change back, byte for byte. The error wraps ErrChanged
// where a file of it has changed since; nothing is changed then.
func (j *Journal) Undo(now time.Time) (*Entry, error) {
	last, err := j.Last()
	if err != nil || last == nil || last.Final {
		return nil, err
	}
	back := Entry{Words: "undo: " + last.Words, ID: last.ID, At: now, Final: true}
	for _, c := range last.Changes {
		back.Changes = append(back.Changes, Change{c.Path, c.New, c.Old})
	}
	return last, j.Commit(back)
}

// Unchanged fails as Undo would where a file has changed since.
func (j *Journal) Unchanged(e *Entry) error {
	for i, c := range e.Changes {
		t, err := j.target(i, c.Path)
		if err == nil {
			err = j.unchanged(t, Change{c.Path, c.New, c.Old})
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Commit writes a change of several files, all or none. The error wraps
// ErrChanged where one of them is not as it was before, and then, as with every
// error that does not say otherwise, the book is as it was.
func (j *Journal) Commit(e Entry) error {
	text, err := json.Marshal(e)
	if err != nil {
		return err
	}
	targets := make([]target, len(e.Changes))
	for i, c := range e.Changes {
		if targets[i], err = j.target(i, c.Path); err == nil {
			err = j.unchanged(targets[i], c)
		}
		if err != nil {
			return err
		}
	}
	for i, c := range e.Changes {
		if err := writeFile(j.disk, targets[i].temp, c.New, targets[i].mode); err != nil {
			return j.giveUp(targets, fmt.Errorf("%s cannot be written: %w", c.Path, err))
		}
	}
	if err := j.put(intentFile, text); err != nil {
		return j.giveUp(targets, fmt.Errorf("the book cannot be written: %w", err))
	}
	for i, c := range e.Changes {
		err := j.unchanged(targets[i], c)
		if err == nil {
			err = j.replace(targets[i])
		}
		if err != nil {
			return j.takeBack(e, targets, err)
		}
	}
	// All is written; where this fails the next program does it.
	_ = j.disk.Rename(j.at(intentFile), j.at(lastFile))
	_ = j.disk.SyncDir(j.at(""))
	return nil
}

// put writes a file of this folder, whole or not at all.
func (j *Journal) put(name string, text []byte) error {
	err := writeFile(j.disk, j.at(name+newSuffix), text, 0o600)
	if err == nil {
		err = j.disk.Rename(j.at(name+newSuffix), j.at(name))
	}
	if err == nil {
		err = j.disk.SyncDir(j.at(""))
	}
	return err
}

// target is a file to be replaced.
type target struct {
	path string // without links
	temp string // the finished file, until it takes its place
	mode fs.FileMode
}

// target finds the i-th file of a change. An intent may have come with a folder
// from elsewhere: it reaches no file but the records of this book.
func (j *Journal) target(i int, path string) (target, error) {
	home, err := j.disk.Real(j.dir)
	if err != nil {
		return target{}, fmt.Errorf("the folder of the book cannot be found: %w", err)
	}
	real, err := j.disk.Real(filepath.Join(j.dir, filepath.FromSlash(path)))
	if err != nil {
		return target{}, fmt.Errorf("%s cannot be found: %w", path, err)
	}
	if inside, err := filepath.Rel(home, real); err != nil || !filepath.IsLocal(inside) || filepath.Ext(path) != ".yaml" {
		return target{}, fmt.Errorf("%s is no file of the records of this book", path)
	}
	info, err := j.disk.Stat(real)
	if err != nil {
		return target{}, fmt.Errorf("%s cannot be found: %w", path, err)
	}
	if info.Mode().Perm()&0o200 == 0 {
		return target{}, fmt.Errorf("%s cannot be written: it is marked as read-only", path)
	}
	// Numbered, for two files may have one name in different folders.
	return target{real, j.at(fmt.Sprintf("file-%d%s", i, newSuffix)), info.Mode().Perm()}, nil
}

// unchanged reports as an error that a file is not as it was.
func (j *Journal) unchanged(t target, c Change) error {
	text, err := j.disk.Read(t.path)
	if err != nil {
		return fmt.Errorf("%s cannot be read: %w", c.Path, err)
	}
	if !bytes.Equal(text, c.Old) {
		return fmt.Errorf("%s: %w", c.Path, ErrChanged)
	}
	return nil
}

// replace gives a file its new bytes.
func (j *Journal) replace(t target) error {
	if err := j.disk.Rename(t.temp, t.path); err != nil {
		return err
	}
	return j.disk.SyncDir(filepath.Dir(t.path))
}

// giveUp removes what was made before any file was replaced.
func (j *Journal) giveUp(targets []target, why error) error {
	err := errors.Join(j.disk.Remove(j.at(intentFile)), j.disk.Remove(j.at(intentFile+newSuffix)))
	for _, t := range targets {
		err = errors.Join(err, j.disk.Remove(t.temp))
	}
	if err != nil {
		return errors.Join(why, fmt.Errorf("what was begun could not be removed: %w", err))
	}
	return why
}

// takeBack ends a change that failed when files had begun to be replaced.
func (j *Journal) takeBack(e Entry, targets []target, why error) error {
	if err := j.rollBack(e, targets); err != nil {
		return fmt.Errorf("%w; part of the change is written, and the rest will be when the book is next read", why)
	}
	return j.giveUp(targets, why)
}

// rollBack gives the files that were replaced their old bytes again.
func (j *Journal) rollBack(e Entry, targets []target) error {
	for i, c := range e.Changes {
		text, err := j.disk.Read(targets[i].path)
		if err == nil && bytes.Equal(text, c.New) && !bytes.Equal(c.Old, c.New) {
			if err = writeFile(j.disk, targets[i].temp, c.Old, targets[i].mode); err == nil {
				err = j.replace(targets[i])
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}
