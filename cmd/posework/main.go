// Command posework is a training course in safe motion programs for six-axis
// arms: lessons, a grader that runs what a learner wrote, and quizzes.
//
// Without a command it opens the course in the terminal. Each command stands in
// a file of its own; posework --help lists them.
//
// The exit status is 0 when all is well (or the program passed), 1 when a
// program was graded and has not passed (or a lesson has something wrong), and
// 2 when posework could not do what was asked.
package main

import (
	"context"
	"os"
)

func main() { os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
