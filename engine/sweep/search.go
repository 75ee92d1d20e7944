package sweep

import "math"

// entry is an interval still to be looked at, with its bound.
type entry struct {
	node  int32
	final bool
	bound float64
}

// sampled is what a quantity to be minimised does on an interval.
type sampled struct {
	value float64 // in the middle; +Inf where it is not defined there
	bound float64 // nowhere in the interval less; -Inf where nothing is known
	final bool    // halving the interval would not tell more
}

// found is the outcome of a search: lo <= least <= hi.
type found struct {
	lo, hi float64
	at     int32 // node where hi was measured; -1: nowhere
	done   bool
}

// least finds the least value of a quantity over spans by branch and bound, to
// the tolerance tol. All intervals of one width are looked at before narrower
// ones, so that only those are halved that can still hold the least value.
func (w *Sweep) least(spans []Span, tol float64, look func(n *node) sampled) found {
	f := found{lo: math.Inf(1), hi: math.Inf(1), at: -1, done: true}
	front, next := w.front[:0], w.next[:0]
	for _, s := range spans {
		r := w.root(s)
		front = append(front, entry{node: r.first})
		if r.whole != r.first {
			front = append(front, entry{node: r.last}, entry{node: r.whole})
		}
	}
	work := w.work
	for len(front) > 0 {
		for i := range front {
			e := &front[i]
			if !w.spend(lookWork) {
				e.bound, e.final = math.Inf(-1), false
				continue
			}
			s := look(w.tree.node(e.node))
			e.bound, e.final = s.bound, s.final
			if s.value < f.hi {
				f.hi, f.at = s.value, e.node
			}
		}
		work -= len(front)
		next = next[:0]
		for _, e := range front {
			n := w.tree.node(e.node)
			if e.bound >= f.hi-tol || e.final || n.narrow() || work < 0 || w.left < 0 {
				f.lo = math.Min(f.lo, e.bound)
				f.done = f.done && w.left >= 0 && (e.bound >= f.hi-tol || e.final || n.h == 0)
				continue
			}
			l, r := w.halves(e.node)
			next = append(next, entry{node: l}, entry{node: r})
		}
		front, next = next, front
	}
	w.front, w.next = front, next
	f.lo = math.Min(f.lo, f.hi)
	return f
}

// narrow reports whether halving the interval again would only stir rounding.
func (n *node) narrow() bool { return n.h <= 1e-11*(1+math.Abs(n.mid)) }

// leastExtreme is least as an answer.
func (w *Sweep) leastExtreme(spans []Span, tol float64, look func(n *node) sampled) Extreme {
	f := w.least(spans, tol, look)
	x := Extreme{Lo: f.lo, Hi: f.hi + slack, Done: f.done}
	w.finish(&x, &f)
	return x
}

// greatest is leastExtreme for the greatest value, of a quantity that is never
// negative: look gives values and upper bounds, both negated.
func (w *Sweep) greatest(spans []Span, tol float64, look func(n *node) sampled) Extreme {
	f := w.least(spans, tol, look)
	x := Extreme{Lo: math.Max(0, -f.hi-slack), Hi: -f.lo + slack, Done: f.done}
	w.finish(&x, &f)
	return x
}

func (w *Sweep) finish(x *Extreme, f *found) {
	if f.at >= 0 {
		x.At = w.moment(w.tree.node(f.at))
		return
	}
	// Nothing was measured, and where every bound is infinite nothing can be.
	if math.IsInf(f.lo, 1) {
		*x = Extreme{None: true, Done: f.done}
	}
}

// none is the answer where there is nothing to measure.
func none() Extreme { return Extreme{None: true, Done: true} }
