package history

import (
	"bytes"
	"fmt"
	"maps"
	"os/exec"
	"slices"
	"time"
)

// Written is a commit to be written: who made it and when, and the whole of the
// files as they were then, by path.
type Written struct {
	Author, Mail string
	When         time.Time
	Message      string
	Files        map[string][]byte
}

// Write begins a repository in the folder dir with a history of commits; the
// files in the folder stay as they are.
func Write(dir string, commits []Written, environment []string) error {
	if _, err := exec.LookPath("git"); err != nil {
		return ErrNoGit
	}
	r := &Repository{dir: dir, env: cleared(environment)}
	if _, err := r.run("init", "-q", "-b", "main", "."); err != nil {
		return err
	}
	var in bytes.Buffer
	data := func(text []byte) { fmt.Fprintf(&in, "data %d\n%s\n", len(text), text) }
	for _, c := range commits {
		who := fmt.Sprintf("%s <%s> %d +0000", c.Author, c.Mail, c.When.Unix())
		fmt.Fprintf(&in, "commit refs/heads/main\nauthor %s\ncommitter %s\n", who, who)
		data([]byte(c.Message))
		in.WriteString("deleteall\n")
		for _, path := range slices.Sorted(maps.Keys(c.Files)) {
			fmt.Fprintf(&in, "M 100644 inline %s\n", path)
			data(c.Files[path])
		}
	}
	cmd := r.command("fast-import", "--quiet")
	var told bytes.Buffer
	cmd.Stdin, cmd.Stderr = &in, &told
	if err := cmd.Run(); err != nil {
		return gitError(err, told.String())
	}
	_, err := r.run("reset", "-q", "main")
	return err
}
