package motion

import "math"

// laws turns a solved profile into one law a stretch.
func (p *profile) laws(g *grid, stretches []stretch) []Law {
	laws := make([]Law, len(stretches))
	var knots []knot
	first := 0
	for n := range stretches {
		st := &stretches[n]
		last := first
		for last < len(g.info) && int(g.info[last].stretch) == n {
			last++
		}
		k := st.scale
		knots = append(knots[:0], knot{s: st.s0, x: p.x[first] * k * k})
		for i := first; i < last; i++ {
			from := len(knots)
			knots = p.inside(i, knots)
			for j := from; j < len(knots); j++ {
				knots[j].s = g.info[i].s0 + knots[j].s*k
				knots[j].x *= k * k
				knots[j].top *= k
			}
			knots = append(knots, knot{g.info[i].s1, p.x[i+1] * k * k, p.spans[i].free * k})
		}
		laws[n] = phases(merge(thin(knots)))
		first = last
	}
	return laws
}

// thin drops knots that lie too close to another for the acceleration between
// them to be more than rounding. The speed changes by less than a billionth.
func thin(knots []knot) []knot {
	last := len(knots) - 1
	least := 1e-9 * (knots[last].s - knots[0].s)
	out := knots[:1]
	for i := 1; i <= last; i++ {
		if k := &out[len(out)-1]; knots[i].s-k.s < least && math.Abs(knots[i].x-k.x) < 1e-9*k.x {
			if i == last && len(out) > 1 {
				*k = knot{knots[i].s, knots[i].x, k.top}
			}
			continue
		}
		out = append(out, knots[i])
	}
	return out
}

// merge drops the knots at which the acceleration changes by no more than the
// rounding of what was computed.
func merge(knots []knot) []knot {
	top := 0.0
	for i := 1; i < len(knots); i++ {
		top = max(top, math.Abs(knots[i].x-knots[i-1].x)/(2*(knots[i].s-knots[i-1].s)))
	}
	tol := 1e-11 * top
	out := knots[:1]
	for i := 1; i < len(knots); i++ {
		n := len(out)
		if n >= 2 {
			a, b := out[n-2], out[n-1]
			u0 := (b.x - a.x) / (2 * (b.s - a.s))
			u1 := (knots[i].x - b.x) / (2 * (knots[i].s - b.s))
			noise := 4e-16 * max(a.x, b.x, knots[i].x) / min(b.s-a.s, knots[i].s-b.s)
			if math.Abs(u1-u0) <= tol+noise {
				out[n-1] = knot{knots[i].s, knots[i].x, min(b.top, knots[i].top)}
				continue
			}
		}
		out = append(out, knots[i])
	}
	return out
}

// phases integrates the knots over time. The acceleration of a short phase is
// the quotient of two small differences; it is not let beyond its limit.
func phases(knots []knot) Law {
	var l Law
	for i := 1; i < len(knots); i++ {
		a, b := knots[i-1], knots[i]
		v0, v1 := math.Sqrt(a.x), math.Sqrt(b.x)
		dt := 2 * (b.s - a.s) / (v0 + v1)
		acc := (v1 - v0) / dt
		if b.top > 0 && math.Abs(acc) > b.top {
			acc = math.Copysign(b.top, acc)
		}
		l.Phases = append(l.Phases, Phase{T: l.Length, S: a.s, V: v0, A: acc})
		l.Length += dt
	}
	return l
}
