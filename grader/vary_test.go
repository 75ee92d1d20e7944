package grader

import (
	"testing"

	"posework/engine/diag"
	"posework/engine/source"
)

// Ranges are read with both ends, and hold round numbers in steps from the least.
func TestVariation(t *testing.T) {
	for _, tt := range []struct {
		text, thing, coord, unit string
		values                   int
		last                     float64
	}{
		{"rack.y: [-80, 40]", "rack", "y", "mm", 121, 40},
		{"rack.y: [-1, 1]", "rack", "y", "mm", 3, 1},
		{"rack.yaw: [-15, 15, 5]", "rack", "yaw", "deg", 7, 15},
		{"rack.roll: [0, 1]", "rack", "roll", "deg", 2, 1},
		{"rack.pitch: [0, 1]", "rack", "pitch", "deg", 2, 1},
		{"a.b.z: [0, 0.3, 0.1]", "a.b", "z", "mm", 4, 0.3},
		{"rack.x: [0, 10, 4]", "rack", "x", "mm", 3, 8},
		{"rack.x: [0, 9999]", "rack", "x", "mm", 10_000, 9999},
		{"rack: [0, 1]", "rack", "", "mm", 2, 1},
	} {
		var l diag.List
		all := variations(source.Parse("task.yaml", []byte("{"+tt.text+", seed: learner}"), 1, &l).Map())
		if err := l.Err(); err != nil || len(all) != 1 {
			t.Fatalf("%s: %d ranges, %v", tt.text, len(all), err)
		}
		v := all[0]
		if v.Thing != tt.thing || v.Coord != tt.coord || v.Unit() != tt.unit || v.Values() != tt.values {
			t.Errorf("%s: %+v with %d values in %s, want %d", tt.text, v, v.Values(), v.Unit(), tt.values)
		}
		if first, last := v.Value(0), v.Value(v.Values()-1); first != v.Min || last != tt.last {
			t.Errorf("%s: from %g to %g, want %g to %g", tt.text, first, last, v.Min, tt.last)
		}
		change := v.Change(3)
		if change.Name != tt.thing || change.Key != tt.coord || change.Value != 3 || change.Pos != v.Pos {
			t.Errorf("%s: the change is %+v", tt.text, change)
		}
	}
}

// A range that holds nothing to vary is a mistake in the task.
func TestVariationMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"rack.y: [5, -5]":      "task.yaml:1:10: the range of rack.y runs from 5 down to -5; write the smaller number first",
		"rack.y: [5, 5.5]":     "task.yaml:1:10: the range of rack.y holds only one value in steps of 1; widen the range, or take the line out",
		"rack.y: [0, 5, 0]":    "task.yaml:1:10: the step of rack.y is 0; write [least, greatest, step] with a step above 0",
		"rack.y: [0, 10000]":   "task.yaml:1:10: the range of rack.y holds more than 10000 values, the most that are read; write a larger step",
		"rack.y: [0, 1, 1e-9]": "task.yaml:1:10: the range of rack.y holds more than 10000 values, the most that are read; write a larger step",
	} {
		var l diag.List
		variations(source.Parse("task.yaml", []byte("{"+text+"}"), 1, &l).Map())
		if len(l) != 1 || l[0].String() != want {
			t.Errorf("%s: %q, want %q", text, l.Error(), want)
		}
	}
}
