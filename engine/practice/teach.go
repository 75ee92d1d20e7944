package practice

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/program"
	"posework/kin"
)

// Frames returns the names of the frames that one can jog and read in: base,
// tool, then the task frames of the cell and those that the program teaches.
func (c *Controller) Frames() []string {
	names := []string{InBase, InTool}
	for i := range c.frames {
		names = append(names, c.frames[i].Name)
	}
	return names
}

// In returns the pose of the tool centre point in a frame; in its own frame, and
// in one that does not exist, in the base.
func (c *Controller) In(frame string) kin.Pose {
	if frame == InTool {
		frame = InBase
	}
	at := c.frame(frame)
	inv := at.Inv()
	return inv.Mul(&c.body.tcp)
}

// What a recorded pose is rounded to, so that a file says what a person can
// read: 0.01 mm and 0.001 deg.
const (
	recordMM  = 0.01
	recordDeg = 0.001
)

// RecordAxes returns the pose that the arm stands in, by its axes.
func (c *Controller) RecordAxes(name string) program.Pose {
	p := program.Pose{Name: name, ByAxes: true}
	for i := range p.Axes {
		written := rounded(kin.Deg(c.q[i]), recordDeg)
		if c.cell.Arm.Chain.Prismatic(i) {
			written = rounded(c.q[i], recordMM)
		}
		p.Axes[i] = kin.Rad(written) // as program.Pose keeps it, see its Written
	}
	return p
}

// RecordPlace returns the pose that the tool centre point stands in, in a frame,
// with the configuration of the arm where it has one.
func (c *Controller) RecordPlace(name, frame string) (program.Pose, error) {
	if frame == InTool {
		return program.Pose{}, fmt.Errorf("a pose can't be recorded in the tool's own frame; take base or a task frame")
	}
	if !slices.Contains(c.Frames(), frame) {
		return program.Pose{}, fmt.Errorf("there is no frame %q", frame)
	}
	at := c.In(frame)
	p := program.Pose{Name: name, Frame: program.Ref{Name: frame}}
	p.XYZ = kin.Vec{X: rounded(at.T.X, recordMM), Y: rounded(at.T.Y, recordMM), Z: rounded(at.T.Z, recordMM)}
	roll, pitch, yaw := at.R.RPY()
	turn := func(x float64) float64 { return kin.Rad(rounded(kin.Deg(x), recordDeg)) }
	p.RPY = kin.Vec{X: turn(roll), Y: turn(pitch), Z: turn(yaw)}
	p.Place = kin.Pose{R: kin.FromRPY(p.RPY.X, p.RPY.Y, p.RPY.Z), T: p.XYZ}
	if config, ok := c.cell.Arm.Inverse().ConfigOf(&c.q); ok {
		p.Config = &config
	}
	return p, nil
}

// rounded rounds to a multiple of unit, without a negative zero.
func rounded(x, unit float64) float64 { return math.Round(x/unit)*unit + 0 }
