package sweep

import (
	"math"

	"posework/engine/motion"
	"posework/kin"
)

// ToolSpeed returns the greatest speed of the tool centre point, mm/s.
func (w *Sweep) ToolSpeed(spans []Span) Extreme {
	return w.greatest(spans, TolMMS, func(n *node) sampled {
		v, _, hi := w.toolSpeed(n)
		return sampled{value: -v, bound: -hi}
	})
}

// SlowestTool returns the least speed of the tool centre point, mm/s.
func (w *Sweep) SlowestTool(spans []Span) Extreme {
	return w.leastExtreme(spans, TolMMS, func(n *node) sampled {
		v, lo, _ := w.toolSpeed(n)
		return sampled{value: v, bound: lo}
	})
}

// toolSpeed returns the tool centre point's speed in the middle of an interval
// and bounds on it over the interval.
func (w *Sweep) toolSpeed(n *node) (v, lo, hi float64) {
	size := n.e.V.Norm()
	v = size * n.rate
	if n.h == 0 {
		return v, math.Max(0, v-slack), v + slack
	}
	law := &w.laws[n.piece]
	if law.top == 0 {
		return 0, 0, 0
	}
	if !n.bounded {
		return v, 0, math.Inf(1)
	}
	tcp := &w.setup(n.piece).tcp
	_, acc := n.link[hand].point(n.e.TCP.T)
	_, _, x3 := n.reach(tcp)
	rest := x3 * n.h * n.h / 2
	a, b, low, lowSlope := chordAndTangent(n.e.V, acc, n.h)
	_, hi = law.product(n.s0(), n.s1(), a+rest, b+rest)
	if la, lb := low-lowSlope*n.h-rest, low+lowSlope*n.h-rest; la > 0 && lb > 0 {
		lo, _ = law.product(n.s0(), n.s1(), la, lb)
	}
	return v, math.Max(0, lo-slack), hi + slack
}

// chordAndTangent takes the length of v + a*x for |x| <= h, which is convex in
// x: its values at both ends, and value and slope in the middle, the tangent
// that it stays above.
func chordAndTangent(v, a kin.Vec, h float64) (left, right, mid, slope float64) {
	mid = v.Norm()
	if mid > 0 {
		slope = v.Dot(a) / mid
	}
	return v.AddScaled(-h, a).Norm(), v.AddScaled(h, a).Norm(), mid, slope
}

// AxisSpeed returns the greatest speed that an axis, from 0, reaches: rad/s, mm/s
// for a prismatic axis.
func (w *Sweep) AxisSpeed(spans []Span, axis int) Extreme {
	tol := TolRadS
	if w.prismatic[axis] {
		tol = TolMMS
	}
	return w.greatest(spans, tol, func(n *node) sampled {
		v := math.Abs(n.e.DQ[axis]) * n.rate
		law := &w.laws[n.piece]
		switch {
		case n.h == 0 || law.top == 0:
			return sampled{value: -v, bound: -v}
		case !n.bounded:
			return sampled{value: -v, bound: math.Inf(-1)}
		}
		rest := n.d[axis] * n.h * n.h / 2
		a := math.Abs(n.e.DQ[axis] - n.h*n.e.DDQ[axis])
		b := math.Abs(n.e.DQ[axis] + n.h*n.e.DDQ[axis])
		_, hi := law.product(n.s0(), n.s1(), a+rest, b+rest)
		return sampled{value: -v, bound: -hi - slack}
	})
}

// AxisDemand returns the greatest speed (rad/s) and acceleration (rad/s2) that
// keeping the programmed tool speed would ask of an axis, from 0; mm for a
// prismatic axis. Only lines and arcs that move the tool centre point have a
// programmed tool speed; the answer is none where the spans hold no such piece.
func (w *Sweep) AxisDemand(spans []Span, axis int) (speed, accel Extreme) {
	var led []Span
	for _, s := range spans {
		p := &w.tr.Pieces[s.Piece]
		if p.Programmed > 0 && (p.Kind == motion.LineMove || p.Kind == motion.ArcMove) {
			// s is the length of the path, unless the tool only turns.
			if v := w.tree.node(w.root(s).first).e.V.Norm(); math.Abs(v-1) < 1e-6 {
				led = append(led, s)
			}
		}
	}
	if len(led) == 0 {
		return none(), none()
	}
	tol := TolRadS
	if w.prismatic[axis] {
		tol = TolMMS
	}
	speed = w.demand(led, tol, func(n *node) (now, hi float64) {
		k := w.tr.Pieces[n.piece].Programmed
		now = math.Abs(n.e.DQ[axis])
		return now * k, math.Min(now+math.Min(math.Abs(n.e.DDQ[axis])*n.h+n.d[axis]*n.h*n.h/2, n.c[axis]*n.h), n.b[axis]) * k
	})
	// Accelerations have no tolerance of their own: a hundredth of what the axis
	// is rated for.
	accel = w.demand(led, w.tr.Cell.Arm.Accel[axis]/100, func(n *node) (now, hi float64) {
		k := w.tr.Pieces[n.piece].Programmed
		now = math.Abs(n.e.DDQ[axis])
		return now * k * k, math.Min(now+n.d[axis]*n.h, n.c[axis]) * k * k
	})
	return speed, accel
}

// demand finds a greatest value to a tolerance, or to a hundredth where that is
// more: next to a singularity what is asked for grows beyond all bounds.
func (w *Sweep) demand(spans []Span, tol float64, look func(n *node) (now, hi float64)) Extreme {
	best := 0.0
	return w.greatest(spans, tol, func(n *node) sampled {
		now, hi := look(n)
		if !n.bounded {
			hi = math.Inf(1)
		}
		best = math.Max(best, now)
		return sampled{value: -now, bound: -hi - slack, final: hi <= 1.01*best}
	})
}
