package grader

import (
	"fmt"
	"slices"

	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/sweep"
	"posework/kin"
)

// perStep runs an examination over the whole motion first and, only when the
// limit is missed there, over each executed step, so that every step at fault
// is named and a sound motion costs one pass; as many of them as the sweep has
// work for. What is missed while the arm
// stands is named by the move that brought it there.
func (x *Exam) perStep(spans []sweep.Span, ask func([]sweep.Span) sweep.Extreme, missed func(sweep.Extreme) bool, found func(step int, e sweep.Extreme)) sweep.Extreme {
	whole := ask(spans)
	if whole.None || !missed(whole) {
		return whole
	}
	named := false // the stretch just before was found to miss the limit too
	any := false   // some stretch was
	for len(spans) > 0 && !x.Sweep.Spent() {
		step := x.Motion.Pieces[spans[0].Piece].Step
		n := 1
		for n < len(spans) && x.Motion.Pieces[spans[n].Piece].Step == step {
			n++
		}
		moves := slices.ContainsFunc(spans[:n], func(s sweep.Span) bool { return x.Motion.Pieces[s.Piece].Kind != motion.Rest })
		if e := ask(spans[:n]); !e.None && missed(e) {
			if moves || !named {
				found(step, e)
			}
			named = true
			any = true
		} else if moves {
			named = false
		}
		spans = spans[n:]
	}
	if !any {
		// The intervals of the steps are others than that of the whole. Next to
		// the limit each of them can hold it where the whole was seen to miss it.
		// Or there was no work left to name a step.
		found(x.Motion.Pieces[whole.At.Piece].Step, whole)
	}
	return whole
}

// spans returns the whole of every piece that keep accepts.
func (x *Exam) spans(keep func(*motion.Piece) bool) []sweep.Span {
	var out []sweep.Span
	for i := range x.Motion.Pieces {
		if p := &x.Motion.Pieces[i]; keep == nil || keep(p) {
			s0, s1 := ends(p)
			out = append(out, sweep.Span{Piece: i, S0: s0, S1: s1})
		}
	}
	return out
}

// ends returns the stretch of its path that a piece covers. A path is shared by
// several pieces where the scene changes on the way.
func ends(p *motion.Piece) (s0, s1 float64) {
	s0, _, _ = p.Law.At(0)
	s1, _, _ = p.Law.At(p.Law.Length)
	return s0, s1
}

// straightened reports whether a piece is one on which the tool is led along a
// Cartesian path: a line, an arc, or the corner between two of them. A corner
// that joins one to a joint move is led by the axes, and may cross what a joint
// move may.
func (x *Exam) straightened(p *motion.Piece) bool {
	switch p.Kind {
	case motion.LineMove, motion.ArcMove:
		return true
	case motion.Corner:
		from, to := x.joined(p)
		return from != program.Joint && to != program.Joint
	}
	return false
}

// locate sets a finding's time and place to a moment of the motion. A finding
// keeps the time span of its step; the moment gives where the tool was.
func (x *Exam) locate(f *Finding, at sweep.Moment) {
	var e motion.Eval
	x.Motion.Pieces[at.Piece].Path.At(at.S, &e)
	f.Place, f.HasPlace = x.inBase(e.TCP.T), true
	f.From, f.To = at.Time, at.Time
}

// over reports whether value a is a worse greatest value than b.
func over(a, b Value) bool { return b.Unit == "" || a.Hi > b.Hi }

// axisRoom: every axis keeps a distance from its limits, the whole way.
type axisRoom struct{ least float64 }

func decodeAxisRoom(d *decoder) Check {
	return axisRoom{d.positive(d.m.Need("least"), (*sourceNode).Deg, 0)}
}

func (c axisRoom) Title() string { return "every axis at least " + deg(c.least) + " from its limits" }

func (c axisRoom) Run(x *Exam) Outcome {
	var out Outcome
	all := x.spans(nil)
	for axis := range 6 {
		e := x.perStep(all,
			func(s []sweep.Span) sweep.Extreme { return x.Sweep.AxisRoom(s, axis) },
			func(e sweep.Extreme) bool { return e.Hi < c.least },
			func(step int, e sweep.Extreme) {
				f := x.finding("axis-room", "NEAR_AXIS_LIMIT", step)
				f.Measured, f.Limit = degrees(e.Lo, e.Hi), degrees(c.least, c.least)
				f.Subject = axisName(axis)
				f.Text = fmt.Sprintf("%s comes within %s of its limit, at least %s is asked", axisName(axis), deg(e.Hi), deg(c.least))
				x.locate(&f, e.At)
				out.Findings = append(out.Findings, f)
			})
		out.least(e, degrees(e.Lo, e.Hi), axisName(axis))
	}
	return out
}

// least keeps the smallest of several measured extremes for the mark, with what
// it was measured at.
func (o *Outcome) least(e sweep.Extreme, v Value, at string) {
	if e.None {
		return
	}
	o.Unproved = o.Unproved || !e.Done
	if o.Measured.Unit == "" || v.Lo < o.Measured.Lo {
		o.Measured, o.Subject = v, at
	}
}

// greatest keeps the largest of several measured extremes for the mark.
func (o *Outcome) greatest(e sweep.Extreme, v Value) {
	if e.None {
		return
	}
	o.Unproved = o.Unproved || !e.Done
	if over(v, o.Measured) {
		o.Measured = v
	}
}

// tightest keeps, of several extremes that have limits of their own, the one for
// which the largest share of its limit is used.
type tightest struct {
	out   *Outcome
	share float64
}

func (t *tightest) keep(e sweep.Extreme, share float64, v Value, at string) {
	if e.None {
		return
	}
	t.out.Unproved = t.out.Unproved || !e.Done
	if t.out.Measured.Unit == "" || share > t.share {
		t.share, t.out.Measured, t.out.Subject = share, v, at
	}
}

// singularityRoom: wrist, elbow and shoulder keep away from alignment on every
// line and arc; joint moves may cross.
type singularityRoom struct{ wrist, elbow, shoulder float64 } // rad, rad, mm

func decodeSingularityRoom(d *decoder) Check {
	c := singularityRoom{d.deg("wrist", 0), d.deg("elbow", 0), d.mm("shoulder", 0)}
	if c == (singularityRoom{}) {
		d.n.Errorf("T009", "write for example wrist: 10 deg", "the check names no distance for wrist, elbow or shoulder")
	}
	return c
}

func (c singularityRoom) Title() string { return "away from singularities on lines and arcs" }

func (c singularityRoom) Run(x *Exam) Outcome {
	var out Outcome
	decides := tightest{out: &out}
	spans := x.spans(x.straightened)
	for _, a := range []struct {
		which sweep.Alignment
		name  string
		least float64
		code  string
		words string
		value func(lo, hi float64) Value
		write func(float64) string
	}{
		{sweep.Wrist, "wrist", c.wrist, "NEAR_WRIST_SINGULARITY", "axes 4 and 6 come within %s of being in line, at least %s is asked", degrees, deg},
		{sweep.Elbow, "elbow", c.elbow, "NEAR_ELBOW_SINGULARITY", "the elbow comes within %s of being stretched or folded, at least %s is asked", degrees, deg},
		{sweep.Shoulder, "shoulder", c.shoulder, "NEAR_SHOULDER_SINGULARITY", "the wrist centre comes within %s of axis 1, at least %s is asked", millimetres, mm},
	} {
		if a.least == 0 {
			continue
		}
		e := x.perStep(spans,
			func(s []sweep.Span) sweep.Extreme { return x.Sweep.SingularityRoom(s, a.which) },
			func(e sweep.Extreme) bool { return e.Hi < a.least },
			func(step int, e sweep.Extreme) {
				f := x.finding("singularity-room", a.code, step)
				f.Measured, f.Limit = a.value(e.Lo, e.Hi), a.value(a.least, a.least)
				f.Text = fmt.Sprintf(a.words, a.write(e.Hi), a.write(a.least))
				x.locate(&f, e.At)
				out.Findings = append(out.Findings, f)
			})
		decides.keep(e, a.least/max(e.Lo, 0), a.value(e.Lo, e.Hi), a.name)
	}
	return out
}

func millimetres(lo, hi float64) Value { return Value{lo, hi, "mm"} }

// axisSpeed: no axis is asked for more than its rated speed or acceleration at
// the programmed tool speed; with at-most, the named axes stay under that speed
// on every move.
type axisSpeed struct {
	axes   []int
	atMost float64 // rad/s; 0: the rated speeds
}

func decodeAxisSpeed(d *decoder) Check {
	c := axisSpeed{axes: []int{0, 1, 2, 3, 4, 5}}
	if n := d.m.Get("axes"); n != nil {
		c.axes = nil
		for _, a := range n.List() {
			c.axes = append(c.axes, a.Int(1, 6)-1)
		}
	}
	c.atMost = d.positive(d.m.Get("at-most"), (*sourceNode).DegPerS, 0)
	return c
}

func (c axisSpeed) Title() string {
	if c.atMost > 0 {
		return "axes at most " + deg(c.atMost) + "/s"
	}
	return "no axis asked for more than its rating"
}

func (c axisSpeed) Run(x *Exam) Outcome {
	var out Outcome
	decides := tightest{out: &out}
	led := x.spans(func(p *motion.Piece) bool { return p.Programmed > 0 })
	// The programmed speed asks for nothing on joint moves and corners, whatever
	// they join: there it is what the axis reaches that counts.
	free := x.spans(func(p *motion.Piece) bool { return p.Kind == motion.JointMove || p.Kind == motion.Corner })
	for _, axis := range c.axes {
		limit := c.atMost
		if limit == 0 {
			limit = x.Cell.Arm.Speed[axis]
		}
		found := func(code string, limit float64, unit string) func(int, sweep.Extreme) {
			return func(step int, e sweep.Extreme) {
				f := x.finding("axis-speed", code, step)
				f.Measured = degreesIn(e, unit)
				f.Limit = exact(kin.Deg(limit), unit)
				f.Subject = axisName(axis)
				f.Text = fmt.Sprintf("%s would need %.4g %s, at most %.4g is allowed", axisName(axis), kin.Deg(e.Lo), unit, kin.Deg(limit))
				x.locate(&f, e.At)
				out.Findings = append(out.Findings, f)
			}
		}
		demand := x.perStep(led,
			func(s []sweep.Span) sweep.Extreme { e, _ := x.Sweep.AxisDemand(s, axis); return e },
			func(e sweep.Extreme) bool { return e.Lo > limit },
			found("AXIS_OVERSPEED", limit, "deg/s"))
		decides.keep(demand, demand.Hi/limit, degreesIn(demand, "deg/s"), axisName(axis))
		if c.atMost > 0 {
			reached := x.perStep(free,
				func(s []sweep.Span) sweep.Extreme { return x.Sweep.AxisSpeed(s, axis) },
				func(e sweep.Extreme) bool { return e.Lo > limit },
				found("AXIS_OVERSPEED", limit, "deg/s"))
			decides.keep(reached, reached.Hi/limit, degreesIn(reached, "deg/s"), axisName(axis))
			continue
		}
		accel := x.Cell.Arm.Accel[axis]
		e := x.perStep(led,
			func(s []sweep.Span) sweep.Extreme { _, e := x.Sweep.AxisDemand(s, axis); return e },
			func(e sweep.Extreme) bool { return e.Lo > accel },
			found("AXIS_OVERLOAD", accel, "deg/s2"))
		decides.keep(e, e.Hi/accel, degreesIn(e, "deg/s2"), axisName(axis))
	}
	return out
}

// axisName names an axis, counted from 0, as people count.
func axisName(axis int) string { return fmt.Sprintf("axis %d", axis+1) }

// degreesIn turns an extreme in radians by something to degrees by the same.
func degreesIn(e sweep.Extreme, unit string) Value { return Value{kin.Deg(e.Lo), kin.Deg(e.Hi), unit} }
