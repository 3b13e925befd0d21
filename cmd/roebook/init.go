package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/spf13/cobra"

	"roebook/io/records"
)

func newInit(env *environment) *cobra.Command {
	var line string
	var git bool
	cmd := &cobra.Command{
		Use:   "init [DIR]",
		Short: "begin a new book",
		Long: `Begin a new book: a folder with roebook.yaml and, in lines/, a first record file with examples in
comments. Nothing that is there already is overwritten.

With --git, in a git repository, it also sets git up for the book, or for the book that is there already:
two keepers' versions of a file are then joined record by record (see merge-books), and a commit is
refused while the book has errors. That is two settings of the repository, a line in .gitattributes and
a hook; what is missing is written, what is there stays as it is, and all is told.`,
		Example: `  roebook init fishroom
  roebook init --line amber-spring springs`,
		Args: takes(0, 1, "at most one folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := "."
			if len(args) > 0 {
				dir = args[0]
			}
			if git {
				return initGit(env, dir, line)
			}
			return initBook(env, dir, line)
		},
	}
	cmd.Flags().StringVar(&line, "line", "my-line", "the `name` of the first line")
	cmd.Flags().BoolVar(&git, "git", false, "set the git repository up, too, in which the book stands")
	return cmd
}

// lineName is what will do as the name of a line, which is also a file's.
var lineName = regexp.MustCompile(`^[\pL\pN][\pL\pN._-]*( [\pL\pN._-]+)*$`)

// plainName is a name that YAML takes as text without quotes.
var plainName = regexp.MustCompile(`^\pL[\pL\pN._-]+( [\pL\pN._-]+)*$`)

// yamlWords are read by some as something other than text.
var yamlWords = map[string]bool{"null": true, "true": true, "false": true, "yes": true, "no": true, "on": true, "off": true}

// yamlText writes a name as YAML text.
func yamlText(name string) string {
	if plainName.MatchString(name) && !yamlWords[strings.ToLower(name)] {
		return name
	}
	return quoted(name)
}

func initBook(env *environment, dir, line string) error {
	if !lineName.MatchString(line) {
		return usageError("--line: %q will not do as the name of a line: use letters, digits and hyphens", line)
	}
	at := env.path(dir)
	files := []newFile{
		{records.BookFile, fmt.Appendf(nil, newBook, quoted(filepath.Base(at)))},
		{filepath.Join("lines", line+".yaml"), []byte(strings.ReplaceAll(newRecords, "LINE", yamlText(line)))},
	}
	for _, file := range files {
		if _, err := os.Lstat(filepath.Join(at, file.path)); err == nil {
			return usageError("%s is there already; nothing was written", filepath.Join(dir, file.path))
		}
	}
	if err := writeAll(at, files); err != nil {
		return usageError("the book cannot be written into %s: %s; nothing was written", dir, plainError(err))
	}
	p := env.page()
	p.say("A new book is in %s:", dir)
	for _, file := range files {
		p.asIs(2, filepath.Join(dir, file.path))
	}
	p.blank()
	p.say("What to do next:")
	p.sayAt(2, "1. Open %s and put your first fish in; it shows how.", filepath.ToSlash(files[1].path))
	p.asIs(2, "2. Look it over: roebook check --book "+shellQuoted(dir))
	p.sayAt(2, "3. Keep the folder under version control (git init, then roebook init --git), so that no record is ever lost.")
	return env.print(&p.Buffer)
}

const newBook = `# This file makes the folder a book. The records are in lines/*.yaml.
book: %s
# keeper: your name, printed on sheets
`

const newRecords = `# One line: its fish (stock) and who bred (spawns). Take the # off what you
# use. Dates are year-month-day; 2024-03 or 2024 where the day is not known.
line: LINE
species: ""                     # the scientific name
# common-name: ""
# locality: ""                  # where the line was caught, never mixed unsaid
# brood-word: spawn             # litter, spawn, clutch or brood
# mature-months: {male: 4, female: 6}
# sex-determination: XY         # XY, ZW, WXY or unknown
# stores-sperm-months: 10       # how long a female may bear young of an earlier male
# goal: {gene-diversity: 0.90, generations: 25, max-inbreeding: 0.125}
# tanks: {A1: {litres: 120, place: lower shelf}}

stock:
#  X-W1:                        # a lot: fish kept as a group, not told apart
#    wild: {site: the pool below the mill, date: 2024-05-03}
#    males: 2
#    females: 4
#    changes: [{date: 2025-08-01, males: 1, females: 3, why: old age}]  # a full new count
#  X-W1a:                       # one fish picked out of it, known from then on
#    picked: X-W1
#    date: 2024-11-20
#    sex: male
#    died: 2025-06-02
#  X-K1:                        # bought: a lot of siblings
#    bought: {from: a friend, date: 2024-02-01, generation: F3, related: siblings}
#    males: 3
#    females: 3
#  X-F1:                        # fry of a spawn, grown on as one lot
#    spawn: X-S1
#    unsexed: 18
#    sold: {date: 2025-10-01, to: the club}      # all that are left; with numbers, so many
#  X-M1:                        # put together on a day, no longer told apart
#    merged: {X-F1: {unsexed: 6}, X-K1: {males: 1, females: 2}}
#    date: 2025-09-01
#    males: 4
#    females: 5

spawns:
#  X-S1: {date: 2025-01-09, sire: X-W1a, dam: X-W1, born: 23, kept: 18}
#  X-S2: {date: 2025-02-20, group: X-W1, eggs: 120, hatched: 90, kept: 20}
`
