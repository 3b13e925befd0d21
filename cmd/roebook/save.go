package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// save writes a file whole or not at all. Without force it must not be there
// yet, also where two write at the same moment; with force it may be a regular
// file that is none of the book's.
func save(path, name string, content []byte, force bool, book []string) error {
	if err := mayWrite(path, name, force, book); err != nil {
		return err
	}
	dir := filepath.Dir(path)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return usageError("%s cannot be written: there is no folder %s", name, filepath.Dir(name))
	}
	temporary, err := os.CreateTemp(dir, ".roebook-*")
	if err != nil {
		return usageError("%s cannot be written: %s", name, plainError(err))
	}
	defer os.Remove(temporary.Name())
	_, err = temporary.Write(content)
	err = errors.Join(err, temporary.Chmod(0o644), temporary.Sync(), temporary.Close())
	switch {
	case err != nil:
	case force:
		err = os.Rename(temporary.Name(), path)
	default:
		err = publish(temporary.Name(), path, content)
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return thereAlready(name)
	case err != nil:
		return usageError("%s cannot be written: %s", name, plainError(err))
	}
	return nil
}

func thereAlready(name string) error {
	return usageError("%s is there already; give --force to write over it", name)
}

// publish gives a finished file its name, which must be free. Where the disk has
// no links it is written anew.
func publish(temporary, path string, content []byte) error {
	err := os.Link(temporary, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	return writeNew(path, content)
}

// mayWrite refuses what must not be written over.
func mayWrite(path, name string, force bool, book []string) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return usageError("%s cannot be written: %s", name, plainError(err))
	case !force:
		return thereAlready(name)
	case !info.Mode().IsRegular():
		return usageError("%s is not a plain file, and is not written over", name)
	case slices.Contains([]string{".yaml", ".yml"}, filepath.Ext(path)):
		return usageError("%s may be a file of records, and is not written over", name)
	}
	for _, file := range book {
		if own, err := os.Stat(file); err == nil && os.SameFile(own, info) {
			return usageError("%s is a file of the book, and is not written over", name)
		}
	}
	return nil
}

// newFile is a file to write, by its path within a folder.
type newFile struct {
	path string
	text []byte
}

// writeAll writes files that must not be there yet into a folder, and makes the
// folders to them. Where one cannot be written, all that was made is removed.
func writeAll(dir string, files []newFile) (err error) {
	var made []string
	defer func() {
		for _, path := range slices.Backward(made) {
			if err != nil {
				_ = os.Remove(path) // a folder with other files in it stays
			}
		}
	}()
	for _, file := range files {
		path := filepath.Join(dir, file.path)
		folders, err := makeFolders(filepath.Dir(path))
		made = append(made, folders...)
		if err != nil {
			return err
		}
		if err := writeNew(path, file.text); err != nil {
			return err
		}
		made = append(made, path)
	}
	return nil
}

// makeFolders makes a folder and those above it, and returns the ones that were
// not there.
func makeFolders(dir string) (made []string, err error) {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil, nil
	}
	if up := filepath.Dir(dir); up != dir {
		if made, err = makeFolders(up); err != nil {
			return made, err
		}
	}
	if err := os.Mkdir(dir, 0o755); err != nil {
		return made, err
	}
	return append(made, dir), nil
}

// writeNew writes a file that must not be there yet, whole or not at all.
func writeNew(path string, text []byte) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	if err = errors.Join(err, file.Sync(), file.Close()); err != nil {
		_ = os.Remove(path)
	}
	return err
}
