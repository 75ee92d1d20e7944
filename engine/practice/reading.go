package practice

import (
	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
)

// Reading is all that a person can read off the bench at one moment. What it
// points to belongs to the controller and is good until the next call of one of
// its methods.
type Reading struct {
	// Devices.
	Mode     Mode
	Grip     Grip
	Spent    bool // squeezed past the middle, and not fully released since
	Enabled  bool // the device enables
	GateOpen bool
	Latched  bool    // the emergency stop is pressed in
	Tripped  bool    // a stop is in force until it is reset
	Drives   bool    // the drives have power
	SpeedMMS float64 // chosen in manual mode
	Share    float64 // chosen in automatic mode

	// The motion.
	Moving   bool
	Stopping bool
	Doing    Action  // what moves, or moved last
	Done     float64 // of an increment: how much of Doing.By has been done
	Ended    string  // what ended the last motion, "" when it was complete or there was none
	Block    *Block  // what the last motion ran into
	Refused  error   // why a motion that was held while another still ran was not begun

	// Where everything is.
	Q          kin.Joints // rad (mm)
	Room       [6]float64 // of each axis to its nearer limit
	Upper      [6]bool    // whether that is the upper one
	Links      *kin.Frames
	TCP        kin.Pose // world to tool centre point
	Tool       *motion.Tool
	Alignments kin.Room
	ToolMMS    float64 // speed of the tool centre point
	FastestMMS float64 // speed of the fastest point of arm, tool and held part
	Gap        Gap     // to what stands around the arm
	Own        Gap     // between links of the arm, tool and held part
	Scene      *motion.Scene

	// The program.
	Plan    *motion.Trajectory
	Step    int     // index of the next step, or of the one that the arm stands within
	Within  bool    // the arm stands within Step
	When    float64 // on the trajectory, s
	OnTrack error   // why the arm and the cell are not as the program has them here
	Proved  []bool  // by step: run singly to its end
	Clock   float64 // s of practice
}

// Gap is the least distance between two bodies that may not touch. A tool and a
// part, and a held part and what it is set on, may.
type Gap struct {
	Known  bool
	MM     float64
	A, B   string
	PA, PB kin.Vec // closest points, world
}

// Read returns what can be read off now.
func (c *Controller) Read() Reading {
	r := Reading{
		Mode: c.mode, Grip: c.grip, Spent: c.spent, Enabled: c.enabled(), GateOpen: c.open,
		Latched: c.latched, Tripped: c.tripped, SpeedMMS: c.speed, Share: c.share,
		Moving: c.Moving(), Stopping: c.phase == braking || c.phase == coasting,
		Doing: c.doing, Block: c.block, Refused: c.refused,
		Q: c.q, Links: &c.body.frames, TCP: c.body.tcp, Tool: &c.tool,
		Alignments: c.cell.Arm.Inverse().Room(&c.q, &c.body.frames),
		ToolMMS:    c.toolMMS, FastestMMS: c.fastest, Scene: &c.scene,
		Plan: c.plan, Step: c.step, When: c.when, OnTrack: c.onTrack(), Proved: c.done, Clock: c.clock,
	}
	r.Drives = !c.tripped && (c.mode == Manual && r.Enabled || c.mode == Automatic && !c.open)
	if c.plan != nil {
		r.Within = c.within()
	}
	if c.doing.By > 0 && c.path != nil {
		r.Done = c.s
	}
	if !c.Moving() {
		r.Ended = c.why.String()
	}
	for i, l := range c.cell.Arm.Limits {
		below, above := c.q[i]-l.Min, l.Max-c.q[i]
		r.Room[i], r.Upper[i] = min(below, above), above < below
	}
	r.Gap, r.Own = c.gapNow(outside), c.gapNow(own)
	return r
}

// String says what ended a motion, "" when it was complete.
func (r reason) String() string {
	return [...]string{
		byArrival: "", byBlock: "it could go no further", byHold: "the control was let go",
		byKey: "stopped", byGrip: "the enabling device was released", bySqueeze: "the enabling device was squeezed past its middle",
		byEmergency: "emergency stop", byGate: "the gate was opened", byMode: "automatic mode was left",
	}[r]
}

func (c *Controller) gapNow(kind pairKind) Gap {
	b := &c.body
	if b.travel > 0 {
		b.measure()
	}
	i := b.gapAt[kind]
	if i < 0 {
		return Gap{}
	}
	x, y := &b.solids[b.pairs[i].a], &b.solids[b.pairs[i].b]
	var at shape.Contact
	shape.Between(&x.placed, &y.placed, &at)
	return Gap{Known: true, MM: at.Distance, A: x.name, B: y.name, PA: at.A, PB: at.B}
}

// Gaps returns the least distances of an arm that stands at q with a tool in a
// scene: to what stands around it, and between its own links, tool and part.
func Gaps(c *cell.Cell, tool *motion.Tool, scene *motion.Scene, q *kin.Joints) (around, itself Gap) {
	k := Controller{cell: c, tool: *tool, scene: *scene, q: *q}
	k.rig()
	return k.gapNow(outside), k.gapNow(own)
}
