package main

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"posework": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// Each script in testdata/script shows one behaviour of the program as it is
// called from a shell.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			e.Setenv("USER", "jo")
			// A small course with questions whose answers are known.
			if err := os.CopyFS(e.WorkDir+"/own", os.DirFS("testdata/own")); err != nil {
				return err
			}
			return copyAnswers(e.WorkDir)
		},
		// Statuses other than 0 are told apart: "! exec" alone takes 1 for 2.
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){"status": exitStatus},
	})
}

// exitStatus runs a command and wants its exit status: "status 2 posework ...".
// Its output goes to stdout and stderr of the script.
func exitStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command [args]")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = strconv.Itoa(exit.ExitCode())
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != args[0] {
		ts.Fatalf("exit status %s, want %s\n%s%s", got, args[0], ts.ReadFile("stdout"), ts.ReadFile("stderr"))
	}
}
