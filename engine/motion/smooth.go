package motion

import (
	"math"
	"slices"
	"sort"
)

// The smooth law is the trapezoidal one of the whole block, averaged over the
// ramp time: s(t) becomes the mean of s over the ramp time before t. Speeds and
// accelerations become means too, so that they stay within limits that are the
// same everywhere, and an acceleration takes the ramp time to build up: a
// rest-to-rest move gets the seven phases of a double-S profile with a jerk of
// acceleration / ramp time (L. Biagiotti and C. Melchiorri, Trajectory Planning
// for Automatic Machines and Robots, 2008, sections 3.4 and 4.4: smoothing by a
// moving average). It lasts the ramp time longer.
//
// Limits that change along the path can be passed by a mean, which looks back to
// where the arm was. Where that happens, the trapezoidal law is made slower over
// what the mean is taken of, and solved again; what is left is taken out by
// stretching time.

const (
	smoothRounds = 16
	// smoothTol is by how much limits may be passed before time is stretched.
	smoothTol = 1e-3
	// smoothDerating is kept back because accelerations are compared at samples.
	smoothDerating = 1e-4
	// smoothSamples is into how many parts a phase is cut on a span to be compared.
	smoothSamples = 4
)

// smooth lays the block out with the smooth law. p is solved anew.
func (p *profile) smooth(g *grid, stretches []stretch, ramp float64) []Law {
	p.soft = make([]float64, len(p.wins))
	for k := range p.soft {
		p.soft[k] = 1
	}
	laws := p.laws(g, stretches)
	edges := p.edges(g, stretches)
	var l Law
	worst := 1.0
	for range smoothRounds {
		whole := joined(laws, stretches, edges)
		l = average(whole, ramp)
		var over []float64
		worst, over = p.excess(g, &whole, &l, ramp)
		if worst <= 1+smoothTol {
			break
		}
		p.slow(g, over)
		laws = p.laws(g, stretches)
	}
	// Time stretched by k divides speeds by k and accelerations by its square.
	l.stretch(math.Sqrt(max(1, worst) * (1 + smoothDerating)))
	return l.split(stretches, edges)
}

// edges returns where each stretch begins in the block's parameter, and where
// the last one ends.
func (p *profile) edges(g *grid, stretches []stretch) []float64 {
	out := make([]float64, len(stretches)+1)
	i := 0
	for n := range stretches {
		out[n+1] = out[n]
		for ; i < len(g.info) && int(g.info[i].stretch) == n; i++ {
			out[n+1] += p.spans[i].ds
		}
	}
	return out
}

// joined puts the laws of the stretches together as one in the block's
// parameter.
func joined(laws []Law, stretches []stretch, edges []float64) Law {
	var l Law
	for n := range laws {
		st := &stretches[n]
		for _, ph := range laws[n].Phases {
			l.Phases = append(l.Phases, Phase{
				T: l.Length + ph.T, S: edges[n] + (ph.S-st.s0)/st.scale,
				V: ph.V / st.scale, A: ph.A / st.scale,
			})
		}
		l.Length += laws[n].Length
	}
	return l
}

// average returns the mean of l over the window w before each moment, for l
// from rest to rest and of constant acceleration in each phase.
func average(l Law, w float64) Law {
	if w <= 0 || len(l.Phases) == 0 {
		return l
	}
	times := make([]float64, 0, 2*len(l.Phases)+2)
	for i := range l.Phases {
		times = append(times, l.Phases[i].T, l.Phases[i].T+w)
	}
	times = append(times, l.Length, l.Length+w)
	slices.Sort(times)
	upTo := l.integrals()
	out := Law{Length: l.Length + w}
	for i, t := range times {
		if i+1 == len(times) || times[i+1]-t < 1e-12*out.Length {
			continue
		}
		s0, v0, _ := l.outside(t - w)
		s1, v1, _ := l.outside(t)
		// Accelerations jump where phases meet; in the middle there is no doubt
		// which phase it is.
		mid := (t + times[i+1]) / 2
		_, _, a0 := l.outside(mid - w)
		_, _, a1 := l.outside(mid)
		out.Phases = append(out.Phases, Phase{
			T: t, S: l.Phases[0].S + (l.integral(t, upTo)-l.integral(t-w, upTo))/w, V: (s1 - s0) / w, A: (v1 - v0) / w, J: (a1 - a0) / w,
		})
	}
	return out
}

// outside is At for a law that stands still before and after itself.
func (l *Law) outside(t float64) (s, v, a float64) {
	switch {
	case t < 0:
		return l.Phases[0].S, 0, 0
	case t >= l.Length:
		s, _, _ = l.At(l.Length)
		return s, 0, 0
	}
	return l.At(t)
}

// integrals returns the integral of s - s(0) up to the start of each phase, and
// up to the end.
func (l *Law) integrals() []float64 {
	out := make([]float64, len(l.Phases)+1)
	for i := range l.Phases {
		end := l.Length
		if i+1 < len(l.Phases) {
			end = l.Phases[i+1].T
		}
		out[i+1] = out[i] + l.Phases[i].integral(end-l.Phases[i].T, l.Phases[0].S)
	}
	return out
}

// integral returns the integral of s - zero over the first d seconds.
func (p *Phase) integral(d, zero float64) float64 {
	return d * (p.S - zero + d*(p.V/2+d*(p.A/6+d*p.J/24)))
}

// integral returns the integral of s - s(0) up to t, for a law that stands still
// before and after itself. upTo is what integrals returns.
func (l *Law) integral(t float64, upTo []float64) float64 {
	if t <= 0 {
		return 0
	}
	if n := len(l.Phases); t >= l.Length {
		s, _, _ := l.At(l.Length)
		return upTo[n] + (t-l.Length)*(s-l.Phases[0].S)
	}
	i := l.phase(t)
	return upTo[i] + l.Phases[i].integral(t-l.Phases[i].T, l.Phases[0].S)
}

// stretch makes a law slower by the factor k.
func (l *Law) stretch(k float64) {
	for i := range l.Phases {
		p := &l.Phases[i]
		p.T, p.V, p.A, p.J = p.T*k, p.V/k, p.A/(k*k), p.J/(k*k*k)
	}
	l.Length *= k
}

// excess compares the smooth law of the block with the limits of the spans. It
// returns by how much it passes them at worst, as a factor on speed squared and
// on acceleration, and for every span the worst factor among the means that it
// takes part in.
func (p *profile) excess(g *grid, whole, l *Law, ramp float64) (worst float64, over []float64) {
	starts := make([]float64, len(p.spans)+1)
	win := make([]int, len(p.spans))
	k := 0
	for i := range p.spans {
		starts[i+1] = starts[i] + p.spans[i].ds
		if win[i] = k; g.frees[i] == 0 {
			k++
		}
	}
	over = make([]float64, len(p.spans))
	i := 0
	// look compares a phase from t0 to t1, all of it on span i.
	look := func(ph *Phase, t0, t1 float64) {
		_, v, a := ph.at(t0)
		_, v1, a1 := ph.at(t1)
		r := max(v, v1)
		if a > 0 && a1 < 0 { // the speed peaks inside
			_, vm, _ := ph.at(t0 + (t1-t0)*a/(a-a1))
			r = max(r, vm)
		}
		r = r * r / g.caps[i]
		if f := g.frees[i]; f > 0 {
			r = max(r, math.Abs(a)/f, math.Abs(a1)/f)
		} else {
			for j := 0; j <= smoothSamples; j++ {
				s, v, a := ph.at(t0 + (t1-t0)*float64(j)/smoothSamples)
				r = max(r, g.ends[win[i]].load((s-starts[i])/p.spans[i].ds, v*v, a))
			}
		}
		worst = max(worst, r)
		if r <= 1 {
			return
		}
		s0, _, _ := whole.outside(t0 - ramp)
		s1, _, _ := whole.outside(t1)
		k := sort.SearchFloat64s(starts, s0)
		for k = max(0, k-1); k < len(p.spans) && starts[k] < s1; k++ {
			over[k] = max(over[k], r)
		}
	}
	for n := range l.Phases {
		ph := &l.Phases[n]
		t0, end := ph.T, l.Length
		if n+1 < len(l.Phases) {
			end = l.Phases[n+1].T
		}
		last, _, _ := ph.at(end)
		for i+1 < len(p.spans) && last > starts[i+1] {
			t1 := ph.when(starts[i+1], t0, end)
			look(ph, t0, t1)
			i++
			t0 = t1
		}
		look(ph, t0, end)
	}
	return worst, over
}

// slow makes the motion over each span slower by a factor on speed squared and
// acceleration, and solves again.
func (p *profile) slow(g *grid, over []float64) {
	k := 0
	for i := range p.spans {
		sp := &p.spans[i]
		r := over[i]
		if r > 1 {
			// Not below a tenth of what the span allows: the rest is left to
			// stretching.
			sp.cap = max(min(sp.cap, max(p.x[i], p.x[i+1])/r), g.caps[i]/100)
			sp.free = max(sp.free/r, g.frees[i]/10)
		}
		if g.frees[i] > 0 {
			continue
		}
		if r > 1 {
			e := g.ends[k]
			p.soft[k] = max(p.soft[k]/r, 0.1)
			for j := range e.accel {
				e.accel[j] *= p.soft[k]
			}
			e.tool *= p.soft[k]
			p.wins[k] = newWindow(sp.ds, sp.cap, &e)
		}
		k++
	}
	p.solve()
}

// load is the greatest share of an acceleration limit that x and u take at the
// fraction f of a span.
func (e *ends) load(f, x, u float64) float64 {
	f = max(0, min(f, 1))
	r := 0.0
	for j := range 6 {
		a := e.dq[0][j] + f*(e.dq[1][j]-e.dq[0][j])
		b := e.ddq[0][j] + f*(e.ddq[1][j]-e.ddq[0][j])
		r = max(r, math.Abs(a*u+b*x)/e.accel[j])
	}
	if e.tool > 0 {
		a := e.dp[0].AddScaled(f, e.dp[1].Sub(e.dp[0]))
		b := e.ddp[0].AddScaled(f, e.ddp[1].Sub(e.ddp[0]))
		r = max(r, a.Scale(u).AddScaled(x, b).Norm()/e.tool)
	}
	return r
}

// split cuts a law of the block into the laws of its stretches.
func (l *Law) split(stretches []stretch, edges []float64) []Law {
	out := make([]Law, len(stretches))
	from := 0.0
	for n := range stretches {
		st := &stretches[n]
		if edges[n+1] <= edges[n] {
			continue
		}
		to := l.Length
		if edges[n+1] < edges[len(edges)-1] {
			to = l.when(edges[n+1])
		}
		law := l.cut(from, to)
		for i := range law.Phases {
			p := &law.Phases[i]
			p.S = st.s0 + (p.S-edges[n])*st.scale
			p.V, p.A, p.J = p.V*st.scale, p.A*st.scale, p.J*st.scale
		}
		out[n] = law
		from = to
	}
	return out
}
