package motion

import "math"

// run is what the time law makes of one stretch.
type run struct {
	law  Law
	sags []sag
}

// sag is a place where a stretch could not keep its programmed tool speed.
type sag struct {
	time float64 // from the start of the stretch
	got  float64 // mm/s
	axis int     // from 1; 0: the tool's acceleration, or its turning
}

// laws turns a solved profile into one law a stretch.
func (p *profile) laws(g *grid, stretches []stretch) []run {
	runs := make([]run, len(stretches))
	top := 0.0
	for i := range p.spans {
		top = max(top, math.Abs(p.x[i+1]-p.x[i])/(2*p.spans[i].ds))
	}
	var knots []knot
	first := 0
	for n := range stretches {
		st := &stretches[n]
		last := first
		for last < len(g.info) && int(g.info[last].stretch) == n {
			last++
		}
		k := st.scale
		knots = append(knots[:0], knot{st.s0, p.x[first] * k * k})
		for i := first; i < last; i++ {
			from := len(knots)
			knots = p.inside(i, knots)
			for j := from; j < len(knots); j++ {
				knots[j].s = g.info[i].s0 + knots[j].s*k
				knots[j].x *= k * k
			}
			knots = append(knots, knot{g.info[i].s1, p.x[i+1] * k * k})
		}
		runs[n].law = phases(merge(knots, 1e-9*top*k))
		first = last
	}
	return runs
}

// merge drops the knots at which the acceleration does not change by more than
// tol.
func merge(knots []knot, tol float64) []knot {
	out := knots[:1]
	for i := 1; i < len(knots); i++ {
		n := len(out)
		if n >= 2 {
			a, b := out[n-2], out[n-1]
			u0 := (b.x - a.x) / (2 * (b.s - a.s))
			u1 := (knots[i].x - b.x) / (2 * (knots[i].s - b.s))
			if math.Abs(u1-u0) <= tol {
				out[n-1] = knots[i]
				continue
			}
		}
		out = append(out, knots[i])
	}
	return out
}

// phases integrates the knots over time.
func phases(knots []knot) Law {
	var l Law
	for i := 1; i < len(knots); i++ {
		a, b := knots[i-1], knots[i]
		v0, v1 := math.Sqrt(a.x), math.Sqrt(b.x)
		dt := 2 * (b.s - a.s) / (v0 + v1)
		l.Phases = append(l.Phases, Phase{T: l.Length, S: a.s, V: v0, A: (v1 - v0) / dt})
		l.Length += dt
	}
	return l
}
