package grader

import (
	"fmt"
	"math"

	"posework/engine/motion"
	"posework/kin"
)

// measuredFrame: a frame taught by touching agrees with the true one.
type measuredFrame struct {
	frame         string
	truth         kin.Pose // world to frame
	within, angle float64  // mm, rad
	legs          float64  // mm
	from, to      float64  // rad between the legs
}

func decodeMeasuredFrame(d *decoder) Check {
	c := measuredFrame{within: d.mm("within", 1), angle: d.deg("angle", kin.Rad(0.5)), legs: d.mm("legs", 200), from: kin.Rad(60), to: kin.Rad(120)}
	c.frame = d.m.Need("frame").Name()
	c.truth = d.place(d.m.Need("true"))
	if n := d.m.Get("between"); n != nil {
		if l := n.List(); len(l) == 2 {
			c.from, c.to = l[0].Deg(), l[1].Deg()
		} else {
			n.Errorf("T008", "write between: [60, 120]", "between needs the least and the greatest angle of the legs")
		}
	}
	return c
}

func (c measuredFrame) Title() string {
	return fmt.Sprintf("frame %s taught within %s", c.frame, mm(c.within))
}

func (c measuredFrame) Run(x *Exam) Outcome {
	var out Outcome
	var t *motion.TaughtFrame
	for i := range x.Motion.Frames {
		if x.Motion.Frames[i].Name == c.frame {
			t = &x.Motion.Frames[i]
		}
	}
	add := func(code string, measured, limit Value, format string, args ...any) {
		f := x.finding("measured-frame", code, -1)
		f.Measured, f.Limit, f.Subject = measured, limit, c.frame
		if t != nil {
			f.Pos = t.Pos
		}
		f.Text = fmt.Sprintf(format, args...)
		out.Findings = append(out.Findings, f)
	}
	if t == nil {
		add("FRAME_MISSING", Value{}, Value{}, "the program does not teach a frame named %s", c.frame)
		return out
	}
	for _, leg := range []float64{t.LegX, t.LegPlane} {
		if leg < c.legs-lengthSlack {
			add("SHORT_LEGS", exact(leg, "mm"), exact(c.legs, "mm"), "a leg of the frame is %s long, at least %s is asked", mm(leg), mm(c.legs))
			break
		}
	}
	if t.Between < c.from-angleSlack || t.Between > c.to+angleSlack {
		limit := Value{kin.Deg(c.from), kin.Deg(c.to), "deg"}
		add("LEGS_NEARLY_COLLINEAR", degrees(t.Between, t.Between), limit, "the legs make an angle of %s, asked is %s to %s", deg(t.Between), deg(c.from), deg(c.to))
	}
	distance, angle := apart(&t.Pose, &c.truth)
	out.Measured = exact(distance, "mm")
	switch {
	case t.Pose.R.Z.Dot(c.truth.R.Z) < 0:
		add("FRAME_HANDEDNESS", degrees(angle, angle), degrees(c.angle, c.angle), "Z of the frame points against the true one")
	case distance > c.within+lengthSlack:
		add("FRAME_OFF", exact(distance, "mm"), exact(c.within, "mm"), "the frame's origin is %s off, at most %s is allowed", mm(distance), mm(c.within))
	case angle > c.angle+angleSlack:
		add("FRAME_OFF", degrees(angle, angle), degrees(c.angle, c.angle), "the frame is turned by %s, at most %s is allowed", deg(angle), deg(c.angle))
	}
	return out
}

// measuredTool: a tool centre point taught by touching agrees with the true one.
type measuredTool struct {
	tool     string
	truth    kin.Vec // flange to tool centre point, mm
	touches  int
	apart    float64 // rad, between any two touches
	farthest float64 // rad, between the two that differ most
	residual float64 // mm, mean
	within   float64 // mm
}

func decodeMeasuredTool(d *decoder) Check {
	c := measuredTool{
		touches: 4, apart: d.deg("apart", kin.Rad(20)), farthest: d.deg("farthest", kin.Rad(45)),
		residual: d.mm("residual", 0.5), within: d.mm("within", 1),
	}
	c.tool = d.m.Need("tool").Name()
	c.truth = d.m.Need("true").Vec()
	if n := d.m.Get("touches"); n != nil {
		c.touches = n.Int(4, 100)
	}
	return c
}

func (c measuredTool) Title() string {
	return fmt.Sprintf("tool %s taught within %s", c.tool, mm(c.within))
}

func (c measuredTool) Run(x *Exam) Outcome {
	var out Outcome
	var t *motion.TaughtTool
	for i := range x.Motion.Taught {
		if x.Motion.Taught[i].Name == c.tool {
			t = &x.Motion.Taught[i]
		}
	}
	add := func(code string, measured, limit Value, format string, args ...any) {
		f := x.finding("measured-tool", code, -1)
		f.Measured, f.Limit, f.Subject = measured, limit, c.tool
		if t != nil {
			f.Pos = t.Pos
		}
		f.Text = fmt.Sprintf(format, args...)
		out.Findings = append(out.Findings, f)
	}
	if t == nil {
		add("TOOL_MISSING", Value{}, Value{}, "the program does not teach a tool named %s", c.tool)
		return out
	}
	if n := len(t.Touches); n < c.touches {
		add("TOO_FEW_TOUCHES", exact(float64(n), "touches"), exact(float64(c.touches), "touches"), "%d touches, at least %d are asked", n, c.touches)
	}
	least, most := math.Inf(1), 0.0
	for i := range t.Touches {
		for j := range i {
			_, angle := apart(&t.Touches[i], &t.Touches[j])
			least, most = math.Min(least, angle), math.Max(most, angle)
		}
	}
	switch {
	case most < c.farthest-angleSlack:
		add("POOR_SPREAD", degrees(most, most), degrees(c.farthest, c.farthest), "the two touches that differ most differ by %s, at least %s is asked", deg(most), deg(c.farthest))
	case least < c.apart-angleSlack:
		add("POOR_SPREAD", degrees(least, least), degrees(c.apart, c.apart), "two touches differ by only %s, at least %s is asked", deg(least), deg(c.apart))
	}
	if t.Mean > c.residual+lengthSlack {
		add("RESIDUAL_HIGH", exact(t.Mean, "mm"), exact(c.residual, "mm"), "the touches miss one point by %s on average, at most %s is allowed", mm(t.Mean), mm(c.residual))
	}
	off := t.TCP.Sub(c.truth).Norm()
	out.Measured = exact(off, "mm")
	if off > c.within+lengthSlack {
		add("TCP_OFF", exact(off, "mm"), exact(c.within, "mm"), "the tool centre point is %s off, at most %s is allowed", mm(off), mm(c.within))
	}
	return out
}
