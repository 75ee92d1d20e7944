package plain

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"posework/engine/practice"
	"posework/kin"
)

// The longest that a control is held for one command, s on the bench, and the
// length of the pieces in which time passes.
const (
	longestHold = 3600
	piece       = 0.05
)

// hold holds the enabling device and a control until the motion is complete or
// stopped. args may end the hold early: "for SECONDS", and then how: by letting
// the control go, or by one of the other words.
func (s *sitting) hold(a practice.Action, args []string) error {
	c := s.bench.Control
	limit, end := float64(longestHold), func() { c.Release() }
	if len(args) >= 2 && args[0] == "for" {
		v, err := strconv.ParseFloat(args[1], 64)
		if err != nil || !(v > 0) {
			return fmt.Errorf("%q is not a number of seconds", args[1])
		}
		limit = min(limit, v)
		if args = args[2:]; len(args) > 0 && args[0] == "s" {
			args = args[1:]
		}
		if len(args) > 0 {
			ends := map[string]func(){
				"release": func() { c.Grip(practice.Released) }, "squeeze": func() { c.Grip(practice.Squeezed) },
				"emergency": c.EmergencyStop, "stop": c.Stop,
			}
			if end = ends[args[0]]; end == nil {
				return fmt.Errorf("a hold ends by release, squeeze, stop or emergency, not by %q", args[0])
			}
			args = args[1:]
		}
	}
	if len(args) > 0 {
		return fmt.Errorf("%q is not understood here", strings.Join(args, " "))
	}
	c.Grip(practice.Middle)
	if err := c.Hold(a); err != nil {
		return err
	}
	from := c.Read()
	step, fastest := from.Step, 0.0
	for t := 0.0; t < limit; t += piece {
		if s.ctx.Err() != nil {
			c.Stop()
			break
		}
		c.Grip(practice.Middle)
		if c.Hold(a) != nil {
			break
		}
		c.Advance(piece)
		r := c.Read()
		fastest = max(fastest, r.FastestMMS)
		if r.Plan != nil && r.Step != step && r.Step < len(r.Plan.Steps) {
			step = r.Step
			s.say("Step %s comes next.", r.Plan.Steps[step].Label)
		}
		if !r.Moving {
			break
		}
	}
	if c.Moving() {
		end()
	}
	s.rest()
	s.tellMotion(&from, fastest)
	return nil
}

// rest lets time pass until the arm stands and the hand has relaxed.
func (s *sitting) rest() {
	c := s.bench.Control
	for c.Moving() {
		c.Advance(piece)
	}
	c.Release()
	c.Advance(practice.GripFor + piece)
	s.bench.Accept(s.bench.Plan()())
}

// tellMotion says what a motion has brought.
func (s *sitting) tellMotion(from *practice.Reading, fastest float64) {
	r := s.bench.Control.Read()
	if r.Doing.By > 0 && r.Done < r.Doing.By-1e-9 {
		done, of, unit := r.Done, r.Doing.By, "mm"
		if r.Doing.Kind == practice.JogAbout || r.Doing.Kind == practice.JogAxis && !s.bench.Cell.Arm.Chain.Prismatic(r.Doing.Axis) {
			done, of, unit = kin.Deg(done), kin.Deg(of), "degrees"
		}
		s.say("Stopped after %.2f of %.2f %s: %s.", done, of, unit, r.Ended)
	} else if r.Ended != "" {
		s.say("Ended early: %s.", r.Ended)
	}
	if r.Block != nil {
		s.say("%s.", strings.ToUpper(r.Block.Text[:1])+r.Block.Text[1:])
		if len(r.Block.Help) > 0 {
			s.say("Try: %s.", strings.Join(r.Block.Help, "; or "))
		}
	}
	moved := 0.0
	for i := range r.Q {
		moved += math.Abs(r.Q[i] - from.Q[i])
	}
	if moved > 0 {
		s.say("The fastest point moved at %.0f mm/s.", fastest)
	}
	s.tellPlace(&r)
	if r.Plan != nil {
		s.para("%s", s.progress(&r))
	}
}

// number reads a signed number.
func number(text, what string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || v == 0 {
		return 0, fmt.Errorf("%q is not a number of %s that moves anything", text, what)
	}
	return v, nil
}

func holdAxis(s *sitting, args []string) error {
	if len(args) < 2 {
		return fmt.Errorf("write hold axis, its number, and by how much, such as hold axis 3 -10")
	}
	n, err := strconv.Atoi(args[0])
	if err != nil || n < 1 || n > 6 {
		return fmt.Errorf("the axes are 1 to 6, not %q", args[0])
	}
	slides := s.bench.Cell.Arm.Chain.Prismatic(n - 1)
	what := "degrees"
	if slides {
		what = "mm"
	}
	v, err := number(args[1], what)
	if err != nil {
		return err
	}
	if !slides {
		v = kin.Rad(v)
	}
	return s.hold(practice.Action{Kind: practice.JogAxis, Axis: n - 1, Negative: v < 0, By: math.Abs(v)}, args[2:])
}

func holdAlong(axis int) func(*sitting, []string) error {
	return func(s *sitting, args []string) error {
		if len(args) == 0 {
			return fmt.Errorf("write by how many mm, such as hold z -20")
		}
		v, err := number(args[0], "mm")
		if err != nil {
			return err
		}
		return s.hold(practice.Action{Kind: practice.JogAlong, Axis: axis, Negative: v < 0, Frame: s.frame, By: math.Abs(v)}, args[1:])
	}
}

func holdAbout(axis int) func(*sitting, []string) error {
	return func(s *sitting, args []string) error {
		if len(args) == 0 {
			return fmt.Errorf("write by how many degrees, such as hold about z 15")
		}
		v, err := number(args[0], "degrees")
		if err != nil {
			return err
		}
		return s.hold(practice.Action{Kind: practice.JogAbout, Axis: axis, Negative: v < 0, Frame: s.frame, By: kin.Rad(math.Abs(v))}, args[1:])
	}
}

func holdTo(kind practice.Kind) func(*sitting, []string) error {
	return func(s *sitting, args []string) error {
		if len(args) == 0 {
			return fmt.Errorf("name a pose; poses lists them")
		}
		q, err := s.bench.Target(args[0])
		if err != nil {
			return err
		}
		return s.hold(practice.Action{Kind: kind, Target: q, Name: args[0]}, args[1:])
	}
}

func holdProgram(kind practice.Kind) func(*sitting, []string) error {
	return func(s *sitting, args []string) error { return s.hold(practice.Action{Kind: kind}, args) }
}

// device works a device and says how all of them are then.
func device(do func(*practice.Controller) error) func(*sitting, []string) error {
	return func(s *sitting, _ []string) error {
		if err := do(s.bench.Control); err != nil {
			return err
		}
		return s.devices(nil)
	}
}

// start runs the program in automatic mode.
func (s *sitting) start(_ []string) error {
	c := s.bench.Control
	if err := c.Start(); err != nil {
		return err
	}
	from := c.Read()
	step, fastest := from.Step, 0.0
	for c.Moving() {
		if s.ctx.Err() != nil {
			c.Stop()
		}
		c.Advance(piece)
		r := c.Read()
		fastest = max(fastest, r.FastestMMS)
		if r.Step != step && r.Step < len(r.Plan.Steps) {
			step = r.Step
			s.say("Step %s comes next.", r.Plan.Steps[step].Label)
		}
	}
	s.tellMotion(&from, fastest)
	return nil
}

func (s *sitting) speed(args []string) error {
	c := s.bench.Control
	if len(args) > 0 {
		v, err := strconv.ParseFloat(strings.TrimSuffix(args[0], "%"), 64)
		if err != nil {
			return fmt.Errorf("%q is not a speed", args[0])
		}
		if c.Read().Mode == practice.Automatic {
			c.SetShare(v / 100)
		} else {
			c.SetSpeed(v)
		}
	}
	return s.devices(nil)
}

func (s *sitting) setFrame(args []string) error {
	frames := s.bench.Control.Frames()
	if len(args) == 0 || !slices.Contains(frames, args[0]) {
		return fmt.Errorf("the frames are %s", strings.Join(frames, ", "))
	}
	s.frame = args[0]
	r := s.bench.Control.Read()
	s.tellPlace(&r)
	return nil
}

func (s *sitting) takeTool(args []string) error {
	var names []string
	for _, t := range s.bench.Tools() {
		if len(args) > 0 && t.Name == args[0] {
			return s.changed(s.bench.TakeTool(t))
		}
		names = append(names, t.Name)
	}
	return fmt.Errorf("the tools are %s", strings.Join(names, ", "))
}

func (s *sitting) setSignal(args []string) error {
	if len(args) != 2 || args[1] != "on" && args[1] != "off" {
		return fmt.Errorf("write set, a signal, and on or off; signals lists them")
	}
	for i := range s.bench.Cell.Signals {
		sig := &s.bench.Cell.Signals[i]
		if sig.Name != args[0] {
			continue
		}
		if !sig.Output {
			return fmt.Errorf("the signal %s is an input: the cell sets it", sig.Name)
		}
		if err := s.bench.Control.SetSignal(i, args[1] == "on"); err != nil {
			return err
		}
		s.rest()
		return s.signals(nil)
	}
	return fmt.Errorf("there is no signal %q", args[0])
}

func (s *sitting) setUp(_ []string) error {
	if err := s.bench.Control.SetUp(); err != nil {
		return err
	}
	s.say("Signals and parts are as at the start, and the program is at its first step.")
	return nil
}
