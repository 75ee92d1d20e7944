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
		rows = append(rows, Row{At: here, Step: &steps[i], Number: number, Depth: depth, Text: steps[i].Say()})
		if steps[i].Kind == program.Repeat {
			rows = rowsOf(rows, steps[i].Steps, here, number+".", depth+1)
		}
	}
	return rows
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
