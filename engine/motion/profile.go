package motion

import (
	"math"

	"posework/kin"
)

// The time law between two stops. With x = (ds/dt)^2 and u = d2s/dt2 as the
// unknowns, u is constant over a span of the path exactly when x is linear in s
// there, x1 = x0 + 2 u ds, and every limit is convex in (x, u):
//
//	axis speed          (dq/ds)^2 x              <= speed^2
//	axis acceleration   |dq/ds u + d2q/ds2 x|    <= acceleration
//	tool speed          |dp/ds|^2 x              <= programmed^2
//	tool acceleration   |dp/ds u + d2p/ds2 x|    <= tool acceleration
//
// A backward pass finds for every node the greatest x from which the rest of
// the path can be kept; a forward pass then takes the greatest u that stays
// below it. That is time-optimal on the grid (J. E. Bobrow, S. Dubowsky and
// J. S. Gibson, 1985, for the phase plane; H. Pham and Q.-C. Pham, "A new
// approach to time-optimal path parameterization based on reachability
// analysis", 2018, for the two passes). Limits are held at both ends of a span,
// not only where it starts: their second scheme.
//
// On a span where only |u| and x are limited ("free") the fastest motion
// switches inside the span, so that a plain ramp, cruise and ramp comes out
// exact, on however few spans.

// span is a stretch of the grid. Its quantities are by the block's parameter.
type span struct {
	ds   float64
	cap  float64 // greatest x anywhere on the span
	free float64 // greatest |u| when nothing else is limited; 0: its window decides
}

// ends holds a path's derivatives at the two ends of a span, by the block's
// parameter, with the limits that hold on it.
type ends struct {
	dq, ddq [2]kin.Joints
	dp, ddp [2]kin.Vec
	accel   kin.Joints // axes
	tool    float64    // tool; 0: no limit
}

// row bounds u at x: m x - w <= u <= m x + w.
type row struct{ m, w float64 }

// window is what a constrained span allows u to be, given x at its start.
type window struct {
	rows [12]row
	n    int
	// Tool acceleration at both ends: pp u^2 + 2 pk u x + kk x^2 <= 1, with
	// dd = pp kk - pk^2. No limit where pp is 0.
	pp, pk, dd [2]float64
	xmax       float64 // what limits x alone
}

// newWindow builds the window of a span of width ds. What holds at its end, in
// u and x1 = x + 2 u ds there, is rewritten in u and x.
func newWindow(ds, xcap float64, e *ends) window {
	w := window{xmax: xcap}
	for i := range 2 {
		ahead := 2 * ds * float64(i)
		for j := range 6 {
			b := e.ddq[i][j] / e.accel[j]
			a := e.dq[i][j]/e.accel[j] + ahead*b
			// a u + b x within [-1, 1]
			if math.Abs(a) <= 1e-9*math.Abs(b)*ds {
				if b != 0 && 1/math.Abs(b) < w.xmax {
					w.xmax = 1 / math.Abs(b)
				}
				continue
			}
			w.rows[w.n] = row{-b / a, 1 / math.Abs(a)}
			w.n++
		}
		if e.tool == 0 {
			continue
		}
		p := e.dp[i].AddScaled(ahead, e.ddp[i]).Scale(1 / e.tool)
		k := e.ddp[i].Scale(1 / e.tool)
		if p.Norm() <= 1e-9*k.Norm()*ds {
			if x := 1 / k.Norm(); x < w.xmax {
				w.xmax = x
			}
			continue
		}
		w.pp[i], w.pk[i] = p.Norm2(), p.Dot(k)
		w.dd[i] = p.Cross(k).Norm2()
		if w.dd[i] > 0 {
			if x := math.Sqrt(w.pp[i] / w.dd[i]); x < w.xmax {
				w.xmax = x
			}
		}
	}
	return w
}

// at returns the least and greatest u at x, and their slopes by x.
func (w *window) at(x float64) (lo, hi, dlo, dhi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for _, r := range w.rows[:w.n] {
		c := r.m * x
		if h := c + r.w; h < hi {
			hi, dhi = h, r.m
		}
		if l := c - r.w; l > lo {
			lo, dlo = l, r.m
		}
	}
	for i := range w.pp {
		if w.pp[i] == 0 {
			continue
		}
		root := math.Sqrt(max(0, w.pp[i]-w.dd[i]*x*x))
		slope := 0.0
		if w.dd[i] > 0 {
			slope = -w.dd[i] * x / root // minus infinity at the end of the range
		}
		if h := (root - w.pk[i]*x) / w.pp[i]; h < hi {
			hi, dhi = h, (slope-w.pk[i])/w.pp[i]
		}
		if l := (-root - w.pk[i]*x) / w.pp[i]; l > lo {
			lo, dlo = l, (-slope-w.pk[i])/w.pp[i]
		}
	}
	return lo, hi, dlo, dhi
}

// top returns the greatest x at the start of a span of width ds from which x
// at its end can be at most next; next < 0 leaves the end open.
func (w *window) top(ds, next float64) float64 {
	inv := 1 / (2 * ds)
	good, bad := 0.0, w.xmax
	for range 100 {
		lo, hi, dlo, dhi := w.at(bad)
		if l := -bad * inv; l > lo {
			lo, dlo = l, -inv
		}
		if next >= 0 {
			if h := (next - bad) * inv; h < hi {
				hi, dhi = h, -inv
			}
		}
		g := hi - lo
		if g >= -1e-12*(math.Abs(hi)+math.Abs(lo)) {
			return bad
		}
		// g is concave and not negative at 0, so Newton's step from the right
		// stays right of the root.
		x := bad + g/(dlo-dhi)
		if !(x > good && x < bad) {
			x = (good + bad) / 2
			if !w.holds(x, inv, next) {
				bad = x
				continue
			}
			if bad-x <= 1e-13*bad {
				return x
			}
			good = x
			continue
		}
		bad = x
	}
	return good
}

func (w *window) holds(x, inv, next float64) bool {
	lo, hi, _, _ := w.at(x)
	lo = max(lo, -x*inv)
	if next >= 0 {
		hi = min(hi, (next-x)*inv)
	}
	return lo <= hi
}

// profile is the fastest motion over the spans of a block, from rest to rest.
type profile struct {
	spans []span
	wins  []window  // of the constrained spans, in order
	x     []float64 // at the nodes: one more than spans
	soft  []float64 // by how much the smooth law has lowered the windows' accelerations
}

// newProfile solves for the fastest motion. wins holds the windows of the spans
// that are not free, in order.
func newProfile(spans []span, wins []window) *profile {
	p := &profile{spans: spans, wins: wins, x: make([]float64, len(spans)+1)}
	p.solve()
	return p
}

func (p *profile) solve() {
	n := len(p.spans)
	x := p.x
	x[n] = 0
	k := len(p.wins)
	for i := n - 1; i >= 0; i-- {
		sp := &p.spans[i]
		if sp.free > 0 {
			x[i] = min(sp.cap, x[i+1]+2*sp.free*sp.ds)
		} else {
			k--
			x[i] = p.wins[k].top(sp.ds, x[i+1])
		}
		if i > 0 {
			x[i] = min(x[i], p.spans[i-1].cap)
		}
	}
	x[0] = 0
	for i := range p.spans {
		sp := &p.spans[i]
		if sp.free > 0 {
			x[i+1] = min(x[i+1], x[i]+2*sp.free*sp.ds)
			continue
		}
		_, hi, _, _ := p.wins[k].at(x[i])
		k++
		x[i+1] = max(0, min(x[i+1], x[i]+2*hi*sp.ds))
	}
}

// knot is a point of the profile: x at a distance from the start of a span, and
// the greatest |u| that rounding may bring about before it.
type knot struct{ s, x, top float64 }

// inside appends to out the knots strictly inside span i, where the motion
// switches between its ramps.
func (p *profile) inside(i int, out []knot) []knot {
	sp := &p.spans[i]
	if sp.free == 0 {
		return out
	}
	x0, x1 := p.x[i], p.x[i+1]
	tol := 1e-12 * sp.ds
	add := func(s, x float64) {
		if s > tol && s < sp.ds-tol {
			out = append(out, knot{s, x, sp.free})
		}
	}
	peak := sp.ds/2 + (x1-x0)/(4*sp.free)
	if x := x0 + 2*sp.free*peak; x <= sp.cap {
		add(peak, x)
		return out
	}
	add((sp.cap-x0)/(2*sp.free), sp.cap)
	add(sp.ds-(sp.cap-x1)/(2*sp.free), sp.cap)
	return out
}
