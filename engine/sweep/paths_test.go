package sweep_test

import (
	"math"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/kin"
)

// bent is a path by hand: q = q0 + s q1 + s^2 q2 + s^3 q3, 0 <= s <= length, of an
// arm with a tool. It bounds nothing over intervals wider than widest.
type bent struct {
	chain      *kin.Chain
	tcp        kin.Pose
	q0, q1, q2 kin.Joints
	q3         kin.Joints
	length     float64
	widest     float64
}

func (p *bent) Length() float64 { return p.length }

func (p *bent) At(s float64, e *motion.Eval) {
	*e = motion.Eval{}
	for i := range 6 {
		e.Q[i] = p.q0[i] + s*(p.q1[i]+s*(p.q2[i]+s*p.q3[i]))
		e.DQ[i] = p.q1[i] + s*(2*p.q2[i]+3*s*p.q3[i])
		e.DDQ[i] = 2*p.q2[i] + 6*s*p.q3[i]
	}
	p.chain.Forward(&e.Q, &e.Frames)
	e.TCP = e.Frames[6].Mul(&p.tcp)
	var j kin.Jacobian
	p.chain.JacobianAt(&e.Frames, e.TCP.T, &j)
	for i := range 6 {
		e.V = e.V.Add(kin.Vec{X: j[0][i], Y: j[1][i], Z: j[2][i]}.Scale(e.DQ[i]))
		e.W = e.W.Add(kin.Vec{X: j[3][i], Y: j[4][i], Z: j[5][i]}.Scale(e.DQ[i]))
	}
}

func (p *bent) Bound(s0, s1 float64, b *motion.Bound) bool {
	*b = motion.Bound{}
	if s1-s0 > p.widest {
		return false
	}
	for i := range 6 {
		rate := func(s float64) float64 { return math.Abs(p.q1[i] + s*(2*p.q2[i]+3*s*p.q3[i])) }
		b.DQ[i] = math.Max(rate(s0), rate(s1))
		if top := -p.q2[i] / (3 * p.q3[i]); top > s0 && top < s1 { // never, without a cubic term
			b.DQ[i] = math.Max(b.DQ[i], rate(top))
		}
		b.DDQ[i] = math.Max(math.Abs(2*p.q2[i]+6*s0*p.q3[i]), math.Abs(2*p.q2[i]+6*s1*p.q3[i]))
		b.DDDQ[i] = math.Abs(6 * p.q3[i])
	}
	// Of the tool's own motion nothing is known but by the axes.
	inf := math.Inf(1)
	b.V, b.A, b.J, b.W, b.W1, b.W2 = inf, inf, inf, inf, inf, inf
	return true
}

func degrees(v ...float64) (q kin.Joints) {
	for i := range v {
		q[i] = v[i] * math.Pi / 180
	}
	return q
}

// steady is the law of a constant ds/dt.
func steady(length, rate float64) motion.Law {
	return motion.Law{Phases: []motion.Phase{{V: rate}}, Length: length / rate}
}

// bareCell is an arm with a point of a tool.
func bareCell(t testing.TB, name string, tcp kin.Pose) *cell.Cell {
	return &cell.Cell{Arm: builtin(t, name), Mount: kin.IdentityPose, Tools: []cell.Tool{{Name: "pin", TCP: tcp}}}
}

// byHand puts one path under a law.
func byHand(c *cell.Cell, p motion.Path, l motion.Law) *motion.Trajectory {
	return &motion.Trajectory{
		Cell: c, Duration: l.Length,
		Tools:  []motion.Tool{{Name: c.Tools[0].Name, TCP: c.Tools[0].TCP}},
		Scenes: []motion.Scene{{Held: -1}},
		Pieces: []motion.Piece{{Kind: motion.JointMove, End: l.Length, Path: p, Law: l}},
	}
}

// alongAxes is a straight path in axis space from a to b, s from 0 to 1.
func alongAxes(c *cell.Cell, a, b kin.Joints) *bent {
	p := &bent{chain: c.Arm.Chain, tcp: c.Tools[0].TCP, q0: a, length: 1, widest: math.Inf(1)}
	for i := range 6 {
		p.q1[i] = b[i] - a[i]
	}
	return p
}
