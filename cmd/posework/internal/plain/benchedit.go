package plain

import (
	"errors"
	"fmt"
	"strings"

	"posework/cmd/posework/internal/bench"
	"posework/engine/program"
	"posework/grader/report"
)

// changed saves and plans the program after a change, and says so.
func (s *sitting) changed(err error) error {
	if err != nil {
		return err
	}
	text, version := s.bench.Text()
	err = s.saver.Save(text, version, false)
	if errors.Is(err, bench.ErrChanged) {
		typed, e := s.ask("The file was changed by something else in the meantime. y writes this program over it")
		if e != nil {
			return e
		}
		if typed != "y" {
			return errors.New("not saved")
		}
		err = s.saver.Save(text, version, true)
	}
	if err != nil {
		return err
	}
	s.bench.Accept(s.bench.Plan()())
	s.say("Saved.")
	for _, d := range s.bench.Trouble() {
		s.say("%s", d)
	}
	return nil
}

func changes(do func(*bench.Bench) error) func(*sitting, []string) error {
	return func(s *sitting, _ []string) error { return s.changed(do(s.bench)) }
}

func (s *sitting) record(args []string) error {
	if len(args) == 0 {
		args = []string{s.bench.FreeName()}
	}
	in := s.frame
	if in == "tool" {
		in = "base"
	}
	if len(args) > 1 {
		in = args[1]
	}
	if err := s.changed(s.bench.Record(args[0], in)); err != nil {
		return err
	}
	poses := s.bench.Program().Poses
	last := &poses[len(poses)-1]
	s.say("%s: %s.", last.Name, bench.SayPose(last))
	return nil
}

func (s *sitting) recordAgain(args []string) error {
	if len(args) != 1 {
		return errors.New("name the pose")
	}
	return s.changed(s.bench.RecordAgain(args[0]))
}

func (s *sitting) rename(args []string) error {
	if len(args) != 2 {
		return errors.New("write rename, the pose, and its new name")
	}
	return s.changed(s.bench.Rename(args[0], args[1]))
}

func (s *sitting) deletePose(args []string) error {
	switch {
	case len(args) == 3 && args[1] == "with" && args[2] == "steps":
		return s.changed(s.bench.DeleteWithSteps(args[0]))
	case len(args) != 1:
		return errors.New("name the pose")
	}
	if n, taught := s.bench.Uses(args[0]); n > 0 && !taught {
		return fmt.Errorf("the pose %s is used by %d of the steps; delete %s with steps deletes them, too", args[0], n, args[0])
	}
	return s.changed(s.bench.Delete(args[0]))
}

func teach(tool bool) func(*sitting, []string) error {
	return func(s *sitting, args []string) error { return s.changed(s.bench.Teach(tool, strings.Join(args, " "))) }
}

// row takes the step that args begin with, and returns what follows.
func (s *sitting) row(args []string) (*bench.Row, []string, error) {
	rows := s.bench.Rows()
	for n := min(2, len(args)); n > 0; n-- { // "retreat 1" has two words
		for i := range rows {
			if rows[i].Number == strings.Join(args[:n], " ") {
				return &rows[i], args[n:], nil
			}
		}
	}
	if len(args) == 0 {
		return nil, nil, errors.New("name a step by its number; steps lists them")
	}
	return nil, nil, fmt.Errorf("there is no step %s; steps lists them", args[0])
}

// kindWords are what the kinds of step are called in commands, in the order of
// bench.Kinds.
var kindWords = []string{"move", "set", "wait", "pause", "repeat", "call", "tool", "payload"}

func (s *sitting) add(args []string) error {
	kind := -1
	for i, w := range kindWords {
		if len(args) > 0 && args[0] == w {
			kind = i
		}
	}
	if kind < 0 {
		return fmt.Errorf("write add and a kind of step: %s", strings.Join(kindWords, ", "))
	}
	args = args[1:]
	pose := ""
	if len(args) >= 2 && args[0] == "to" {
		pose, args = args[1], args[2:]
	}
	at := program.At{Index: []int{len(s.bench.Program().Steps)}}
	if len(args) >= 2 && (args[0] == "after" || args[0] == "within") {
		row, rest, err := s.row(args[1:])
		if err != nil {
			return err
		}
		at = bench.After(row.At)
		if args[0] == "within" {
			at = bench.Within(row.At)
		}
		args = rest
	}
	if len(args) > 0 {
		return fmt.Errorf("%q is not understood here", strings.Join(args, " "))
	}
	step, err := s.bench.Fresh(kind, pose)
	if err != nil {
		return err
	}
	if err := s.changed(s.bench.Insert(at, step)); err != nil {
		return err
	}
	s.tellStep(at)
	return nil
}

// tellStep tells the step at a place and what can be changed of it.
func (s *sitting) tellStep(at program.At) {
	for _, row := range s.bench.Rows() {
		if fmt.Sprint(row.At) == fmt.Sprint(at) {
			s.say("Step %s: %s.", row.Number, row.Text)
		}
	}
}

func (s *sitting) fields(args []string) error {
	row, _, err := s.row(args)
	if err != nil {
		return err
	}
	s.tellStep(row.At)
	for _, f := range s.bench.Fields(row.At) {
		other := ""
		if f.Typed {
			other = ", or another number"
		}
		s.say("%s", report.Wrap(fmt.Sprintf("%s is %s. Choices: %s%s.", f.Name, f.Value, strings.Join(f.Choices, ", "), other), "  ", report.Width))
	}
	return nil
}

func (s *sitting) edit(args []string) error {
	row, rest, err := s.row(args)
	if err != nil {
		return err
	}
	var names []string
	typed := strings.Join(rest, " ")
	for _, f := range s.bench.Fields(row.At) {
		names = append(names, f.Name)
		if value, ok := strings.CutPrefix(typed, f.Name+" "); ok {
			if err := s.changed(s.bench.SetField(row.At, &f, value)); err != nil {
				return err
			}
			s.tellStep(row.At)
			return nil
		}
	}
	return fmt.Errorf("write edit, the step, one of %s, and its value", strings.Join(names, ", "))
}

func (s *sitting) copyStep(args []string) error {
	row, _, err := s.row(args)
	if err != nil {
		return err
	}
	if err := s.bench.Copy(row.At); err != nil {
		return err
	}
	s.say("Step %s is copied.", row.Number)
	return nil
}

func (s *sitting) paste(args []string) error {
	at := program.At{Index: []int{len(s.bench.Program().Steps)}}
	if len(args) > 0 {
		row, _, err := s.row(args)
		if err != nil {
			return err
		}
		at = bench.After(row.At)
	}
	if err := s.changed(s.bench.Paste(at)); err != nil {
		return err
	}
	s.tellStep(at)
	return nil
}

func moveStep(down bool) func(*sitting, []string) error {
	return func(s *sitting, args []string) error {
		row, _, err := s.row(args)
		if err != nil {
			return err
		}
		at, err := s.bench.Move(row.At, down)
		if err := s.changed(err); err != nil {
			return err
		}
		s.tellStep(at)
		return nil
	}
}

func (s *sitting) remove(args []string) error {
	row, _, err := s.row(args)
	if err != nil {
		return err
	}
	return s.changed(s.bench.Remove(row.At))
}

// handInHere hands the program in as it stands.
func (s *sitting) handInHere(_ []string) error {
	text, _ := s.bench.Text()
	s.say("Running it and examining the whole motion.\n")
	o, err := s.seat.HandInFrom(s.ctx, s.lesson, s.saver.Path, text, s.bench.Log())
	if o == nil {
		return err
	}
	if err != nil {
		s.say("%v", err)
	}
	return s.tellOutcome(o, s.saver.Path)
}
