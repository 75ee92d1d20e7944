package practice

import "errors"

// Mode is the operating mode.
type Mode uint8

// The modes.
const (
	Manual    Mode = iota // reduced speed, for jogging, teaching and proving
	Automatic             // the program runs by itself
)

// String returns the mode as people say it.
func (m Mode) String() string {
	if m == Automatic {
		return "automatic"
	}
	return "manual"
}

// Grip is the position of the three-position enabling device.
type Grip uint8

// The positions.
const (
	Released Grip = iota
	Middle        // the only one that enables
	Squeezed      // past the middle
)

// String returns the position in a word.
func (g Grip) String() string {
	return [...]string{"released", "middle", "squeezed"}[g]
}

// Category is a stop category of IEC 60204-1.
type Category uint8

// The categories.
const (
	Category0 Category = iota // drives off at once, the axes brake by themselves
	Category1                 // slowed down on the path, then drives off
	Category2                 // slowed down on the path, drives stay on
)

// Limits and times.
const (
	MaxManual = 250.0 // mm/s in manual mode (ISO 10218-1)
	HoldFor   = 0.18  // s that a hold-to-run control counts as held after it was last told so
	GripFor   = 1.2   // s that the enabling device stays held after the last word of a hand on the controls
	Ramp      = 0.1   // s from standstill to the chosen speed and back
)

// Why something can't be done. The texts are for learners.
var (
	ErrAutomatic  = errors.New("this is for manual mode; stop, and select manual first")
	ErrManual     = errors.New("this is for automatic mode")
	ErrEnable     = errors.New("hold the enabling device in its middle position first")
	ErrSqueezed   = errors.New("the enabling device was squeezed past its middle; release it fully, then hold it in the middle")
	ErrTripped    = errors.New("a stop is in force; find its cause, then reset")
	ErrLatched    = errors.New("the emergency stop is still pressed; unlatch it first")
	ErrGate       = errors.New("the gate is open; leave the cell and close it")
	ErrMoving     = errors.New("the arm is moving; stop it first")
	ErrNoProgram  = errors.New("there is no program that can be run")
	ErrUnproved   = errors.New("not every step has been run singly in manual mode yet")
	ErrOffPath    = errors.New("the arm does not stand where the next step begins; bring it back first")
	ErrOtherScene = errors.New("tool, signals or parts are not as the next step expects; set the cell up again and begin at the first step")
	ErrAtEnd      = errors.New("the program is at its end; begin at the first step")
	ErrAtStart    = errors.New("this is the first step")
)

// Grip moves the enabling device. Only the middle enables; after it was squeezed
// past the middle it must be released before it enables again. The middle is
// kept for [GripFor], and longer while motion is held.
func (c *Controller) Grip(g Grip) {
	c.grip = g
	switch g {
	case Released:
		c.spent = false
		if c.mode == Manual {
			c.halt(Category1, byGrip)
		}
	case Squeezed:
		c.spent = true
		if c.mode == Manual {
			c.halt(Category0, bySqueeze)
		}
	case Middle:
		c.gripFor = GripFor
	}
}

// enabled reports whether the enabling device enables.
func (c *Controller) enabled() bool { return c.grip == Middle && !c.spent }

// EmergencyStop presses the emergency stop: it stays pressed until it is
// unlatched, and in force until it is reset besides.
func (c *Controller) EmergencyStop() {
	c.latched, c.tripped = true, true
	c.halt(Category0, byEmergency)
}

// Unlatch lets the emergency stop out. It only permits a reset.
func (c *Controller) Unlatch() { c.latched = false }

// Reset takes back a stop whose cause is gone. It never starts a motion.
func (c *Controller) Reset() error {
	switch {
	case c.latched:
		return ErrLatched
	case c.mode == Automatic && c.open:
		return ErrGate
	}
	c.tripped = false
	return nil
}

// SetGate opens or closes the gate in the fence. In automatic mode opening it
// stops the arm until the gate is closed and the stop reset; in manual mode it
// stands open for the person inside.
func (c *Controller) SetGate(open bool) {
	c.open = open
	if open && c.mode == Automatic {
		c.tripped = true
		c.halt(Category1, byGate)
	}
}

// SetMode selects a mode. Leaving automatic stops the arm; automatic is refused
// until all that it needs is there. Selecting a mode starts nothing.
func (c *Controller) SetMode(m Mode) error {
	if m == c.mode {
		return nil
	}
	if m == Manual {
		c.halt(Category1, byMode)
		c.mode = Manual
		c.endRun()
		return nil
	}
	switch {
	case c.Moving():
		return ErrMoving
	case c.tripped:
		return ErrTripped
	case c.open:
		return ErrGate
	}
	if err := c.proved(); err != nil {
		return err
	}
	c.mode = Automatic
	c.endRun()
	return nil
}

// Stop is the stop key: the motion is slowed down on its path. It works in
// every state.
func (c *Controller) Stop() { c.halt(Category2, byKey) }

// reason says what ended a motion.
type reason uint8

const (
	byArrival reason = iota // it was complete
	byBlock
	byHold
	byKey
	byGrip
	bySqueeze
	byEmergency
	byGate
	byMode
)

// halt ends the motion, if there is one. A stop that is under way is only ever
// made harder.
func (c *Controller) halt(cat Category, why reason) {
	if c.phase == still {
		c.want, c.hold = Action{}, 0
		return
	}
	c.note(why)
	c.want, c.hold = Action{}, 0
	if c.phase == running || cat < c.stop {
		c.stop, c.why = cat, why
	}
	if cat == Category0 {
		c.phase = coasting
	} else if c.phase == running {
		c.phase = braking
	}
}
