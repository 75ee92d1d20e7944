package bench

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"posework/engine/program"
)

// Row is a step as a line of the program's list.
type Row struct {
	At     program.At
	Step   *program.Step
	Number string // as labels of executed steps count: "4", "7.2", "retreat 1"
	Depth  int    // how deep within repeats
	Text   string // the step in words
}

// Rows returns all steps, each repeat followed by its own steps, then those of
// the routines.
func (b *Bench) Rows() []Row {
	p := b.Program()
	rows := rowsOf(nil, p.Steps, program.At{}, "", 0)
	for i := range p.Routines {
		r := &p.Routines[i]
		rows = rowsOf(rows, r.Steps, program.At{Routine: r.Name}, r.Name+" ", 0)
	}
	return rows
}

func rowsOf(rows []Row, steps []program.Step, at program.At, prefix string, depth int) []Row {
	for i := range steps {
		here := program.At{Routine: at.Routine, Index: append(at.Index[:len(at.Index):len(at.Index)], i)}
		number := prefix + strconv.Itoa(i+1)
		rows = append(rows, Row{At: here, Step: &steps[i], Number: number, Depth: depth, Text: Say(&steps[i])})
		if steps[i].Kind == program.Repeat {
			rows = rowsOf(rows, steps[i].Steps, here, number+".", depth+1)
		}
	}
	return rows
}

// Say says a step in words.
func Say(s *program.Step) string {
	switch s.Kind {
	case program.Set:
		return "set " + signals(s.Signals)
	case program.Wait:
		text := "wait for " + signals(s.Signals)
		if s.AtMost > 0 {
			text += fmt.Sprintf(", at most %g s", s.AtMost)
		}
		return text
	case program.Pause:
		return fmt.Sprintf("pause %g s", s.Pause)
	case program.Repeat:
		text := fmt.Sprintf("repeat %d times", s.Times)
		if s.Shift.Frame.Name != "" {
			text += fmt.Sprintf(", each time shifted by %s in %s", numbers(s.Shift.By.X, s.Shift.By.Y, s.Shift.By.Z), s.Shift.Frame.Name)
		}
		return text
	case program.Call:
		return "call " + s.Call.Name
	case program.SelectTool:
		return "take tool " + s.Tool.Name
	}
	text := fmt.Sprintf("%s to %s", s.Path, s.To.Name)
	if s.Path == program.Arc {
		text += " through " + s.Through.Name
	}
	return text + ", " + speed(s) + ", " + end(s.FlyBy)
}

func speed(s *program.Step) string {
	if s.Path == program.Joint {
		return fmt.Sprintf("%.4g %%", 100*s.Speed.Share)
	}
	return fmt.Sprintf("%.4g mm/s", s.Speed.MMS)
}

func end(flyBy float64) string {
	if flyBy > 0 {
		return fmt.Sprintf("fly-by %.4g mm", flyBy)
	}
	return "stop"
}

func signals(list []program.Signal) string {
	words := make([]string, len(list))
	for i, s := range list {
		words[i] = s.Name + " " + onOff(s.On)
	}
	return strings.Join(words, ", ")
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

func numbers(v ...float64) string {
	words := make([]string, len(v))
	for i, x := range v {
		words[i] = strconv.FormatFloat(x, 'g', 6, 64)
	}
	return strings.Join(words, " ")
}

// Hundredths rounds a number for people to read; zero has no sign.
func Hundredths(v float64) float64 { return math.Round(v*100)/100 + 0 }

// SayPose says where a pose is.
func SayPose(p *program.Pose) string {
	if p.ByAxes {
		var v []float64
		for i := range p.Axes {
			v = append(v, round3(p.Written(i)))
		}
		return "axes " + numbers(v...)
	}
	return fmt.Sprintf("%s in %s", numbers(round3(p.XYZ.X), round3(p.XYZ.Y), round3(p.XYZ.Z)), p.Frame.Name)
}
