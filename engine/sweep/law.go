package sweep

import (
	"math"
	"sort"

	"posework/engine/motion"
)

// law reads a time law by path parameter: the arm does not turn back along a
// path, so time and speed are functions of s, but for standing still.
type law struct {
	phases []motion.Phase
	length float64 // duration, s
	top    float64 // greatest |ds/dt| of all
	// Least and greatest |ds/dt| of each phase, of blocks of them, and of blocks
	// of those; only where there is a crowd of phases.
	blocks [3][]extent
}

// extent is a range of values.
type extent struct{ lo, hi float64 }

const blockSize = 64

func newLaw(l *motion.Law) law {
	w := law{phases: l.Phases, length: l.Length}
	crowded := len(w.phases) > crowd
	for i := range w.phases {
		t0, t1 := w.times(i)
		lo, hi := w.rates(i, t0, t1)
		w.top = math.Max(w.top, hi)
		if crowded {
			w.blocks[0] = append(w.blocks[0], extent{lo, hi})
		}
	}
	for level := 1; crowded && level < len(w.blocks); level++ {
		for i, x := range w.blocks[level-1] {
			if i%blockSize == 0 {
				w.blocks[level] = append(w.blocks[level], x)
				continue
			}
			b := &w.blocks[level][i/blockSize]
			b.lo, b.hi = math.Min(b.lo, x.lo), math.Max(b.hi, x.hi)
		}
	}
	return w
}

// among returns the least and greatest |ds/dt| of the phases first to last.
func (w *law) among(first, last int) (lo, hi float64) {
	lo = math.Inf(1)
	for k := first; k <= last; {
		x, step := w.blocks[0][k], 1
		for level := 1; level < len(w.blocks); level++ {
			size := step * blockSize
			if k%size != 0 || k+size > last+1 {
				break
			}
			x, step = w.blocks[level][k/size], size
		}
		lo, hi = math.Min(lo, x.lo), math.Max(hi, x.hi)
		k += step
	}
	return lo, hi
}

// times returns the times at which phase i starts and ends.
func (w *law) times(i int) (t0, t1 float64) {
	t1 = w.length
	if i+1 < len(w.phases) {
		t1 = w.phases[i+1].T
	}
	return w.phases[i].T, t1
}

// at returns s, ds/dt and d2s/dt2 of phase i at time t.
func (w *law) at(i int, t float64) (s, v, a float64) {
	p := &w.phases[i]
	d := t - p.T
	return p.S + d*(p.V+d*(p.A/2+p.J*d/6)), p.V + d*(p.A+p.J*d/2), p.A + p.J*d
}

// rates returns the least and greatest |ds/dt| of phase i between two times in it.
func (w *law) rates(i int, t0, t1 float64) (lo, hi float64) {
	_, v0, a0 := w.at(i, t0)
	_, v1, a1 := w.at(i, t1)
	lo, hi = math.Min(v0, v1), math.Max(v0, v1)
	if a0*a1 < 0 { // the speed is a parabola with its top or bottom inside
		p := &w.phases[i]
		_, v, _ := w.at(i, p.T-p.A/p.J)
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return math.Max(lo, 0), math.Max(hi, 0)
}

// phase returns the last phase that starts at or before s.
func (w *law) phase(s float64) int {
	k := sort.Search(len(w.phases), func(i int) bool { return w.phases[i].S > s })
	return max(0, k-1)
}

// when returns the time at which phase i passes s, the start or end of the phase
// where s lies outside it.
func (w *law) when(i int, s float64) float64 {
	p := &w.phases[i]
	t0, t1 := w.times(i)
	if s <= p.S || t1 <= t0 {
		return t0
	}
	if p.J == 0 {
		// Of the two roots of p.S + V d + A d^2/2 = s the first, in the form
		// that does not cancel.
		root := math.Sqrt(math.Max(0, p.V*p.V+2*p.A*(s-p.S)))
		if p.V+root <= 0 {
			return t1
		}
		return math.Min(t0+2*(s-p.S)/(p.V+root), t1)
	}
	if end, _, _ := w.at(i, t1); s >= end {
		return t1
	}
	lo, hi := t0, t1
	t := t0 + (t1-t0)/2
	for range 100 {
		x, v, _ := w.at(i, t)
		if x < s {
			lo = t
		} else {
			hi = t
		}
		next := t - (x-s)/v
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if next == t || hi-lo < 1e-15*(1+t1) {
			break
		}
		t = next
	}
	return t
}

// moment returns the time at which s is reached and ds/dt there.
func (w *law) moment(s float64) (t, v float64) {
	if len(w.phases) == 0 {
		return 0, 0
	}
	i := w.phase(s)
	t = w.when(i, s)
	_, v, _ = w.at(i, t)
	return t, math.Max(v, 0)
}

// crowd is the number of phases in an interval beyond which they are not looked
// at one by one.
const crowd = 24

// product bounds f = n(s) * ds/dt over the interval [s0, s1] of the path, where
// n runs straight from n0 to n1 and is not negative. A straight n makes f a
// polynomial of time in each phase, at most quintic, that differs from its
// chord by at most the bound on its second derivative times an eighth of the
// time squared: so the bounds close in with the square of the interval also
// where one factor falls as the other rises.
func (w *law) product(s0, s1, n0, n1 float64) (lo, hi float64) {
	if len(w.phases) == 0 {
		return 0, 0
	}
	i, last := w.phase(s0), w.phase(s1)
	lo = math.Inf(1)
	// A phase that starts exactly at s1 plays no part unless it is the only one:
	// speed is continuous.
	for last > i && w.phases[last].S >= s1 {
		last--
	}
	n2 := math.Max(n0, n1)
	if last-i > crowd {
		lo, hi = w.among(i, last)
		return lo * math.Min(n0, n1), hi * n2
	}
	slope := 0.0
	if s1 > s0 {
		slope = (n1 - n0) / (s1 - s0)
	}
	for k := i; k <= last; k++ {
		t0, t1 := w.times(k)
		if k == i {
			t0 = w.when(k, s0)
		}
		if k == last {
			t1 = w.when(k, s1)
		}
		sa, va, aa := w.at(k, t0)
		sb, vb, ab := w.at(k, t1)
		fa := math.Max(0, n0+slope*(sa-s0)) * math.Max(va, 0)
		fb := math.Max(0, n0+slope*(sb-s0)) * math.Max(vb, 0)
		_, v := w.rates(k, t0, t1)
		// f'' = n' (3 v a) + n s'''
		bend := (math.Abs(slope)*3*v*math.Max(math.Abs(aa), math.Abs(ab)) + n2*math.Abs(w.phases[k].J)) * (t1 - t0) * (t1 - t0) / 8
		lo = math.Min(lo, math.Min(fa, fb)-bend)
		hi = math.Max(hi, math.Max(fa, fb)+bend)
	}
	return math.Max(lo, 0), hi
}
