package motion

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"posework/engine/cell"
	"posework/engine/program"
	"posework/kin"
)

// drawCell draws a cell with one of the built-in arms.
func drawCell(t *rapid.T) *cell.Cell {
	c := &cell.Cell{
		Arm:   model(t, rapid.SampledFrom([]string{"hazel", "aspen", "rowan", "alder"}).Draw(t, "arm")),
		Mount: kin.IdentityPose,
		Tools: []cell.Tool{{Name: "tool", TCP: kin.Pose{
			R: kin.FromRPY(0, rapid.Float64Range(-0.5, 0.5).Draw(t, "tilt"), 0),
			T: kin.Vec{X: rapid.Float64Range(-60, 60).Draw(t, "tool x"), Z: rapid.Float64Range(0, 200).Draw(t, "tool z")},
		}}},
		Motion: cell.Motion{ToolAccel: rapid.Float64Range(500, 6000).Draw(t, "tool acceleration")},
	}
	if rapid.Bool().Draw(t, "smooth") {
		c.Motion.Law = cell.Smooth
		c.Motion.RampTime = rapid.Float64Range(0.01, 0.2).Draw(t, "ramp")
	}
	return c
}

// drawProgram draws a program of moves from one configuration on.
func drawProgram(t *rapid.T, c *cell.Cell) *program.Program {
	p := &program.Program{File: "drawn", Tool: program.Ref{Name: "tool"}}
	lev := newLevers(c.Arm, c.Tools[0].TCP)
	var q kin.Joints
	for i := range q {
		l := c.Arm.Limits[i]
		q[i] = rapid.Float64Range(max(l.Min, -3)*0.7, min(l.Max, 3)*0.7).Draw(t, "start")
	}
	q[4] = math.Copysign(0.2+math.Abs(q[4]), q[4]) // rapid is fond of zero, where few lines start
	add := func(pose program.Pose) program.Ref {
		pose.Name = fmt.Sprintf("p%d", len(p.Poses))
		p.Poses = append(p.Poses, pose)
		return program.Ref{Name: pose.Name}
	}
	p.Steps = append(p.Steps, program.Step{Kind: program.Move, To: add(program.Pose{ByAxes: true, Axes: q}), Path: program.Joint, Speed: program.Speed{Share: 1}})
	at := tcpAt(lev, q)
	n := rapid.IntRange(1, 6).Draw(t, "moves")
	for range n {
		s := program.Step{Kind: program.Move, Path: program.Path(rapid.IntRange(0, 2).Draw(t, "path"))}
		if rapid.Bool().Draw(t, "fly-by") {
			s.FlyBy = rapid.Float64Range(0.5, 100).Draw(t, "radius")
		}
		s.Speed.MMS = rapid.Float64Range(20, 1500).Draw(t, "speed")
		if s.Path == program.Joint && rapid.Bool().Draw(t, "share") {
			s.Speed = program.Speed{Share: rapid.Float64Range(0.05, 1).Draw(t, "share")}
		}
		move := func() kin.Pose {
			next := at
			next.T = next.T.Add(kin.Vec{
				X: rapid.Float64Range(-200, 200).Draw(t, "x"),
				Y: rapid.Float64Range(-200, 200).Draw(t, "y"),
				Z: rapid.Float64Range(-200, 200).Draw(t, "z"),
			})
			r := kin.FromRPY(rapid.Float64Range(-0.6, 0.6).Draw(t, "roll"), rapid.Float64Range(-0.6, 0.6).Draw(t, "pitch"), rapid.Float64Range(-0.6, 0.6).Draw(t, "yaw"))
			next.R = r.Mul(&at.R)
			return next
		}
		if s.Path == program.Joint {
			for i := range q {
				q[i] += rapid.Float64Range(-0.5, 0.5).Draw(t, "dq")
				q[i] = max(c.Arm.Limits[i].Min, min(q[i], c.Arm.Limits[i].Max))
			}
			s.To = add(program.Pose{ByAxes: true, Axes: q})
			at = tcpAt(lev, q)
		} else {
			if s.Path == program.Arc {
				s.Through = add(program.Pose{Place: move()})
			}
			at = move()
			s.To = add(program.Pose{Place: at})
		}
		p.Steps = append(p.Steps, s)
	}
	return p
}

// checkLimits samples a trajectory and compares it with every limit.
func checkLimits(t *rapid.T, tr *Trajectory) {
	const (
		rate  = 20000.0
		slack = 1 + 1e-9
	)
	m := tr.Cell.Arm
	var st State
	for n := range tr.Pieces {
		pc := &tr.Pieces[n]
		step := tr.Steps[pc.Step].Source
		steps := int(math.Ceil((pc.End - pc.Start) * rate))
		steps = max(1, min(steps, 400))
		path := pc.Path
		if c, ok := path.(*section); ok {
			path = c.path
		}
		_, cart := path.(*cartesian)
		if s, _, _ := pc.Law.At(pc.Law.Length); pc.Kind != Rest && !(math.Abs(s-pc.Path.Length()) <= 1e-9*pc.Path.Length()+1e-10) {
			t.Fatalf("piece %d (kind %d) ends at %g of %g", n, pc.Kind, s, pc.Path.Length())
		}
		for k := 0; k <= steps; k++ {
			at := pc.Start + (pc.End-pc.Start)*float64(k)/float64(steps)
			pc.at(at, &st)
			for j := range 6 {
				share := 1.0
				if step.Speed.Share > 0 {
					share = step.Speed.Share
				}
				if !(math.Abs(st.Speed[j]) <= share*m.Speed[j]*slack) {
					t.Fatalf("piece %d (kind %d) at %g: axis %d at %g rad/s, limit %g", n, pc.Kind, at, j+1, st.Speed[j], share*m.Speed[j])
				}
				if !(math.Abs(st.Accel[j]) <= m.Accel[j]*slack) {
					i := pc.Law.phase(at - pc.Start)
					t.Logf("phase %d of %d: %+v then %+v", i, len(pc.Law.Phases), pc.Law.Phases[i], pc.Law.Phases[min(i+1, len(pc.Law.Phases)-1)])
					t.Fatalf("piece %d (kind %d) at %g: axis %d at %g rad/s2, limit %g", n, pc.Kind, at, j+1, st.Accel[j], m.Accel[j])
				}
				if st.Q[j] > m.Limits[j].Max+1e-8 || st.Q[j] < m.Limits[j].Min-1e-8 {
					t.Fatalf("piece %d (kind %d) at %g: axis %d at %g, outside %v", n, pc.Kind, at, j+1, st.Q[j], m.Limits[j])
				}
			}
			if v := st.ToolVel.Norm(); step.Speed.MMS > 0 && v > step.Speed.MMS*slack {
				t.Fatalf("piece %d (kind %d) at %g: tool at %g mm/s, programmed %g", n, pc.Kind, at, v, step.Speed.MMS)
			}
			if a := st.ToolAccel.Norm(); cart && a > tr.Cell.Motion.ToolAccel*slack {
				t.Fatalf("piece %d (kind %d) at %g: tool at %g mm/s2, limit %g", n, pc.Kind, at, a, tr.Cell.Motion.ToolAccel)
			}
		}
	}
}

// checkJoints compares the pieces where they meet.
func checkJoints(t *rapid.T, tr *Trajectory) {
	var a, b State
	for n := range tr.Pieces {
		pc := &tr.Pieces[n]
		pc.at(pc.Start, &b)
		if n == 0 {
			if d := gap(&tr.Start, &b.Q); d > 1e-9 {
				t.Fatalf("starts %g rad off", d)
			}
			continue
		}
		before := &tr.Pieces[n-1]
		if before.End != pc.Start {
			t.Fatalf("piece %d ends at %g, the next starts at %g", n-1, before.End, pc.Start)
		}
		before.at(before.End, &a)
		if d := gap(&a.Q, &b.Q); d > 1e-7 {
			t.Fatalf("piece %d at %g: axes jump by %g rad", n, pc.Start, d)
		}
		if d := gap(&a.Speed, &b.Speed); d > 1e-6*(1+gap(&a.Speed, &kin.Joints{})) {
			t.Fatalf("piece %d (kind %d after %d) at %g: axis speeds jump by %g rad/s: %v %v", n, pc.Kind, before.Kind, pc.Start, d, a.Speed, b.Speed)
		}
	}
}

func gap(a, b *kin.Joints) (d float64) {
	for i := range a {
		d = max(d, math.Abs(a[i]-b[i]))
	}
	return d
}

// checkCorners measures how far from its pose each corner passes.
func checkCorners(t *rapid.T, tr *Trajectory) {
	var st State
	for n := range tr.Pieces {
		pc := &tr.Pieces[n]
		if pc.Kind != Corner {
			continue
		}
		step := &tr.Steps[pc.Step]
		least := math.Inf(1)
		for k := 0; k <= 200; k++ {
			pc.at(pc.Start+(pc.End-pc.Start)*float64(k)/200, &st)
			d := st.TCP.T.Sub(step.Target.T).Norm()
			least = min(least, d)
			if d > step.Source.FlyBy*(1+1e-9)+1e-9 {
				t.Fatalf("piece %d strays %g mm from its pose, fly-by %g mm", n, d, step.Source.FlyBy)
			}
		}
	}
}

func TestPlanKeepsLimits(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := drawCell(rt)
		p := drawProgram(rt, c)
		tr, l := Plan(c, p, Options{})
		if len(l) > 0 {
			rt.Skip(l.Error())
		}
		if math.IsNaN(tr.Duration) || math.IsInf(tr.Duration, 0) {
			rt.Fatalf("takes %g s", tr.Duration)
		}
		checkJoints(rt, tr)
		checkLimits(rt, tr)
		checkCorners(rt, tr)
	})
}
