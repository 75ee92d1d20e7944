package practice

import (
	"math"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/kin"
)

// tick is the length of the steps that time passes in, s.
const tick = 0.004

// phase is what the arm does.
type phase uint8

const (
	still    phase = iota
	running        // towards the end of its path
	braking        // slowing down along its path
	coasting       // drives off, every axis braking by itself
)

// Controller is the simulated controller of one arm in one cell. The zero value
// is not usable; see [New].
type Controller struct {
	cell   *cell.Cell
	tool   motion.Tool
	frames []cell.Frame // task frames that can be jogged in
	body   body
	scene  motion.Scene
	events events

	// Devices.
	mode    Mode
	grip    Grip
	gripFor float64 // s until the hand relaxes
	spent   bool    // squeezed, and not released since
	open    bool    // the gate
	latched bool    // the emergency stop is pressed in
	tripped bool    // a stop is in force until it is reset
	speed   float64 // chosen in manual mode, mm/s
	share   float64 // chosen in automatic mode

	// What is held.
	want     Action
	hold     float64 // s that it still counts as held
	finished bool    // and needs nothing more until it has been let go
	refused  error   // why it was not begun

	// The motion.
	phase phase
	doing Action
	path  path
	s     float64 // progress on the path
	pace  float64 // of s at full rate, per s
	rate  float64 // share of the full rate, 0 to 1
	stop  Category
	why   reason
	block *Block

	q       kin.Joints
	axes    kin.Joints // speeds, rad/s
	fastest float64    // speed of the fastest point, mm/s
	toolMMS float64

	player
	log   Log
	left  float64 // time told and not yet passed, s
	clock float64 // time passed since the start, s
}

// New returns a controller of the arm of a cell that stands at start with the
// cell's first tool: in manual mode at the lowest speed, the enabling device
// released, the gate open and nothing in force.
func New(c *cell.Cell, start *kin.Joints) *Controller {
	k := &Controller{cell: c, q: *start, speed: Speeds[0], share: Shares[0], open: true}
	k.tool = motion.Tool{TCP: kin.IdentityPose, Body: -1}
	if len(c.Tools) > 0 {
		k.tool = motion.Tool{Name: c.Tools[0].Name, TCP: c.Tools[0].TCP}
	}
	k.frames = c.Frames
	k.scene = motion.FirstScene(c)
	k.events = newEvents(c)
	k.rig()
	return k
}

// Speeds are the speed steps of manual mode: the speed, in mm/s, that no point
// of arm, tool and held part passes.
var Speeds = [...]float64{10, 25, 50, 100, 250}

// Shares are the speed steps of automatic mode: shares of the programmed speed.
var Shares = [...]float64{0.1, 0.25, 0.5, 1}

// SetSpeed chooses a speed step of manual mode: the greatest of [Speeds] that is
// at most mms.
func (c *Controller) SetSpeed(mms float64) {
	c.speed = Speeds[0]
	for _, v := range Speeds {
		if v <= mms {
			c.speed = v
		}
	}
}

// SetShare chooses a speed step of automatic mode: the greatest of [Shares] that
// is at most share.
func (c *Controller) SetShare(share float64) {
	c.share = Shares[0]
	for _, v := range Shares {
		if v <= share {
			c.share = v
		}
	}
}

// SetTool chooses the tool that is carried and whose centre point is moved. It
// is refused while the arm moves.
func (c *Controller) SetTool(t motion.Tool) error {
	if c.Moving() {
		return ErrMoving
	}
	c.tool = t
	c.rig()
	c.tracking = c.onTrack() == nil
	return nil
}

// rig makes the bodies anew, after the tool or the parts have changed.
func (c *Controller) rig() { c.body.set(c.cell, &c.tool, &c.scene, &c.q) }

// Moving reports whether the arm moves.
func (c *Controller) Moving() bool { return c.phase != still }

// Active reports whether anything changes as time passes: when not, a caller
// need not advance.
func (c *Controller) Active() bool {
	return c.phase != still || c.hold > 0 || c.grip == Middle || c.events.due() || c.fastest > 0
}

// Advance lets time pass, s. It does nothing for a time that is not positive.
func (c *Controller) Advance(dt float64) {
	if !(dt > 0) || math.IsInf(dt, 1) {
		return
	}
	c.left += dt
	// Rounding must not make the number of steps depend on how time is cut.
	for c.left > tick-1e-9 {
		c.left -= tick
		c.pass()
	}
}

// pass lets one tick pass.
func (c *Controller) pass() {
	c.clock += tick
	c.holds()
	if c.phase == still && c.hold > 0 && !c.finished && c.want.Kind != None {
		c.begin()
	}
	before := c.body.tcp.T
	switch c.phase {
	case still:
		c.rest()
	case coasting:
		c.coast()
	default:
		c.drive()
	}
	c.toolMMS = c.body.tcp.T.Sub(before).Norm() / tick
	c.live()
}

// rest is standing still.
func (c *Controller) rest() { c.axes, c.fastest = kin.Joints{}, 0 }

// holds counts down what the hands hold.
func (c *Controller) holds() {
	if c.grip == Middle {
		if c.gripFor -= tick; c.gripFor <= 0 {
			c.Grip(Released)
		}
	}
	if c.hold <= 0 {
		return
	}
	if c.hold -= tick; c.hold <= 1e-9 {
		c.hold = 0
		c.letGo()
	}
}

// live plays the cell: what it does in answer to signals and to where the arm
// is. While the arm is where a program has it, the program's trajectory says so.
func (c *Controller) live() {
	if c.tracking {
		return
	}
	if c.events.pass(c.cell, &c.scene, &c.body.frames[6], c.body.tcp.T) {
		c.rig()
	}
}

// SetSignal sets an output by hand.
func (c *Controller) SetSignal(signal int, on bool) error {
	switch {
	case c.mode != Manual:
		return ErrAutomatic
	case c.Moving():
		return ErrMoving
	}
	c.tracking = false
	c.scene.Signals[signal] = on
	if c.events.settle(c.cell, &c.scene, &c.body.frames[6], c.body.tcp.T) {
		c.rig()
	}
	return nil
}

// SetUp puts signals and parts back to where the cell starts, and the program
// to its first step, with its tool. It is refused while the arm moves.
func (c *Controller) SetUp() error {
	if c.Moving() {
		return ErrMoving
	}
	c.scene = motion.FirstScene(c.cell)
	c.events = newEvents(c.cell)
	c.rewind()
	return nil
}
