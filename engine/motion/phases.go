package motion

import "math"

// run is what the time law makes of one stretch.
type run struct {
	law Law
	sag *sag // the worst; nil when the programmed tool speed was kept
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
		runs[n].law = phases(merge(thin(knots)))
		if st.mms > 0 {
			runs[n].sag = p.sag(g, st, first, last, &runs[n].law)
		}
		first = last
	}
	return runs
}

// A sag is noted where the limits of the axes or the tool's acceleration leave
// less than sagShare of the programmed speed, and the motion comes to at least
// sagTouch of what they leave: elsewhere it is slow for another reason, such as
// a stop near by.
const (
	sagShare = 0.99
	sagTouch = 0.8
)

// sag finds the slowest place of a stretch that limits other than the programmed
// speed make slow. The tool's acceleration in a corner is none: a corner is made
// to be taken as fast as it goes.
func (p *profile) sag(g *grid, st *stretch, first, last int, law *Law) *sag {
	var worst *sag
	win := 0
	for i := range first {
		if p.spans[i].free == 0 {
			win++
		}
	}
	at := 0.0
	for i := first; i < last; i++ {
		x, axis := p.spans[i].cap, g.info[i].axis
		if p.spans[i].free == 0 {
			if l, a := p.wins[win].limit(p.spans[i].ds); l < x {
				x, axis = l, a
			}
			win++
		}
		v := g.info[i].v * st.scale
		asked := st.mms * sagShare
		got := math.Sqrt(p.x[i]) * v
		if v == 0 || math.Sqrt(x)*v >= asked || got >= asked || got < sagTouch*math.Sqrt(x)*v {
			continue
		}
		if axis == 0 && st.kind == Corner {
			continue
		}
		if worst == nil || got < worst.got {
			worst = &sag{got: got, axis: int(axis)}
			at = g.info[i].s0
		}
	}
	if worst != nil {
		worst.time = law.when(at)
	}
	return worst
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
