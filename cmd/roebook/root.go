package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"roebook/io/records"
)

// version is what --version prints; releases set it when they are built.
var version = "0.1.0"

// Exit statuses.
const (
	done      = 0
	saysNo    = 1 // the book has errors, or the answer is no
	badUsage  = 2 // wrong usage, or input that cannot be read
	textWidth = 100
)

// commandGroups are the commands as help lists them.
var commandGroups = []struct {
	title    string
	commands []func(*environment) *cobra.Command
}{
	{"Fish and lines:", []func(*environment) *cobra.Command{newShow, newKinship, newInbreeding, newLine, newTraits}},
	{"What to breed next:", []func(*environment) *cobra.Command{newPairs, newCross, newForecast, newHowMany, newDue}},
	{"Sheets and pictures:", []func(*environment) *cobra.Command{newSheet, newProvenance, newChart}},
	{"Commands that write into the book:", []func(*environment) *cobra.Command{newSpawn, newAdd, newCount, newMove, newSex,
		newRetire, newDie, newSell, newLend, newNote, newRename, newUndo, newFormat}},
	{"The book itself:", []func(*environment) *cobra.Command{newInit, newDemo, newCheck, newSince, newHistory, newMergeBooks}},
}

// environment is what the commands know of the world: every one is made by a
// constructor that takes it.
type environment struct {
	out, err io.Writer
	now      func() time.Time
	dir      string // the working folder
	width    int    // columns that text may take
	errWidth int    // the same on err; 0: lines are left as they are
	colour   bool   // on err
	terminal bool   // err is one
	cache    string // the folder of snapshots, "" for none

	vars []string // the variables that git is run with; nil for those of the program
}

// Main runs the program on the command line and returns its exit status.
func Main() int {
	debug.SetGCPercent(400) // a run is short: what it holds is mostly held to the end
	dir, err := os.Getwd()
	if err != nil {
		dir = "."
	}
	env := &environment{out: os.Stdout, err: os.Stderr, now: time.Now, dir: dir, width: textWidth, cache: records.UserCache()}
	if columns, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && columns >= 40 {
		env.width = columns
	}
	env.errWidth = env.width
	if info, err := os.Stderr.Stat(); err == nil {
		env.terminal = info.Mode()&os.ModeCharDevice != 0
		env.colour = info.Mode()&os.ModeCharDevice != 0 && os.Getenv("NO_COLOR") == ""
	}
	return env.run(os.Args[1:])
}

// variables are those that git is run with.
func (env *environment) variables() []string {
	if env.vars != nil {
		return env.vars
	}
	return os.Environ()
}

// run runs one command and returns the exit status.
func (env *environment) run(args []string) int {
	root := newRoot(env)
	root.SetArgs(args)
	err := root.Execute()
	var status statusError
	switch {
	case err == nil:
		return done
	case errors.As(err, &status):
		return int(status)
	}
	env.complain(err.Error())
	return badUsage
}

// statusError ends a command whose words have all been said.
type statusError int

func (s statusError) Error() string { return "exit status " + strconv.Itoa(int(s)) }

// complain prints an error to the error stream.
func (env *environment) complain(message string) {
	const head = "roebook:"
	text := folded(head+" "+clean(message), env.errWidth)
	if env.colour {
		text = "\x1b[31m" + head + "\x1b[0m" + strings.TrimPrefix(text, head)
	}
	fmt.Fprintln(env.err, text)
}

// note prints a remark to the error stream.
func (env *environment) note(format string, args ...any) {
	fmt.Fprintln(env.err, folded(clean(fmt.Sprintf(format, args...)), env.errWidth))
}

// folded wraps the sentences of a text. Lines that are moved in are quoted, and
// stay; so does a command to be typed, on a line of its own where it does not fit.
func folded(text string, columns int) string {
	var lines []string
	for _, line := range strings.Split(text, "\n") {
		if columns == 0 || columnsOf(line) <= columns || strings.HasPrefix(line, " ") {
			lines = append(lines, line)
			continue
		}
		sentence, command, typed := strings.Cut(line, ": roebook ")
		if typed {
			sentence += ":"
		}
		lines = append(lines, wrap(sentence, columns)...)
		if typed {
			lines = append(lines, "  roebook "+command)
		}
	}
	return strings.Join(lines, "\n")
}

// print writes a finished answer.
func (env *environment) print(answer *bytes.Buffer) error {
	_, err := env.out.Write(answer.Bytes())
	return err
}

func newRoot(env *environment) *cobra.Command {
	var root *cobra.Command
	root = &cobra.Command{
		Use:   "roebook",
		Short: "pedigrees and lines of aquarium fish",
		Long: `Roebook keeps the records of a fish breeder who breeds for more than one year: which fish came from
which, also where they are kept as groups and nobody knows who bred with whom. It says how close two
fish are, how inbred their young would be, how many generations they are from the wild, what a line
has lost of its founders, and which fish to put together next.

The records are a folder of text files, a "book". You write them in an editor, or with short commands that
change only the lines they must. Every command that writes shows what it writes, and --dry-run only that.`,
		Example: `  roebook demo fishroom
  roebook check --book fishroom
  roebook pairs --book fishroom --line tessamora-ford`,
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(root, args[0])
			}
			return nil
		},
		PersistentPreRunE: refuseEmpty,
		RunE:              func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetOut(env.out)
	root.SetErr(env.err)
	for _, group := range commandGroups {
		root.AddGroup(&cobra.Group{ID: group.title, Title: group.title})
		for _, make := range group.commands {
			cmd := make(env)
			cmd.GroupID = group.title
			root.AddCommand(cmd)
		}
	}
	root.SetHelpCommand(newHelp(root))
	root.SetHelpFunc(help(env))
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		if cmd == root && cmd.Flags().NArg() > 0 {
			return noCommand(root, cmd.Flags().Arg(0))
		}
		return usageError("%s\nsee: %s --help", flagWords(cmd, err), cmd.CommandPath())
	})
	root.SetVersionTemplate("roebook {{.Version}}\n")
	root.Flags().BoolP("version", "v", false, "print the version")
	root.CompletionOptions.HiddenDefaultCmd = true
	root.InitDefaultCompletionCmd()
	for _, cmd := range root.Commands() {
		if cmd.Name() == "completion" {
			cmd.RunE = func(cmd *cobra.Command, _ []string) error {
				var names []string
				for _, sub := range cmd.Commands() {
					names = append(names, sub.Name())
				}
				return usageError("completion takes the name of a shell: %s", either(names))
			}
		}
	}
	return root
}

// noCommand says that there is no such command, and which may have been meant.
func noCommand(root *cobra.Command, name string) error {
	var names []string
	for _, cmd := range root.Commands() {
		if cmd.IsAvailableCommand() {
			names = append(names, cmd.Name())
		}
	}
	return usageError("there is no command %q%s", name, didYouMean(name, names))
}

// usageError says what is wrong with the command line.
func usageError(format string, args ...any) error { return fmt.Errorf(format, args...) }

// takes makes the error for a wrong number of arguments; most < 0: any number.
func takes(least, most int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < least || most >= 0 && len(args) > most {
			return usageError("%s takes %s\nsee: %s --help", cmd.Name(), what, cmd.CommandPath())
		}
		return nil
	}
}
