package grader

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/cell"
	"posework/engine/source"
	"posework/kin"
)

// Check is one check with its thresholds.
type Check interface {
	// Title says in words what must hold: "clearance at least 50 mm".
	Title() string
	// Run examines the motion.
	Run(x *Exam) Outcome
}

// Outcome is what a check found. A check holds when it was proved and no
// finding is worse than advice.
type Outcome struct {
	Findings []Finding
	Measured Value  // the extreme that decided, also when the check holds
	Subject  string // what it was measured at, where that is not plain
	Unproved bool   // the examination could not finish
}

// Kind is a kind of check: one row of the table.
type Kind struct {
	Name   string
	Safety bool   // a miss fails the attempt unless the task says otherwise
	Holds  string // when it holds, in words
	decode func(d *decoder) Check
}

// Kinds returns the table of checks, in the order in which a mark lists them.
func Kinds() []Kind { return slices.Clone(kinds[:]) }

var kinds = [...]Kind{
	{"reach", true, "every target has a solution inside the axis limits, every path stays solvable on one configuration, and no wait is in vain", decodeReach},
	{"starts-home", true, "the first motion starts at the home pose, by a stop-point", decodeStartsHome},
	{"ends-home", true, "the last motion ends at the home pose, by a stop-point", decodeEndsHome},
	{"home-quality", true, "the home pose is clear of everything, away from limits and singularities, seen from the gate, and left by joint moves", decodeHomeQuality},
	{"axis-room", false, "every axis keeps away from its limits, the whole way", decodeAxisRoom},
	{"axis-speed", false, "no axis is asked for more than its speed or acceleration", decodeAxisSpeed},
	{"singularity-room", false, "wrist, elbow and shoulder keep away from alignment on every line and arc", decodeSingularityRoom},
	{"top-speed", true, "the tool (in manual mode every point) stays under the limit", decodeTopSpeed},
	{"speed-near", true, "the tool is slow wherever it is near a solid or a loose part", decodeSpeedNear},
	{"clearance", true, "arm, tool and held part keep their distance from everything", decodeClearance},
	{"keeps-out", true, "no keep-out zone is entered and speed zones are kept", decodeKeepsOut},
	{"visits", false, "poses are reached in order, within tolerance, by stop or fly-by as asked", decodeVisits},
	{"approach", true, "the last stretch to a pose is a slow straight line along the tool axis", decodeApproach},
	{"retract", true, "the first stretch from a pose is a slow straight line along the tool axis", decodeRetract},
	{"traces", false, "the tool follows a figure closely, all of it, at a steady speed", decodeTraces},
	{"handles", true, "parts are taken, held and released at rest, and confirmed before moving", decodeHandles},
	{"handshake", true, "a machine is asked and has answered before the arm goes in, and is told afterwards", decodeHandshake},
	{"payload", false, "the control is told what hangs on the flange, and told again when a part is taken or laid", decodePayload},
	{"measured-frame", false, "a taught frame agrees with the true one", decodeMeasuredFrame},
	{"measured-tool", false, "a taught tool centre point agrees with the true one", decodeMeasuredTool},
	{"cycle-time", false, "the program finishes in time", decodeCycleTime},
	{"proved-out", true, "every step was run singly at reduced speed before the first automatic run", decodeProvedOut},
	{"stops-tried", true, "the enabling device was let go and squeezed while the arm moved, and the arm brought on each time (from the practice log)", decodeStopsTried},
}

// decoder reads the thresholds of one check.
type decoder struct {
	cell *cell.Cell
	task *Task
	n    *source.Node // the check
	m    *source.Map
}

// mm reads an optional length, at least 0.
func (d *decoder) mm(key string, otherwise float64) float64 {
	return d.positive(d.m.Get(key), (*source.Node).MM, otherwise)
}

// needMM reads a length that must be given.
func (d *decoder) needMM(key string) float64 {
	return d.positive(d.m.Need(key), (*source.Node).MM, 0)
}

func (d *decoder) mms(key string, otherwise float64) float64 {
	return d.positive(d.m.Get(key), (*source.Node).MMS, otherwise)
}

// deg reads an optional angle, in radians.
func (d *decoder) deg(key string, otherwise float64) float64 {
	return d.positive(d.m.Get(key), (*source.Node).Deg, otherwise)
}

func (d *decoder) positive(n *source.Node, read func(*source.Node) float64, otherwise float64) float64 {
	if n == nil {
		return otherwise
	}
	v := read(n)
	if v < 0 {
		n.Errorf("T005", "write 0 or more", "the threshold is negative")
	}
	return v
}

// names reads one name or a list of names.
func names(n *source.Node) []*source.Node {
	if n == nil {
		return nil
	}
	if n.Kind() == source.Sequence {
		return n.List()
	}
	return []*source.Node{n}
}

// oneOf resolves a name among the cell's things of one kind.
func oneOf[T any](n *source.Node, what string, all []T, name func(T) string) int {
	words := make([]string, len(all))
	for i, v := range all {
		words[i] = name(v)
	}
	if len(words) == 0 {
		n.Errorf("T006", "", "the cell has no %s", what)
		return -1
	}
	return n.OneOf(words...)
}

// place reads {xyz, rpy, frame} as a pose in the world frame.
func (d *decoder) place(n *source.Node) kin.Pose {
	m := n.Map()
	xyz := m.Need("xyz").Vec()
	var rpy kin.Vec
	if r := m.Get("rpy"); r != nil {
		rpy = r.Degs()
	}
	local := kin.Pose{R: kin.FromRPY(rpy.X, rpy.Y, rpy.Z), T: xyz}
	world := d.frame(m.Get("frame"))
	m.Close()
	return world.Mul(&local)
}

// frame resolves the name of a frame to its pose in the world; the base when no
// name is given.
func (d *decoder) frame(n *source.Node) kin.Pose {
	if n == nil || n.Str() == "base" {
		return d.cell.Mount
	}
	if n.Str() == "world" {
		return kin.IdentityPose
	}
	i := oneOf(n, "frames", d.cell.Frames, func(f cell.Frame) string { return f.Name })
	if i < 0 {
		return kin.IdentityPose
	}
	return d.cell.Frames[i].Pose
}

// deg, mm and mms write a quantity to a thousandth, so that rounding does not
// show.
func deg(rad float64) string { return number(kin.Deg(rad)) + " deg" }
func mm(v float64) string    { return number(v) + " mm" }
func mms(v float64) string   { return number(v) + " mm/s" }

func number(v float64) string { return fmt.Sprintf("%.4g", math.Round(v*1000)/1000+0) }

type sourceNode = source.Node
