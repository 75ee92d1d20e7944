package motion

import (
	"fmt"
	"math"

	"posework/engine/program"
	"posework/kin"
	"posework/kin/arm"
)

// turnTol is how far the axes at the end of a line may differ from those that
// its pose gives, rad (mm).
const turnTol = 1e-6

// move adds a move to the block, or halts.
func (pl *planner) move(i int, t *todo) {
	s := t.src
	p := pl.n.poses[s.To.Name]
	lev := pl.levers(pl.tool)
	g := pl.target(p, lev, t.shift)
	st := &pl.tr.Steps[i]
	st.Target = g.tcp
	l := leg{flyBy: s.FlyBy, stretch: stretch{step: i, share: 1}}
	l.mms = s.Speed.MMS
	if s.Speed.Share > 0 {
		l.share = s.Speed.Share
	}
	if s.Path == program.Joint {
		if !g.miss.OK() {
			pl.missed(i, p, &g)
			return
		}
		l.kind = JointMove
		l.path = newAxial(lev, pl.m, &pl.q, &g.q)
		st.TargetQ = g.q
		pl.add(l)
		pl.q = g.q
		return
	}
	l.tool = pl.accel
	c, ok := pl.curve(t, lev, &g.tcp)
	if !ok {
		return
	}
	l.kind = LineMove
	if s.Path == program.Arc {
		l.kind = ArcMove
	}
	end := pl.q
	var stop *obstacle
	if c.Length() > 0 {
		var path *cartesian
		path, stop = newCartesian(c, lev, pl.m, &pl.q, &pl.work)
		l.path = path
		end = path.nodes[len(path.nodes)-1].q
	} else {
		l.path = newAxial(lev, pl.m, &pl.q, &pl.q)
	}
	if stop == nil {
		if p.ByAxes {
			end = keep(&end, &p.Axes)
		}
		if axis, by := pl.turned(p, &end); by > 0 {
			h := pl.halt(i, ConfigTurns, "on the way to pose "+p.Name)
			h.Axis, h.By = axis, by
			return
		}
		st.TargetQ = end
		pl.add(l)
		pl.q = end
		return
	}
	pl.blocked(l, c, p, stop)
}

// add appends a leg to the block. A leg of no length brings the arm to its pose
// at once; what is left of it is its stop.
func (pl *planner) add(l leg) {
	l.s1 = l.path.Length()
	pl.block = append(pl.block, l)
	if l.flyBy == 0 {
		pl.flush()
	}
}

// missed reports a joint move whose pose can't be reached within the limits.
func (pl *planner) missed(i int, p *program.Pose, g *goal) {
	switch g.miss.Reason {
	case arm.OutOfLimit:
		h := pl.halt(i, AxisLimit, "at pose "+p.Name)
		h.Axis, h.By, h.At = g.miss.Axis, g.miss.By, g.tcp
	case arm.OtherSide:
		w := p.Config.Words()
		pl.n.l.Add(p.Pos, "M006", "leave the config out, or take one that the pose has", "pose %s can't be reached with config %s, %s, %s", p.Name, w[0], w[1], w[2])
		pl.halt(i, AxisLimit, "at pose "+p.Name)
	default:
		pl.n.l.Add(p.Pos, "M005", "bring it nearer to the arm or turn the tool", "pose %s lies %s beyond the reach of the arm", p.Name, millimetres(g.miss.By))
		pl.halt(i, AxisLimit, "at pose "+p.Name)
	}
}

// curve makes the curve of a line or arc from where the arm is. It reports an
// arc that its poses don't fix.
func (pl *planner) curve(t *todo, lev *levers, to *kin.Pose) (curve, bool) {
	s := t.src
	e := state{q: pl.q}
	lev.place(&e)
	if s.Path == program.Line {
		return newStraight(&e.tcp, to), true
	}
	p := pl.n.poses[s.Through.Name]
	if p == nil {
		return nil, false
	}
	through, ok := pl.n.place(p, lev, t.shift)
	if !ok {
		return nil, false
	}
	c, fault := newCircular(&e.tcp, to, through.T)
	if fault == arcOK {
		return c, true
	}
	const fix = "teach three poses well apart on the circle"
	a, b := s.Through.Name, s.To.Name
	switch fault {
	case arcStartIsThrough:
		pl.n.l.Add(s.Through.Pos, "M007", fix, "no arc: pose %s is where the arc starts (step %s)", a, t.label)
	case arcThroughIsEnd:
		pl.n.l.Add(s.Through.Pos, "M007", fix, "no arc: poses %s and %s are the same place (step %s)", a, b, t.label)
	case arcStartIsEnd:
		pl.n.l.Add(s.To.Pos, "M007", "run a full circle as two arcs", "no arc: pose %s is where the arc starts (step %s)", b, t.label)
	default:
		pl.n.l.Add(s.Through.Pos, "M007", fix, "no arc: the start, pose %s and pose %s lie on one line (step %s)", a, b, t.label)
	}
	pl.halt(len(pl.tr.Steps)-1, PathBroken, "")
	return nil, false
}

// turned compares the axes at the end of a line with what its pose asks for. It
// returns the axis that differs and by how much; by is 0 when none does.
func (pl *planner) turned(p *program.Pose, end *kin.Joints) (axis int, by float64) {
	if p.ByAxes {
		for j := range end {
			if d := math.Abs(end[j] - p.Axes[j]); d > turnTol && d > by {
				axis, by = j+1, d
			}
		}
		return axis, by
	}
	if p.Config == nil {
		return 0, 0
	}
	got, ok := pl.m.Inverse().ConfigOf(end)
	if !ok || got == *p.Config {
		return 0, 0
	}
	// The axes nearest to the end that have the configuration asked for.
	want, miss := pl.wanted(p, end)
	if !miss.OK() {
		return 0, math.Pi
	}
	for j := range end {
		if d := math.Abs(end[j] - want[j]); d > by {
			axis, by = j+1, d
		}
	}
	return axis, by
}

func (pl *planner) wanted(p *program.Pose, end *kin.Joints) (kin.Joints, arm.Miss) {
	var f kin.Frames
	pl.m.Chain.Forward(end, &f)
	return pl.m.Nearest(&f[6], end, p.Config)
}

// blocked adds as much of a line or arc as can be followed, and halts at its
// end.
func (pl *planner) blocked(l leg, c curve, p *program.Pose, stop *obstacle) {
	i := l.step
	l.flyBy = 0
	var e Eval
	l.path.At(stop.s, &e)
	if l.path.Length() > 0 {
		pl.add(l)
		pl.q = e.Q
	} else {
		pl.flush()
	}
	rest := c.Length() - stop.s
	place := fmt.Sprintf("%.0f mm before pose %s", rest, p.Name)
	if line, ok := c.(*straight); ok && line.turns {
		place = fmt.Sprintf("%.0f deg before pose %s", kin.Deg(rest), p.Name)
	}
	h := pl.halt(i, stop.why, place)
	h.Axis, h.By, h.At = stop.axis, stop.by, e.TCP
}
