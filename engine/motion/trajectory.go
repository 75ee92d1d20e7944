// Package motion turns a program in a cell into a trajectory: what the arm does
// at every moment, or where and why it can't.
package motion

import (
	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/program"
	"posework/kin"
)

// Trajectory is a whole motion, understood: pieces that follow each other
// without gaps in time or place. It is immutable.
type Trajectory struct {
	Cell     *cell.Cell
	Program  *program.Program
	Start    kin.Joints // where the arm stands at time 0
	Steps    []Step     // every executed step in order: repeats and calls unrolled
	Pieces   []Piece
	Scenes   []Scene
	Tools    []Tool // the cell's tools, then the taught ones
	Frames   []TaughtFrame
	Taught   []TaughtTool
	Halt     *Halt   // where planning had to stop; nil when all of the program was planned
	Duration float64 // s
}

// Tool is a tool with the centre point that the program uses. Body is the index
// of the cell tool whose solids and mass it has; -1: the bare flange of a cell
// without tools.
type Tool struct {
	Name string
	TCP  kin.Pose // flange to tool centre point
	Body int
}

// TaughtFrame is a frame that the program teaches by three poses.
type TaughtFrame struct {
	Name           string
	Pos            diag.Pos
	Pose           kin.Pose // world to frame
	LegX, LegPlane float64  // mm from the origin to the two other poses
	Between        float64  // rad between the legs
}

// TaughtTool is a tool centre point that the program teaches by touches.
type TaughtTool struct {
	Name      string
	Pos       diag.Pos
	Touches   []kin.Pose // world to flange
	TCP       kin.Vec    // flange to tool centre point, mm
	Mean, Max float64    // residuals: how far the touches miss one point, mm
}

// Step is one executed step.
type Step struct {
	Source     *program.Step
	Label      string  // as a person counts: "4", "7.2 (round 3)", "retreat 1"
	Start, End float64 // s
	First      int     // its pieces are Pieces[First:Last]
	Last       int
	Tool       int        // index into Trajectory.Tools
	Scene      int        // index into Trajectory.Scenes: what the step leaves behind
	Target     kin.Pose   // world to tool centre point at the programmed pose; moves only
	TargetQ    kin.Joints // axes at the programmed pose; moves only
}

// Kind is the kind of a piece.
type Kind uint8

// The kinds of piece.
const (
	Rest Kind = iota // standing still: a pause, a wait, a stop
	JointMove
	LineMove
	ArcMove
	Corner // the rounding of a fly-by pose; belongs to the step that names the pose
)

// Piece is a stretch of motion along one path under one time law, with one tool
// and one scene. Its law runs over the whole of its path, from 0 to Length. A
// move is cut into pieces where a corner takes over and where the scene changes
// on the way; a move of no length has no piece. A motion that goes nowhere has
// one all the same, a rest of no length after its last move.
type Piece struct {
	Step       int // index into Trajectory.Steps
	Kind       Kind
	Start, End float64 // s
	Tool       int     // index into Trajectory.Tools
	Scene      int     // index into Trajectory.Scenes
	Path       Path    // for Rest a path that stays where it is
	Law        Law     // times relative to Start
	Programmed float64 // programmed tool speed, mm/s; 0 for a share of axis speeds
}

// Scene is what the cell's signals and loose parts are while a piece runs.
type Scene struct {
	Signals []bool // by index into Cell.Signals
	Parts   []PartState
	Held    int // index of the held part; -1: none
}

// PartState is the place of a part: in the world, or in the tool's frame while
// it is held.
type PartState struct {
	Pose kin.Pose // world to part; for the held part flange to part
}

// Path is the geometry of a piece: axes as a function of a parameter s in
// [0, Length]. For lines and arcs s is the length of the tool centre point's
// path in mm (or, where the tool only turns, its angle in rad).
type Path interface {
	Length() float64
	// At evaluates the path at s. It allocates nothing.
	At(s float64, e *Eval)
	// Bound bounds the path's derivatives over [s0, s1]. It reports false where
	// it can't, for example too near a singularity for an interval so wide; a
	// narrower interval may do.
	Bound(s0, s1 float64, b *Bound) bool
}

// Eval is a path evaluated at one s.
type Eval struct {
	Q, DQ, DDQ kin.Joints // axes, their first and second derivatives by s
	Frames     kin.Frames // links at Q, world
	TCP        kin.Pose   // world to tool centre point
	V, W       kin.Vec    // tool centre point: d position/ds, rotation vector per s; world axes
	DV         kin.Vec    // tool centre point: d2 position/ds2
}

// Bound holds magnitudes that a path's derivatives do not exceed over an
// interval.
type Bound struct {
	DQ, DDQ, DDDQ kin.Joints // |dq/ds|, |d2q/ds2|, |d3q/ds3| by axis
	V, A, J       float64    // tool centre point: |dp/ds|, |d2p/ds2|, |d3p/ds3|
	W, W1, W2     float64    // tool: |rotation vector per s|, its first and second derivative
}

// Law is a time law: s as a piecewise polynomial of time, at most cubic.
type Law struct {
	Phases []Phase
	Length float64 // duration, s
}

// Phase is one polynomial: from time T on,
// s = S + V*dt + A*dt^2/2 + J*dt^3/6 with dt = t - T.
type Phase struct{ T, S, V, A, J float64 }

// Why says why planning stopped.
type Why uint8

// The reasons to stop.
const (
	AxisLimit    Why = iota // the only solutions lie outside an axis limit
	PathBroken              // the line or arc leaves what the arm can reach
	PathLimit               // the line or arc runs an axis into its limit
	PathSingular            // the line or arc meets a singularity where axes would have to jump
	ConfigTurns             // the two ends need different configurations
	WaitForever             // a wait without limit whose signal never comes
	WaitTimedOut            // a wait whose signal did not come in time: the program stops there
)

// Halt says where planning had to stop.
type Halt struct {
	Why   Why
	Step  int      // index into Trajectory.Steps
	Axis  int      // from 1; 0: none
	By    float64  // how far past the limit: rad (mm for reach)
	At    kin.Pose // world to tool centre point
	Place string   // a few words: "120 mm before pose grip"
}
