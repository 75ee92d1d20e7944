// Package picture draws a cell as text: the arm with its thickness, tool,
// solids, zones, frames and the path of the tool, seen from any side, as a grid
// of characters that a terminal can show.
//
// It knows nothing about motion, screens or terminals: what is drawn is a
// [Scene], from where is a [Camera], with what marks are [Glyphs], and which
// colours the inks have is up to the [Pens] that a caller brings. The picture
// is a function of these alone. Without colours it still reads: what is in
// front hides what is behind, bodies are told apart by shading and outline,
// zones by their dashes, and what matters is labelled.
//
// Lengths are mm in the world frame of the cell, angles rad. The projection is
// parallel: lengths can be compared wherever they lie, and the views from the
// front, the side and above are true drawings.
//
// A [Canvas] keeps its buffers, so that drawing again allocates nothing. It
// must not be used by two goroutines at once.
package picture

import (
	"posework/engine/shape"
	"posework/kin"
)

// Ink says what a mark is a mark of. A later ink wins where several meet in
// one character.
type Ink uint8

// The inks.
const (
	None      Ink = iota
	Ground        // the grid on the floor
	Solid         // fixed solids of the cell
	SpeedZone     // edges of a zone with a speed limit
	KeepOut       // edges of a keep-out zone
	Part          // loose parts
	Arm           // links of the arm
	Held          // the part in the tool
	Tool          // solids of the tool
	Trace         // the path of the tool centre point
	AxisX         // the axes of a frame
	AxisY
	AxisZ
	Label // names
	Alarm // what needs attention: the closest pair

	Inks // how many there are
)

// Scene is what is to be drawn, in the world frame.
type Scene struct {
	Bodies []Body
	Zones  []Zone
	Lines  []Line
	Frames []Frame
	Labels []Text
	Gap    *Gap
	Floor  *Floor
}

// Body is an opaque solid. Bodies that follow each other with the same Name and
// Ink count as one: no line is drawn where they meet.
type Body struct {
	Shape shape.Shape
	Ink   Ink
	Name  string // written beside it when Named
	Named bool
}

// Zone is a space of which only the edges are drawn: dashed for a keep-out
// zone, dotted for one with a speed limit.
type Zone struct {
	Shape shape.Shape
	Ink   Ink // KeepOut or SpeedZone
	Name  string
}

// Line is a polyline. Where a body hides it, it is dotted.
type Line struct {
	Points []kin.Vec
	Ink    Ink
	Ahead  bool // a path that is only planned: dashed
}

// Frame is a frame drawn as three short axes.
type Frame struct {
	Pose kin.Pose
	Name string
	Size float64 // length of an axis, mm
}

// Text is a name at a place.
type Text struct {
	At   kin.Vec
	Text string
	Ink  Ink
}

// Gap is the shortest distance between two bodies, drawn in front of
// everything, with its text.
type Gap struct {
	A, B kin.Vec
	Text string
}

// Floor is the grid on a horizontal floor.
type Floor struct {
	Z      float64 // mm
	Centre kin.Vec // about which the grid is drawn; Z is not used
	Half   float64 // mm from the centre to the grid's end
	Step   float64 // mm between lines
}

// Glyphs is the set of characters that a picture is made of.
type Glyphs uint8

// The sets.
const (
	Braille Glyphs = iota // eight dots a character
	ASCII                 // letters and signs only: for fonts whose braille has gaps
)

// Size is the size of a picture in characters.
type Size struct{ Width, Height int }
