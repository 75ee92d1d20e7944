package grader

import (
	"math"
	"testing"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
)

// decodeFigure reads a figure of a task in a cell that has one frame, at
// (600, 0, 200) and turned by 90 degrees about Z.
func decodeFigure(t *testing.T, text string) figure {
	t.Helper()
	var l diag.List
	c := cell.Decode(source.Parse("cell.yaml", []byte("arm: hazel\nfloor: none\nframes:\n  plate: {xyz: [600, 0, 200], rpy: [0, 0, 90]}\n"), 1, &l), cell.Options{})
	d := &decoder{cell: c}
	f := d.figure(source.Parse("task.yaml", []byte(text), 1, &l))
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	return f
}

// TestFigure measures places from figures whose distances follow from plain
// geometry: 3-4-5 triangles and straight lines. Places are in the world frame.
func TestFigure(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		at         kin.Vec
		distance   float64 // mm
		height     float64 // mm above the plane
		inside     bool
	}{
		{"circle, its middle", "{circle: 40, frame: plate}", kin.Vec{X: 600, Z: 200}, 40, 0, true},
		{"circle, on it", "{circle: 40, frame: plate}", kin.Vec{X: 600, Y: 40, Z: 200}, 0, 0, false},
		{"circle, outside", "{circle: 40, frame: plate}", kin.Vec{X: 647, Z: 200}, 7, 0, false},
		{"circle, outside and above", "{circle: 40, frame: plate}", kin.Vec{X: 643, Z: 204}, 5, 4, false},
		{"circle, over its middle", "{circle: 40, frame: plate}", kin.Vec{X: 600, Z: 230}, 50, 30, true},
		{"circle, moved and tilted", "{circle: 10, frame: plate, xyz: [100, 0, 0], rpy: [90, 0, 0]}", kin.Vec{X: 600, Y: 110, Z: 200}, 0, 0, false},
		{"circle, below the moved one", "{circle: 10, frame: plate, xyz: [100, 0, 0], rpy: [90, 0, 0]}", kin.Vec{X: 600, Y: 100, Z: 187}, 3, 0, false},

		// A quarter turn from the frame's X axis, the world's Y axis, about Z: towards
		// the world's -X axis.
		{"arc, where it begins", "{arc: {radius: 40, angle: 90 deg}, frame: plate}", kin.Vec{X: 600, Y: 40, Z: 200}, 0, 0, false},
		{"arc, where it ends", "{arc: {radius: 40, angle: 90 deg}, frame: plate}", kin.Vec{X: 560, Z: 200}, 0, 0, false},
		{"arc, half way", "{arc: {radius: 50, angle: 90 deg}, frame: plate}", kin.Vec{X: 570, Y: 40, Z: 200}, 0, 0, false},
		{"arc, beyond its end", "{arc: {radius: 40, angle: 90 deg}, frame: plate}", kin.Vec{X: 557, Y: -4, Z: 200}, 5, 0, false},
		{"arc, where the circle would go on", "{arc: {radius: 40, angle: 90 deg}, frame: plate}", kin.Vec{X: 640, Z: 200}, math.Sqrt(3200), 0, false},
		{"arc, its middle, above", "{arc: {radius: 40, angle: 90 deg}, frame: plate}", kin.Vec{X: 600, Z: 230}, 50, 30, false},

		// In the world the rectangle is 60 mm along X and 100 mm along Y.
		{"rectangle, a corner", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 630, Y: 50, Z: 200}, 0, 0, false},
		{"rectangle, its middle", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 600, Z: 200}, 30, 0, true},
		{"rectangle, beyond a corner", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 633, Y: 54, Z: 200}, 5, 0, false},
		{"rectangle, beside and above a side", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 567, Y: 20, Z: 204}, 5, 4, false},
		{"rectangle, below it", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 625, Y: 10, Z: 188}, 13, -12, true},
		{"rectangle, over the place beside it", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 635, Y: 10, Z: 212}, 13, 12, false},
		{"rectangle, on the side that closes it", "{rectangle: [100, 60], frame: plate}", kin.Vec{X: 590, Y: -50, Z: 200}, 0, 0, false},

		{"open, beyond its end", "{polyline: [[0, 0, 0], [100, 0, 0], [100, 100, 0]]}", kin.Vec{X: 103, Y: 104}, 5, 0, false},
		{"open, where it does not close", "{polyline: [[0, 0, 0], [100, 0, 0], [100, 100, 0]]}", kin.Vec{X: 50, Y: 50}, 50, 0, false},
		{"open, said so", "{polyline: [[0, 0, 0], [100, 0, 0], [100, 100, 0]], closed: off}", kin.Vec{X: 50, Y: 50}, 50, 0, false},
		{"open, where it would be inside", "{polyline: [[0, 0, 0], [100, 0, 0], [100, 100, 0]]}", kin.Vec{X: 80, Y: 40}, 20, 0, false},
		{"closed, where it does close", "{polyline: [[0, 0, 0], [100, 0, 0], [100, 100, 0]], closed: on}", kin.Vec{X: 50, Y: 50}, 0, 0, false},
		{"closed, inside", "{polyline: [[0, 0, 0], [100, 0, 0], [100, 100, 0]], closed: on}", kin.Vec{X: 80, Y: 40}, 20, 0, true},
		{"closed, in the notch of an L", "{polyline: [[0, 0, 0], [90, 0, 0], [90, 30, 0], [30, 30, 0], [30, 90, 0], [0, 90, 0]], closed: on}", kin.Vec{X: 60, Y: 60}, 30, 0, false},
		{"closed, the other way round, inside", "{polyline: [[100, 100, 0], [100, 0, 0], [0, 0, 0]], closed: on}", kin.Vec{X: 80, Y: 40}, 20, 0, true},
		{"two points that are one", "{polyline: [[10, 0, 0], [10, 0, 0]]}", kin.Vec{X: 13, Y: 4}, 5, 0, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := decodeFigure(t, tt.text)
			if got := f.distance(tt.at); !(math.Abs(got-tt.distance) <= 1e-9) {
				t.Errorf("distance %g mm, want %g", got, tt.distance)
			}
			if got := f.height(tt.at); !(math.Abs(got-tt.height) <= 1e-9) {
				t.Errorf("height %g mm, want %g", got, tt.height)
			}
			// On the figure itself rounding decides.
			if got := f.inside(tt.at); tt.distance > 0 && got != tt.inside {
				t.Errorf("inside %v, want %v", got, tt.inside)
			}
		})
	}
}

// Each shape knows its corners and its name.
func TestFigureShapes(t *testing.T) {
	for _, tt := range []struct {
		text, name string
		corners    int
		closed     bool
	}{
		{"{circle: 40}", "the circle of radius 40 mm", 0, true},
		{"{arc: {radius: 40, angle: 90 deg}}", "the arc of 90 deg with radius 40 mm", 0, false},
		{"{rectangle: [100, 60]}", "the rectangle", 4, true},
		{"{polyline: [[0, 0, 0], [100, 0, 0]]}", "the polyline", 2, false},
	} {
		f := decodeFigure(t, tt.text)
		if f.String() != tt.name || len(f.line) != tt.corners || f.closed != tt.closed {
			t.Errorf("%s is %s with %d corners, closed %v", tt.text, &f, len(f.line), f.closed)
		}
	}
}
