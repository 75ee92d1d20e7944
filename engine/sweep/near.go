package sweep

import "math"

// SpeedNear returns the greatest speed of the tool centre point, mm/s, wherever
// the tool (its solids, the held part, or the tool centre point itself) is
// within a distance (mm) of a thing that stands in the cell: a Solid, or a Part
// for as long as it is loose. Of the thing, kind and index are read. None where
// the tool never is so near.
//
// A place whose distance can't be told from the given one by TolMM counts for
// Hi, not for Lo.
func (w *Sweep) SpeedNear(spans []Span, thing Body, within float64) Extreme {
	v := &w.pairs.view
	var g gap
	best := math.Inf(-1)
	beyond := math.Nextafter(within, math.Inf(1))
	x := w.greatest(spans, TolMMS, func(n *node) sampled {
		speed, _, hi := w.toolSpeed(n)
		if hi <= best+TolMMS && n.h > 0 {
			// Not by a tolerance faster than what is known, near or not.
			return sampled{value: math.Inf(1), bound: -hi}
		}
		v.look(w, n)
		w.spend(pointWork * len(v.s.movers))
		f := v.standing(thing)
		if f == nil { // a part, and the tool holds it
			return sampled{value: math.Inf(1), bound: math.Inf(1)}
		}
		near, unsure, close := false, false, true
		for i := len(v.s.movers); i >= 0 && !near; i-- { // the tool centre point first
			if i < len(v.s.movers) && w.bodies[v.s.movers[i].body].Kind == Link {
				continue
			}
			v.gap(i, &f.shape, f.centre, f.radius, 0, beyond, &g)
			if g.bound >= beyond {
				continue
			}
			unsure = true
			near = g.value <= within
			close = close && g.bound >= within-TolMM && g.value <= within+TolMM
		}
		if !unsure || n.h == 0 && !near {
			return sampled{value: math.Inf(1), bound: math.Inf(1)}
		}
		s := sampled{value: math.Inf(1), bound: -hi}
		if near {
			s.value = -speed
			best = math.Max(best, speed)
		} else {
			s.final = close
		}
		return s
	})
	return x
}

// standing returns a thing of the cell where it stands, nil while the tool holds
// it.
func (v *view) standing(thing Body) *fixed {
	for i := range v.s.fixed {
		if b := &v.w.bodies[v.s.fixed[i].body]; b.Kind == thing.Kind && b.Index == thing.Index {
			return &v.s.fixed[i]
		}
	}
	return nil
}
