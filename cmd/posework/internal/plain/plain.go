// Package plain is the course by prompts and text, one line after the other: for
// screen readers, for terminals that can't draw, and for scripts. It offers what
// the screens of package tui offer.
//
// It grades nothing and keeps nothing; package seat does. [Run] is the way in.
package plain

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"posework/cmd/posework/internal/reference"
	"posework/cmd/posework/internal/seat"
	"posework/grader/quiz"
	"posework/grader/report"
	"posework/lessons"
)

// talk is one learner at the prompts.
type talk struct {
	ctx   context.Context
	seat  *seat.Seat
	out   io.Writer
	lines <-chan string
	file  map[string]string      // by lesson: the program that was handed in last
	hints map[string]int         // by lesson: how many hints were shown
	round int                    // of questions, in this sitting
	left  map[string]*quiz.Round // by lesson: questions that were stopped before their end
	fault error                  // of the output
}

// errEnd says that no more is typed.
var errEnd = errors.New("the input has ended")

// Run takes a learner through the course and returns when they leave, or when
// the input ends. note is told first.
func Run(ctx context.Context, s *seat.Seat, in io.Reader, out io.Writer, note string) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	t := &talk{ctx: ctx, seat: s, out: out, lines: readLines(ctx, in), file: map[string]string{}, hints: map[string]int{}, left: map[string]*quiz.Round{}}
	if note != "" {
		t.say("%s", note)
	}
	err := t.course()
	switch {
	case t.fault != nil:
		return t.fault
	case errors.Is(err, errEnd):
		return nil
	}
	return err
}

// readLines reads in the background, so that an interruption is heard while
// nothing is typed.
func readLines(ctx context.Context, in io.Reader) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		scan := bufio.NewScanner(in)
		for scan.Scan() {
			select {
			case lines <- scan.Text():
			case <-ctx.Done():
				return
			}
		}
	}()
	return lines
}

func (t *talk) say(format string, args ...any) {
	if t.fault == nil {
		_, t.fault = fmt.Fprintf(t.out, format+"\n", args...)
	}
}

// para says something in lines that fit.
func (t *talk) para(format string, args ...any) {
	t.say("%s", report.Wrap(fmt.Sprintf(format, args...), "", report.Width))
}

// ask prompts for a line, without the blanks at its ends.
func (t *talk) ask(prompt string) (string, error) {
	if t.fault == nil {
		_, t.fault = fmt.Fprintf(t.out, "%s ", report.Wrap(prompt+":", "", report.Width-1))
	}
	if t.fault != nil {
		return "", t.fault
	}
	select {
	case <-t.ctx.Done():
		return "", t.ctx.Err()
	case line, more := <-t.lines:
		if !more {
			t.say("")
			return "", errEnd
		}
		return strings.TrimSpace(line), nil
	}
}

// course lists the lessons and opens what is asked for.
func (t *talk) course() error {
	t.say("posework, a course in safe motion programs. Learner: %s.", t.seat.Person)
	t.say("A simulation teaches habits; it proves no cell safe.")
	find := ""
	for {
		refreshers, err := t.list(find)
		if err != nil {
			return err
		}
		prompt := "Number of a lesson, words to find, or q to leave"
		if len(refreshers) > 0 {
			prompt = fmt.Sprintf("Number of a lesson, r1 to r%d for a refresher, words to find, or q to leave", len(refreshers))
		}
		typed, err := t.ask(prompt)
		if err != nil {
			return err
		}
		n, notNumber := strconv.Atoi(typed)
		k, notRefresher := strconv.Atoi(strings.TrimPrefix(typed, "r"))
		switch {
		case typed == "q":
			return nil
		case notNumber != nil && notRefresher == nil && k >= 1 && k <= len(refreshers):
			find = ""
			if err := t.refresher(refreshers[k-1]); err != nil {
				return err
			}
		case notNumber != nil:
			find = typed
		case n < 1 || n > len(t.seat.Course.Lessons):
			t.say("There is no lesson %d.", n)
		default:
			find = ""
			if err := t.lesson(t.seat.Course.Lessons[n-1]); err != nil {
				return err
			}
		}
	}
}

// list lists lessons and refreshers, and returns all refreshers.
func (t *talk) list(find string) ([]seat.DeckStanding, error) {
	all, err := t.seat.Standings(t.ctx)
	if err != nil {
		return nil, err
	}
	refreshers, err := t.seat.Refreshers(t.ctx, all)
	if err != nil {
		return nil, err
	}
	module, shown := "", 0
	for i, l := range t.seat.Course.Lessons {
		if !seat.Matches(l, find) {
			continue
		}
		if l.Module != module {
			module = l.Module
			t.say("\n%s", module)
		}
		shown++
		st := all[l.ID]
		t.say("  %d  %s, %d minutes, %s", i+1, l.Title, l.Minutes, t.seat.State(l, st))
	}
	first := true
	for i := range refreshers {
		d := &refreshers[i]
		if !seat.HasWords(seat.RefresherModule+" "+d.Title()+" "+d.ID(), find) {
			continue
		}
		if first {
			t.say("\n%s", seat.RefresherModule)
			first = false
		}
		shown++
		t.say("  r%d  %s, %s", i+1, d.Title(), d.State())
	}
	if shown == 0 {
		t.say("\nNo lesson or refresher has these words. An empty line lists all.")
	}
	t.say("")
	return refreshers, nil
}

// lesson offers what can be done with a lesson.
func (t *talk) lesson(ofCourse *lessons.Lesson) error {
	for {
		// An instructor may close it, or begin an examination, at any time.
		l, err := t.seat.Enter(ofCourse)
		if err != nil {
			t.say("%s", sentence(err))
			return nil
		}
		all, err := t.seat.Standings(t.ctx)
		if err != nil {
			return err
		}
		st := all[l.ID]
		t.say("\n%s\n%s", l.Title, seat.Progress(l, st))
		for _, first := range st.First {
			t.say("This lesson builds on: %s", first.Title)
		}
		offers := []string{"r read"}
		if l.Task != nil {
			offers = append(offers, "t task", "h hand in")
		}
		if l.Cell != nil {
			offers = append(offers, "p practise")
		}
		if len(l.Quiz) > 0 {
			offers = append(offers, "a answer questions")
		}
		if t.hints[l.ID] < len(l.Hints) {
			offers = append(offers, "n next hint")
		}
		typed, err := t.ask(strings.Join(append(offers, "x CODE explain", "b back"), ", "))
		if err != nil {
			return err
		}
		if typed == "b" || typed == "q" {
			return nil
		}
		if err := t.choose(l, typed); err != nil {
			return err
		}
	}
}

func (t *talk) choose(l *lessons.Lesson, typed string) error {
	switch code, explain := strings.CutPrefix(typed, "x "); {
	case typed == "r":
		t.read(l)
	case typed == "t" && l.Task != nil:
		t.say("\n%s", seat.Task(l))
	case typed == "h" && l.Task != nil:
		return t.handIn(l)
	case typed == "p" && l.Cell != nil:
		return t.practise(l)
	case typed == "a" && len(l.Quiz) > 0:
		return t.questions(l)
	case typed == "n" && t.hints[l.ID] < len(l.Hints):
		t.hints[l.ID]++
		t.say("")
		t.para("Hint %d of %d. %s", t.hints[l.ID], len(l.Hints), l.Hints[t.hints[l.ID]-1])
	case explain:
		t.explain(strings.TrimSpace(code))
	default:
		t.say("That is none of the letters offered.")
	}
	return nil
}

func (t *talk) read(l *lessons.Lesson) {
	t.say("\n%s", strings.TrimSpace(seat.Page(l)))
}

func (t *talk) explain(code string) {
	e, nearest, ok := reference.Lookup(code)
	switch {
	case ok:
		t.say("")
		if t.fault == nil {
			t.fault = e.Text(t.out, report.Width)
		}
	case nearest != "":
		t.say("There is no code %q; perhaps %s is meant.", code, nearest)
	default:
		t.say("There is no code %q.", code)
	}
}

// handIn asks for a program file and tells what was found.
func (t *talk) handIn(l *lessons.Lesson) error {
	if t.seat.Folder != "" {
		return t.handInKept(l)
	}
	prompt := "Path of your program file"
	if last := t.file[l.ID]; last != "" {
		prompt += " (enter alone: " + last + ")"
	}
	path, err := t.ask(prompt)
	if err != nil {
		return err
	}
	if path == "" {
		path = t.file[l.ID]
	}
	if path == "" {
		return nil
	}
	if t.grade(l, seat.Expand(path), path) {
		t.file[l.ID] = path
	}
	return t.fault
}

// handInKept hands in the program that is kept for the learner.
func (t *talk) handInKept(l *lessons.Lesson) error {
	if !t.seat.HasFile(l) {
		t.say("There is no program of this lesson yet. p practises, and writes one.")
		return nil
	}
	file := t.seat.File(l)
	t.grade(l, file, filepath.Base(file))
	return t.fault
}

// grade hands a program in, tells what became of it, and reports whether it was
// handed in.
func (t *talk) grade(l *lessons.Lesson, file, name string) bool {
	t.say("Running it and examining the whole motion.\n")
	o, err := t.seat.HandIn(t.ctx, l, file)
	if o == nil {
		t.say("Not handed in: %v", err)
		return false
	}
	if err != nil {
		t.say("%v", err)
	}
	t.fault = t.tellOutcome(o, name)
	return true
}

// tellOutcome tells what became of a program.
func (t *talk) tellOutcome(o *seat.Outcome, path string) error {
	if t.fault != nil {
		return t.fault
	}
	if o.Mark == nil {
		t.say("NOT GRADED: the file has to be mended first.")
		t.fault = report.Diagnostics(t.out, o.Errors)
		return t.fault
	}
	about := o.Subject()
	about.Program = path
	t.fault = report.Text(t.out, about, o.Mark)
	return t.fault
}
