// Package history reads the git history of a book in breeding terms, and has
// git join two keepers' versions of one record file.
//
// It asks the git program and checks nothing out: one process tells the
// commits, one gives all their objects. Nothing of the repository is written
// but by [Install], which says what it writes.
package history

import (
	"bytes"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// ErrNoGit is told where there is no git program.
var ErrNoGit = errors.New("the git program is not installed, or not on the PATH; the history of a book is read through it")

// Repository is the git repository that a book stands in.
type Repository struct {
	// Top is the top folder of its work tree, and Prefix the path of the book's
	// folder in it, with slashes, "" where that is the top itself.
	Top, Prefix string
	// Shallow says that the history was cut off when the repository was cloned.
	Shallow bool

	dir string   // the book's
	env []string // of the git processes
}

// local are the variables by which git tells its own children which repository
// they serve, as `git rev-parse --local-env-vars` lists them.
var local = []string{"GIT_ALTERNATE_OBJECT_DIRECTORIES", "GIT_CONFIG", "GIT_CONFIG_PARAMETERS", "GIT_CONFIG_COUNT", "GIT_OBJECT_DIRECTORY",
	"GIT_DIR", "GIT_WORK_TREE", "GIT_IMPLICIT_WORK_TREE", "GIT_GRAFT_FILE", "GIT_INDEX_FILE", "GIT_NO_REPLACE_OBJECTS", "GIT_REPLACE_REF_BASE",
	"GIT_PREFIX", "GIT_SHALLOW_FILE", "GIT_COMMON_DIR", "GIT_INTERNAL_SUPER_PREFIX"}

// Open finds the repository of the book in the folder dir. It is the one that
// the folder stands in; where that is none, the one that GIT_DIR and
// GIT_WORK_TREE of the environment (os.Environ) name, as for a work tree whose
// repository is kept elsewhere.
func Open(dir string, environment []string) (*Repository, error) {
	if _, err := exec.LookPath("git"); err != nil {
		return nil, ErrNoGit
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	if full, err = filepath.EvalSymlinks(full); err != nil {
		return nil, err
	}
	r := &Repository{dir: full, env: cleared(environment)}
	err = r.find()
	if named := variable(environment, "GIT_DIR"); err != nil && named != "" {
		elsewhere := *r
		elsewhere.env = append(slices.Clone(r.env), "GIT_DIR="+absolute(named))
		if tree := variable(environment, "GIT_WORK_TREE"); tree != "" {
			elsewhere.env = append(elsewhere.env, "GIT_WORK_TREE="+absolute(tree))
			if elsewhere.find() == nil {
				return &elsewhere, nil
			}
		}
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}

// cleared is an environment without what speaks of a certain repository, and in
// which git neither translates its words nor asks for anything.
func cleared(environment []string) []string {
	out := slices.DeleteFunc(slices.Clone(environment), func(pair string) bool {
		name, _, _ := strings.Cut(pair, "=")
		return slices.Contains(local, name) || strings.HasPrefix(name, "GIT_CONFIG_KEY_") || strings.HasPrefix(name, "GIT_CONFIG_VALUE_")
	})
	return append(out, "LC_ALL=C", "GIT_TERMINAL_PROMPT=0", "GIT_OPTIONAL_LOCKS=0", "GIT_LITERAL_PATHSPECS=1")
}

func variable(environment []string, name string) string {
	for _, pair := range slices.Backward(environment) {
		if value, ok := strings.CutPrefix(pair, name+"="); ok {
			return value
		}
	}
	return ""
}

func absolute(path string) string {
	if full, err := filepath.Abs(path); err == nil {
		return full
	}
	return path
}

func (r *Repository) find() error {
	out, err := r.run("rev-parse", "--is-inside-work-tree", "--is-shallow-repository", "--show-toplevel")
	if err != nil {
		if strings.Contains(err.Error(), "not a git repository") {
			return fmt.Errorf("%s is not in a git repository; to begin one: git init, git add and git commit there", r.dir)
		}
		return err
	}
	parts := strings.SplitN(strings.TrimSuffix(string(out), "\n"), "\n", 3)
	if len(parts) < 3 || parts[0] != "true" {
		return fmt.Errorf("%s is not in the work tree of a git repository", r.dir)
	}
	r.Shallow, r.Top = parts[1] == "true", filepath.FromSlash(parts[2])
	if top, err := filepath.EvalSymlinks(r.Top); err == nil {
		r.Top = top
	}
	prefix, err := filepath.Rel(r.Top, r.dir)
	if err != nil || !filepath.IsLocal(prefix) {
		return fmt.Errorf("%s is not in the work tree of the git repository of %s", r.dir, r.Top)
	}
	r.Prefix = strings.TrimPrefix(filepath.ToSlash(prefix), ".")
	return nil
}

// run runs git in the book's folder and returns what it prints.
func (r *Repository) run(args ...string) ([]byte, error) {
	cmd := r.command(args...)
	var told bytes.Buffer
	cmd.Stderr = &told
	out, err := cmd.Output()
	if err != nil {
		return out, gitError(err, told.String())
	}
	return out, nil
}

func (r *Repository) command(args ...string) *exec.Cmd {
	cmd := exec.Command("git", append([]string{"-c", "core.quotepath=false", "-c", "log.showSignature=false"}, args...)...)
	cmd.Dir, cmd.Env = r.dir, r.env
	return cmd
}

// gitError is what git says went wrong.
func gitError(err error, told string) error {
	for line := range strings.SplitSeq(told, "\n") {
		for _, head := range []string{"fatal: ", "error: "} {
			if words, ok := strings.CutPrefix(line, head); ok {
				return fmt.Errorf("git: %s", words)
			}
		}
	}
	if told = strings.TrimSpace(told); told != "" {
		return fmt.Errorf("git: %s", told)
	}
	return fmt.Errorf("git: %w", err)
}
