// Package formula holds the calculations of the trade that quiz questions are
// marked by: stopping and separation distances, timing, accuracy, payload,
// grip, pallet patterns. Each one has a name, inputs with units and bounds, and
// the source that it comes from.
//
// It asks no questions and marks no answers; package quiz does. Nothing here
// designs a real safeguard: a real distance is set by competent people with a
// measured stopping time and the edition of the standard in force.
//
// Units are those that people use in these sums and stand with every input: mm,
// s, mm/s, mm/s2, deg, kg, N, kPa. Everything is a pure function. [Find] is the
// way in.
package formula

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Formula is one calculation.
type Formula struct {
	Name   string // as a question file writes it: "stopping-distance"
	Title  string // in words
	Inputs []Input
	Unit   string // of the result; "" for a bare number
	Form   string // as people write it, in the names of the inputs
	Source string // standard and clause, textbook, or common practice

	of func(in []float64) float64 // in the order of Inputs, each within its bounds
}

// Input is one input of a formula.
type Input struct {
	Name  string
	Title string
	Unit  string
	// Min and Max are the values that the formula holds for, both inclusive.
	Min, Max float64
	// Whole inputs are counts.
	Whole bool
}

// All returns every formula, sorted by name.
func All() []Formula {
	all := slices.Concat(stopping, separation, timing, corners, frames, accuracy, payload, grip, pattern)
	slices.SortFunc(all, func(a, b Formula) int { return strings.Compare(a.Name, b.Name) })
	return all
}

// Find returns the formula of that name.
func Find(name string) (Formula, bool) {
	all := All()
	i := slices.IndexFunc(all, func(f Formula) bool { return f.Name == name })
	if i < 0 {
		return Formula{}, false
	}
	return all[i], true
}

// Value computes the formula for the inputs in the order of f.Inputs. It
// reports an input that is outside its bounds.
func (f *Formula) Value(in ...float64) (float64, error) {
	if len(in) != len(f.Inputs) {
		return 0, fmt.Errorf("%s takes %d inputs, not %d", f.Name, len(f.Inputs), len(in))
	}
	for i, v := range in {
		if err := f.Inputs[i].Check(v); err != nil {
			return 0, err
		}
	}
	v := f.of(in)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s has no value for these inputs", f.Name)
	}
	return v, nil
}

// Check reports a value outside the input's bounds. NaN is outside.
func (in *Input) Check(v float64) error {
	if in.Whole && v != math.Trunc(v) {
		return fmt.Errorf("%s is %g, but it is a count; take a whole number", in.Name, v)
	}
	if !(v >= in.Min && v <= in.Max) {
		unit := in.Unit
		if unit != "" {
			unit = " " + unit
		}
		return fmt.Errorf("%s is %g%s, but the formula holds from %g to %g%s", in.Name, v, unit, in.Min, in.Max, unit)
	}
	return nil
}

// The bounds of the common inputs: wide enough for every exercise, and narrow
// enough that a slip of a unit is caught.
func speedIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "mm/s", Min: 0, Max: 10000}
}

func lengthIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "mm", Min: 0, Max: 100000}
}

func timeIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "s", Min: 0, Max: 60}
}

func accelIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "mm/s2", Min: 1, Max: 100000}
}

func countIn(name, title string, least float64) Input {
	return Input{Name: name, Title: title, Min: least, Max: 10000, Whole: true}
}
