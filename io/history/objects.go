package history

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"strings"
)

// objects gives the objects of a repository, through one process of
// `git cat-file --batch`. It is not safe for use by several goroutines at once.
type objects struct {
	cmd  *exec.Cmd
	ask  io.WriteCloser
	from *bufio.Reader
	told bytes.Buffer
}

var errMissing = errors.New("there is no such object")

func (r *Repository) objects() (*objects, error) {
	o := &objects{cmd: r.command("cat-file", "--batch")}
	o.cmd.Stderr = &o.told
	ask, err := o.cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	from, err := o.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	o.ask, o.from = ask, bufio.NewReaderSize(from, 64<<10)
	return o, o.cmd.Start()
}

func (o *objects) close() {
	_ = o.ask.Close()
	_, _ = io.Copy(io.Discard, o.from)
	_ = o.cmd.Wait()
}

// get returns the object of that name, which may be any expression for a
// revision: the name goes in as data, so that no name can be an option.
func (o *objects) get(name string) (hash, kind string, content []byte, err error) {
	if name == "" || strings.ContainsAny(name, "\n\x00") {
		return "", "", nil, errMissing
	}
	if _, err := io.WriteString(o.ask, name+"\n"); err != nil {
		return "", "", nil, o.failed(err)
	}
	head, err := o.from.ReadString('\n')
	if err != nil {
		return "", "", nil, o.failed(err)
	}
	head = strings.TrimSuffix(head, "\n")
	fields := strings.Fields(strings.TrimPrefix(head, name+" "))
	if len(fields) > 0 && (strings.HasSuffix(head, " missing") || strings.HasSuffix(head, " ambiguous")) {
		if strings.HasSuffix(head, " ambiguous") {
			return "", "", nil, fmt.Errorf("%q may mean several commits: write more of it", name)
		}
		return "", "", nil, errMissing
	}
	fields = strings.Fields(head)
	if len(fields) != 3 {
		return "", "", nil, fmt.Errorf("git: cannot make out %q", head)
	}
	size, err := strconv.Atoi(fields[2])
	if err != nil {
		return "", "", nil, fmt.Errorf("git: cannot make out %q", head)
	}
	content = make([]byte, size+1)
	if _, err := io.ReadFull(o.from, content); err != nil {
		return "", "", nil, o.failed(err)
	}
	return fields[0], fields[1], content[:size], nil
}

func (o *objects) failed(err error) error {
	_ = o.ask.Close()
	_ = o.cmd.Wait()
	return gitError(err, o.told.String())
}

// treeEntry is one name in a folder of a commit.
type treeEntry struct {
	name, hash string
	folder     bool
	file       bool // a plain one, no link
}

// parseTree reads a tree object: mode, name and the bytes of the hash, which is
// as long as that of the tree itself.
func parseTree(content []byte, hashSize int) ([]treeEntry, error) {
	var out []treeEntry
	for len(content) > 0 {
		head, rest, ok := bytes.Cut(content, []byte{0})
		mode, name, okMode := strings.Cut(string(head), " ")
		if !ok || !okMode || len(rest) < hashSize {
			return nil, fmt.Errorf("git: a folder of the history is damaged")
		}
		out = append(out, treeEntry{name: name, hash: hex.EncodeToString(rest[:hashSize]), folder: mode == "40000", file: strings.HasPrefix(mode, "100")})
		content = rest[hashSize:]
	}
	return out, nil
}
