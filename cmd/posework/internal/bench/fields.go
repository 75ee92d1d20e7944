package bench

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"posework/engine/program"
	"posework/kin"
)

// Field is one value of a step that can be changed: by choosing among Choices,
// or, where Typed says so, by typing another.
type Field struct {
	Name    string
	Value   string
	Choices []string // Value among them
	Typed   bool
	set     func(s *program.Step, value string) error
}

// Next returns the choice that lies by steps further than the field's value, at
// most the last.
func (f *Field) Next(by int) string {
	i := slices.Index(f.Choices, f.Value)
	if i < 0 {
		return f.Value
	}
	return f.Choices[min(max(i+by, 0), len(f.Choices)-1)]
}

// Fields returns the values of the step at a place.
func (b *Bench) Fields(at program.At) []Field {
	s := b.file.Step(at)
	if s == nil {
		return nil
	}
	switch s.Kind {
	case program.Set:
		return b.setFields(s)
	case program.Wait:
		return b.waitFields(s)
	case program.Pause:
		return []Field{quantity("pause", s.Pause, "s", []float64{0.1, 0.2, 0.5, 1, 2, 5, 10}, func(s *program.Step, v float64) { s.Pause = v })}
	case program.Repeat:
		return b.repeatFields(s)
	case program.Call:
		var names []string
		for _, r := range b.Program().Routines {
			names = append(names, r.Name)
		}
		return []Field{choice("routine", s.Call.Name, names, func(s *program.Step, v string) { s.Call.Name = v })}
	case program.SelectTool:
		return []Field{choice("tool", s.Tool.Name, b.tools(), func(s *program.Step, v string) { s.Tool.Name = v })}
	case program.SetPayload:
		return payloadFields(s)
	}
	return b.moveFields(s)
}

func payloadFields(s *program.Step) []Field {
	fields := []Field{quantity("mass", s.Load.Mass, "kg", []float64{0, 0.5, 1, 1.5, 2, 3, 5}, func(s *program.Step, v float64) { s.Load.Mass = v })}
	for i, axis := range [...]string{"x", "y", "z"} {
		at := func(v *kin.Vec) *float64 { return [...]*float64{&v.X, &v.Y, &v.Z}[i] }
		fields = append(fields, quantity("centre "+axis, *at(&s.Load.At), "mm", []float64{-20, -10, 0, 10, 20, 50, 100, 200}, func(s *program.Step, v float64) { *at(&s.Load.At) = v }))
	}
	return fields
}

// SetField gives a field of the step at a place a value, as it was chosen or
// typed.
func (b *Bench) SetField(at program.At, f *Field, value string) error {
	old := b.file.Step(at)
	if old == nil {
		return errors.New("no step stands there")
	}
	s := *old
	s.Signals = slices.Clone(s.Signals)
	if err := f.set(&s, strings.TrimSpace(value)); err != nil {
		return err
	}
	return b.Replace(at, &s)
}

func (b *Bench) poseNames() []string {
	var names []string
	for _, p := range b.Program().Poses {
		names = append(names, p.Name)
	}
	return names
}

func (b *Bench) moveFields(s *program.Step) []Field {
	names := b.poseNames()
	others := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return s.Path == program.Arc && n == s.Through.Name })
	fields := []Field{
		choice("to", s.To.Name, others, func(s *program.Step, v string) { s.To.Name = v }),
		{Name: "path", Value: s.Path.String(), Choices: []string{"joint", "line", "arc"}, set: func(s *program.Step, v string) error { return b.setPath(s, v) }},
	}
	if s.Path == program.Arc {
		fields = append(fields, choice("through", s.Through.Name, slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n == s.To.Name }),
			func(s *program.Step, v string) { s.Through.Name = v }))
	}
	if s.Path == program.Joint {
		fields = append(fields, quantity("speed", 100*s.Speed.Share, "%", []float64{1, 2, 5, 10, 20, 30, 40, 50, 60, 80, 100},
			func(s *program.Step, v float64) { s.Speed = program.Speed{Share: v / 100} }))
	} else {
		fields = append(fields, quantity("speed", s.Speed.MMS, "mm/s", []float64{5, 10, 20, 30, 50, 80, 100, 150, 200, 250, 300, 400, 500, 600, 800, 1000, 1500},
			func(s *program.Step, v float64) { s.Speed = program.Speed{MMS: v} }))
	}
	return append(fields, endField(s))
}

// setPath changes how a move gets to its pose, and with it the measure of its
// speed: a share of the axis speeds for a joint move, else mm/s.
func (b *Bench) setPath(s *program.Step, word string) error {
	to := program.Path(slices.Index([]string{"joint", "line", "arc"}, word))
	if to > program.Arc {
		return fmt.Errorf("a path is joint, line or arc, not %q", word)
	}
	if to == program.Arc && s.Through.Name == "" {
		i := slices.IndexFunc(b.Program().Poses, func(p program.Pose) bool { return p.Name != s.To.Name })
		if i < 0 {
			return errors.New("an arc runs through another pose; record one first")
		}
		s.Through.Name = b.Program().Poses[i].Name
	}
	switch {
	case to == program.Joint && s.Path != program.Joint:
		s.Speed = program.Speed{Share: 0.1}
	case to != program.Joint && s.Path == program.Joint:
		s.Speed = program.Speed{MMS: 50}
	}
	s.Path = to
	return nil
}

// endField chooses between a stop and fly-bys.
func endField(s *program.Step) Field {
	f := Field{Name: "end", Value: program.SayEnd(s.FlyBy), Choices: []string{"stop"}, Typed: true}
	ladder := []float64{1, 2, 5, 10, 20, 30, 50, 80, 100}
	if s.FlyBy > 0 && !slices.Contains(ladder, s.FlyBy) {
		ladder = append(ladder, s.FlyBy)
		slices.Sort(ladder)
	}
	for _, v := range ladder {
		f.Choices = append(f.Choices, program.SayEnd(v))
	}
	f.set = func(s *program.Step, v string) error {
		if v == "stop" || v == "0" {
			s.FlyBy = 0
			return nil
		}
		mm, err := amount(strings.TrimPrefix(v, "fly-by"), "mm")
		if err == nil {
			s.FlyBy = mm
		}
		return err
	}
	return f
}

func (b *Bench) setFields(s *program.Step) []Field {
	var fields []Field
	for i := range b.Cell.Signals {
		sig := &b.Cell.Signals[i]
		if !sig.Output {
			continue
		}
		at := slices.IndexFunc(s.Signals, func(x program.Signal) bool { return x.Name == sig.Name })
		value := "as it is"
		if at >= 0 {
			value = program.SayOn(s.Signals[at].On)
		}
		fields = append(fields, choiceErr(sig.Name, value, []string{"as it is", "off", "on"}, func(s *program.Step, v string) error {
			s.Signals = slices.DeleteFunc(s.Signals, func(x program.Signal) bool { return x.Name == sig.Name })
			if v != "as it is" {
				s.Signals = append(s.Signals, program.Signal{Name: sig.Name, On: v == "on"})
			}
			if len(s.Signals) == 0 {
				return errors.New("a step that sets must set something; delete the step instead")
			}
			return nil
		}))
	}
	return fields
}

func (b *Bench) waitFields(s *program.Step) []Field {
	var names []string
	for i := range b.Cell.Signals {
		names = append(names, b.Cell.Signals[i].Name)
	}
	limit := quantity("at most", s.AtMost, "s", []float64{0.5, 1, 2, 3, 5, 10, 30}, func(s *program.Step, v float64) { s.AtMost = v })
	limit.Choices = append([]string{noLimit}, limit.Choices...)
	if s.AtMost == 0 {
		limit.Value = noLimit
		limit.Choices = slices.DeleteFunc(limit.Choices, func(c string) bool { return c == "0 s" })
	}
	set := limit.set
	limit.set = func(s *program.Step, v string) error {
		if v == noLimit {
			s.AtMost = 0
			return nil
		}
		return set(s, v)
	}
	return []Field{
		choice("signal", s.Signals[0].Name, names, func(s *program.Step, v string) { s.Signals[0].Name = v }),
		choice("is", program.SayOn(s.Signals[0].On), []string{"off", "on"}, func(s *program.Step, v string) { s.Signals[0].On = v == "on" }),
		limit,
	}
}

const noLimit = "no limit"

func (b *Bench) repeatFields(s *program.Step) []Field {
	frames := []string{noShift}
	for _, f := range b.Control.Frames() {
		if f != "tool" {
			frames = append(frames, f)
		}
	}
	in := noShift
	if s.Shift.Frame.Name != "" {
		in = s.Shift.Frame.Name
	}
	fields := []Field{
		quantity("times", float64(s.Times), "", []float64{1, 2, 3, 4, 5, 6, 8, 10, 12, 20, 24}, func(s *program.Step, v float64) { s.Times = int(math.Round(v)) }),
		choice("shift in", in, frames, func(s *program.Step, v string) {
			s.Shift.Frame.Name = v
			if v == noShift {
				s.Shift = program.Shift{}
			}
		}),
	}
	if in == noShift {
		return fields
	}
	ladder := []float64{-100, -50, -20, -10, -5, -1, 0, 1, 5, 10, 20, 50, 100}
	return append(fields,
		quantity("by x", s.Shift.By.X, "mm", ladder, func(s *program.Step, v float64) { s.Shift.By.X = v }),
		quantity("by y", s.Shift.By.Y, "mm", ladder, func(s *program.Step, v float64) { s.Shift.By.Y = v }),
		quantity("by z", s.Shift.By.Z, "mm", ladder, func(s *program.Step, v float64) { s.Shift.By.Z = v }),
	)
}

const noShift = "no frame"

func choice(name, value string, choices []string, set func(*program.Step, string)) Field {
	return choiceErr(name, value, choices, func(s *program.Step, v string) error { set(s, v); return nil })
}

func choiceErr(name, value string, choices []string, set func(*program.Step, string) error) Field {
	f := Field{Name: name, Value: value, Choices: slices.Clone(choices)}
	if !slices.Contains(f.Choices, value) {
		f.Choices = append([]string{value}, f.Choices...)
	}
	f.set = func(s *program.Step, v string) error {
		if !slices.Contains(choices, v) {
			return fmt.Errorf("%s is one of %s, not %q", name, strings.Join(choices, ", "), v)
		}
		return set(s, v)
	}
	return f
}

// quantity is a number with a unit, chosen from a ladder or typed.
func quantity(name string, value float64, unit string, ladder []float64, set func(*program.Step, float64)) Field {
	write := func(v float64) string {
		return strings.TrimSpace(strconv.FormatFloat(round3(v), 'g', 8, 64) + " " + unit)
	}
	f := Field{Name: name, Value: write(value), Typed: true}
	if !slices.ContainsFunc(ladder, func(v float64) bool { return write(v) == f.Value }) {
		ladder = append(slices.Clone(ladder), value)
		slices.Sort(ladder)
	}
	for _, v := range ladder {
		f.Choices = append(f.Choices, write(v))
	}
	f.set = func(s *program.Step, text string) error {
		v, err := amount(text, unit)
		if err == nil {
			set(s, v)
		}
		return err
	}
	return f
}

// amount reads a number; its unit may be left out, but must not be another one.
func amount(text, unit string) (float64, error) {
	number, _ := strings.CutSuffix(strings.TrimSpace(text), unit)
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		if unit == "" {
			return 0, fmt.Errorf("%q is not a number", text)
		}
		return 0, fmt.Errorf("%q is not a number of %s", text, unit)
	}
	return v, nil
}

func round3(v float64) float64 { return math.Round(v*1000)/1000 + 0 }
