package sweep

import (
	"math"

	"posework/kin"
)

// Alignment is one of the alignments that an arm with a spherical wrist has.
type Alignment uint8

// The alignments.
const (
	Wrist    Alignment = iota // axes 4 and 6 in line, rad
	Elbow                     // arm stretched or folded, rad
	Shoulder                  // wrist centre on axis 1, mm
)

// AxisRoom returns the least room of an axis, from 0, to the nearer of its
// limits: rad, mm for a prismatic axis; negative beyond a limit.
func (w *Sweep) AxisRoom(spans []Span, axis int) Extreme {
	limit := w.tr.Cell.Arm.Limits[axis]
	tol := TolRad
	if w.prismatic[axis] {
		tol = TolMM
	}
	return w.leastExtreme(spans, tol, func(n *node) sampled {
		q := n.e.Q[axis]
		value := math.Min(q-limit.Min, limit.Max-q)
		if !n.bounded {
			return sampled{value: value, bound: math.Inf(-1)}
		}
		lo, hi := n.axisRange(axis)
		return sampled{value: value, bound: math.Min(lo-limit.Min, limit.Max-hi) - slack}
	})
}

// axisRange bounds an axis over the interval: a parabola through what is known
// in the middle, and the third derivative; or the second alone.
func (n *node) axisRange(axis int) (lo, hi float64) {
	q, v, a, h := n.e.Q[axis], n.e.DQ[axis], n.e.DDQ[axis], n.h
	lo, hi = parabola(v, a, h)
	rest := n.d[axis] * h * h * h / 6
	lo, hi = lo-rest, hi+rest
	far := math.Abs(v)*h + n.c[axis]*h*h/2
	return q + math.Max(lo, -far), q + math.Min(hi, far)
}

// parabola returns the least and greatest v*x + a*x*x/2 for |x| <= h.
func parabola(v, a, h float64) (lo, hi float64) {
	e0, e1 := -v*h+a*h*h/2, v*h+a*h*h/2
	lo, hi = math.Min(e0, e1), math.Max(e0, e1)
	if a != 0 && math.Abs(v) < math.Abs(a)*h {
		top := -v * v / (2 * a)
		lo, hi = math.Min(lo, top), math.Max(hi, top)
	}
	return lo, hi
}

// SingularityRoom returns the least distance to an alignment: rad for wrist and
// elbow, mm for the shoulder. None for an arm that has no such alignment.
func (w *Sweep) SingularityRoom(spans []Span, which Alignment) Extreme {
	wrist, elbow, shoulder := w.inverse.RoomRate()
	rate, tol := [3]kin.Joints{wrist, elbow, shoulder}[which], TolRad
	if which == Shoulder {
		tol = TolMM
	}
	if len(spans) == 0 || !w.hasAlignment(spans[0], which) {
		return none()
	}
	return w.leastExtreme(spans, tol, func(n *node) sampled {
		r := w.inverse.Room(&n.e.Q, &n.e.Frames)
		value := [3]float64{r.Wrist, r.Elbow, r.Shoulder}[which]
		if !n.bounded {
			return sampled{value: value, bound: 0}
		}
		far := 0.0
		for i := range 6 {
			if rate[i] != 0 {
				lo, hi := n.axisRange(i)
				far += rate[i] * math.Max(hi-n.e.Q[i], n.e.Q[i]-lo)
			}
		}
		if which == Shoulder {
			far = math.Min(far, n.shoulderTravel(value, &rate))
		}
		return sampled{value: value, bound: math.Max(0, value-far-slack)}
	})
}

func (w *Sweep) hasAlignment(s Span, which Alignment) bool {
	n := w.tree.node(w.root(s).first)
	r := w.inverse.Room(&n.e.Q, &n.e.Frames)
	return [3]bool{r.HasWrist, r.HasElbow, r.HasShoulder}[which]
}

// shoulderTravel bounds by how much the shoulder measure can change over the
// interval. The measure is the size of m = (wrist centre - base) . x of link 1,
// whose derivative is known in the middle; in link 1 the wrist centre moves by
// axes 2 and 3 alone, and m” is bounded as for any point, with the rates of the
// measure in place of distances from the axes.
func (n *node) shoulderTravel(value float64, rate *kin.Joints) float64 {
	f := &n.e.Frames
	arm, x := f[5].T.Sub(f[0].T), f[1].R.X
	if math.Abs(math.Abs(arm.Dot(x))-value) > 1e-9 {
		return math.Inf(1) // measured in some other way
	}
	slope := n.link[5].v.Dot(x) + arm.Dot(n.link[1].w.Cross(x))
	var before, bend float64
	for i := range 6 {
		if rate[i] == 0 {
			continue
		}
		sum := before + n.b[i]
		bend += rate[i] * (n.c[i] + sum*sum - before*before)
		before = sum
	}
	return math.Abs(slope)*n.h + bend*n.h*n.h/2
}
