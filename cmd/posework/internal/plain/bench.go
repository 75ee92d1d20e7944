package plain

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"posework/cmd/posework/internal/bench"
	"posework/cmd/posework/internal/seat"
	"posework/engine/practice"
	"posework/grader/report"
	"posework/kin"
	"posework/lessons"
)

// sitting is a learner at the bench of a lesson, in commands of words. Time
// passes on the bench only while a command moves something.
type sitting struct {
	*talk
	lesson *lessons.Lesson
	bench  *bench.Bench
	saver  *bench.Saver
	frame  string // that directions and places are told in
	left   bool
}

// order is a command of the bench.
type order struct {
	words string // how it is written
	does  string
	run   func(s *sitting, args []string) error
}

// askFile asks which file is to be worked on, where the learner may say so.
func (t *talk) askFile(l *lessons.Lesson) (string, error) {
	if file := t.seat.File(l); file != "" {
		return file, nil
	}
	path := cmp.Or(t.file[l.ID], l.ID+".yaml")
	typed, err := t.ask("Path of the program file, a new one is begun (enter alone: " + path + ")")
	return cmp.Or(typed, path), err
}

// practise asks for a program file and obeys commands at the bench until the
// learner leaves it.
func (t *talk) practise(l *lessons.Lesson) error {
	path, err := t.askFile(l)
	if err != nil {
		return err
	}
	text, err := seat.ReadOrNew(seat.Expand(path))
	if err != nil {
		t.say("%v", err)
		return nil
	}
	var start *kin.Joints
	if l.Task != nil {
		start = l.Task.Start
	}
	b, wrong := bench.Open(l.Cell, start, filepath.Base(path), text, l.Title)
	if len(wrong) > 0 {
		t.say("The file has to be mended first.")
		if t.fault == nil {
			t.fault = report.Diagnostics(t.out, wrong)
		}
		return t.fault
	}
	t.file[l.ID] = path
	s := &sitting{talk: t, lesson: l, bench: b, saver: bench.NewSaver(seat.Expand(path), text), frame: practice.InBase}
	for _, c := range l.Cautions {
		t.para("%s", "Caution: "+c)
	}
	s.where(nil)
	for !s.left {
		typed, err := t.ask("Bench: a command, or ? for the list")
		if err != nil {
			return errors.Join(err, s.keepLog())
		}
		if err := s.obey(strings.Fields(typed)); err != nil {
			t.para("%s", sentence(err))
		}
	}
	return s.keepLog()
}

// keepLog keeps the log of the practice, in the records and beside the program.
func (s *sitting) keepLog() error {
	log := s.bench.Control.Log()
	return errors.Join(s.saver.KeepLog(log), s.seat.KeepPractice(context.WithoutCancel(s.ctx), s.lesson, log))
}

// sentence makes an error's text a sentence.
func sentence(err error) string {
	text := err.Error()
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// obey runs the command of the longest words that fit.
func (s *sitting) obey(words []string) error {
	if len(words) == 0 {
		return nil
	}
	var best *order
	n := 0
	for _, o := range orders() {
		fixed := fixedWords(o.words)
		if len(fixed) > n && len(words) >= len(fixed) && strings.Join(words[:len(fixed)], " ") == strings.Join(fixed, " ") {
			best, n = &o, len(fixed)
		}
	}
	if best == nil {
		return fmt.Errorf("there is no command %q; ? lists them", words[0])
	}
	return best.run(s, words[n:])
}

// fixedWords are the words of a command up to the first that stands for something.
func fixedWords(words string) []string {
	var fixed []string
	for _, w := range strings.Fields(words) {
		if strings.ToUpper(w) == w && w != "?" {
			break
		}
		fixed = append(fixed, w)
	}
	return fixed
}

// orders is the table of commands: what is obeyed and what ? lists.
func orders() []order {
	return []order{
		{"?", "this list", (*sitting).listOrders},
		{"where", "where the arm stands, its room to limits, singularities and bodies", (*sitting).where},
		{"devices", "the state of mode, enabling device, gate and stops", (*sitting).devices},
		{"hold axis N DEGREES", "hold device and control: turn an axis by degrees (mm if it slides); + and - are its directions", holdAxis},
		{"hold x MM", "straight along x of the frame", holdAlong(0)},
		{"hold y MM", "straight along y", holdAlong(1)},
		{"hold z MM", "straight along z", holdAlong(2)},
		{"hold about x DEGREES", "turn the tool about x of the frame, and so about y, about z", holdAbout(0)},
		{"hold about y DEGREES", "", holdAbout(1)},
		{"hold about z DEGREES", "", holdAbout(2)},
		{"hold to POSE", "turn all axes to a pose", holdTo(practice.GoTo)},
		{"hold straight POSE", "move the tool straight to a pose", holdTo(practice.GoStraight)},
		{"hold step", "run the next step to its end", holdProgram(practice.StepForward)},
		{"hold back", "back to where this step or the one before began", holdProgram(practice.StepBack)},
		{"hold run", "run on to the end of the program", holdProgram(practice.RunOn)},
		{"hold return", "bring the arm back to where the program was left", holdProgram(practice.Return)},
		{"squeeze", "squeeze the enabling device past its middle", device(func(c *practice.Controller) error { c.Grip(practice.Squeezed); return nil })},
		{"release", "let the enabling device go", device(func(c *practice.Controller) error { c.Grip(practice.Released); return nil })},
		{"emergency", "press the emergency stop", device(func(c *practice.Controller) error { c.EmergencyStop(); return nil })},
		{"unlatch", "let the emergency stop out", device(func(c *practice.Controller) error { c.Unlatch(); return nil })},
		{"reset", "reset a stop whose cause is gone", device((*practice.Controller).Reset)},
		{"gate open", "open the gate in the fence", device(func(c *practice.Controller) error { c.SetGate(true); return nil })},
		{"gate closed", "close it, from outside", device(func(c *practice.Controller) error { c.SetGate(false); return nil })},
		{"manual", "select manual mode", device(func(c *practice.Controller) error { return c.SetMode(practice.Manual) })},
		{"automatic", "select automatic mode", device(func(c *practice.Controller) error { return c.SetMode(practice.Automatic) })},
		{"start", "start the program in automatic mode", (*sitting).start},
		{"speed N", "no point faster than N mm/s by hand; N % of the programmed speed in automatic", (*sitting).speed},
		{"frame NAME", "the frame of directions and places: base, tool or a task frame", (*sitting).setFrame},
		{"tool NAME", "carry a tool", (*sitting).takeTool},
		{"set SIGNAL on|off", "set an output of the cell by hand", (*sitting).setSignal},
		{"signals", "all signals and what the tool holds", (*sitting).signals},
		{"set up", "set the cell up as at the start, the program at its first step", (*sitting).setUp},
		{"poses", "all poses", (*sitting).poses},
		{"record NAME", "record a pose in the frame; record NAME axes: by axis values", (*sitting).record},
		{"again NAME", "give a pose the place where the arm stands", (*sitting).recordAgain},
		{"rename POSE NAME", "give a pose another name", (*sitting).rename},
		{"delete POSE", "delete a pose; delete POSE with steps: and every step that uses it", (*sitting).deletePose},
		{"teach frame NAME ORIGIN ALONG-X IN-PLANE", "teach a frame by three poses; a name alone takes it back", teach(false)},
		{"teach tool NAME POSE POSE POSE POSE", "teach a tool by four touches or more", teach(true)},
		{"steps", "the program, and what was proved of it", (*sitting).steps},
		{"add KIND", "add a step at the end; add KIND after STEP, add KIND within STEP. Kinds: move, set, wait, pause, repeat, call, tool, payload", (*sitting).add},
		{"fields STEP", "what can be changed of a step", (*sitting).fields},
		{"edit STEP FIELD VALUE", "change a step", (*sitting).edit},
		{"copy STEP", "copy a step", (*sitting).copyStep},
		{"paste STEP", "paste the copied step after a step", (*sitting).paste},
		{"up STEP", "move a step up", moveStep(false)},
		{"down STEP", "move a step down", moveStep(true)},
		{"remove STEP", "delete a step", (*sitting).remove},
		{"undo", "take the last change back", changes((*bench.Bench).Undo)},
		{"redo", "do again what was taken back", changes((*bench.Bench).Redo)},
		{"hand in", "hand the program in, with the log of your practice", (*sitting).handInHere},
		{"leave", "back to the lesson; the program is saved", func(s *sitting, _ []string) error { s.left = true; return nil }},
	}
}
