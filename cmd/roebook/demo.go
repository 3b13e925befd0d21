package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"roebook/testdata"
)

func newDemo(env *environment) *cobra.Command {
	var git bool
	cmd := &cobra.Command{
		Use:   "demo DIR",
		Short: "write a book to try things on",
		Long: `Write the demo book into a new folder: three lines kept for five years by an invented keeper, with
wild-caught and bought fish, groups, accidents and a few things to be warned of. The examples in the
help of every command run on it. With --git it is a git repository with six evenings of history, for the
commands that read that.`,
		Example: `  roebook demo fishroom
  roebook demo fishroom-in-git --git
  roebook check --book fishroom`,
		Args: takes(1, 1, "the folder to write"),
		RunE: func(_ *cobra.Command, args []string) error { return writeDemo(env, args[0], git) },
	}
	cmd.Flags().BoolVar(&git, "git", false, "make it a git repository with a history")
	return cmd
}

func writeDemo(env *environment, dir string, git bool) error {
	at := env.path(dir)
	switch there, err := os.ReadDir(at); {
	case err == nil && len(there) > 0:
		return usageError("%s is not empty; nothing was written", dir)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return usageError("%s cannot be read: %s; nothing was written", dir, plainError(err))
	}
	var files []newFile
	err := fs.WalkDir(testdata.Demo, "demo", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := testdata.Demo.ReadFile(name)
		files = append(files, newFile{filepath.FromSlash(strings.TrimPrefix(name, "demo/")), text})
		return err
	})
	if err == nil {
		err = writeAll(at, files)
	}
	if err != nil {
		return usageError("the demo book cannot be written into %s: %s; nothing was written", dir, plainError(err))
	}
	if git {
		if err := commitDemo(env, at); err != nil {
			return usageError("the demo book is in %s, but without its history: %s", dir, err)
		}
	}
	p := env.page()
	p.say("The demo book is in %s. Its last entries are of November 2026. Try:", dir)
	p.blank()
	for _, example := range []string{
		"cd " + shellQuoted(dir),
		"roebook check --on 2026-11-24",
		"roebook line tessamora-ford --on 2026-11-24",
		"roebook pairs --line tessamora-ford --on 2026-11-24",
		"roebook show TF-E1 TF-D1a --on 2026-11-24",
		"roebook kinship TF-D2 TF-D4 --why --on 2026-11-24",
	} {
		p.asIs(2, example)
	}
	return env.print(&p.Buffer)
}
