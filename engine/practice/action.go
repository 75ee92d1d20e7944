package practice

import "posework/kin"

// Kind is the kind of an action.
type Kind uint8

// The kinds of action.
const (
	None        Kind = iota
	JogAxis          // one axis
	JogAlong         // the tool centre point straight along an axis of a frame
	JogAbout         // the tool about an axis of a frame through its centre point
	GoTo             // all axes together to a target
	GoStraight       // the tool centre point straight to a target
	StepForward      // the next step of the program, to its end
	StepBack         // back to the beginning of this step, or of the one before
	RunOn            // the program from here to its end
	Return           // all axes together to where the program was left
)

// Action is a motion that a person asks for by holding a control. Two that are
// equal are one motion that goes on.
type Action struct {
	Kind     Kind
	Axis     int        // from 0: the arm's axis, or x, y, z
	Negative bool       // the other way
	Frame    string     // JogAlong, JogAbout: InBase, InTool or the name of a task frame
	By       float64    // jogs: mm or rad of an increment; 0: as long as it is held
	Target   kin.Joints // GoTo, GoStraight
	Name     string     // GoTo, GoStraight: of the pose, for messages
}

// Names of frames that every cell has.
const (
	InBase = "base"
	InTool = "tool"
)

// Hold says that the control for an action is held now. It counts as held for
// [HoldFor]; a caller renews it as long as the person holds on. An increment
// ends by itself, and the next one begins when the control has been let go in
// between. The arm moves only while the enabling device is held, too.
func (c *Controller) Hold(a Action) error {
	if err := c.mayHold(&a); err != nil {
		c.letGo()
		return err
	}
	if c.hold <= 0 || a != c.want {
		c.finished, c.refused = false, nil // pressed anew
	}
	c.want, c.hold, c.gripFor = a, HoldFor, GripFor
	if c.phase == braking && c.why == byHold && a == c.doing {
		c.phase = running
	}
	return nil
}

// mayHold says why an action can't begin.
func (c *Controller) mayHold(a *Action) error {
	switch {
	case c.mode != Manual:
		return ErrAutomatic
	case c.tripped:
		return ErrTripped
	case c.spent:
		return ErrSqueezed
	case c.grip != Middle:
		return ErrEnable
	}
	if c.Moving() {
		return nil // a program's step is looked at when the arm stands still
	}
	switch a.Kind {
	case StepForward, RunOn:
		if c.step >= c.steps() {
			if c.steps() == 0 {
				return ErrNoProgram
			}
			return ErrAtEnd
		}
		return c.onTrack()
	case StepBack:
		if c.steps() == 0 {
			return ErrNoProgram
		}
		if c.step == 0 && c.when <= 0 {
			return ErrAtStart
		}
		return c.onTrack()
	case Return:
		if c.plan == nil {
			return ErrNoProgram
		}
	}
	return nil
}

// Release says that the control is let go.
func (c *Controller) Release() { c.letGo() }

func (c *Controller) letGo() {
	c.want, c.hold, c.finished = Action{}, 0, false
	if c.phase == running && c.mode == Manual {
		c.halt(Category2, byHold)
	}
}
