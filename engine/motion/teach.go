package motion

import (
	"math"

	"posework/engine/program"
	"posework/kin"
)

const (
	// leastLeg is the least distance between the points that teach a frame, mm.
	leastLeg = 1
	// leastSine is the least sine of the angle between the two legs of a taught
	// frame (about one degree).
	leastSine = 0.02
	// leastSpread is the least spread of the orientations that teach a tool, as
	// the root mean square by which they turn the worst direction away from
	// its mean (about three degrees).
	leastSpread = 0.05
)

// frameFrom is the frame with its origin at o, the point x on its +X axis and
// the point p in its XY plane on the +Y side: x = unit(X - O), z = unit(x cross
// (P - O)), y = z cross x (J. J. Craig, Introduction to Robotics, chapter 2).
func frameFrom(o, x, p kin.Vec) TaughtFrame {
	legX, legP := x.Sub(o), p.Sub(o)
	ex := legX.Unit()
	ez := ex.Cross(legP).Unit()
	f := TaughtFrame{
		Pose: kin.Pose{R: kin.Rot{X: ex, Y: ez.Cross(ex), Z: ez}, T: o},
		LegX: legX.Norm(), LegPlane: legP.Norm(),
	}
	f.Between = ex.Angle(legP)
	return f
}

// teachFrame works out a taught frame, once. What is wrong with it is reported
// once too.
func (n *names) teachFrame(f *program.TaughtFrame) (kin.Pose, bool) {
	n.known[f.Name] = nil
	t, ok := n.threePoints(f)
	if !ok {
		n.bad["frame "+f.Name] = true
		return kin.Pose{}, false
	}
	n.known[f.Name] = &t.Pose
	n.frames = append(n.frames, t)
	return t.Pose, true
}

func (n *names) threePoints(f *program.TaughtFrame) (t TaughtFrame, ok bool) {
	if n.arm == nil {
		n.l.Add(f.Pos, "M010", "write the touches by axes or in a frame of the cell", "the frame %s is taught with the tool %s, which is taught by poses in that frame", f.Name, n.p.Tool.Name)
		return t, false
	}
	var at [3]kin.Vec
	for i, r := range []program.Ref{f.Origin, f.AlongX, f.InPlan} {
		p := n.poses[r.Name]
		if p == nil {
			return t, false
		}
		w, ok := n.place(p, n.arm, nil)
		if !ok {
			return t, false
		}
		at[i] = w.T
	}
	t = frameFrom(at[0], at[1], at[2])
	t.Name, t.Pos = f.Name, f.Pos
	switch {
	case t.LegX < leastLeg || t.LegPlane < leastLeg || at[1].Sub(at[2]).Norm() < leastLeg:
		n.l.Add(f.Pos, "M008", "teach them far apart: a long leg makes a good frame", "two of the poses that teach frame %s are less than %d mm apart", f.Name, leastLeg)
		return t, false
	case math.Sin(t.Between) < leastSine:
		n.l.Add(f.Pos, "M008", "teach "+f.InPlan.Name+" well to the side of the line", "the three poses that teach frame %s lie nearly on one line: %s is %.1f mm beside it", f.Name, f.InPlan.Name, t.LegPlane*math.Sin(t.Between))
		return t, false
	}
	return t, true
}

// touchFit finds the tool centre point t (flange frame) and the touched point c
// that fit R_i t + p_i = c best in the least-squares sense, for the flange poses
// (R_i, p_i). Taking the means away leaves (R_i - R) t = -(p_i - p). spread is
// the least root mean square by which the R_i move a unit vector away from
// its mean; where it is small, t is not determined.
func touchFit(flange []kin.Pose) (t, c kin.Vec, spread float64) {
	k := 1 / float64(len(flange))
	var mr kin.Rot
	var mp kin.Vec
	for i := range flange {
		f := &flange[i]
		mr.X, mr.Y, mr.Z = mr.X.AddScaled(k, f.R.X), mr.Y.AddScaled(k, f.R.Y), mr.Z.AddScaled(k, f.R.Z)
		mp = mp.AddScaled(k, f.T)
	}
	var cols [3]kin.Vec // of the mean of (R_i - R)' (R_i - R)
	var rhs kin.Vec
	for i := range flange {
		f := &flange[i]
		d := kin.Rot{X: f.R.X.Sub(mr.X), Y: f.R.Y.Sub(mr.Y), Z: f.R.Z.Sub(mr.Z)}
		cols[0] = cols[0].AddScaled(k, d.ApplyInv(d.X))
		cols[1] = cols[1].AddScaled(k, d.ApplyInv(d.Y))
		cols[2] = cols[2].AddScaled(k, d.ApplyInv(d.Z))
		rhs = rhs.AddScaled(-k, d.ApplyInv(f.T.Sub(mp)))
	}
	inv, ok := inverse3(cols[0], cols[1], cols[2])
	if !ok {
		return t, c, 0
	}
	t = kin.Vec{X: inv[0].Dot(rhs), Y: inv[1].Dot(rhs), Z: inv[2].Dot(rhs)}
	spread = 1 / math.Sqrt(math.Sqrt(inv[0].Norm2()+inv[1].Norm2()+inv[2].Norm2()))
	return t, mr.Apply(t).Add(mp), spread
}

// teachTools works out the taught tools. The touches are poses of the flange:
// by axes, or as written in a frame, since the tool is what is looked for.
func (n *names) teachTools() {
	flange := newLevers(n.c.Arm, kin.IdentityPose)
	for i := range n.p.Tools {
		tt := &n.p.Tools[i]
		t := TaughtTool{Name: tt.Name, Pos: tt.Pos}
		for _, r := range tt.Touches {
			p := n.poses[r.Name]
			if p == nil {
				continue
			}
			if w, ok := n.place(p, flange, nil); ok {
				t.Touches = append(t.Touches, w)
			}
		}
		if len(t.Touches) < len(tt.Touches) {
			continue // reported where the pose is
		}
		if len(t.Touches) < 4 {
			n.l.Add(tt.Pos, "M009", "touch the point in four or more clearly different orientations", "tool %s is taught by %d touches, four is the least", tt.Name, len(t.Touches))
			continue
		}
		tcp, c, spread := touchFit(t.Touches)
		if !(spread >= leastSpread) {
			n.l.Add(tt.Pos, "M009", "turn the tool by 45 degrees or more between touches, about more than one axis", "the touches that teach tool %s have orientations too alike to fix its centre point", tt.Name)
			continue
		}
		t.TCP = tcp
		for k := range t.Touches {
			miss := t.Touches[k].Apply(tcp).Sub(c).Norm()
			t.Mean += miss / float64(len(t.Touches))
			t.Max = max(t.Max, miss)
		}
		n.taught = append(n.taught, t)
		body := n.body(tt.Name)
		tool := Tool{Name: tt.Name, Body: body, TCP: kin.Pose{R: kin.Identity, T: tcp}}
		if body >= 0 {
			tool.TCP.R = n.c.Tools[body].TCP.R
		}
		n.tools = append(n.tools, tool)
	}
}

// body returns the cell tool whose solids a taught tool has: the one of its
// name, else the one that the program names, else the cell's first; -1 when the
// cell has none.
func (n *names) body(name string) int {
	for _, want := range []string{name, n.p.Tool.Name} {
		for i := range n.c.Tools {
			if n.c.Tools[i].Name == want {
				return i
			}
		}
	}
	return min(0, len(n.c.Tools)-1)
}
