package journal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/gofrs/flock"
)

// disk is all that this package asks of the system, so that tests can make each
// call fail, and end the program in it.
type disk interface {
	Mkdir(path string) error // no error where it is there
	Lock(path string, wait time.Duration) (unlock func() error, err error)
	Real(path string) (string, error) // without links
	Stat(path string) (fs.FileInfo, error)
	Read(path string) ([]byte, error)
	Create(path string) (file, error) // empty
	Rename(from, to string) error
	Remove(path string) error // no error where it is not there
	SyncDir(path string) error
}

type file interface {
	Write(text []byte) (int, error)
	Chmod(mode fs.FileMode) error
	Sync() error
	Close() error
}

// system is the disk there is.
type system struct{}

// Mkdir refuses a link: a folder that came from elsewhere must not lead a write
// out of itself.
func (system) Mkdir(path string) error {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return err
	}
	info, err := os.Lstat(path)
	if err == nil && !info.IsDir() {
		err = fmt.Errorf("%s is a link and not a folder; take it away", path)
	}
	return err
}

// errBusy says that another holds the lock.
var errBusy = errors.New("it is locked")

// Lock takes a lock that the system gives back when the program ends, however it
// does. The module flock serves since it knows how on every system.
func (system) Lock(path string, wait time.Duration) (func() error, error) {
	if err := regular(os.Stat(path)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	lock := flock.New(path, flock.SetPermissions(0o666)) // for all who may write the folder
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	locked, err := lock.TryLockContext(ctx, 5*time.Millisecond)
	switch {
	case errors.Is(err, context.DeadlineExceeded), err == nil && !locked:
		return nil, errBusy
	case err != nil:
		return nil, err
	}
	return lock.Close, nil
}

func (system) Real(path string) (string, error) { return filepath.EvalSymlinks(path) }

func (system) Stat(path string) (fs.FileInfo, error) { return os.Stat(path) }

// Read refuses what is no file: a pipe would be waited for without end.
func (system) Read(path string) ([]byte, error) {
	if err := regular(os.Stat(path)); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
}

func regular(info fs.FileInfo, err error) error {
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("%s is no file", info.Name())
	}
	return err
}

// Create never writes through a link that stands there.
func (system) Create(path string) (file, error) {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
}

func (system) Rename(from, to string) error { return os.Rename(from, to) }

func (system) Remove(path string) error {
	if err := os.Remove(path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// SyncDir makes what was renamed in a folder last. Windows has no such call, and
// needs none.
func (system) SyncDir(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	dir, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(dir.Sync(), dir.Close())
}

// writeFile writes a file and waits until the disk has it.
func writeFile(d disk, path string, text []byte, mode fs.FileMode) error {
	f, err := d.Create(path)
	if err != nil {
		return err
	}
	err = f.Chmod(mode)
	if err == nil {
		_, err = f.Write(text)
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}
