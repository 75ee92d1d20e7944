package program

import (
	"posework/engine/diag"
	"posework/kin"
)

// Program is a program file, checked on its own: names resolve inside the file,
// units are right, numbers are finite. What depends on a cell (tool, frame and
// signal names, reach) is checked by engine/motion.
type Program struct {
	File     string
	Title    string
	Tool     Ref // a tool of the cell or of Tools
	Poses    []Pose
	Frames   []TaughtFrame
	Tools    []TaughtTool
	Steps    []Step
	Routines []Routine
}

// Ref is a name written in a file, with its place.
type Ref struct {
	Name string
	Pos  diag.Pos
}

// Pose is a named pose: six axis values, or a place in a frame.
type Pose struct {
	Name   string
	Pos    diag.Pos
	ByAxes bool
	Axes   kin.Joints  // rad; when ByAxes. See Written for prismatic axes
	Place  kin.Pose    // frame to tool centre point; when not ByAxes
	XYZ    kin.Vec     // Place as written, mm
	RPY    kin.Vec     // Place as written, rad
	Frame  Ref         // "base" when the file names none
	Config *kin.Config // nil: the solution nearest the pose before it
}

// Written returns the value of an axis (index from 0) as the file has it:
// degrees, or mm where the arm's axis is prismatic, which only the cell knows.
func (p *Pose) Written(axis int) float64 { return kin.Deg(p.Axes[axis]) }

// TaughtFrame is a task frame taught by three poses: its origin, a point along
// +X and a point in the XY plane on the +Y side.
type TaughtFrame struct {
	Name                   string
	Pos                    diag.Pos
	Origin, AlongX, InPlan Ref
}

// TaughtTool is a tool centre point taught by touching one fixed point with
// four or more orientations.
type TaughtTool struct {
	Name    string
	Pos     diag.Pos
	Touches []Ref
}

// Kind says what a step does.
type Kind uint8

// The kinds of step.
const (
	Move Kind = iota
	Set
	Wait
	Pause
	Repeat
	Call
	SelectTool // {tool: name}: the tool that later steps move
	SetPayload // {payload: ...}: what hangs on the flange from here on
)

// Path says how a move gets to its pose.
type Path uint8

// The paths of a move.
const (
	Joint Path = iota // all axes start and stop together
	Line              // tool centre point straight, orientation by the shortest turn
	Arc               // circle through a third pose
)

// Speed is a programmed speed: a share of the rated axis speeds, or a tool
// speed. Exactly one is set.
type Speed struct {
	Share float64 // 0 < Share <= 1
	MMS   float64 // mm/s
}

// Signal is a signal with the state to set or to wait for.
type Signal struct {
	Name string
	On   bool
	Pos  diag.Pos
}

// Step is one step. Kind says which fields are used.
type Step struct {
	Kind Kind
	Pos  diag.Pos

	// Move
	To       Ref
	Through  Ref // arc only
	Path     Path
	Speed    Speed
	SpeedPos diag.Pos
	FlyBy    float64 // mm; 0: a stop-point
	EndPos   diag.Pos

	Signals []Signal // Set: in the order written. Wait: exactly one.
	AtMost  float64  // Wait: time limit in s; 0: none written
	Pause   float64  // Pause: s

	// Repeat
	Times int
	Shift Shift
	Steps []Step

	Call Ref // Call: a routine
	Tool Ref // SelectTool

	Load Payload // SetPayload
}

// Payload is what hangs on the flange, tool and part together, as the control is
// told.
type Payload struct {
	Mass float64 // kg
	At   kin.Vec // centre of gravity in the flange frame, mm
}

// Shift moves the poses that are written in Frame by By more in every round of
// a repeat: round n (from 0) by n times By.
type Shift struct {
	Frame Ref
	By    kin.Vec // mm, in the axes of Frame
}

// Routine is a named list of steps.
type Routine struct {
	Name  string
	Pos   diag.Pos
	Steps []Step
}
