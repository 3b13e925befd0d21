package main

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" { // see TestSeveralWriters
		os.Exit(Main())
	}
	testscript.Main(m, map[string]func(){"roebook": func() { os.Exit(Main()) }})
}

// today is the clock of the tests.
func today() time.Time { return time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC) }

// TestScripts runs the scripts in testdata/script. `status N roebook ARG...`
// runs the program in process and wants that exit status. Run with
// ROEBOOK_UPDATE=1 to write the wanted output anew.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		UpdateScripts:       os.Getenv("ROEBOOK_UPDATE") != "",
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"status": status},
		Setup: func(e *testscript.Env) error {
			for _, pair := range gitVars(e.WorkDir)[len(os.Environ()):] {
				name, value, _ := strings.Cut(pair, "=")
				e.Setenv(name, value)
			}
			return nil
		},
	})
}

// scriptVars are the variables of the script that git is run with.
func scriptVars(ts *testscript.TestScript) []string {
	vars := []string{"PATH=" + ts.Getenv("PATH")}
	for _, pair := range append(gitVars("")[len(os.Environ()):], "GIT_DIR=") {
		name, _, _ := strings.Cut(pair, "=")
		if value := ts.Getenv(name); value != "" {
			vars = append(vars, name+"="+value)
		}
	}
	return vars
}

func status(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 2 || args[1] != "roebook" {
		ts.Fatalf("usage: status N roebook ARG...")
	}
	wanted, err := strconv.Atoi(args[0])
	ts.Check(err)
	env := &environment{out: ts.Stdout(), err: ts.Stderr(), now: today, dir: ts.MkAbs("."), width: 100, vars: scriptVars(ts)}
	if got := env.run(args[2:]); got != wanted {
		ts.Fatalf("exit status %d, want %d", got, wanted)
	}
}
