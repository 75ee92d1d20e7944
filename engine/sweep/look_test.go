package sweep_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/engine/sweep"
	"posework/kin"
)

// TestOneLook holds every bound to account by itself. With a work of one
// interval a search stops after its first look at a span, so that the answer is
// the bound of that one interval, not what halving made of it; and no value
// anywhere in the span may lie outside, with no allowance but for rounding.
func TestOneLook(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 13))
	for round := range 60 {
		c, tr := lookCase(t, r, round)
		for range 12 {
			piece := r.IntN(len(tr.Pieces))
			length := tr.Pieces[piece].Path.Length()
			if length == 0 {
				continue
			}
			width := length * math.Pow(10, -3.5*r.Float64())
			s0 := r.Float64() * (length - width)
			oneLook(t, r, c, tr, sweep.Span{Piece: piece, S0: s0, S1: s0 + width})
		}
	}
}

// lookCase draws a path by hand that bends in every axis, under a law of three
// phases, or a planned program.
func lookCase(t *testing.T, r *rand.Rand, round int) (*cell.Cell, *motion.Trajectory) {
	if round%2 == 1 {
		for {
			if c, tr := randomCase(t, r); tr != nil {
				return c, tr
			}
		}
	}
	uniform := func(lo, hi float64) float64 { return lo + r.Float64()*(hi-lo) }
	c := bareCell(t, []string{"hazel", "rowan", "alder"}[r.IntN(3)], kin.Pose{R: kin.FromRPY(uniform(-1, 1), uniform(-1, 1), 0), T: vec(uniform(-60, 60), 30, uniform(80, 200))})
	c.Tools[0].Solids = []cell.ToolSolid{
		{Name: "box", Shape: box(0, 20, 60, 80, 40, 60)},
		{Name: "can", Shape: post(10, 0, 60, 25, 70)},
	}
	c.Floor = cell.Floor{Exists: true, Z: uniform(-300, 300)}
	for i := range 3 {
		p := vec(uniform(-700, 700), uniform(-700, 700), uniform(0, 800))
		c.Solids = append(c.Solids, cell.Solid{Name: fmt.Sprintf("w%d", i), Shape: []shape.Shape{
			box(p.X, p.Y, p.Z, 120, 200, 80), rail(p, p.Add(vec(200, 100, -50)), 30), post(p.X, p.Y, p.Z, 50, 200),
		}[i]})
	}
	p := &bent{chain: c.Arm.Chain, tcp: c.Tools[0].TCP, length: 1, widest: math.Inf(1)}
	// Much of the third derivative on some of them: of an S, neither the ends nor
	// the middle show the extremes.
	turn := []float64{1, 10, 40}[r.IntN(3)]
	for i := range 6 {
		p.q0[i], p.q1[i], p.q2[i], p.q3[i] = uniform(-1.5, 1.5), uniform(-2, 2), turn*uniform(-2, 2), turn*uniform(-2, 2)
	}
	// Up, on and down: 1/4, 1/2 and 1/4 of the way.
	v := uniform(0.5, 2)
	a := 2 * v * v
	up := v / a
	l := motion.Law{Length: 2*up + 0.5/v, Phases: []motion.Phase{{A: a}, {T: up, S: 0.25, V: v}, {T: up + 0.5/v, S: 0.75, V: v, A: -a}}}
	return c, byHand(c, p, l)
}

// values is what the quantities do over a span, at many places of it.
type values struct {
	lo, hi map[string]float64
}

func (v *values) add(what string, x float64) {
	if old, ok := v.lo[what]; !ok || x < old {
		v.lo[what] = x
	}
	if old, ok := v.hi[what]; !ok || x > old {
		v.hi[what] = x
	}
}

func oneLook(t *testing.T, r *rand.Rand, c *cell.Cell, tr *motion.Trajectory, s sweep.Span) {
	t.Helper()
	p := &tr.Pieces[s.Piece]
	var o oracle
	o.enter(tr, p)
	var e motion.Eval
	p.Path.At((s.S0+s.S1)/2, &e)
	mark := e.TCP.T.Add(vec(20*r.Float64()-10, 20*r.Float64()-10, 20*r.Float64()-10))
	turned := kin.FromRPY(r.Float64()-0.5, r.Float64()-0.5, 0)
	direction := turned.Apply(e.TCP.R.Z)
	side := []kin.Vec{e.TCP.T.Sub(e.V.Unit().Scale(300)).Add(vec(5, 5, 0)), e.TCP.T.Add(e.V.Unit().Scale(300))}
	centre := e.TCP.T.Add(vec(90, 40, 30))

	const n = 120
	v := values{map[string]float64{}, map[string]float64{}}
	for k := range n + 1 {
		at := s.S0 + (s.S1-s.S0)*float64(k)/n
		p.Path.At(at, &e)
		rate := rateAt(&p.Law, at)
		v.add("tool", e.V.Norm()*rate)
		for i := range 6 {
			l := c.Arm.Limits[i]
			v.add(fmt.Sprint("room ", i), math.Min(e.Q[i]-l.Min, l.Max-e.Q[i]))
			v.add(fmt.Sprint("axis ", i), math.Abs(e.DQ[i])*rate)
			if p.Programmed > 0 && math.Abs(e.V.Norm()-1) < 1e-9 && (p.Kind == motion.LineMove || p.Kind == motion.ArcMove) {
				v.add(fmt.Sprint("demand ", i), math.Abs(e.DQ[i])*p.Programmed)
				v.add(fmt.Sprint("accel ", i), math.Abs(e.DDQ[i])*p.Programmed*p.Programmed)
			}
		}
		if m := c.Arm.Inverse().Room(&e.Q, &e.Frames); m.HasShoulder {
			v.add("wrist", m.Wrist)
			v.add("elbow", m.Elbow)
			v.add("shoulder", m.Shoulder)
		}
		v.add("mark", e.TCP.T.Sub(mark).Norm())
		v.add("side", toPolyline(side, e.TCP.T))
		d := e.TCP.T.Sub(centre)
		v.add("circle", math.Hypot(math.Hypot(d.X, d.Y)-100, d.Z))
		v.add("tilt", math.Atan2(e.TCP.R.Z.Cross(direction).Norm(), e.TCP.R.Z.Dot(direction)))
		lookAtBodies(&o, c, &e, rate, &v)
	}

	w := sweep.New(tr, sweep.Options{Work: 1})
	spans := []sweep.Span{s}
	least := func(what string, x sweep.Extreme) { atLeast(t, what, x, v.lo[what], s) }
	greatest := func(what string, x sweep.Extreme) { atMost(t, what, x, v.hi[what], s) }
	greatest("tool", w.ToolSpeed(spans))
	least("tool", w.SlowestTool(spans))
	greatest("point", w.PointSpeed(spans).Extreme)
	for i := range 6 {
		least(fmt.Sprint("room ", i), w.AxisRoom(spans, i))
		greatest(fmt.Sprint("axis ", i), w.AxisSpeed(spans, i))
		if speed, accel := w.AxisDemand(spans, i); !speed.None {
			greatest(fmt.Sprint("demand ", i), speed)
			greatest(fmt.Sprint("accel ", i), accel)
		}
	}
	for i, what := range []string{"wrist", "elbow", "shoulder"} {
		if _, ok := v.lo[what]; ok {
			least(what, w.SingularityRoom(spans, sweep.Alignment(i)))
		}
	}
	least("mark", w.Nearest(spans, mark))
	greatest("side", w.Deviation(spans, sweep.Polyline(side, false)))
	greatest("circle", w.Deviation(spans, sweep.Circle(centre, vec(0, 0, 1), 100)))
	greatest("tilt", w.Tilt(spans, direction))
	for _, x := range w.Clearance(spans, func(a, b sweep.Body) float64 { return math.Inf(1) }) {
		if what := x.A.Name + " and " + x.B.Name; x.B.Kind != sweep.Part {
			least(what, x.Extreme)
		}
	}
}

// lookAtBodies adds the distances of the bodies and the speeds of their points.
func lookAtBodies(o *oracle, c *cell.Cell, e *motion.Eval, rate float64, v *values) {
	for i := range o.bodies {
		b := &o.bodies[i]
		b.local.Move(&e.Frames[b.link], &b.placed)
	}
	var j kin.Jacobian
	for i := range o.bodies {
		b := &o.bodies[i]
		if b.link == 0 {
			continue
		}
		for _, p := range b.points {
			// The columns of the axes that carry the point.
			c.Arm.Chain.JacobianAt(&e.Frames, e.Frames[b.link].Apply(p), &j)
			var u kin.Vec
			for k := range b.link {
				u = u.AddScaled(e.DQ[k], kin.Vec{X: j[0][k], Y: j[1][k], Z: j[2][k]})
			}
			v.add("point", u.Norm()*rate)
		}
		for k := range c.Solids {
			v.add(b.body.Name+" and "+c.Solids[k].Name, shape.Distance(&b.placed, &c.Solids[k].Shape))
		}
		if c.Floor.Exists {
			v.add(b.body.Name+" and floor", b.placed.Support(kin.Vec{Z: -1}).Z-c.Floor.Z)
		}
		for k := range o.bodies {
			if a := &o.bodies[k]; a.link <= b.link-2 {
				v.add(b.body.Name+" and "+a.body.Name, shape.Distance(&b.placed, &a.placed))
			}
		}
	}
}

// atLeast checks that the least value seen does not undercut an answer's Lo, and
// atMost that the greatest does not exceed its Hi.
func atLeast(t *testing.T, what string, x sweep.Extreme, seen float64, s sweep.Span) {
	t.Helper()
	if x.None || !(x.Lo <= x.Hi) || !(seen >= x.Lo-lookRounding*(1+math.Abs(seen))) {
		t.Errorf("%s over %+v: least value seen %.12g, answer %+v", what, s, seen, x)
	}
}

func atMost(t *testing.T, what string, x sweep.Extreme, seen float64, s sweep.Span) {
	t.Helper()
	if x.None || !(x.Lo <= x.Hi) || !(seen <= x.Hi+lookRounding*(1+math.Abs(seen))) {
		t.Errorf("%s over %+v: greatest value seen %.12g, answer %+v", what, s, seen, x)
	}
}

// lookRounding is a share of the value: s of a sample is known to 1e-16 of the
// length of the path, and where ds/dt comes out of rest its root is taken.
const lookRounding = 1e-8

// rateAt returns ds/dt where a law passes s.
func rateAt(l *motion.Law, s float64) float64 {
	lo, hi := 0.0, l.Length
	for range 100 {
		t := (lo + hi) / 2
		if x, _, _ := l.At(t); x < s {
			lo = t
		} else {
			hi = t
		}
	}
	_, v, _ := l.At((lo + hi) / 2)
	return math.Max(v, 0)
}
