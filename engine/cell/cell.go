package cell

import (
	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

// Cell is a cell, checked: every name resolves and every shape is sound. All
// places are in the world frame unless a field says otherwise. It is not
// written to after loading and is safe to share.
type Cell struct {
	// ID tells this cell from all others, as whoever loads it says: what was tried
	// out in one cell proves nothing in another. A lesson's is made of its id and of
	// what is the learner's own.
	ID string

	Arm     *arm.Model // its chain gives results in the world frame
	Mount   kin.Pose   // world to base
	Tools   []Tool
	Frames  []Frame
	Floor   Floor
	Solids  []Solid
	Zones   []Zone
	Parts   []Part
	Signals []Signal
	Events  []Event
	Motion  Motion

	// Replaced holds the values as written that Options.Changes took the place
	// of, in the order in which things are placed.
	Replaced []Change
}

// Tool is a tool at the flange.
type Tool struct {
	Name   string
	TCP    kin.Pose // flange to tool centre point
	Mass   float64  // kg
	Solids []ToolSolid
}

// ToolSolid is a solid carried by the flange, in the flange frame.
type ToolSolid struct {
	Name  string
	Shape shape.Shape
}

// Frame is a named task frame.
type Frame struct {
	Name string
	Pose kin.Pose // world to frame
}

// Floor is the horizontal plane that the arm must not touch.
type Floor struct {
	Exists bool
	Z      float64 // mm in the world frame
}

// Solid is a fixed solid.
type Solid struct {
	Name  string
	Shape shape.Shape
}

// Rule says what a zone asks for.
type Rule uint8

// The rules of a zone.
const (
	KeepOut Rule = iota // no part of arm, tool or held part may enter
	AtMost              // no point of arm, tool or held part inside moves faster than Zone.Speed
)

// Zone is a box or other shape with a rule.
type Zone struct {
	Name  string
	Shape shape.Shape
	Rule  Rule
	Speed float64 // mm/s; AtMost
}

// Part is a loose part that the tool can take.
type Part struct {
	Name  string
	Shape shape.Shape // in the part's own frame
	Pose  kin.Pose    // world to part, at the start
	Mass  float64     // kg
}

// Signal is a named on/off signal, off at the start unless On.
type Signal struct {
	Name   string
	Output bool // set by the program; else an input, set by events
	On     bool // state at the start
}

// Event is what the cell does when the program has set signals.
type Event struct {
	When  []SignalState
	Near  int // index of the part that the tool centre point must be within NearMM of; -1: none
	Then  []SignalState
	Hold  int     // index of the part that the tool takes; -1: none
	Let   int     // index of the part that the tool lets go; -1: none
	After float64 // s after the condition came true
}

// NearMM is how close the tool centre point must be to a part's surface for an
// event with "near": touching, with room for a soft cup.
const NearMM = 5

// SignalState is a signal (index into Cell.Signals) with a state.
type SignalState struct {
	Signal int
	On     bool
}

// Law is a time law.
type Law uint8

// The time laws.
const (
	Trapezoid Law = iota // piecewise constant acceleration
	Smooth               // jerk-limited
)

// Motion holds what the cell's controller adds to the arm's own limits.
type Motion struct {
	Law       Law
	ToolAccel float64 // greatest acceleration of the tool centre point along its path, mm/s2
	RampTime  float64 // Smooth: time over which an acceleration is built up, s
}
