package practice

import (
	"math"

	"posework/kin"
)

// path is what an action moves along. Progress is counted from 0, in whatever
// suits.
type path interface {
	// at returns the axes at progress s, coming from the axes that the arm stands
	// at, or what is in the way.
	at(c *Controller, s float64) (kin.Joints, *Block)
	length() float64 // infinite for a jog that lasts as long as it is held
	pace() float64   // progress per s at full rate
}

// axial turns axes together: from q0 by d times the progress.
type axial struct {
	q0, d  kin.Joints
	len, v float64
}

func (p *axial) length() float64 { return p.len }
func (p *axial) pace() float64   { return p.v }

func (p *axial) at(c *Controller, s float64) (kin.Joints, *Block) {
	q := p.q0
	for i := range q {
		if p.d[i] != 0 {
			q[i] += s * p.d[i]
		}
	}
	return q, c.outside(&q)
}

// outside returns the limit that q passes, though the arm stands within it or
// q goes further out.
func (c *Controller) outside(q *kin.Joints) *Block {
	for i := range q {
		l := c.cell.Arm.Limits[i]
		switch {
		case q[i] > l.Max && q[i] > c.q[i]:
			return c.limitBlock(i, true)
		case q[i] < l.Min && q[i] < c.q[i]:
			return c.limitBlock(i, false)
		}
	}
	return nil
}

// straight moves the tool centre point from a pose: shifted by s times dir and
// turned by s times turn about axis, both in the world.
type straight struct {
	from      kin.Pose // world to tool centre point
	dir, axis kin.Vec
	turn      float64
	len, v    float64
}

func (p *straight) length() float64 { return p.len }
func (p *straight) pace() float64   { return p.v }

func (p *straight) at(c *Controller, s float64) (kin.Joints, *Block) {
	to := kin.Pose{R: p.from.R, T: p.from.T.AddScaled(s, p.dir)}
	if p.turn != 0 {
		r := kin.FromAxisAngle(p.axis, s*p.turn)
		to.R = r.Mul(&p.from.R)
	}
	inv := c.tool.TCP.Inv()
	flange := to.Mul(&inv)
	q, ok := c.follow(&flange)
	if !ok {
		return q, c.reachBlock()
	}
	return q, c.outside(&q)
}

// follow returns the solution for a flange pose that goes on from where the arm
// stands, whatever the limits.
func (c *Controller) follow(flange *kin.Pose) (kin.Joints, bool) {
	var s kin.Solutions
	c.cell.Arm.Inverse().Solve(flange, &c.q, &s)
	if s.N == 0 || s.Residual > 0 {
		return c.q, false
	}
	best, least := c.q, math.Inf(1)
	for i := range s.N {
		q, sum := s.Q[i], 0.0
		for k := range q {
			if !c.cell.Arm.Chain.Prismatic(k) {
				q[k] = c.q[k] + math.Remainder(q[k]-c.q[k], 2*math.Pi)
			}
			sum += (q[k] - c.q[k]) * (q[k] - c.q[k])
		}
		if sum < least {
			best, least = q, sum
		}
	}
	return best, true
}

// Turning speeds of jogs at the highest speed step, rad/s.
const (
	axisPace = 40 * math.Pi / 180
	turnPace = 40 * math.Pi / 180
)

// begin starts what is held, or goes on with an increment that was let go.
func (c *Controller) begin() {
	if c.refused = c.mayHold(&c.want); c.refused != nil {
		c.finished = true
		return
	}
	goesOn := c.path != nil && c.want == c.doing && c.want.By > 0 && c.s < c.path.length()
	c.doing, c.block = c.want, nil
	c.leave()
	if !goesOn {
		c.s = 0
		c.path = c.plot(&c.doing)
		if c.path == nil {
			c.finished = true
			return
		}
		c.pace = c.path.pace()
	}
	c.rate, c.phase = 0, running
}

// plot returns the path of an action, nil when there is nowhere to go.
func (c *Controller) plot(a *Action) path {
	share := c.speed / Speeds[len(Speeds)-1]
	sign := 1.0
	if a.Negative {
		sign = -1
	}
	length := math.Inf(1)
	if a.By > 0 {
		length = a.By
	}
	switch a.Kind {
	case JogAxis:
		p := &axial{q0: c.q, len: length}
		p.d[a.Axis] = sign
		p.v = min(axisPace*share, axisShare*c.cell.Arm.Speed[a.Axis])
		if c.cell.Arm.Chain.Prismatic(a.Axis) {
			p.v = min(c.speed, axisShare*c.cell.Arm.Speed[a.Axis])
		}
		return p
	case JogAlong:
		return &straight{from: c.body.tcp, dir: c.direction(a).Scale(sign), len: length, v: c.speed}
	case JogAbout:
		return &straight{from: c.body.tcp, axis: c.direction(a), turn: sign, len: length, v: turnPace * share}
	case GoTo:
		return c.together(&a.Target)
	case GoStraight:
		return c.straightTo(&a.Target)
	case Return:
		return c.backTo()
	default:
		return c.track(a.Kind)
	}
}

// direction is an axis of a jog's frame, in the world.
func (c *Controller) direction(a *Action) kin.Vec {
	r := c.frame(a.Frame).R
	return [3]kin.Vec{r.X, r.Y, r.Z}[a.Axis]
}

// frame is the pose of a frame by its name, in the world; of the base when
// there is none of that name.
func (c *Controller) frame(name string) kin.Pose {
	if name == InTool {
		return c.body.tcp
	}
	for i := range c.frames {
		if c.frames[i].Name == name {
			return c.frames[i].Pose
		}
	}
	return c.cell.Arm.Chain.Base()
}

// together turns all axes to a target so that they arrive at the same time.
func (c *Controller) together(target *kin.Joints) path {
	p := &axial{q0: c.q, len: 1}
	slowest := 0.0
	for i := range p.d {
		p.d[i] = target[i] - c.q[i]
		slowest = max(slowest, math.Abs(p.d[i])/(axisShare*c.cell.Arm.Speed[i]))
	}
	if slowest == 0 {
		return nil
	}
	p.v = 1 / slowest
	return p
}

// straightTo moves the tool centre point along a straight line to where it is at
// the target, turning it evenly.
func (c *Controller) straightTo(target *kin.Joints) path {
	var f kin.Frames
	c.cell.Arm.Chain.Forward(target, &f)
	to := f[6].Mul(&c.tool.TCP)
	d := to.T.Sub(c.body.tcp.T)
	back := c.body.tcp.R.Inv()
	r := to.R.Mul(&back)
	axis, angle := r.AxisAngle()
	p := &straight{from: c.body.tcp, dir: d, axis: axis, turn: angle, len: 1}
	share := c.speed / Speeds[len(Speeds)-1]
	t := max(d.Norm()/c.speed, angle/(turnPace*share))
	if t < 1e-9 {
		return nil
	}
	p.v = 1 / t
	return p
}
