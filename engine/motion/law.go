package motion

import (
	"math"
	"slices"
	"sort"
)

// At returns s, ds/dt and d2s/dt2 at time t, in s counted from the start of the
// piece. A time before the start or after the end is taken as the start or the
// end. Where two phases meet the later one answers.
func (l *Law) At(t float64) (s, v, a float64) {
	if len(l.Phases) == 0 {
		return 0, 0, 0
	}
	t = max(0, min(t, l.Length))
	return l.Phases[l.phase(t)].at(t)
}

// phase returns the index of the phase that t lies in.
func (l *Law) phase(t float64) int {
	k := sort.Search(len(l.Phases), func(i int) bool { return l.Phases[i].T > t })
	return max(0, k-1)
}

func (p *Phase) at(t float64) (s, v, a float64) {
	d := t - p.T
	a = p.A + p.J*d
	v = p.V + d*(p.A+p.J*d/2)
	s = p.S + d*(p.V+d*(p.A/2+p.J*d/6))
	return s, v, a
}

// cut returns the law of the stretch from t0 to t1, with its times counted from
// t0.
func (l *Law) cut(t0, t1 float64) Law {
	out := Law{Length: t1 - t0}
	first := l.phase(t0)
	for i := first; i < len(l.Phases); i++ {
		p := l.Phases[i]
		if i > first && p.T >= t1 {
			break
		}
		if p.T < t0 {
			p.S, p.V, p.A = p.at(t0)
			p.T = t0
		}
		p.T -= t0
		out.Phases = append(out.Phases, p)
	}
	return out
}

// from returns the law with s counted from s0.
func (l *Law) from(s0 float64) Law {
	out := Law{Phases: slices.Clone(l.Phases), Length: l.Length}
	for i := range out.Phases {
		out.Phases[i].S -= s0
	}
	return out
}

// standing is the law of standing still at s for a time.
func standing(s, seconds float64) Law {
	return Law{Phases: []Phase{{S: s}}, Length: seconds}
}

// fastest bounds |ds/dt| over [t0, t1].
func (l *Law) fastest(t0, t1 float64) float64 {
	var v float64
	for i := l.phase(t0); i < len(l.Phases) && (i == 0 || l.Phases[i].T <= t1); i++ {
		p := &l.Phases[i]
		end := l.Length
		if i+1 < len(l.Phases) {
			end = l.Phases[i+1].T
		}
		from, to := max(t0, p.T), min(t1, end)
		_, v0, a0 := p.at(from)
		_, v1, _ := p.at(to)
		v = max(v, math.Abs(v0), math.Abs(v1))
		if p.J != 0 { // speed is a parabola: its vertex may lie inside
			if d := -a0 / p.J; d > 0 && d < to-from {
				_, vm, _ := p.at(from + d)
				v = max(v, math.Abs(vm))
			}
		}
	}
	return v
}

// when returns the time at which the law reaches s. The law must not run back.
func (l *Law) when(s float64) float64 {
	k := sort.Search(len(l.Phases), func(i int) bool { return l.Phases[i].S > s })
	k = max(0, k-1)
	end := l.Length
	if k+1 < len(l.Phases) {
		end = l.Phases[k+1].T
	}
	return l.Phases[k].when(s, l.Phases[k].T, end)
}

// when returns the time in [t0, t1] at which the phase reaches s.
func (p *Phase) when(s, t0, t1 float64) float64 {
	for range 100 {
		m := (t0 + t1) / 2
		if m <= t0 || m >= t1 {
			break
		}
		if at, _, _ := p.at(m); at < s {
			t0 = m
		} else {
			t1 = m
		}
	}
	return t1
}
