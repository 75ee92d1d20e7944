package grader

import (
	"fmt"
	"math"

	"posework/engine/program"
	"posework/kin"
)

// homeSpec says what the home pose is: a pose of the learner's program by name,
// or axes or a place that the task gives.
type homeSpec struct {
	pose   string
	axes   *kin.Joints
	at     *kin.Pose // world to tool centre point
	within float64   // mm
	angle  float64   // rad
}

// homeAxis is how far an axis may be from its home position: enough for a pose
// taught again, too little for another configuration or a full turn, which put
// the tool in the same place and the arm somewhere else.
var homeAxis = kin.Rad(2)

func (d *decoder) home() homeSpec {
	h := homeSpec{within: d.mm("within", 0.5), angle: d.deg("angle", kin.Rad(0.1))}
	pose, at, q := d.m.Get("pose"), d.m.Get("at"), d.m.Get("axes")
	switch {
	case pose != nil:
		h.pose = pose.Name()
	case q != nil:
		h.axes = new(axes(q))
	case at != nil:
		h.at = new(d.place(at))
	default:
		d.n.Errorf("T007", "write pose: home, or give axes or at", "the check does not say which pose is home")
	}
	return h
}

// target returns the executed step that goes to the named pose first, or -1.
func (x *Exam) target(pose string) int {
	for _, i := range x.moves() {
		if x.Motion.Steps[i].Source.To.Name == pose {
			return i
		}
	}
	return -1
}

// resolve returns the axes of the home pose, nil where the task gives a place or
// the program never goes there.
func (h *homeSpec) resolve(x *Exam) *kin.Joints {
	if h.axes != nil || h.at != nil {
		return h.axes
	}
	if i := x.target(h.pose); i >= 0 {
		return &x.Motion.Steps[i].TargetQ
	}
	for i := range x.Program.Poses {
		if p := &x.Program.Poses[i]; p.Name == h.pose && p.ByAxes {
			return &p.Axes
		}
	}
	return nil
}

// stands reports whether the arm at axes q with its tool at tcp is at home, and
// by how much it is not.
func (h *homeSpec) stands(x *Exam, q *kin.Joints, tcp *kin.Pose, tool int) (ok bool, distance, angle float64) {
	at := h.at
	if at == nil {
		home := h.resolve(x)
		if home == nil {
			return false, math.Inf(1), math.Inf(1)
		}
		for i := range q {
			if math.Abs(q[i]-home[i]) > homeAxis {
				return false, math.Inf(1), math.Inf(1)
			}
		}
		// The place of the tool that is on the arm now: home may have been gone to
		// with another one before.
		at = new(x.toolAt(home, tool))
	}
	distance, angle = apart(tcp, at)
	return distance <= h.within+lengthSlack && angle <= h.angle+angleSlack, distance, angle
}

// toolAt returns the place of a tool centre point for given axes.
func (x *Exam) toolAt(q *kin.Joints, tool int) kin.Pose {
	var f kin.Frames
	x.Cell.Arm.Chain.Forward(q, &f)
	return f[6].Mul(&x.Motion.Tools[tool].TCP)
}

// off returns by how much home is missed, and the limit; nothing when the arm as
// a whole stands somewhere else.
func (h *homeSpec) off(distance, angle float64) (measured, limit Value) {
	switch {
	case math.IsInf(distance, 1):
		return Value{}, Value{}
	case distance > h.within+lengthSlack:
		return exact(distance, "mm"), exact(h.within, "mm")
	}
	return degrees(angle, angle), degrees(h.angle, h.angle)
}

func (h *homeSpec) words() string {
	if h.pose != "" {
		return "pose " + h.pose
	}
	return "the home pose of the task"
}

// startsHome: the first motion starts at home. It does when the first move goes
// to home by a joint move with a stop-point, or when the arm already stands
// there before the first move.
type startsHome struct{ homeSpec }

func decodeStartsHome(d *decoder) Check { return startsHome{d.home()} }

func (c startsHome) Title() string { return "starts at " + c.words() }

func (c startsHome) Run(x *Exam) Outcome {
	moves := x.moves()
	if len(moves) == 0 {
		f := x.finding("starts-home", "NOT_HOME_AT_START", -1)
		f.Text = "the program has no motion"
		return Outcome{Findings: []Finding{f}}
	}
	first := &x.Motion.Steps[moves[0]]
	tcp := x.toolAt(&x.Motion.Start, first.Tool)
	if ok, _, _ := c.stands(x, &x.Motion.Start, &tcp, first.Tool); ok && x.Task.Start != nil {
		return Outcome{}
	}
	ok, distance, angle := c.stands(x, &first.TargetQ, &first.Target, first.Tool)
	switch {
	case !ok:
		f := x.finding("starts-home", "NOT_HOME_AT_START", moves[0])
		f.Text = fmt.Sprintf("the first move goes to %s, not to %s", first.Source.To.Name, c.words())
		f.Measured, f.Limit = c.off(distance, angle)
		return Outcome{Findings: []Finding{f}, Measured: f.Measured}
	case first.Source.FlyBy > 0:
		return Outcome{Findings: []Finding{c.blended(x, "starts-home", moves[0])}}
	case first.Source.Path != program.Joint:
		f := x.finding("starts-home", "NOT_HOME_AT_START", moves[0])
		f.Text = "the first move goes home on a straight path; from an unknown place only a joint move gets there safely planned"
		f.Try = "write path: joint for the first move"
		return Outcome{Findings: []Finding{f}}
	}
	return Outcome{Measured: exact(distance, "mm")}
}

func (h *homeSpec) blended(x *Exam, check string, step int) Finding {
	f := x.finding(check, "HOME_BLENDED", step)
	s := x.Motion.Steps[step].Source
	f.Pos = s.EndPos
	f.Measured, f.Limit = exact(s.FlyBy, "mm"), exact(0, "mm")
	f.Text = fmt.Sprintf("home is passed with a fly-by of %s instead of a stop-point", mm(s.FlyBy))
	return f
}

// endsHome: the last motion ends at home, by a stop-point.
type endsHome struct{ homeSpec }

func decodeEndsHome(d *decoder) Check { return endsHome{d.home()} }

func (c endsHome) Title() string { return "ends at " + c.words() }

func (c endsHome) Run(x *Exam) Outcome {
	moves := x.moves()
	if len(moves) == 0 || x.Motion.Halt != nil {
		f := x.finding("ends-home", "NOT_HOME_AT_END", -1)
		f.Text = "the motion never comes to its end"
		return Outcome{Findings: []Finding{f}}
	}
	i := moves[len(moves)-1]
	last := &x.Motion.Steps[i]
	ok, distance, angle := c.stands(x, &last.TargetQ, &last.Target, last.Tool)
	if !ok {
		f := x.finding("ends-home", "NOT_HOME_AT_END", i)
		f.Text = fmt.Sprintf("the last move goes to %s, not to %s", last.Source.To.Name, c.words())
		f.Measured, f.Limit = c.off(distance, angle)
		return Outcome{Findings: []Finding{f}, Measured: f.Measured}
	}
	if last.Source.FlyBy > 0 {
		return Outcome{Findings: []Finding{c.blended(x, "ends-home", i)}}
	}
	return Outcome{Measured: exact(distance, "mm")}
}
