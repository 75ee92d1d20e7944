package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"posework/engine/diag"
)

// The exit statuses.
const (
	statusFine      = 0
	statusNotPassed = 1 // graded, and not passed; or a lesson with something wrong
	statusFailed    = 2 // could not be done: usage, unreadable file, internal fault
)

// status is an error that only sets the exit status: everything was said.
type status int

func (s status) Error() string { return fmt.Sprintf("exit status %d", int(s)) }

// commands is the whole command line.
type commands struct {
	Course  string `help:"Take the lessons from this folder instead of the built-in ones." placeholder:"DIR" predictor:"folder"`
	Records string `help:"Keep the records in this file (or at this postgres:// URL) instead of the user's data folder." placeholder:"FILE" env:"POSEWORK_RECORDS" predictor:"file"`
	Name    string `help:"The learner's name in the records; the login name unless given." placeholder:"NAME" env:"POSEWORK_NAME"`
	Plain   bool   `help:"Prompts and text instead of screens; also used without a terminal and when TERM is dumb."`

	Learn      learnCmd      `cmd:"" default:"1" help:"Open the course in the terminal (also without any command)."`
	Grade      gradeCmd      `cmd:"" help:"Grade a program for a lesson."`
	Lesson     lessonCmd     `cmd:"" help:"List, show and check lessons."`
	Class      classCmd      `cmd:"" help:"Grade the programs of a class; grade recorded attempts again."`
	Worker     workerCmd     `cmd:"" help:"Grade what others put into the queue of shared records."`
	Explain    explainCmd    `cmd:"" help:"Explain a finding or an error about a file."`
	Arm        armCmd        `cmd:"" help:"Show, check and compute arms."`
	Refresher  refresherCmd  `cmd:"" help:"Take a refresher before a shift; list who is due."`
	Host       hostCmd       `cmd:"" help:"Serve the course to a class over SSH; give one-time codes."`
	Keeping    recordsCmd    `cmd:"" name:"records" help:"List, verify, export, back up and erase records."`
	Version    versionCmd    `cmd:"" help:"Tell the versions of the program and of its course."`
	Completion completionCmd `cmd:"" help:"Print a script that completes commands in a shell."`
	Man        manCmd        `cmd:"" help:"Print the manual page."`
}

// session is what a command may use of the world.
type session struct {
	ctx     context.Context
	in      io.Reader
	out     io.Writer
	err     io.Writer
	options *commands
	parser  *kong.Kong
}

// exited is thrown by kong when it is done, after --help.
type exited int

func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	// SIGHUP: the window of the terminal was closed, or the line was lost.
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	defer func() {
		if r := recover(); r != nil {
			e, ok := r.(exited)
			if !ok {
				panic(r)
			}
			code = int(e)
		}
	}()

	var c commands
	parser, err := newParser(&c, stdout, stderr)
	if err != nil {
		return fail(stderr, err)
	}
	s := &session{ctx: ctx, in: stdin, out: stdout, err: stderr, options: &c, parser: parser}
	if completeLine(s) {
		return statusFine
	}
	k, err := parser.Parse(args)
	if err != nil {
		var wrong *kong.ParseError
		if errors.As(err, &wrong) {
			return fail(stderr, fmt.Errorf("%w; see %s --help", err, commandPath(wrong.Context)))
		}
		return fail(stderr, err)
	}
	err = k.Run(s)
	var st status
	switch {
	case errors.As(err, &st):
		return int(st)
	case errors.Is(err, context.Canceled):
		return fail(stderr, errors.New("interrupted"))
	case errors.Is(err, syscall.EPIPE):
		return statusFine // whoever read the output has seen enough
	case err != nil:
		return fail(stderr, err)
	}
	return statusFine
}

func newParser(c *commands, stdout, stderr io.Writer) (*kong.Kong, error) {
	return kong.New(c,
		kong.Name("posework"),
		kong.Description(description),
		kong.Writers(stdout, stderr),
		kong.Exit(func(code int) { panic(exited(code)) }),
		kong.ConfigureHelp(kong.HelpOptions{WrapUpperBound: 80, Compact: true, NoExpandSubcommands: true}),
	)
}

const description = `A training course in safe motion programs for six-axis arms.

Lessons describe a small cell and a task; you write a program file, and the
grader runs it through a model of the arm and says what was unsafe, where and
why. A simulation teaches habits; it proves no cell safe.

  posework                                      open the course
  posework grade pick.yaml --lesson home-pose   grade a program
  posework explain FAST_APPROACH                explain a finding

Exit status: 0 fine or passed, 1 graded and not passed, 2 could not be done.`

// commandPath is the command that a usage error is about: "posework grade".
func commandPath(k *kong.Context) string {
	if n := k.Selected(); n != nil {
		return n.FullPath()
	}
	return k.Model.Name
}

func fail(stderr io.Writer, err error) int {
	// What a person typed, and what lies on a stranger's disk, is in it.
	lines := strings.Split(err.Error(), "\n")
	for i := range lines {
		lines[i] = diag.Visible(lines[i])
	}
	fmt.Fprintf(stderr, "posework: %s\n", strings.Join(lines, "\n"))
	return statusFailed
}
