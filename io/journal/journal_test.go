package journal

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "strike every call of what cleans up, not every third")

// killed is what a disk panics with when it ends the program.
type killed struct{}

// frail is a disk whose call number at fails, or ends the program before or
// after it is made. A write that fails or is ended in has written half.
type frail struct {
	system
	calls, at int
	mode      string // fail, before or after
	dead      bool
	unlock    func() error
	name      string // of the call that was struck
}

var errFull = errors.New("no space left on device")

// call counts one call of the system and makes it, or not.
func (d *frail) call(name string, do func() error, half func()) error {
	if d.dead {
		panic(killed{})
	}
	d.calls++
	if d.calls != d.at {
		return do()
	}
	d.name = name
	if half != nil {
		half()
	}
	switch d.mode {
	case "fail":
		return errFull
	case "after":
		if half == nil {
			_ = do()
		}
	}
	d.dead = true
	panic(killed{})
}

func (d *frail) Mkdir(path string) error {
	return d.call("mkdir", func() error { return d.system.Mkdir(path) }, nil)
}

func (d *frail) Lock(path string, wait time.Duration) (func() error, error) {
	err := d.call("lock", func() (err error) { d.unlock, err = d.system.Lock(path, wait); return err }, nil)
	return func() error { return d.call("unlock", d.unlock, nil) }, err
}

func (d *frail) Real(path string) (real string, err error) {
	err = d.call("real", func() (err error) { real, err = d.system.Real(path); return err }, nil)
	return real, err
}

func (d *frail) Stat(path string) (info fs.FileInfo, err error) {
	err = d.call("stat", func() (err error) { info, err = d.system.Stat(path); return err }, nil)
	return info, err
}

func (d *frail) Read(path string) (text []byte, err error) {
	err = d.call("read", func() (err error) { text, err = d.system.Read(path); return err }, nil)
	return text, err
}

func (d *frail) Create(path string) (f file, err error) {
	err = d.call("create", func() (err error) { f, err = d.system.Create(path); return err }, nil)
	return frailFile{d, f}, err
}

func (d *frail) Rename(from, to string) error {
	return d.call("rename", func() error { return d.system.Rename(from, to) }, nil)
}

func (d *frail) Remove(path string) error {
	return d.call("remove", func() error { return d.system.Remove(path) }, nil)
}

func (d *frail) SyncDir(path string) error {
	return d.call("sync folder", func() error { return nil }, nil) // takes its time, and shows in no test
}

type frailFile struct {
	d *frail
	f file
}

func (f frailFile) Write(text []byte) (n int, err error) {
	err = f.d.call("write", func() (err error) { n, err = f.f.Write(text); return err }, func() { _, _ = f.f.Write(text[:len(text)/2]) })
	return n, err
}

func (f frailFile) Chmod(mode fs.FileMode) error {
	return f.d.call("chmod", func() error { return f.f.Chmod(mode) }, nil)
}

func (f frailFile) Sync() error { return f.d.call("sync", func() error { return nil }, nil) }

func (f frailFile) Close() error { return f.d.call("close", f.f.Close, nil) }

var me = Holder{Host: "fishroom", User: "merrin", PID: 1, Since: time.Date(2026, 11, 24, 20, 0, 0, 0, time.UTC)}

var before, after = map[string]string{"roebook.yaml": "book: x\n", "lines/a.yaml": "line: a\n"}, map[string]string{"roebook.yaml": "book: y\n# longer\n", "lines/a.yaml": "line: a\nnote: b\n"}

func bookIn(t *testing.T, texts map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range texts {
		path := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o640)); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func entryOf(names ...string) Entry {
	e := Entry{Words: "two files", At: me.Since}
	for _, name := range names {
		e.Changes = append(e.Changes, Change{name, []byte(before[name]), []byte(after[name])})
	}
	return e
}

// state says which of the two the book reads as, and what else lies about.
func state(t *testing.T, dir string) string {
	t.Helper()
	is := map[string]bool{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		name, _ := filepath.Rel(dir, path)
		if err != nil || d.IsDir() || strings.HasPrefix(name, Dir) {
			return err
		}
		name = filepath.ToSlash(name)
		text, err := os.ReadFile(path)
		switch string(text) {
		case before[name]:
			is["before"] = true
		case after[name]:
			is["after"] = true
		default:
			is["odd "+name] = true
		}
		if info, _ := d.Info(); info.Mode().Perm() != 0o640 {
			is["mode of "+name] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	var parts []string
	for part := range is {
		parts = append(parts, part)
	}
	return strings.Join(parts, " and ")
}

// run opens the journal on a disk and makes the change; done is false where the
// program was ended in it.
func run(d *frail, dir string, e Entry) (err error, done bool) {
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(killed); !ok {
				panic(r)
			}
			if d.unlock != nil {
				_ = d.unlock() // as the system does
			}
		}
	}()
	j, err := open(d, dir, me, time.Second)
	if err != nil {
		return err, true
	}
	err = j.Commit(e)
	if closing := j.Close(); err == nil && closing != nil && d.mode != "fail" {
		err = closing
	}
	if d.unlock != nil {
		_ = d.unlock()
	}
	return err, true
}

// Every call of the system is made to fail, and the program is ended before and
// after it, in turn; then the same again in what finishes an intent left. The book reads
// as before or as after, always, and where the change was said to be made, as
// after.
func TestEveryCallFails(t *testing.T) {
	defer func(text string) { before["roebook.yaml"] = text }(before["roebook.yaml"])
	struck := map[string]int{}
	trials := 0
	for _, names := range [][]string{{"lines/a.yaml"}, {"roebook.yaml", "lines/a.yaml"}} {
		if len(names) == 1 {
			before["roebook.yaml"] = after["roebook.yaml"]
		} else {
			before["roebook.yaml"] = "book: x\n"
		}
		for _, mode := range []string{"fail", "before", "after"} {
			for at := 1; ; at++ {
				d := &frail{at: at, mode: mode}
				probe := bookIn(t, before)
				if _, _ = run(d, probe, entryOf(names...)); d.name == "" {
					break
				}
				struck[d.name]++
				for again := 0; ; again++ {
					dir := bookIn(t, before)
					d := &frail{at: at, mode: mode}
					err, done := run(d, dir, entryOf(names...))
					what := fmt.Sprintf("%s call %d (%s), again %d", mode, at, d.name, again)
					if done && err == nil && state(t, dir) != "after" && len(names) == 2 {
						t.Fatalf("%s: said to be done, and reads as %s", what, state(t, dir))
					}
					trials++
					if _, err := os.Stat(filepath.Join(dir, Dir, intentFile)); again == 0 && err != nil {
						again = -1 // nothing is left to clean up
					}
					if !*long && again > 0 {
						again += 2 // every third will do
					}
					if again > 0 { // what cleans up is struck too
						second := &frail{at: again, mode: mode}
						_, _ = run(second, dir, Entry{Words: "nothing"})
						if second.name == "" {
							again = -1
						}
					}
					j, err2 := open(&frail{}, dir, me, time.Second)
					if err2 != nil {
						t.Fatalf("%s: %v", what, err2)
					}
					if err2 = j.Close(); err2 != nil {
						t.Fatal(err2)
					}
					got := state(t, dir)
					if got != "before" && got != "after" && (len(names) == 2 || got != "before and after" && got != "after and before") {
						t.Fatalf("%s: the book reads as %s (error %v)", what, got, err)
					}
					if done && err == nil && got == "before" {
						t.Fatalf("%s: a change that was said to be made is lost", what)
					}
					if again < 0 {
						break
					}
				}
			}
		}
	}
	for _, name := range []string{"mkdir", "lock", "real", "stat", "read", "create", "chmod", "write", "sync", "close", "rename", "sync folder", "remove", "unlock"} {
		if struck[name] == 0 {
			t.Errorf("no call %q was struck: %v", name, struck)
		}
	}
	t.Logf("%d trials, calls struck %v", trials, struck)
}
