package grader

import (
	"math"
	"strings"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
)

// Variation makes one number of the cell differ from learner to learner:
//
//	vary: {rack.y: [-180, -120], stand.yaw: [-15, 15, 5], seed: learner}
//
// The key names a frame, solid, part or zone and one of its coordinates; see
// [cell.Change]. The value is one of Min, Min+Step, ... up to Max: people read
// these numbers, so they are round.
type Variation struct {
	Key            string  // as written: "rack.y"
	Thing, Coord   string  // "rack", "y"
	Min, Max, Step float64 // mm or deg
	Pos            diag.Pos
}

// The step of a range that names none, and the most values that a range may
// hold.
const (
	defaultStep = 1 // mm or deg
	mostValues  = 10_000
)

// Values is how many values the range holds.
func (v *Variation) Values() int {
	const slack = 1e-9 // (0.3-0)/0.1 is a little less than 3
	return int(math.Floor((v.Max-v.Min)/v.Step+slack)) + 1
}

// Value is the value number k of the range, from 0.
func (v *Variation) Value(k int) float64 {
	const scale = 1e6 // sheds the last bits of sums like 0.1 + 0.2
	x := math.Round((v.Min+float64(k)*v.Step)*scale) / scale
	if x == 0 {
		return 0 // never -0
	}
	return x
}

// Unit is the unit of the values.
func (v *Variation) Unit() string {
	switch v.Coord {
	case "roll", "pitch", "yaw":
		return "deg"
	}
	return "mm"
}

// Change is the change of the cell that gives it a value.
func (v *Variation) Change(value float64) cell.Change {
	return cell.Change{Pos: v.Pos, Name: v.Thing, Key: v.Coord, Value: value}
}

// variations reads the key vary. Whether the cell has the things that it names
// shows when a cell is built with their changes.
func variations(m *source.Map) (all []Variation) {
	for _, e := range m.Names() {
		if e.Key == "seed" {
			e.Value.OneOf("learner")
			continue
		}
		all = append(all, variation(e))
	}
	return all
}

func variation(e source.Entry) Variation {
	v := Variation{Key: e.Key, Pos: e.KeyPos, Step: defaultStep}
	v.Thing, v.Coord = e.Key, ""
	if i := strings.LastIndexByte(e.Key, '.'); i >= 0 {
		v.Thing, v.Coord = e.Key[:i], e.Key[i+1:]
	}
	count := 2
	if len(e.Value.List()) == 3 {
		count = 3
	}
	r := e.Value.Nums(count)
	if !e.Value.OK() {
		return v
	}
	v.Min, v.Max = r[0], r[1]
	if count == 3 {
		v.Step = r[2]
	}
	switch {
	case v.Min > v.Max:
		e.Value.Errorf("T004", "write the smaller number first", "the range of %s runs from %g down to %g", e.Key, v.Min, v.Max)
	case v.Step <= 0:
		e.Value.Errorf("T004", "write [least, greatest, step] with a step above 0", "the step of %s is %g", e.Key, v.Step)
	case v.Max-v.Min < v.Step:
		e.Value.Errorf("T004", "widen the range, or take the line out", "the range of %s holds only one value in steps of %g", e.Key, v.Step)
	case (v.Max-v.Min)/v.Step >= mostValues:
		e.Value.Errorf("T004", "write a larger step", "the range of %s holds more than %d values, the most that are read", e.Key, mostValues)
	}
	return v
}
